//! Bounds of a worm egg count reduction test.

use super::{Fact, Ground, HANDBOOK, Marked};
use crate::phrase;
use serde::Deserialize;

/// The table `worms`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Worms {
    reduction_percent: Fact<f64>,
    lower_percent: Fact<f64>,
    group_least: Fact<usize>,
    before_least_epg: Fact<u32>,
    windows: Vec<Window>,
}

/// When the second count is taken after a treatment.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "WindowRow")]
pub struct Window {
    /// The group of wormers, as people say it.
    pub group: String,
    /// Parts of the names of its substances, in small letters; none for any other.
    pub substances: Vec<String>,
    /// First day after the treatment.
    pub from_days: i64,
    /// Last day after the treatment.
    pub to_days: i64,
    /// What the row stands on.
    pub ground: Ground,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WindowRow {
    group: String,
    substances: Vec<String>,
    from_days: i64,
    to_days: i64,
    source: String,
    seen: Option<bool>,
}

impl TryFrom<WindowRow> for Window {
    type Error = String;

    fn try_from(row: WindowRow) -> Result<Self, String> {
        let ground = Marked::new(row.source, row.seen).ground()?;
        if row.from_days < 1 || row.to_days < row.from_days {
            return Err(phrase!("{}: days {} to {}", row.group, row.from_days, row.to_days));
        }
        let WindowRow { group, substances, from_days, to_days, .. } = row;
        Ok(Self { group, substances, from_days, to_days, ground })
    }
}

/// Eggs that fell by less than this say resistance, percent.
pub fn reduction_percent() -> f64 {
    HANDBOOK.worms.reduction_percent.value
}

/// A lower 95 % limit no higher than this says resistance, percent.
pub fn lower_percent() -> f64 {
    HANDBOOK.worms.lower_percent.value
}

/// Fewer animals than this say little.
pub fn group_least() -> usize {
    HANDBOOK.worms.group_least.value
}

/// A lower mean count before the treatment than this says little, eggs per gram.
pub fn before_least_epg() -> u32 {
    HANDBOOK.worms.before_least_epg.value
}

/// When to count again, by group of wormers; the last is for any other.
pub fn windows() -> &'static [Window] {
    &HANDBOOK.worms.windows
}
