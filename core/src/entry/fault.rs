//! Refusals (it cannot be) and questions (it is unlikely), each with its data; the words are made here.

use crate::phrase;
use crate::terms::{Day, Dose, Gain, Sex, Units, Weight, counted};
use std::fmt;

/// The field of a form or column of a table a fault belongs to, and for forms with rows, which row (from 0).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Field {
    /// Name of the field, as in the CSV columns.
    pub name: &'static str,
    /// Row within the entry.
    pub row: usize,
}

impl Field {
    /// A field of the entry itself.
    pub const fn of(name: &'static str) -> Self {
        Self { name, row: 0 }
    }

    /// A field of one row of the entry.
    pub const fn row(name: &'static str, row: usize) -> Self {
        Self { name, row }
    }
}

/// Why an entry cannot be: the data, the words by `Display`.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refused {
    /// The day has not come yet.
    #[error("{} has not come yet: today is {}", .on.words(), .today.words())]
    DayAhead {
        /// As written.
        on: Day,
        /// Today.
        today: Day,
    },
    /// Nothing was given where something is needed.
    #[error("{0} is needed")]
    Missing(&'static str),
    /// No animal wears it.
    #[error("no animal wears the tag {0}: add the animal first, or mend the tag")]
    NoSuchAnimal(String),
    /// The record is not in the book.
    #[error("the record was not found in this book: it may have been undone")]
    Gone,
    /// Wrong sex for the part.
    #[error("{tag} is a {is}: {part} must be a {needed}", is = .is.words(), needed = .needed.words())]
    WrongSex {
        /// The animal.
        tag: String,
        /// Its sex.
        is: Sex,
        /// The sex needed.
        needed: Sex,
        /// As what.
        part: &'static str,
    },
    /// A tag another animal wears.
    #[error("the tag {tag} is worn by {by}: choose another, or mark that one as lost first")]
    TagInUse {
        /// The tag.
        tag: String,
        /// Who wears it.
        by: String,
    },
    /// A lamb whose lambing is written down already.
    #[error("{tag} is written down as born to {ewe} already: amend that lambing instead")]
    BornAlready {
        /// The lamb.
        tag: String,
        /// The ewe of that lambing.
        ewe: String,
    },
    /// The same tag twice in one entry.
    #[error("the tag {0} is given twice")]
    TagTwice(String),
    /// Something on an animal before its birth.
    #[error("{tag} was born on {}: nothing can have been done to it on {}", .born.words(), .on.words())]
    BeforeBirth {
        /// The animal.
        tag: String,
        /// Its birth.
        born: Day,
        /// The day written.
        on: Day,
    },
    /// A parent born after its lamb.
    #[error(
        "{parent} was born {parent_born}, so it cannot be the {part} of {lamb}, born {lamb_born}: mend one of the two"
    )]
    ParentYounger {
        /// The parent.
        parent: String,
        /// Its birth, in words.
        parent_born: String,
        /// dam or sire.
        part: &'static str,
        /// The lamb.
        lamb: String,
        /// Its birth, in words.
        lamb_born: String,
    },
    /// An animal that is its own ancestor.
    #[error("the pedigree runs in a circle: {}: mend one parent", .0.join(", child of "))]
    Loop(Vec<String>),
    /// No lamb in a lambing.
    #[error("a lambing needs at least one lamb: write a dead one as born dead")]
    NoLambs,
    /// More lambs than a ewe bears.
    #[error("{0} lambs at one lambing is more than this book takes (7)")]
    TooManyLambs(usize),
    /// No animal chosen.
    #[error("no animal is chosen: choose one, a pen or a selection")]
    NoAnimals,
    /// A reason is needed.
    #[error("a reason is needed: the old value stays readable beside it")]
    NoReason,
    /// Nothing would change.
    #[error("nothing is different from what is written")]
    NothingChanged,
    /// Already struck out.
    #[error("it is struck out already")]
    AlreadyStruck,
    /// The last day is before the first.
    #[error("the last day {} is before the first {}", .to.words(), .from.words())]
    EndsBeforeStart {
        /// First.
        from: Day,
        /// Last.
        to: Day,
    },
    /// A dose by weight without a weight.
    #[error("the dose of {tag} goes by weight and no weight is known: weigh it, or type the dose")]
    NoWeightForDose {
        /// The animal.
        tag: String,
    },
    /// A dead lamb cannot be reared.
    #[error("{0} was born dead: nobody can rear it")]
    DeadReared(String),
    /// Could not be read.
    #[error("{0}")]
    Misread(#[from] crate::terms::Misread),
    /// A change of standing to what it is already.
    #[error("{tag} is {status} already")]
    SameStanding {
        /// The animal.
        tag: String,
        /// The standing.
        status: &'static str,
    },
    /// Two products in one syringe.
    #[error(
        "'{0}' names two products: write one treatment for each; mixing in one syringe is off-label unless the vet wrote it"
    )]
    Mixed(String),
    /// Of a treatment.
    #[error("{0}")]
    Treatment(super::TreatmentRefused),
    /// Bred with itself.
    #[error("{0} cannot be joined with itself")]
    WithItself(String),
    /// Of the medicine cupboard.
    #[error("{0}")]
    Cupboard(super::CupboardRefused),
    /// Of blood and matings.
    #[error("{0}")]
    Blood(super::BloodRefused),
    /// Of weighing and choosing.
    #[error("{0}")]
    Weighed(super::WeighedRefused),
    /// Of the feed room.
    #[error("{0}")]
    Fed(super::FedRefused),
    /// Of two animals that are to be one.
    #[error("{0}")]
    Merge(super::MergeRefused),
}

/// A refusal with its field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// Where.
    pub field: Field,
    /// Why.
    pub why: Refused,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.why)
    }
}

/// What is unlikely: a caution that says why and may be overridden with a word.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unusual {
    /// A second lambing too soon after.
    #[error("{ewe} lambed {} before ({}): is this the same lambing?", counted(days.unsigned_abs() as usize, "day"), .on.words())]
    LambedRecently {
        /// The ewe.
        ewe: String,
        /// Days between.
        days: i64,
        /// The other lambing.
        on: Day,
    },
    /// A lamb heavier than 10 kg.
    #[error("{} is very heavy for a lamb at birth: is it in the right unit?", .weight.show(*.units))]
    HeavyLamb {
        /// As written.
        weight: Weight,
        /// The book's units.
        units: Units,
    },
    /// A lamb lighter than 500 g.
    #[error("{} is very light for a lamb at birth: is it in the right unit?", .weight.show(*.units))]
    LightLamb {
        /// As written.
        weight: Weight,
        /// The book's units.
        units: Units,
    },
    /// A ram too young to have sired.
    #[error("the ram {ram} was {days} days old then: rams are seldom fertile before 120 days")]
    RamTooYoung {
        /// The ram.
        ram: String,
        /// His age at service.
        days: i64,
    },
    /// A ewe too young.
    #[error("the ewe {ewe} was {days} days old then: very young for that")]
    EweTooYoung {
        /// The ewe.
        ewe: String,
        /// Her age.
        days: i64,
    },
    /// An animal that had left or died.
    #[error("{tag} is written down as {status}{}", .on.map(|d| phrase!(" since {}", d.words())).unwrap_or_default())]
    NotHere {
        /// The animal.
        tag: String,
        /// Its standing.
        status: &'static str,
        /// Since.
        on: Option<Day>,
    },
    /// The ram's joining does not explain the day.
    #[error("no joining of {ewe} with {ram} fits this day: lambs come {early} to {late} days after service")]
    RamDoesNotFit {
        /// The ewe.
        ewe: String,
        /// The ram.
        ram: String,
        /// Shortest gestation, days.
        early: i64,
        /// Longest, days.
        late: i64,
    },
    /// A growing lamb lost weight.
    #[error("{tag} weighed {} on {}: it would have lost weight", .before.show(*.units), .on.words())]
    Loss {
        /// The animal.
        tag: String,
        /// Before.
        before: Weight,
        /// When.
        on: Day,
        /// The book's units.
        units: Units,
    },
    /// An impossible gain.
    #[error("{tag} weighed {} on {}: it would have gained {}, more than lambs do", .before.show(*.units), .on.words(), .gain.show(*.units))]
    Gained {
        /// The animal.
        tag: String,
        /// Before.
        before: Weight,
        /// When.
        on: Day,
        /// The gain.
        gain: Gain,
        /// The book's units.
        units: Units,
    },
    /// A grown animal changed by more than a fifth.
    #[error("{tag} weighed {} on {}: it would have changed by more than a fifth", .before.show(*.units), .on.words())]
    Jumped {
        /// The animal.
        tag: String,
        /// Before.
        before: Weight,
        /// When.
        on: Day,
        /// The book's units.
        units: Units,
    },
    /// Off the animal's own curve.
    #[error(
        "{tag} should weigh about {} by its own {weights} weights, from {} to {} at most",
        .expected.show(*.units), .low.show(*.units), .high.show(*.units)
    )]
    OffCurve {
        /// The animal.
        tag: String,
        /// What its curve expects.
        expected: Weight,
        /// The least that is not questioned.
        low: Weight,
        /// The most.
        high: Weight,
        /// Weights the curve is drawn through.
        weights: usize,
        /// The book's units.
        units: Units,
    },
    /// Under withdrawal when leaving.
    #[error(
        "{tag} is under withdrawal for {what} because of {product}: {until}; it must not go for food before that. Label, vet and local law decide"
    )]
    UnderWithdrawal {
        /// The animal.
        tag: String,
        /// meat or milk.
        what: &'static str,
        /// The product.
        product: String,
        /// `clear 4 May 2026`.
        until: String,
    },
    /// Above the label.
    #[error("{dose} for {tag} is {} times the {label} by the label's rule: check the label and ask the vet", one_decimal(*.times_ten))]
    AboveLabel {
        /// The animal.
        tag: String,
        /// As written.
        dose: Dose,
        /// By the label.
        label: Dose,
        /// Ten times the ratio.
        times_ten: u32,
    },
    /// Dose reckoned from an old weight.
    #[error("the weight of {tag} is {days} days old: weigh it again before dosing by weight")]
    StaleWeight {
        /// The animal.
        tag: String,
        /// Age of the weight.
        days: i64,
    },
    /// Too much at one place.
    #[error(
        "{dose} for {tag} is much for one place (common practice: {most} ml at most): split it over two sites as the label says"
    )]
    MuchForOneSite {
        /// The animal.
        tag: String,
        /// As written.
        dose: Dose,
        /// Usual most, ml.
        most: u32,
    },
    /// The same product twice on a day.
    #[error("{tag} was given {product} on that day already: is it written twice?")]
    GivenTwice {
        /// The animal.
        tag: String,
        /// The product.
        product: String,
    },
    /// A job done before its time.
    #[error("{job} of {tag} is not to be done before {}: is the day right?", .earliest.words())]
    TooSoon {
        /// The animal.
        tag: String,
        /// The job.
        job: String,
        /// Its first day.
        earliest: Day,
    },
    /// A ring after the last day the rules of the place give.
    #[error(
        "{tag}: rings may be used until {} by the rules of this book; after that ask the vet. The law of the place decides",
        .last.words()
    )]
    AfterRings {
        /// The animal.
        tag: String,
        /// The last day.
        last: Day,
    },
    /// Of a treatment.
    #[error("{0}")]
    Treatment(super::TreatmentUnusual),
    /// A test number.
    #[error("{0} is a number for testing readers (999), not an official one")]
    TestNumber(String),
    /// A holding number of a shape the rules of the book do not know.
    #[error("the holding number {why}: is it written as the authority writes it?")]
    HoldingNumber {
        /// As written.
        number: String,
        /// What is wrong with it, with the number itself.
        why: String,
    },
    /// A product shorter than the label.
    #[error(
        "the {what} withdrawal of {product} is written as {written}, shorter than the product's {label}: check the label and ask the vet"
    )]
    ShorterThanLabel {
        /// meat or milk.
        what: &'static str,
        /// The product.
        product: String,
        /// As written.
        written: String,
        /// By the label.
        label: String,
    },
    /// Of the medicine cupboard.
    #[error("{0}")]
    Cupboard(super::CupboardUnusual),
    /// Of blood and matings.
    #[error("{0}")]
    Blood(super::BloodUnusual),
    /// Of weighing and choosing.
    #[error("{0}")]
    Weighed(super::WeighedUnusual),
    /// Of the feed room.
    #[error("{0}")]
    Fed(super::FedUnusual),
    /// Of two animals that are to be one.
    #[error("{0}")]
    Merge(super::MergeUnusual),
}

fn one_decimal(tenths: u32) -> String {
    format!("{}.{}", tenths / 10, tenths % 10)
}

/// A question with its field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// Where.
    pub field: Field,
    /// What is unlikely.
    pub what: Unusual,
}

impl fmt::Display for Question {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.what)
    }
}

/// Something the keeper should know that stands in the way of nothing: a blank the rules ask for, a bottle that runs
/// out. It is said where it is written and listed before a visit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// Where.
    pub field: Field,
    /// What to know, with what it stands on.
    pub words: String,
    /// What is not written, and who asks for it, in a few words: `batch (Great Britain)`. None where nothing is missing.
    pub blank: Option<String>,
}
