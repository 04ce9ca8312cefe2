//! Gene drop: founder genes dropped through the pedigree by chance, seeded, and what of them is still there
//! (MacCluer et al. 1986; Lacy 1989).

use super::founders::{FounderShare, founder_shares, reciprocal};
use super::pedigree::{NONE, Pedigree};

/// A founder with the part of its genes that is still there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kept {
    /// The founder's part in the genes of the set.
    pub share: FounderShare,
    /// How much of its own genes is still found in the set, 0 to 1. A phantom founder passed one of its two on.
    pub kept: f64,
}

/// What a gene drop found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct GeneDrop {
    /// Founders, largest share first.
    pub founders: Vec<Kept>,
    /// Founder genome equivalents by the part of the genes kept: 1/Σ(p²/r) (Lacy 1989).
    pub by_kept: f64,
    /// Founder genome equivalents by how common each gene is: 1/(2·mean Σ freq²). With more drops it nears
    /// [`super::founder_genomes`], the exact form by coancestry (Caballero and Toro 2000).
    pub by_frequency: f64,
}

/// 1/Σ(p²/r): founder genome equivalents of shares p with the part r of each founder's genes kept (Lacy 1989).
/// A founder of whose genes nothing is kept has no share.
pub fn genomes_by_kept(founders: &[Kept]) -> f64 {
    let part = |k: &Kept| if k.kept > 0.0 { k.share.share * k.share.share / k.kept } else { 0.0 };
    reciprocal(founders.iter().map(part).sum())
}

/// Drops two genes of each founder through the pedigree `drops` times. The same seed gives the same answer.
///
/// Every animal with an unknown parent gets a gene of its own for it, as founder or from a phantom founder.
pub fn gene_drop(pedigree: &Pedigree, set: &[u32], drops: u32, seed: u64) -> GeneDrop {
    // Only the ancestors of the set matter.
    let (above, old) = pedigree.above(set);
    let n = above.len();
    let mut at = vec![NONE; pedigree.len()];
    for (new, old) in old.iter().enumerate() {
        at[*old as usize] = new as u32;
    }
    let set: Vec<u32> = set.iter().map(|i| at[*i as usize]).collect();
    // Gene 2i + side is that of animal i for its unknown parent of that side.
    let mut genes = vec![[0u32; 2]; n];
    let mut found = vec![0u32; 2 * n];
    let mut here: Vec<u32> = Vec::with_capacity(2 * set.len());
    let mut times_kept = vec![0u32; 2 * n];
    let mut squares = 0.0;
    let mut bits = Bits { state: seed, word: 0, left: 0 };
    for _ in 0..drops {
        for (i, both) in above.parents().iter().enumerate() {
            let mut own = [0; 2];
            for (side, p) in both.iter().enumerate() {
                own[side] = match *p {
                    NONE => (2 * i + side) as u32,
                    p => genes[p as usize][bits.next()],
                };
            }
            genes[i] = own;
        }
        here.clear();
        for g in set.iter().flat_map(|i| genes[*i as usize]) {
            if found[g as usize] == 0 {
                here.push(g);
            }
            found[g as usize] += 1;
        }
        for g in &here {
            times_kept[*g as usize] += 1;
            let frequency = f64::from(found[*g as usize]) / (2 * set.len()) as f64;
            squares += frequency * frequency;
            found[*g as usize] = 0;
        }
    }
    let founders: Vec<Kept> = founder_shares(&above, &set)
        .into_iter()
        .map(|share| {
            let i = share.place as usize;
            let kept = f64::from(times_kept[2 * i] + times_kept[2 * i + 1]) / f64::from(2 * drops.max(1));
            Kept { share: FounderShare { place: old[i], ..share }, kept }
        })
        .collect();
    let by_kept = genomes_by_kept(&founders);
    let by_frequency = reciprocal(2.0 * squares / f64::from(drops.max(1)));
    GeneDrop { founders, by_kept, by_frequency }
}

/// Bits by chance, the same for the same seed (splitmix64: Steele, Lea and Flood 2014).
struct Bits {
    state: u64,
    word: u64,
    left: u32,
}

impl Bits {
    fn next(&mut self) -> usize {
        if self.left == 0 {
            self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
            let mut z = self.state;
            z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            self.word = z ^ (z >> 31);
            self.left = 64;
        }
        let bit = self.word & 1;
        self.word >>= 1;
        self.left -= 1;
        bit as usize
    }
}
