//! Pedigrees to be drawn and listed: ancestors in their places, descendants, sibs, lines and families.
//!
//! Everything here is safe on pedigrees that run in a circle or are endlessly deep: nothing calls itself, and every
//! walk knows whom it has met.

mod ancestors;
mod descend;
mod families;
mod lay;
mod words;

#[cfg(test)]
mod tests;

pub use ancestors::{Ancestry, Place, Repeat, Who};
pub use descend::{Child, Descendant, Sib, Sibs, children, descendants, progeny, sibs};
pub use families::{Family, Line, Through, breed_of_parents, dam_line, families, sire_line};
pub use lay::{Slot, lay, lay_progeny};
pub use words::{depth_words, inbred_words, percent};
