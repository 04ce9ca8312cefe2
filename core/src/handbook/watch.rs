//! Whom to watch, and how long.

use super::{Fact, HANDBOOK};
use serde::Deserialize;

/// The table `watch`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Watch {
    light_g: Fact<i64>,
    first_days: Fact<i64>,
    gain_over_days: Fact<i64>,
    gain_shown_days: Fact<i64>,
    bottle_days: Fact<i64>,
    lost_lamb_days: Fact<i64>,
}

/// A lamb lighter than this at birth is watched, grams.
pub fn light_g() -> i64 {
    HANDBOOK.watch.light_g.value
}

/// Days a light lamb, or one of three or more, is watched from birth.
pub fn first_days() -> i64 {
    HANDBOOK.watch.first_days.value
}

/// Least days between two weighings that can show a want of gain.
pub fn gain_over_days() -> i64 {
    HANDBOOK.watch.gain_over_days.value
}

/// Days a want of gain is shown after the second weighing.
pub fn gain_shown_days() -> i64 {
    HANDBOOK.watch.gain_shown_days.value
}

/// Age to which a lamb on the bottle is watched, days.
pub fn bottle_days() -> i64 {
    HANDBOOK.watch.bottle_days.value
}

/// Days a ewe that lost a lamb is watched.
pub fn lost_lamb_days() -> i64 {
    HANDBOOK.watch.lost_lamb_days.value
}
