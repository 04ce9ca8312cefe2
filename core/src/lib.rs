//! The flock, the book, the reckoning and the papers of Hirsel. Knows nothing of a window.
//!
//! Data goes one way round: an [`entry`] is checked against the [`flock`], written by
//! [`book::Book::write`] into the file and its journal, and comes back as a new `Flock`.

// `phrase!` names this crate, also here.
extern crate self as hirsel_core;

pub mod book;
pub mod entry;
pub mod exchange;
pub mod flock;
pub mod handbook;
pub mod language;
pub mod papers;
pub mod plan;
pub mod reckon;
pub mod registers;
pub mod rules;
pub mod terms;

pub use hirsel_phrase::phrase;
