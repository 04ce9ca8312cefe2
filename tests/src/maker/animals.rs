//! Animals, their facts, their marks, their lambs.

use super::Maker;
use hirsel_core::entry::{
    self, AnimalDraft, Check, IdentityDraft, LambDraft, LambingDraft, Retag, edit_animal, retag,
};
use hirsel_core::flock::{Ended, Flock, Sire};
use hirsel_core::terms::{
    AnimalId, BirthType, Born, Breed, Day, Dose, Ease, Fate, IdentityKind, MeantFor, RearType, Rearing, Sex,
    Status, Tag, Weight,
};

impl Maker {
    pub(super) fn tag(&mut self) -> Tag {
        let n = self.rng.u32(..4000);
        let text = match self.rng.u32(..6) {
            0 => format!("{n:04}"),
            1 => format!("B {n}"),
            2 => format!("uk-{n}.x"),
            3 => format!("É{n}"),
            4 => format!("R{n}"),
            _ => format!("{n}"),
        };
        Tag::parse(&text).unwrap_or_else(|e| panic!("{e}"))
    }

    fn identity(&mut self) -> IdentityDraft {
        let kind = *self.pick(&IdentityKind::ALL);
        let tag = if kind == IdentityKind::Electronic {
            let text = format!("826{:012}", self.rng.u64(..274_877_906_944));
            Tag::parse(&text).unwrap_or_else(|e| panic!("{e}"))
        } else {
            self.tag()
        };
        IdentityDraft { kind, tag }
    }

    fn born(&mut self) -> Born {
        let day = self.back(3000);
        match self.rng.u32(..6) {
            0 => Born::Unknown,
            1 => Born::Year(day.year()),
            2 => Born::About(day),
            _ => Born::On(day),
        }
    }

    fn breed(&mut self) -> Option<Breed> {
        const BREEDS: &[&str] = &[
            "",
            "Fellside",
            "Hillgrey",
            "Fellside 3/4 + Hillgrey 1/4",
            "Fellside 1/2 + Åsdal 1/4 + Hillgrey 1/4",
        ];
        let text: &str = self.pick::<&str>(BREEDS);
        Breed::parse(text).unwrap_or_else(|e| panic!("{e}"))
    }

    fn sire(&mut self, flock: &Flock) -> Sire {
        match self.rng.u32(..4) {
            0 => Sire::Unknown,
            1 => {
                let rams = self.few(flock, 3, |f| f.animal.sex != Sex::Ewe);
                if rams.is_empty() { Sire::Unknown } else { Sire::OneOf(rams) }
            }
            _ => self.ram(flock).map_or(Sire::Unknown, Sire::Known),
        }
    }

    fn rearing(&mut self, flock: &Flock) -> Rearing {
        match self.rng.u32(..5) {
            0 => Rearing::Bottle,
            1 => self.ewe(flock).map_or(Rearing::Dam, Rearing::Foster),
            _ => Rearing::Dam,
        }
    }

    fn meant_for(&mut self) -> MeantFor {
        *self.pick(&[MeantFor::Undecided, MeantFor::Breeding, MeantFor::Market])
    }

    fn birth_weight(&mut self) -> Option<Weight> {
        self.some(|m| Weight::from_grams(m.rng.i64(300..12_000))).flatten()
    }

    pub(super) fn animals(&mut self, flock: &Flock) -> Check {
        let mut drafts: Vec<AnimalDraft> = Vec::new();
        for _ in 0..self.rng.usize(1..=3) {
            let sex = *self.pick(Sex::ALL);
            let mut d = AnimalDraft::new(self.tag(), sex);
            while self.rng.u32(..3) == 0 {
                d.identities.push(self.identity());
            }
            d.name = self.some(Self::text);
            d.breed = self.breed();
            d.born = self.born();
            d.dam = self.some(|m| m.ewe(flock)).flatten();
            d.sire = self.sire(flock);
            // Parents may stand in the same entry.
            if let Some(dam) = drafts.iter().find(|p| p.sex == Sex::Ewe) {
                d.dam = d.dam.or(Some(dam.id));
            }
            d.genetic_dam = if self.rng.u32(..5) == 0 { self.ewe(flock) } else { None };
            d.rearing = self.rearing(flock);
            d.birth_type = self.some(|m| BirthType::new(m.rng.u32(1..=7))).flatten();
            d.rear_type = self.some(|m| RearType::new(m.rng.u32(..=7))).flatten();
            d.birth_weight = self.birth_weight();
            d.colour = self.some(Self::text);
            d.marks = self.some(Self::text);
            d.pen = self.some(|m| format!("Pen {}", m.rng.u32(1..5)));
            d.note = self.some(Self::text);
            d.meant_for = self.meant_for();
            if self.rng.u32(..4) == 0 {
                d.status = *self.pick(Status::ALL);
                d.status_on = self.some(|m| m.back(300));
                d.status_reason = self.some(Self::text);
            }
            drafts.push(d);
        }
        if self.rng.bool() {
            drafts.reverse(); // lambs before their parents
        }
        entry::animals(drafts, flock, self.today)
    }

    pub(super) fn edit_animal(&mut self, flock: &Flock) -> Option<Check> {
        let id = self.one(flock, |_| true)?;
        let mut a = flock.animal(id)?.clone();
        match self.rng.u32(..8) {
            0 => a.name = self.some(Self::text).map(Into::into),
            1 => a.born = self.born(),
            2 => a.dam = self.some(|m| m.ewe(flock)).flatten(),
            3 => a.sire = self.sire(flock),
            4 => a.genetic_dam = self.some(|m| m.ewe(flock)).flatten(),
            5 => a.rearing = self.rearing(flock),
            6 => {
                a.birth_weight = self.birth_weight();
                a.birth_type = self.some(|m| BirthType::new(m.rng.u32(1..=7))).flatten();
                a.rear_type = self.some(|m| RearType::new(m.rng.u32(..=7))).flatten();
            }
            _ => {
                a.breed = self.breed();
                a.meant_for = self.meant_for();
                a.colour = self.some(Self::text).map(Into::into);
                a.note = self.some(Self::text).map(Into::into);
                a.marks = self.some(Self::text).map(Into::into);
            }
        }
        let why = self.some(Self::text);
        Some(edit_animal(a, why.as_deref(), flock, self.today))
    }

    pub(super) fn retag(&mut self, flock: &Flock) -> Option<Check> {
        let animal = self.one(flock, |_| true)?;
        let worn: Vec<_> =
            flock.animal(animal)?.identities.iter().filter(|i| i.ended.is_none()).cloned().collect();
        let ended = if self.rng.bool() { Ended::Lost } else { Ended::Replaced };
        let ends =
            if worn.is_empty() || self.rng.u32(..3) == 0 { None } else { Some(self.pick(&worn).clone()) };
        let new = match &ends {
            // A new tag with the number of the lost one.
            Some(i) if self.rng.u32(..3) == 0 => Some(IdentityDraft { kind: i.kind, tag: i.tag.clone() }),
            _ => self.some(Self::identity),
        };
        let on = self.seen(flock, animal);
        Some(retag(Retag { animal, ends: ends.map(|i| (i.id, ended)), new, on }, flock, self.today))
    }

    fn lamb(&mut self, flock: &Flock, on: Day) -> LambDraft {
        let mut lamb = LambDraft::new(*self.pick(&[Sex::Ewe, Sex::Ram]));
        lamb.tag = self.some(Self::tag);
        lamb.electronic = if self.rng.u32(..4) == 0 {
            Tag::parse(&format!("826{:012}", self.rng.u64(..274_877_906_944))).ok()
        } else {
            None
        };
        lamb.name = self.some(Self::text);
        lamb.weight = self.birth_weight();
        lamb.fate = *self.pick(Fate::ALL);
        if lamb.fate == Fate::Died {
            lamb.died_on = self.some(|m| on.plus(m.rng.i64(0..9)).min(m.today));
        }
        lamb.died_of = self.some(Self::text);
        lamb.ease = self.some(|m| *m.pick(Ease::ALL));
        lamb.sucked = self.some(|m| m.rng.bool());
        lamb.navel_dipped = self.some(|m| m.rng.bool());
        lamb.colostrum = self.some(|m| Dose::Volume(m.rng.u32(1000..300_000)));
        lamb.colour = self.some(Self::text);
        lamb.rearing = if lamb.fate == Fate::BornDead { Rearing::Dam } else { self.rearing(flock) };
        lamb
    }

    /// An animal of the book that came before its lambing.
    fn known_lamb(&mut self, flock: &Flock, on: Day) -> Option<(AnimalId, Sex)> {
        let id = self.one(flock, |f| {
            f.birth.is_none() && f.animal.born.exact().is_none_or(|b| b == on) && f.offspring.is_empty()
        })?;
        flock.animal(id).map(|a| (id, a.sex))
    }

    pub(super) fn lambings(&mut self, flock: &Flock) -> Option<Check> {
        let mut drafts = Vec::new();
        for _ in 0..self.rng.usize(1..=2) {
            let ewe = self.ewe(flock)?;
            let mut day = self.seen(flock, ewe);
            let mut lambs = Vec::new();
            if self.rng.u32(..5) == 0
                && let Some((known, sex)) = self.known_lamb(flock, day)
            {
                day = flock.animal(known).and_then(|a| a.born.exact()).unwrap_or(day);
                let mut lamb = self.lamb(flock, day);
                (lamb.known, lamb.sex, lamb.tag, lamb.electronic) = (Some(known), sex, None, None);
                lambs.push(lamb);
            }
            while lambs.is_empty() || (lambs.len() < 4 && self.rng.bool()) {
                lambs.push(self.lamb(flock, day));
            }
            drafts.push(LambingDraft {
                ewe,
                at: self.moment(day),
                sire: self.sire(flock),
                ease: self.some(|m| *m.pick(Ease::ALL)),
                help: self.some(Self::text),
                note: self.some(Self::text),
                pen: self.some(|m| format!("Jug {}", m.rng.u32(1..5))),
                lambs,
                foster_on: if self.rng.u32(..4) == 0 {
                    self.few(flock, 2, |f| f.animal.dam != Some(ewe) && f.animal.id != ewe)
                } else {
                    Vec::new()
                },
            });
        }
        Some(match drafts.as_slice() {
            [one] => entry::lambing(one.clone(), flock, self.today),
            many => entry::lambings(many, flock, self.today),
        })
    }
}
