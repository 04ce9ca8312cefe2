//! Breed shares through the pedigree, and the section of a registry an animal qualifies for by rules kept as data.

mod grade;
mod rules;
mod share;
#[cfg(test)]
mod tests;

pub use grade::{Grade, Grading};
pub use rules::{Ladder, Section};
pub use share::{Share, Shares, UNKNOWN};
