//! Breeding values within one flock: best linear unbiased prediction on the pedigree (Henderson 1973; Mrode,
//! Linear Models for the Prediction of Animal Breeding Values), with their accuracies.
//!
//! A [`Problem`] holds the records as numbers; [`Frame`] looks them over once and gives Henderson's equations for any
//! variances; [`Factored`] is their sparse Cholesky factor with solutions, the logarithm of the determinant and the
//! inverse on the factor's own pattern. [`predict`] puts these together. [`evaluate`] makes the problem from a flock and
//! tells every animal's value.

mod accuracy;
mod approximate;
mod columns;
mod equations;
mod factor;
mod gather;
mod index;
mod inverse;
mod models;
mod own;
mod predict;
mod problem;
mod rank;
mod solve;
mod spoken;
mod told;
mod variance;

pub use accuracy::reliabilities;
pub use approximate::approximate;
pub use columns::Dropped;
pub use equations::{Equations, Frame, Placed, Symmetric, Weights, variances};
pub use factor::{Factored, Order, Selected};
pub use gather::{Gathered, Record, records};
pub use index::{Placed as PlacedAnimal, Rank, accuracy_word, placed, scores, weights, with_weights};
pub use inverse::Relationship;
pub use models::{Modelled, Shares, model, spread};
pub use own::{Own, own};
pub use predict::{Bounds, Predicted, predict};
pub use problem::{Block, Effect, Factor, Problem, Unfit};
pub use rank::{best_quarter, normal_below};
pub use solve::{LEFT, Method, Solution, by_cholesky, by_gradients};
pub use spoken::{FixedBy, Model, Trait};
pub use told::{Ask, Estimate, Evaluation, FixedValue, Valued, evaluate};
pub use variance::{Basis, Component, Fitted, MOST, Ratio, Reml, basis, enough, reml};
