//! The open jobs of the whole flock, kept up with its writes.

use super::{Ground, Job, jobs};
use crate::flock::{Flock, natural};
use crate::terms::{AnimalId, Day};
use rapidhash::RapidHashMap;
use std::sync::Arc;

/// Every open job of a flock as of a day. Built once; after a write only the animals it touched, their dams and their
/// lambs are reckoned anew.
#[derive(Debug, Clone)]
pub struct Board {
    ground: Ground,
    version: u64,
    by_animal: RapidHashMap<AnimalId, Vec<Job>>,
}

impl Board {
    /// Looks at every animal.
    pub fn new(flock: &Flock, day: Day) -> Self {
        let ground = Ground::of(flock, day);
        let mut by_animal: RapidHashMap<AnimalId, Vec<Job>> = RapidHashMap::default();
        let mut made = Vec::new();
        for file in flock.present() {
            jobs(flock, &ground, file, true, &mut made);
            if !made.is_empty() {
                by_animal.insert(file.animal.id, std::mem::take(&mut made));
            }
        }
        Self { ground, version: flock.version(), by_animal }
    }

    /// The version of the flock it was made for.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// What is the same for all animals of the flock.
    pub fn ground(&self) -> &Ground {
        &self.ground
    }

    /// The day it was made for.
    pub fn day(&self) -> Day {
        self.ground.day
    }

    /// Brings it up to a flock in which these animals moved; none named means that everything may have.
    pub fn follow(&mut self, flock: &Flock, touched: &[AnimalId]) {
        let seasons_may_move = touched.iter().filter_map(|id| flock.file(*id)).any(|f| {
            // A joining may set the flock's joining day, a foster lamb its ewe's weaning.
            !f.joinings.is_empty() || matches!(f.animal.rearing, crate::terms::Rearing::Foster(_))
        });
        if touched.is_empty() || !Arc::ptr_eq(&self.ground.plan, flock.plan()) {
            *self = Self::new(flock, self.ground.day);
            return;
        }
        if seasons_may_move {
            let now = Ground::of(flock, self.ground.day);
            if now.seasons.days() != self.ground.seasons.days() {
                *self = Self::new(flock, self.ground.day);
                return;
            }
            self.ground = now;
        }
        let mut all: Vec<AnimalId> = touched.to_vec();
        for id in touched {
            let Some(f) = flock.file(*id) else { continue };
            all.extend(f.animal.dam);
            all.extend(flock.reared_by(&f.animal));
            all.extend(f.offspring.iter().filter(|l| {
                flock
                    .animal(**l)
                    .and_then(|l| l.age_days(self.ground.day))
                    .is_some_and(|d| d <= super::LONG_PAST)
            }));
        }
        all.sort_unstable();
        all.dedup();
        for id in all {
            self.by_animal.remove(&id);
            let Some(f) = flock.file(id) else { continue };
            let mut made = Vec::new();
            if f.animal.status == crate::terms::Status::Present {
                jobs(flock, &self.ground, f, true, &mut made);
            }
            if !made.is_empty() {
                self.by_animal.insert(id, made);
            }
        }
        self.version = flock.version();
    }

    /// The open jobs of one animal.
    pub fn of(&self, animal: AnimalId) -> &[Job] {
        self.by_animal.get(&animal).map_or(&[], Vec::as_slice)
    }

    /// The jobs that are due, overdue or come due within so many days: by pen, then by step, then by tag.
    pub fn within(&self, flock: &Flock, days: i64) -> Vec<&Job> {
        let until = self.ground.day.plus(days);
        let mut all: Vec<&Job> = self.by_animal.values().flatten().filter(|j| j.day() <= until).collect();
        let pen = |j: &Job| flock.animal(j.animal).and_then(|a| a.pen.as_deref()).unwrap_or_default();
        all.sort_by(|a, b| {
            let no_pen = |j: &Job| pen(j).is_empty();
            (no_pen(a).cmp(&no_pen(b)))
                .then_with(|| natural(pen(a), pen(b)))
                .then_with(|| (a.place, a.round).cmp(&(b.place, b.round)))
                .then_with(|| natural(flock.tag(a.animal), flock.tag(b.animal)))
                .then_with(|| (a.animal, a.anchor).cmp(&(b.animal, b.anchor)))
        });
        all
    }
}
