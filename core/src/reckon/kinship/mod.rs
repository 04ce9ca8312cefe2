//! Kinship: inbreeding, coancestry, and what a pedigree says of a flock's blood. Every measure has its formula and
//! source; the worked examples of the tests are those of the printed sources.

mod blood;
mod changed;
mod coancestry;
mod depth;
mod diversity;
mod drop;
mod figures;
mod follow;
mod founders;
mod inbreeding;
mod kindred;
mod lines;
#[cfg(test)]
mod measure_tests;
mod pedigree;
mod sizes;
#[cfg(test)]
mod tests;

pub use blood::Blood;
pub use changed::{Changed, changed, changed_words};
pub use coancestry::Kin;
pub use depth::*;
pub use diversity::*;
pub use drop::*;
pub use figures::*;
pub use founders::*;
pub use inbreeding::{inbreeding, within};
pub use kindred::Kindred;
pub use lines::*;
pub use pedigree::{Circle, NONE, Pedigree};
pub use sizes::*;
