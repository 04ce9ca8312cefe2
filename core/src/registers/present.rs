//! Who was in the flock on a day.

use crate::flock::{AnimalFile, Movement};
use crate::terms::{Day, Fate, Status};

/// Movements that stand, in order of time.
fn standing(file: &AnimalFile) -> impl DoubleEndedIterator<Item = &Movement> {
    file.movements.iter().filter(|m| m.struck.is_none())
}

/// An animal's standing at the end of a day; none before it was born or came, and for one that never was in the flock.
///
/// The last standing written up to that day holds. Before the first one the animal was there since its birth, unless
/// that first one is its coming into the flock.
pub fn standing_on(file: &AnimalFile, on: Day) -> Option<Status> {
    let born = file.animal.born.earliest();
    if born.is_some_and(|b| b > on) {
        return None;
    }
    if let Some(last) = standing(file).rfind(|m| m.on <= on) {
        return Some(last.to);
    }
    if file.birth.as_ref().is_some_and(|b| b.fate == Fate::BornDead) {
        return Some(Status::Dead);
    }
    match standing(file).next() {
        Some(first) if first.to == Status::Present => None,
        Some(_) => Some(Status::Present),
        // Without a movement the standing has no day: one in the flock is there, of the others nothing is known.
        None => (file.animal.status == Status::Present).then_some(Status::Present),
    }
}

/// Whether an animal was in the flock at the end of a day.
pub fn present_on(file: &AnimalFile, on: Day) -> bool {
    standing_on(file, on) == Some(Status::Present)
}
