//! Bounds of a lambing, and what a new-born needs.

use super::{Fact, HANDBOOK};
use serde::Deserialize;

/// The table `lambing`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Lambing {
    again_days: Fact<i64>,
    heavy_g: Fact<i64>,
    light_g: Fact<i64>,
    ram_fertile_days: Fact<i64>,
    ewe_lambs_days: Fact<i64>,
    reared_days: Fact<i64>,
    first_feed_ml_per_kg: Fact<f64>,
}

/// Two lambings of a ewe within so many days are questioned.
pub fn again_days() -> i64 {
    HANDBOOK.lambing.again_days.value
}

/// A lamb above this at birth is questioned, grams.
pub fn heavy_g() -> i64 {
    HANDBOOK.lambing.heavy_g.value
}

/// A lamb below this at birth is questioned, grams.
pub fn light_g() -> i64 {
    HANDBOOK.lambing.light_g.value
}

/// A ram younger than this at service is questioned, days.
pub fn ram_fertile_days() -> i64 {
    HANDBOOK.lambing.ram_fertile_days.value
}

/// A ewe younger than this at lambing is questioned, days.
pub fn ewe_lambs_days() -> i64 {
    HANDBOOK.lambing.ewe_lambs_days.value
}

/// A lamb that lived to this age counts as reared, days.
pub fn reared_days() -> i64 {
    HANDBOOK.lambing.reared_days.value
}

/// First feed of colostrum, millilitres for each kilogram.
pub fn first_feed_ml_per_kg() -> f64 {
    HANDBOOK.lambing.first_feed_ml_per_kg.value
}
