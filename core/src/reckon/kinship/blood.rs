//! The pedigree of a flock.

use super::pedigree::{NONE, Pedigree};
use crate::flock::Flock;
use crate::terms::AnimalId;
use rapidhash::RapidHashMap;

/// A flock's pedigree by blood: genetic dam before birth dam, sires without doubt.
#[derive(Debug, Clone, Default)]
pub struct Blood {
    /// Who stands at each place.
    pub ids: Vec<AnimalId>,
    /// The place of each animal.
    pub places: RapidHashMap<AnimalId, u32>,
    /// The pedigree.
    pub pedigree: Pedigree,
}

impl Blood {
    /// The pedigree of every animal the book knows.
    ///
    /// # Errors
    /// Animals that are their own ancestors, each a child of the next.
    pub fn of(flock: &Flock) -> Result<Self, Vec<AnimalId>> {
        let mut all: Vec<_> = flock.files().map(|f| &f.animal).collect();
        // The same flock gives the same order, whatever order its files lie in.
        all.sort_unstable_by_key(|a| (a.born.day(), a.id));
        let at: RapidHashMap<AnimalId, u32> = all.iter().zip(0..).map(|(a, i)| (a.id, i)).collect();
        let place = |id: Option<AnimalId>| id.and_then(|id| at.get(&id).copied()).unwrap_or(NONE);
        let given: Vec<[u32; 2]> =
            all.iter().map(|a| [place(a.sire.known()), place(a.blood_dam())]).collect();
        let (pedigree, order) = Pedigree::ordered(&given)
            .map_err(|c| c.0.into_iter().map(|i| all[i as usize].id).collect::<Vec<_>>())?;
        let mut ids = vec![AnimalId::from_bytes([0; 16]); all.len()];
        for (a, place) in all.iter().zip(&order) {
            ids[*place as usize] = a.id;
        }
        let places = ids.iter().zip(0..).map(|(id, i)| (*id, i)).collect();
        Ok(Self { ids, places, pedigree })
    }
}
