//! The doses of a treatment that belong together: one dose, or those of its course.

use crate::flock::{AnimalFile, Treatment};
use crate::terms::{Day, TreatmentId};

/// A dose with the others of its course, as written up to a day.
#[derive(Debug, Clone)]
pub struct Doses<'a> {
    /// The doses, in order of time; never empty.
    all: Vec<&'a Treatment>,
    /// How many doses of the course are not written.
    to_come: u8,
}

impl<'a> Doses<'a> {
    /// The doses that stand and were given up to a day with this one.
    pub fn of(file: &'a AnimalFile, id: TreatmentId, on: Day) -> Option<Self> {
        let this = file.treatments_standing().find(|t| t.id == id)?;
        let Some(part) = this.more.course else { return Some(Self { all: vec![this], to_come: 0 }) };
        let mine = |t: &&Treatment| t.at.day <= on && t.more.course.is_some_and(|c| c.id == part.id);
        let mut all: Vec<&Treatment> = file.treatments_standing().filter(mine).collect();
        all.sort_by_key(|t| (t.at, t.more.course.map(|c| c.nth)));
        // The latest dose says how many there are.
        let latest = all.iter().filter_map(|t| t.more.course).max_by_key(|c| (c.nth, c.of));
        let to_come = latest.map_or(0, crate::flock::CoursePart::to_come);
        if all.is_empty() { None } else { Some(Self { all, to_come }) }
    }

    /// The doses, in order of time.
    pub fn all(&self) -> &[&'a Treatment] {
        &self.all
    }

    /// The day of the first and of the last dose that is written.
    pub fn days(&self) -> Option<(Day, Day)> {
        Some((self.all.first()?.at.day, self.all.last()?.at.day))
    }

    /// All doses of the course are written.
    pub fn is_complete(&self) -> bool {
        self.to_come == 0
    }

    /// Each of some text of the doses once, in their order.
    pub fn each(&self, of: impl Fn(&Treatment) -> Option<String>) -> Vec<String> {
        let mut found: Vec<String> = Vec::new();
        for text in self.all.iter().filter_map(|t| of(t)) {
            if !text.is_empty() && !found.contains(&text) {
                found.push(text);
            }
        }
        found
    }
}
