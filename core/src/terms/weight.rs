//! Weights in whole grams, typed and shown in kilograms or pounds and ounces.

use super::Misread;
use crate::phrase;
use std::fmt;

/// What the keeper's scale shows. One pound is exactly 0.45359237 kg (exact by definition).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Units {
    /// Kilograms.
    #[default]
    Metric,
    /// Pounds and ounces.
    Imperial,
}

impl Units {
    /// `metric` or `imperial`.
    ///
    /// # Errors
    /// Says which words there are.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        match text.trim().to_lowercase().as_str() {
            "metric" => Ok(Self::Metric),
            "imperial" => Ok(Self::Imperial),
            other => Err(Misread::new(phrase!("'{other}' are no units: write metric or imperial"))),
        }
    }

    /// The word as stored.
    pub fn word(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Imperial => "imperial",
        }
    }
}

/// Grams in a pound, exact by definition.
pub const POUND_G: f64 = 453.592_37;

/// A weight of a living animal or a feed, in whole grams, more than nothing and at most 500 kg.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Weight(u32);

impl Weight {
    /// A weight of so many grams, if it is more than 0 g and not more than 500 kg.
    pub fn from_grams(grams: i64) -> Option<Self> {
        (1..=500_000).contains(&grams).then_some(Self(grams as u32))
    }

    /// Whole grams.
    pub fn grams(self) -> i64 {
        i64::from(self.0)
    }

    /// Kilograms.
    pub fn kg(self) -> f64 {
        f64::from(self.0) / 1000.0
    }

    /// A weight as typed: `4.2`, `4,2 kg`, `9 lb 4 oz`, `9lb4`, `9.25 lb`, `4200 g`.
    /// A bare number is in the book's units; in pounds `9 4` means 9 lb 4 oz.
    ///
    /// # Errors
    /// Says what was read and how to write a weight.
    pub fn parse(text: &str, units: Units) -> Result<Self, Misread> {
        let low = text.trim().to_lowercase().replace(',', ".");
        let example = match units {
            Units::Metric => "4.2 or 9 lb 4 oz",
            Units::Imperial => "9 lb 4 oz, 9 4 or 4.2 kg",
        };
        let wrong = || Misread::new(phrase!("'{}' is not a weight: write {example}", text.trim()));
        if low.is_empty() {
            return Err(Misread::new(phrase!("a weight is needed: write {example}")));
        }
        let grams = if let Some(kg) = low.strip_suffix("kg") {
            number(kg).map(|v| v * 1000.0)
        } else if let Some((lb, oz)) = low.split_once("lb") {
            let oz = oz.trim().trim_start_matches('s').trim().trim_end_matches("oz").trim();
            match (number(lb), if oz.is_empty() { Some(0.0) } else { number(oz) }) {
                (Some(lb), Some(oz)) if oz < 16.0 => Some((lb + oz / 16.0) * POUND_G),
                _ => None,
            }
        } else if let Some(oz) = low.strip_suffix("oz") {
            number(oz).map(|v| v / 16.0 * POUND_G)
        } else if let Some(g) = low.strip_suffix('g') {
            number(g)
        } else {
            match (units, low.split_once(' ')) {
                (Units::Metric, _) => number(&low).map(|v| v * 1000.0),
                (Units::Imperial, Some((lb, oz))) => match (number(lb), number(oz)) {
                    (Some(lb), Some(oz)) if oz < 16.0 => Some((lb + oz / 16.0) * POUND_G),
                    _ => None,
                },
                (Units::Imperial, None) => number(&low).map(|v| v * POUND_G),
            }
        };
        let grams = grams.ok_or_else(wrong)?;
        Self::from_grams(grams.round() as i64).ok_or_else(|| {
            Misread::new(phrase!(
                "'{}' cannot be a sheep's weight: it must be over 0 and up to 500 kg",
                text.trim()
            ))
        })
    }

    /// In kilograms without trailing noughts, as in CSV: `4.25`.
    pub fn kg_text(self) -> String {
        let mut s = format!("{}.{:03}", self.0 / 1000, self.0 % 1000);
        while s.ends_with('0') {
            s.pop();
        }
        s.trim_end_matches('.').to_string()
    }

    /// As people read it in the book's units: `4.2 kg` or `9 lb 4 oz`. Heavier than 20 kg: to 0.1 kg, or whole pounds.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Metric if self.0 >= 20_000 => phrase!("{:.1} kg", self.kg()),
            Units::Metric => {
                let text = format!("{:.2}", self.kg());
                phrase!("{} kg", &text.strip_suffix('0').unwrap_or(&text))
            }
            Units::Imperial if self.0 >= 20_000 => phrase!("{:.1} lb", f64::from(self.0) / POUND_G),
            Units::Imperial => {
                let oz = (f64::from(self.0) / POUND_G * 16.0).round() as u32;
                if oz.is_multiple_of(16) {
                    phrase!("{} lb", oz / 16)
                } else {
                    phrase!("{} lb {} oz", oz / 16, oz % 16)
                }
            }
        }
    }
}

fn number(text: &str) -> Option<f64> {
    let text = text.trim();
    if text.is_empty() || !text.chars().all(|c| c.is_ascii_digit() || c == '.') {
        return None;
    }
    text.parse::<f64>().ok()
}

impl fmt::Display for Weight {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.show(Units::Metric))
    }
}

/// Daily gain in whole grams a day; may be a loss.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Gain(pub i64);

impl Gain {
    /// Gain from one weight to a later one over `days`, rounded to whole grams a day; none over no days.
    pub fn between(from: Weight, to: Weight, days: i64) -> Option<Self> {
        (days > 0).then(|| Self(((to.grams() - from.grams()) as f64 / days as f64).round() as i64))
    }

    /// As people read it: `312 g a day` or `0.69 lb a day`.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Metric => phrase!("{} g a day", self.0).replace('-', "−"),
            Units::Imperial => phrase!("{:.2} lb a day", self.0 as f64 / POUND_G).replace('-', "−"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typed_weights() {
        for (typed, units, grams) in [
            ("4.2", Units::Metric, 4200),
            ("4,25 kg", Units::Metric, 4250),
            ("9 lb 4 oz", Units::Metric, 4196),
            ("9lb4", Units::Metric, 4196),
            ("9 4", Units::Imperial, 4196),
            ("9.25", Units::Imperial, 4196),
            ("4200 g", Units::Imperial, 4200),
            ("150", Units::Metric, 150_000),
        ] {
            assert_eq!(Weight::parse(typed, units).map(Weight::grams), Ok(grams), "{typed}");
        }
        for wrong in ["", "0", "-4", "four", "9 lb 17 oz", "1e3", "600", "4.2.1", "NaN"] {
            assert!(Weight::parse(wrong, Units::Metric).is_err(), "{wrong}");
        }
    }

    #[test]
    fn shown_weights() {
        let w = |g| Weight::from_grams(g).unwrap();
        assert_eq!(w(4200).show(Units::Metric), "4.2 kg");
        assert_eq!(w(4250).show(Units::Metric), "4.25 kg");
        assert_eq!(w(4196).show(Units::Imperial), "9 lb 4 oz");
        assert_eq!(w(21_000).show(Units::Metric), "21.0 kg");
        assert_eq!(w(4250).kg_text(), "4.25");
        assert_eq!(w(40_000).kg_text(), "40");
    }

    #[test]
    fn every_weight_round_trips_through_csv() {
        for g in (1..500_000).step_by(97) {
            let w = Weight::from_grams(g).unwrap();
            assert_eq!(Weight::parse(&w.kg_text(), Units::Metric), Ok(w));
        }
    }
}
