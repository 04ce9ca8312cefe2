//! Who to whom: the exact best set of joinings under caps and least numbers of each ram.

mod assign;
mod pairs;

pub use assign::{FORBIDDEN, Impossible, assign, total};
pub use pairs::{NoPairs, OLD_ENOUGH_DAYS, Pair, RamCap, best_pairs, ewes_to_join};
