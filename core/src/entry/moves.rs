//! Comings and goings of the past, as a register has them.

use super::standing::before_birth;
use super::{Check, Entry, Faults, Field, Refused, words};
use crate::flock::{Flock, MoveDetails, Movement};
use crate::terms::{AnimalId, Day, MovementId, Status};
use std::collections::HashSet;

/// One line of a register.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MovementDraft {
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
    /// What the registers ask of it.
    pub details: MoveDetails,
}

impl MovementDraft {
    /// It says the same as this record.
    pub(crate) fn is(&self, m: &Movement) -> bool {
        self.is_of(m)
            && self.other.as_deref() == m.other.as_deref()
            && self.reason.as_deref() == m.reason.as_deref()
            && self.details == *m.details
    }

    /// The same animal, day and standing.
    fn is_of(&self, m: &Movement) -> bool {
        (m.animal, m.on, m.to) == (self.animal, self.on, self.to)
    }

    /// It may fill in this record: nothing that stands there is said otherwise.
    fn fills(&self, m: &Movement) -> bool {
        self.is_of(m)
            && m.other.is_none()
            && m.details.is_empty()
            && (m.reason.as_deref() == self.reason.as_deref() || m.reason.is_none())
    }
}

/// Checks lines of a register, in any order; rows of faults count the drafts. The standing that came into the book
/// with its animal is filled in, not written twice; an animal stands as its last line says.
///
/// # Errors
/// Every refusal with its row.
pub fn movements(drafts: Vec<MovementDraft>, flock: &Flock, today: Day) -> Check {
    movements_beside(drafts, HashSet::new(), flock, today)
}

/// The same, beside records that other lines of the register were found to be: none of them is filled in.
pub(crate) fn movements_beside(
    drafts: Vec<MovementDraft>,
    mut filled: HashSet<MovementId>,
    flock: &Flock,
    today: Day,
) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    let mut all: Vec<Movement> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let Some(f) = flock.file(d.animal) else {
            faults.refuse(Field::row("tag", row), Refused::Gone);
            continue;
        };
        before_birth(&mut faults, Field::row("on", row), &f.animal, d.on);
        let known = f.movements.iter().filter(|m| m.struck.is_none() && !filled.contains(&m.id));
        let known = known.into_iter().find(|m| d.fills(m)).map(|m| m.id);
        if let Some(id) = known {
            filled.insert(id);
            // Lines of the same day before this one come before it in the book too.
            for (n, m) in all.iter_mut().filter(|m| m.animal == d.animal && m.on == d.on).rev().enumerate() {
                m.id = before(id, n as u64 + 1);
            }
        }
        all.push(Movement {
            id: known.unwrap_or_else(MovementId::new),
            animal: d.animal,
            on: d.on,
            to: d.to,
            other: words(&d.other),
            reason: words(&d.reason),
            details: d.details.tidy().into(),
            struck: None,
        });
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => format!("{} {}", flock.tag(one.animal), one.to.words()),
            many => format!("{} movements", many.len()),
        };
        (Entry::Movements(all), sentence)
    })
}

/// A new id that was made so many milliseconds before another (UUID version 7: the first 48 bits count them).
fn before(id: MovementId, millis: u64) -> MovementId {
    let (old, mut new) = (id.bytes(), MovementId::new().bytes());
    let made = old[..6].iter().fold(0u64, |n, b| n << 8 | u64::from(*b)).saturating_sub(millis);
    new[..6].copy_from_slice(&made.to_be_bytes()[2..]);
    MovementId::from_bytes(new)
}
