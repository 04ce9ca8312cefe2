//! Jobs of the care plan ticked, skipped or put off.

use super::Struck;
use crate::terms::{AnimalId, Day, Moment, TickId, Words};

/// What became of a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Outcome {
    /// It was done.
    Done,
    /// It is not to be done.
    Skipped,
    /// It is put off until this day.
    PutOff(Day),
}

impl Outcome {
    /// What was done with the job.
    pub fn did(self) -> &'static str {
        match self {
            Self::Done => "Done",
            Self::Skipped => "Left out",
            Self::PutOff(_) => "Put off",
        }
    }
}

/// A job of the care plan ticked off, skipped or put off for one animal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tick {
    /// Its id.
    pub id: TickId,
    /// The animal.
    pub animal: AnimalId,
    /// Key of the step.
    pub step: Words,
    /// The day the step's times were counted from when it was ticked.
    pub anchor: Day,
    /// Which time, of a step done again and again; 0 is the first.
    pub round: u16,
    /// What became of it.
    pub outcome: Outcome,
    /// When.
    pub at: Moment,
    /// What was seen, or why it was skipped or put off.
    pub note: Option<Words>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}
