//! Figures of the flock season by season, whole and split by age of ewe, ram, breed and group, each with its base: a
//! bare percentage tells nothing. What the bases are is a setting, since the sources differ ([`Settings`]).
//!
//! A season is named by the year of its lambings. A fostered lamb is born to its dam and reared by the foster ewe; a
//! bottle lamb is weaned and reared by no ewe.

mod gather;
mod money;
mod settings;
mod tally;
#[cfg(test)]
mod tests;
mod what;
mod years;

pub use gather::{Band, Came, CauseAt, EweLine, LambLine, Left, Loss, Season, season_of};
pub use money::Purse;
pub use settings::{Cause, LossOf, Range, Settings};
pub use tally::{By, Part, Tally, is_exposed};
pub use what::{Figure, Unit, What, figure};
pub use years::{Compared, Milk, Weights, Years};
