//! The open jobs of the whole flock, kept up with its writes.

use super::anchors::standing;
use super::{Ground, Job, jobs};
use crate::flock::{AnimalFile, Flock, natural};
use crate::terms::{AnimalId, Day, Rearing, Sex};
use rapidhash::RapidHashMap;
use std::sync::Arc;

/// Every open job of a flock as of a day. Built once; after a write only the animals it touched, their dams and their
/// lambs are reckoned anew.
#[derive(Debug, Clone)]
pub struct Board {
    ground: Ground,
    /// The flock it was made for: what a write took away is looked up there.
    flock: Flock,
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
        Self { ground, flock: flock.clone(), by_animal }
    }

    /// The version of the flock it was made for.
    pub fn version(&self) -> u64 {
        self.flock.version()
    }

    /// The day it was made for.
    pub fn day(&self) -> Day {
        self.ground.day
    }

    /// Brings it up to a flock in which these animals moved; none named means that everything may have.
    pub fn follow(&mut self, flock: &Flock, touched: &[AnimalId]) {
        let both = |id: &AnimalId| [self.flock.file(*id), flock.file(*id)].into_iter().flatten();
        let seasons_may_move = touched.iter().any(|id| {
            let (old, new) = (self.flock.file(*id), flock.file(*id));
            // A joining may set the flock's joining day, a foster lamb its ewe's weaning.
            let foster = |f: &AnimalFile| match f.animal.rearing {
                Rearing::Foster(ewe) => Some(ewe),
                _ => None,
            };
            let starts = |f: &AnimalFile| -> Vec<Day> { standing(f).map(|j| j.from).collect() };
            old.map(starts).unwrap_or_default() != new.map(starts).unwrap_or_default()
                || old.and_then(foster) != new.and_then(foster)
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
        // Jobs hang on the animal itself, its dam (vaccines, litter) and its lambs (rearing, weaning).
        let mut all: Vec<AnimalId> = touched.to_vec();
        for f in touched.iter().flat_map(both) {
            all.extend(f.animal.dam);
            all.extend(flock.reared_by(&f.animal));
            all.extend(f.birth.as_ref().map(|b| b.ewe));
            all.extend(f.lambings.iter().flat_map(|l| l.lambs.iter().copied()));
            if f.animal.sex == Sex::Ewe {
                all.extend(&f.offspring);
            }
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
        self.flock = flock.clone();
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
