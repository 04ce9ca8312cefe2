//! Standard weights of a flock, to compare the use of antibiotics.

use super::{Fact, HANDBOOK};
use serde::Deserialize;

/// The table `antibiotics`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Antibiotics {
    grown_kg: Fact<f64>,
    lamb_kg: Fact<f64>,
}

/// Standard weight of a grown sheep, kilograms.
pub fn grown_kg() -> f64 {
    HANDBOOK.antibiotics.grown_kg.value
}

/// Standard weight of a lamb when it is treated, kilograms.
pub fn lamb_kg() -> f64 {
    HANDBOOK.antibiotics.lamb_kg.value
}
