//! The ram at work: cycles, scans, returns.

use super::{Fact, HANDBOOK};
use serde::Deserialize;

/// The table `tupping`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Tupping {
    cycle_days: Fact<i64>,
    cycle_early_days: Fact<i64>,
    cycle_late_days: Fact<i64>,
    scan_error_days: Fact<i64>,
    returns_percent: Fact<usize>,
    returns_least: Fact<usize>,
}

/// Usual days of a cycle.
pub fn cycle_days() -> i64 {
    HANDBOOK.tupping.cycle_days.value
}

/// Shortest cycle, days.
pub fn cycle_early_days() -> i64 {
    HANDBOOK.tupping.cycle_early_days.value
}

/// Longest cycle, days.
pub fn cycle_late_days() -> i64 {
    HANDBOOK.tupping.cycle_late_days.value
}

/// Days by which the scanner's age of the lambs may be wrong, either way.
pub fn scan_error_days() -> i64 {
    HANDBOOK.tupping.scan_error_days.value
}

/// Share of the ewes of a ram that came back from which he is to be looked at, percent.
pub fn returns_percent() -> usize {
    HANDBOOK.tupping.returns_percent.value
}

/// Fewest ewes he must have served for that.
pub fn returns_least() -> usize {
    HANDBOOK.tupping.returns_least.value
}
