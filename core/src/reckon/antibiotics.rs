//! Antibiotics used in a flock in a year, for each kilogram of it.

use crate::handbook::antibiotics::{grown_kg, lamb_kg};
use crate::phrase;

/// What is said beside the figure.
pub const CHECK: &str =
    "for your own comparison from year to year only: standard weights, not the flock's own";

/// A flock to be weighed by standard weights.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Standing {
    /// Grown ewes of the year.
    pub ewes: u32,
    /// Grown rams and wethers of the year.
    pub rams: u32,
    /// Lambs of the year: sold or slaughtered as lambs, or grown on.
    pub lambs: u32,
}

/// Kilograms of a flock by standard weights: 75 for each grown sheep, 20 for each lamb, the European sales figures'
/// population correction unit (Can J Vet Res 2017;81(3):235-240, table I: livestock sheep 75 kg, slaughter sheep 20 kg).
/// Those figures take lambs as they are slaughtered; all lambs of the year stand in for them here.
pub fn flock_kg(standing: Standing) -> f64 {
    let Standing { ewes, rams, lambs } = standing;
    (f64::from(ewes) + f64::from(rams)) * grown_kg() + f64::from(lambs) * lamb_kg()
}

/// Milligrams of active substance for each kilogram: Σ mg ⁄ kg (Vet Record, veterinaryrecord.bmj.com, markup 136565:
/// total use in mg ⁄ total weight at risk of treatment in kg, called mg/PCU with standard weights).
/// None for a flock of no weight, or milligrams below nothing.
pub fn mg_per_kg(mg: &[f64], kg: f64) -> Option<f64> {
    let fit = kg.is_finite() && kg > 0.0 && mg.iter().all(|m| m.is_finite() && *m >= 0.0);
    fit.then(|| mg.iter().sum::<f64>() / kg)
}

/// As it is said: `12.3 mg for each kg of the flock in 2026 (…)`.
pub fn words(mg_per_kg: f64, year: i32) -> String {
    phrase!("{mg_per_kg:.1} mg for each kg of the flock in {year} ({CHECK})")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flock_and_its_use() {
        let kg = flock_kg(Standing { ewes: 20, rams: 2, lambs: 30 });
        assert_eq!(kg, 22.0 * 75.0 + 30.0 * 20.0);
        assert_eq!(mg_per_kg(&[4500.0, 18_000.0], kg), Some(10.0));
        assert_eq!(mg_per_kg(&[], kg), Some(0.0));
        assert_eq!(mg_per_kg(&[1.0], 0.0), None);
        assert_eq!(mg_per_kg(&[f64::NAN], kg), None);
        assert_eq!(mg_per_kg(&[-1.0], kg), None);
        assert!(words(10.0, 2026).starts_with("10.0 mg for each kg of the flock in 2026 (for your own"));
    }
}
