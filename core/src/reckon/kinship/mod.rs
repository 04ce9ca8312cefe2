//! Kinship: inbreeding, coancestry, and what a pedigree says of a flock's blood. Every measure has its formula and
//! source; the worked examples of the tests are those of the printed sources.

mod blood;
mod changed;
mod coancestry;
mod inbreeding;
mod kindred;
mod measures;
mod pedigree;
#[cfg(test)]
mod tests;

pub use blood::Blood;
pub use changed::{Changed, changed, changed_words};
pub use coancestry::Kin;
pub use inbreeding::{inbreeding, within};
pub use kindred::Kindred;
pub use measures::*;
pub use pedigree::{Circle, NONE, Pedigree};
