//! Amending and striking out what is written: the old value stays readable, a reason is asked.

use super::{Check, Entry, Faults, Field, Refused};
use crate::flock::{
    Batch, Birth, Document, EggCount, FeedMove, FeedSheet, Flock, GeneTest, Joining, Lambing, MatingMark,
    Money, Movement, PenMove, Prescription, Ration, RecordRef, Remark, Scan, Scoring, StockMove, Treatment,
    Weighing,
};
use crate::phrase;
use crate::terms::{AnimalId, Day, Sex};

/// A record with its new values.
#[derive(Debug, Clone, PartialEq)]
pub enum Amended {
    /// When, ram, ease, help, note. Its lambs follow in day of birth and sire where they held the old ones.
    Lambing(Lambing),
    /// What was seen of a lamb's birth.
    Birth(AnimalId, Birth),
    /// Ram, days, method.
    Joining(Joining),
    /// When, weight, note.
    Weighing(Weighing),
    /// Anything but the animal.
    Treatment(Treatment),
    /// Day and pen.
    PenMove(PenMove),
    /// Day, standing, place, reason.
    Movement(Movement),
    /// Day and words.
    Remark(Remark),
    /// Anything but the product.
    Batch(Batch),
    /// Anything but the product.
    StockMove(StockMove),
    /// Anything.
    Prescription(Prescription),
    /// Anything.
    EggCount(EggCount),
    /// Anything but the ewe.
    Mark(MatingMark),
    /// Anything but the ewe.
    Scan(Scan),
    /// Anything but the animal.
    GeneTest(GeneTest),
    /// Anything but the animal.
    Scoring(Scoring),
    /// Anything.
    Money(Money),
    /// Anything but the feed.
    FeedMove(FeedMove),
    /// Anything but the feed.
    FeedSheet(FeedSheet),
    /// Anything but the feed.
    Ration(Ration),
    /// Name and day.
    Document(Document),
}

impl Amended {
    /// Which record it is.
    pub fn record(&self) -> RecordRef {
        match self {
            Self::Lambing(r) => RecordRef::Lambing(r.id),
            Self::Birth(animal, _) => RecordRef::Animal(*animal),
            Self::Joining(r) => RecordRef::Joining(r.id),
            Self::Weighing(r) => RecordRef::Weighing(r.id),
            Self::Treatment(r) => RecordRef::Treatment(r.id),
            Self::PenMove(r) => RecordRef::PenMove(r.id),
            Self::Movement(r) => RecordRef::Movement(r.id),
            Self::Remark(r) => RecordRef::Remark(r.id),
            Self::Batch(r) => RecordRef::Batch(r.id),
            Self::StockMove(r) => RecordRef::StockMove(r.id),
            Self::Prescription(r) => RecordRef::Prescription(r.id),
            Self::EggCount(r) => RecordRef::EggCount(r.id),
            Self::Mark(r) => RecordRef::Mark(r.id),
            Self::Scan(r) => RecordRef::Scan(r.id),
            Self::GeneTest(r) => RecordRef::GeneTest(r.id),
            Self::Scoring(r) => RecordRef::Scoring(r.id),
            Self::Money(r) => RecordRef::Money(r.id),
            Self::FeedMove(r) => RecordRef::FeedMove(r.id),
            Self::FeedSheet(r) => RecordRef::FeedSheet(r.id),
            Self::Ration(r) => RecordRef::Ration(r.id),
            Self::Document(r) => RecordRef::Document(r.id),
        }
    }

    /// The animal it is of; none for what belongs to the cupboard.
    fn animal(&self) -> Option<AnimalId> {
        Some(match self {
            Self::Lambing(r) => r.ewe,
            Self::Birth(animal, _) => *animal,
            Self::Joining(r) => r.ewe,
            Self::Weighing(r) => r.animal,
            Self::Treatment(r) => r.animal,
            Self::PenMove(r) => r.animal,
            Self::Movement(r) => r.animal,
            Self::Remark(r) => r.animal,
            Self::Batch(_) | Self::StockMove(_) | Self::Prescription(_) | Self::Money(_) => return None,
            Self::FeedMove(_) | Self::FeedSheet(_) | Self::Ration(_) | Self::Document(_) => return None,
            Self::EggCount(r) => return r.animal,
            Self::Mark(r) => r.ewe,
            Self::Scan(r) => r.ewe,
            Self::GeneTest(r) => r.animal,
            Self::Scoring(r) => r.animal,
        })
    }

    /// Whose record it is, in words.
    fn whose(&self, flock: &Flock) -> String {
        let product = |id| {
            let found = flock.products().iter().find(|p| p.id == id);
            found.map_or_else(|| "a product".into(), |p| p.name.clone())
        };
        match self {
            Self::Batch(b) => phrase!("{} of {}", b.number, product(b.product)),
            Self::StockMove(m) => product(m.product),
            Self::Prescription(p) => p.product.clone(),
            Self::Money(m) => m.kind.words().into(),
            Self::FeedMove(m) => flock.feedroom().name(m.feed).into(),
            Self::FeedSheet(s) => flock.feedroom().name(s.feed).into(),
            Self::Ration(r) => flock.feedroom().name(r.feed).into(),
            Self::Document(d) => crate::reckon::papers::of_words(flock, d.of),
            other => other.animal().map_or_else(|| "a group".into(), |a| flock.tag(a).to_string()),
        }
    }

    fn on(&self) -> Option<Day> {
        match self {
            Self::Lambing(r) => Some(r.at.day),
            Self::Birth(..) => None,
            Self::Joining(r) => Some(r.from),
            Self::Weighing(r) => Some(r.at.day),
            Self::Treatment(r) => Some(r.at.day),
            Self::PenMove(r) => Some(r.on),
            Self::Movement(r) => Some(r.on),
            Self::Remark(r) => Some(r.on),
            Self::Batch(r) => r.bought_on,
            Self::StockMove(r) => Some(r.on),
            Self::Prescription(r) => Some(r.on),
            Self::EggCount(r) => Some(r.on),
            Self::Mark(r) => Some(r.on),
            Self::Scan(r) => Some(r.on),
            Self::GeneTest(r) => Some(r.on),
            Self::Scoring(r) => Some(r.at.day),
            Self::Money(r) => Some(r.on),
            Self::FeedMove(r) => Some(r.on),
            Self::FeedSheet(r) => Some(r.on),
            Self::Document(r) => Some(r.on),
            // A ration may be planned ahead.
            Self::Ration(_) => None,
        }
    }

    fn word(&self) -> &'static str {
        match self {
            Self::Lambing(_) => "lambing",
            Self::Birth(..) => "birth",
            Self::Joining(_) => "joining",
            Self::Weighing(_) => "weighing",
            Self::Treatment(_) => "treatment",
            Self::PenMove(_) => "pen",
            Self::Movement(_) => "standing",
            Self::Remark(_) => "note",
            Self::Batch(_) => "batch",
            Self::StockMove(_) => "stock",
            Self::Prescription(_) => "prescription",
            Self::EggCount(_) => "egg count",
            Self::Mark(_) => "mating mark",
            Self::Scan(_) => "scan",
            Self::GeneTest(_) => "test",
            Self::Scoring(_) => "score",
            Self::Money(_) => "money",
            Self::FeedMove(m) => m.change.words(),
            Self::FeedSheet(_) => "analysis",
            Self::Ration(_) => "ration",
            Self::Document(d) => d.word(),
        }
    }

    fn is_same(&self, flock: &Flock) -> Option<bool> {
        let (c, room) = (flock.cupboard(), flock.feedroom());
        match self {
            Self::Batch(r) => return c.batches.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::StockMove(r) => return c.moves.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Prescription(r) => return c.prescriptions.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::EggCount(r) => return c.egg_counts.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Money(r) => {
                return flock.daybook().money.iter().find(|o| o.id == r.id).map(|o| o == r);
            }
            Self::FeedMove(r) => return room.moves.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::FeedSheet(r) => return room.sheets.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Ration(r) => return room.rations.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Document(r) => return flock.documents().get(r.id).map(|o| o == r),
            _ => {}
        }
        let f = flock.file(self.animal()?)?;
        match self {
            Self::Lambing(r) => f.lambings.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Birth(_, b) => f.birth.as_ref().map(|o| o == b),
            Self::Joining(r) => f.joinings.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Weighing(r) => f.weighings.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Treatment(r) => f.treatments.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::PenMove(r) => f.pen_moves.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Movement(r) => f.movements.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Remark(r) => f.remarks.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Mark(r) => f.marks.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Scan(r) => f.scans.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::GeneTest(r) => f.tests.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Scoring(r) => f.scores.iter().find(|o| o.id == r.id).map(|o| o == r),
            Self::Batch(_)
            | Self::StockMove(_)
            | Self::Prescription(_)
            | Self::EggCount(_)
            | Self::Money(_)
            | Self::FeedMove(_)
            | Self::FeedSheet(_)
            | Self::Ration(_)
            | Self::Document(_) => None,
        }
    }
}

/// Checks an amendment.
///
/// # Errors
/// No reason, nothing changed, the record is gone, or the new values cannot be.
pub fn amend(mut new: Amended, reason: &str, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if reason.trim().is_empty() {
        faults.refuse(Field::of("reason"), Refused::NoReason);
    }
    match new.is_same(flock) {
        None => faults.refuse(Field::of("on"), Refused::Gone),
        Some(true) => faults.refuse(Field::of("on"), Refused::NothingChanged),
        Some(false) => {}
    }
    if let Some(on) = new.on() {
        faults.not_ahead(Field::of("on"), on, today);
        if let Some(a) = new.animal().and_then(|id| flock.animal(id)) {
            super::standing::before_birth(&mut faults, Field::of("on"), a, on);
        }
    }
    if let Amended::Birth(_, b) = &new {
        super::lamb::colostrum(&mut faults, b.colostrum, 0);
    }
    let ram = match &new {
        Amended::Lambing(l) => l.ram,
        Amended::Joining(j) => Some(j.ram),
        _ => None,
    };
    if let Some(r) = ram.and_then(|r| flock.animal(r))
        && r.sex == Sex::Ewe
    {
        let why = Refused::WrongSex { tag: r.tag().into(), is: r.sex, needed: Sex::Ram, part: "a sire" };
        faults.refuse(Field::of("ram"), why);
    }
    if let Amended::Lambing(l) = &new {
        super::pedigree::amended_lambing(&mut faults, flock, l);
    }
    if let Amended::Joining(j) = &new
        && let Some(to) = j.to.filter(|t| *t < j.from)
    {
        faults.refuse(Field::of("to"), Refused::EndsBeforeStart { from: j.from, to });
    }
    if let Amended::Treatment(t) = &mut new {
        if t.product.trim().is_empty() {
            faults.refuse(Field::of("product"), Refused::Missing("a product"));
        }
        super::treatment::amended(&mut faults, t, flock, today);
    }
    if let Amended::Movement(m) = &new {
        super::standing::blanks(&mut faults, flock, m.to, &m.other, &m.details);
    }
    super::blood::amended(&mut faults, &new, flock);
    super::weighed::amended(&mut faults, &new, flock);
    super::fed::amended(&mut faults, &new, flock, today);
    super::cupboard::amended(&mut faults, &new, flock, today);
    super::documents::amended(&mut faults, &new, flock);
    let sentence = phrase!("Amended {} of {}", new.word(), new.whose(flock));
    Ok(faults.or(|| (Entry::Amend(new), sentence))?.because(reason.trim()))
}

/// Checks a strike-out. Lambs of a struck lambing stay in the book as animals.
///
/// # Errors
/// No reason, the record is gone, struck already, or not one that can be struck out.
pub fn strike(animal: AnimalId, record: RecordRef, reason: &str, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if reason.trim().is_empty() {
        faults.refuse(Field::of("reason"), Refused::NoReason);
    }
    let found = flock.file(animal).and_then(|f| match record {
        RecordRef::Lambing(id) => {
            f.lambings.iter().find(|r| r.id == id).map(|r| ("lambing", r.struck.is_some()))
        }
        RecordRef::Joining(id) => {
            f.joinings.iter().find(|r| r.id == id).map(|r| ("joining", r.struck.is_some()))
        }
        RecordRef::Weighing(id) => {
            f.weighings.iter().find(|r| r.id == id).map(|r| ("weighing", r.struck.is_some()))
        }
        RecordRef::Treatment(id) => {
            f.treatments.iter().find(|r| r.id == id).map(|r| ("treatment", r.struck.is_some()))
        }
        RecordRef::PenMove(id) => {
            f.pen_moves.iter().find(|r| r.id == id).map(|r| ("pen", r.struck.is_some()))
        }
        RecordRef::Movement(id) => {
            f.movements.iter().find(|r| r.id == id).map(|r| ("standing", r.struck.is_some()))
        }
        RecordRef::Remark(id) => f.remarks.iter().find(|r| r.id == id).map(|r| ("note", r.struck.is_some())),
        RecordRef::Mark(id) => {
            f.marks.iter().find(|r| r.id == id).map(|r| ("mating mark", r.struck.is_some()))
        }
        RecordRef::Crayon(id) => {
            f.crayons.iter().find(|r| r.id == id).map(|r| ("crayon", r.struck.is_some()))
        }
        RecordRef::Scan(id) => f.scans.iter().find(|r| r.id == id).map(|r| ("scan", r.struck.is_some())),
        RecordRef::GeneTest(id) => f.tests.iter().find(|r| r.id == id).map(|r| ("test", r.struck.is_some())),
        RecordRef::Scoring(id) => f.scores.iter().find(|r| r.id == id).map(|r| ("score", r.struck.is_some())),
        RecordRef::Decision(id) => {
            f.decisions.iter().find(|r| r.id == id).map(|r| ("decision", r.struck.is_some()))
        }
        RecordRef::Tick(id) => f.ticks.iter().find(|t| t.id == id).map(|t| ("tick", t.struck.is_some())),
        _ => None,
    });
    match found {
        None => faults.refuse(Field::of("on"), Refused::Gone),
        Some((_, true)) => faults.refuse(Field::of("on"), Refused::AlreadyStruck),
        Some((_, false)) => {}
    }
    let word = found.map_or("record", |(w, _)| w);
    let sentence = phrase!("Struck out {word} of {}", &flock.tag(animal));
    let reason = reason.trim().to_string();
    let kept = reason.clone();
    Ok(faults.or(|| (Entry::Strike { record, on: today, reason }, sentence))?.because(kept))
}

/// Checks a strike-out of what belongs to no animal: a batch, stock, a prescription, a kept paper, an egg count, money,
/// and what is of the feed room.
///
/// # Errors
/// No reason, the record is gone, struck already, or not one of the cupboard's.
pub fn strike_kept(record: RecordRef, reason: &str, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if reason.trim().is_empty() {
        faults.refuse(Field::of("reason"), Refused::NoReason);
    }
    let c = flock.cupboard();
    macro_rules! look {
        ($list:ident, $id:expr, $word:expr) => {
            c.$list.iter().find(|r| r.id == $id).map(|r| ($word(r), r.struck.is_some()))
        };
    }
    let found: Option<(String, bool)> = match record {
        RecordRef::Batch(id) => look!(batches, id, |b: &Batch| phrase!("batch {}", b.number)),
        RecordRef::StockMove(id) => {
            look!(moves, id, |m: &StockMove| phrase!("stock {} on {}", m.change.word(), m.on.words()))
        }
        RecordRef::Prescription(id) => {
            look!(prescriptions, id, |p: &Prescription| phrase!("prescription for {}", p.product))
        }
        RecordRef::Document(id) => {
            flock.documents().get(id).map(|d| (format!("{} {}", d.word(), d.name), d.struck.is_some()))
        }
        RecordRef::EggCount(id) => {
            look!(egg_counts, id, |e: &EggCount| phrase!("egg count of {}", e.on.words()))
        }
        RecordRef::Money(id) => {
            let held = flock.daybook().money.iter().find(|m| m.id == id);
            held.map(|m| (phrase!("{} of {}", m.kind.words(), m.on.words()), m.struck.is_some()))
        }
        RecordRef::FeedMove(_)
        | RecordRef::FeedSheet(_)
        | RecordRef::Measure(_)
        | RecordRef::Creep(_)
        | RecordRef::Ration(_)
        | RecordRef::PenCheck(_) => flock.feedroom().struck(record).map(|struck| {
            let words = crate::reckon::trail::kept_words(flock, record);
            (words.unwrap_or_else(|| "a record of the feed room".into()), struck)
        }),
        _ => None,
    };
    match &found {
        None => faults.refuse(Field::of("on"), Refused::Gone),
        Some((_, true)) => faults.refuse(Field::of("on"), Refused::AlreadyStruck),
        Some((_, false)) => {}
    }
    if let RecordRef::FeedMove(id) = record {
        super::fed::struck_alone(&mut faults, id, flock);
    }
    let sentence = phrase!("Struck out {}", found.map_or_else(|| "a record".into(), |(words, _)| words));
    let reason = reason.trim().to_string();
    let kept = reason.clone();
    Ok(faults.or(|| (Entry::Strike { record, on: today, reason }, sentence))?.because(kept))
}
