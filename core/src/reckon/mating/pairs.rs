//! The best set of joinings for a flock: least inbreeding of the lambs to come.

use super::{FORBIDDEN, Impossible, assign};
use crate::flock::Flock;
use crate::reckon::kinship::{Blood, Kin};
use crate::terms::{AnimalId, Day, Sex, Status};

/// A ewe under so many days is too young to be joined (seven months: common practice, no source).
pub const OLD_ENOUGH_DAYS: i64 = 210;

/// A ram with how many ewes he may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RamCap {
    /// The ram.
    pub ram: AnimalId,
    /// At most.
    pub most: usize,
    /// At least.
    pub least: usize,
}

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

/// Why there is no proposal.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoPairs {
    /// The pedigree is not one.
    #[error("the pedigree runs in a circle through {}: mend one parent first", .0.join(", child of "))]
    Circle(Vec<String>),
    /// There is nobody to join.
    #[error("there is no {0} to join: choose some")]
    Nobody(&'static str),
    /// The rams may not have so many ewes.
    #[error("{ewes} ewes are more than the rams may have together ({most}): raise a cap or leave ewes out")]
    TooFew {
        /// Ewes.
        ewes: usize,
        /// All caps together.
        most: usize,
    },
    /// A ram must have more ewes than there are.
    #[error("the ram {0} cannot have as many ewes as he is to have at least: lower that number")]
    LeastTooHigh(String),
    /// No ram for a ewe.
    #[error("no ram is left for {0}: allow another pair or raise a cap")]
    NoRamFor(String),
}

/// Ewes of the flock that may be joined on a day, by tag.
pub fn ewes_to_join(flock: &Flock, on: Day) -> Vec<AnimalId> {
    let grown = |a: &crate::flock::Animal| a.age_days(on).is_none_or(|d| d >= OLD_ENOUGH_DAYS);
    let mut all: Vec<_> = flock
        .files()
        .map(|f| &f.animal)
        .filter(|a| a.sex == Sex::Ewe && a.status == Status::Present && grown(a))
        .collect();
    all.sort_by(|a, b| crate::flock::natural(a.tag(), b.tag()).then(a.id.cmp(&b.id)));
    all.into_iter().map(|a| a.id).collect()
}

/// Coancestries are counted in steps of 2⁻⁴⁰: exact for forty generations, and whole numbers have one sum.
const STEPS: f64 = (1u64 << 40) as f64;

/// The set of pairs whose lambs are least inbred on the whole: Σ f(ewe, ram) is least, exactly. Ties fall to the first
/// ewe and ram in the order given.
///
/// # Errors
/// [`NoPairs`] names who stands in the way.
pub fn best_pairs(flock: &Flock, ewes: &[AnimalId], rams: &[RamCap]) -> Result<Vec<Pair>, NoPairs> {
    if ewes.is_empty() {
        return Err(NoPairs::Nobody("ewe"));
    }
    if rams.is_empty() {
        return Err(NoPairs::Nobody("ram"));
    }
    let most: usize = rams.iter().map(|r| r.most).sum();
    if ewes.len() > most {
        return Err(NoPairs::TooFew { ewes: ewes.len(), most });
    }
    let tag = |id: AnimalId| flock.tag(id).to_string();
    let blood = Blood::of(flock).map_err(|c| NoPairs::Circle(c.into_iter().map(tag).collect()))?;
    let kin = Kin::of(blood.pedigree, 2);
    let place = |id: &AnimalId| blood.places.get(id).copied();
    let of_ewes: Vec<u32> = ewes.iter().filter_map(place).collect();
    let by_ram: Vec<Vec<f64>> = rams
        .iter()
        .map(|r| place(&r.ram).map_or_else(Vec::new, |ram| kin.with_each(ram, &of_ewes)))
        .collect();
    let f = |ewe: usize, ram: usize| by_ram.get(ram).and_then(|row| row.get(ewe)).copied();
    let costs: Vec<Vec<i64>> = (0..ewes.len())
        .map(|e| (0..rams.len()).map(|r| f(e, r).map_or(FORBIDDEN, |f| (f * STEPS).round() as i64)).collect())
        .collect();
    let caps: Vec<usize> = rams.iter().map(|r| r.most).collect();
    let least: Vec<usize> = rams.iter().map(|r| r.least).collect();
    let of = assign(&costs, &caps, &least).map_err(|e| match e {
        Impossible::NoRamFor(ewe) => NoPairs::NoRamFor(tag(ewes[ewe])),
        Impossible::TooFewFor(ram) => NoPairs::LeastTooHigh(tag(rams[ram].ram)),
    })?;
    Ok(ewes
        .iter()
        .zip(of)
        .enumerate()
        .map(|(e, (ewe, ram))| Pair {
            ewe: *ewe,
            ram: rams[ram].ram,
            coancestry: f(e, ram).unwrap_or_default(),
        })
        .collect())
}
