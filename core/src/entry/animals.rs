//! New animals, new facts of an animal, and its marks.

use super::pedigree::{Pedigree, loops, parents};
use super::{Check, Entry, Faults, Field, Refused, Unusual, words};
use crate::flock::{Animal, Ended, Flock, Identity, MoveDetails, Movement, Sire};
use crate::terms::{
    AnimalId, BirthType, Born, Breed, Day, ElectronicId, IdentityId, IdentityKind, MeantFor, MovementId,
    RearType, Rearing, Sex, Status, Tag, Weight, norm,
};
use std::collections::HashSet;

/// A mark for a new animal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IdentityDraft {
    /// What kind.
    pub kind: IdentityKind,
    /// As it reads.
    pub tag: Tag,
}

/// A sire as written: ids, so that rows of one import can name each other.
pub type SireDraft = Sire;

/// A new animal as typed or read.
#[derive(Debug, Clone, PartialEq)]
pub struct AnimalDraft {
    /// Its id, chosen beforehand so that others in the same entry can name it as parent.
    pub id: AnimalId,
    /// Its marks; the first is what it is called by.
    pub identities: Vec<IdentityDraft>,
    /// Further marks with their days, worn or ended: an import brings them as they were.
    pub dated: Vec<Identity>,
    /// Registry or pet name.
    pub name: Option<String>,
    /// Its sex.
    pub sex: Sex,
    /// Breed or parts.
    pub breed: Option<Breed>,
    /// When born.
    pub born: Born,
    /// Birth dam.
    pub dam: Option<AnimalId>,
    /// Sire.
    pub sire: SireDraft,
    /// Genetic dam, if another.
    pub genetic_dam: Option<AnimalId>,
    /// Who rears it.
    pub rearing: Rearing,
    /// Born with.
    pub birth_type: Option<BirthType>,
    /// Reared with.
    pub rear_type: Option<RearType>,
    /// Weight at birth.
    pub birth_weight: Option<Weight>,
    /// Colour.
    pub colour: Option<String>,
    /// Other marks.
    pub marks: Option<String>,
    /// Pen.
    pub pen: Option<String>,
    /// The breeder's prefix in the registry.
    pub prefix: Option<String>,
    /// Section or grade of the registry.
    pub section: Option<String>,
    /// Note.
    pub note: Option<String>,
    /// Standing.
    pub status: Status,
    /// Since.
    pub status_on: Option<Day>,
    /// Why.
    pub status_reason: Option<String>,
    /// What it is meant for.
    pub meant_for: MeantFor,
    /// From which place or person it came; with the day it came as `status_on`.
    pub other: Option<String>,
    /// What the register asks of its coming.
    pub details: MoveDetails,
}

impl AnimalDraft {
    /// A draft with a flock tag and nothing else known.
    pub fn new(tag: Tag, sex: Sex) -> Self {
        Self {
            id: AnimalId::new(),
            identities: vec![IdentityDraft { kind: IdentityKind::Flock, tag }],
            dated: Vec::new(),
            name: None,
            sex,
            breed: None,
            born: Born::Unknown,
            dam: None,
            sire: Sire::Unknown,
            genetic_dam: None,
            rearing: Rearing::Dam,
            birth_type: None,
            rear_type: None,
            birth_weight: None,
            colour: None,
            marks: None,
            pen: None,
            prefix: None,
            section: None,
            note: None,
            status: Status::Present,
            status_on: None,
            status_reason: None,
            meant_for: MeantFor::default(),
            other: None,
            details: MoveDetails::default(),
        }
    }

    pub(super) fn tag(&self) -> &str {
        self.identities
            .first()
            .map(|i| &i.tag)
            .or_else(|| self.dated.first().map(|i| &i.tag))
            .map_or("no tag", Tag::as_str)
    }

    fn into_animal(self) -> Animal {
        Animal {
            id: self.id,
            identities: self
                .identities
                .into_iter()
                .map(|i| Identity {
                    id: IdentityId::new(),
                    kind: i.kind,
                    tag: i.tag,
                    from: None,
                    to: None,
                    ended: None,
                })
                .chain(self.dated)
                .collect(),
            prefix: words(&self.prefix),
            section: words(&self.section),
            name: words(&self.name),
            sex: self.sex,
            breed: self.breed,
            born: self.born,
            dam: self.dam,
            sire: self.sire,
            genetic_dam: self.genetic_dam,
            rearing: self.rearing,
            birth_type: self.birth_type,
            rear_type: self.rear_type,
            birth_weight: self.birth_weight,
            colour: words(&self.colour),
            marks: words(&self.marks),
            pen: words(&self.pen),
            note: words(&self.note),
            status: self.status,
            status_on: self.status_on,
            status_reason: words(&self.status_reason),
            meant_for: self.meant_for,
        }
    }
}

/// An animal's facts as they will stand; identities and standing are left as they are.
pub type AnimalEdit = Animal;

/// Checks new animals, one or many; rows of faults count from 0 in the order given.
///
/// # Errors
/// Every refusal, with its row.
pub fn animals(drafts: Vec<AnimalDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    let mut seen = HashSet::new();
    for (row, d) in drafts.iter().enumerate() {
        if d.identities.is_empty() && d.dated.is_empty() {
            faults.refuse(Field::row("tag", row), Refused::Missing("a tag"));
        }
        let worn = d.dated.iter().filter(|i| i.ended.is_none()).map(|i| (i.kind, &i.tag));
        for (kind, tag) in d.identities.iter().map(|i| (i.kind, &i.tag)).chain(worn) {
            mark(&mut faults, flock, &mut seen, kind, tag, row, None);
        }
        if let Some(b) = d.born.exact() {
            faults.not_ahead(Field::row("born", row), b, today);
        } else if let Some(b) = d.born.earliest() {
            faults.not_ahead(Field::row("born", row), b, today);
        }
        if let Some(on) = d.status_on {
            faults.not_ahead(Field::row("status_on", row), on, today);
            if let Some(born) = d.born.exact().filter(|b| on < *b) {
                let tag = d.tag().to_string();
                faults.refuse(Field::row("status_on", row), Refused::BeforeBirth { tag, born, on });
            }
        }
    }
    let view = Pedigree::new(flock, &drafts);
    for (row, d) in drafts.iter().enumerate() {
        parents(&mut faults, &view, d.id, row);
    }
    loops(&mut faults, &view, drafts.iter().map(|d| d.id).enumerate());
    for d in drafts.iter().filter(|d| d.other.is_some() || !d.details.is_empty()) {
        super::standing::blanks(&mut faults, flock, d.status, &d.other, &d.details);
    }
    faults.or(|| {
        let sentence = match drafts.as_slice() {
            [one] => format!("New {} {}", one.sex.words(), one.tag()),
            many => format!("{} new animals", many.len()),
        };
        let came = |d: &AnimalDraft| (words(&d.other), d.details.clone().tidy().into());
        let (came, animals): (Vec<_>, Vec<Animal>) =
            drafts.into_iter().map(|d| (came(&d), d.into_animal())).unzip();
        let movements = animals
            .iter()
            .zip(came)
            .filter(|(a, _)| a.status != Status::Outside)
            .filter_map(|(a, (other, details))| {
                a.status_on.map(|on| Movement {
                    id: MovementId::new(),
                    animal: a.id,
                    on,
                    to: a.status,
                    other,
                    reason: a.status_reason.clone(),
                    struck: None,
                    details,
                })
            })
            .collect();
        (Entry::Animals { animals, movements }, sentence)
    })
}

/// Checks one mark: its shape, that nobody else wears it, that it is given once.
pub(super) fn mark(
    faults: &mut Faults,
    flock: &Flock,
    seen: &mut HashSet<(IdentityKind, String)>,
    kind: IdentityKind,
    tag: &Tag,
    row: usize,
    own: Option<AnimalId>,
) {
    let field = Field::row("tag", row);
    if kind == IdentityKind::Electronic {
        match ElectronicId::parse(tag.as_str()) {
            Ok(e) if e.is_test() => faults.question(field, Unusual::TestNumber(e.to_string())),
            Ok(_) => {}
            Err(e) => faults.refuse(field, e.into()),
        }
    }
    if let Some(by) = flock.wearing(kind, tag.as_str()).filter(|by| Some(*by) != own) {
        let by =
            flock.animal(by).map_or_else(|| "another".into(), |a| format!("{} {}", a.sex.words(), a.title()));
        faults.refuse(field, Refused::TagInUse { tag: tag.to_string(), by });
    }
    if !seen.insert((kind, tag.norm())) {
        faults.refuse(field, Refused::TagTwice(tag.to_string()));
    }
}

/// Checks new facts of an animal: name, sex, breed, birth, parents, rearing, colour, marks, note, weights and types.
///
/// # Errors
/// Every refusal beside its field.
pub fn edit_animal(edit: AnimalEdit, reason: Option<&str>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    let Some(old) = flock.animal(edit.id) else {
        faults.refuse(Field::of("tag"), Refused::Gone);
        return faults.or(|| (Entry::EditAnimal(Box::new(edit)), String::new()));
    };
    let mut edit = edit;
    edit.identities.clone_from(&old.identities);
    edit.status = old.status;
    edit.status_on = old.status_on;
    edit.status_reason.clone_from(&old.status_reason);
    edit.pen.clone_from(&old.pen);
    let texts = [
        &mut edit.name,
        &mut edit.prefix,
        &mut edit.section,
        &mut edit.colour,
        &mut edit.marks,
        &mut edit.note,
    ];
    for text in texts {
        *text = words(text);
    }
    if edit == *old {
        faults.refuse(Field::of("tag"), Refused::NothingChanged);
    }
    if let Some(b) = edit.born.earliest() {
        faults.not_ahead(Field::of("born"), b, today);
    }
    if let (Some(f), Some(born)) = (flock.file(edit.id), edit.born.exact()) {
        super::standing::nothing_before(&mut faults, Field::of("born"), f, born, None);
    }
    {
        let view = Pedigree::with_edit(flock, &edit);
        parents(&mut faults, &view, edit.id, 0);
        loops(&mut faults, &view, std::iter::once((0, edit.id)));
        for child in flock.file(edit.id).map_or(&[][..], |f| &f.offspring) {
            parents(&mut faults, &view, *child, 0);
        }
    }
    let sentence = format!("New facts of {}", old.tag());
    let checked = faults.or(|| (Entry::EditAnimal(Box::new(edit)), sentence))?;
    Ok(match reason.map(str::trim).filter(|r| !r.is_empty()) {
        Some(r) => checked.because(r),
        None => checked,
    })
}

/// A change of an animal's marks.
#[derive(Debug, Clone, PartialEq)]
pub struct Retag {
    /// The animal.
    pub animal: AnimalId,
    /// A mark that ends, and how.
    pub ends: Option<(IdentityId, Ended)>,
    /// A mark put on.
    pub new: Option<IdentityDraft>,
    /// The day.
    pub on: Day,
}

/// Checks a mark lost, replaced or added.
///
/// # Errors
/// Every refusal beside its field.
pub fn retag(draft: Retag, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    faults.not_ahead(Field::of("on"), draft.on, today);
    let mut identities = Vec::new();
    let mut sentence = String::new();
    match flock.animal(draft.animal) {
        None => faults.refuse(Field::of("tag"), Refused::Gone),
        Some(animal) => {
            identities = animal.identities.to_vec();
            if draft.ends.is_none() && draft.new.is_none() {
                faults.refuse(Field::of("tag"), Refused::NothingChanged);
            }
            let tag = animal.tag();
            if let Some((id, how)) = draft.ends {
                match identities.iter_mut().find(|i| i.id == id && i.ended.is_none()) {
                    Some(i) => {
                        i.ended = Some(how);
                        i.to = Some(draft.on);
                        sentence = format!("{} {} lost", i.kind.words(), i.tag);
                    }
                    None => faults.refuse(Field::of("tag"), Refused::Gone),
                }
            }
            if let Some(new) = &draft.new {
                mark(&mut faults, flock, &mut HashSet::new(), new.kind, &new.tag, 0, Some(draft.animal));
                if identities.iter().any(|i| {
                    i.kind == new.kind && i.ended.is_none() && norm(i.tag.as_str()) == new.tag.norm()
                }) {
                    faults.refuse(Field::of("tag"), Refused::NothingChanged);
                }
                sentence = if draft.ends.is_some() {
                    format!("{tag}: {} replaced by {}", new.kind.words(), new.tag)
                } else {
                    format!("{tag}: {} {}", new.kind.words(), new.tag)
                };
                identities.push(Identity {
                    id: IdentityId::new(),
                    kind: new.kind,
                    tag: new.tag.clone(),
                    from: Some(draft.on),
                    to: None,
                    ended: None,
                });
            }
        }
    }
    faults.or(|| (Entry::Retag { animal: draft.animal, identities }, sentence))
}
