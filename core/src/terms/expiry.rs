//! Expiry days as bottles print them.

use super::day::month_number;
use super::{Day, Misread};
use crate::phrase;

impl Day {
    /// An expiry as it is printed or typed: a month, `05/2027`, `5.27`, `May 2027`, `2027-05`, means its last day; a day
    /// without a year is the next such day from `today` on; anything else is read as [`Day::parse_typed`] reads it.
    ///
    /// # Errors
    /// Says what was read and how to write it.
    pub fn parse_expiry(text: &str, today: Day) -> Result<Self, Misread> {
        let low = text.trim().to_lowercase();
        let wrong = || Misread::new(phrase!("'{}' is not an expiry: try 05/2027 or 3 may 2027", text.trim()));
        let words: Vec<&str> = low.split([' ', '/', '.', '-']).filter(|w| !w.is_empty()).collect();
        if let [a, b] = words.as_slice()
            && !low.starts_with('-')
        {
            let year = |w: &str| -> Option<i32> {
                let n: i32 = w.parse().ok()?;
                match w.len() {
                    4 => Some(n),
                    // What can be a month is no year.
                    2 if n > 12 || month_number(a).is_some_and(|_| a.parse::<u32>().is_err()) => {
                        Some(2000 + n)
                    }
                    _ => None,
                }
            };
            let month = |w: &str| month_number(w);
            if let (Some(m), Some(y)) = (month(a), year(b)) {
                // `may 27` may be a day as well: printed expiries are months.
                return last_of(y, m).ok_or_else(wrong);
            }
            if let (4, Some(y), Some(m)) = (a.len(), year(a), month(b)) {
                return last_of(y, m).ok_or_else(wrong);
            }
            let next = (0..5)
                .filter_map(|n| Self::parse_typed(&format!("{a} {b} {}", today.year() + n), today).ok());
            return next.into_iter().find(|d| *d >= today).ok_or_else(wrong);
        }
        Self::parse_typed(text, today).map_err(|_| wrong())
    }
}

/// The last day of a month.
fn last_of(year: i32, month: u32) -> Option<Day> {
    let (next_year, next) = if month == 12 { (year + 1, 1) } else { (year, month + 1) };
    Day::new(year, month, 1)?;
    Day::new(next_year, next, 1).map(|d| d.plus(-1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn expiries_as_bottles_print_them() {
        let today = Day::new(2026, 4, 10).unwrap();
        for (typed, read) in [
            ("05/2027", "2027-05-31"),
            ("2.28", "2028-02-29"),
            ("May 2027", "2027-05-31"),
            ("dec 26", "2026-12-31"),
            ("2027-05", "2027-05-31"),
            ("3 may 2027", "2027-05-03"),
            ("2027-05-03", "2027-05-03"),
            ("3/5/27", "2027-05-03"),
            ("3 may", "2026-05-03"),
            ("3/4", "2027-04-03"),
            ("05/12", "2026-12-05"),
            ("yesterday", "2026-04-09"),
        ] {
            assert_eq!(Day::parse_expiry(typed, today).map(|d| d.to_string()), Ok(read.into()), "{typed}");
        }
        for wrong in ["", "soon", "13/2027", "05/", "1 2 3 4"] {
            assert!(Day::parse_expiry(wrong, today).is_err(), "{wrong}");
        }
    }
}
