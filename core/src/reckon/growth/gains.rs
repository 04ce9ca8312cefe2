//! Gains of an animal up to a weighing.

use crate::flock::AnimalFile;
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
