//! Days from service to lambing.

use super::{Fact, HANDBOOK};
use serde::Deserialize;

/// The table `gestation`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Gestation {
    usual_days: Fact<i64>,
    early_days: Fact<i64>,
    late_days: Fact<i64>,
    breeds: Fact<String>,
    learn_least: Fact<u32>,
    learn_from_days: Fact<i64>,
    learn_to_days: Fact<i64>,
}

/// Usual days from service to lambing.
pub fn usual_days() -> i64 {
    HANDBOOK.gestation.usual_days.value
}

/// Shortest of the usual window, days.
pub fn early_days() -> i64 {
    HANDBOOK.gestation.early_days.value
}

/// Longest of the usual window, days.
pub fn late_days() -> i64 {
    HANDBOOK.gestation.late_days.value
}

/// How breeds differ, in words.
pub fn breeds() -> &'static str {
    &HANDBOOK.gestation.breeds.value
}

/// So many lambings with a known day of service tell the flock's own length.
pub fn learn_least() -> u32 {
    HANDBOOK.gestation.learn_least.value
}

/// Shortest of those that are learnt from, days.
pub fn learn_from_days() -> i64 {
    HANDBOOK.gestation.learn_from_days.value
}

/// Longest of those that are learnt from, days.
pub fn learn_to_days() -> i64 {
    HANDBOOK.gestation.learn_to_days.value
}
