//! Accuracies by approximation, for flocks whose equations are too many to turn round.
//!
//! After Misztal and Wiggans 1988 (Approximation of prediction error variance in large-scale animal models, J Dairy Sci
//! 71, supplement 2) and Meyer 1989 (Approximate accuracy of genetic evaluation under an animal model, Livest Prod Sci
//! 21): each animal's information is put together from its own records, its offspring (passed up from the youngest) and
//! its parents (passed down from the oldest). Here information is a precision, one over a variance, and what passes
//! between child and parent never holds what came from the other: on a pedigree without loops, with one effect, it is
//! exact (tested); loops (inbreeding, full sibs) count some of it twice. What other effects explain counts as chance,
//! that which all lambs of a ewe share as one chance for them all, and levels of fixed effects cost 1/n of each of their
//! n records. It flatters: beside the exact accuracies of made-up flocks (`tests/benches/made/records.rs`) those of an
//! animal model are .01 to .04 too high on the mean, those of direct and maternal effects .04 to .13 (at worst .26).

use super::accuracy::clamped;
use super::{Frame, Problem, Relationship};
use crate::reckon::kinship::NONE;

/// Approximate reliabilities of each block's effects, in the order of [`super::reliabilities`].
pub fn approximate(frame: &Frame, problem: &Problem) -> Vec<Vec<f64>> {
    let kept = kept(problem);
    let mut all = Vec::new();
    for (b, placed) in frame.blocks().iter().enumerate() {
        let k = placed.effects;
        let mut of = vec![0.0; placed.levels * k];
        for e in 0..k {
            let information = information(problem, b, e, &kept);
            let variance = problem.blocks[b].variance[e * k + e];
            match &placed.related {
                None => {
                    for (l, i) in information.iter().enumerate() {
                        of[l * k + e] = clamped(variance * i / (1.0 + variance * i));
                    }
                }
                Some(related) => {
                    let of_dam = shared_by_lambs(problem, b, e, related);
                    for (l, r) in passed(related, variance, &information, of_dam).into_iter().enumerate() {
                        of[l * k + e] = r;
                    }
                }
            }
        }
        all.push(of);
    }
    all
}

/// What the fixed effects leave of each record: 1 − Σ 1/n over its levels, each level's n records sharing one unknown.
fn kept(problem: &Problem) -> Vec<f64> {
    let n = problem.records.len() as f64;
    let factors = problem.fixed.len().max(1) as f64;
    // Each factor holds the mean: it is lost once, not once a factor.
    let mut kept = vec![1.0 + (factors - 1.0) / n; problem.records.len()];
    if problem.fixed.is_empty() {
        kept.iter_mut().for_each(|k| *k -= 1.0 / n);
    }
    for f in &problem.fixed {
        let mut count = vec![0.0; f.levels.len()];
        f.of.iter().for_each(|l| count[*l as usize] += 1.0);
        kept.iter_mut().zip(&f.of).for_each(|(k, l)| *k -= 1.0 / count[*l as usize]);
    }
    kept.into_iter().map(|k| k.clamp(0.0, 1.0)).collect()
}

/// What its own records tell of each level of one effect, as a precision. Effects that are the same for all records of a
/// level (the permanent effect beside the animal) do not average out over them; others do.
fn information(problem: &Problem, block: usize, effect: usize, kept: &[f64]) -> Vec<f64> {
    let own = &problem.blocks[block].effects[effect].of;
    let levels = problem.blocks[block].levels;
    let mut counted = vec![0.0; levels];
    own.iter().zip(kept).for_each(|(l, k)| {
        if let Some(l) = l {
            counted[*l as usize] += k;
        }
    });
    let (mut shared, mut apart) = (0.0, problem.residual);
    let pedigree = problem.blocks[block].pedigree.as_ref();
    for (b, other) in problem.blocks.iter().enumerate() {
        let k = other.effects.len();
        for (e, o) in other.effects.iter().enumerate().filter(|(e, _)| (b, *e) != (block, effect)) {
            let variance = other.variance[e * k + e];
            let mut first: Vec<Option<Option<u32>>> = vec![None; levels];
            let same = own.iter().zip(&o.of).all(|(l, o)| match l {
                Some(l) => *first[*l as usize].get_or_insert(*o) == *o,
                None => true,
            });
            // The lambs of a ewe have a quarter of their own genes' variance in common through her.
            let lambs = pedigree.zip(other.pedigree.as_ref()).is_some_and(|(_, p)| {
                own.iter().zip(&o.of).all(|(l, o)| match (l, o) {
                    (Some(l), Some(o)) => p.parents().get(*o as usize).is_some_and(|p| p[1] == *l),
                    _ => true,
                })
            });
            let part = match (same, lambs) {
                (true, false) => 1.0,
                (_, true) => 0.25,
                (false, false) => 0.0,
            };
            shared += part * variance;
            apart += (1.0 - part) * variance;
        }
    }
    counted.into_iter().map(|n| if n > 0.0 { 1.0 / (shared + apart / n) } else { 0.0 }).collect()
}

/// The variance of other effects that are the same for all lambs of a ewe, of which their records tell as one.
fn shared_by_lambs(problem: &Problem, block: usize, effect: usize, related: &Relationship) -> f64 {
    let parents = related.pedigree().parents();
    let own = &problem.blocks[block].effects[effect].of;
    let mut sum = 0.0;
    for (b, other) in problem.blocks.iter().enumerate() {
        let k = other.effects.len();
        for (e, o) in other.effects.iter().enumerate().filter(|(e, _)| (b, *e) != (block, effect)) {
            let mut first: Vec<Option<Option<u32>>> = vec![None; parents.len()];
            let mut ewes = 0;
            let same = own.iter().zip(&o.of).all(|(l, o)| {
                let dam = l.and_then(|l| parents.get(l as usize)).map(|p| p[1]).filter(|d| *d != NONE);
                dam.is_none_or(|d| {
                    ewes += 1;
                    *first[d as usize].get_or_insert(*o) == *o
                })
            });
            if same && ewes > 0 {
                sum += other.variance[e * k + e];
            }
        }
    }
    sum
}

/// Times information is passed up and down again.
const ROUNDS: usize = 3;

/// Reliabilities of all animals of a pedigree from what their own records tell; `of_dam` is the variance of what the
/// records of all lambs of a ewe share beside her genes.
fn passed(related: &Relationship, variance: f64, own: &[f64], of_dam: f64) -> Vec<f64> {
    let parents = related.pedigree().parents();
    let (f, d) = (related.inbreeding(), related.within());
    let n = parents.len();
    // What each animal tells its sire and its dam; what it knows in all.
    let mut up = vec![[0.0f64; 2]; n];
    let mut known: Vec<f64> = f.iter().map(|f| 1.0 / ((1.0 + f) * variance)).collect();
    let mut below = vec![0.0; n];
    // What the lambs of each ewe tell her together, and what is left of it: their shared chance does not average out.
    let (mut lambs, mut left) = (vec![0.0; n], vec![1.0; n]);
    for _ in 0..ROUNDS {
        // From the youngest: own records and offspring, told to each parent beside what the other parent is known by.
        below.copy_from_slice(own);
        lambs.fill(0.0);
        for i in (0..n).rev() {
            left[i] = 1.0 / (1.0 + 4.0 * of_dam * lambs[i]);
            below[i] += lambs[i] * left[i];
            if below[i] <= 0.0 {
                continue;
            }
            let told = [up[i][0], up[i][1] * kept_of(&left, parents[i][1])];
            for side in 0..2 {
                let p = parents[i][side];
                if p == NONE {
                    continue;
                }
                let mate = parents[i][1 - side];
                let of_mate = match mate {
                    NONE => 0.0,
                    m => 0.25 / less(known[m as usize], told[1 - side], (1.0 + f[m as usize]) * variance),
                };
                up[i][side] = 0.25 / (d[i] * variance + of_mate + 1.0 / below[i]);
                match side {
                    0 => below[p as usize] += up[i][side],
                    _ => lambs[p as usize] += up[i][side],
                }
            }
        }
        // From the oldest: what is known of the parents without this animal.
        for i in 0..n {
            let mut spread = d[i] * variance;
            let told = [up[i][0], up[i][1] * kept_of(&left, parents[i][1])];
            for (p, told) in parents[i].iter().zip(told).filter(|(p, _)| **p != NONE) {
                let p = *p as usize;
                spread += 0.25 / less(known[p], told, (1.0 + f[p]) * variance);
            }
            known[i] = 1.0 / spread + below[i];
        }
    }
    known.iter().zip(f).map(|(known, f)| clamped(1.0 - 1.0 / (known * (1.0 + f) * variance))).collect()
}

/// What is left of what lambs tell this ewe.
fn kept_of(left: &[f64], dam: u32) -> f64 {
    left.get(dam as usize).copied().unwrap_or(1.0)
}

/// A precision without a part of it; never less than before any record.
fn less(known: f64, part: f64, most: f64) -> f64 {
    (known - part).max(1.0 / most)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reckon::evaluation::{Block, Bounds, Effect, Factor, predict};
    use crate::reckon::kinship::Pedigree;
    use std::sync::Arc;

    fn problem(parents: &[[u32; 2]], of: &[u32], levels: usize) -> Problem {
        let mut p = Pedigree::default();
        parents.iter().for_each(|[s, d]| {
            p.push(*s, *d);
        });
        let n = of.len();
        Problem {
            records: (0..n).map(|i| (i as f64 * 1.7).sin()).collect(),
            fixed: vec![Factor {
                name: "group".into(),
                levels: (0..levels).map(|l| l.to_string()).collect(),
                of: (0..n).map(|i| (i % levels) as u32).collect(),
            }],
            slopes: vec![],
            blocks: vec![Block {
                effects: vec![Effect { name: "animal".into(), of: of.iter().map(|a| Some(*a)).collect() }],
                variance: vec![0.35],
                levels: parents.len(),
                pedigree: Some(Arc::new(p)),
            }],
            residual: 0.65,
        }
    }

    fn both(p: &Problem) -> (Vec<f64>, Vec<f64>) {
        let exact = predict(p, &Bounds::default(), &mut |_| true).unwrap();
        assert!(exact.exact);
        let near = approximate(&exact.frame, p);
        (exact.reliabilities[0].clone(), near[0].clone())
    }

    #[test]
    fn exact_without_loops_but_for_the_cost_of_the_mean() {
        // Two grandparents, a daughter with records, her lamb by another ram, his half sib by another ewe.
        let parents = [
            [NONE, NONE],
            [NONE, NONE],
            [0, 1],
            [NONE, NONE],
            [3, 2],
            [NONE, NONE],
            [3, 5],
            [NONE, 4],
            [NONE, NONE],
        ];
        let mut p = problem(&parents, &[2, 4, 6, 7, 2, 1], 1);
        // The mean costs next to nothing when another animal, unrelated, has many records to it.
        p.records.extend((0..3_000).map(|_| 0.0));
        p.fixed[0].of.extend((0..3_000).map(|_| 0));
        p.blocks[0].effects[0].of.extend((0..3_000).map(|_| None));
        let (exact, near) = both(&p);
        for (i, (e, n)) in exact.iter().zip(&near).enumerate() {
            assert!((e - n).abs() < 1e-3, "animal {i}: {n} and not {e}");
        }
        assert!(exact[4] > exact[7] && exact[7] > exact[5] && exact[8] < 1e-9);
    }

    #[test]
    fn near_in_a_flock_with_loops() {
        let mut parents: Vec<[u32; 2]> = vec![[NONE, NONE]; 12];
        for crop in 0..6u32 {
            let base = parents.len() as u32;
            for i in 0..24u32 {
                let sire = if crop == 0 { i % 2 } else { base - 24 + 2 * (i % 2) };
                let dam = if crop == 0 { 2 + i % 10 } else { base - 23 + 2 * (i % 11) };
                parents.push([sire, dam]);
            }
        }
        let of: Vec<u32> = (12..parents.len() as u32).collect();
        let (exact, near) = both(&problem(&parents, &of, 6));
        let n = exact.len() as f64;
        let off = exact.iter().zip(&near).map(|(e, n)| (e.sqrt() - n.sqrt()).abs());
        let (mean, worst) = (off.clone().sum::<f64>() / n, off.fold(0.0, f64::max));
        assert!(mean < 0.15 && worst < 0.35, "accuracies are off by {mean} on the mean, {worst} at worst");
    }
}
