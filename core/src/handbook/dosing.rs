//! Bounds of a dose.

use super::{Fact, HANDBOOK};
use serde::Deserialize;

/// The table `dosing`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Dosing {
    stale_lamb_days: Fact<i64>,
    stale_adult_days: Fact<i64>,
    under_skin_lamb_ml: Fact<u32>,
    under_skin_adult_ml: Fact<u32>,
    muscle_lamb_ml: Fact<u32>,
    muscle_adult_ml: Fact<u32>,
    above_label_times: Fact<f64>,
}

/// A lamb's weight older than this is questioned for a dose, days.
pub fn stale_lamb_days() -> i64 {
    HANDBOOK.dosing.stale_lamb_days.value
}

/// A grown sheep's weight older than this is questioned for a dose, days.
pub fn stale_adult_days() -> i64 {
    HANDBOOK.dosing.stale_adult_days.value
}

/// Most at one place under the skin of a lamb, millilitres.
pub fn under_skin_lamb_ml() -> u32 {
    HANDBOOK.dosing.under_skin_lamb_ml.value
}

/// Most at one place under the skin of a grown sheep, millilitres.
pub fn under_skin_adult_ml() -> u32 {
    HANDBOOK.dosing.under_skin_adult_ml.value
}

/// Most at one place in the muscle of a lamb, millilitres.
pub fn muscle_lamb_ml() -> u32 {
    HANDBOOK.dosing.muscle_lamb_ml.value
}

/// Most at one place in the muscle of a grown sheep, millilitres.
pub fn muscle_adult_ml() -> u32 {
    HANDBOOK.dosing.muscle_adult_ml.value
}

/// A typed dose is questioned above so many times the label's.
pub fn above_label_times() -> f64 {
    HANDBOOK.dosing.above_label_times.value
}
