//! Founders, sheep bought later, and their ancestors outside the flock.

use crate::maker::{Maker, Stud, WORD, electronic, mark};
use crate::names::{BREED, COLOURS, FARMS, MARKS, OTHER_BREED, SECTION};
use crate::sheep::{At, Sheep};
use hirsel_core::book::Failed;
use hirsel_core::entry::{self, AnimalDraft, IdentityDraft, StandingDraft};
use hirsel_core::flock::Sire;
use hirsel_core::terms::{Born, Breed, Day, IdentityKind, Sex, Status, Tag};

/// Ancestors made so far, by how far they stand above the flock: parents, then grandparents.
#[derive(Default)]
pub(crate) struct Outside {
    ewes: [Vec<At>; 2],
    rams: [Vec<At>; 2],
    /// Those without parents so far.
    lowest: Vec<At>,
    drafts: Vec<AnimalDraft>,
}

/// How many rams a flock of so many ewes needs, and how many ewes lamb late.
pub(crate) struct Needs {
    /// Ewes served by hand, late.
    pub(crate) late: usize,
    /// Rams that run with their ewes.
    pub(crate) rams: usize,
    /// Young rams that serve by hand.
    pub(crate) young: usize,
}

impl Needs {
    pub(crate) fn of(ewes: usize) -> Self {
        let late = if ewes < 12 { 0 } else { (ewes * 16).div_ceil(100) };
        Self {
            late,
            rams: ((ewes - late + 11) / 22).max(1),
            young: if late == 0 { 0 } else { ((late + 7) / 14).max(1) },
        }
    }
}

/// A day of birth in a lambing season so many years back.
fn birthday(base: Day, years: i64, n: usize) -> Day {
    base.plus(-365 * years - 38 + (n as i64 * 7) % 45)
}

impl Maker<'_> {
    /// Makes the flock as it stood before the first season.
    pub(crate) fn found(&mut self) -> Result<(), Failed> {
        let base = self.base(0);
        let start = base.plus(-260);
        let mut out = Outside::default();
        for n in 0..self.ewes {
            let age = self.dice.weighted(&[(2, 30.0), (3, 30.0), (4, 24.0), (5, 16.0)]);
            self.founder(&mut out, Sex::Ewe, birthday(base, age, n), start);
        }
        for n in 0..(self.ewes / 5).max(1) {
            self.founder(&mut out, Sex::Ewe, birthday(base, 1, n), start);
        }
        let needs = Needs::of(self.ewes);
        for n in 0..needs.rams + needs.young {
            let young = n >= needs.rams;
            let age = if young { 2 } else { self.dice.between(2, 4) };
            let at = self.founder(&mut out, Sex::Ram, birthday(base, age, n * 5), start);
            // They do not all leave at once.
            let seasons = if young { 0 } else { (n % 2) as u32 };
            self.studs.push(Stud { at, seasons, young });
        }
        self.push(entry::products(crate::cupboard::products(), &self.flock()), WORD);
        self.old.deepen(&mut out.drafts, &out.lowest, &self.sheep);
        let flock = self.flock();
        self.push(entry::animals(out.drafts, &flock, self.today), WORD);
        self.flush("The flock as it was when the book began")?;
        self.prescribed()
    }

    fn founder(&mut self, out: &mut Outside, sex: Sex, born: Day, start: Day) -> At {
        let farm = FARMS[self.sheep.len() % 3];
        let (mut draft, at) = self.stranger(out, sex, born, farm, 2);
        draft.status = Status::Present;
        draft.status_on = Some(start);
        draft.status_reason = Some(format!("came with the founding flock from {farm}"));
        draft.pen = Some(if sex == Sex::Ewe { "Home field" } else { "Ram paddock" }.into());
        self.sheep[at].here = Some(start);
        draft.born = match self.dice.below(20) {
            0 | 1 => Born::About(born),
            // The middle of a year stands for it, which would make a young sheep too young.
            2 if start.since(born) > 700 => Born::Year(born.year()),
            _ => Born::On(born),
        };
        if sex == Sex::Ewe && self.dice.chance(0.15) {
            let text = format!("{BREED} {}", self.dice.pick(&["7/8", "15/16", "3/4"]));
            let rest = match text.rsplit(' ').next() {
                Some("3/4") => "1/4",
                Some("15/16") => "1/16",
                _ => "1/8",
            };
            draft.breed = Breed::parse(&format!("{text} + {OTHER_BREED} {rest}")).ok().flatten();
            draft.section = Some(if rest == "1/4" { "C" } else { "B" }.into());
        }
        if self.dice.chance(0.2) {
            draft.marks = Some(self.dice.pick(MARKS).into());
        }
        if sex == Sex::Ewe && self.dice.chance(0.08) {
            draft.note = Some("Long in the leg, lambs easily".into());
        }
        out.drafts.push(draft);
        at
    }

    /// A sheep from another farm with its tags and parents outside the flock; the caller takes the draft.
    pub(crate) fn stranger(
        &mut self,
        out: &mut Outside,
        sex: Sex,
        born: Day,
        farm: &'static str,
        above: usize,
    ) -> (AnimalDraft, At) {
        let dam = self.ancestor(out, Sex::Ewe, born, above);
        let sire = self.ancestor(out, Sex::Ram, born, above);
        let flock_tag = self.tag();
        let (mut draft, at) = self.draft(sex, born, farm, flock_tag, dam, sire);
        self.sheep[at].birth_kg = self.dice.bell(4.2, 0.4);
        if self.dice.chance(0.85) {
            self.sheep[at].has_electronic = true;
            let (electronic, official) = (electronic(at), mark(&format!("UK0999999 {at:05}")));
            draft.identities.push(IdentityDraft { kind: IdentityKind::Electronic, tag: electronic });
            draft.identities.push(IdentityDraft { kind: IdentityKind::Official, tag: official });
        }
        draft.identities.push(IdentityDraft { kind: IdentityKind::Registry, tag: self.registry() });
        (draft, at)
    }

    fn draft(
        &mut self,
        sex: Sex,
        born: Day,
        farm: &str,
        tag: Tag,
        dam: Option<At>,
        sire: Option<At>,
    ) -> (AnimalDraft, At) {
        let mut draft = AnimalDraft::new(tag, sex);
        let mut sheep = Sheep::new(draft.id, sex, born, &mut self.dice);
        let colour = self.dice.weighted(COLOURS);
        sheep.colour = colour;
        sheep.dam = dam;
        sheep.sire = sire;
        draft.name = Some(self.name());
        draft.prefix = Some(farm.into());
        draft.section = Some(SECTION.into());
        draft.breed = Breed::parse(BREED).ok().flatten();
        draft.born = Born::On(born);
        draft.colour = Some(colour.into());
        draft.dam = dam.map(|d| self.sheep[d].id);
        draft.sire = sire.map_or(Sire::Unknown, |r| Sire::Known(self.sheep[r].id));
        let at = self.sheep.len();
        self.sheep.push(sheep);
        (draft, at)
    }

    /// A parent outside the flock for a lamb born on `born`: one made before, if its age fits, else a new one
    /// with parents of its own up to `above` generations.
    fn ancestor(&mut self, out: &mut Outside, sex: Sex, born: Day, above: usize) -> Option<At> {
        let level = above.checked_sub(1)?;
        let known = match sex {
            Sex::Ewe => &out.ewes[level],
            _ => &out.rams[level],
        };
        let again = if sex == Sex::Ewe { 0.6 } else { 0.88 };
        if !known.is_empty() && self.dice.chance(again) {
            for _ in 0..6 {
                let at = self.dice.pick(known);
                if (600..2900).contains(&born.since(self.sheep[at].born)) {
                    return Some(at);
                }
            }
        }
        let years = self.dice.between(2, 4);
        let own = born.plus(-365 * years + self.dice.between(-25, 25));
        let dam = self.ancestor(out, Sex::Ewe, own, level);
        let sire = self.ancestor(out, Sex::Ram, own, level);
        let farm = self.dice.pick(FARMS);
        let registry = self.registry();
        let (mut draft, at) = self.draft(sex, own, farm, registry, dam, sire);
        for i in &mut draft.identities {
            i.kind = IdentityKind::Registry;
        }
        draft.status = Status::Outside;
        draft.born = match (level, self.dice.below(10)) {
            (0, 0) => Born::Unknown,
            (0, 1..=6) | (_, 0..=2) => Born::Year(own.year()),
            (_, 3) => Born::About(own),
            _ => Born::On(own),
        };
        if level == 0 {
            out.lowest.push(at);
        }
        out.drafts.push(draft);
        match sex {
            Sex::Ewe => out.ewes[level].push(at),
            _ => out.rams[level].push(at),
        }
        Some(at)
    }

    /// Buys sheep: they come into the book as of another farm, then into the flock.
    pub(crate) fn buy(&mut self, wanted: &[(Sex, Day)], on: Day) -> Result<Vec<At>, Failed> {
        if wanted.is_empty() {
            return Ok(Vec::new());
        }
        let mut out = Outside::default();
        let mut bought = Vec::new();
        for (sex, born) in wanted {
            let farm = self.dice.pick(&FARMS[3..]);
            let (mut draft, at) = self.stranger(&mut out, *sex, *born, farm, 2);
            draft.status = Status::Outside;
            out.drafts.push(draft);
            self.sheep[at].here = Some(on);
            bought.push((at, farm));
        }
        self.old.deepen(&mut out.drafts, &out.lowest, &self.sheep);
        let flock = self.flock();
        self.push(entry::animals(out.drafts, &flock, self.today), WORD);
        self.flush("Bought sheep and their parents")?;
        let flock = self.flock();
        for (at, farm) in &bought {
            let draft = StandingDraft {
                animals: vec![self.sheep[*at].id],
                to: Status::Present,
                on,
                other: Some((*farm).into()),
                reason: Some("bought".into()),
                details: crate::medicine::move_details(Status::Present, Some(farm), "bought", on),
            };
            self.push(entry::standing(draft, &flock, self.today), WORD);
        }
        self.flush("Bought sheep come home")?;
        Ok(bought.into_iter().map(|(at, _)| at).collect())
    }
}
