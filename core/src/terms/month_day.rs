//! A day of every year.

use super::{Day, Misread};
use crate::phrase;
use std::fmt;

/// A month and a day of it, without a year: `11-05`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MonthDay {
    month: u32,
    day: u32,
}

/// A leap year, so that 29 February may be written.
const LEAP: i32 = 2024;

impl MonthDay {
    /// A month and a day that some year has.
    pub fn new(month: u32, day: u32) -> Option<Self> {
        Day::new(LEAP, month, day).map(|_| Self { month, day })
    }

    /// Reads it as books keep it: month and day in two figures each, `11-05`.
    ///
    /// # Errors
    /// Says how it is written.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let read = || {
            let (month, day) = text.split_once('-')?;
            Self::new(month.parse().ok()?, day.parse().ok()?).filter(|d| d.to_string() == text)
        };
        read().ok_or_else(|| {
            Misread::new(phrase!(
                "'{text}' is no day of the year: month and day in two figures each, like 11-05"
            ))
        })
    }

    /// Reads it as people type it, the day before the month: `5 nov`, `nov 5`, `5/11`, `5.11.`
    ///
    /// # Errors
    /// Says how to write it.
    pub fn parse_typed(text: &str) -> Result<Self, Misread> {
        let wrong = || Misread::new(phrase!("'{}' is no day of the year: try 5 nov or 5/11", text.trim()));
        let low = text.to_lowercase();
        let words = low.split([' ', '/', '.', '-']).filter(|w| !w.is_empty()).count();
        if words != 2 {
            return Err(wrong());
        }
        // Of a leap year's end, so that each day of that year has come.
        let end = Day::new(LEAP, 12, 31).ok_or_else(wrong)?;
        let day = Day::parse_typed(text, end).map_err(|_| wrong())?;
        Self::new(day.month(), day.day()).ok_or_else(wrong)
    }

    /// The month, from 1.
    pub fn month(self) -> u32 {
        self.month
    }

    /// The day of the month, from 1.
    pub fn day(self) -> u32 {
        self.day
    }

    /// That day of a year; 28 February where a year has no 29th.
    pub fn of(self, year: i32) -> Option<Day> {
        Day::new(year, self.month, self.day).or_else(|| Day::new(year, self.month, 28))
    }

    /// As people read it: `5 Nov`.
    pub fn words(self) -> String {
        Day::new(LEAP, self.month, self.day).map(Day::short).unwrap_or_default()
    }
}

impl fmt::Display for MonthDay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}-{:02}", self.month, self.day)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_of_the_year_are_read_as_kept_and_as_typed() {
        let fifth = MonthDay::new(11, 5);
        assert!(fifth.is_some());
        assert_eq!(MonthDay::parse("11-05").ok(), fifth);
        for typed in ["5 nov", "Nov 5", "5/11", "5.11.", " 5th november ", "5-11"] {
            assert_eq!(MonthDay::parse_typed(typed).ok(), fifth, "{typed}");
        }
        for wrong in ["", "11", "11-5", "1-05", "13-01", "02-30", "11-05-01", "+1-05", "5 nov", " 11-05"] {
            assert!(MonthDay::parse(wrong).is_err(), "{wrong}");
        }
        for wrong in ["", "today", "-1", "31 feb", "nov", "5 nov 2025", "2025-11-05", "soon", "mon tue"] {
            assert!(MonthDay::parse_typed(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn the_29th_of_february_is_the_28th_in_other_years() {
        let leap = MonthDay::parse("02-29").expect("there is one");
        assert_eq!(leap.of(2028).map(|d| d.to_string()).as_deref(), Some("2028-02-29"));
        assert_eq!(leap.of(2026).map(|d| d.to_string()).as_deref(), Some("2026-02-28"));
        assert_eq!(leap.words(), "29 Feb");
    }

    #[test]
    fn every_day_printed_is_read_again() {
        for n in 0..366 {
            let day = Day::new(LEAP, 1, 1).expect("a day").plus(n);
            let of_year = MonthDay::new(day.month(), day.day()).expect("a day of the year");
            assert_eq!(MonthDay::parse(&of_year.to_string()), Ok(of_year));
            assert_eq!(MonthDay::parse_typed(&of_year.words()), Ok(of_year));
        }
    }
}
