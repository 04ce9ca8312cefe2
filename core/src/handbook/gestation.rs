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
