//! The facts of two animals side by side, of which each is taken from one of them.

use crate::flock::{Animal, Flock, Sire};
use crate::terms::{MeantFor, Rearing, Status, Words};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// A fact that is taken from one of the two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum MergeFact {
    /// What it is called by; all marks of both stay.
    Tag,
    /// Registry or pet name.
    Name,
    /// Ram or wether.
    Sex,
    /// Breed.
    Breed,
    /// Day of birth.
    Born,
    /// Birth dam.
    Dam,
    /// Sire, or the rams it may be.
    Sire,
    /// Genetic dam.
    GeneticDam,
    /// Who reared it.
    Rearing,
    /// How many were born together.
    BirthType,
    /// How many were reared together.
    RearType,
    /// Weight at birth.
    BirthWeight,
    /// The breeder's prefix.
    Prefix,
    /// Section of the registry.
    Section,
    /// Colour.
    Colour,
    /// Other marks.
    Marks,
    /// The keeper's note.
    Note,
    /// What it is meant for.
    MeantFor,
    /// Its standing, since when and why, and its pen.
    Standing,
}

impl MergeFact {
    /// All of them, in the order they are shown.
    pub const ALL: [Self; 19] = [
        Self::Tag,
        Self::Name,
        Self::Sex,
        Self::Breed,
        Self::Born,
        Self::Dam,
        Self::Sire,
        Self::GeneticDam,
        Self::Rearing,
        Self::BirthType,
        Self::RearType,
        Self::BirthWeight,
        Self::Prefix,
        Self::Section,
        Self::Colour,
        Self::Marks,
        Self::Note,
        Self::MeantFor,
        Self::Standing,
    ];

    /// What it is.
    pub fn words(self) -> &'static str {
        match self {
            Self::Tag => "Called by",
            Self::Name => "Name",
            Self::Sex => "Sex",
            Self::Breed => "Breed",
            Self::Born => "Born",
            Self::Dam => "Dam",
            Self::Sire => "Sire",
            Self::GeneticDam => "Genetic dam",
            Self::Rearing => "Reared by",
            Self::BirthType => "Born as",
            Self::RearType => "Reared as",
            Self::BirthWeight => "Birth weight",
            Self::Prefix => "Prefix",
            Self::Section => "Section",
            Self::Colour => "Colour",
            Self::Marks => "Other marks",
            Self::Note => "Note",
            Self::MeantFor => "Meant for",
            Self::Standing => "Standing",
        }
    }

    /// What an animal has of it; empty where nothing is written.
    pub fn shown(self, a: &Animal, flock: &Flock) -> String {
        let text = |t: &Option<Words>| t.as_deref().unwrap_or_default().to_string();
        let tag = |id| flock.tag(id).to_string();
        match self {
            Self::Tag => a.tag().into(),
            Self::Name => text(&a.name),
            Self::Sex => a.sex.words().into(),
            Self::Breed => a.breed.as_ref().map(ToString::to_string).unwrap_or_default(),
            Self::Born if a.born.day().is_none() => String::new(),
            Self::Born => a.born.words(),
            Self::Dam => a.dam.map(tag).unwrap_or_default(),
            Self::Sire => match &a.sire {
                Sire::Unknown => String::new(),
                Sire::Known(ram) => tag(*ram),
                Sire::OneOf(rams) => rams.iter().map(|r| flock.tag(*r)).collect::<Vec<_>>().join(" or "),
            },
            Self::GeneticDam => a.genetic_dam.map(tag).unwrap_or_default(),
            Self::Rearing => match a.rearing {
                Rearing::Dam => String::new(),
                Rearing::Foster(ewe) => tag(ewe),
                Rearing::Bottle => "bottle".into(),
            },
            Self::BirthType => a.birth_type.map(|b| format!("one of {}", b.count())).unwrap_or_default(),
            Self::RearType => a.rear_type.map(|b| format!("one of {}", b.count())).unwrap_or_default(),
            Self::BirthWeight => a.birth_weight.map(|w| w.show(flock.holding().units)).unwrap_or_default(),
            Self::Prefix => text(&a.prefix),
            Self::Section => text(&a.section),
            Self::Colour => text(&a.colour),
            Self::Marks => text(&a.marks),
            Self::Note => text(&a.note),
            Self::MeantFor if a.meant_for == MeantFor::Undecided => String::new(),
            Self::MeantFor => a.meant_for.word().into(),
            Self::Standing => {
                let since = a.status_on.map(|d| format!(" since {}", d.words())).unwrap_or_default();
                let pen = a.pen.as_ref().map(|p| format!(", in {p}")).unwrap_or_default();
                format!("{}{since}{pen}", a.status.words())
            }
        }
    }

    /// The same in both, so that there is nothing to choose.
    pub fn same(self, a: &Animal, b: &Animal) -> bool {
        match self {
            Self::Tag => false,
            Self::Name => a.name == b.name,
            Self::Sex => a.sex == b.sex,
            Self::Breed => a.breed == b.breed,
            Self::Born => a.born == b.born,
            Self::Dam => a.dam == b.dam,
            Self::Sire => a.sire == b.sire,
            Self::GeneticDam => a.genetic_dam == b.genetic_dam,
            Self::Rearing => a.rearing == b.rearing,
            Self::BirthType => a.birth_type == b.birth_type,
            Self::RearType => a.rear_type == b.rear_type,
            Self::BirthWeight => a.birth_weight == b.birth_weight,
            Self::Prefix => a.prefix == b.prefix,
            Self::Section => a.section == b.section,
            Self::Colour => a.colour == b.colour,
            Self::Marks => a.marks == b.marks,
            Self::Note => a.note == b.note,
            Self::MeantFor => a.meant_for == b.meant_for,
            Self::Standing => (a.status, a.status_on, &a.pen) == (b.status, b.status_on, &b.pen),
        }
    }

    /// Gives `to` what `from` has of it; the marks of both are joined elsewhere.
    pub(super) fn take(self, to: &mut Animal, from: &Animal) {
        match self {
            Self::Tag => {}
            Self::Name => to.name.clone_from(&from.name),
            Self::Sex => to.sex = from.sex,
            Self::Breed => to.breed.clone_from(&from.breed),
            Self::Born => to.born = from.born,
            Self::Dam => to.dam = from.dam,
            Self::Sire => to.sire.clone_from(&from.sire),
            Self::GeneticDam => to.genetic_dam = from.genetic_dam,
            Self::Rearing => to.rearing = from.rearing,
            Self::BirthType => to.birth_type = from.birth_type,
            Self::RearType => to.rear_type = from.rear_type,
            Self::BirthWeight => to.birth_weight = from.birth_weight,
            Self::Prefix => to.prefix.clone_from(&from.prefix),
            Self::Section => to.section.clone_from(&from.section),
            Self::Colour => to.colour.clone_from(&from.colour),
            Self::Marks => to.marks.clone_from(&from.marks),
            Self::Note => to.note.clone_from(&from.note),
            Self::MeantFor => to.meant_for = from.meant_for,
            Self::Standing => {
                (to.status, to.status_on) = (from.status, from.status_on);
                to.status_reason.clone_from(&from.status_reason);
                to.pen.clone_from(&from.pen);
            }
        }
    }
}

/// What is taken of the one that goes unless the keeper says otherwise: all that is blank in the one that stays, a day
/// that is exact over one that is not, and the later standing.
pub fn merge_usual(keep: &Animal, gone: &Animal, flock: &Flock) -> BTreeSet<MergeFact> {
    let taken = |fact: &MergeFact| match fact {
        MergeFact::Tag | MergeFact::Sex => false,
        MergeFact::Standing => match (keep.status == Status::Outside, gone.status == Status::Outside) {
            (true, false) => true,
            (false, true) => false,
            _ => gone.status_on > keep.status_on,
        },
        MergeFact::Born if keep.born.exact().is_none() && gone.born.exact().is_some() => true,
        MergeFact::Sire if keep.sire.known().is_none() && gone.sire.known().is_some() => true,
        fact => fact.shown(keep, flock).is_empty() && !fact.shown(gone, flock).is_empty(),
    };
    MergeFact::ALL.into_iter().filter(|f| !f.same(keep, gone)).filter(taken).collect()
}
