//! The handbook: facts and bounds of sheep keeping, each with its source, read once from the tables in `resources/`.
//!
//! Knows numbers and their grounds; no flock, no files, no clock. A row nobody reads is refused when the table is read,
//! so what is shipped is used.

pub mod antibiotics;
pub mod curves;
pub mod dosing;
pub mod feeds;
pub mod first_days;
pub mod genes;
pub mod gestation;
mod ground;
pub mod growth;
pub mod heritability;
pub mod lambing;
pub mod spring;
pub mod stock;
#[cfg(test)]
mod tests;
pub mod trade;
pub mod tupping;
pub mod watch;
pub mod worms;

pub(crate) use ground::Marked;
pub use ground::{Fact, Ground};

use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::sync::LazyLock;

/// The tables of `handbook.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Handbook {
    gestation: gestation::Gestation,
    tupping: tupping::Tupping,
    lambing: lambing::Lambing,
    watch: watch::Watch,
    growth: growth::Growth,
    dosing: dosing::Dosing,
    worms: worms::Worms,
    antibiotics: antibiotics::Antibiotics,
    stock: stock::Stock,
    genes: genes::Genes,
    curves: curves::Curves,
    spring: spring::Spring,
}

static HANDBOOK: LazyLock<Handbook> =
    LazyLock::new(|| shipped("handbook.toml", include_str!("../../../resources/handbook.toml")));

/// A row that the program needs of a table it was shipped with.
///
/// # Panics
/// When the row is not there. The tests read every such row, so no keeper can meet that.
pub(crate) fn needed<T>(what: &str, row: Option<T>) -> T {
    row.unwrap_or_else(|| panic!("resources: {what} is not there"))
}

/// Reads a table that is part of the program.
///
/// # Panics
/// When the table is broken. It was compiled in and the tests read it, so no keeper can meet that.
pub(crate) fn shipped<T: DeserializeOwned>(name: &str, text: &str) -> T {
    toml::from_str(text).unwrap_or_else(|e| panic!("resources/{name}: {e}"))
}

/// What was read of a part of the program.
///
/// # Panics
/// When it could not be read. It was compiled in and the tests read it, so no keeper can meet that.
pub(crate) fn sound<T>(name: &str, read: Result<T, String>) -> T {
    read.unwrap_or_else(|e| panic!("resources/{name}: {e}"))
}
