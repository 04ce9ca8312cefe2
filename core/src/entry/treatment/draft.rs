//! A treatment as it is written up.

use crate::flock::CoursePart;
use crate::terms::{AnimalId, Dose, Moment, PrescriptionId, Route, Weight, Withdrawal};

/// How the dose of a treatment is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DoseDraft {
    /// By the product's rule and each animal's last weight.
    ByRule,
    /// As typed, the same for each; none is not written down.
    Typed(Option<Dose>),
}

/// A treatment as written up, of one or many animals.
#[derive(Debug, Clone, PartialEq)]
pub struct TreatmentDraft {
    /// The animals.
    pub animals: Vec<AnimalId>,
    /// When.
    pub at: Moment,
    /// Product.
    pub product: String,
    /// Batch.
    pub batch: Option<String>,
    /// Dose.
    pub dose: DoseDraft,
    /// Route; none takes the product's.
    pub route: Option<Route>,
    /// Site.
    pub site: Option<String>,
    /// Why.
    pub reason: Option<String>,
    /// Who gave it.
    pub given_by: Option<String>,
    /// Who prescribed it.
    pub prescribed_by: Option<String>,
    /// Meat; none takes the product's, unknown if there is none.
    pub meat: Option<Withdrawal>,
    /// Milk; likewise.
    pub milk: Option<Withdrawal>,
    /// What is asked of some treatments only.
    pub more: TreatmentExtra,
}

/// What is asked of some treatments only.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TreatmentExtra {
    /// Export withdrawal; none takes the product's.
    pub export: Option<Withdrawal>,
    /// A vet gave it.
    pub vet_gave: bool,
    /// Not as the label says, and in what.
    pub off_label: Option<String>,
    /// The prescription it is given by.
    pub prescription: Option<PrescriptionId>,
    /// A prescription a table names that is not in the book.
    pub unknown_prescription: Option<String>,
    /// A course of several doses, the first of them now.
    pub course: Option<CourseDraft>,
    /// A further dose of a course that was begun.
    pub goes_on: Option<CoursePart>,
    /// A dose of a course as a table has it, whose other doses may stand in the same table: taken as it is.
    pub of_course: Option<CoursePart>,
    /// The whole amount for the group, in place of a dose for each: in feed, water or a footbath.
    pub shared: Option<Dose>,
    /// Doses by the rule are rounded to what a syringe can give.
    pub drawn: bool,
    /// A weight to reckon by where an animal was not weighed.
    pub estimated: Option<Weight>,
}

/// A course of doses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CourseDraft {
    /// How many doses in all, from 2.
    pub doses: u8,
    /// Hours from one to the next.
    pub every_hours: u16,
}
