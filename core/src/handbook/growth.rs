//! Weights at 60 days, and weights that look odd.

use super::{Fact, HANDBOOK};
use serde::Deserialize;

/// The table `growth`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Growth {
    sixty_from_days: Fact<i64>,
    sixty_to_days: Fact<i64>,
    sixty_sure_from_days: Fact<i64>,
    sixty_sure_to_days: Fact<i64>,
    odd_gain_g_per_day: Fact<i64>,
    odd_gain_least_g: Fact<i64>,
    growing_days: Fact<i64>,
    newborn_days: Fact<i64>,
    newborn_loss_percent: Fact<i64>,
    loss_percent: Fact<i64>,
    jump_percent: Fact<i64>,
    jump_days: Fact<i64>,
}

/// Youngest age at which a weighing gives a weight at 60 days.
pub fn sixty_from_days() -> i64 {
    HANDBOOK.growth.sixty_from_days.value
}

/// Oldest age at which a weighing gives a weight at 60 days.
pub fn sixty_to_days() -> i64 {
    HANDBOOK.growth.sixty_to_days.value
}

/// From this age the straight line to 60 days holds.
pub fn sixty_sure_from_days() -> i64 {
    HANDBOOK.growth.sixty_sure_from_days.value
}

/// Up to this age the straight line to 60 days holds.
pub fn sixty_sure_to_days() -> i64 {
    HANDBOOK.growth.sixty_sure_to_days.value
}

/// Gains above this are questioned, grams a day.
pub fn odd_gain_g_per_day() -> i64 {
    HANDBOOK.growth.odd_gain_g_per_day.value
}

/// A smaller change is never an odd gain, grams.
pub fn odd_gain_least_g() -> i64 {
    HANDBOOK.growth.odd_gain_least_g.value
}

/// Younger than this a sheep should not lose weight, days.
pub fn growing_days() -> i64 {
    HANDBOOK.growth.growing_days.value
}

/// For so many days between weighings the slack of a new-born holds.
pub fn newborn_days() -> i64 {
    HANDBOOK.growth.newborn_days.value
}

/// What a new-born may lose in its first days, per cent.
pub fn newborn_loss_percent() -> i64 {
    HANDBOOK.growth.newborn_loss_percent.value
}

/// What a growing sheep may seem to lose between two weighings, per cent.
pub fn loss_percent() -> i64 {
    HANDBOOK.growth.loss_percent.value
}

/// A grown sheep that changes by more is questioned, per cent.
pub fn jump_percent() -> i64 {
    HANDBOOK.growth.jump_percent.value
}

/// … within so many days.
pub fn jump_days() -> i64 {
    HANDBOOK.growth.jump_days.value
}
