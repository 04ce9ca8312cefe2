//! Changes of standing: who came, left, died, and what the registers ask of it.

use super::{Blank, Seldom, Struck};
use crate::terms::{AnimalId, Day, MovementId, Status, Words};

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
    pub other: Option<Words>,
    /// Why.
    pub reason: Option<Words>,
    /// What the registers ask of a move or a death.
    pub details: Seldom<MoveDetails>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// What the registers ask of a move or a death.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct MoveDetails {
    /// Official number of the other place.
    pub number: Option<Words>,
    /// Address of the other place.
    pub address: Option<Words>,
    /// Who carried them.
    pub carrier: Option<Words>,
    /// The vehicle's number.
    pub vehicle: Option<Words>,
    /// Number of the movement document.
    pub document: Option<Words>,
    /// Cause of death.
    pub cause: Option<Words>,
    /// How and where the body was disposed of.
    pub disposal: Option<Words>,
    /// Number of the receipt for it.
    pub receipt: Option<Words>,
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
            *field = field.take().map(|w| Words::from(w.trim())).filter(|w| !w.is_empty());
        }
        self
    }
}

impl Blank for MoveDetails {
    fn blank() -> &'static Self {
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
        &NONE
    }
}
