//! Ancestors of one animal, each in its place.

use crate::flock::{Flock, Sire};
use crate::terms::AnimalId;
use rapidhash::RapidHashMap;

/// A place in a tree of ancestors, counted as in a list of ancestors: the animal is 1, the sire of n is 2n, the dam
/// of n is 2n + 1 (Kekulé's numbers).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Place(pub u32);

impl Place {
    /// The animal itself.
    pub const SELF: Self = Self(1);

    /// Where its sire stands.
    pub fn sire(self) -> Self {
        Self(self.0 * 2)
    }

    /// Where its dam stands.
    pub fn dam(self) -> Self {
        Self(self.0 * 2 + 1)
    }

    /// Whose parent stands here; the animal itself has none.
    pub fn child(self) -> Option<Self> {
        (self.0 > 1).then_some(Self(self.0 / 2))
    }

    /// 0 for the animal itself, 1 for its parents.
    pub fn generation(self) -> u32 {
        self.0.max(1).ilog2()
    }

    /// Its number within the generation, from the sire of the sires down to the dam of the dams.
    pub fn nth(self) -> u32 {
        self.0 - (1 << self.generation())
    }

    /// Whether a sire stands here.
    pub fn is_sire(self) -> bool {
        self.0 > 1 && self.0.is_multiple_of(2)
    }

    /// What it is called from the animal: `sire`, `sire's dam`.
    pub fn words(self) -> String {
        let mut steps = Vec::new();
        let mut at = self;
        while let Some(child) = at.child() {
            steps.push(if at.is_sire() { "sire" } else { "dam" });
            at = child;
        }
        steps.reverse();
        steps.join("'s ")
    }

    /// All places of a generation, from top to bottom.
    pub fn generation_of(n: u32) -> impl Iterator<Item = Self> {
        (1u32 << n..2 << n).map(Self)
    }
}

/// Who stands in a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Who {
    /// An animal.
    Animal(AnimalId),
    /// One of several rams.
    OneOf(Vec<AnimalId>),
    /// Not known; its offspring is.
    Unknown,
    /// This animal stands on its own line: the pedigree runs in a circle. Nothing is shown behind it.
    Circle(AnimalId),
    /// Behind the unknown, several rams, or a circle: nothing is shown.
    Nothing,
}

impl Who {
    /// The animal, if there is no doubt about it.
    pub fn animal(&self) -> Option<AnimalId> {
        match self {
            Self::Animal(id) | Self::Circle(id) => Some(*id),
            _ => None,
        }
    }
}

/// An ancestor that stands in several places by way of different offspring.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Repeat {
    /// Its number, from 1, nearest first.
    pub number: usize,
    /// Who.
    pub animal: AnimalId,
    /// Its places, nearest first.
    pub places: Vec<Place>,
}

/// Ancestors of one animal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ancestry {
    /// The animal.
    pub of: AnimalId,
    /// How many generations back.
    pub generations: u32,
    who: Vec<Who>,
    repeats: Vec<Repeat>,
    places: RapidHashMap<AnimalId, Vec<Place>>,
}

impl Ancestry {
    /// The ancestors of an animal over so many generations, 1 to 8.
    pub fn of(flock: &Flock, of: AnimalId, generations: u32) -> Self {
        let generations = generations.clamp(1, 8);
        let mut who = vec![Who::Nothing; 2 << generations];
        who[1] = Who::Animal(of);
        for n in 2..who.len() {
            let place = Place(n as u32);
            let Who::Animal(child) = who[n / 2] else { continue };
            let found = parent(flock, child, place.is_sire());
            who[n] = match found {
                Who::Animal(id) if on_line(&who, place, id) => Who::Circle(id),
                other => other,
            };
        }
        let mut places: RapidHashMap<AnimalId, Vec<Place>> = RapidHashMap::default();
        for (n, w) in who.iter().enumerate().skip(1) {
            if let Some(id) = w.animal() {
                places.entry(id).or_default().push(Place(n as u32));
            }
        }
        let mut all = Self { of, generations, who, repeats: Vec::new(), places };
        all.repeats = all.find_repeats();
        all
    }

    /// Who stands in a place.
    pub fn who(&self, place: Place) -> &Who {
        self.who.get(place.0 as usize).unwrap_or(&Who::Nothing)
    }

    /// The animal in a place, if there is no doubt about it.
    pub fn animal(&self, place: Place) -> Option<AnimalId> {
        self.who(place).animal()
    }

    /// Every place at which something is said: an animal, several rams, or that nobody is known.
    pub fn shown(&self) -> impl Iterator<Item = Place> + '_ {
        let said = |n: &usize| !matches!(self.who[*n], Who::Nothing);
        (1..self.who.len()).filter(said).map(|n| Place(n as u32))
    }

    /// Ancestors that stand in several places by way of different offspring, nearest first: where two lines meet.
    /// Those behind them repeat as well and are not numbered.
    pub fn repeats(&self) -> &[Repeat] {
        &self.repeats
    }

    /// All places of an animal, nearest first.
    pub fn places_of(&self, id: AnimalId) -> &[Place] {
        self.places.get(&id).map_or(&[], Vec::as_slice)
    }

    /// The number of the repeated ancestor in a place.
    pub fn number(&self, place: Place) -> Option<usize> {
        let id = self.animal(place)?;
        self.repeats.iter().find(|r| r.animal == id).map(|r| r.number)
    }

    /// How many generations back anything is known: 0 when no parent is.
    pub fn known(&self) -> u32 {
        let known = |n: &usize| matches!(self.who[*n], Who::Animal(_) | Who::OneOf(_) | Who::Circle(_));
        (1..self.who.len()).filter(known).map(|n| Place(n as u32).generation()).max().unwrap_or(0)
    }

    fn find_repeats(&self) -> Vec<Repeat> {
        let by_two = |places: &[Place]| {
            let mut children = places.iter().map(|p| p.child().and_then(|c| self.animal(c)));
            let first = children.next();
            children.any(|c| Some(c) != first)
        };
        let mut found: Vec<(AnimalId, Vec<Place>)> = self
            .places
            .iter()
            .filter(|(_, p)| p.len() > 1 && by_two(p))
            .map(|(id, p)| (*id, p.clone()))
            .collect();
        found.sort_unstable_by_key(|(_, p)| p.first().copied());
        let numbered = found.into_iter().zip(1..);
        numbered.map(|((animal, places), number)| Repeat { number, animal, places }).collect()
    }
}

/// Whether an animal stands on the line from the one asked about to this place.
fn on_line(who: &[Who], place: Place, id: AnimalId) -> bool {
    let mut at = place.child();
    while let Some(p) = at {
        if who[p.0 as usize] == Who::Animal(id) {
            return true;
        }
        at = p.child();
    }
    false
}

/// The sire or dam of an animal by blood.
fn parent(flock: &Flock, child: AnimalId, sire: bool) -> Who {
    let Some(a) = flock.animal(child) else { return Who::Unknown };
    let known = |id: AnimalId| flock.animal(id).map_or(Who::Unknown, |a| Who::Animal(a.id));
    if !sire {
        return a.blood_dam().map_or(Who::Unknown, known);
    }
    match &a.sire {
        Sire::Unknown => Who::Unknown,
        Sire::Known(id) => known(*id),
        Sire::OneOf(all) => Who::OneOf(all.clone()),
    }
}
