//! Lines and families: mother's mother's mother, ram families, breed parts.

use crate::flock::{Animal, Flock, natural};
use crate::terms::{AnimalId, Breed};
use rapidhash::{RapidHashMap, RapidHashSet};

/// By which parent a line runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Through {
    /// Dam, dam's dam, …
    Dams,
    /// Sire, sire's sire, …
    Sires,
}

impl Through {
    fn parent(self, a: &Animal) -> Option<AnimalId> {
        match self {
            Self::Dams => a.blood_dam(),
            Self::Sires => a.sire.known(),
        }
    }
}

/// A line of parents going back from one animal.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Line {
    /// The parent, its parent, and so on; the founder last.
    pub animals: Vec<AnimalId>,
    /// It comes back to an animal on it: a circle, where it ends.
    pub circle: bool,
}

fn line(flock: &Flock, id: AnimalId, by: Through) -> Line {
    let mut seen: RapidHashSet<AnimalId> = [id].into_iter().collect();
    let mut found = Line::default();
    let mut at = flock.animal(id);
    while let Some(next) = at.and_then(|a| by.parent(a)) {
        if !seen.insert(next) {
            found.circle = true;
            break;
        }
        at = flock.animal(next);
        if at.is_some() {
            found.animals.push(next);
        }
    }
    found
}

/// The dam, her dam, and so on.
pub fn dam_line(flock: &Flock, id: AnimalId) -> Line {
    line(flock, id, Through::Dams)
}

/// The sire, his sire, and so on.
pub fn sire_line(flock: &Flock, id: AnimalId) -> Line {
    line(flock, id, Through::Sires)
}

/// All that come down from one founder by dams alone, or by sires alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Family {
    /// The first of the line.
    pub founder: AnimalId,
    /// Those in the flock now, by tag.
    pub present: Vec<AnimalId>,
    /// Animals of the line that the book knows, the founder included.
    pub known: usize,
    /// Generations from the founder to the youngest, 0 for the founder alone.
    pub generations: usize,
}

/// Families of the animals in the flock now, the largest first. Of a line that runs in a circle the smallest id of
/// the circle stands for the founder.
pub fn families(flock: &Flock, by: Through) -> Vec<Family> {
    // Founder and how many steps from it; each animal is walked once.
    let mut founders: RapidHashMap<AnimalId, (AnimalId, usize)> = RapidHashMap::default();
    for file in flock.files() {
        let mut way: Vec<AnimalId> = Vec::new();
        let mut on: RapidHashSet<AnimalId> = RapidHashSet::default();
        let mut at = file.animal.id;
        let (founder, steps) = loop {
            if let Some(known) = founders.get(&at) {
                break *known;
            }
            if !on.insert(at) {
                // The circle is the tail of the way.
                let from = way.iter().position(|w| *w == at).unwrap_or(0);
                let smallest = way[from..].iter().min().copied().unwrap_or(at);
                for w in way.drain(from..) {
                    founders.insert(w, (smallest, 0));
                }
                break (smallest, 0);
            }
            let parent = flock.animal(at).and_then(|a| by.parent(a)).filter(|p| flock.animal(*p).is_some());
            way.push(at);
            match parent {
                Some(p) => at = p,
                None => {
                    way.pop();
                    founders.insert(at, (at, 0));
                    break (at, 0);
                }
            }
        };
        for (w, step) in way.into_iter().rev().zip(steps + 1..) {
            founders.insert(w, (founder, step));
        }
    }
    let mut all: RapidHashMap<AnimalId, Family> = RapidHashMap::default();
    for (id, (founder, steps)) in &founders {
        let empty = || Family { founder: *founder, present: Vec::new(), known: 0, generations: 0 };
        let family = all.entry(*founder).or_insert_with(empty);
        family.known += 1;
        family.generations = family.generations.max(*steps);
        if flock.animal(*id).is_some_and(|a| a.status.is_here()) {
            family.present.push(*id);
        }
    }
    let mut all: Vec<Family> = all.into_values().filter(|f| !f.present.is_empty()).collect();
    for f in &mut all {
        f.present.sort_by(|a, b| natural(flock.tag(*a), flock.tag(*b)).then_with(|| a.cmp(b)));
    }
    all.sort_by(|a, b| {
        (b.present.len().cmp(&a.present.len()))
            .then_with(|| natural(flock.tag(a.founder), flock.tag(b.founder)))
            .then_with(|| a.founder.cmp(&b.founder))
    });
    all
}

/// What its parents' breeds make of an animal; none where one of them is not known.
pub fn breed_of_parents(flock: &Flock, a: &Animal) -> Option<Breed> {
    let breed = |id: Option<AnimalId>| id.and_then(|id| flock.animal(id)).and_then(|p| p.breed.as_ref());
    Breed::of_lamb(breed(a.blood_dam()), breed(a.sire.known()))
}
