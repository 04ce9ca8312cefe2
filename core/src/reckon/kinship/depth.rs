//! How deep and how complete a pedigree is: how far its inbreeding can be trusted.

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

/// Completeness of every animal's pedigree over `k` generations, by place: what [`completeness`] says of one, for all
/// in one pass. The known share of generation g is the mean of the parents' shares of generation g − 1.
pub fn completeness_of_all(pedigree: &Pedigree, k: u32) -> Vec<f64> {
    let k = k as usize;
    if k == 0 {
        return vec![0.0; pedigree.len()];
    }
    // known[i·k + g]: share of i's ancestors g generations back that are known, itself (g = 0) included.
    let mut known = vec![0.0; pedigree.len() * k];
    let mut side = vec![0.0; pedigree.len()];
    let mut all = Vec::with_capacity(pedigree.len());
    for (i, both) in pedigree.parents().iter().enumerate() {
        known[i * k] = 1.0;
        for g in 1..k {
            let of = |p: &u32| known[*p as usize * k + g - 1];
            known[i * k + g] = both.iter().filter(|p| **p != NONE).map(|p| 0.5 * of(p)).sum();
        }
        side[i] = known[i * k..(i + 1) * k].iter().sum::<f64>() / k as f64;
        let [s, d] = both.map(|p| if p == NONE { 0.0 } else { side[p as usize] });
        all.push(if s + d > 0.0 { 2.0 * s * d / (s + d) } else { 0.0 });
    }
    all
}
