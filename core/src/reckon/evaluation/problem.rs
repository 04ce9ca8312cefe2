//! A linear mixed model as numbers: what the records are, and what each depends on.

use crate::reckon::kinship::Pedigree;
use std::sync::Arc;

/// A fixed effect with levels: sex, birth and rearing type, age of the ewe, contemporary group.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Factor {
    /// What it is, in words.
    pub name: String,
    /// Its levels in words.
    pub levels: Vec<String>,
    /// The level of each record.
    pub of: Vec<u32>,
}

/// A random effect: the level each record has, or none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Effect {
    /// What it is, in words: animal, dam, litter, permanent.
    pub name: String,
    /// The level of each record; an animal's place in the pedigree where the block follows it.
    pub of: Vec<Option<u32>>,
}

/// Random effects over the same levels whose values vary together: animal alone, or direct with maternal.
#[derive(Debug, Clone)]
pub struct Block {
    /// Its effects.
    pub effects: Vec<Effect>,
    /// Variances and covariances of its effects, row by row, in squared units of the records.
    pub variance: Vec<f64>,
    /// How many levels.
    pub levels: usize,
    /// Levels are the animals of this pedigree and related through it; none where levels are independent.
    pub pedigree: Option<Arc<Pedigree>>,
}

/// Records and what they depend on.
#[derive(Debug, Clone)]
pub struct Problem {
    /// The records, in their unit.
    pub records: Vec<f64>,
    /// Fixed effects. There is no mean beside them: without any factor the mean is fitted alone.
    pub fixed: Vec<Factor>,
    /// Fixed slopes: a value for each record (age at weighing).
    pub slopes: Vec<(String, Vec<f64>)>,
    /// Random effects.
    pub blocks: Vec<Block>,
    /// Residual variance, in squared units of the records.
    pub residual: f64,
}

/// Why a model cannot be reckoned; the words tell the keeper what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Unfit {
    /// No record is left.
    #[error("no record can be used: {0}")]
    NoRecords(String),
    /// Too few records or animals for what was asked.
    #[error("{0}")]
    TooFew(String),
    /// A variance that is none, or a matrix of variances that cannot be.
    #[error("{0}")]
    Variance(String),
    /// The pedigree runs in a circle.
    #[error("the pedigree runs in a circle, so nothing can be reckoned on it: mend it under Blood, Doubts")]
    Circle,
    /// The equations gave no answer.
    #[error("{0}")]
    NoAnswer(String),
    /// Stopped by the keeper.
    #[error("stopped")]
    Stopped,
    /// What was asked does not go together.
    #[error("{0}")]
    Asked(String),
}
