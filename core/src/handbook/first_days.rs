//! Jobs of a lamb's first days: when each is too early, due and overdue.

use super::{Ground, Marked, shipped};
use serde::Deserialize;
use std::sync::LazyLock;

/// When a job is to be done, in minutes from birth.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "Row")]
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

/// The table `care/first_days.toml`, one row a job.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FirstDays {
    pub(crate) navel: Times,
    pub(crate) navel_again: Times,
    pub(crate) suck: Times,
    pub(crate) weigh_again: Times,
    pub(crate) tag: Times,
    pub(crate) eyelids: Times,
    pub(crate) dock: Times,
    pub(crate) castrate: Times,
    pub(crate) turn_out: Times,
    pub(crate) creep: Times,
}

impl FirstDays {
    /// Every job by the name of its row, in the order they come.
    pub fn all(&self) -> [(&'static str, &Times); 10] {
        [
            ("navel", &self.navel),
            ("navel_again", &self.navel_again),
            ("suck", &self.suck),
            ("weigh_again", &self.weigh_again),
            ("tag", &self.tag),
            ("eyelids", &self.eyelids),
            ("dock", &self.dock),
            ("castrate", &self.castrate),
            ("turn_out", &self.turn_out),
            ("creep", &self.creep),
        ]
    }
}

static FIRST_DAYS: LazyLock<FirstDays> = LazyLock::new(|| {
    shipped("care/first_days.toml", include_str!("../../../resources/care/first_days.toml"))
});

/// The jobs of the first days.
pub fn first_days() -> &'static FirstDays {
    &FIRST_DAYS
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    earliest_h: f64,
    due_h: f64,
    late_h: Option<f64>,
    source: String,
    seen: Option<bool>,
}

impl TryFrom<Row> for Times {
    type Error = String;

    fn try_from(row: Row) -> Result<Self, String> {
        let minutes = |hours: f64| (hours * 60.0).round() as i64;
        let (earliest, due, late) = (minutes(row.earliest_h), minutes(row.due_h), row.late_h.map(minutes));
        if earliest < 0 || due < earliest || late.is_some_and(|late| late < due) {
            return Err("earliest, due and late do not follow one another".into());
        }
        let ground = Marked::new(row.source, row.seen).ground()?;
        Ok(Self { earliest, due, late, ground })
    }
}
