//! Treatments.

use super::{Blank, Seldom, Struck};
use crate::terms::{AnimalId, CourseId, Dose, Moment, PrescriptionId, Route, TreatmentId, Withdrawal, Words};
use std::sync::LazyLock;

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
    pub product: Words,
    /// Batch number.
    pub batch: Option<Words>,
    /// Amount given.
    pub dose: Option<Dose>,
    /// How.
    pub route: Option<Route>,
    /// Where on the body.
    pub site: Option<Words>,
    /// Why.
    pub reason: Option<Words>,
    /// Who gave it.
    pub given_by: Option<Words>,
    /// Who prescribed it.
    pub prescribed_by: Option<Words>,
    /// Meat withdrawal.
    pub meat: Withdrawal,
    /// Milk withdrawal.
    pub milk: Withdrawal,
    /// What is asked of some treatments only.
    pub more: Seldom<TreatmentMore>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// What is asked of some treatments only.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TreatmentMore {
    /// Withdrawal of meat for export, where a place counts it apart.
    pub export: Withdrawal,
    /// A vet gave it.
    pub vet_gave: bool,
    /// Not as the label says, and in what: species, route, dose, reason, mixed.
    pub off_label: Option<Words>,
    /// The prescription it was given by.
    pub prescription: Option<PrescriptionId>,
    /// Which dose of a course.
    pub course: Option<CoursePart>,
}

impl Blank for TreatmentMore {
    fn blank() -> &'static Self {
        static NONE: LazyLock<TreatmentMore> = LazyLock::new(TreatmentMore::default);
        &NONE
    }
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
