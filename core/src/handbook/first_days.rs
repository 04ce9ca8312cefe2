//! Jobs of a lamb's first days as its card offers them: when each is too early, due and overdue. They are steps of the
//! shipped care plan.

use super::{Ground, needed};
use crate::phrase;
use crate::plan::{Step, shipped_steps};
use std::sync::LazyLock;

/// When a job is to be done, in minutes from birth.
#[derive(Debug, Clone, PartialEq)]
pub struct Times {
    /// Before this it is too early.
    pub earliest: i64,
    /// From then on it is a job.
    pub due: i64,
    /// After this it is overdue; none where the rule set of the place sets the end.
    pub late: Option<i64>,
    /// What the times stand on.
    pub ground: Ground,
}

impl From<&Step> for Times {
    fn from(step: &Step) -> Self {
        Self {
            earliest: step.times.earliest.in_minutes(),
            due: step.times.due.in_minutes(),
            late: step.times.late.map(|l| l.in_minutes()),
            ground: step.ground.clone(),
        }
    }
}

/// The keys of the jobs on a card, in the order they come.
pub const KEYS: [&str; 10] = [
    "navel",
    "navel_again",
    "suck",
    "weigh_again",
    "tag",
    "eyelids",
    "dock",
    "castrate",
    "turn_out",
    "creep",
];

static FIRST_DAYS: LazyLock<[Times; 10]> = LazyLock::new(|| KEYS.map(times));

fn times(key: &str) -> Times {
    let step = shipped_steps().iter().find(|s| s.key == key);
    Times::from(&**needed(&phrase!("the step '{key}' of a lamb's plan"), step))
}

/// The times of the jobs of the first days, in the order of [`KEYS`].
pub fn first_days() -> &'static [Times; 10] {
    &FIRST_DAYS
}
