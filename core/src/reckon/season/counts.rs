//! Counts of the season day by day, gathered for a band of days, weeks or months.

use super::axis::Unit;
use crate::flock::AnimalFile;
use crate::reckon::due::{Job, State};
use crate::terms::Day;

/// What is counted of one stretch of days.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Count {
    /// Ewes that lambed.
    pub lambings: u32,
    /// Treatments given, one for each animal.
    pub treatments: u32,
    /// Open jobs that are due or come due then.
    pub due: u32,
    /// Jobs whose last day was then and that are still not done.
    pub overdue: u32,
}

impl Count {
    fn add(&mut self, other: Self) {
        self.lambings += other.lambings;
        self.treatments += other.treatments;
        self.due += other.due;
        self.overdue += other.overdue;
    }
}

/// One bar of the band.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bin {
    /// Its first day.
    pub from: Day,
    /// The first day after it.
    pub to: Day,
    /// What was counted.
    pub count: Count,
}

/// How far back and ahead of the day it is counted.
const BACK: i64 = 3660;
const AHEAD: i64 = 800;

/// The counts of some animals as of a day, ten years back and two years ahead.
#[derive(Debug, Clone)]
pub struct Counts {
    first: Day,
    days: Vec<Count>,
}

impl Counts {
    /// Nothing counted yet.
    pub fn new(day: Day) -> Self {
        let first = day.plus(-BACK);
        let n = usize::try_from(BACK + AHEAD).unwrap_or_default();
        Self { first, days: vec![Count::default(); n] }
    }

    fn on(&mut self, day: Day) -> Option<&mut Count> {
        usize::try_from(day.since(self.first)).ok().and_then(|i| self.days.get_mut(i))
    }

    /// Counts an animal with its open jobs.
    pub fn add(&mut self, file: &AnimalFile, open: &[Job]) {
        for l in file.lambings_standing() {
            self.on(l.at.day).into_iter().for_each(|c| c.lambings += 1);
        }
        for t in file.treatments_standing() {
            self.on(t.at.day).into_iter().for_each(|c| c.treatments += 1);
        }
        for j in open {
            if j.state == State::Overdue {
                let last = j.late.map_or(j.day(), |l| l.day);
                self.on(last).into_iter().for_each(|c| c.overdue += 1);
            } else {
                self.on(j.day()).into_iter().for_each(|c| c.due += 1);
            }
        }
    }

    /// What was counted from a day to the day before another.
    pub fn between(&self, from: Day, to: Day) -> Count {
        let place = |d: Day| usize::try_from(d.since(self.first)).unwrap_or(0).min(self.days.len());
        let mut all = Count::default();
        for c in self.days.get(place(from)..place(to)).unwrap_or_default() {
            all.add(*c);
        }
        all
    }

    /// The bars from a day to a day; the first and the last may reach out of it.
    pub fn bins(&self, start: Day, end: Day, unit: Unit) -> Vec<Bin> {
        let mut all = Vec::new();
        let mut from = unit.start(start);
        while from <= end {
            let to = unit.next(from);
            if to <= from {
                break;
            }
            all.push(Bin { from, to, count: self.between(from, to) });
            from = to;
        }
        all
    }

    /// The seven days between two days in which most ewes lambed: their first day and how many.
    pub fn peak(&self, start: Day, end: Day) -> Option<(Day, u32)> {
        let mut best: Option<(Day, u32)> = None;
        let mut day = start;
        while day <= end {
            let n = self.between(day, day.plus(7)).lambings;
            // Weeks begin with a lambing, so that none begins with empty days.
            if n > best.map_or(0, |b| b.1) && self.between(day, day.plus(1)).lambings > 0 {
                best = Some((day, n));
            }
            day = day.plus(1);
        }
        best
    }
}
