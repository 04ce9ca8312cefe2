//! Whose blood is left: founders, ancestors, and what the loss of an animal would cost.

use super::coancestry::Kin;
use super::pedigree::{NONE, Pedigree};

/// A founder's part in the genes of a set: its share, and whether it is a phantom that stands for one unknown parent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FounderShare {
    /// The founder, or the animal whose parent is unknown.
    pub place: u32,
    /// It stands for the unknown parent of an animal with one known parent.
    pub phantom: bool,
    /// Share of the genes of the set, 0 to 1; all shares sum to 1.
    pub share: f64,
}

/// Share of each founder in the genes of a set (gene flow; Lacy 1989), largest first. An animal with one unknown
/// parent gives half of its own to a phantom founder of its own, so that all shares sum to 1.
pub fn founder_shares(pedigree: &Pedigree, set: &[u32]) -> Vec<FounderShare> {
    let q = gene_flow(pedigree, set, |_| false);
    let mut all: Vec<FounderShare> = pedigree
        .parents()
        .iter()
        .zip(&q)
        .enumerate()
        .filter(|(_, (_, q))| **q > 0.0)
        .filter_map(|(i, (p, q))| {
            let unknown = p.iter().filter(|p| **p == NONE).count();
            let share = 0.5 * q * unknown as f64;
            (unknown > 0).then_some(FounderShare { place: i as u32, phantom: unknown == 1, share })
        })
        .collect();
    all.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.place.cmp(&b.place)));
    all
}

/// How much of the genes of a set passed through each animal; `cut` animals pass nothing on.
pub(super) fn gene_flow(pedigree: &Pedigree, set: &[u32], cut: impl Fn(u32) -> bool) -> Vec<f64> {
    let mut q = vec![0.0; pedigree.len()];
    for i in set {
        q[*i as usize] += 1.0 / set.len() as f64;
    }
    for i in (0..q.len()).rev() {
        if q[i] == 0.0 || cut(i as u32) {
            continue;
        }
        let half = 0.5 * q[i];
        for p in pedigree.parents()[i].into_iter().filter(|p| *p != NONE) {
            q[p as usize] += half;
        }
    }
    q
}

/// Founder equivalents: 1/Σp² (Lacy 1989). Founders there would be if all had given alike.
pub fn founder_equivalents(shares: &[FounderShare]) -> f64 {
    reciprocal(shares.iter().map(|s| s.share * s.share).sum())
}

/// Founder genome equivalents by coancestry: 1/(2·mean f), each animal with itself included (Caballero and Toro
/// 2000): what a gene drop estimates, exactly. What is left after drift.
pub fn founder_genomes(kin: &Kin, set: &[u32]) -> f64 {
    reciprocal(2.0 * kin.mean_coancestry(set))
}

pub(super) fn reciprocal(x: f64) -> f64 {
    if x > 0.0 { 1.0 / x } else { 0.0 }
}

/// An ancestor with its marginal share of the genes of a set: what no ancestor named before it explains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AncestorShare {
    /// The ancestor, or the animal whose parent is unknown.
    pub place: u32,
    /// It stands for the unknown parent of an animal with one known parent.
    pub phantom: bool,
    /// Its marginal share, 0 to 1; those of all ancestors sum to 1.
    pub share: f64,
}

/// The ancestors that explain the genes of a set, greatest marginal share first (Boichard 1997), at most `most` of
/// them. A phantom founder counts as an ancestor of its own, under the place of the animal it is a parent of.
pub fn ancestor_shares(pedigree: &Pedigree, set: &[u32], most: usize) -> Vec<AncestorShare> {
    // Only the ancestors of the set matter.
    let (above, old) = pedigree.above(set);
    let n = above.len();
    let parents = above.parents();
    let mut inside = vec![0.0; pedigree.len()];
    for i in set {
        inside[*i as usize] += 1.0 / set.len() as f64;
    }
    let inside: Vec<f64> = old.iter().map(|i| inside[*i as usize]).collect();
    let mut taken = vec![false; n];
    let mut phantom_taken = vec![false; n];
    let mut found = Vec::new();
    let (mut up, mut down) = (vec![0.0; n], vec![0.0; n]);
    while found.len() < most {
        // Up: genes that reach each animal without passing through one taken before.
        up.copy_from_slice(&inside);
        for i in (0..n).rev() {
            if taken[i] || up[i] == 0.0 {
                continue;
            }
            let half = 0.5 * up[i];
            for p in parents[i].into_iter().filter(|p| *p != NONE) {
                up[p as usize] += half;
            }
        }
        // Down: the part of each animal's genes that those taken before explain.
        let mut best: Option<(f64, u32, bool)> = None;
        for i in 0..n {
            if taken[i] {
                down[i] = 1.0;
                continue;
            }
            let known: f64 = parents[i].iter().filter(|p| **p != NONE).map(|p| 0.5 * down[*p as usize]).sum();
            down[i] = known + if phantom_taken[i] { 0.5 } else { 0.0 };
            let one_unknown = parents[i].iter().filter(|p| **p == NONE).count() == 1;
            let own = up[i] * (1.0 - down[i]);
            let phantom = if one_unknown && !phantom_taken[i] { 0.5 * up[i] } else { 0.0 };
            for (share, is_phantom) in [(own, false), (phantom, true)] {
                if share > 1e-12 && best.is_none_or(|(b, ..)| share > b + 1e-12) {
                    best = Some((share, i as u32, is_phantom));
                }
            }
        }
        let Some((share, i, phantom)) = best else { break };
        if phantom {
            phantom_taken[i as usize] = true;
        } else {
            taken[i as usize] = true;
        }
        found.push(AncestorShare { place: old[i as usize], phantom, share });
    }
    found
}

/// Effective ancestors: 1/Σq² over marginal shares (Boichard 1997). Far under the founder equivalents, blood went
/// through a bottleneck.
pub fn effective_ancestors(shares: &[AncestorShare]) -> f64 {
    reciprocal(shares.iter().map(|a| a.share * a.share).sum())
}

/// What the flock's blood would be without an animal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loss {
    /// The animal.
    pub place: u32,
    /// Its mean kinship with the set, itself included.
    pub kinship: f64,
    /// Founder genome equivalents of the set without it, less those with it: under nought, its loss costs blood.
    pub genomes: f64,
}

/// What the loss of each animal of a set would do to its founder genome equivalents: from
/// mean f without i = (Σf − 2·Σj f(i,j) + f(i,i))/(n − 1)² (coancestries of the set with i's row and column left out).
pub fn losses(kin: &Kin, set: &[u32]) -> Vec<Loss> {
    let n = set.len() as f64;
    let means = kin.mean_kinship(set);
    let sum: f64 = means.iter().sum::<f64>() * n;
    let now = reciprocal(2.0 * sum / (n * n));
    set.iter()
        .zip(&means)
        .map(|(i, mean)| {
            let own = 0.5 * (1.0 + kin.f[*i as usize]);
            let without = (sum - 2.0 * mean * n + own) / ((n - 1.0) * (n - 1.0));
            let genomes = if set.len() < 2 { -now } else { reciprocal(2.0 * without) - now };
            Loss { place: *i, kinship: *mean, genomes }
        })
        .collect()
}
