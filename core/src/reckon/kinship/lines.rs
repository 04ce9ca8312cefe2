//! Lines of dams, families of rams, and how many living animals carry each founder's blood.

use super::founders::FounderShare;
use super::pedigree::{NONE, Pedigree};

/// A line: everyone who comes down from one animal through dams alone, or through sires alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Descent {
    /// The oldest known dam (or sire) of the line.
    pub root: u32,
    /// Ewes of the set that carry it.
    pub ewes: usize,
    /// Rams and wethers of the set that carry it.
    pub rams: usize,
}

impl Descent {
    /// How many of the set carry it.
    pub fn carriers(&self) -> usize {
        self.ewes + self.rams
    }
}

/// The lines of a set of animals.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Lines {
    /// Lines, most carriers first.
    pub lines: Vec<Descent>,
    /// How many of the set have no known line on this side.
    pub unknown: usize,
}

/// Which way a line runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// From ram to offspring.
    Sires,
    /// From ewe to offspring.
    Dams,
}

impl Side {
    fn at(self) -> usize {
        match self {
            Self::Sires => 0,
            Self::Dams => 1,
        }
    }
}

/// The oldest known dam (sire) of every animal, by place: up through dams (sires) alone until one is not known. A ewe
/// (ram) whose dam (sire) is not known begins a line herself; of the other sex it has none, [`NONE`].
pub fn roots(pedigree: &Pedigree, male: &[bool], side: Side) -> Vec<u32> {
    let mut all: Vec<u32> = Vec::with_capacity(pedigree.len());
    for (i, both) in pedigree.parents().iter().enumerate() {
        let begins = male[i] == (side == Side::Sires);
        all.push(match both[side.at()] {
            NONE if begins => i as u32,
            NONE => NONE,
            p => all[p as usize],
        });
    }
    all
}

/// The lines of dams or families of rams that a set carries.
pub fn lines(pedigree: &Pedigree, male: &[bool], set: &[u32], side: Side) -> Lines {
    let roots = roots(pedigree, male, side);
    let mut unknown = 0;
    let mut by_root: rapidhash::RapidHashMap<u32, Descent> = rapidhash::RapidHashMap::default();
    for i in set {
        let root = roots[*i as usize];
        if root == NONE {
            unknown += 1;
            continue;
        }
        let d = by_root.entry(root).or_insert(Descent { root, ewes: 0, rams: 0 });
        match male[*i as usize] {
            true => d.rams += 1,
            false => d.ewes += 1,
        }
    }
    let mut lines: Vec<Descent> = by_root.into_values().collect();
    lines.sort_by(|a, b| b.carriers().cmp(&a.carriers()).then(a.root.cmp(&b.root)));
    Lines { lines, unknown }
}

/// Who of a set carries each founder's blood.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Carriers {
    /// How many of the set come down from each founder, in the order given; a founder of the set carries its own.
    pub of_founder: Vec<usize>,
    /// For each of the set the founder (its number in the list given) with the fewest carriers among those it comes
    /// down from.
    pub rarest: Vec<Option<u32>>,
}

/// Counts the carriers of each founder in a set: 64 founders in a sweep.
pub fn carriers(pedigree: &Pedigree, founders: &[FounderShare], set: &[u32]) -> Carriers {
    let mut of_founder = vec![0usize; founders.len()];
    let mut rarest: Vec<Option<u32>> = vec![None; set.len()];
    let mut mask = vec![0u64; pedigree.len()];
    for (batch, some) in founders.chunks(64).enumerate() {
        let first = batch * 64;
        mask.fill(0);
        for (bit, f) in some.iter().enumerate() {
            mask[f.place as usize] |= 1 << bit;
        }
        for (i, both) in pedigree.parents().iter().enumerate() {
            for p in both.iter().filter(|p| **p != NONE) {
                mask[i] |= mask[*p as usize];
            }
        }
        let bits = |mut m: u64| {
            std::iter::from_fn(move || {
                let bit = (m != 0).then(|| m.trailing_zeros() as usize)?;
                m &= m - 1;
                Some(bit)
            })
        };
        for i in set {
            for bit in bits(mask[*i as usize]) {
                of_founder[first + bit] += 1;
            }
        }
        for (slot, i) in rarest.iter_mut().zip(set) {
            for bit in bits(mask[*i as usize]) {
                let one = first + bit;
                if slot.is_none_or(|now| of_founder[one] < of_founder[now as usize]) {
                    *slot = Some(one as u32);
                }
            }
        }
    }
    Carriers { of_founder, rarest }
}
