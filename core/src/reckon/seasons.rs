//! Figures of the whole flock season by season, each with its base: a bare percentage tells nothing.
//!
//! A season is the calendar year of its lambings. Fostered lambs count for the ewe that bore them.

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

/// A figure with its base, ready to show.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// What it is, as one word of the command line: `lambs_born_per_ewe_lambed`.
    pub name: &'static str,
    /// Its value; none where its base is nothing.
    pub value: Option<String>,
    /// Out of how many; none for a plain count.
    pub of: Option<u32>,
}

impl Season {
    /// Its figures in the order they are read.
    pub fn figures(&self) -> Vec<Figure> {
        let (joined, lambed) = (self.joined.len() as u32, self.lambed.len() as u32);
        let settled = self.born - self.growing;
        let count = |name, n: u32, of| Figure { name, value: Some(n.to_string()), of };
        let ratio = |name, top: f64, of: u32| Figure {
            name,
            value: (of > 0).then(|| format!("{:.2}", top / f64::from(of))),
            of: Some(of),
        };
        let mean =
            |name, m: Mean| Figure { name, value: m.mean().map(|w| format!("{:.2}", w.kg())), of: Some(m.n) };
        vec![
            count("ewes_joined", joined, None),
            count("ewes_lambed", lambed, (joined > 0).then_some(joined)),
            count("lambs_born", self.born, Some(lambed)),
            ratio("lambs_born_per_ewe_lambed", f64::from(self.born), lambed),
            count("lambs_born_alive", self.alive, Some(self.born)),
            count("lambs_reared_to_60_days", self.reared, Some(settled)),
            count("lambs_younger_than_60_days", self.growing, Some(self.born)),
            mean("mean_birth_weight_kg", self.birth),
            mean("mean_60_day_weight_kg", self.sixty),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::Weight;

    #[test]
    fn a_small_flock_by_hand() {
        // 11 to the ram, 9 lambed, 15 born (a smallholder's sum: reference, husbandry section 8, source 80).
        let ids: Vec<AnimalId> = (0..11).map(|_| AnimalId::new()).collect();
        let mut s = Season {
            joined: ids.iter().copied().collect(),
            lambed: ids[..9].iter().copied().collect(),
            born: 15,
            alive: 14,
            reared: 10,
            growing: 3,
            ..Season::default()
        };
        s.birth.add(Weight::from_grams(4000).unwrap());
        s.birth.add(Weight::from_grams(5000).unwrap());
        let by: Vec<_> = s.figures().into_iter().map(|f| (f.name, f.value, f.of)).collect();
        let has = |name, value: Option<&str>, of| {
            assert!(by.contains(&(name, value.map(str::to_string), of)), "{name}: {by:?}");
        };
        has("ewes_lambed", Some("9"), Some(11));
        has("lambs_born_per_ewe_lambed", Some("1.67"), Some(9));
        has("lambs_reared_to_60_days", Some("10"), Some(12));
        has("mean_birth_weight_kg", Some("4.50"), Some(2));
        has("mean_60_day_weight_kg", None, Some(0));
        assert_eq!(Season::default().figures()[3].value, None, "no base, no figure");
    }
}
