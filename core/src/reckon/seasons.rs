//! Lambings of the whole flock summed by calendar year, for what looks ahead; [`super::flock_figures`] has the figures.
//!
//! Fostered lambs count for the ewe that bore them.

use super::figures::{Mean, lambing_row};
use super::gestation;
use crate::flock::Flock;
use crate::terms::{AnimalId, Day};
use std::collections::{BTreeMap, BTreeSet};

/// One season as of a day.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Season {
    /// Ewes joined so that they were due in this season.
    pub joined: BTreeSet<AnimalId>,
    /// Ewes that lambed.
    pub lambed: BTreeSet<AnimalId>,
    /// Lambs born, dead ones counted.
    pub born: u32,
    /// Born alive.
    pub alive: u32,
    /// Lived to 60 days.
    pub reared: u32,
    /// Alive and younger than 60 days: not yet to be counted among the reared or the lost.
    pub growing: u32,
    /// Birth weights.
    pub birth: Mean,
    /// Weights at 60 days.
    pub sixty: Mean,
}

/// Every season with a joining or a lambing on or before `on`, by year.
pub fn seasons(flock: &Flock, on: Day) -> BTreeMap<i32, Season> {
    let mut all: BTreeMap<i32, Season> = BTreeMap::new();
    for f in flock.files() {
        for p in gestation::history(flock, f, on) {
            all.entry(p.window.due.year()).or_default().joined.insert(f.animal.id);
        }
        for l in f.lambings_standing().filter(|l| l.at.day <= on) {
            let season = all.entry(l.at.day.year()).or_default();
            let row = lambing_row(flock, l, on);
            season.lambed.insert(f.animal.id);
            season.born += row.born;
            season.alive += row.alive;
            season.reared += row.reared;
            season.growing += row.growing;
            row.birth_weights.iter().flatten().for_each(|w| season.birth.add(*w));
            row.sixty_day.iter().flatten().for_each(|w| season.sixty.add(*w));
        }
    }
    all
}
