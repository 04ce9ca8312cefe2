//! What was paid, as an exact amount of the smallest coin.

use super::{Misread, speech};
use crate::phrase;
use std::fmt;

/// An amount that stands as a figure, `−12.50`, behind the sign of money this thread speaks of: `−£12.50`, `−kr 12.50`.
pub fn with_currency(figure: &str) -> String {
    let sign = speech::currency();
    if sign.is_empty() || !figure.contains(|c: char| c.is_ascii_digit()) {
        return figure.to_owned();
    }
    let (minus, bare) = match figure.strip_prefix(['-', '−']) {
        Some(bare) => (&figure[..figure.len() - bare.len()], bare),
        None => ("", figure),
    };
    // Letters stand apart from the figure, a sign right before it.
    let apart = if sign.ends_with(char::is_alphabetic) { "\u{a0}" } else { "" };
    format!("{minus}{sign}{apart}{bare}")
}

/// A sign of money as a keeper types it: up to five letters or signs, no figures.
///
/// # Errors
/// Says how one is written.
pub fn currency(text: &str) -> Result<String, Misread> {
    let text = text.trim();
    let odd = |c: char| c.is_numeric() || c.is_control() || matches!(c, '-' | '−' | '.' | ',' | ';' | '"');
    if text.chars().count() > 5 || text.contains(odd) {
        return Err(Misread::new(phrase!(
            "'{text}' is no sign of money: write up to five letters or signs without figures, £ or NZ$"
        )));
    }
    Ok(text.to_owned())
}

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

    /// As people read it, behind the sign of their money; its `Display` is the figure alone, as it is exchanged.
    pub fn words(self) -> String {
        with_currency(&self.to_string())
    }

    /// `12`, `12.5`, `12.50`, `12,50`; a sign of money before or after it is left out of account.
    ///
    /// # Errors
    /// Says what was read and how a price is written.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let wrong = || Misread::new(phrase!("'{}' is not a price: write it like 12.50", text.trim()));
        let (sign, text) = (speech::currency(), text.trim());
        let text = text.strip_prefix(&*sign).or_else(|| text.strip_suffix(&*sign)).unwrap_or(text);
        let bare =
            text.trim_matches(|c: char| matches!(c, '£' | '€' | '$') || c.is_whitespace()).replace(',', ".");
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
        for (sign, shown) in [("", "12.50"), ("£", "£12.50"), ("NZ$", "NZ$12.50"), ("kr", "kr\u{a0}12.50")]
        {
            let _spoken = speech::Speech { currency: sign.into(), ..Default::default() }.during();
            let price = Price::from_cents(1250);
            assert_eq!(price.words(), shown);
            assert_eq!(price.to_string(), "12.50", "exchanged it is a figure");
            assert_eq!(Price::parse(shown), Ok(price), "read back as it is shown");
            assert_eq!(with_currency("−3.00"), format!("−{}", shown.replace("12.50", "3.00")));
            assert_eq!(with_currency("–"), "–", "nothing to pay with");
        }
        for (typed, kept) in
            [(" £ ", Some("£")), ("NZ$", Some("NZ$")), ("", Some("")), ("pounds", None), ("5", None)]
        {
            assert_eq!(currency(typed).ok().as_deref(), kept, "{typed}");
        }
        for wrong in ["", "-1", "1.234", "1e3", "twelve", "12345678", ".5", "1.2.3"] {
            assert!(Price::parse(wrong).is_err(), "{wrong}");
        }
    }
}
