//! Descendants and sibs.

use crate::flock::{Animal, Flock, Sire, natural};
use crate::terms::{AnimalId, Day};
use rapidhash::RapidHashSet;
use std::collections::VecDeque;

/// One descendant of an animal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Descendant {
    /// Who.
    pub animal: AnimalId,
    /// 1 for offspring, 2 for theirs; the nearest way counts.
    pub generation: u32,
    /// The parent by way of which it was found.
    pub through: AnimalId,
    /// No sire on the way is one of several.
    pub sure: bool,
}

/// Lambs of an animal by blood, oldest first, and whether there is no doubt of each: a ram may be one of several
/// sires. A ewe that only bore the lamb of another is not its parent.
pub fn children(flock: &Flock, id: AnimalId) -> Vec<(AnimalId, bool)> {
    let Some(file) = flock.file(id) else { return Vec::new() };
    let mut all: Vec<(&Animal, bool)> = file
        .offspring
        .iter()
        .filter_map(|c| flock.animal(*c))
        .filter_map(|a| {
            let sure = a.blood_dam() == Some(id) || a.sire.known() == Some(id);
            (sure || a.sire.possible().contains(&id)).then_some((a, sure))
        })
        .collect();
    all.sort_by(|(a, _), (b, _)| oldest_first(a, b));
    all.dedup_by_key(|(a, _)| a.id);
    all.into_iter().map(|(a, sure)| (a.id, sure)).collect()
}

fn oldest_first(a: &Animal, b: &Animal) -> std::cmp::Ordering {
    let born = |a: &Animal| a.born.day().map_or((1, Day::new(1, 1, 1)), |d| (0, Some(d)));
    born(a).cmp(&born(b)).then_with(|| natural(a.tag(), b.tag())).then_with(|| a.id.cmp(&b.id))
}

/// All descendants, generation by generation, each once.
pub fn descendants(flock: &Flock, id: AnimalId) -> Vec<Descendant> {
    let mut seen: RapidHashSet<AnimalId> = [id].into_iter().collect();
    let mut open = VecDeque::from([(id, 0u32, true)]);
    let mut all = Vec::new();
    while let Some((parent, generation, way)) = open.pop_front() {
        for (animal, sure) in children(flock, parent) {
            if seen.insert(animal) {
                let found =
                    Descendant { animal, generation: generation + 1, through: parent, sure: sure && way };
                open.push_back((animal, found.generation, found.sure));
                all.push(found);
            }
        }
    }
    all
}

/// A descendant to be drawn, with its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Child {
    /// Who.
    pub animal: AnimalId,
    /// The other parent, if known.
    pub with: Option<AnimalId>,
    /// No doubt of the parent.
    pub sure: bool,
    /// 1 for offspring.
    pub generation: u32,
    /// Place in the list of the one whose offspring it is; none for that of the animal itself.
    pub parent: Option<usize>,
    /// Offspring of the same parent that are not listed; told at the last one listed.
    pub more: usize,
    /// How many offspring it has, listed or not.
    pub offspring: usize,
}

/// Descendants to be drawn over so many generations, parents before their offspring; of each at most `most`.
pub fn progeny(flock: &Flock, id: AnimalId, generations: u32, most: usize) -> Vec<Child> {
    let mut all: Vec<Child> = Vec::new();
    let mut open: VecDeque<(AnimalId, Option<usize>, u32)> = VecDeque::from([(id, None, 1)]);
    let mut line: RapidHashSet<AnimalId> = [id].into_iter().collect();
    while let Some((parent, at, generation)) = open.pop_front() {
        if generation > generations || all.len() > 400 {
            break;
        }
        let found = children(flock, parent);
        let more = found.len().saturating_sub(most);
        let last = found.len().min(most).saturating_sub(1);
        for (i, (animal, sure)) in found.into_iter().take(most).enumerate() {
            let a = flock.animal(animal);
            let with =
                a.and_then(|a| if a.blood_dam() == Some(parent) { a.sire.known() } else { a.blood_dam() });
            let offspring = children(flock, animal).len();
            let more = if i == last { more } else { 0 };
            all.push(Child { animal, with, sure, generation, parent: at, more, offspring });
            if line.insert(animal) {
                open.push_back((animal, Some(all.len() - 1), generation + 1));
            }
        }
    }
    all
}

/// How two animals are sibs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sib {
    /// Both parents are the same.
    Full,
    /// The same dam, another sire or one not known.
    ByDam,
    /// The same sire, another dam or one not known.
    BySire,
}

impl Sib {
    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Full => "full sib",
            Self::ByDam => "half sib by the dam",
            Self::BySire => "half sib by the sire",
        }
    }
}

/// Sibs of an animal: who, how, and whether a sire among several makes it doubtful whether they are more or less.
pub type Sibs = Vec<(AnimalId, Sib, bool)>;

/// Full and half sibs by blood, full ones first, then by age. Of a sire that is one of several nothing follows
/// without doubt: a sib by the dam may be a full one, and is marked unsure.
pub fn sibs(flock: &Flock, id: AnimalId) -> Sibs {
    let Some(me) = flock.animal(id) else { return Vec::new() };
    let (dam, sire) = (me.blood_dam(), me.sire.known());
    let mut all: Sibs = Vec::new();
    let mut seen: RapidHashSet<AnimalId> = [id].into_iter().collect();
    let doubt = |a: &Animal| {
        let other = |s: &Sire| matches!(s, Sire::OneOf(_));
        (other(&a.sire) || other(&me.sire))
            && a.sire.possible().iter().any(|r| me.sire.possible().contains(r))
    };
    for (sib, _) in dam.map(|d| children(flock, d)).unwrap_or_default() {
        let Some(a) = flock.animal(sib).filter(|_| seen.insert(sib)) else { continue };
        let full = sire.is_some() && a.sire.known() == sire;
        all.push((sib, if full { Sib::Full } else { Sib::ByDam }, !doubt(a)));
    }
    for (sib, sure) in sire.map(|s| children(flock, s)).unwrap_or_default() {
        if seen.insert(sib) {
            all.push((sib, Sib::BySire, sure));
        }
    }
    all.sort_by_key(|(_, how, _)| *how);
    all
}
