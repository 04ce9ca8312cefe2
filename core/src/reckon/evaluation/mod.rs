//! Breeding values within one flock: best linear unbiased prediction on the pedigree (Henderson 1973; Mrode,
//! Linear Models for the Prediction of Animal Breeding Values), with their accuracies.
//!
//! A [`Problem`] holds the records as numbers; [`Frame`] looks them over once and gives Henderson's equations for any
//! variances; [`Factored`] is their sparse Cholesky factor with solutions, the logarithm of the determinant and the
//! inverse on the factor's own pattern.

mod columns;
mod equations;
mod factor;
mod inverse;
mod problem;
mod solve;
mod variance;

pub use columns::Dropped;
pub use equations::{Equations, Frame, Placed, Symmetric, Weights, variances};
pub use factor::{Factored, Order, Selected};
pub use inverse::Relationship;
pub use problem::{Block, Effect, Factor, Problem, Unfit};
pub use solve::{LEFT, Method, Solution, by_cholesky, by_gradients};
pub use variance::{Basis, Component, Fitted, MOST, Ratio, Reml, basis, enough, reml};
