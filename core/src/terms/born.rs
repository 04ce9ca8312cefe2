//! When an animal was born, as well as it is known.

use super::{Day, Misread};
use std::fmt;

/// When an animal was born, as well as it is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Born {
    /// The day is known.
    On(Day),
    /// A day estimated by the keeper, from teeth or memory.
    About(Day),
    /// Only the year is known.
    Year(i32),
    /// Nothing is known.
    #[default]
    Unknown,
}

impl Born {
    /// The day to reckon ages from: the day itself, or the middle of a known year.
    pub fn day(self) -> Option<Day> {
        match self {
            Self::On(d) | Self::About(d) => Some(d),
            Self::Year(y) => Day::new(y, 7, 1),
            Self::Unknown => None,
        }
    }

    /// The exact day, if it is known.
    pub fn exact(self) -> Option<Day> {
        match self {
            Self::On(d) => Some(d),
            _ => None,
        }
    }

    /// The year of birth.
    pub fn year(self) -> Option<i32> {
        match self {
            Self::On(d) | Self::About(d) => Some(d.year()),
            Self::Year(y) => Some(y),
            Self::Unknown => None,
        }
    }

    /// The earliest day this can mean.
    pub fn earliest(self) -> Option<Day> {
        match self {
            Self::On(d) => Some(d),
            Self::About(d) => Some(d.plus(-365)),
            Self::Year(y) => Day::new(y, 1, 1),
            Self::Unknown => None,
        }
    }

    /// The latest day this can mean.
    pub fn latest(self) -> Option<Day> {
        match self {
            Self::On(d) => Some(d),
            Self::About(d) => Some(d.plus(365)),
            Self::Year(y) => Day::new(y, 12, 31),
            Self::Unknown => None,
        }
    }

    /// As stored and exchanged: `2026-04-03`, `~2026-04-03` (estimated), `2026`, or empty.
    ///
    /// # Errors
    /// Says what was read and the forms there are.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let text = text.trim();
        if text.is_empty() {
            return Ok(Self::Unknown);
        }
        if let Some(rest) = text.strip_prefix('~') {
            return Day::parse_iso(rest).map(Self::About);
        }
        if text.len() == 4
            && let Ok(y) = text.parse::<i32>()
            && Day::new(y, 1, 1).is_some()
        {
            return Ok(Self::Year(y));
        }
        Day::parse_iso(text).map(Self::On).map_err(|_| {
            Misread::new(format!(
                "'{text}' is not a day of birth: write 2026-04-03, ~2026-04-03 if estimated, or the year 2026"
            ))
        })
    }

    /// As a person types it: any form of [`Day::parse_typed`], with `~` or `about` before an estimate, or a year.
    ///
    /// # Errors
    /// Says what was read and the forms there are.
    pub fn parse_typed(text: &str, today: Day) -> Result<Self, Misread> {
        let text = text.trim();
        if text.is_empty() {
            return Ok(Self::Unknown);
        }
        if text.len() == 4 && text.chars().all(|c| c.is_ascii_digit()) {
            return Self::parse(text);
        }
        match text.strip_prefix('~').or_else(|| text.strip_prefix("about ")) {
            Some(rest) => Day::parse_typed(rest, today).map(Self::About),
            None => Day::parse_typed(text, today).map(Self::On),
        }
    }

    /// As people read it.
    pub fn words(self) -> String {
        match self {
            Self::On(d) => d.words(),
            Self::About(d) => format!("about {}", d.words()),
            Self::Year(y) => y.to_string(),
            Self::Unknown => "not known".into(),
        }
    }
}

impl fmt::Display for Born {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::On(d) => write!(f, "{d}"),
            Self::About(d) => write!(f, "~{d}"),
            Self::Year(y) => write!(f, "{y}"),
            Self::Unknown => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn born_forms_round_trip() {
        for text in ["2026-04-03", "~2020-03-01", "2019", ""] {
            assert_eq!(Born::parse(text).unwrap().to_string(), text);
        }
        assert!(Born::parse("April").is_err());
    }
}
