//! Breed shares: what is written of an animal, else the mean of its parents' shares; an unknown parent is 'unknown'.

use crate::flock::{Animal, Flock, Sire};
use crate::terms::{AnimalId, Breed};
use rapidhash::{RapidHashMap, RapidHashSet};
use std::cmp::Ordering;
use std::fmt;

/// The name of what nobody knows.
pub const UNKNOWN: &str = "unknown";

/// An exact share of a whole, in lowest terms.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Share {
    num: u128,
    den: u128,
}

fn gcd(a: u128, b: u128) -> u128 {
    let (mut a, mut b) = (a, b);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}

impl Share {
    /// Nothing.
    pub const NONE: Self = Self { num: 0, den: 1 };
    /// The whole.
    pub const WHOLE: Self = Self { num: 1, den: 1 };

    /// So many parts of so many; none of no parts.
    pub fn new(num: u128, den: u128) -> Option<Self> {
        let g = gcd(num, den);
        (den != 0).then(|| Self { num: num / g, den: den / g })
    }

    /// `7/8`, or `0` or `1`.
    pub fn parse(text: &str) -> Option<Self> {
        let (num, den) = text.split_once('/').unwrap_or((text, "1"));
        Self::new(num.trim().parse().ok()?, den.trim().parse().ok()?).filter(|s| s.num <= s.den)
    }

    /// As a number.
    pub fn value(self) -> f64 {
        self.num as f64 / self.den as f64
    }

    fn half(self) -> Self {
        if self.num.is_multiple_of(2) {
            Self { num: self.num / 2, den: self.den }
        } else {
            Self { num: self.num, den: self.den * 2 }.held()
        }
    }

    fn plus(self, other: Self) -> Self {
        let g = gcd(self.den, other.den);
        // Denominators are held below 2⁶³: this stays below 2¹²⁷.
        let den = self.den / g * other.den;
        let num = self.num * (other.den / g) + other.num * (self.den / g);
        let g = gcd(num, den);
        Self { num: num / g, den: den / g }.held()
    }

    /// Beyond sixty generations the last place is rounded: by less than 1e-18.
    fn held(self) -> Self {
        let mut s = self;
        while s.den >= 1 << 63 {
            s = Self { num: (s.num + 1) / 2, den: s.den / 2 };
        }
        s
    }
}

impl PartialOrd for Share {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Share {
    fn cmp(&self, other: &Self) -> Ordering {
        (self.num * other.den).cmp(&(other.num * self.den))
    }
}

impl fmt::Display for Share {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.den {
            1 => write!(f, "{}", self.num),
            den if den <= 1024 => write!(f, "{}/{den}", self.num),
            _ => write!(f, "{:.1} %", self.value() * 100.0),
        }
    }
}

/// One animal's shares: place of the breed's name and share, ordered by name.
type Parts = Vec<(u16, Share)>;

/// Breed shares of every animal.
#[derive(Debug, Clone, Default)]
pub struct Shares {
    names: Vec<String>,
    of: RapidHashMap<AnimalId, Parts>,
}

impl Shares {
    /// Of every animal the book knows.
    pub fn of(flock: &Flock) -> Self {
        Self::among(flock, flock.files().map(|f| f.animal.id))
    }

    /// Of these animals and those of their ancestors that it hangs on. An animal that is its own ancestor is unknown
    /// to itself.
    pub fn among(flock: &Flock, ids: impl IntoIterator<Item = AnimalId>) -> Self {
        let mut s = Self::default();
        let unknown = s.name(UNKNOWN);
        let nothing = vec![(unknown, Share::WHOLE)];
        // Depth first by hand: a pedigree may be very deep.
        let mut open: RapidHashSet<AnimalId> = RapidHashSet::default();
        let mut stack: Vec<AnimalId> = Vec::new();
        for start in ids {
            stack.push(start);
            while let Some(id) = stack.last().copied() {
                let animal = flock.animal(id).filter(|_| !s.of.contains_key(&id));
                let Some(a) = animal else {
                    stack.pop();
                    continue;
                };
                let parts = match &a.breed {
                    Some(breed) => s.written(breed),
                    None => {
                        let both = [a.sire.known(), a.blood_dam()];
                        if open.insert(id) {
                            let waits = |p: &AnimalId| !s.of.contains_key(p) && !open.contains(p);
                            let above = both.iter().flatten().copied().filter(waits);
                            let before = stack.len();
                            stack.extend(above);
                            if stack.len() > before {
                                continue;
                            }
                        }
                        let doubt = doubt(a, flock).map(|b| s.written(&b));
                        let of = |p: Option<AnimalId>| p.and_then(|p| s.of.get(&p)).unwrap_or(&nothing);
                        mean(doubt.as_ref().unwrap_or(of(both[0])), of(both[1]))
                    }
                };
                s.of.insert(id, parts);
                stack.pop();
            }
        }
        s
    }

    /// Shares of an animal, the largest first.
    pub fn parts(&self, id: AnimalId) -> Vec<(&str, Share)> {
        let mut all: Vec<(&str, Share)> = self
            .of
            .get(&id)
            .map(|p| p.iter().map(|(n, s)| (self.names[usize::from(*n)].as_str(), *s)).collect())
            .unwrap_or_default();
        all.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(b.0)));
        all
    }

    /// An animal's share of one breed, in any case of letters.
    pub fn share(&self, id: AnimalId, breed: &str) -> Share {
        let low = breed.trim().to_lowercase();
        let parts = self.parts(id);
        parts.into_iter().find(|(n, _)| n.to_lowercase() == low).map_or(Share::NONE, |(_, s)| s)
    }

    /// `Fellside 3/4, Hillgrey 1/4`; of one breed its name alone.
    pub fn words(&self, id: AnimalId) -> String {
        match self.parts(id).as_slice() {
            [(one, _)] => (*one).to_string(),
            many => many.iter().map(|(n, s)| format!("{n} {s}")).collect::<Vec<_>>().join(", "),
        }
    }

    fn name(&mut self, name: &str) -> u16 {
        let low = name.trim().to_lowercase();
        let known = self.names.iter().position(|n| n.to_lowercase() == low);
        let at = known.unwrap_or_else(|| {
            self.names.push(name.trim().to_string());
            self.names.len() - 1
        });
        u16::try_from(at).unwrap_or_default()
    }

    fn written(&mut self, breed: &Breed) -> Parts {
        let mut parts = Parts::new();
        for p in breed.parts() {
            let share = Share::new(p.num.into(), p.den.into()).unwrap_or(Share::NONE);
            add(&mut parts, self.name(&p.name), share);
        }
        parts.sort_unstable_by_key(|p| p.0);
        parts
    }
}

/// The breed of all rams that may be the sire, where it is the same.
fn doubt(a: &Animal, flock: &Flock) -> Option<Breed> {
    let Sire::OneOf(rams) = &a.sire else { return None };
    let mut breeds = rams.iter().map(|r| flock.animal(*r).and_then(|r| r.breed.clone()));
    let first = breeds.next()??;
    breeds.all(|b| b.as_ref() == Some(&first)).then_some(first)
}

fn mean(a: &Parts, b: &Parts) -> Parts {
    let mut parts = Parts::new();
    for (name, share) in a.iter().chain(b) {
        add(&mut parts, *name, share.half());
    }
    parts.sort_unstable_by_key(|p| p.0);
    parts
}

fn add(parts: &mut Parts, name: u16, share: Share) {
    match parts.iter_mut().find(|p| p.0 == name) {
        Some(p) => p.1 = p.1.plus(share),
        None => parts.push((name, share)),
    }
}
