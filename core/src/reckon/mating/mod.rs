//! Who to whom: the exact best set of joinings under caps and least numbers of each ram, with the reason for each
//! pair, what any change costs, and what follows from it for the flock's blood in the years ahead.

mod ahead;
mod ask;
mod assign;
mod best;
mod hand;
mod pairs;
mod risk;
mod stuck;
mod swaps;
mod table;
#[cfg(test)]
mod tests;
mod told;

pub use ahead::{Ahead, AheadSpec, Band, Course, ahead};
pub use ask::{InTheWay, NoPairs, OLD_ENOUGH_DAYS, PairsAsk, RamCap, Weights, ewes_to_join, rams_to_join};
pub use assign::{FORBIDDEN, Impossible, assign, assign_with, total};
pub use best::{Pair, best_pairs};
pub use pairs::{Alternative, Moved, Pairs, Totals, pairs};
pub use risk::{CarriedGenes, Gene, HandsOn, TestedGenes};
pub use table::{Bar, Terms};
pub use told::{Other, Told, percent};
