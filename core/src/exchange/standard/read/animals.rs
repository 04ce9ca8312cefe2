//! Animals of a document: which of them the book knows already, and the others as drafts.
//!
//! An animal is known by its record's id, else by a mark it wears, else by name, day of birth and dam together. What the
//! book says of a known animal stays as it is.

use super::super::kept::Kept;
use super::super::schemes::{self, Ident};
use super::super::words;
use super::item::{AnimalItem, Items};
use super::{BadRecord, Place, Reader};
use crate::entry::{AnimalDraft, Entry, IdentityDraft, animals};
use crate::flock::{Ended, Identity, Sire};
use crate::terms::{
    AnimalId, BirthType, Born, Day, ElectronicId, IdentityId, IdentityKind, MeantFor, RearType, Rearing, Sex,
    Status, Tag, Units, Weight, norm,
};
use std::collections::{HashMap, HashSet};
use uuid::Uuid;

/// What other resources tell of an animal.
#[derive(Debug, Default)]
struct Beside {
    kept: Kept,
    born: Option<Day>,
    pen: Option<String>,
    last: Option<Last>,
}

/// The last standing of an animal, with the event that tells it.
#[derive(Debug)]
struct Last {
    on: Option<Day>,
    to: Status,
    reason: Option<String>,
    record: Option<Uuid>,
}

/// A mark as read.
struct Mark {
    kind: IdentityKind,
    ended: Option<Ended>,
    tag: Tag,
}

impl Reader<'_> {
    pub(super) fn animals(&mut self, items: &mut Items) {
        let mut new: Vec<(AnimalItem, Vec<Mark>, AnimalId)> = Vec::new();
        let mut met: HashMap<AnimalId, Place> = HashMap::new();
        let mut others: Vec<(Ident, AnimalId)> = Vec::new();
        for item in items.animals.drain(..) {
            // The same animal again, as events bring it along.
            let again = item.record.is_some_and(|r| self.own.contains_key(&r))
                || item.marks.first().is_some_and(|i| self.file.contains_key(i));
            if again {
                continue;
            }
            let Some(marks) = self.marks(&item) else { continue };
            let held = match self.held(&item, &marks) {
                Ok(held) => held,
                Err(why) => {
                    self.bad.push(BadRecord::new(&item.place, "identifier", why));
                    continue;
                }
            };
            let id = held.unwrap_or_else(|| item.record.map_or_else(AnimalId::new, AnimalId));
            if let Some(other) = met.insert(id, item.place.clone()) {
                let why = format!("{other} is the same animal of the book: take one of the two out");
                self.bad.push(BadRecord::new(&item.place, "identifier", why));
                continue;
            }
            let mut idents = item.marks.iter().cloned();
            self.file.extend(idents.next().map(|i| (i, id)));
            others.extend(idents.map(|i| (i, id)));
            self.own.extend(item.record.map(|r| (r, id)));
            if held.is_some() {
                self.same += 1;
            } else {
                new.push((item, marks, id));
            }
        }
        // What names an animal goes before what is told of another beside its name.
        for (i, id) in others {
            self.file.entry(i).or_insert(id);
        }
        self.by_birth(&mut new);
        if new.is_empty() || !self.bad.is_empty() {
            return;
        }
        let beside = self.beside(items);
        let none = Beside::default();
        let (mut places, mut drafts) = (Vec::new(), Vec::new());
        for (item, marks, id) in new {
            let beside = beside.get(&id).unwrap_or(&none);
            places.push(item.place.clone());
            drafts.extend(self.draft(&item, marks, id, beside));
        }
        let check = animals(drafts, self.book, self.today);
        let written: Vec<_> = match &check {
            Ok(c) => match c.entry() {
                Entry::Animals { animals, .. } => {
                    animals.iter().map(|a| (a.id, a.born.exact(), a.sex)).collect()
                }
                _ => Vec::new(),
            },
            Err(_) => Vec::new(),
        };
        self.settle(&places, check, |entry| {
            // A standing with a day was told by an event, which comes in as itself.
            if let Entry::Animals { movements, .. } = entry {
                movements.clear();
            }
        });
        for (id, born, sex) in written {
            self.tell("animal", id, born, sex.words().to_string());
        }
    }

    /// The marks of an animal; none where one of them cannot be.
    fn marks(&mut self, item: &AnimalItem) -> Option<Vec<Mark>> {
        let mut all: Vec<Mark> = Vec::new();
        for i in &item.marks {
            let Some((kind, ended)) = schemes::kind(&i.scheme) else { continue };
            let tag = match kind {
                IdentityKind::Electronic => ElectronicId::parse(&i.id).and_then(|e| Tag::parse(&e.digits())),
                _ => Tag::parse(&i.id),
            };
            match tag {
                Ok(tag) => {
                    let twice = all.iter().any(|m| {
                        m.kind == kind && m.ended == ended && ended.is_none() && m.tag.norm() == tag.norm()
                    });
                    if !twice {
                        all.push(Mark { kind, ended, tag });
                    }
                }
                Err(why) => {
                    self.bad.push(BadRecord::new(&item.place, "identifier", why));
                    return None;
                }
            }
        }
        // What the keeper calls it by is its flock tag, unless that is one of its other marks.
        if let Some(text) = item.tag.as_deref().filter(|t| !all.iter().any(|m| m.tag.norm() == norm(t))) {
            match Tag::parse(text) {
                Ok(tag) => all.push(Mark { kind: IdentityKind::Flock, ended: None, tag }),
                Err(why) => {
                    self.bad.push(BadRecord::new(&item.place, "managementTag", why));
                    return None;
                }
            }
        }
        if all.is_empty() {
            let why = "it has no mark: write an identifier with its scheme, or a managementTag";
            self.bad.push(BadRecord::new(&item.place, "identifier", why));
            return None;
        }
        all.sort_by_key(|m| (m.kind, m.ended.is_some()));
        // An animal that wears nothing now is called by the last mark it wore.
        if let Some(at) = item.tag.as_deref().and_then(|t| all.iter().rposition(|m| m.tag.norm() == norm(t)))
            && all.iter().all(|m| m.ended.is_some())
        {
            let called = all.remove(at);
            all.push(called);
        }
        Some(all)
    }

    /// The animal of the book that this is, by its record or its marks.
    fn held(&self, item: &AnimalItem, marks: &[Mark]) -> Result<Option<AnimalId>, String> {
        if let Some(id) = item.record.map(AnimalId).filter(|id| self.book.animal(*id).is_some()) {
            return Ok(Some(id));
        }
        let mut found: Vec<AnimalId> = marks
            .iter()
            .filter(|m| m.ended.is_none())
            .filter_map(|m| self.book.wearing(m.kind, m.tag.as_str()))
            .collect();
        found.sort_unstable();
        found.dedup();
        match found.as_slice() {
            [] => Ok(None),
            [one] => match self.book.animal(*one) {
                Some(a) if a.sex != item.sex && (a.sex == Sex::Ewe || item.sex == Sex::Ewe) => Err(format!(
                    "{} wears that mark in the book and is a {}: mend the mark, or the sex of one of the two",
                    a.title(),
                    a.sex.words()
                )),
                _ => Ok(Some(*one)),
            },
            many => {
                let all: Vec<&str> = many.iter().map(|a| self.book.tag(*a)).collect();
                Err(format!(
                    "its marks are those of several animals of the book ({}): mend them",
                    all.join(", ")
                ))
            }
        }
    }

    /// Animals that neither id nor mark tells, by name, day of birth and dam.
    fn by_birth(&mut self, new: &mut Vec<(AnimalItem, Vec<Mark>, AnimalId)>) {
        let key = |name: &str, born: Day, dam: Option<AnimalId>| (name.trim().to_lowercase(), born, dam);
        let mut known: HashMap<_, Vec<AnimalId>> = HashMap::new();
        for f in self.book.files() {
            if let (Some(name), Some(born)) = (&f.animal.name, f.animal.born.exact()) {
                known.entry(key(name, born, f.animal.dam)).or_default().push(f.animal.id);
            }
        }
        let mut taken: HashSet<AnimalId> = self.file.values().copied().collect();
        let (mut rest, mut instead) = (Vec::new(), HashMap::new());
        for (item, marks, id) in new.drain(..) {
            let dam = item
                .parents
                .iter()
                .find(|p| !p.male && p.relation != "Adoptive")
                .and_then(|p| self.find(&p.who));
            let found =
                item.name.as_ref().zip(item.born.exact()).and_then(|(n, b)| known.get(&key(n, b, dam)));
            match found.map(Vec::as_slice) {
                Some([one]) if !item.ours && taken.insert(*one) => {
                    instead.insert(id, *one);
                    self.same += 1;
                    self.leave("marks of animals that are known by name, day of birth and dam");
                }
                _ => rest.push((item, marks, id)),
            }
        }
        for at in self.file.values_mut().chain(self.own.values_mut()) {
            *at = instead.get(at).copied().unwrap_or(*at);
        }
        *new = rest;
    }

    /// What births, comings and goings, and pens tell of each animal.
    fn beside(&self, items: &Items) -> HashMap<AnimalId, Beside> {
        let mut all: HashMap<AnimalId, Beside> = HashMap::new();
        for e in &items.births {
            if let Some(id) = self.find(&e.animal) {
                let b = all.entry(id).or_default();
                b.kept.extend(e.kept.clone());
                b.born = b.born.or(e.at.map(|at| at.day));
            }
        }
        for m in &items.moves {
            let Some(id) = self.find(&m.event.animal) else { continue };
            let b = all.entry(id).or_default();
            if m.to == Status::Present {
                b.kept.extend(m.event.kept.clone());
            }
            let on = m.event.at.map(|at| at.day);
            // Ids are in order of time: of one day the later one is the last.
            let record = m.event.record;
            if b.last.as_ref().is_none_or(|l| (on, record) >= (l.on, l.record)) {
                b.last = Some(Last { on, to: m.to, reason: m.event.note.clone(), record });
            }
        }
        for (pen, members) in &items.pens {
            for id in members.iter().filter_map(|i| self.find(i)) {
                all.entry(id).or_default().pen = Some(pen.clone());
            }
        }
        all
    }

    fn draft(
        &mut self,
        item: &AnimalItem,
        marks: Vec<Mark>,
        id: AnimalId,
        beside: &Beside,
    ) -> Option<AnimalDraft> {
        let kept = &beside.kept;
        let mut d = AnimalDraft::new(marks.first()?.tag.clone(), item.sex);
        d.id = id;
        d.identities.clear();
        for m in marks {
            match m.ended {
                None => d.identities.push(IdentityDraft { kind: m.kind, tag: m.tag }),
                ended => d.dated.push(Identity {
                    id: IdentityId::new(),
                    kind: m.kind,
                    tag: m.tag,
                    from: None,
                    to: None,
                    ended,
                }),
            }
        }
        d.prefix = prefix(item);
        d.name = item.name.clone().or_else(|| item.official.clone().filter(|_| !item.ours));
        d.breed = item.breed.clone();
        d.born = match item.born {
            Born::Unknown => kept
                .get("born")
                .and_then(|b| Born::parse(b).ok())
                .or_else(|| beside.born.filter(|_| !item.ours).map(Born::On))
                .unwrap_or_default(),
            known => known,
        };
        d.colour = item.colour.clone();
        self.parents(&mut d, item, kept);
        let text = |key: &str| kept.get(key).map(str::to_string);
        (d.section, d.marks, d.note) = (text("section"), text("marks"), text("about"));
        d.birth_type = kept.get("birth_type").and_then(|t| BirthType::parse(t).ok());
        d.rear_type = kept.get("rear_type").and_then(|t| RearType::parse(t).ok());
        d.birth_weight = kept.get("birth_weight_kg").and_then(|t| Weight::parse(t, Units::Metric).ok());
        d.meant_for = kept.get("meant_for").and_then(|t| MeantFor::parse(t).ok()).unwrap_or_default();
        d.pen = beside.pen.clone();
        match &beside.last {
            Some(last) => (d.status, d.status_on, d.status_reason) = (last.to, last.on, last.reason.clone()),
            None => d.status = words::status(item.status.as_deref()),
        }
        Some(d)
    }

    fn parents(&mut self, d: &mut AnimalDraft, item: &AnimalItem, kept: &Kept) {
        let (mut sires, mut bore, mut carried) = (Vec::new(), None, None);
        for p in &item.parents {
            let Some(id) = self.find(&p.who) else {
                self.leave("parents that neither file nor book has, left unknown");
                continue;
            };
            match (p.male, p.relation.as_str()) {
                (true, _) if !sires.contains(&id) => sires.push(id),
                (true, _) => {}
                (false, "Adoptive") => d.rearing = Rearing::Foster(id),
                (false, "Recipient") => carried = Some(id),
                (false, _) => bore = Some(id),
            }
        }
        match carried {
            Some(dam) => (d.dam, d.genetic_dam) = (Some(dam), bore),
            None => d.dam = bore,
        }
        if d.dam.is_some_and(|dam| d.rearing == Rearing::Foster(dam)) {
            d.rearing = Rearing::Dam;
        }
        if kept.get("reared_by") == Some("bottle") {
            d.rearing = Rearing::Bottle;
        }
        d.sire = match sires.as_slice() {
            [] => self.in_doubt(kept.get("sires")),
            [one] => Sire::Known(*one),
            _ => Sire::OneOf(sires),
        };
    }

    /// Rams of whom one is the sire, by their records' ids.
    pub(super) fn in_doubt(&self, text: Option<&str>) -> Sire {
        let rams = self.several(text);
        if rams.is_empty() { Sire::Unknown } else { Sire::OneOf(rams) }
    }

    /// Animals by their records' ids, with blanks between.
    pub(super) fn several(&self, text: Option<&str>) -> Vec<AnimalId> {
        let words = text.unwrap_or_default().split_whitespace();
        words.filter_map(|w| Uuid::try_parse(w).ok()).filter_map(|id| self.record(id)).collect()
    }
}

/// The breeder's prefix: what stands before the name in the herdbook's name.
fn prefix(item: &AnimalItem) -> Option<String> {
    let official = item.official.as_deref()?;
    match &item.name {
        Some(name) => {
            official.strip_suffix(name.as_str()).map(|p| p.trim_end().to_string()).filter(|p| !p.is_empty())
        }
        None => item.ours.then(|| official.to_string()),
    }
}
