//! What few records have: a pointer long where nothing of it is written.

use std::ops::{Deref, DerefMut};

/// Facts that most records of a kind lack. Reads as what it holds; where nothing is written, as the default.
#[derive(Debug, Clone)]
pub struct Seldom<T>(Option<Box<T>>);

/// What a [`Seldom`] can hold.
pub trait Blank: Default + PartialEq + Sized + 'static {
    /// Nothing is written.
    fn blank() -> &'static Self;
}

impl<T> Default for Seldom<T> {
    fn default() -> Self {
        Self(None)
    }
}

impl<T: Blank> From<T> for Seldom<T> {
    fn from(facts: T) -> Self {
        Self((facts != *T::blank()).then(|| Box::new(facts)))
    }
}

impl<T: Blank> Deref for Seldom<T> {
    type Target = T;
    fn deref(&self) -> &T {
        self.0.as_deref().unwrap_or_else(|| T::blank())
    }
}

impl<T: Blank> DerefMut for Seldom<T> {
    fn deref_mut(&mut self) -> &mut T {
        self.0.get_or_insert_default()
    }
}

impl<T: Blank> PartialEq for Seldom<T> {
    fn eq(&self, other: &Self) -> bool {
        **self == **other
    }
}

impl<T: Blank + Eq> Eq for Seldom<T> {}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flock::TreatmentMore;

    #[test]
    fn nothing_written_takes_a_pointer_and_equals_what_was_emptied() {
        assert_eq!(size_of::<Seldom<TreatmentMore>>(), size_of::<usize>());
        let mut more = Seldom::from(TreatmentMore::default());
        assert!(more.0.is_none());
        assert!(!more.vet_gave);
        more.vet_gave = true;
        assert_ne!(more, Seldom::default());
        more.vet_gave = false;
        assert_eq!(more, Seldom::default());
    }
}
