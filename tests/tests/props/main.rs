//! What must hold whatever is written: random flocks, sequences, copies and bytes.
//!
//! A property of one function alone stands beside its code in `core`.

mod book;
mod copies;
mod due;
mod eaters;
mod flock;
mod fuzz_parsers;
mod kinship;
mod terms;
