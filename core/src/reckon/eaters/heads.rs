//! How many heads of each group stand in each pen on a day.

use super::{Milk, Spans, grouped, here, milk};
use crate::flock::{AnimalFile, Flock, natural};
use crate::terms::{AnimalId, Day, Eaters, Sex, norm};
use rapidhash::RapidHashMap;
use std::collections::BTreeMap;

/// The pen an animal was in at the end of a day; where it is now if no move is written; none where it was in no pen or
/// only later moves are written.
pub fn pen_on(f: &AnimalFile, on: Day) -> Option<&str> {
    let mut standing = f.pen_moves.iter().filter(|m| m.struck.is_none()).peekable();
    if standing.peek().is_none() {
        return f.animal.pen.as_deref();
    }
    standing.rfind(|m| m.on <= on).and_then(|m| m.pen.as_deref())
}

/// The heads of one pen.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PenHeads {
    /// The pen as it is written; empty for animals in no pen.
    pub pen: String,
    /// Its groups in the order of [`Eaters::ALL`], none of them empty, each with its animals by tag.
    pub groups: Vec<(Eaters, Vec<AnimalId>)>,
}

impl PenHeads {
    /// What it is called: its name, or `In no pen`.
    pub fn title(&self) -> &str {
        if self.pen.is_empty() { "In no pen" } else { &self.pen }
    }

    /// All its heads.
    pub fn all(&self) -> usize {
        self.groups.iter().map(|(_, a)| a.len()).sum()
    }

    /// Its animals of one group.
    pub fn animals(&self, eaters: Eaters) -> &[AnimalId] {
        self.groups.iter().find(|(e, _)| *e == eaters).map_or(&[], |(_, a)| a)
    }
}

/// Who eats on a day: every animal of the flock, by pen and group.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heads {
    /// The day.
    pub on: Day,
    /// The pens that hold an animal, in barn order; those in no pen last.
    pub pens: Vec<PenHeads>,
}

impl Heads {
    /// Looks through the flock once.
    pub fn on(flock: &Flock, on: Day) -> Self {
        let spans = Spans::of(flock);
        let mut nursed: RapidHashMap<AnimalId, usize> = RapidHashMap::default();
        let there: Vec<&AnimalFile> = flock.files().filter(|f| here(f, on)).collect();
        for f in &there {
            if let Some(Milk::Ewe(ewe)) = milk(flock, f, on, &spans) {
                *nursed.entry(ewe).or_default() += 1;
            }
        }
        let mut pens: Pens<'_> = Pens::default();
        for f in there {
            let n = match f.animal.sex {
                Sex::Ewe => nursed.get(&f.animal.id).copied().unwrap_or(0),
                Sex::Ram | Sex::Wether => 0,
            };
            let eaters = grouped(flock, f, on, &spans, n);
            let groups = pens.of(pen_on(f, on).unwrap_or_default());
            groups[eaters as usize].push((f.animal.tag(), f.animal.id));
        }
        Self { on, pens: pens.sorted() }
    }

    /// How many heads of a group there are: in a pen however it is written (an empty name: in no pen), or in the whole
    /// flock.
    pub fn of(&self, pen: Option<&str>, eaters: Eaters) -> u32 {
        let n = match pen {
            None => self.pens.iter().map(|p| p.animals(eaters).len()).sum(),
            Some(pen) => self.pen(pen).map_or(0, |p| p.animals(eaters).len()),
        };
        u32::try_from(n).unwrap_or(u32::MAX)
    }

    /// A pen by its name however it is written; an empty name: those in no pen.
    pub fn pen(&self, pen: &str) -> Option<&PenHeads> {
        let pen = norm(pen);
        self.pens.iter().find(|p| norm(&p.pen) == pen)
    }

    /// Animals of a group in the whole flock.
    pub fn animals(&self, eaters: Eaters) -> impl Iterator<Item = AnimalId> {
        self.pens.iter().flat_map(move |p| p.animals(eaters).iter().copied())
    }

    /// Groups with a head anywhere, in the order of [`Eaters::ALL`].
    pub fn groups(&self) -> Vec<(Eaters, u32)> {
        Eaters::ALL.iter().map(|e| (*e, self.of(None, *e))).filter(|(_, n)| *n > 0).collect()
    }

    /// All heads.
    pub fn all(&self) -> usize {
        self.pens.iter().map(PenHeads::all).sum()
    }
}

/// By group, in the order of [`Eaters::ALL`]: tags and animals.
type Grouped<'a> = Vec<Vec<(&'a str, AnimalId)>>;

/// Pens being filled: names that differ in writing alone are one, called by the first of them by name.
#[derive(Default)]
struct Pens<'a> {
    places: RapidHashMap<&'a str, usize>,
    by_norm: BTreeMap<String, usize>,
    all: Vec<(&'a str, Grouped<'a>)>,
}

impl<'a> Pens<'a> {
    fn of(&mut self, pen: &'a str) -> &mut Grouped<'a> {
        let place = match self.places.get(pen) {
            Some(place) => *place,
            None => {
                let next = self.all.len();
                let place = *self.by_norm.entry(norm(pen)).or_insert(next);
                if place == next {
                    self.all.push((pen, vec![Vec::new(); Eaters::ALL.len()]));
                } else if pen < self.all[place].0 {
                    self.all[place].0 = pen;
                }
                self.places.insert(pen, place);
                place
            }
        };
        &mut self.all[place].1
    }

    fn sorted(self) -> Vec<PenHeads> {
        let mut all = self.all;
        all.sort_by(|(a, _), (b, _)| a.is_empty().cmp(&b.is_empty()).then_with(|| natural(a, b)));
        let made = |(pen, groups): (&str, Grouped<'_>)| {
            let groups = Eaters::ALL.iter().zip(groups).filter(|(_, a)| !a.is_empty());
            let groups = groups.map(|(e, mut animals)| {
                animals.sort_by(|a, b| natural(a.0, b.0).then_with(|| a.1.cmp(&b.1)));
                (*e, animals.into_iter().map(|(_, id)| id).collect())
            });
            PenHeads { pen: pen.to_string(), groups: groups.collect() }
        };
        all.into_iter().map(made).collect()
    }
}
