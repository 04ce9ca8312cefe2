//! Clearance in words.

use super::{Clear, Clearance, Side};
use crate::phrase;
use crate::terms::Day;

impl Clear {
    /// As in CSV: a day, `unknown`, `never`, or nothing.
    pub fn text(&self) -> String {
        match self {
            Self::Free => String::new(),
            Self::From(day) => day.to_string(),
            Self::Unknown => phrase!("unknown"),
            Self::Never => phrase!("never"),
        }
    }

    /// As people read it.
    pub fn words(&self) -> String {
        match self {
            Self::Free => phrase!("nothing given"),
            Self::From(day) => phrase!("clear {}", day.words()),
            Self::Unknown => phrase!("unknown, not clear"),
            Self::Never => phrase!("never"),
        }
    }
}

impl Side {
    /// `iodine 7 %, given 3 Apr 2026`; of a course with doses to come also `last dose planned 5 Apr 2026`, and of one
    /// that was given out early the day it is counted from.
    pub fn because(&self) -> String {
        let Some(day) = self.given else { return String::new() };
        match (self.planned, self.finished) {
            (Some(planned), Some(last)) if planned > last => {
                phrase!("{}, given {day}, last dose {last}, counted from {planned}", self.product)
            }
            (Some(_), Some(last)) => phrase!("{}, given {day}, last dose {last}", self.product),
            (Some(planned), None) => phrase!("{}, given {day}, last dose planned {planned}", self.product),
            (None, _) => phrase!("{}, given {day}", self.product),
        }
    }

    /// What follows the first dose of a course, to be read after it: a comma and the last one as it was given or is
    /// planned; nothing of a single dose.
    fn last_dose(&self, on: Day) -> String {
        let Some(planned) = self.planned else { return String::new() };
        match self.finished {
            Some(last) if planned > last => {
                phrase!(", last dose {}, counted from {}", last.words(), planned.words())
            }
            Some(last) => phrase!(", last dose {}", last.words()),
            None if planned < on => phrase!(", last dose planned {}, not written", planned.words()),
            None => phrase!(", last dose planned {}", planned.words()),
        }
    }

    /// Which milking is the first that may be used, where the hour of the dose is known and the period has not
    /// run out: every milking up to the end of the period is poured away (the note of the European Medicines Agency
    /// on milk, seen through a second page). Lists go by whole days.
    pub fn milking(&self, on: Day) -> Option<String> {
        let end = self.ends.filter(|_| self.timed && !self.clear.is_clear(on))?;
        let time = end.time?;
        Some(phrase!("pour away every milking up to {time} on {}", end.day.words()))
    }
}

impl Clearance {
    /// `iodine 7 %, given 3 Apr 2026` for the side that decides; empty when nothing was given.
    pub fn because(&self) -> String {
        let mut side = &self.meat;
        for other in [&self.milk, &self.export] {
            if other.clear.rank() > side.clear.rank() {
                side = other;
            }
        }
        side.because()
    }

    /// Short words for a row: `meat until 4 May`, `meat and milk until 4 May`, nothing when clear. Export is said
    /// where it differs from meat.
    pub fn held_words(&self, on: Day) -> String {
        let side = |name: &'static str, s: &Side| match &s.clear {
            c if c.is_clear(on) => None,
            Clear::From(day) => Some(phrase!("{name} clear {}", day.short())),
            Clear::Unknown => Some(phrase!("{name}: period unknown")),
            Clear::Never => Some(phrase!("{name}: never")),
            Clear::Free => None,
        };
        let both = self.meat.clear == self.milk.clear;
        let apart = self.export.clear != self.meat.clear;
        let parts = [
            side(if both { "meat and milk" } else { "meat" }, &self.meat),
            side("milk", &self.milk).filter(|_| !both),
            side("export", &self.export).filter(|_| apart),
        ];
        parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
    }

    /// What is to be told with an animal that leaves: meat, milk and export apart, each with its product, in whole
    /// sentences; nothing when all is clear. `milks` is false for one that gives no milk.
    pub fn to_be_told(&self, on: Day, milks: bool) -> Vec<String> {
        let one = |name: &'static str, s: &Side| {
            let until = match &s.clear {
                c if c.is_clear(on) => return None,
                Clear::From(day) => phrase!("not before {}", day.words()),
                Clear::Unknown => phrase!("not until the period is known"),
                Clear::Never => phrase!("never"),
                Clear::Free => return None,
            };
            let given = s.given.map(|d| phrase!(", given {}", d.words())).unwrap_or_default();
            Some(phrase!("{name}: {until} ({}{given}{})", s.product, s.last_dose(on)))
        };
        let apart = self.export.clear != self.meat.clear;
        let all = [
            one("meat", &self.meat),
            one("milk", &self.milk).filter(|_| milks),
            one("meat for export", &self.export).filter(|_| apart),
        ];
        all.into_iter().flatten().collect()
    }
}
