//! How much feed, and how full a trough.

use super::{Misread, POUND_G, Units};
use crate::phrase;
use std::fmt;

/// How full a trough is, in percent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub struct Level(u8);

impl Level {
    /// Empty.
    pub const EMPTY: Self = Self(0);
    /// Full.
    pub const FULL: Self = Self(100);

    /// So many percent, if not more than a hundred.
    pub fn from_percent(percent: u8) -> Option<Self> {
        (percent <= 100).then_some(Self(percent))
    }

    /// Percent.
    pub fn percent(self) -> u8 {
        self.0
    }

    /// `empty`, `quarter`, `half`, `three quarters`, `full`, `1/4`, `40 %`.
    ///
    /// # Errors
    /// Says what was read and how a level is written.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let low = text.trim().to_lowercase();
        let found = match low.as_str() {
            "empty" => Some(0),
            "quarter" | "1/4" | "a quarter" => Some(25),
            "half" | "1/2" => Some(50),
            "three quarters" | "3/4" => Some(75),
            "full" => Some(100),
            other => other.trim_end_matches('%').trim().parse().ok(),
        };
        found.and_then(Self::from_percent).ok_or_else(|| {
            Misread::new(phrase!(
                "'{}' is not how full it is: write empty, quarter, half, three quarters, full or 40 %",
                text.trim()
            ))
        })
    }
}

impl fmt::Display for Level {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            0 => f.write_str("empty"),
            25 => f.write_str("a quarter full"),
            50 => f.write_str("half full"),
            75 => f.write_str("three quarters full"),
            100 => f.write_str("full"),
            other => write!(f, "{other} % full"),
        }
    }
}

/// An amount of feed in whole grams, from nothing to a thousand tonnes.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, serde::Serialize, serde::Deserialize,
)]
pub struct Mass(u64);

impl Mass {
    /// Nothing.
    pub const NONE: Self = Self(0);
    const MOST: u64 = 1_000_000_000;

    /// So many grams, if not more than a thousand tonnes.
    pub fn from_grams(grams: u64) -> Option<Self> {
        (grams <= Self::MOST).then_some(Self(grams))
    }

    /// So many kilograms, rounded to a gram; none below nothing or above a thousand tonnes.
    pub fn from_kg(kg: f64) -> Option<Self> {
        let grams = (kg * 1000.0).round();
        ((0.0..=Self::MOST as f64).contains(&grams)).then_some(Self(grams as u64))
    }

    /// Whole grams.
    pub fn grams(self) -> u64 {
        self.0
    }

    /// Kilograms.
    pub fn kg(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// Nothing at all.
    pub fn is_none(self) -> bool {
        self.0 == 0
    }

    /// Both together, at most a thousand tonnes.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self((self.0 + other.0).min(Self::MOST))
    }

    /// `12.5`, `12,5 kg`, `500 g`, `1.2 t`, `50 lb`, `6 oz`. A bare number is kilograms, or pounds in an imperial book.
    ///
    /// # Errors
    /// Says what was read and how an amount is written.
    pub fn parse(text: &str, units: Units) -> Result<Self, Misread> {
        let low = text.trim().to_lowercase().replace(',', ".");
        let wrong = || {
            let how = match units {
                Units::Metric => "12.5, 500 g, 1.2 t or 50 lb",
                Units::Imperial => "50, 6 oz or 12.5 kg",
            };
            Misread::new(phrase!("'{}' is not an amount of feed: write {how}", text.trim()))
        };
        let split = low.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(low.len());
        let (number, unit) = low.split_at(split);
        let value: f64 = number.parse().map_err(|_| wrong())?;
        let each = match (unit.trim(), units) {
            ("kg", _) | ("", Units::Metric) => 1.0,
            ("g", _) => 0.001,
            ("t", _) => 1000.0,
            ("lb" | "lbs", _) | ("", Units::Imperial) => POUND_G / 1000.0,
            ("oz", _) => POUND_G / 16_000.0,
            _ => return Err(wrong()),
        };
        Self::from_kg(value * each).ok_or_else(wrong)
    }

    /// In kilograms without trailing noughts, as in CSV: `12.5`.
    pub fn kg_text(self) -> String {
        let text = format!("{}.{:03}", self.0 / 1000, self.0 % 1000);
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    }

    /// As people read it in the book's units: `850 g`, `12.5 kg`, `1.24 t`; `13.6 oz`, `27.6 lb`.
    pub fn show(self, units: Units) -> String {
        let short = |v: f64, places: usize| {
            let text = format!("{v:.places$}");
            if text.contains('.') {
                text.trim_end_matches('0').trim_end_matches('.').to_string()
            } else {
                text
            }
        };
        match units {
            Units::Metric if self.0 < 1000 => format!("{} g", self.0),
            Units::Metric if self.0 < 100_000 => phrase!("{} kg", short(self.kg(), 2)),
            Units::Metric if self.0 < 1_000_000 => phrase!("{} kg", short(self.kg(), 0)),
            Units::Metric => format!("{} t", short(self.kg() / 1000.0, 2)),
            Units::Imperial => {
                let lb = self.0 as f64 / POUND_G;
                if lb < 1.0 {
                    phrase!("{} oz", short(lb * 16.0, 1))
                } else {
                    phrase!("{} lb", short(lb, usize::from(lb < 1000.0)))
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_as_typed_and_shown() {
        for (typed, units, grams, shown) in [
            ("12.5", Units::Metric, 12_500, "12.5 kg"),
            ("500 g", Units::Metric, 500, "500 g"),
            ("1,24 t", Units::Metric, 1_240_000, "1.24 t"),
            ("50 lb", Units::Metric, 22_680, "22.68 kg"),
            ("50", Units::Imperial, 22_680, "50 lb"),
            ("6 oz", Units::Imperial, 170, "6 oz"),
            ("120", Units::Metric, 120_000, "120 kg"),
            ("0", Units::Metric, 0, "0 g"),
        ] {
            let read = Mass::parse(typed, units);
            assert_eq!(read.clone().map(Mass::grams), Ok(grams), "{typed}");
            assert_eq!(read.map(|m| m.show(units)), Ok(shown.to_string()), "{typed}");
        }
        for wrong in ["", "-1", "a lot", "1e3", "2000 t", "3 bags"] {
            assert!(Mass::parse(wrong, Units::Metric).is_err(), "{wrong}");
        }
    }

    #[test]
    fn levels_as_typed() {
        for (typed, percent) in [("empty", 0), ("1/4", 25), ("half", 50), ("40 %", 40), ("Full", 100)] {
            assert_eq!(Level::parse(typed).map(Level::percent), Ok(percent), "{typed}");
        }
        assert!(Level::parse("101 %").is_err());
    }
}
