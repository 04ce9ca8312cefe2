//! What laboratories found of an animal.

use super::Struck;
use crate::terms::{AnimalId, Day, GeneStatus, GeneTestId, Scrapie};

/// One test of one animal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GeneTest {
    /// Its id.
    pub id: GeneTestId,
    /// The animal.
    pub animal: AnimalId,
    /// Day of the report or the sample.
    pub on: Day,
    /// What was looked for and found.
    pub found: Tested,
    /// The laboratory.
    pub lab: Option<String>,
    /// Number of its report.
    pub number: Option<String>,
    /// Note.
    pub note: Option<String>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// What a test looked for, and what it found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Tested {
    /// The prion protein gene.
    Scrapie(Scrapie),
    /// A recessive gene.
    Recessive {
        /// Its name, as the laboratory writes it.
        gene: String,
        /// Clear, carrier or affected.
        status: GeneStatus,
    },
    /// Whether an animal is the parent it was taken for.
    Parentage {
        /// The parent asked about; its sex tells whether as sire or dam.
        parent: AnimalId,
        /// It is the parent, or it cannot be.
        is: bool,
    },
    /// Any other test, such as for a disease of the breeding stock.
    Other {
        /// What for.
        what: String,
        /// What it showed.
        result: String,
    },
}

impl Tested {
    /// The word for its kind, as stored and in CSV.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Scrapie(_) => "scrapie",
            Self::Recessive { .. } => "recessive",
            Self::Parentage { .. } => "parentage",
            Self::Other { .. } => "other",
        }
    }
}
