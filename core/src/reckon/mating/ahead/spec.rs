//! What the years ahead take as given.

use super::super::Pairs;
use crate::flock::Flock;
use crate::reckon::seasons::seasons;
use crate::terms::{Day, Sex, Status};

/// Parameters of the simulation.
#[derive(Debug, Clone, PartialEq)]
pub struct AheadSpec {
    /// Crops of lambs ahead.
    pub years: u32,
    /// Runs.
    pub runs: u32,
    /// The same seed gives the same answer.
    pub seed: u64,
    /// Lambs reared a ewe and year, on the mean.
    pub lambs: f64,
    /// Crops a ewe is kept for.
    pub ewe_crops: u32,
    /// Crops a ram is used for.
    pub ram_crops: u32,
    /// Young ewes kept each year.
    pub young_ewes: u32,
    /// Young rams kept each year.
    pub young_rams: u32,
    /// Years from birth to the first own crop.
    pub first_crop: u32,
    /// How many figures of the flock itself stand behind lambs a ewe and crops a ewe; 0 where the default is taken.
    pub from: [usize; 2],
}

/// Lambs reared a ewe where the flock has no figures yet (common practice, no source).
const LAMBS: f64 = 1.4;
/// Crops a ewe is kept for where the flock has no figures yet (common practice, no source).
const EWE_CROPS: u32 = 5;
/// Crops a ram is used for (common practice, no source).
const RAM_CROPS: u32 = 2;
/// Seasons and ewes under which the flock's own figures are not trusted (common practice, no source).
const ENOUGH_EWES: usize = 10;

impl AheadSpec {
    /// Defaults from the flock's own figures as of a day, for so many ewes and rams.
    pub fn of(flock: &Flock, on: Day, ewes: usize, rams: usize) -> Self {
        let (lambed, reared) = seasons(flock, on)
            .values()
            .filter(|s| s.growing == 0)
            .fold((0, 0), |(l, r), s| (l + s.lambed.len(), r + s.reared as usize));
        let own_lambs = lambed >= ENOUGH_EWES && reared > 0;
        let lambs = if own_lambs { reared as f64 / lambed as f64 } else { LAMBS };
        // Ewes that are gone for whatever reason, each with the crops she had.
        let gone: Vec<usize> = flock
            .files()
            .filter(|f| f.animal.sex == Sex::Ewe && f.animal.status != Status::Present)
            .map(|f| f.lambings_standing().count())
            .filter(|n| *n > 0)
            .collect();
        let own_crops = gone.len() >= ENOUGH_EWES;
        let mean = gone.iter().sum::<usize>() as f64 / gone.len().max(1) as f64;
        let ewe_crops = if own_crops { (mean.round() as u32).clamp(1, 12) } else { EWE_CROPS };
        let upward = |n: usize, by: u32| n.div_ceil(by as usize).max(1) as u32;
        Self {
            years: 10,
            runs: runs(ewes),
            seed: 1,
            lambs: (lambs * 100.0).round() / 100.0,
            ewe_crops,
            ram_crops: RAM_CROPS,
            young_ewes: upward(ewes, ewe_crops),
            young_rams: upward(rams, RAM_CROPS),
            first_crop: 2,
            from: [if own_lambs { lambed } else { 0 }, if own_crops { gone.len() } else { 0 }],
        }
    }

    /// The same within bounds that can be reckoned.
    pub(super) fn held(&self, pairs: &Pairs) -> Self {
        let lambs = if self.lambs.is_finite() { self.lambs.clamp(0.1, 6.0) } else { LAMBS };
        Self {
            years: self.years.clamp(1, 50),
            runs: self.runs.clamp(1, 2_000),
            lambs,
            ewe_crops: self.ewe_crops.clamp(1, 20),
            ram_crops: self.ram_crops.clamp(1, 20),
            young_ewes: self.young_ewes.min(pairs.ewes().len() as u32 * 2),
            young_rams: self.young_rams.min(pairs.rams().len() as u32 * 2),
            first_crop: self.first_crop.clamp(1, 4),
            ..self.clone()
        }
    }
}

/// 200 runs up to 100 ewes, fewer beyond, so that the answer comes while one waits for it.
fn runs(ewes: usize) -> u32 {
    (20_000 / ewes.max(1)).clamp(10, 200) as u32
}
