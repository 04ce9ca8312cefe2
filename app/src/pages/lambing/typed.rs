//! What is typed into the form of a lambing: texts and choices as they stand, kept as a draft.

use super::super::{Ctx, fields};
use super::form::{SireChoice, sires};
use crate::parts::PickerState;
use hirsel_core::entry::{LambDraft, LambingDraft};
use hirsel_core::flock::Sire;
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Ease, ElectronicId, Fate, Moment, Rearing, Sex, Tag};
use serde::{Deserialize, Serialize};

/// More lambs than this are not taken at one lambing.
pub(super) const MOST: usize = 7;

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(crate) struct Typed {
    pub(super) ewe: PickerState<AnimalId>,
    pub(super) on: String,
    pub(super) time: String,
    pub(super) ease: Option<u8>,
    pub(super) help: String,
    /// None: as proposed.
    pub(super) sire: Option<SireChoice>,
    pub(super) ram: PickerState<AnimalId>,
    pub(super) pen: String,
    pub(super) note: String,
    /// Being typed; once found it goes to those put on her.
    pub(super) foster_on: PickerState<AnimalId>,
    pub(super) fostered: Vec<AnimalId>,
    pub(super) lambs: Vec<TypedLamb>,
}

/// A lamb as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(crate) struct TypedLamb {
    pub(super) sex: Option<u8>,
    pub(super) weight: String,
    pub(super) fate: Option<u8>,
    pub(super) died_on: String,
    pub(super) died_of: String,
    pub(super) tag: String,
    pub(super) electronic: String,
    pub(super) colour: String,
    pub(super) ease: Option<u8>,
    pub(super) sucked: Option<bool>,
    pub(super) navel: Option<bool>,
    pub(super) colostrum: String,
    pub(super) rearing: Option<u8>,
    pub(super) foster: PickerState<AnimalId>,
    pub(super) more: bool,
}

/// A field that stops the lambing from being written.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Wrong {
    /// The field's name in the form.
    pub(super) label: String,
    /// What is wrong.
    pub(super) text: String,
    /// Of which lamb, from 0.
    pub(super) lamb: Option<usize>,
}

impl Wrong {
    pub(super) fn of(label: &str, text: impl Into<String>) -> Self {
        Self { label: label.into(), text: text.into(), lamb: None }
    }

    /// As one sentence for the status line.
    pub(super) fn said(&self) -> String {
        match self.lamb {
            Some(n) => phrase!("Lamb {}: {}", n + 1, self.text),
            None => self.text.clone(),
        }
    }
}

/// What is typed, read.
pub(super) struct Read {
    /// The draft as far as it could be read; none without a ewe.
    pub(super) draft: Option<LambingDraft>,
    /// Which typed lamb each lamb of the draft is.
    pub(super) rows: Vec<usize>,
    /// What could not be read or is missing, in the order of the form.
    pub(super) wrong: Vec<Wrong>,
}

/// The part of the form that a lamb's fields belong to; the first lamb's have plain names.
pub(super) fn part(n: usize) -> String {
    if n == 0 { String::new() } else { phrase!("lamb {}", n + 1) }
}

/// A lamb's field by its name in the form.
pub(super) fn label_of(label: &str, n: usize) -> String {
    if n == 0 { label.to_string() } else { format!("{label}, {}", part(n)) }
}

impl Typed {
    /// Something of a lambing is typed; a day alone is carried over from the one before.
    pub(super) fn is_begun(&self) -> bool {
        let texts = [&self.ewe.text, &self.time, &self.help, &self.pen, &self.note, &self.foster_on.text];
        texts.iter().any(|t| !t.trim().is_empty())
            || self.ease.is_some()
            || !self.fostered.is_empty()
            || !self.lambs.iter().all(TypedLamb::is_empty)
    }

    /// That it was put aside, with enough to know it again.
    pub(super) fn put_aside_words(&self) -> String {
        let ewe = if self.ewe.text.trim().is_empty() { "a ewe not yet named" } else { self.ewe.text.trim() };
        match self.lambs.iter().filter(|l| !l.is_empty()).count() {
            0 => phrase!("A half-typed lambing of {ewe} was put aside", ewe = &ewe),
            1 => phrase!("A half-typed lambing of {ewe} was put aside, with 1 lamb", ewe = &ewe),
            n => phrase!("A half-typed lambing of {ewe} was put aside, with {n} lambs", ewe = &ewe),
        }
    }

    /// The day is kept for the next lambing.
    pub(super) fn take_day(&mut self) -> String {
        std::mem::take(&mut self.on)
    }

    /// One empty lamb stands at the end as soon as the last has a sex, and never two.
    pub(super) fn keep_one_ahead(&mut self) {
        while self.lambs.iter().rev().take(2).filter(|l| l.is_empty()).count() == 2 {
            self.lambs.pop();
        }
        if self.lambs.last().is_none_or(TypedLamb::has_sex) && self.lambs.len() < MOST {
            self.lambs.push(TypedLamb::default());
        }
    }

    /// Help was given, so that it may be told in words.
    pub(super) fn was_helped(&self) -> bool {
        self.ease.is_some_and(|e| e > 0)
    }

    /// Reads the form. Nothing of the flock is checked yet.
    pub(super) fn read(&self, ctx: &Ctx<'_>) -> Read {
        let mut wrong = Vec::new();
        let ewe = fields::picked(ctx, &self.ewe, "the ewe")
            .and_then(|e| e.ok_or_else(|| phrase!("which ewe lambed? Type any part of her tag or name")));
        let ewe = ewe.map_err(|e| wrong.push(Wrong::of("Ewe", e))).ok();
        let day = fields::day_or_today(ctx, &self.on).map_err(|e| wrong.push(Wrong::of("Day", e)));
        let time = fields::time_of(&self.time).map_err(|e| wrong.push(Wrong::of("Time", e)));
        let at = Moment { day: day.unwrap_or(ctx.today), time: time.ok().flatten() };
        let sire = self.sire(ctx).map_err(|w| wrong.push(w)).unwrap_or_default();
        let mut rows = Vec::new();
        let mut lambs = Vec::new();
        for (n, lamb) in self.lambs.iter().enumerate().filter(|(_, l)| !l.is_empty()) {
            rows.push(n);
            lambs.push(lamb.read(ctx, n, at, &mut wrong));
        }
        if lambs.is_empty() {
            let text = "a lambing needs at least one lamb: ewe or ram? Write a dead one as born dead";
            wrong.push(Wrong::of("Sex", text));
        }
        let mut foster_on = self.fostered.clone();
        match fields::picked(ctx, &self.foster_on, "the foster lamb") {
            Ok(lamb) => foster_on.extend(lamb.filter(|l| !self.fostered.contains(l))),
            Err(e) => wrong.push(Wrong::of("Foster on", e)),
        }
        let draft = ewe.map(|ewe| LambingDraft {
            ewe,
            at,
            sire,
            ease: ease_of(self.ease),
            help: fields::some(&self.help).filter(|_| self.was_helped()),
            note: fields::some(&self.note),
            pen: fields::some(&self.pen),
            lambs,
            foster_on,
        });
        Read { draft, rows, wrong }
    }

    fn sire(&self, ctx: &Ctx<'_>) -> Result<Sire, Wrong> {
        let (all, at) = sires(ctx, self);
        Ok(match all.get(at) {
            Some(SireChoice::Ram(id)) => Sire::Known(*id),
            Some(SireChoice::OneOf(rams)) => Sire::OneOf(rams.clone()),
            Some(SireChoice::Other) => {
                let ram = fields::picked(ctx, &self.ram, "the ram").map_err(|e| Wrong::of("Ram", e))?;
                let missing = || Wrong::of("Ram", "which ram? Type any part of his tag or name");
                Sire::Known(ram.ok_or_else(missing)?)
            }
            Some(SireChoice::Unknown) | None => Sire::Unknown,
        })
    }
}

impl TypedLamb {
    /// Nothing is typed.
    pub(super) fn is_empty(&self) -> bool {
        let texts =
            [&self.weight, &self.tag, &self.electronic, &self.colour, &self.colostrum, &self.foster.text];
        self.sex.is_none()
            && texts.iter().all(|t| t.trim().is_empty())
            && self.sucked.is_none()
            && self.navel.is_none()
            && self.fate.unwrap_or(0) == 0
            && self.rearing.unwrap_or(0) == 0
    }

    pub(super) fn has_sex(&self) -> bool {
        self.sex.is_some()
    }

    pub(super) fn fate(&self) -> Fate {
        [Fate::Alive, Fate::BornDead, Fate::Died][usize::from(self.fate.unwrap_or(0).min(2))]
    }

    /// The draft; what cannot be read is left out of it and told in `wrong`. Fields that the form does not show
    /// for a dead lamb are left out too.
    fn read(&self, ctx: &Ctx<'_>, n: usize, at: Moment, wrong: &mut Vec<Wrong>) -> LambDraft {
        let mut tell =
            |label: &str, text: String| wrong.push(Wrong { label: label_of(label, n), text, lamb: Some(n) });
        let sex = match self.sex {
            Some(0) => Sex::Ewe,
            Some(_) => Sex::Ram,
            None => {
                tell("Sex", crate::look::said("ewe or ram?").into_owned());
                Sex::Ewe
            }
        };
        let mut d = LambDraft::new(sex);
        d.weight = fields::weight_of(ctx, &self.weight).map_err(|e| tell("Weight", e)).ok().flatten();
        let tag = fields::some(&self.tag).map(|t| Tag::parse(&t)).transpose();
        d.tag = tag.map_err(|e| tell("Tag", e.0)).ok().flatten();
        d.fate = self.fate();
        if d.fate == Fate::Died {
            let on = match fields::some(&self.died_on) {
                Some(text) => fields::day_or_today(ctx, &text),
                None => Ok(at.day),
            };
            d.died_on = on.map_err(|e| tell("Died on", e)).ok();
        }
        if d.fate != Fate::Alive {
            d.died_of = fields::some(&self.died_of);
        }
        if d.fate != Fate::BornDead {
            d.navel_dipped = self.navel;
            d.sucked = self.sucked;
            d.colostrum = fields::dose_of(&self.colostrum).map_err(|e| tell("Colostrum", e)).ok().flatten();
        }
        d.colour = fields::some(&self.colour);
        d.rearing = match self.rearing {
            _ if d.fate == Fate::BornDead => Rearing::Dam,
            Some(1) => match fields::picked(ctx, &self.foster, "the foster ewe") {
                Ok(Some(ewe)) => Rearing::Foster(ewe),
                Ok(None) => {
                    tell("Foster ewe", phrase!("which ewe rears it? Type any part of her tag or name"));
                    Rearing::Dam
                }
                Err(e) => {
                    tell("Foster ewe", e);
                    Rearing::Dam
                }
            },
            Some(2) => Rearing::Bottle,
            _ => Rearing::Dam,
        };
        d.ease = ease_of(self.ease);
        let electronic = fields::some(&self.electronic)
            .map(|t| ElectronicId::parse_typed(&t).and_then(|e| Tag::parse(&e.digits())))
            .transpose();
        d.electronic = electronic.map_err(|e| tell("Electronic number", e.0)).ok().flatten();
        d
    }
}

fn ease_of(at: Option<u8>) -> Option<Ease> {
    at.and_then(|e| Ease::ALL.get(usize::from(e)).copied())
}
