//! What was paid, as an exact amount of the smallest coin.

use super::Misread;
use crate::phrase;
use std::fmt;

/// An amount of money in hundredths; which money is the keeper's own affair.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Price(u32);

impl Price {
    /// From hundredths.
    pub const fn from_cents(cents: u32) -> Self {
        Self(cents)
    }

    /// Hundredths.
    pub const fn cents(self) -> u32 {
        self.0
    }

    /// `12`, `12.5`, `12.50`, `12,50`; a sign of money before or after it is left out of account.
    ///
    /// # Errors
    /// Says what was read and how a price is written.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let wrong = || Misread::new(phrase!("'{}' is not a price: write it like 12.50", text.trim()));
        let bare = text.trim().trim_matches(|c: char| matches!(c, '£' | '€' | '$' | ' ')).replace(',', ".");
        let (whole, part) = bare.split_once('.').unwrap_or((&bare, ""));
        let figures = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        if whole.is_empty() || whole.len() > 7 || part.len() > 2 || !figures(whole) || !figures(part) {
            return Err(wrong());
        }
        let whole: u32 = whole.parse().map_err(|_| wrong())?;
        let part: u32 = format!("{part:0<2}").parse().map_err(|_| wrong())?;
        Ok(Self(whole * 100 + part))
    }
}

impl fmt::Display for Price {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{:02}", self.0 / 100, self.0 % 100)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prices_as_typed_and_shown() {
        for (typed, shown) in [
            ("12", "12.00"),
            ("12.5", "12.50"),
            ("0,07", "0.07"),
            ("£ 9.99", "9.99"),
            ("1234567.89", "1234567.89"),
        ] {
            assert_eq!(Price::parse(typed).map(|p| p.to_string()), Ok(shown.to_string()), "{typed}");
        }
        for wrong in ["", "-1", "1.234", "1e3", "twelve", "12345678", ".5", "1.2.3"] {
            assert!(Price::parse(wrong).is_err(), "{wrong}");
        }
    }
}
