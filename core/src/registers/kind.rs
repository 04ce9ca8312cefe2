//! Which registers there are.

use super::{Register, Span, register};
use crate::flock::Flock;
use crate::terms::speech::{self, Speech};
use crate::terms::{Day, Misread};

/// A register.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, serde::Serialize, serde::Deserialize,
)]
pub enum RegisterKind {
    /// Every treatment.
    #[default]
    TreatmentLog,
    /// Batches as they were bought.
    MedicineBought,
    /// Wasted, disposed of, counted.
    MedicineDisposed,
    /// What is on the shelf on a day.
    Stock,
    /// Animals that came and went.
    Movements,
    /// Births.
    Births,
    /// Deaths, culls and losses.
    Deaths,
    /// Marks put in, lost and replaced.
    Identities,
    /// Animals present on a day.
    FlockCount,
    /// Who is under withdrawal on a day.
    WithdrawalNow,
    /// Uses that are not on the label.
    OffLabel,
    /// Antibiotics by course and reason.
    Antibiotics,
    /// Prescriptions.
    Prescriptions,
    /// What was changed later or struck out.
    Amendments,
}

impl RegisterKind {
    /// All of them, in the order offered.
    pub const ALL: [Self; 14] = [
        Self::TreatmentLog,
        Self::MedicineBought,
        Self::MedicineDisposed,
        Self::Stock,
        Self::WithdrawalNow,
        Self::OffLabel,
        Self::Antibiotics,
        Self::Prescriptions,
        Self::Movements,
        Self::Births,
        Self::Deaths,
        Self::Identities,
        Self::FlockCount,
        Self::Amendments,
    ];

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::TreatmentLog => "Treatment log",
            Self::MedicineBought => "Medicine bought",
            Self::MedicineDisposed => "Medicine disposed of",
            Self::Stock => "Medicine in stock",
            Self::Movements => "Movement register",
            Self::Births => "Birth register",
            Self::Deaths => "Death register",
            Self::Identities => "Identity register",
            Self::FlockCount => "Flock count",
            Self::WithdrawalNow => "Under withdrawal",
            Self::OffLabel => "Off-label uses",
            Self::Antibiotics => "Antibiotics",
            Self::Prescriptions => "Prescriptions",
            Self::Amendments => "Amended and struck out",
        }
    }

    /// Its word on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::TreatmentLog => "treatment-log",
            Self::MedicineBought => "medicine-bought",
            Self::MedicineDisposed => "medicine-disposed",
            Self::Stock => "stock",
            Self::Movements => "movement-register",
            Self::Births => "birth-register",
            Self::Deaths => "death-register",
            Self::Identities => "identity-register",
            Self::FlockCount => "flock-count",
            Self::WithdrawalNow => "withdrawal-now",
            Self::OffLabel => "off-label",
            Self::Antibiotics => "antibiotics",
            Self::Prescriptions => "prescriptions",
            Self::Amendments => "amendments",
        }
    }

    /// What it holds, in a line.
    pub fn holds(self) -> &'static str {
        match self {
            Self::TreatmentLog => "What was given to whom, when, why, and the clear days",
            Self::MedicineBought => "Batches bought: from whom, how much, the invoice",
            Self::MedicineDisposed => "Medicine wasted, disposed of or counted, and what was missing",
            Self::Stock => "What is on the shelf on a day, batch by batch",
            Self::Movements => "Animals that came and went: other place, papers, carrier",
            Self::Births => "Lambs born, dead ones too, with dam, sire and marks",
            Self::Deaths => "Deaths, culls and losses with cause, disposal and receipt",
            Self::Identities => "Marks put in, lost and replaced, old to new",
            Self::FlockCount => "Animals present on a day by sex and age",
            Self::WithdrawalNow => "Who is under withdrawal on a day, and until when",
            Self::OffLabel => "Uses that are not on the label, with the vet and the periods",
            Self::Antibiotics => "Antibiotic courses by reason, and amounts year by year",
            Self::Prescriptions => "What vets prescribed, and what was given by it",
            Self::Amendments => "What was changed later or struck out: when, by whom, why, from what to what",
        }
    }

    /// It tells how things stand on one day; the others are of a span.
    pub fn is_of_a_day(self) -> bool {
        matches!(self, Self::Stock | Self::FlockCount | Self::WithdrawalNow)
    }

    /// From its word.
    ///
    /// # Errors
    /// Lists the words there are.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let low = text.trim().to_lowercase();
        Self::ALL.into_iter().find(|k| k.word() == low).ok_or_else(|| {
            let all: Vec<&str> = Self::ALL.iter().map(|k| k.word()).collect();
            Misread::new(format!("'{}' is no register: write one of {}", text.trim(), all.join(", ")))
        })
    }

    /// Makes it.
    pub fn make(self, flock: &Flock, span: Span, today: Day) -> Register {
        let _plain = plain();
        register(self, flock, span, today)
    }
}

/// A register reads alike wherever it is shown, printed or taken out; days and amounts stand as the book writes them.
pub(super) fn plain() -> speech::Spoken {
    Speech { days: speech::days(), currency: speech::currency(), ..Speech::default() }.during()
}
