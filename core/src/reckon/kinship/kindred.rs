//! Kinship of a whole flock, reckoned once for one version of it: what pages and papers ask of blood.

use super::{Blood, Kin, complete_generations};
use crate::flock::Flock;
use crate::terms::AnimalId;
use rapidhash::RapidHashMap;

/// Inbreeding, depth of pedigree and mean kinship of every animal, and the coancestry of any two.
#[derive(Debug, Clone, Default)]
pub struct Kindred {
    pub(super) version: u64,
    pub(super) ids: Vec<AnimalId>,
    pub(super) places: RapidHashMap<AnimalId, u32>,
    pub(super) kin: Kin,
    pub(super) depth: Vec<f64>,
    /// Places of the animals in the flock now, by place.
    pub(super) living: Vec<u32>,
    pub(super) mean_kinship: Vec<f64>,
    pub(super) circle: Option<Vec<AnimalId>>,
}

impl Kindred {
    /// Reckons it. Of a pedigree that runs in a circle nothing is known but the circle.
    pub fn of(flock: &Flock) -> Self {
        let version = flock.version();
        let blood = match Blood::of(flock) {
            Ok(blood) => blood,
            Err(circle) => return Self { version, circle: Some(circle), ..Self::default() },
        };
        let depth = complete_generations(&blood.pedigree);
        let kin = Kin::of(blood.pedigree, 2);
        let mut living: Vec<u32> =
            flock.present().filter_map(|f| blood.places.get(&f.animal.id).copied()).collect();
        living.sort_unstable();
        let mean_kinship = kin.mean_kinship(&living);
        Self { version, ids: blood.ids, places: blood.places, kin, depth, living, mean_kinship, circle: None }
    }

    /// The version of the flock it is of.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// Animals that are their own ancestors, each a child of the next; then nothing else is known.
    pub fn circle(&self) -> Option<&[AnimalId]> {
        self.circle.as_deref()
    }

    /// The place of an animal in the pedigree; parents stand before their offspring.
    pub fn place(&self, id: AnimalId) -> Option<u32> {
        self.places.get(&id).copied()
    }

    /// Who stands at each place.
    pub fn ids(&self) -> &[AnimalId] {
        &self.ids
    }

    /// The pedigree and everyone's inbreeding, by place.
    pub fn kin(&self) -> &Kin {
        &self.kin
    }

    /// Complete generation equivalents of every animal, by place.
    pub fn depths(&self) -> &[f64] {
        &self.depth
    }

    /// Places of the animals in the flock now.
    pub fn living(&self) -> &[u32] {
        &self.living
    }

    /// Inbreeding of an animal, 0 to 1.
    pub fn inbreeding(&self, id: AnimalId) -> Option<f64> {
        self.place(id).and_then(|p| self.kin.f.get(p as usize).copied())
    }

    /// Complete generation equivalents of an animal's pedigree.
    pub fn depth(&self, id: AnimalId) -> Option<f64> {
        self.place(id).and_then(|p| self.depth.get(p as usize).copied())
    }

    /// Mean kinship of an animal in the flock with the flock, itself included; none for one that is not in it.
    pub fn mean_kinship(&self, id: AnimalId) -> Option<f64> {
        let at = self.living.binary_search(&self.place(id)?).ok()?;
        self.mean_kinship.get(at).copied()
    }

    /// Coancestry of two animals: what a lamb of theirs would be inbred.
    pub fn coancestry(&self, a: AnimalId, b: AnimalId) -> Option<f64> {
        Some(self.kin.pair(self.place(a)?, self.place(b)?))
    }

    /// Coancestry of one animal with each of the others; none for one the book does not know.
    pub fn with_each(&self, one: AnimalId, others: &[AnimalId]) -> Vec<Option<f64>> {
        let Some(one) = self.place(one) else { return vec![None; others.len()] };
        let places: Vec<Option<u32>> = others.iter().map(|o| self.place(*o)).collect();
        let known: Vec<u32> = places.iter().flatten().copied().collect();
        let mut f = self.kin.with_each(one, &known).into_iter();
        places.into_iter().map(|p| p.and_then(|_| f.next())).collect()
    }
}
