//! The flock with checked entries in it, before anything is written: what comes later in a document is checked beside what
//! came earlier in it.

use crate::entry::Entry;
use crate::flock::{AnimalFile, Flock, Movement};
use crate::terms::{AnimalId, MovementId, Rearing, Status};
use std::collections::{HashMap, HashSet};

/// Files on their way to change.
struct Files<'a> {
    flock: &'a Flock,
    open: HashMap<AnimalId, AnimalFile>,
    /// Whose standing changes.
    stood: HashSet<AnimalId>,
}

impl Files<'_> {
    fn with(&mut self, id: AnimalId, change: impl FnOnce(&mut AnimalFile)) {
        if let Some(file) = self.open.get_mut(&id) {
            return change(file);
        }
        if let Some(file) = self.flock.file(id) {
            let mut file = file.clone();
            change(&mut file);
            self.open.insert(id, file);
        }
    }

    fn moved(&mut self, m: &Movement) {
        self.stood.insert(m.animal);
        self.with(m.animal, |f| f.movements.push(m.clone()));
    }
}

/// Everything in order of time, as a book has it, once all of an entry is in.
fn in_order(f: &mut AnimalFile, stood: bool) {
    f.lambings.sort_by_key(|l| (l.at, l.id));
    f.joinings.sort_by_key(|j| (j.from, j.id));
    f.weighings.sort_by_key(|w| (w.at, w.id));
    f.scores.sort_by_key(|s| (s.at, s.id));
    f.treatments.sort_by_key(|t| (t.at, t.id));
    f.scans.sort_by_key(|s| (s.on, s.id));
    let mut seen = HashSet::new();
    f.offspring.retain(|o| seen.insert(*o));
    if !stood {
        return;
    }
    // A line that fills in one of the book has its id and comes after it.
    let mut last: HashMap<MovementId, Movement> = HashMap::new();
    for m in f.movements.drain(..) {
        last.insert(m.id, m);
    }
    f.movements = last.into_values().collect();
    f.movements.sort_by_key(|m| (m.on, m.id));
    if let Some(m) = f.movements.iter().rfind(|m| m.struck.is_none()) {
        f.animal.status = m.to;
        f.animal.status_on = Some(m.on);
        f.animal.status_reason.clone_from(&m.reason);
    }
    if f.animal.status != Status::Present {
        f.animal.pen = None;
    }
}

/// Puts an entry into the flock, as far as later checks look at it.
pub(super) fn apply(flock: &mut Flock, entry: &Entry) {
    let mut files = Files { flock, open: HashMap::new(), stood: HashSet::new() };
    match entry {
        Entry::Animals { animals, movements } => {
            for a in animals {
                files.open.insert(a.id, AnimalFile::of(a.clone()));
            }
            for a in animals {
                let parents = a.sire.possible().iter().chain(&a.dam).chain(&a.genetic_dam);
                for parent in parents {
                    files.with(*parent, |f| f.offspring.push(a.id));
                }
            }
            movements.iter().for_each(|m| files.moved(m));
        }
        Entry::Joinings(all) => {
            for j in all {
                files.with(j.ewe, |f| f.joinings.push(j.clone()));
            }
        }
        Entry::Lambings(all) => {
            for l in all {
                files.with(l.lambing.ewe, |f| f.lambings.push(l.lambing.clone()));
                for lamb in &l.lambs {
                    if lamb.is_new {
                        files.open.insert(lamb.animal.id, AnimalFile::of(lamb.animal.clone()));
                    }
                    files.with(lamb.animal.id, |f| {
                        f.animal = lamb.animal.clone();
                        f.birth = Some(lamb.birth.clone());
                    });
                    let parents = lamb.animal.sire.possible().iter().chain(&lamb.animal.dam);
                    for parent in parents {
                        files.with(*parent, |f| f.offspring.push(lamb.animal.id));
                    }
                }
                for lamb in &l.fostered_on {
                    files.with(*lamb, |f| f.animal.rearing = Rearing::Foster(l.lambing.ewe));
                }
                l.deaths.iter().for_each(|m| files.moved(m));
            }
        }
        Entry::Weighings(all) => {
            for w in all {
                files.with(w.animal, |f| f.weighings.push(w.clone()));
            }
        }
        Entry::Scorings(all) => {
            for s in all {
                files.with(s.animal, |f| f.scores.push(s.clone()));
            }
        }
        Entry::Treatments(all) => {
            for t in all {
                files.with(t.animal, |f| f.treatments.push(t.clone()));
            }
        }
        Entry::Scans(all) => {
            for s in all {
                files.with(s.ewe, |f| f.scans.push(s.clone()));
            }
        }
        Entry::Movements(all) => all.iter().for_each(|m| files.moved(m)),
        // No document brings any other.
        _ => {}
    }
    let (open, stood) = (files.open, files.stood);
    for (id, mut file) in open {
        in_order(&mut file, stood.contains(&id));
        flock.put(file);
    }
}
