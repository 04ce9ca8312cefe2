//! Growth curves: what they need, how far they are read, whom they name.

use super::{Fact, HANDBOOK};
use serde::Deserialize;

/// The table `curves`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Curves {
    least_weights: Fact<i64>,
    least_days: Fact<i64>,
    ahead_percent: Fact<i64>,
    mature_above_percent: Fact<i64>,
    mature_error_percent: Fact<i64>,
    flock_weights: Fact<i64>,
    flock_animals: Fact<i64>,
    near_weights: Fact<i64>,
    near_days: Fact<i64>,
    flock_most: Fact<i64>,
    flock_years: Fact<i64>,
    flock_to_days: Fact<i64>,
    behind_days: Fact<i64>,
    off_percent: Fact<i64>,
    own_spread_percent: Fact<i64>,
    twin_gain: Fact<i64>,
    single_gain: Fact<i64>,
    gain_from_days: Fact<i64>,
    gain_to_days: Fact<i64>,
}

/// Weights on different days that a curve needs.
pub fn least_weights() -> i64 {
    HANDBOOK.curves.least_weights.value
}

/// Days from the first to the last of them.
pub fn least_days() -> i64 {
    HANDBOOK.curves.least_days.value
}

/// How much farther than its last weight a curve is read, per cent of the days it covers.
pub fn ahead_percent() -> i64 {
    HANDBOOK.curves.ahead_percent.value
}

/// A mature weight lies no more above the heaviest weight, per cent.
pub fn mature_above_percent() -> i64 {
    HANDBOOK.curves.mature_above_percent.value
}

/// Its standard error is no more than this, per cent of it.
pub fn mature_error_percent() -> i64 {
    HANDBOOK.curves.mature_error_percent.value
}

/// Weights that a band of the flock needs.
pub fn flock_weights() -> i64 {
    HANDBOOK.curves.flock_weights.value
}

/// Animals that they are of.
pub fn flock_animals() -> i64 {
    HANDBOOK.curves.flock_animals.value
}

/// Weights near an age that a band needs there.
pub fn near_weights() -> i64 {
    HANDBOOK.curves.near_weights.value
}

/// Near is within so many days.
pub fn near_days() -> i64 {
    HANDBOOK.curves.near_days.value
}

/// The newest weights of each sort that are enough in every fortnight of age.
pub fn flock_most() -> i64 {
    HANDBOOK.curves.flock_most.value
}

/// Years in which their animals were born.
pub fn flock_years() -> i64 {
    HANDBOOK.curves.flock_years.value
}

/// Age at which a band of the flock ends.
pub fn flock_to_days() -> i64 {
    HANDBOOK.curves.flock_to_days.value
}

/// Days an animal outside its band is named after the weighing.
pub fn behind_days() -> i64 {
    HANDBOOK.curves.behind_days.value
}

/// A weight this far off its own curve may be questioned, per cent.
pub fn off_percent() -> i64 {
    HANDBOOK.curves.off_percent.value
}

/// Spread taken to be known from four more weights, per cent.
pub fn own_spread_percent() -> i64 {
    HANDBOOK.curves.own_spread_percent.value
}

/// Least gain from birth of a twin, grams a day.
pub fn twin_gain() -> i64 {
    HANDBOOK.curves.twin_gain.value
}

/// Least gain from birth of a single, grams a day.
pub fn single_gain() -> i64 {
    HANDBOOK.curves.single_gain.value
}

/// From this age those gains hold.
pub fn gain_from_days() -> i64 {
    HANDBOOK.curves.gain_from_days.value
}

/// Up to this age those gains hold.
pub fn gain_to_days() -> i64 {
    HANDBOOK.curves.gain_to_days.value
}
