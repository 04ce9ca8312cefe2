//! The care plan: what is to be done for each kind of animal, when, for whom, and what completes it.
//!
//! Shipped as data (`resources/care/`) and changed by the keeper step by step, for every season or for one. Knows no
//! flock, no files and no clock: [`crate::reckon::due`] makes jobs of it.

mod check;
#[cfg(test)]
mod props;
mod row;
mod span;
mod step;
#[cfg(test)]
mod tests;
mod words;

pub use check::{faults, fits, key_for};
pub use span::Span;
pub use step::{Anchor, DoneBy, RearedBy, Repeat, Step, Times, Variant, When, Whom};

use crate::handbook::shipped;
use crate::terms::{PlanStepId, Why};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};

/// A step as the keeper changed or added it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanStep {
    /// Its id.
    pub id: PlanStepId,
    /// Only for anchors of this year; none is for every year.
    pub season: Option<i32>,
    /// The whole step as it is to be.
    pub step: Step,
}

/// The steps as they stand: shipped, with the keeper's changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    base: Arc<[Arc<Step>]>,
    seasons: BTreeMap<i32, Arc<[Arc<Step>]>>,
    changes: Vec<PlanStep>,
}

impl Default for Plan {
    fn default() -> Self {
        Self { base: Arc::clone(&SHIPPED), seasons: BTreeMap::new(), changes: Vec::new() }
    }
}

impl Plan {
    /// The shipped plan with these changes.
    pub fn with(changes: Vec<PlanStep>) -> Self {
        let base = merged(&SHIPPED, changes.iter().filter(|c| c.season.is_none()));
        let mut years: Vec<i32> = changes.iter().filter_map(|c| c.season).collect();
        years.sort_unstable();
        years.dedup();
        let seasons = years
            .into_iter()
            .map(|year| (year, merged(&base, changes.iter().filter(|c| c.season == Some(year)))))
            .collect();
        Self { base, seasons, changes }
    }

    /// Every step for anchors of a year, those that are off included, in order.
    pub fn steps(&self, season: i32) -> &[Arc<Step>] {
        self.seasons.get(&season).unwrap_or(&self.base)
    }

    /// A step of a year by its key.
    pub fn step(&self, season: i32, key: &str) -> Option<&Arc<Step>> {
        self.steps(season).iter().find(|s| s.key == key)
    }

    /// What the caution of a step stands on: as it says itself, or as it is shipped.
    pub fn reason(step: &Step) -> Option<Why> {
        let shipped = || SHIPPED.iter().find(|s| s.key == step.key).and_then(|s| s.why);
        step.caution.as_ref().and_then(|_| step.why.or_else(shipped))
    }

    /// The step of this key as it is shipped, where the keeper changed its times or conditions but not what it is
    /// counted from nor what completes it.
    pub(crate) fn shipped(&self, place: usize, step: &Arc<Step>) -> Option<&'static Arc<Step>> {
        let was = SHIPPED.get(place)?;
        let same = was.key == step.key && was.anchor == step.anchor && was.done_by == step.done_by;
        (same && !Arc::ptr_eq(was, step)).then_some(was)
    }

    /// Every step of every year with its place in that year.
    pub(crate) fn all_placed(&self) -> impl Iterator<Item = (usize, &Arc<Step>)> {
        std::iter::once(&self.base).chain(self.seasons.values()).flat_map(|s| s.iter().enumerate())
    }

    /// A step as it stands for one year, or for every year, by its key.
    pub fn standing(&self, season: Option<i32>, key: &str) -> Option<&Arc<Step>> {
        match season {
            Some(year) => self.step(year, key),
            None => self.base.iter().find(|s| s.key == key),
        }
    }

    /// Every step of every year.
    pub fn all(&self) -> impl Iterator<Item = &Arc<Step>> {
        self.base.iter().chain(self.seasons.values().flat_map(|s| s.iter()))
    }

    /// What the keeper changed.
    pub fn changes(&self) -> &[PlanStep] {
        &self.changes
    }

    /// The keeper's change of a step for one year, or for every year.
    pub fn change(&self, season: Option<i32>, key: &str) -> Option<&PlanStep> {
        self.changes.iter().find(|c| c.season == season && c.step.key == key)
    }
}

/// The steps with some replaced, and those of the keeper's own at the end.
fn merged<'a>(steps: &Arc<[Arc<Step>]>, changes: impl Iterator<Item = &'a PlanStep>) -> Arc<[Arc<Step>]> {
    let mut all: Vec<Arc<Step>> = steps.to_vec();
    let mut any = false;
    for c in changes {
        any = true;
        let step = Arc::new(c.step.clone());
        match all.iter_mut().find(|s| s.key == step.key) {
            Some(s) => *s = step,
            None => all.push(step),
        }
    }
    if any { all.into() } else { Arc::clone(steps) }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    plan: Head,
    step: Vec<Step>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Head {
    version: u32,
    source: String,
}

/// A kind of treatment a step can ask for.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Kind {
    /// Words looked for in product, substance and reason.
    pub words: Vec<String>,
    /// What the words stand on.
    pub source: String,
}

static FILES: LazyLock<[File; 3]> = LazyLock::new(|| {
    [
        shipped("care/lamb.toml", include_str!("../../../resources/care/lamb.toml")),
        shipped("care/ewe.toml", include_str!("../../../resources/care/ewe.toml")),
        shipped("care/ram.toml", include_str!("../../../resources/care/ram.toml")),
    ]
});

static SHIPPED: LazyLock<Arc<[Arc<Step>]>> =
    LazyLock::new(|| FILES.iter().flat_map(|f| f.step.iter()).map(|s| Arc::new(s.clone())).collect());

/// The steps as they are shipped.
pub fn shipped_steps() -> &'static [Arc<Step>] {
    &SHIPPED
}

/// The version of the shipped plans, the highest of the three, and what they stand on as a whole.
pub fn shipped_version() -> (u32, &'static str) {
    let newest = FILES.iter().max_by_key(|f| f.plan.version);
    newest.map_or((0, ""), |f| (f.plan.version, f.plan.source.as_str()))
}

static KINDS: LazyLock<BTreeMap<String, Kind>> =
    LazyLock::new(|| shipped("care/kinds.toml", include_str!("../../../resources/care/kinds.toml")));

/// The kinds of treatment a step can ask for, by name.
pub fn kinds() -> impl Iterator<Item = (&'static str, &'static Kind)> {
    KINDS.iter().map(|(name, kind)| (name.as_str(), kind))
}

/// Whether a treatment is of a kind, by the words of its product, its substance and its reason. The empty kind is any.
pub fn is_of_kind<'a>(kind: &str, words: impl IntoIterator<Item = &'a str>) -> bool {
    if kind.is_empty() {
        return true;
    }
    let Some(sought) = KINDS.get(kind) else { return false };
    words.into_iter().any(|w| {
        let w = w.to_lowercase();
        sought.words.iter().any(|s| w.contains(s.as_str()))
    })
}
