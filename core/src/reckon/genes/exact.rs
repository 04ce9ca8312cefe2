//! Exact genotype probabilities: variable elimination over a tree of buckets, up and down once
//! (peeling: Elston and Stewart 1971, Cannings, Thompson and Skolnick 1978; the tree: Lauritzen and Spiegelhalter 1988).

use super::locus::{Locus, Set, members};
use super::net::Folk;
use crate::reckon::kinship::NONE;
use rapidhash::RapidHashMap;
use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

/// Cells of the largest table: 12 animals of 3 genotypes.
pub(super) const WIDEST: usize = 531_441;
/// Cells of all tables together.
const TOTAL: usize = 4_000_000;

/// Why there is no exact answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Failed {
    /// The pedigree is too much entangled.
    TooWide,
    /// No genotypes at all fit what is said.
    Impossible,
}

struct Factor {
    scope: Vec<u32>,
    table: Vec<f64>,
}

struct Bucket {
    /// The animal taken out, then its neighbours.
    scope: Vec<u32>,
    table: Vec<f64>,
    message: Vec<f64>,
    parent: Option<u32>,
}

/// Probabilities of every genotype of each member, by what is left possible. Members must hold the unsettled parents
/// of members.
pub(super) fn marginals(
    locus: &Locus,
    folk: &Folk,
    group: &[u32],
    left: &[Set],
) -> Result<Vec<Vec<f64>>, Failed> {
    marginals_with(locus, folk, group, &[], left)
}

/// The same, heeding the births of these settled ones too.
pub(super) fn marginals_with(
    locus: &Locus,
    folk: &Folk,
    group: &[u32],
    also: &[u32],
    left: &[Set],
) -> Result<Vec<Vec<f64>>, Failed> {
    let local: RapidHashMap<u32, u32> = group.iter().copied().zip(0..).collect();
    let values: Vec<Vec<usize>> = group.iter().map(|at| members(left[*at as usize]).collect()).collect();
    let size: Vec<usize> = values.iter().map(Vec::len).collect();
    let factors: Vec<Factor> =
        births(folk, group, also, left).iter().map(|c| birth(locus, folk, *c, left, &local)).collect();
    let (order, scopes) = elimination(&size, &factors)?;
    let mut place = vec![0u32; group.len()];
    for (at, v) in order.iter().enumerate() {
        place[*v as usize] = at as u32;
    }
    let first = |scope: &[u32]| scope.iter().copied().min_by_key(|v| place[*v as usize]);
    let mut waiting: Vec<Vec<Factor>> = (0..group.len()).map(|_| Vec::new()).collect();
    for f in factors {
        match first(&f.scope) {
            Some(v) => waiting[v as usize].push(f),
            None if f.table.first() == Some(&0.0) => return Err(Failed::Impossible),
            None => {}
        }
    }
    let mut buckets: Vec<Option<Bucket>> = (0..group.len()).map(|_| None).collect();
    for (v, scope) in order.iter().zip(scopes) {
        let dims: Vec<usize> = scope.iter().map(|x| size[*x as usize]).collect();
        let mut table = vec![1.0; dims.iter().product()];
        for f in std::mem::take(&mut waiting[*v as usize]) {
            walk(&dims, &strides(&scope, &f.scope, &size), |i, j| table[i] *= f.table[j]);
        }
        let rest = table.len() / dims[0].max(1);
        let mut message = vec![0.0; rest];
        for block in table.chunks(rest) {
            message.iter_mut().zip(block).for_each(|(m, x)| *m += x);
        }
        let sum: f64 = message.iter().sum();
        if !(sum > 0.0) {
            return Err(Failed::Impossible);
        }
        message.iter_mut().for_each(|m| *m /= sum);
        let parent = first(&scope[1..]);
        if let Some(p) = parent {
            waiting[p as usize].push(Factor { scope: scope[1..].to_vec(), table: message.clone() });
        }
        buckets[*v as usize] = Some(Bucket { scope, table, message, parent });
    }
    let mut found = vec![Vec::new(); group.len()];
    for v in order.iter().rev() {
        let Some(mut b) = buckets[*v as usize].take() else { continue };
        let rest = b.message.len();
        if let Some(p) = b.parent.and_then(|p| buckets[p as usize].as_ref()) {
            let dims: Vec<usize> = p.scope.iter().map(|x| size[*x as usize]).collect();
            let mut seen = vec![0.0; rest];
            walk(&dims, &strides(&p.scope, &b.scope[1..], &size), |i, j| seen[j] += p.table[i]);
            for (s, m) in seen.iter_mut().zip(&b.message) {
                *s = if *m > 0.0 { *s / m } else { 0.0 };
            }
            for block in b.table.chunks_mut(rest) {
                block.iter_mut().zip(&seen).for_each(|(x, s)| *x *= s);
            }
        }
        let whole: f64 = b.table.iter().sum();
        if !(whole > 0.0) {
            return Err(Failed::Impossible);
        }
        b.table.iter_mut().for_each(|x| *x /= whole);
        let mut chances = vec![0.0; locus.len()];
        for (g, block) in values[*v as usize].iter().zip(b.table.chunks(rest)) {
            chances[*g] = block.iter().sum();
        }
        found[*v as usize] = chances;
        buckets[*v as usize] = Some(b);
    }
    Ok(found)
}

fn births(folk: &Folk, group: &[u32], also: &[u32], left: &[Set]) -> Vec<u32> {
    let mut all = folk.births(group, left);
    all.extend(also);
    all.sort_unstable();
    all.dedup();
    all
}

/// What a birth says of the unsettled members among lamb, sire and dam.
fn birth(locus: &Locus, folk: &Folk, c: u32, left: &[Set], local: &RapidHashMap<u32, u32>) -> Factor {
    let [s, d] = folk.parents[c as usize];
    let values = |p: u32| -> Vec<Option<usize>> {
        if p == NONE { vec![None] } else { members(left[p as usize]).map(Some).collect() }
    };
    let (lambs, sires, dams) = (members(left[c as usize]), values(s), values(d));
    let mut table = Vec::new();
    for lamb in lambs {
        for sire in &sires {
            for dam in &dams {
                table.push(locus.lamb(lamb, *sire, *dam));
            }
        }
    }
    // A settled one has one genotype: its axis is one long and may be left out.
    let scope = [c, s, d].iter().filter_map(|x| local.get(x).copied()).collect();
    Factor { scope, table }
}

/// The order in which animals are taken out, smallest table first, and the table's animals of each.
type Order = (Vec<u32>, Vec<Vec<u32>>);

fn elimination(size: &[usize], factors: &[Factor]) -> Result<Order, Failed> {
    let mut near: Vec<BTreeSet<u32>> = vec![BTreeSet::new(); size.len()];
    for f in factors {
        for a in &f.scope {
            near[*a as usize].extend(f.scope.iter().filter(|b| *b != a));
        }
    }
    let weigh = |v: u32, near: &[BTreeSet<u32>]| {
        near[v as usize].iter().fold(size[v as usize], |w, n| w.saturating_mul(size[*n as usize]))
    };
    let mut heap: BinaryHeap<Reverse<(usize, u32)>> =
        (0..size.len() as u32).map(|v| Reverse((weigh(v, &near), v))).collect();
    let mut done = vec![false; size.len()];
    let (mut order, mut scopes, mut total) = (Vec::new(), Vec::new(), 0usize);
    while let Some(Reverse((w, v))) = heap.pop() {
        if done[v as usize] || w != weigh(v, &near) {
            continue;
        }
        total = total.saturating_add(w);
        if w > WIDEST || total > TOTAL {
            return Err(Failed::TooWide);
        }
        done[v as usize] = true;
        let around: Vec<u32> = std::mem::take(&mut near[v as usize]).into_iter().collect();
        for a in &around {
            near[*a as usize].remove(&v);
            near[*a as usize].extend(around.iter().filter(|b| *b != a));
        }
        for a in &around {
            heap.push(Reverse((weigh(*a, &near), *a)));
        }
        order.push(v);
        scopes.push(std::iter::once(v).chain(around).collect());
    }
    Ok((order, scopes))
}

/// Steps in the table of `part` for each axis of `whole`; 0 where it lacks the axis.
fn strides(whole: &[u32], part: &[u32], size: &[usize]) -> Vec<usize> {
    let mut steps = vec![0; whole.len()];
    let mut step = 1;
    for v in part.iter().rev() {
        if let Some(at) = whole.iter().position(|w| w == v) {
            steps[at] = step;
        }
        step *= size[*v as usize];
    }
    steps
}

/// Every cell of a table, with the cell of the part that belongs to it.
fn walk(dims: &[usize], steps: &[usize], mut each: impl FnMut(usize, usize)) {
    let mut at = vec![0usize; dims.len()];
    let mut j = 0;
    for i in 0..dims.iter().product() {
        each(i, j);
        for axis in (0..dims.len()).rev() {
            at[axis] += 1;
            j += steps[axis];
            if at[axis] < dims[axis] {
                break;
            }
            j -= steps[axis] * dims[axis];
            at[axis] = 0;
        }
    }
}
