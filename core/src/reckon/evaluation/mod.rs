//! Breeding values within one flock: best linear unbiased prediction on the pedigree (Henderson 1973; Mrode,
//! Linear Models for the Prediction of Animal Breeding Values), with their accuracies.

mod problem;
mod variance;

pub use problem::{Block, Effect, Factor, Problem, Unfit};
pub use variance::{Basis, Component, DENSE_MOST, Fitted, Ratio, Reml, basis, enough, reml};
