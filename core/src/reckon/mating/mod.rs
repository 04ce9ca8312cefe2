//! Who to whom: the exact best set of joinings under caps and least numbers of each ram.

mod assign;

pub use assign::{FORBIDDEN, Impossible, assign, total};
