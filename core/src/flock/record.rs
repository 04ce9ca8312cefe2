//! The records of a flock as they are read: plain data, no checks, no file.

use super::Tick;
use crate::terms::{
    AnimalId, BatchId, BirthType, Born, Breed, CourseId, Day, DocumentId, Dose, Ease, EggCountId, EntryId,
    Fate, IdentityId, IdentityKind, JoiningId, LambingId, MeantFor, Moment, MovementId, PenMoveId,
    PrescriptionId, ProductId, RearType, Rearing, RemarkId, Route, Sex, Status, StockMoveId, Tag, TickId,
    TreatmentId, VetId, WeighingId, Weight, Withdrawal,
};

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
    pub identities: Vec<Identity>,
    /// Registry or pet name.
    pub name: Option<String>,
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
    /// Colour of fleece and face.
    pub colour: Option<String>,
    /// Other marks: sprayed number, notch, horns.
    pub marks: Option<String>,
    /// The pen or field it is in.
    pub pen: Option<String>,
    /// The keeper's standing note.
    pub note: Option<String>,
    /// What it is meant for.
    pub meant_for: MeantFor,
    /// Its standing in the flock.
    pub status: Status,
    /// Since when.
    pub status_on: Option<Day>,
    /// Why.
    pub status_reason: Option<String>,
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
    pub help: Option<String>,
    /// What else was seen.
    pub note: Option<String>,
    /// The lambs in order of birth.
    pub lambs: Vec<AnimalId>,
    /// Struck out.
    pub struck: Option<Struck>,
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
    pub method: Option<String>,
    /// Struck out.
    pub struck: Option<Struck>,
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
    /// Remark.
    pub note: Option<String>,
    /// Struck out.
    pub struck: Option<Struck>,
}

/// A treatment of one animal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Treatment {
    /// Its id.
    pub id: TreatmentId,
    /// The animal.
    pub animal: AnimalId,
    /// When given.
    pub at: Moment,
    /// Name of the product as on the label.
    pub product: String,
    /// Batch number.
    pub batch: Option<String>,
    /// Amount given.
    pub dose: Option<Dose>,
    /// How.
    pub route: Option<Route>,
    /// Where on the body.
    pub site: Option<String>,
    /// Why.
    pub reason: Option<String>,
    /// Who gave it.
    pub given_by: Option<String>,
    /// Who prescribed it.
    pub prescribed_by: Option<String>,
    /// Meat withdrawal.
    pub meat: Withdrawal,
    /// Milk withdrawal.
    pub milk: Withdrawal,
    /// What is asked of some treatments only.
    pub more: TreatmentMore,
    /// Struck out.
    pub struck: Option<Struck>,
}

/// What is asked of some treatments only.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TreatmentMore {
    /// Withdrawal of meat for export, where a place counts it apart.
    pub export: Withdrawal,
    /// A vet gave it.
    pub vet_gave: bool,
    /// Not as the label says, and in what: species, route, dose, reason, mixed.
    pub off_label: Option<String>,
    /// The prescription it was given by.
    pub prescription: Option<PrescriptionId>,
    /// Which dose of a course.
    pub course: Option<CoursePart>,
}

/// One dose of a course.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct CoursePart {
    /// The course: all its doses share it.
    pub id: CourseId,
    /// Which dose, from 1.
    pub nth: u8,
    /// How many doses it is to have.
    pub of: u8,
    /// Hours from one dose to the next.
    pub every_hours: u16,
}

impl CoursePart {
    /// Doses that are still to come after this one, if none of them was given.
    pub fn to_come(self) -> u8 {
        self.of.saturating_sub(self.nth)
    }
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
    pub pen: Option<String>,
    /// Struck out.
    pub struck: Option<Struck>,
}

/// A change of standing: came, sold, died, …
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Movement {
    /// Its id.
    pub id: MovementId,
    /// The animal.
    pub animal: AnimalId,
    /// The day.
    pub on: Day,
    /// What it became.
    pub to: Status,
    /// The other place or person.
    pub other: Option<String>,
    /// Why.
    pub reason: Option<String>,
    /// What the registers ask of a move or a death.
    pub details: Option<Box<MoveDetails>>,
    /// Struck out.
    pub struck: Option<Struck>,
}

/// What the registers ask of a move or a death.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct MoveDetails {
    /// Official number of the other place.
    pub number: Option<String>,
    /// Address of the other place.
    pub address: Option<String>,
    /// Who carried them.
    pub carrier: Option<String>,
    /// The vehicle's number.
    pub vehicle: Option<String>,
    /// Number of the movement document.
    pub document: Option<String>,
    /// Cause of death.
    pub cause: Option<String>,
    /// How and where the body was disposed of.
    pub disposal: Option<String>,
    /// Number of the receipt for it.
    pub receipt: Option<String>,
}

impl MoveDetails {
    /// Nothing of it is written.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Without blanks around the words, and without empty words.
    #[must_use]
    pub fn tidy(mut self) -> Self {
        for field in [
            &mut self.number,
            &mut self.address,
            &mut self.carrier,
            &mut self.vehicle,
            &mut self.document,
            &mut self.cause,
            &mut self.disposal,
            &mut self.receipt,
        ] {
            *field = field.take().map(|w| w.trim().to_string()).filter(|w| !w.is_empty());
        }
        self
    }

    /// Boxed, or nothing when nothing is written.
    pub fn some(self) -> Option<Box<Self>> {
        (!self.is_empty()).then(|| Box::new(self))
    }
}

impl Movement {
    /// What the registers ask of it; all empty when nothing was written.
    pub fn details(&self) -> &MoveDetails {
        static NONE: MoveDetails = MoveDetails {
            number: None,
            address: None,
            carrier: None,
            vehicle: None,
            document: None,
            cause: None,
            disposal: None,
            receipt: None,
        };
        self.details.as_deref().unwrap_or(&NONE)
    }
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
    pub struck: Option<Struck>,
}

/// A record that can be opened, amended or struck out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum RecordRef {
    /// An animal's standing facts.
    Animal(AnimalId),
    /// A lambing.
    Lambing(LambingId),
    /// A joining.
    Joining(JoiningId),
    /// A weighing.
    Weighing(WeighingId),
    /// A treatment.
    Treatment(TreatmentId),
    /// A move to a pen.
    PenMove(PenMoveId),
    /// A change of standing.
    Movement(MovementId),
    /// A note.
    Remark(RemarkId),
    /// A job ticked off.
    Tick(TickId),
    /// A product.
    Product(ProductId),
    /// A batch as it was bought.
    Batch(BatchId),
    /// Stock wasted, disposed of or counted.
    StockMove(StockMoveId),
    /// A vet.
    Vet(VetId),
    /// A prescription.
    Prescription(PrescriptionId),
    /// A kept paper.
    Document(DocumentId),
    /// An egg count.
    EggCount(EggCountId),
}

/// Where something that is missing or asked about is to be found and mended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Link {
    /// An animal's leaf.
    Animal(AnimalId),
    /// A record on an animal's leaf.
    Record(AnimalId, RecordRef),
    /// A product, batch, stock, vet, prescription, paper or egg count of the cupboard.
    Cupboard(RecordRef),
    /// Who keeps the flock.
    Holding,
}

/// One amendment of a record, read from the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Amendment {
    /// The write that did it.
    pub entry: EntryId,
    /// When, as `2026-04-03 21:10`.
    pub at: String,
    /// Who.
    pub who: String,
    /// The keeper's reason.
    pub reason: String,
    /// Field in words, old value, new value.
    pub fields: Vec<(String, String, String)>,
}

/// Who struck a record out, read from the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StruckBy {
    /// When, as `2026-04-03 21:10`.
    pub at: String,
    /// Who.
    pub who: String,
}

/// Everything kept of one animal, in order of time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AnimalFile {
    /// Standing facts.
    pub animal: Animal,
    /// Its birth, if its lambing is in the book.
    pub birth: Option<Birth>,
    /// Lambings of a ewe.
    pub lambings: Vec<Lambing>,
    /// Joinings of a ewe (kept with the ewe only).
    pub joinings: Vec<Joining>,
    /// Weighings.
    pub weighings: Vec<Weighing>,
    /// Treatments.
    pub treatments: Vec<Treatment>,
    /// Pens.
    pub pen_moves: Vec<PenMove>,
    /// Changes of standing.
    pub movements: Vec<Movement>,
    /// Notes.
    pub remarks: Vec<Remark>,
    /// Jobs ticked, skipped or put off.
    pub ticks: Vec<Tick>,
    /// Lambs of which this is the birth dam, genetic dam or known or possible sire.
    pub offspring: Vec<AnimalId>,
}

impl AnimalFile {
    /// The file of an animal of which nothing else is known yet.
    pub(crate) fn of(animal: Animal) -> Self {
        Self {
            animal,
            birth: None,
            lambings: Vec::new(),
            joinings: Vec::new(),
            weighings: Vec::new(),
            treatments: Vec::new(),
            pen_moves: Vec::new(),
            movements: Vec::new(),
            remarks: Vec::new(),
            ticks: Vec::new(),
            offspring: Vec::new(),
        }
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
            .chain(self.remarks.iter().filter(|r| r.struck.is_none()).map(|r| r.on))
            .chain(self.ticks_standing().map(|t| t.at.day));
        let moved = (self.pen_moves.iter().filter(|r| r.struck.is_none()).map(|r| r.on))
            .chain(self.movements.iter().filter(|r| r.struck.is_none()).map(|r| r.on));
        seen.map(|on| (on, false)).chain(moved.map(|on| (on, true)))
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
