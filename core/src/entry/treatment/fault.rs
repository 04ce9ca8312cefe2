//! What is refused and questioned of a treatment; the words are made here.

use crate::entry::{Refused, Unusual};
use crate::terms::{Day, Dose};

/// Why a treatment cannot be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TreatmentRefused {
    /// An off-label use without a vet.
    #[error(
        "{what}: a vet must have directed it, and their name is needed here. The label, the vet and local law decide"
    )]
    OffLabelNeedsVet {
        /// What is not as the label says.
        what: String,
    },
    /// A withdrawal below the least the rules of the place allow for an off-label use.
    #[error(
        "{written} of {what} is too short for a use that is not on the label: {floor}. The vet sets the period, and never below this"
    )]
    BelowFloor {
        /// meat or milk.
        what: &'static str,
        /// As written.
        written: String,
        /// The least, with its sum and its source.
        floor: String,
    },
    /// A withdrawal below what the rules for organic flocks ask.
    #[error("{written} of {what} is too short for an organic flock: at least {least} ({rule})")]
    BelowOrganic {
        /// meat or milk.
        what: &'static str,
        /// As written.
        written: String,
        /// The least.
        least: String,
        /// The rule.
        rule: String,
    },
    /// A substance that may not be used off-label in animals people eat.
    #[error("{substance} may not be given off-label to an animal people eat ({rule}): ask the vet")]
    Banned {
        /// The substance.
        substance: String,
        /// The rule.
        rule: String,
    },
    /// A batch number that was bought for another product only.
    #[error("the batch {number} is one of {other}, not of {product}: mend the product or the number")]
    BatchOfOther {
        /// The number.
        number: String,
        /// The product as written.
        product: String,
        /// Whose it is.
        other: String,
    },
    /// A prescription of another product.
    #[error("that prescription is for {other}, not for {product}: choose another, or mend the product")]
    PrescriptionOfOther {
        /// The product as written.
        product: String,
        /// What it is for.
        other: String,
    },
    /// An amount for all together that was not given in something they share.
    #[error(
        "an amount for all together is given in feed, water or a footbath, not {route}: choose that route, or type the dose of each"
    )]
    NotShared {
        /// The route as written.
        route: &'static str,
    },
    /// Too few pieces for so many animals.
    #[error("{pieces} cannot be shared among {animals} animals: each gets at least one")]
    TooFewPieces {
        /// As written.
        pieces: Dose,
        /// How many are to share.
        animals: usize,
    },
    /// A course of one dose, or of too many.
    #[error("a course has 2 to 30 doses, 1 to 1000 hours apart: mend the number of doses or the hours")]
    NoCourse,
    /// A dose after the last of its course.
    #[error("dose {nth} of {of} cannot be: a course has at least as many doses as were given")]
    AfterTheCourse {
        /// Which dose it is.
        nth: u8,
        /// How many the course is to have.
        of: u8,
    },
    /// A dose of a course that is not there, or was written already.
    #[error("{tag} has no course of {product} that this dose goes on with: it may be written already")]
    NotThatCourse {
        /// The animal.
        tag: String,
        /// The product.
        product: String,
    },
}

impl From<TreatmentRefused> for Refused {
    fn from(why: TreatmentRefused) -> Self {
        Self::Treatment(why)
    }
}

/// What is unlikely of a treatment.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TreatmentUnusual {
    /// Not as the label says, and not said so.
    #[error("{what}: that is off-label. Only a vet may direct it, and the vet sets the withdrawal")]
    OffLabel {
        /// What is not as the label says.
        what: String,
    },
    /// Ten or a hundred times the label's dose: it must be said twice.
    #[error(
        "{dose} for {tag} is {times} times the {label} by the label's rule. If it was really given, type the dose {dose} once more in your word"
    )]
    FarAboveLabel {
        /// The animal.
        tag: String,
        /// As written.
        dose: Dose,
        /// By the label.
        label: Dose,
        /// How many times, rounded.
        times: u32,
    },
    /// Hours of milk withdrawal written as days.
    #[error("{days} days of milk: did the label say {days} hours? Write {days} h then")]
    HoursAsDays {
        /// As written.
        days: u16,
    },
    /// A day long ago.
    #[error("{} is more than two years ago: is the year right?", .on.words())]
    LongAgo {
        /// As written.
        on: Day,
    },
    /// The bottle was out of date.
    #[error("batch {number} was to be used until {}: out of date on {}", .until.words(), .on.words())]
    OutOfDate {
        /// The number.
        number: String,
        /// Its last day.
        until: Day,
        /// The day of the treatment.
        on: Day,
    },
    /// The bottle was open too long.
    #[error("batch {number} was opened too long before {}: the label gives it until {}", .on.words(), .until.words())]
    OpenTooLong {
        /// The number.
        number: String,
        /// Its last day.
        until: Day,
        /// The day of the treatment.
        on: Day,
    },
    /// Given before it was bought.
    #[error("batch {number} was bought on {}, after the day it was given", .bought.words())]
    BeforeBought {
        /// The number.
        number: String,
        /// The purchase.
        bought: Day,
    },
    /// The bottle cannot have had so much left.
    #[error("{needed} of batch {number} is more than the {left} that is left of it by the book")]
    NotSoMuchLeft {
        /// The number.
        number: String,
        /// Needed for all.
        needed: Dose,
        /// Left before.
        left: Dose,
    },
    /// A prescription a table names that is not in the book.
    #[error("no prescription of the book has the number {0}: the treatment comes in without it")]
    NoSuchPrescription(String),
    /// A prescription that ran out.
    #[error("the prescription could be used until {}", .until.words())]
    PrescriptionOver {
        /// Its last day.
        until: Day,
    },
}

impl From<TreatmentUnusual> for Unusual {
    fn from(what: TreatmentUnusual) -> Self {
        Self::Treatment(what)
    }
}
