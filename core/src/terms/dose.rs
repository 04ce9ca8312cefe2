//! Doses: exact amounts as given, and the arithmetic from a label's rule to an amount.
//! Nothing here outranks the label or the vet.

use super::{Misread, Weight};
use crate::phrase;
use std::fmt;

/// An amount of a medicine as given: volume in whole microlitres, mass in whole micrograms, or pieces.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dose {
    /// Microlitres.
    Volume(u32),
    /// Micrograms.
    Mass(u64),
    /// Whole tablets, boluses or applications.
    Pieces(u32),
}

impl Dose {
    /// A volume in millilitres, more than 0 and at most 2 litres.
    pub fn from_ml(ml: f64) -> Option<Self> {
        let ul = (ml * 1000.0).round();
        (ml.is_finite() && (1.0..=2_000_000.0).contains(&ul)).then_some(Self::Volume(ul as u32))
    }

    /// An amount as it is bought or stands on a shelf: written like a dose, up to 1000 litres, 100 kg or a million
    /// pieces; `3 x 250 ml` is three bottles; `0` is none.
    ///
    /// # Errors
    /// Says what was read and how an amount is written.
    pub fn parse_stock(text: &str) -> Result<Self, Misread> {
        let low = text.trim().to_lowercase().replace(',', ".");
        let wrong = || {
            let typed = text.trim();
            Misread::new(phrase!("'{typed}' is not an amount: write 250 (ml), 5 l, 500 mg or 20 pieces"))
        };
        // Several bottles: `3 x 250 ml`.
        if let Some((n, each)) = low.split_once(['x', '×'])
            && let Ok(n) = n.trim().parse::<u32>()
        {
            let many = |each: u64, most: u64| each.checked_mul(n.into()).filter(|all| *all <= most && n > 0);
            let small = |n: u64| u32::try_from(n).ok();
            return match Self::parse_stock(each)? {
                Self::Volume(ul) => many(ul.into(), 1_000_000_000).and_then(small).map(Self::Volume),
                Self::Mass(ug) => many(ug, 100_000_000_000).map(Self::Mass),
                Self::Pieces(p) => many(p.into(), 1_000_000).and_then(small).map(Self::Pieces),
            }
            .ok_or_else(wrong);
        }
        let split = low.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(low.len());
        let (n, unit) = low.split_at(split);
        let n: f64 = n.parse().map_err(|_| wrong())?;
        let whole = |n: f64, most: f64| -> Option<u64> { (n <= most).then(|| n.round() as u64) };
        let small = |n: u64| u32::try_from(n).ok();
        let read = match unit.trim() {
            "" | "ml" | "cc" => whole(n * 1e3, 1e9).and_then(small).map(Self::Volume),
            "l" | "litre" | "litres" => whole(n * 1e6, 1e9).and_then(small).map(Self::Volume),
            "mg" => whole(n * 1e3, 1e11).map(Self::Mass),
            "g" => whole(n * 1e6, 1e11).map(Self::Mass),
            "kg" => whole(n * 1e9, 1e11).map(Self::Mass),
            "piece" | "pieces" | "tablet" | "tablets" | "bolus" | "boluses" | "dose" | "doses"
                if n.fract() == 0.0 =>
            {
                whole(n, 1e6).and_then(small).map(Self::Pieces)
            }
            _ => None,
        };
        read.ok_or_else(wrong)
    }

    /// Millilitres, if this is a volume.
    pub fn ml(self) -> Option<f64> {
        match self {
            Self::Volume(ul) => Some(f64::from(ul) / 1000.0),
            _ => None,
        }
    }

    /// `2`, `2.5 ml`, `2,5`, `1 tablet`, `2 pieces`, `500 mg`, `1 g`. A bare number is millilitres.
    ///
    /// # Errors
    /// Says what was read and how a dose is written.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let low = text.trim().to_lowercase().replace(',', ".");
        let wrong =
            || Misread::new(phrase!("'{}' is not a dose: write 2.5 (ml), 500 mg or 1 piece", text.trim()));
        let split = low.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(low.len());
        let (n, unit) = low.split_at(split);
        let n: f64 = n.parse().map_err(|_| wrong())?;
        match unit.trim() {
            "" | "ml" | "cc" => Self::from_ml(n).ok_or_else(wrong),
            "l" => Self::from_ml(n * 1000.0).ok_or_else(wrong),
            "mg" | "g" => {
                let ug = (n * if unit.trim() == "g" { 1e6 } else { 1e3 }).round();
                if (1.0..=1e12).contains(&ug) { Ok(Self::Mass(ug as u64)) } else { Err(wrong()) }
            }
            "piece" | "pieces" | "tablet" | "tablets" | "bolus" | "boluses" | "dose" | "doses" => {
                if (1.0..=1000.0).contains(&n) && n.fract() == 0.0 {
                    Ok(Self::Pieces(n as u32))
                } else {
                    Err(wrong())
                }
            }
            _ => Err(wrong()),
        }
    }
}

impl fmt::Display for Dose {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Volume(ul) => write!(f, "{} ml", thousandths(u64::from(*ul))),
            Self::Mass(ug) => write!(f, "{} mg", thousandths(*ug)),
            Self::Pieces(1) => f.write_str("1 piece"),
            Self::Pieces(n) => write!(f, "{n} pieces"),
        }
    }
}

/// Thousandths as a decimal: always a figure before the point, never a nought after the last figure
/// (so that 0.5 is never read as 5, nor 30 as 300: source jackmauldin.com, dosage, as read in the reference).
pub(crate) fn thousandths(n: u64) -> String {
    let mut s = format!("{}.{:03}", n / 1000, n % 1000);
    while s.ends_with('0') {
        s.pop();
    }
    s.trim_end_matches('.').to_string()
}

/// Strength of a product in micrograms of substance per millilitre.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Strength(pub u32);

impl Strength {
    /// From milligrams per millilitre as printed on the label.
    pub fn from_mg_per_ml(mg: f64) -> Option<Self> {
        let ug = (mg * 1000.0).round();
        (mg.is_finite() && (1.0..=4e9).contains(&ug)).then_some(Self(ug as u32))
    }

    /// Milligrams per millilitre.
    pub fn mg_per_ml(self) -> f64 {
        f64::from(self.0) / 1000.0
    }
}

/// How the label says to reckon a dose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum DoseRule {
    /// Microlitres for each kilogram.
    PerKg(u32),
    /// Microlitres for each head, whatever its weight.
    PerHead(u32),
    /// The label's rule was not written down: the keeper types the dose.
    #[default]
    Typed,
}

impl DoseRule {
    /// The dose for an animal, rounded to a hundredth of a millilitre: what the label's figures give,
    /// before rounding to a syringe's mark. A per-kilogram rule without a weight gives none:
    /// a sum with a guessed weight is refused.
    pub fn dose(self, weight: Option<Weight>) -> Option<Dose> {
        match self {
            Self::PerKg(ul) => {
                let ml = f64::from(ul) / 1000.0 * weight?.kg();
                Dose::from_ml((ml * 100.0).round() / 100.0)
            }
            Self::PerHead(ul) => Some(Dose::Volume(ul)),
            Self::Typed => None,
        }
    }

    /// As people read it.
    pub fn words(self) -> String {
        match self {
            Self::PerKg(ul) => phrase!("{} ml per kg", thousandths(u64::from(ul))),
            Self::PerHead(ul) => phrase!("{} ml a head", thousandths(u64::from(ul))),
            Self::Typed => "dose as typed".into(),
        }
    }
}

/// Millilitres that hold `mg_per_kg` for an animal of `weight` at a `strength`:
/// ml = mg/kg × kg ÷ mg/ml (animal health manual ch. 28.10, worked example in the reference tests).
pub fn ml_for(mg_per_kg: f64, weight: Weight, strength: Strength) -> f64 {
    mg_per_kg * weight.kg() / strength.mg_per_ml()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doses_as_typed_and_shown() {
        for (typed, shown) in [
            ("2", "2 ml"),
            (".5", "0.5 ml"),
            ("2,5 ml", "2.5 ml"),
            ("30.0", "30 ml"),
            ("500 mg", "500 mg"),
            ("1 tablet", "1 piece"),
        ] {
            assert_eq!(Dose::parse(typed).map(|d| d.to_string()), Ok(shown.to_string()), "{typed}");
        }
        for wrong in ["", "0", "-1", "two", "5 buckets", "9999999", "1.5 tablets", "1.2.3"] {
            assert!(Dose::parse(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn amounts_on_the_shelf_are_larger_than_doses() {
        for (typed, shown) in [
            ("250", "250 ml"),
            ("5 l", "5000 ml"),
            ("0", "0 ml"),
            ("2,5l", "2500 ml"),
            ("50 doses", "50 pieces"),
            ("1 kg", "1000000 mg"),
            ("3 x 250 ml", "750 ml"),
            ("2×50 doses", "100 pieces"),
        ] {
            assert_eq!(Dose::parse_stock(typed).map(|d| d.to_string()), Ok(shown.to_string()), "{typed}");
        }
        for wrong in [
            "",
            "-1",
            "two",
            "5 buckets",
            "2000 l",
            "1.5 doses",
            "1.2.3",
            "inf",
            "0 x 5",
            "x 5",
            "2000 x 1 l",
        ] {
            assert!(Dose::parse_stock(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_rule_by_weight_needs_a_weight() {
        let rule = DoseRule::PerKg(100);
        assert_eq!(rule.dose(None), None);
        assert_eq!(rule.dose(Weight::from_grams(37_000)).map(|d| d.to_string()), Some("3.7 ml".into()));
    }
}
