//! All seasons of a flock as of a day, and one beside the mean of those before it.

use super::gather::{CauseAt, Season, seasons};
use super::money::{Purse, purses};
use super::settings::{Range, Settings};
use super::tally::{By, Part, Tally};
use super::what::{Figure, What, figure};
use crate::flock::Flock;
use crate::reckon::figures::Mean;
use crate::terms::{AnimalId, Day};
use std::collections::BTreeMap;

/// Every season as of a day. Work over all animals: keep it for as long as the flock's version and the day stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Years {
    version: u64,
    day: Day,
    /// How it was reckoned.
    pub settings: Settings,
    /// The seasons.
    pub seasons: BTreeMap<i32, Season>,
    /// Their counts.
    pub tallies: BTreeMap<i32, Tally>,
    /// Money by season.
    pub purses: BTreeMap<i32, Purse>,
}

/// A figure of a season beside those of the years before.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared<'a> {
    /// The figure.
    pub figure: Figure,
    /// Its mean over the years before that have one, each year as one, and how many years.
    pub before: Option<(f64, u32)>,
    /// What it is held against.
    pub range: Option<&'a Range>,
    /// Whether it lies within that; none where either is missing.
    pub within: Option<bool>,
    /// Its base is small.
    pub few: bool,
}

/// Weights of lambs born as one of so many.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Weights {
    /// Lambs born.
    pub born: u32,
    /// Birth weights.
    pub birth: Mean,
    /// 60-day weights.
    pub sixty: Mean,
    /// Sum of daily gains to 60 days, and how many.
    pub gain: (i64, u32),
}

/// What the lambs that a ewe reared gained on her to 60 days.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Milk {
    /// The ewe.
    pub ewe: AnimalId,
    /// Lambs she reared.
    pub lambs: u32,
    /// Their gain together, grams.
    pub grams: i32,
}

impl Years {
    /// Reckons every season as of a day.
    pub fn of(flock: &Flock, on: Day) -> Self {
        let settings = Settings::of(flock.holding());
        let seasons = seasons(flock, on, &settings);
        let tallies = seasons.iter().map(|(y, s)| (*y, s.tally(&settings))).collect();
        let purses = purses(flock, on, settings.month);
        Self { version: flock.version(), day: on, settings, seasons, tallies, purses }
    }

    /// The version of the flock it is of.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// The day it is of.
    pub fn day(&self) -> Day {
        self.day
    }

    /// Years with a season or money, oldest first.
    pub fn years(&self) -> Vec<i32> {
        let mut all: Vec<i32> = self.seasons.keys().chain(self.purses.keys()).copied().collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The last season in which ewes lambed, else the last of all.
    pub fn last(&self) -> Option<i32> {
        let lambed = self.tallies.iter().rev().find(|(_, t)| t.lambed > 0).map(|(y, _)| *y);
        lambed.or_else(|| self.years().last().copied())
    }

    /// A figure of a season; a season that is not there has counts of nothing.
    pub fn figure(&self, year: i32, what: What) -> Figure {
        let (no_tally, no_purse) = (Tally::default(), Purse::default());
        let tally = self.tallies.get(&year).unwrap_or(&no_tally);
        figure(what, tally, self.purses.get(&year).unwrap_or(&no_purse), &self.settings)
    }

    /// Every figure of a season: those of money only where some is written.
    pub fn figures(&self, year: i32) -> Vec<Figure> {
        let money = self.purses.contains_key(&year);
        let wanted = What::ALL.iter().filter(|w| money || !w.is_money());
        wanted.map(|w| self.figure(year, *w)).collect()
    }

    /// A figure of a season beside up to so many years before it and the range.
    pub fn compared(&self, year: i32, what: What, years: i32) -> Compared<'_> {
        let figure = self.figure(year, what);
        // A year of money alone has no ewes: it would count as a season of nothing.
        let told = |y: &i32| match what.is_money() {
            true => self.purses.contains_key(y),
            false => self.tallies.contains_key(y),
        };
        let before: Vec<f64> = self
            .years()
            .into_iter()
            .filter(|y| *y < year && *y >= year - years && told(y))
            .filter_map(|y| self.figure(y, what).value)
            .collect();
        let n = u32::try_from(before.len()).unwrap_or(u32::MAX);
        let mean = (n > 0).then(|| (before.iter().sum::<f64>() / f64::from(n), n));
        let range = self.settings.range(what.key());
        let within = figure.value.zip(range).map(|(v, r)| r.holds(v));
        let few = figure.of.is_some_and(|n| n < self.settings.few);
        Compared { figure, before: mean, range, within, few }
    }

    /// The parts of a season; none where it is not there.
    pub fn split(&self, year: i32, by: By) -> BTreeMap<Part, Tally> {
        self.seasons.get(&year).map(|s| s.split(by, &self.settings)).unwrap_or_default()
    }

    /// The parts of several seasons together, from a year to a year.
    pub fn split_over(&self, from: i32, to: i32, by: By) -> BTreeMap<Part, Tally> {
        let mut all: BTreeMap<Part, Tally> = BTreeMap::new();
        for (_, season) in self.seasons.range(from..=to.max(from)) {
            for (part, t) in season.split(by, &self.settings) {
                all.entry(part).or_default().join(&t);
            }
        }
        all
    }

    /// Lambs of a season lost, by cause and age.
    pub fn losses(&self, year: i32) -> BTreeMap<CauseAt, [u32; 6]> {
        self.seasons.get(&year).map(Season::losses).unwrap_or_default()
    }

    /// The name of a cause.
    pub fn cause(&self, cause: CauseAt) -> &str {
        match cause {
            CauseAt::Of(n) => self.settings.causes.get(n).map_or("another cause", |c| c.name.as_str()),
            CauseAt::Other => "another cause",
            CauseAt::NotKnown => "not known",
        }
    }

    /// Weights of a season's lambs by how many were born together.
    pub fn weights(&self, year: i32) -> BTreeMap<u8, Weights> {
        let mut all: BTreeMap<u8, Weights> = BTreeMap::new();
        for l in self.seasons.get(&year).iter().flat_map(|s| &s.lambs) {
            let w = all.entry(l.litter).or_default();
            w.born += 1;
            l.birth.into_iter().for_each(|b| w.birth.add(b));
            l.sixty.into_iter().for_each(|b| w.sixty.add(b));
            if let Some(g) = l.gain() {
                w.gain = (w.gain.0 + g, w.gain.1 + 1);
            }
        }
        all
    }

    /// The ewes of a season by what their lambs gained on them to 60 days, the most first; only those of whose weaned
    /// lambs every one has both weights.
    pub fn milk(&self, year: i32) -> Vec<Milk> {
        let Some(season) = self.seasons.get(&year) else { return Vec::new() };
        let mut all: Vec<Option<(u32, i64)>> = vec![Some((0, 0)); season.ewes.len()];
        for l in season.lambs.iter().filter(|l| l.came == super::Came::Weaned) {
            let Some(sum) = l.rearer.and_then(|r| all.get_mut(r)) else { continue };
            let gained = l.sixty.zip(l.birth).map(|(s, b)| s.grams() - b.grams());
            *sum = sum.zip(gained).map(|((n, g), gained)| (n + 1, g + gained));
        }
        let mut told: Vec<Milk> = season
            .ewes
            .iter()
            .zip(all)
            .filter_map(|(e, sum)| sum.filter(|(n, _)| *n > 0).map(|(n, g)| (e.ewe, n, g)))
            .filter_map(|(ewe, lambs, g)| Some(Milk { ewe, lambs, grams: i32::try_from(g).ok()? }))
            .collect();
        told.sort_by_key(|m| (std::cmp::Reverse(m.grams), m.ewe));
        told
    }
}
