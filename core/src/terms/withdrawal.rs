//! Withdrawal periods as a label or a vet states them.

use super::Misread;
use crate::phrase;
use std::fmt;

/// How long meat or milk must be withheld after the last dose. Unknown is never zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Withdrawal {
    /// Not written down: the animal is not clear until it is.
    #[default]
    Unknown,
    /// So many days of 24 hours; zero is written as zero.
    Days(u16),
    /// So many hours.
    Hours(u16),
    /// Not for animals whose milk (or meat) people will eat.
    Never,
}

impl Withdrawal {
    /// `0`, `28`, `28 d`, `28 days`, `60 h`, `60 hours`, `never`, `unknown` or nothing. A bare number is days.
    ///
    /// # Errors
    /// Says what was read and how a period is written.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        if text.is_empty() {
            return Ok(Self::Unknown);
        }
        // As stored: whole days.
        if text.len() <= 3 && text.bytes().all(|b| b.is_ascii_digit()) {
            return Ok(Self::Days(text.bytes().fold(0, |n, b| n * 10 + u16::from(b - b'0'))));
        }
        let low = text.trim().to_lowercase();
        let wrong = || {
            Misread::new(phrase!(
                "'{}' is not a withdrawal period: write 28 (days), 60 h, 0, never or unknown",
                text.trim()
            ))
        };
        match low.as_str() {
            "" | "unknown" | "?" => return Ok(Self::Unknown),
            "never" => return Ok(Self::Never),
            _ => {}
        }
        let split = low.find(|c: char| !c.is_ascii_digit()).unwrap_or(low.len());
        let (n, unit) = low.split_at(split);
        let n: u16 = n.parse().map_err(|_| wrong())?;
        if n > 3650 {
            return Err(wrong());
        }
        match unit.trim() {
            "" | "d" | "day" | "days" => Ok(Self::Days(n)),
            "h" | "hour" | "hours" => Ok(Self::Hours(n)),
            _ => Err(wrong()),
        }
    }

    /// As stored and in CSV: `28`, `60h`, `never`, or empty for unknown.
    pub fn text(self) -> String {
        match self {
            Self::Unknown => String::new(),
            Self::Days(n) => n.to_string(),
            Self::Hours(n) => format!("{n}h"),
            Self::Never => "never".into(),
        }
    }
}

impl fmt::Display for Withdrawal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unknown => f.write_str("unknown"),
            Self::Days(1) => f.write_str("1 day"),
            Self::Days(n) => write!(f, "{n} days"),
            Self::Hours(1) => f.write_str("1 hour"),
            Self::Hours(n) => write!(f, "{n} hours"),
            Self::Never => f.write_str("never"),
        }
    }
}

impl serde::Serialize for Withdrawal {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&self.text())
    }
}

impl<'de> serde::Deserialize<'de> for Withdrawal {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text: std::borrow::Cow<'de, str> = serde::Deserialize::deserialize(from)?;
        Self::parse(&text).map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn periods_round_trip() {
        for p in [
            Withdrawal::Unknown,
            Withdrawal::Days(0),
            Withdrawal::Days(28),
            Withdrawal::Hours(60),
            Withdrawal::Never,
        ] {
            assert_eq!(Withdrawal::parse(&p.text()), Ok(p));
            assert_eq!(Withdrawal::parse(&p.to_string()), Ok(p));
        }
        assert!(Withdrawal::parse("-3").is_err());
        assert!(Withdrawal::parse("soon").is_err());
        assert!(Withdrawal::parse("99999").is_err());
    }
}
