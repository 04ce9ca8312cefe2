//! Hay to spring: what is expected of ewes and hay while the flock's own records are few.

use super::{Fact, HANDBOOK};
use crate::terms::MonthDay;
use serde::Deserialize;

/// The table `spring`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Spring {
    right_one_percent: Fact<f64>,
    right_more_percent: Fact<f64>,
    right_three_percent: Fact<f64>,
    right_in_lamb_percent: Fact<f64>,
    barren_percent: Fact<f64>,
    lost_percent: Fact<f64>,
    lost_first_week_percent: Fact<f64>,
    litter_one_percent: Fact<f64>,
    litter_two_percent: Fact<f64>,
    litter_three_percent: Fact<f64>,
    weighs_as: Fact<f64>,
    settle_percent: Fact<f64>,
    ram_days: Fact<i64>,
    bale_off_percent: Fact<f64>,
    given_off_percent: Fact<f64>,
    spoiled_percent: Fact<f64>,
    spoiled_off_percent: Fact<f64>,
    grass_share_percent: Fact<f64>,
    grass: Fact<String>,
}

/// A single counted by the scanner is one, percent.
pub fn right_one_percent() -> f64 {
    HANDBOOK.spring.right_one_percent.value
}

/// Two or more counted are two or more, percent.
pub fn right_more_percent() -> f64 {
    HANDBOOK.spring.right_more_percent.value
}

/// Three counted are three, percent.
pub fn right_three_percent() -> f64 {
    HANDBOOK.spring.right_three_percent.value
}

/// Found in lamb is in lamb, percent.
pub fn right_in_lamb_percent() -> f64 {
    HANDBOOK.spring.right_in_lamb_percent.value
}

/// Ewes joined that do not lamb, percent.
pub fn barren_percent() -> f64 {
    HANDBOOK.spring.barren_percent.value
}

/// Lambs born that are lost by weaning, percent.
pub fn lost_percent() -> f64 {
    HANDBOOK.spring.lost_percent.value
}

/// Of lambs lost, those lost in their first week, percent.
pub fn lost_first_week_percent() -> f64 {
    HANDBOOK.spring.lost_first_week_percent.value
}

/// Litters of one, percent.
pub fn litter_one_percent() -> f64 {
    HANDBOOK.spring.litter_one_percent.value
}

/// Litters of two, percent.
pub fn litter_two_percent() -> f64 {
    HANDBOOK.spring.litter_two_percent.value
}

/// Litters of three, percent.
pub fn litter_three_percent() -> f64 {
    HANDBOOK.spring.litter_three_percent.value
}

/// The handbook's shares weigh as much as so many of the flock's own.
pub fn weighs_as() -> f64 {
    HANDBOOK.spring.weighs_as.value
}

/// Ewes that take the ram in one cycle, percent.
pub fn settle_percent() -> f64 {
    HANDBOOK.spring.settle_percent.value
}

/// A ram that was not taken out stays so many days.
pub fn ram_days() -> i64 {
    HANDBOOK.spring.ram_days.value
}

/// Standard deviation of bales not weighed, percent of their written weight.
pub fn bale_off_percent() -> f64 {
    HANDBOOK.spring.bale_off_percent.value
}

/// Standard deviation of what is given by eye, percent of the ration.
pub fn given_off_percent() -> f64 {
    HANDBOOK.spring.given_off_percent.value
}

/// Spoiled beside what is fed, percent.
pub fn spoiled_percent() -> f64 {
    HANDBOOK.spring.spoiled_percent.value
}

/// Standard deviation of that share, percent points.
pub fn spoiled_off_percent() -> f64 {
    HANDBOOK.spring.spoiled_off_percent.value
}

/// Share of the ration eaten from the first day of grass on, percent.
pub fn grass_share_percent() -> f64 {
    HANDBOOK.spring.grass_share_percent.value
}

/// The first day of grass until the keeper names another.
pub fn grass() -> Option<MonthDay> {
    MonthDay::parse(&HANDBOOK.spring.grass.value).ok()
}
