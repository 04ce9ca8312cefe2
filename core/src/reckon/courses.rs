//! Courses that are not at their end: the doses that are still to be given.

use crate::flock::{AnimalFile, CoursePart, Flock, Treatment, natural};
use crate::phrase;
use crate::terms::{AnimalId, CourseId, Day, Moment, Status, TreatmentId};

/// A dose of a course that is to be given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenDose {
    /// The animal.
    pub animal: AnimalId,
    /// The last dose that was written: product, batch, amount and route go on from it.
    pub after: TreatmentId,
    /// Which dose it is.
    pub part: CoursePart,
    /// When it is due.
    pub due: Moment,
}

impl OpenDose {
    /// `dose 2 of 3`.
    pub fn words(&self) -> String {
        phrase!("dose {} of {}", self.part.nth, self.part.of)
    }
}

/// So many hours after a dose; without a time of day, so many days as are full.
pub fn next_time(at: Moment, hours: u32) -> Moment {
    crate::entry::after_hours(at, hours)
}

/// The next dose of every course of animals in the flock that has doses to come, those due first in front.
pub fn open_doses(flock: &Flock) -> Vec<OpenDose> {
    let mut all: Vec<OpenDose> = flock
        .present()
        .filter(|f| f.animal.status == Status::Present)
        .flat_map(|f| of_file(f).into_iter())
        .collect();
    all.sort_by(|a, b| {
        a.due
            .cmp(&b.due)
            .then_with(|| natural(flock.tag(a.animal), flock.tag(b.animal)))
            .then(a.animal.cmp(&b.animal))
    });
    all
}

/// The next dose of each course of one animal.
pub fn of_file(f: &AnimalFile) -> Vec<OpenDose> {
    let mut last: Vec<(CourseId, &Treatment, CoursePart)> = Vec::new();
    for t in f.treatments_standing() {
        let Some(part) = t.more.course else { continue };
        match last.iter_mut().find(|(id, ..)| *id == part.id) {
            // The latest dose says how many there are to be: a course is cut short there.
            Some(slot) if part.nth >= slot.2.nth => *slot = (part.id, t, part),
            Some(_) => {}
            None => last.push((part.id, t, part)),
        }
    }
    last.into_iter()
        .filter(|(_, _, part)| part.nth < part.of)
        .map(|(_, t, part)| OpenDose {
            animal: f.animal.id,
            after: t.id,
            part: CoursePart { nth: part.nth + 1, ..part },
            due: next_time(t.at, part.every_hours.into()),
        })
        .collect()
}

/// Of those, the ones due by the end of a day.
pub fn due_by(all: &[OpenDose], day: Day) -> impl Iterator<Item = &OpenDose> {
    all.iter().filter(move |d| d.due.day <= day)
}
