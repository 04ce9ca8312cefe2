//! A span of time as a plan writes it: `15 min`, `6 h`, `3 d`, `6 w`, `-28 d`.

use crate::phrase;
use crate::terms::{Minute, Misread, Moment};
use serde::{Deserialize, Serialize};
use std::fmt;

const HOUR: i64 = 60;
const DAY: i64 = 24 * HOUR;

/// Minutes from an anchor, before it if negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Span(i64);

impl Span {
    /// Nothing.
    pub const ZERO: Self = Self(0);

    /// So many minutes.
    pub fn minutes(n: i64) -> Self {
        Self(n)
    }

    /// So many days.
    pub fn days(n: i64) -> Self {
        Self(n * DAY)
    }

    /// In minutes.
    pub fn in_minutes(self) -> i64 {
        self.0
    }

    /// Whole days, rounded down.
    pub fn whole_days(self) -> i64 {
        self.0.div_euclid(DAY)
    }

    /// Reads `15 min`, `6 h`, `3 d`, `6 w`, each with or without the blank and a sign; a bare number is days.
    ///
    /// # Errors
    /// Says how a span is written.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let wrong = || {
            Misread::new(phrase!("'{}' is no span of time: write it as 15 min, 6 h, 3 d or 6 w", text.trim()))
        };
        let all = text.trim().replace(['−', '–'], "-").to_lowercase();
        let at = all.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(all.len());
        let (number, unit) = all.split_at(at);
        let minutes = match unit.trim().trim_end_matches('.') {
            "min" | "minute" | "minutes" => 1,
            "h" | "hour" | "hours" => HOUR,
            "" | "d" | "day" | "days" => DAY,
            "w" | "wk" | "week" | "weeks" => 7 * DAY,
            _ => return Err(wrong()),
        };
        let number: f64 = number.trim().replace(',', ".").parse().map_err(|_| wrong())?;
        let all = (number * minutes as f64).round();
        // Four years either way is more than any plan needs, and keeps the sums far from overflow.
        if !all.is_finite() || all.abs() > (1500 * DAY) as f64 {
            return Err(Misread::new(phrase!(
                "'{}' is too long for a plan: at most four years",
                text.trim()
            )));
        }
        Ok(Self(all as i64))
    }

    /// The moment so long after an anchor. With the time of the anchor known, or for whole days, it is exact; else it
    /// is known to the day only.
    pub fn after(self, anchor: Moment) -> Moment {
        match anchor.time {
            Some(time) if self.0 % DAY != 0 => {
                let minutes = time.of_day() + self.0;
                let of_day = minutes.rem_euclid(DAY);
                let clock = Minute::new((of_day / HOUR) as u32, (of_day % HOUR) as u32);
                Moment { day: anchor.day.plus(minutes.div_euclid(DAY)), time: clock }
            }
            _ => Moment::day(anchor.day.plus(self.whole_days())),
        }
    }
}

impl fmt::Display for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            0 => f.write_str("0 d"),
            n if n % (7 * DAY) == 0 && n.abs() >= 28 * DAY => write!(f, "{} w", n / (7 * DAY)),
            n if n % DAY == 0 => write!(f, "{} d", n / DAY),
            n if n % HOUR == 0 => write!(f, "{} h", n / HOUR),
            n => write!(f, "{n} min"),
        }
    }
}

impl TryFrom<String> for Span {
    type Error = Misread;

    fn try_from(text: String) -> Result<Self, Misread> {
        Self::parse(&text)
    }
}

impl From<Span> for String {
    fn from(span: Span) -> String {
        span.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::Day;

    #[test]
    fn spans_are_read_as_people_write_them() {
        for (text, minutes) in [
            ("15 min", 15),
            ("6h", 360),
            ("0.5 h", 30),
            ("0,5 h", 30),
            ("3 d", 3 * DAY),
            ("3", 3 * DAY),
            ("6 weeks", 42 * DAY),
            ("-28 d", -28 * DAY),
            ("−4 w", -28 * DAY),
        ] {
            assert_eq!(Span::parse(text).map(Span::in_minutes), Ok(minutes), "{text}");
        }
        for text in ["", "soon", "3 moons", "d", "9999 w", "NaN d", "1e300 d"] {
            assert!(Span::parse(text).is_err(), "{text}");
        }
    }

    #[test]
    fn what_is_printed_is_read_again() {
        for n in [0, 1, 59, 60, 90, 1440, 2880, 28 * DAY, -28 * DAY, 45 * DAY, -90] {
            assert_eq!(Span::parse(&Span(n).to_string()), Ok(Span(n)));
        }
    }

    #[test]
    fn hours_go_over_midnight_and_days_stay_days() {
        let day = Day::new(2026, 3, 12).expect("a day");
        let late = Moment { day, time: Minute::new(22, 30) };
        assert_eq!(
            Span::parse("6 h").expect("a span").after(late),
            Moment { day: day.plus(1), time: Minute::new(4, 30) }
        );
        assert_eq!(Span::days(3).after(late), Moment::day(day.plus(3)));
        assert_eq!(Span::parse("6 h").expect("a span").after(Moment::day(day)), Moment::day(day));
        assert_eq!(Span::days(-28).after(late), Moment::day(day.plus(-28)));
    }
}
