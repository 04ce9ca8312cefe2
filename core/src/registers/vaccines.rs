//! Vaccines given, for the certificate.

use super::Span;
use super::treatments::given;
use crate::flock::{AnimalFile, Flock, Treatment};
use crate::terms::{AnimalId, ProductClass};

/// A vaccine given to an animal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vaccination<'a> {
    /// The animal.
    pub file: &'a AnimalFile,
    /// The treatment.
    pub treatment: &'a Treatment,
}

/// Vaccines given in a span that stand, in order of time: to the chosen animals, or to all.
pub fn vaccinations<'a>(flock: &'a Flock, animals: Option<&[AnimalId]>, span: Span) -> Vec<Vaccination<'a>> {
    let chosen: Option<std::collections::BTreeSet<AnimalId>> = animals.map(|a| a.iter().copied().collect());
    let vaccine = |t: &Treatment| {
        t.struck.is_none()
            && chosen.as_ref().is_none_or(|c| c.contains(&t.animal))
            && flock.product(&t.product).is_some_and(|p| p.more.class == ProductClass::Vaccine)
    };
    given(flock, span, vaccine).into_iter().map(|(file, treatment)| Vaccination { file, treatment }).collect()
}
