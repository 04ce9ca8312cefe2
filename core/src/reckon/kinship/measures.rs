//! What a pedigree says of a flock's blood: depth, founders, ancestors, effective sizes.

use super::coancestry::Kin;
use super::pedigree::{NONE, Pedigree};

/// Complete generation equivalents of every animal: Σ over known ancestors of (1/2)^generations (Maignel 1996;
/// Boichard 1997). How deep the pedigree is: inbreeding says little under 3.
pub fn complete_generations(pedigree: &Pedigree) -> Vec<f64> {
    let mut all: Vec<f64> = Vec::with_capacity(pedigree.len());
    for p in pedigree.parents() {
        all.push(p.iter().filter(|p| **p != NONE).map(|p| 0.5 * (1.0 + all[*p as usize])).sum());
    }
    all
}

/// Completeness of one animal's pedigree over `k` generations, 0 to 1: 2·Cs·Cd/(Cs+Cd), where C is the mean share of
/// known ancestors in each generation of that side (MacCluer 1983; each side runs 0 to 1). How far to trust its
/// inbreeding.
pub fn completeness(pedigree: &Pedigree, animal: u32, k: u32) -> f64 {
    let side = |start: u32| {
        if start == NONE || k == 0 {
            return 0.0;
        }
        // Share of each ancestor in a generation: an ancestor met twice counts twice.
        let mut generation: rapidhash::RapidHashMap<u32, f64> = [(start, 1.0)].into_iter().collect();
        let mut sum = 0.0;
        for _ in 0..k {
            sum += generation.values().sum::<f64>();
            let mut next = rapidhash::RapidHashMap::default();
            let mut places: Vec<(u32, f64)> = generation.into_iter().collect();
            places.sort_unstable_by_key(|(i, _)| *i);
            for (i, share) in places {
                for p in pedigree.parents()[i as usize].into_iter().filter(|p| *p != NONE) {
                    *next.entry(p).or_insert(0.0) += 0.5 * share;
                }
            }
            generation = next;
        }
        sum / f64::from(k)
    };
    let [s, d] = pedigree.parents()[animal as usize].map(side);
    if s + d > 0.0 { 2.0 * s * d / (s + d) } else { 0.0 }
}

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
fn gene_flow(pedigree: &Pedigree, set: &[u32], cut: impl Fn(u32) -> bool) -> Vec<f64> {
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

fn reciprocal(x: f64) -> f64 {
    if x > 0.0 { 1.0 / x } else { 0.0 }
}

/// An ancestor with its marginal share of the genes of a set: what no ancestor named before it explains.
pub type AncestorShare = (u32, f64);

/// The ancestors that explain the genes of a set, greatest marginal share first (Boichard 1997), at most `most` of
/// them. A phantom founder counts as an ancestor of its own, under the place of the animal it is a parent of.
pub fn ancestor_shares(pedigree: &Pedigree, set: &[u32], most: usize) -> Vec<AncestorShare> {
    let n = pedigree.len();
    let parents = pedigree.parents();
    let inside: Vec<f64> = {
        let mut x = vec![0.0; n];
        for i in set {
            x[*i as usize] += 1.0 / set.len() as f64;
        }
        x
    };
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
        for i in 0..n {
            down[i] = if taken[i] {
                1.0
            } else {
                let known: f64 =
                    parents[i].iter().filter(|p| **p != NONE).map(|p| 0.5 * down[*p as usize]).sum();
                known + if phantom_taken[i] { 0.5 } else { 0.0 }
            };
        }
        let mut best: Option<(f64, u32, bool)> = None;
        for i in 0..n {
            let one_unknown = parents[i].iter().filter(|p| **p == NONE).count() == 1;
            let own = if taken[i] { 0.0 } else { up[i] * (1.0 - down[i]) };
            let phantom = if one_unknown && !phantom_taken[i] && !taken[i] { 0.5 * up[i] } else { 0.0 };
            for (share, is_phantom) in [(own, false), (phantom, true)] {
                if share > 1e-12 && best.is_none_or(|(b, ..)| share > b + 1e-12) {
                    best = Some((share, i as u32, is_phantom));
                }
            }
        }
        let Some((share, place, phantom)) = best else { break };
        if phantom {
            phantom_taken[place as usize] = true;
        } else {
            taken[place as usize] = true;
        }
        found.push((place, share));
    }
    found
}

/// Effective ancestors: 1/Σq² over marginal shares (Boichard 1997). Far under the founder equivalents, blood went
/// through a bottleneck.
pub fn effective_ancestors(shares: &[AncestorShare]) -> f64 {
    reciprocal(shares.iter().map(|(_, q)| q * q).sum())
}

/// Effective size by numbers of the sexes: 4·Nm·Nf/(Nm+Nf) (Wright 1931).
pub fn size_by_sexes(rams: usize, ewes: usize) -> f64 {
    let (m, f) = (rams as f64, ewes as f64);
    if rams + ewes == 0 { 0.0 } else { 4.0 * m * f / (m + f) }
}

/// Rate of inbreeding from one generation to the next: (Ft − Ft−1)/(1 − Ft−1) (Falconer and Mackay).
pub fn rate(before: f64, after: f64) -> f64 {
    (after - before) / (1.0 - before)
}

/// Effective size by the rate of inbreeding in a generation: 1/(2ΔF); none while blood does not narrow.
pub fn size_by_rate(rate: f64) -> Option<f64> {
    (rate > 0.0).then(|| 0.5 / rate)
}

/// Effective size by each animal's own increase of inbreeding: ΔFi = 1 − (1 − Fi)^(1/(ti − 1)) with ti its complete
/// generations, those of one generation or less left out; Ne = 1/(2·mean ΔFi) (Gutiérrez 2008, 2009).
pub fn size_by_individual_increase(f: &[f64], generations: &[f64], set: &[u32]) -> Option<f64> {
    let each: Vec<f64> = set
        .iter()
        .map(|i| (f[*i as usize], generations[*i as usize]))
        .filter(|(_, t)| *t > 1.0)
        .map(|(f, t)| 1.0 - (1.0 - f).powf(1.0 / (t - 1.0)))
        .collect();
    if each.is_empty() {
        return None;
    }
    size_by_rate(each.iter().sum::<f64>() / each.len() as f64)
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

/// Who became a parent, of what sex, born when (in days): what a generation interval is reckoned from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Born {
    /// Day of birth as a count of days, if it is known.
    pub day: Option<i64>,
    /// A ram (or wether); else a ewe.
    pub male: bool,
}

/// Mean age of parents at the birth of those offspring that became parents, in years of 365.25 days, by the four
/// paths ram to ram, ram to ewe, ewe to ram, ewe to ewe, and the mean of the paths that are known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Interval {
    /// The four paths, each with how many were counted.
    pub paths: [Option<(f64, usize)>; 4],
    /// Mean of the means.
    pub mean: Option<f64>,
}

/// Generation interval of a pedigree (the four paths of Rendel and Robertson 1950).
pub fn generation_interval(pedigree: &Pedigree, born: &[Born]) -> Interval {
    let mut parent = vec![false; pedigree.len()];
    for p in pedigree.parents().iter().flatten().filter(|p| **p != NONE) {
        parent[*p as usize] = true;
    }
    let mut sums = [(0.0, 0usize); 4];
    for (i, both) in pedigree.parents().iter().enumerate().filter(|(i, _)| parent[*i]) {
        for (side, p) in both.iter().enumerate().filter(|(_, p)| **p != NONE) {
            if let (Some(child), Some(of)) = (born[i].day, born[*p as usize].day)
                && child > of
            {
                let path = side * 2 + usize::from(!born[i].male);
                sums[path].0 += (child - of) as f64 / 365.25;
                sums[path].1 += 1;
            }
        }
    }
    let paths = sums.map(|(sum, n)| (n > 0).then(|| (sum / n as f64, n)));
    let known: Vec<f64> = paths.iter().flatten().map(|(mean, _)| *mean).collect();
    let mean = (!known.is_empty()).then(|| known.iter().sum::<f64>() / known.len() as f64);
    Interval { paths, mean }
}
