//! Weights carried to 60 days on a straight line.

use crate::flock::AnimalFile;
use crate::handbook::growth as bounds;
use crate::terms::Weight;

/// Weight carried to a fixed age on a straight line: w_T = b + (w − b) · T / age, in grams.
/// Source: sheep101.info/201/adjweanwts; the line holds for 30 ± 7, 60 ± 7 and 90 ± 28 days
/// (Boggess et al. 1991, J Anim Sci 69:3190). None at no age.
pub fn corrected(birth: Weight, weight: Weight, age: i64, to_age: i64) -> Option<Weight> {
    if age <= 0 {
        return None;
    }
    let b = birth.grams() as f64;
    let w = b + (weight.grams() as f64 - b) * to_age as f64 / age as f64;
    Weight::from_grams(w.round() as i64)
}

/// A lamb's weight at 60 days, from its weighing nearest to that age between 42 and 120 days.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SixtyDay {
    /// Age-corrected weight.
    pub weight: Weight,
    /// Weighed at this age.
    pub at_age: i64,
}

impl SixtyDay {
    /// Weighed within the window in which the straight line holds (60 ± 7 days).
    pub fn is_within_window(self) -> bool {
        (bounds::sixty_sure_from_days()..=bounds::sixty_sure_to_days()).contains(&self.at_age)
    }
}

/// The 60-day weight of an animal, if birth day, birth weight and a fit weighing are known.
pub fn sixty_day(file: &AnimalFile) -> Option<SixtyDay> {
    let born = file.animal.born.exact()?;
    let birth = file.animal.birth_weight?;
    file.weighings
        .iter()
        .filter(|w| w.struck.is_none())
        .map(|w| (w.at.day.since(born), w.weight))
        .filter(|(age, _)| (bounds::sixty_from_days()..=bounds::sixty_to_days()).contains(age))
        .min_by_key(|(age, _)| (age - 60).abs())
        .and_then(|(age, w)| corrected(birth, w, age, 60).map(|weight| SixtyDay { weight, at_age: age }))
}
