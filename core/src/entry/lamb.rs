//! A lamb of a lambing: what is written up of it, and the checks of that.

use super::lambing::{LambingDraft, not_here};
use super::{Faults, Field, Refused, Unusual, animals::mark};
use crate::flock::Flock;
use crate::handbook::lambing as bounds;
use crate::terms::{AnimalId, Day, Dose, Ease, Fate, IdentityKind, Misread, Rearing, Sex, Tag, Weight};
use std::collections::HashSet;

/// A lamb as written up.
#[derive(Debug, Clone, PartialEq)]
pub struct LambDraft {
    /// An animal of the book that is this lamb (an import may bring the animal first); none for a new one.
    pub known: Option<AnimalId>,
    /// Its flock tag; none is given later, and a working tag stands in.
    pub tag: Option<Tag>,
    /// Its electronic number, if put in already.
    pub electronic: Option<Tag>,
    /// Name.
    pub name: Option<String>,
    /// Sex.
    pub sex: Sex,
    /// Weight at birth.
    pub weight: Option<Weight>,
    /// Alive, born dead, died since.
    pub fate: Fate,
    /// The day it died, if it died since; the lambing's day if not written.
    pub died_on: Option<Day>,
    /// Why it died.
    pub died_of: Option<String>,
    /// Ease of this lamb's birth, where it differs.
    pub ease: Option<Ease>,
    /// Seen to suck.
    pub sucked: Option<bool>,
    /// Navel dipped.
    pub navel_dipped: Option<bool>,
    /// Colostrum given by tube or bottle.
    pub colostrum: Option<Dose>,
    /// Colour.
    pub colour: Option<String>,
    /// Who rears it.
    pub rearing: Rearing,
}

impl LambDraft {
    /// A living lamb of this sex, nothing else known.
    pub fn new(sex: Sex) -> Self {
        Self {
            known: None,
            tag: None,
            electronic: None,
            name: None,
            sex,
            weight: None,
            fate: Fate::Alive,
            died_on: None,
            died_of: None,
            ease: None,
            sucked: None,
            navel_dipped: None,
            colostrum: None,
            colour: None,
            rearing: Rearing::Dam,
        }
    }
}

/// Checks one lamb of a lambing; `row` counts the lambs of the entry.
pub(super) fn a_lamb(
    lamb: &LambDraft,
    draft: &LambingDraft,
    flock: &Flock,
    today: Day,
    seen: &mut HashSet<(IdentityKind, String)>,
    faults: &mut Faults,
    row: usize,
) {
    let name = lamb.tag.as_ref().map_or_else(|| "the lamb".to_string(), ToString::to_string);
    if let Some(tag) = &lamb.tag {
        mark(faults, flock, seen, IdentityKind::Flock, tag, row, lamb.known);
    }
    if let Some(tag) = &lamb.electronic {
        mark(faults, flock, seen, IdentityKind::Electronic, tag, row, lamb.known);
    }
    if let Some(weight) = lamb.weight {
        let units = flock.holding().units;
        if weight.grams() > bounds::heavy_g() {
            faults.question(Field::row("birth_weight_kg", row), Unusual::HeavyLamb { weight, units });
        } else if weight.grams() < bounds::light_g() {
            faults.question(Field::row("birth_weight_kg", row), Unusual::LightLamb { weight, units });
        }
    }
    colostrum(faults, lamb.colostrum, row);
    if let Some(on) = lamb.died_on {
        faults.not_ahead(Field::row("fate", row), on, today);
        if on < draft.at.day {
            faults.refuse(
                Field::row("fate", row),
                Refused::BeforeBirth { tag: name.clone(), born: draft.at.day, on },
            );
        }
    }
    if lamb.fate == Fate::BornDead && lamb.rearing != Rearing::Dam {
        faults.refuse(Field::row("reared_by", row), Refused::DeadReared(name));
    }
    if let Rearing::Foster(e) = lamb.rearing {
        match flock.animal(e) {
            None => faults.refuse(Field::row("reared_by", row), Refused::Gone),
            Some(a) if a.sex != Sex::Ewe => {
                let why = Refused::WrongSex {
                    tag: a.tag().into(),
                    is: a.sex,
                    needed: Sex::Ewe,
                    part: "a foster ewe",
                };
                faults.refuse(Field::row("reared_by", row), why);
            }
            Some(a) => {
                super::standing::before_birth(faults, Field::row("reared_by", row), a, draft.at.day);
                not_here(faults, Field::row("reared_by", row), a, draft.at.day);
            }
        }
    }
    if let Some(a) = lamb.known.and_then(|id| flock.animal(id)) {
        if a.sex != lamb.sex && !(lamb.sex == Sex::Ram && a.sex == Sex::Wether) {
            let why =
                Refused::WrongSex { tag: a.tag().into(), is: a.sex, needed: lamb.sex, part: "this lamb" };
            faults.refuse(Field::row("sex", row), why);
        }
        if let Some(born) = a.born.exact().filter(|b| *b != draft.at.day) {
            faults.refuse(
                Field::row("on", row),
                Refused::BeforeBirth { tag: a.tag().into(), born, on: draft.at.day },
            );
        }
    }
}

/// Colostrum is kept as a volume.
pub(super) fn colostrum(faults: &mut Faults, given: Option<Dose>, row: usize) {
    if let Some(dose) = given.filter(|d| d.ml().is_none()) {
        let said = Misread::new(format!("{dose} of colostrum: write it in millilitres, such as 200 ml"));
        faults.refuse(Field::row("colostrum", row), said.into());
    }
}
