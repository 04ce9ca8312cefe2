//! The pedigree as it would stand: parents of the right sex and age, and no animal its own ancestor.

use super::standing::nothing_before;
use super::{AnimalDraft, Faults, Field, LambingDraft, Refused};
use crate::flock::{Animal, Flock, Lambing, Sire};
use crate::terms::{AnimalId, Born, Rearing, Sex};
use std::collections::{HashMap, HashSet};

/// What the parent checks need to know of animals in the flock and in the entry together.
pub(super) struct Facts<'a> {
    tag: &'a str,
    sex: Sex,
    born: Born,
    dam: Option<AnimalId>,
    genetic_dam: Option<AnimalId>,
    sire: &'a Sire,
}

pub(super) struct Pedigree<'a> {
    flock: &'a Flock,
    new: HashMap<AnimalId, Facts<'a>>,
}

impl<'a> Pedigree<'a> {
    pub(super) fn new(flock: &'a Flock, drafts: &'a [AnimalDraft]) -> Self {
        let new = drafts
            .iter()
            .map(|d| {
                let facts = Facts {
                    tag: d.tag(),
                    sex: d.sex,
                    born: d.born,
                    dam: d.dam,
                    genetic_dam: d.genetic_dam,
                    sire: &d.sire,
                };
                (d.id, facts)
            })
            .collect();
        Self { flock, new }
    }

    pub(super) fn with_edit(flock: &'a Flock, a: &'a Animal) -> Self {
        Self::with_edits(flock, std::slice::from_ref(a))
    }

    pub(super) fn with_edits(flock: &'a Flock, edited: &'a [Animal]) -> Self {
        let facts = |a: &'a Animal| Facts {
            tag: a.tag(),
            sex: a.sex,
            born: a.born,
            dam: a.dam,
            genetic_dam: a.genetic_dam,
            sire: &a.sire,
        };
        Self { flock, new: edited.iter().map(|a| (a.id, facts(a))).collect() }
    }

    /// One animal in place of two: whoever has the other as parent has this one.
    pub(super) fn with_merged(flock: &'a Flock, one: &'a Animal, gone: AnimalId) -> Self {
        let mut view = Self::with_edit(flock, one);
        if let Some(facts) = view.facts_of(one.id) {
            view.new.insert(gone, facts);
        }
        view
    }

    fn facts_of(&self, id: AnimalId) -> Option<Facts<'a>> {
        self.new.get(&id).map(|f| Facts { ..*f })
    }

    fn facts(&self, id: AnimalId) -> Option<Facts<'_>> {
        if let Some(f) = self.new.get(&id) {
            return Some(Facts { ..*f });
        }
        self.flock.animal(id).map(|a| Facts {
            tag: a.tag(),
            sex: a.sex,
            born: a.born,
            dam: a.dam,
            genetic_dam: a.genetic_dam,
            sire: &a.sire,
        })
    }
}

pub(super) fn parents(faults: &mut Faults, view: &Pedigree<'_>, id: AnimalId, row: usize) {
    let Some(lamb) = view.facts(id) else { return };
    let listed = [(lamb.dam, "dam", Sex::Ewe), (lamb.genetic_dam, "dam", Sex::Ewe)]
        .into_iter()
        .filter_map(|(p, part, sex)| p.map(|p| (p, part, sex)))
        .chain(lamb.sire.possible().iter().map(|s| (*s, "sire", Sex::Ram)));
    for (parent, part, needed) in listed {
        let field = Field::row(part, row);
        let Some(p) = view.facts(parent) else {
            faults.refuse(field, Refused::Gone);
            continue;
        };
        if parent == id {
            continue; // said as a loop of one
        }
        // A wether may have sired before it was castrated.
        let wrong = if needed == Sex::Ewe { p.sex != Sex::Ewe } else { p.sex == Sex::Ewe };
        if wrong {
            let why = Refused::WrongSex {
                tag: p.tag.into(),
                is: p.sex,
                needed,
                part: if part == "dam" { "a dam" } else { "a sire" },
            };
            faults.refuse(field, why);
        }
        if let (Some(from), Some(to)) = (p.born.earliest(), lamb.born.latest())
            && from >= to
        {
            let why = Refused::ParentYounger {
                parent: p.tag.into(),
                parent_born: p.born.words(),
                part,
                lamb: lamb.tag.into(),
                lamb_born: lamb.born.words(),
            };
            faults.refuse(field, why);
        }
    }
}

/// Names every circle once, without recursion: depth-first over parents with a path.
pub(super) fn loops(faults: &mut Faults, view: &Pedigree<'_>, rows: impl Iterator<Item = (usize, AnimalId)>) {
    #[derive(PartialEq, Clone, Copy)]
    enum Seen {
        OnPath,
        Done,
    }
    let mut seen: HashMap<AnimalId, Seen> = HashMap::new();
    for (row, start) in rows {
        if seen.contains_key(&start) {
            continue;
        }
        let mut path: Vec<(AnimalId, Vec<AnimalId>)> = vec![(start, above(view, start))];
        seen.insert(start, Seen::OnPath);
        while let Some((id, left)) = path.last_mut() {
            let Some(next) = left.pop() else {
                seen.insert(*id, Seen::Done);
                path.pop();
                continue;
            };
            match seen.get(&next) {
                Some(Seen::Done) => {}
                Some(Seen::OnPath) => {
                    let from = path.iter().position(|(p, _)| *p == next).unwrap_or(0);
                    let mut names: Vec<String> = path[from..]
                        .iter()
                        .filter_map(|(p, _)| view.facts(*p).map(|f| f.tag.to_string()))
                        .collect();
                    names.push(view.facts(next).map(|f| f.tag.to_string()).unwrap_or_default());
                    faults.refuse(Field::row("dam", row), Refused::Loop(names));
                }
                None => {
                    // Only animals that can reach a new one matter; the flock itself holds no circle.
                    seen.insert(next, Seen::OnPath);
                    let up = above(view, next);
                    path.push((next, up));
                }
            }
        }
    }
}

fn above(view: &Pedigree<'_>, id: AnimalId) -> Vec<AnimalId> {
    view.facts(id).map_or_else(Vec::new, |f| {
        let mut up: Vec<AnimalId> = f.sire.possible().to_vec();
        up.extend(f.genetic_dam);
        up.extend(f.dam);
        up
    })
}

/// Lambs that were in the book before their lambing: none twice, none that has a lambing already, and none that
/// would become its own ancestor or younger than its own lambs. Rows count all lambs of all drafts from 0.
pub(super) fn known_lambs(faults: &mut Faults, flock: &Flock, drafts: &[LambingDraft]) {
    let mut view = Pedigree { flock, new: HashMap::new() };
    let mut rows = Vec::new();
    let mut seen = HashSet::new();
    let mut row = 0;
    for d in drafts {
        for lamb in &d.lambs {
            let known = lamb.known.and_then(|id| flock.file(id));
            if let Some(f) = known {
                let (a, field) = (&f.animal, Field::row("lamb", row));
                if !seen.insert(a.id) {
                    faults.refuse(field, Refused::TagTwice(a.tag().into()));
                } else if let Some(b) = &f.birth {
                    let ewe = flock.tag(b.ewe).to_string();
                    faults.refuse(field, Refused::BornAlready { tag: a.tag().into(), ewe });
                } else {
                    let sire = if d.sire == Sire::Unknown { &a.sire } else { &d.sire };
                    let facts = Facts {
                        tag: a.tag(),
                        sex: a.sex,
                        born: Born::On(d.at.day),
                        dam: Some(d.ewe),
                        genetic_dam: a.genetic_dam,
                        sire,
                    };
                    view.new.insert(a.id, facts);
                    rows.push((row, a.id));
                }
            }
            row += 1;
        }
    }
    if rows.is_empty() || !faults.none_refused() {
        return;
    }
    let mut found = Faults::default();
    for (row, id) in &rows {
        if let (Some(f), Some(born)) = (flock.file(*id), view.facts(*id).and_then(|f| f.born.exact())) {
            nothing_before(&mut found, Field::row("lamb", *row), f, born, None);
        }
    }
    born_in_time(&mut found, &view, drafts);
    loops(&mut found, &view, rows.iter().copied());
    for (row, id) in &rows {
        parents(&mut found, &view, *id, *row);
        for child in flock.file(*id).map_or(&[][..], |f| &f.offspring) {
            parents(&mut found, &view, *child, *row);
        }
    }
    // Said beside the lamb: the form has no field for a dam.
    faults.take_renamed(found, |_| "lamb");
}

/// The entry itself gives some animals their day of birth: nobody may take part in a lambing of the same entry before it.
fn born_in_time(faults: &mut Faults, view: &Pedigree<'_>, drafts: &[LambingDraft]) {
    let mut row = 0;
    for d in drafts {
        let on = d.at.day;
        let parents = std::iter::once(&d.ewe).chain(d.sire.possible());
        let fosters = d.lambs.iter().filter_map(|l| match &l.rearing {
            Rearing::Foster(ewe) => Some(ewe),
            _ => None,
        });
        let there = parents.map(|id| (id, 1)).chain(d.foster_on.iter().chain(fosters).map(|id| (id, 0)));
        for (id, least) in there {
            let Some(f) = view.new.get(id) else { continue };
            if let Some(born) = f.born.exact().filter(|b| on.since(*b) < least) {
                faults.refuse(Field::row("lamb", row), Refused::BeforeBirth { tag: f.tag.into(), born, on });
            }
        }
        row += d.lambs.len();
    }
}

/// An amended lambing: its lambs follow in day of birth and sire where they held the old ones, so nothing may have
/// been done to them before the new day, and the pedigree must hold.
pub(super) fn amended_lambing(faults: &mut Faults, flock: &Flock, new: &Lambing) {
    let of_ewe = flock.file(new.ewe).map_or(&[][..], |f| &f.lambings);
    let Some(old) = of_ewe.iter().find(|l| l.id == new.id) else { return };
    let sire = new.ram.map_or(Sire::Unknown, Sire::Known);
    let mut view = Pedigree { flock, new: HashMap::new() };
    let mut found = Faults::default();
    for f in old.lambs.iter().filter_map(|id| flock.file(*id)) {
        let a = &f.animal;
        let mut facts = Facts {
            tag: a.tag(),
            sex: a.sex,
            born: a.born,
            dam: a.dam,
            genetic_dam: a.genetic_dam,
            sire: &a.sire,
        };
        if a.born == Born::On(old.at.day) {
            facts.born = Born::On(new.at.day);
            // What was written down with the birth itself follows too.
            nothing_before(&mut found, Field::of("on"), f, new.at.day, Some(old.at.day));
        }
        if a.sire == old.ram.map_or(Sire::Unknown, Sire::Known) {
            facts.sire = &sire;
        }
        view.new.insert(a.id, facts);
    }
    loops(&mut found, &view, old.lambs.iter().map(|id| (0, *id)));
    for lamb in &old.lambs {
        parents(&mut found, &view, *lamb, 0);
        for child in flock.file(*lamb).map_or(&[][..], |f| &f.offspring) {
            parents(&mut found, &view, *child, 0);
        }
    }
    if faults.none_refused() {
        // The form has a day and a ram.
        faults.take_renamed(found, |name| if name == "sire" { "ram" } else { "on" });
    }
}
