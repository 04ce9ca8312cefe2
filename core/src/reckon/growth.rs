//! Growth: daily gains, age-corrected weights, and weights that look odd.

pub use super::curves::{Misread, misread_tags};
use crate::flock::AnimalFile;
use crate::handbook::growth as bounds;
use crate::terms::{Day, Gain, Weight};

/// Gains of an animal at a weighing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Gains {
    /// A day since birth, when birth day and weight are known.
    pub since_birth: Option<Gain>,
    /// A day since the weighing before, with the days between.
    pub since_last: Option<(Gain, i64)>,
    /// Age at this weighing in days.
    pub age: Option<i64>,
}

/// Gains up to a weight on a day. Weighings on the same day or later are left out of account.
pub fn gains(file: &AnimalFile, on: Day, weight: Weight) -> Gains {
    let born = file.animal.born.exact();
    let age = born.map(|b| on.since(b)).filter(|a| *a >= 0);
    let since_birth = age.and_then(|a| file.animal.birth_weight.and_then(|b| Gain::between(b, weight, a)));
    let since_last = file
        .weights()
        .into_iter()
        .rfind(|(d, _)| *d < on)
        .and_then(|(d, w)| Gain::between(w, weight, on.since(d)).map(|g| (g, on.since(d))));
    Gains { since_birth, since_last, age }
}

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

/// Why a weight looks odd beside the animal's others; the bounds and what they stand on are in the handbook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Odd {
    /// A growing lamb lost weight.
    Loss {
        /// The weight before.
        before: Weight,
        /// Its day.
        on: Day,
    },
    /// More than any lamb gains in a day (600 g; flock means reach 413 g, Teagasc 2020).
    Gain {
        /// The gain.
        gain: Gain,
        /// The weight before.
        before: Weight,
        /// Its day.
        on: Day,
    },
    /// A grown animal changed by more than a fifth within 60 days.
    Jump {
        /// The weight before.
        before: Weight,
        /// Its day.
        on: Day,
    },
    /// Off the curve through the animal's other weights.
    OffCurve {
        /// What the curve expects.
        expected: Weight,
        /// The lower edge of what would not be questioned.
        low: Weight,
        /// The upper edge.
        high: Weight,
        /// Weights the curve is drawn through.
        weights: usize,
    },
}

/// Questions a weight beside the weight before it, and beside the animal's own curve where it has weights enough.
pub fn odd(file: &AnimalFile, on: Day, weight: Weight) -> Option<Odd> {
    beside_last(file, on, weight).or_else(|| super::curves::off_curve(file, on, weight))
}

fn beside_last(file: &AnimalFile, on: Day, weight: Weight) -> Option<Odd> {
    let all = file.weights();
    let before = all.iter().copied().rfind(|(d, _)| *d <= on)?;
    let (d, w) = before;
    let days = on.since(d);
    let lamb = file.animal.born.day().is_some_and(|b| on.since(b) < bounds::growing_days());
    let change = weight.grams() - w.grams();
    if lamb {
        let newborn = days <= bounds::newborn_days();
        let percent = if newborn { bounds::newborn_loss_percent() } else { bounds::loss_percent() };
        if change < -(w.grams() * percent / 100) {
            return Some(Odd::Loss { before: w, on: d });
        }
        let gain = Gain(((change as f64) / days.max(1) as f64).round() as i64);
        if gain.0 > bounds::odd_gain_g_per_day() && change > bounds::odd_gain_least_g() {
            return Some(Odd::Gain { gain, before: w, on: d });
        }
    } else if days <= bounds::jump_days() && change.abs() * 100 > w.grams() * bounds::jump_percent() {
        return Some(Odd::Jump { before: w, on: d });
    }
    None
}
