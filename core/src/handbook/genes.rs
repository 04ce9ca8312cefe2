//! What is taken of genes nobody tested.

use super::{Fact, HANDBOOK};
use serde::Deserialize;

/// The table `genes`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Genes {
    founder_share: Fact<f64>,
}

/// Share of a faulty gene among ancestors of which nothing is known, 0 to 1.
pub fn founder_share() -> f64 {
    HANDBOOK.genes.founder_share.value
}
