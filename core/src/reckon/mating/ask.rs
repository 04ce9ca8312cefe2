//! The question: which ewes, which rams, what must be and must not be, and what counts how much.

use super::risk::HandsOn;
use crate::flock::{Flock, natural};
use crate::phrase;
use crate::terms::{AnimalId, Day, Sex, Status};
use rapidhash::RapidHashMap;
use std::sync::Arc;

/// An animal under so many days is too young to be joined (seven months: common practice, no source).
pub const OLD_ENOUGH_DAYS: i64 = 210;

/// A ram with how many ewes he may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RamCap {
    /// The ram.
    pub ram: AnimalId,
    /// At most.
    pub most: usize,
    /// At least.
    pub least: usize,
}

/// What counts how much. The measure of all is the inbreeding of the lamb: a cost of 0.01 weighs as much as one
/// percent of inbreeding at weight 1. Each weight is held between 0 and [`Weights::MOST`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// Of the kinship of the pair, which is the inbreeding of their lamb.
    pub kinship: f64,
    /// Of the mean kinship of the lamb with the flock now, the mean of its parents' own: favours rare blood.
    pub rare: f64,
    /// Of breeding values: at 1 one standard deviation of the parents' mean weighs as much as one percent.
    pub value: f64,
    /// Of the probability of an affected lamb.
    pub risk: f64,
    /// Of each word both parents bear: at 1 it weighs as much as one percent.
    pub alike: f64,
}

impl Weights {
    /// No weight counts more.
    pub const MOST: f64 = 16.0;

    /// Kinship of the pair alone.
    pub const KINSHIP: Self = Self { kinship: 1.0, rare: 0.0, value: 0.0, risk: 0.0, alike: 0.0 };

    /// The same, each held within bounds; what is no number counts nothing.
    pub(super) fn held(self) -> Self {
        let hold = |w: f64| if w.is_finite() { w.clamp(0.0, Self::MOST) } else { 0.0 };
        Self {
            kinship: hold(self.kinship),
            rare: hold(self.rare),
            value: hold(self.value),
            risk: hold(self.risk),
            alike: hold(self.alike),
        }
    }
}

impl Default for Weights {
    /// Kinship first, rare blood a little, an affected lamb in four as bad as a lamb of full sibs.
    fn default() -> Self {
        Self { kinship: 1.0, rare: 0.5, value: 0.0, risk: 1.0, alike: 2.0 }
    }
}

/// The whole question.
#[derive(Debug, Clone, Default)]
pub struct PairsAsk {
    /// The ewes to be joined.
    pub ewes: Vec<AnimalId>,
    /// The rams, each with how many ewes he may have.
    pub rams: Vec<RamCap>,
    /// Pairs that must not be: ewe and ram.
    pub forbid: Vec<(AnimalId, AnimalId)>,
    /// Pairs that must be: ewe and ram. They may be over the limit.
    pub keep: Vec<(AnimalId, AnimalId)>,
    /// No lamb is to be more inbred than this (0 to 1).
    pub limit: Option<f64>,
    /// What counts how much.
    pub weights: Weights,
    /// Breeding values, higher is better; an animal without one counts as the mean.
    pub values: RapidHashMap<AnimalId, f64>,
    /// Who hands on what; without it no risk is reckoned.
    pub risk: Option<Arc<dyn HandsOn>>,
    /// Words of colour, marks or note that two of a pair should not both bear.
    pub words: Vec<String>,
}

impl PairsAsk {
    /// Least inbreeding of the lambs and nothing else.
    pub fn plain(ewes: &[AnimalId], rams: &[RamCap]) -> Self {
        Self { ewes: ewes.to_vec(), rams: rams.to_vec(), weights: Weights::KINSHIP, ..Self::default() }
    }
}

/// Who stands in the way of any answer, and how to make room.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InTheWay {
    /// The ewe.
    pub ewe: Option<AnimalId>,
    /// The ram.
    pub ram: Option<AnimalId>,
    /// What cannot be, and what to do.
    pub words: String,
}

/// Why there is no proposal.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoPairs {
    /// The pedigree is not one.
    #[error("the pedigree runs in a circle through {}: mend one parent first", .0.join(", child of "))]
    Circle(Vec<String>),
    /// There is nobody to join.
    #[error("there is no {0} to join: choose some")]
    Nobody(&'static str),
    /// The rams may not have so many ewes.
    #[error("{ewes} ewes are more than the rams may have together ({most}): raise a cap or leave ewes out")]
    TooFew {
        /// Ewes.
        ewes: usize,
        /// All caps together.
        most: usize,
    },
    /// Limits that cannot be kept together.
    #[error("{}", several(.0))]
    Cannot(Vec<InTheWay>),
    /// The work was stopped.
    #[error("stopped before there was an answer")]
    Stopped,
}

fn several(all: &[InTheWay]) -> String {
    let mut words: Vec<&str> = all.iter().take(4).map(|w| w.words.as_str()).collect();
    let more = all.len().saturating_sub(words.len());
    let rest = phrase!("and {more} more");
    if more > 0 {
        words.push(&rest);
    }
    words.join("; ")
}

/// Animals of the flock of a sex that may be joined on a day, by tag.
fn grown(flock: &Flock, sex: Sex, on: Day) -> Vec<AnimalId> {
    let old = |a: &crate::flock::Animal| a.age_days(on).is_none_or(|d| d >= OLD_ENOUGH_DAYS);
    let mut all: Vec<_> = flock
        .files()
        .map(|f| &f.animal)
        .filter(|a| a.sex == sex && a.status == Status::Present && old(a))
        .collect();
    all.sort_by(|a, b| natural(a.tag(), b.tag()).then(a.id.cmp(&b.id)));
    all.into_iter().map(|a| a.id).collect()
}

/// Ewes of the flock that may be joined on a day, by tag.
pub fn ewes_to_join(flock: &Flock, on: Day) -> Vec<AnimalId> {
    grown(flock, Sex::Ewe, on)
}

/// Rams of the flock that may be joined on a day, by tag.
pub fn rams_to_join(flock: &Flock, on: Day) -> Vec<AnimalId> {
    grown(flock, Sex::Ram, on)
}
