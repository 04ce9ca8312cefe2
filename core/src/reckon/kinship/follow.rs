//! Kinship brought up to a write without reckoning it anew: lambs more, an animal that came or went, another parent of
//! one without offspring.

use super::Kindred;
use super::pedigree::NONE;
use crate::flock::{AnimalFile, Flock};
use crate::terms::{AnimalId, Status};

/// More new animals than this are reckoned anew with all others.
const FEW: usize = 400;

/// What a write changed, once it is sure that it can be followed.
#[derive(Default)]
struct Change {
    /// Place of an animal without offspring, and its parents now.
    other_parents: Vec<(u32, [u32; 2])>,
    /// New animals with their parents, parents first.
    new: Vec<(AnimalId, [u32; 2])>,
}

impl Kindred {
    /// Brings it up to the flock after one write that moved these animals. Tells whether it could: if not (none named,
    /// another write between, an animal with offspring got other parents, one left the book), nothing is changed and it
    /// must be reckoned anew.
    ///
    /// Inbreeding is reckoned of the new animals alone; mean kinship changes for all and takes two passes over the
    /// pedigree.
    pub fn follow(&mut self, flock: &Flock, touched: &[AnimalId]) -> bool {
        let Some(change) = self.change(flock, touched) else { return false };
        let blood_moves = !change.new.is_empty() || !change.other_parents.is_empty();
        for (place, [sire, dam]) in change.other_parents {
            let f = self.kin.of_parents(sire, dam);
            self.kin.pedigree.set(place, sire, dam);
            self.kin.f[place as usize] = f;
            self.depth[place as usize] = self.depth_of([sire, dam]);
        }
        let mut last: Option<([u32; 2], f64)> = None;
        for (id, both) in change.new {
            // Twins have the same.
            let f = match last.filter(|(b, _)| *b == both) {
                Some((_, f)) => f,
                None => self.kin.of_parents(both[0], both[1]),
            };
            last = Some((both, f));
            let place = self.kin.pedigree.push(both[0], both[1]);
            self.kin.f.push(f);
            self.depth.push(self.depth_of(both));
            self.ids.push(id);
            self.places.insert(id, place);
        }
        let living_moves = self.keep_living(flock, touched);
        if blood_moves || living_moves {
            self.mean_kinship = self.kin.mean_kinship(&self.living);
        }
        self.version = flock.version();
        true
    }

    fn depth_of(&self, both: [u32; 2]) -> f64 {
        both.iter().filter(|p| **p != NONE).map(|p| 0.5 * (1.0 + self.depth[*p as usize])).sum()
    }

    /// Who came into the flock or left it.
    fn keep_living(&mut self, flock: &Flock, touched: &[AnimalId]) -> bool {
        let mut moved = false;
        for id in touched {
            let Some(place) = self.place(*id) else { continue };
            let here = flock.animal(*id).is_some_and(|a| a.status == Status::Present);
            match (self.living.binary_search(&place), here) {
                (Ok(at), false) => {
                    self.living.remove(at);
                    moved = true;
                }
                (Err(at), true) => {
                    self.living.insert(at, place);
                    moved = true;
                }
                _ => {}
            }
        }
        moved
    }

    /// What changed, if it can be followed.
    fn change(&self, flock: &Flock, touched: &[AnimalId]) -> Option<Change> {
        if touched.is_empty() || self.circle.is_some() || flock.version() != self.version + 1 {
            return None;
        }
        let mut change = Change::default();
        let mut new: Vec<&AnimalFile> = Vec::new();
        for id in touched {
            match (self.place(*id), flock.file(*id)) {
                (None, None) => {}
                (Some(_), None) => return None,
                (None, Some(file)) => new.push(file),
                (Some(place), Some(file)) => {
                    // A parent that is not known yet is a new animal, and younger in this order.
                    let both = self.parents_of(flock, file)?;
                    if both == self.kin.pedigree.parents()[place as usize] {
                        continue;
                    }
                    let before = both.iter().all(|p| *p == NONE || *p < place);
                    if !before || !file.offspring.is_empty() {
                        return None;
                    }
                    change.other_parents.push((place, both));
                }
            }
        }
        let known_child = |f: &&AnimalFile| f.offspring.iter().any(|o| self.place(*o).is_some());
        if new.len() > FEW || new.iter().any(known_child) || self.ids.len() + new.len() != flock.len() {
            return None;
        }
        // Parents first; each round places those whose parents are placed.
        let mut placed: rapidhash::RapidHashMap<AnimalId, u32> = rapidhash::RapidHashMap::default();
        while !new.is_empty() {
            let left = new.len();
            let mut waiting = Vec::new();
            for file in new {
                let place = |id: Option<AnimalId>| match id.filter(|id| flock.file(*id).is_some()) {
                    None => Some(NONE),
                    Some(id) => self.place(id).or_else(|| placed.get(&id).copied()),
                };
                let both = (place(file.animal.sire.known()), place(file.animal.blood_dam()));
                if let (Some(sire), Some(dam)) = both {
                    let at = self.ids.len() + change.new.len();
                    placed.insert(file.animal.id, at as u32);
                    change.new.push((file.animal.id, [sire, dam]));
                } else {
                    waiting.push(file);
                }
            }
            if waiting.len() == left {
                return None;
            }
            new = waiting;
        }
        Some(change)
    }

    /// Places of a known animal's parents; none where one is not placed yet.
    fn parents_of(&self, flock: &Flock, file: &AnimalFile) -> Option<[u32; 2]> {
        let place = |id: Option<AnimalId>| match id.filter(|id| flock.file(*id).is_some()) {
            None => Some(NONE),
            Some(id) => self.place(id),
        };
        Some([place(file.animal.sire.known())?, place(file.animal.blood_dam())?])
    }
}
