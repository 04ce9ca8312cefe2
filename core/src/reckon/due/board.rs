//! The open jobs of the whole flock, kept up with its writes.

use super::anchors::standing;
use super::{Ground, Job, jobs};
use crate::flock::{AnimalFile, Flock, natural};
use crate::reckon::gestation::known;
use crate::terms::{AnimalId, Day, Rearing, Sex};
use rapidhash::{RapidHashMap, RapidHashSet};
use std::sync::Arc;

/// Fewer animals than this are reckoned on one thread.
const FEW: usize = 2_000;

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
        let files: Vec<&AnimalFile> = flock.present().collect();
        let threads =
            if files.len() < FEW { 1 } else { std::thread::available_parallelism().map_or(1, usize::from) };
        let reckon = |files: &[&AnimalFile]| -> Vec<(AnimalId, Vec<Job>)> {
            let mut all = Vec::with_capacity(files.len());
            for file in files {
                let mut made = Vec::new();
                jobs(flock, &ground, file, true, &mut made);
                if !made.is_empty() {
                    made.shrink_to_fit();
                    all.push((file.animal.id, made));
                }
            }
            all
        };
        let mut by_animal = RapidHashMap::with_capacity_and_hasher(files.len(), Default::default());
        if threads == 1 {
            by_animal.extend(reckon(&files));
        } else {
            // No animal's jobs hang on another's, so the parts may be reckoned in any order.
            std::thread::scope(|scope| {
                let parts = files.chunks(files.len().div_ceil(threads));
                let running: Vec<_> = parts.map(|part| (part, scope.spawn(|| reckon(part)))).collect();
                for (part, one) in running {
                    by_animal.extend(one.join().unwrap_or_else(|_| reckon(part)));
                }
            });
        }
        Self { ground, flock: flock.clone(), by_animal }
    }

    /// The version of the flock it was made for.
    pub fn version(&self) -> u64 {
        self.flock.version()
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
        let (was, is) = (known(&self.flock), known(flock));
        if !was.lengths.same_days(&is.lengths) {
            *self = Self::new(flock, self.ground.day);
            return;
        }
        // A mark on one ewe, or a crayon, tells when the other ewes of that ram were looked at.
        let rams: RapidHashSet<AnimalId> = was
            .looks
            .differ(&is.looks)
            .chain(touched.iter().copied().filter(|id| both(id).any(|f| !f.crayons.is_empty())))
            .collect();
        let mut all: Vec<AnimalId> = touched.to_vec();
        if !rams.is_empty() {
            let of_them = |f: &&AnimalFile| {
                let with = f.joinings.iter().map(|j| j.ram).chain(f.marks.iter().filter_map(|m| m.ram));
                !f.marks.is_empty() && with.into_iter().any(|r| rams.contains(&r))
            };
            all.extend(flock.present().filter(of_them).map(|f| f.animal.id));
        }
        // Jobs hang on the animal itself, its dam (vaccines, litter) and its lambs (rearing, weaning).
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
                made.shrink_to_fit();
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
        // What is compared is looked up once for each animal, and pens once for each name.
        let mut pens: Vec<&str> = Vec::new();
        let mut all = Vec::new();
        for (id, jobs) in &self.by_animal {
            let Some(a) = flock.animal(*id) else { continue };
            let pen = a.pen.as_deref().unwrap_or_default();
            let before = all.len();
            all.extend(jobs.iter().filter(|j| j.day() <= until).map(|j| (pen, a.tag(), j)));
            if all.len() > before {
                pens.push(pen);
            }
        }
        pens.sort_unstable();
        pens.dedup();
        pens.sort_by(|a, b| a.is_empty().cmp(&b.is_empty()).then_with(|| natural(a, b)));
        let places: RapidHashMap<&str, usize> = pens.iter().enumerate().map(|(n, p)| (*p, n)).collect();
        let mut all: Vec<_> =
            all.into_iter().map(|(pen, tag, j)| ((places.get(pen), j.place, j.round), tag, j)).collect();
        all.sort_unstable_by(|a, b| {
            (a.0.cmp(&b.0))
                .then_with(|| natural(a.1, b.1))
                .then_with(|| (a.2.animal, a.2.anchor).cmp(&(b.2.animal, b.2.anchor)))
        });
        all.into_iter().map(|(_, _, j)| j).collect()
    }
}
