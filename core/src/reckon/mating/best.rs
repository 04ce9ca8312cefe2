//! The shortest form of the question: least inbreeding of the lambs to come.

use super::{NoPairs, PairsAsk, RamCap, pairs};
use crate::flock::Flock;
use crate::reckon::kinship::Kindred;
use crate::terms::AnimalId;
use rapidhash::RapidHashMap;

/// A ewe with the ram proposed for her.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// The ewe.
    pub ewe: AnimalId,
    /// The ram.
    pub ram: AnimalId,
    /// Their coancestry: the inbreeding of a lamb of theirs.
    pub coancestry: f64,
}

/// The set of pairs whose lambs are least inbred on the whole: Σ f(ewe, ram) is least, exactly. The answer does not
/// depend on the order in which ewes and rams are given, and stands in the order of the ewes.
///
/// # Errors
/// [`NoPairs`] names who stands in the way.
pub fn best_pairs(flock: &Flock, ewes: &[AnimalId], rams: &[RamCap]) -> Result<Vec<Pair>, NoPairs> {
    let found = pairs(flock, &Kindred::of(flock), &PairsAsk::plain(ewes, rams), &mut |_| true)?;
    let by: RapidHashMap<AnimalId, Pair> = found.pairs().map(|p| (p.ewe, p)).collect();
    Ok(ewes.iter().filter_map(|e| by.get(e).copied()).collect())
}
