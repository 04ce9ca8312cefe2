//! The records of a flock as they are read: plain data, no checks, no file.

use super::{Crayon, Decision, GeneTest, Grouping, MatingMark, Movement, Scan, Scoring, Tick, Treatment};
use crate::terms::{
    AnimalId, BirthType, Born, Breed, Day, Dose, Ease, Fate, IdentityId, IdentityKind, JoiningId, LambingId,
    MeantFor, Moment, PenMoveId, RearType, Rearing, RemarkId, ScoreKind, SessionId, Sex, Status, Tag,
    WeighingId, Weight, Words,
};
use thin_vec::ThinVec;

/// Why and when a record was struck out; it stays readable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Struck {
    /// The day it was struck out.
    pub on: Day,
    /// The keeper's reason.
    pub reason: String,
}

/// How an identity ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Ended {
    /// The tag was lost.
    Lost,
    /// Another took its place.
    Replaced,
}

/// One mark of an animal, now or in the past.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Identity {
    /// Its id.
    pub id: IdentityId,
    /// What kind of mark.
    pub kind: IdentityKind,
    /// As it reads; an electronic number as 15 digits.
    pub tag: Tag,
    /// First day worn, if known.
    pub from: Option<Day>,
    /// Last day worn.
    pub to: Option<Day>,
    /// How it ended; none while it is worn.
    pub ended: Option<Ended>,
}

/// Who sired an animal, as well as it is known.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Sire {
    /// Not known.
    #[default]
    Unknown,
    /// Known.
    Known(AnimalId),
    /// One of several rams that ran with the dam.
    OneOf(Vec<AnimalId>),
}

impl Sire {
    /// The sire, if there is no doubt.
    pub fn known(&self) -> Option<AnimalId> {
        match self {
            Self::Known(id) => Some(*id),
            _ => None,
        }
    }

    /// Every ram that may be the sire.
    pub fn possible(&self) -> &[AnimalId] {
        match self {
            Self::Unknown => &[],
            Self::Known(id) => std::slice::from_ref(id),
            Self::OneOf(all) => all,
        }
    }
}

/// An animal's standing facts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Animal {
    /// Its id.
    pub id: AnimalId,
    /// Every mark, worn or past; the first worn flock tag is what it is called by.
    pub identities: ThinVec<Identity>,
    /// Registry or pet name.
    pub name: Option<Words>,
    /// Its sex.
    pub sex: Sex,
    /// Breed or breed parts.
    pub breed: Option<Breed>,
    /// When born.
    pub born: Born,
    /// The ewe that bore it.
    pub dam: Option<AnimalId>,
    /// Its sire.
    pub sire: Sire,
    /// The ewe whose egg it came from, when it was carried by another (embryo transfer).
    pub genetic_dam: Option<AnimalId>,
    /// Who rears or reared it.
    pub rearing: Rearing,
    /// How many were born together, if written down or known from its lambing.
    pub birth_type: Option<BirthType>,
    /// How many were reared together, if written down.
    pub rear_type: Option<RearType>,
    /// Weight at birth.
    pub birth_weight: Option<Weight>,
    /// The breeder's prefix in the registry.
    pub prefix: Option<Words>,
    /// Section or grade of the registry.
    pub section: Option<Words>,
    /// Colour of fleece and face.
    pub colour: Option<Words>,
    /// Other marks: sprayed number, notch, horns.
    pub marks: Option<Words>,
    /// The pen or field it is in.
    pub pen: Option<Words>,
    /// The keeper's standing note.
    pub note: Option<Words>,
    /// What it is meant for.
    pub meant_for: MeantFor,
    /// Its standing in the flock.
    pub status: Status,
    /// Since when.
    pub status_on: Option<Day>,
    /// Why.
    pub status_reason: Option<Words>,
}

impl Animal {
    /// The identity it is called by: worn flock tag, else any worn mark, else the last one worn.
    pub fn called(&self) -> Option<&Identity> {
        let worn = |i: &&Identity| i.ended.is_none();
        IdentityKind::ALL
            .into_iter()
            .find_map(|k| self.identities.iter().filter(worn).find(|i| i.kind == k))
            .or_else(|| self.identities.last())
    }

    /// What it is called by: the text of [`Animal::called`].
    pub fn tag(&self) -> &str {
        self.called().map_or("no tag", |i| i.tag.as_str())
    }

    /// Tag and name together: `0412 Bracken`.
    pub fn title(&self) -> String {
        match &self.name {
            Some(name) => format!("{} {name}", self.tag()),
            None => self.tag().to_string(),
        }
    }

    /// The worn mark of a kind.
    pub fn worn(&self, kind: IdentityKind) -> Option<&Identity> {
        self.identities.iter().find(|i| i.kind == kind && i.ended.is_none())
    }

    /// The dam for blood: the genetic dam where embryo transfer is recorded, else the birth dam.
    pub fn blood_dam(&self) -> Option<AnimalId> {
        self.genetic_dam.or(self.dam)
    }

    /// Age in whole days on `on`, when the day of birth is known or estimated and not after it.
    pub fn age_days(&self, on: Day) -> Option<i64> {
        self.born.day().map(|b| on.since(b)).filter(|d| *d >= 0)
    }

    /// Under a year old on this day.
    pub fn is_lamb(&self, on: Day) -> bool {
        self.age_days(on).is_some_and(|d| d < 365)
    }
}

/// What was seen of a lamb at its birth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Birth {
    /// The lambing it was born in.
    pub lambing: LambingId,
    /// The ewe that lambed.
    pub ewe: AnimalId,
    /// Born first, second, …, from 1.
    pub order: u8,
    /// What became of it.
    pub fate: Fate,
    /// Ease of this lamb's birth, where it differs.
    pub ease: Option<Ease>,
    /// Seen to suck.
    pub sucked: Option<bool>,
    /// Navel dipped.
    pub navel_dipped: Option<bool>,
    /// Colostrum given by tube or bottle.
    pub colostrum: Option<Dose>,
}

/// A lambing of a ewe.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lambing {
    /// Its id.
    pub id: LambingId,
    /// The ewe.
    pub ewe: AnimalId,
    /// When.
    pub at: Moment,
    /// The ram, if known.
    pub ram: Option<AnimalId>,
    /// How it went.
    pub ease: Option<Ease>,
    /// Help given, in words.
    pub help: Option<Words>,
    /// What else was seen.
    pub note: Option<Words>,
    /// The lambs in order of birth.
    pub lambs: ThinVec<AnimalId>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// A ewe's time with a ram.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joining {
    /// Its id.
    pub id: JoiningId,
    /// The ewe.
    pub ewe: AnimalId,
    /// The ram.
    pub ram: AnimalId,
    /// First day together, or the day of service.
    pub from: Day,
    /// Last day together; the same day for hand service, none while it lasts.
    pub to: Option<Day>,
    /// Natural, hand service, artificial insemination, …, in words.
    pub method: Option<Words>,
    /// Name of the group that runs together: a field, a number.
    pub group: Option<Words>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// A weighing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Weighing {
    /// Its id.
    pub id: WeighingId,
    /// The animal.
    pub animal: AnimalId,
    /// When.
    pub at: Moment,
    /// What the scale said.
    pub weight: Weight,
    /// The session at the scale, if it was one of many.
    pub session: Option<SessionId>,
    /// Remark.
    pub note: Option<Words>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// A move to a pen or field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PenMove {
    /// Its id.
    pub id: PenMoveId,
    /// The animal.
    pub animal: AnimalId,
    /// The day.
    pub on: Day,
    /// To this pen; none is taken out of any.
    pub pen: Option<Words>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// A keeper's dated note.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remark {
    /// Its id.
    pub id: RemarkId,
    /// The animal.
    pub animal: AnimalId,
    /// The day.
    pub on: Day,
    /// The words.
    pub text: String,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// Everything kept of one animal, in order of time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AnimalFile {
    /// Standing facts.
    pub animal: Animal,
    /// Its birth, if its lambing is in the book.
    pub birth: Option<Birth>,
    /// Lambings of a ewe.
    pub lambings: ThinVec<Lambing>,
    /// Joinings of a ewe (kept with the ewe only).
    pub joinings: ThinVec<Joining>,
    /// Weighings.
    pub weighings: ThinVec<Weighing>,
    /// Treatments.
    pub treatments: ThinVec<Treatment>,
    /// Pens.
    pub pen_moves: ThinVec<PenMove>,
    /// Changes of standing.
    pub movements: ThinVec<Movement>,
    /// Notes.
    pub remarks: ThinVec<Remark>,
    /// Jobs ticked, skipped or put off.
    pub ticks: ThinVec<Tick>,
    /// Crayon marks and matings seen (kept with the ewe only).
    pub marks: ThinVec<MatingMark>,
    /// Scans of a ewe.
    pub scans: ThinVec<Scan>,
    /// Crayons a ram wore.
    pub crayons: ThinVec<Crayon>,
    /// Tests of genes and parents.
    pub tests: ThinVec<GeneTest>,
    /// Scores by eye and hand.
    pub scores: ThinVec<Scoring>,
    /// Decisions what it is kept for.
    pub decisions: ThinVec<Decision>,
    /// Contemporary groups it was put into by hand.
    pub groups: ThinVec<Grouping>,
    /// Lambs of which this is the birth dam, genetic dam or known or possible sire.
    pub offspring: ThinVec<AnimalId>,
}

impl AnimalFile {
    /// The file of an animal of which nothing else is known yet.
    pub(crate) fn of(animal: Animal) -> Self {
        Self {
            animal,
            birth: None,
            lambings: ThinVec::new(),
            joinings: ThinVec::new(),
            weighings: ThinVec::new(),
            treatments: ThinVec::new(),
            pen_moves: ThinVec::new(),
            movements: ThinVec::new(),
            remarks: ThinVec::new(),
            ticks: ThinVec::new(),
            marks: ThinVec::new(),
            scans: ThinVec::new(),
            crayons: ThinVec::new(),
            tests: ThinVec::new(),
            scores: ThinVec::new(),
            decisions: ThinVec::new(),
            groups: ThinVec::new(),
            offspring: ThinVec::new(),
        }
    }

    /// How many records there are of it, struck out or not.
    pub fn events(&self) -> usize {
        usize::from(self.birth.is_some())
            + self.lambings.len()
            + self.joinings.len()
            + self.weighings.len()
            + self.treatments.len()
            + self.pen_moves.len()
            + self.movements.len()
            + self.remarks.len()
            + self.ticks.len()
            + self.marks.len()
            + self.scans.len()
            + self.crayons.len()
            + self.tests.len()
            + self.scores.len()
            + self.decisions.len()
            + self.groups.len()
    }

    /// Weighings that stand, birth weight first as day 0 where it and the day are known: (day, weight).
    pub fn weights(&self) -> Vec<(Day, Weight)> {
        let mut all = Vec::with_capacity(self.weighings.len() + 1);
        if let (Some(b), Some(w)) = (self.animal.born.exact(), self.animal.birth_weight) {
            all.push((b, w));
        }
        all.extend(self.weighings.iter().filter(|w| w.struck.is_none()).map(|w| (w.at.day, w.weight)));
        all.sort_by_key(|(d, _)| *d);
        all
    }

    /// The animal with the weighings before a day and nothing else.
    pub(crate) fn weighed_before(&self, on: Day) -> Self {
        let weighings = self.weighings.iter().filter(|w| w.at.day < on).cloned().collect();
        Self { weighings, ..Self::of(self.animal.clone()) }
    }

    /// The last weight on or before a day, with its day.
    pub fn last_weight(&self, on: Day) -> Option<(Day, Weight)> {
        self.weights().into_iter().rfind(|(d, _)| *d <= on)
    }

    /// Days of all records that stand, and whether they are of a kind written down with a birth: pens and standings.
    pub(crate) fn records(&self) -> impl Iterator<Item = (Day, bool)> {
        let seen = (self.weighings.iter().filter(|r| r.struck.is_none()).map(|r| r.at.day))
            .chain(self.treatments_standing().map(|r| r.at.day))
            .chain(self.lambings_standing().map(|r| r.at.day))
            .chain(self.joinings.iter().filter(|r| r.struck.is_none()).map(|r| r.from))
            .chain(self.marks.iter().filter(|r| r.struck.is_none()).map(|r| r.on))
            .chain(self.scans.iter().filter(|r| r.struck.is_none()).map(|r| r.on))
            .chain(self.crayons.iter().filter(|r| r.struck.is_none()).map(|r| r.on))
            .chain(self.scores.iter().filter(|r| r.struck.is_none()).map(|r| r.at.day))
            .chain(self.decisions.iter().filter(|r| r.struck.is_none()).map(|r| r.on))
            .chain(self.remarks.iter().filter(|r| r.struck.is_none()).map(|r| r.on))
            .chain(self.ticks_standing().map(|t| t.at.day));
        let moved = (self.pen_moves.iter().filter(|r| r.struck.is_none()).map(|r| r.on))
            .chain(self.movements.iter().filter(|r| r.struck.is_none()).map(|r| r.on));
        seen.map(|on| (on, false)).chain(moved.map(|on| (on, true)))
    }

    /// The last score of a kind that stands, on or before a day.
    pub fn last_score(&self, kind: ScoreKind, on: Day) -> Option<&Scoring> {
        self.scores.iter().rfind(|s| s.struck.is_none() && s.score.kind() == kind && s.at.day <= on)
    }

    /// The last decision that stands, on or before a day.
    pub fn decided(&self, on: Day) -> Option<&Decision> {
        self.decisions.iter().rfind(|d| d.struck.is_none() && d.on <= on)
    }

    /// Lambings that stand.
    pub fn lambings_standing(&self) -> impl DoubleEndedIterator<Item = &Lambing> {
        self.lambings.iter().filter(|l| l.struck.is_none())
    }

    /// Ticks that stand.
    pub fn ticks_standing(&self) -> impl DoubleEndedIterator<Item = &Tick> {
        self.ticks.iter().filter(|t| t.struck.is_none())
    }

    /// Treatments that stand.
    pub fn treatments_standing(&self) -> impl DoubleEndedIterator<Item = &Treatment> {
        self.treatments.iter().filter(|t| t.struck.is_none())
    }
}
