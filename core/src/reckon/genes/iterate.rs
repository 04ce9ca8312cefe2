//! Genotype probabilities by iterative peeling, family by family, until nothing moves
//! (van Arendonk, Smith and Kennedy 1989; Fernando, Stricker and Elston 1993). Exact without loops, near it with them.

use super::exact::Failed;
use super::locus::{Locus, Set, members, settled};
use super::net::Folk;
use crate::reckon::kinship::NONE;
use rapidhash::RapidHashMap;
use std::collections::BTreeMap;

/// Rounds at the most.
const ROUNDS: usize = 100;
/// Smaller moves count as none.
const STILL: f64 = 1e-10;

/// Two parents with all their lambs. The first two members are sire and dam; none stands for an unknown one.
struct Family {
    members: Vec<Option<u32>>,
    says: Vec<Vec<f64>>,
}

struct Net<'a> {
    locus: &'a Locus,
    /// What is known of each animal by itself.
    own: Vec<Vec<f64>>,
    families: Vec<Family>,
    /// Family and member of it, of each animal.
    part: Vec<Vec<(usize, usize)>>,
}

/// Probabilities of every genotype of each member, and whether they are exact all the same: no loop in the families.
pub(super) fn marginals(
    locus: &Locus,
    folk: &Folk,
    group: &[u32],
    left: &[Set],
) -> Result<(Vec<Vec<f64>>, bool), Failed> {
    let births = folk.births(group, left);
    let mut all: Vec<u32> = births.iter().flat_map(|c| std::iter::once(*c).chain(folk.above(*c))).collect();
    all.sort_unstable();
    all.dedup();
    let local: RapidHashMap<u32, u32> = all.iter().copied().zip(0..).collect();
    let own = all.iter().map(|at| {
        let founder = folk.parents[*at as usize] == [NONE, NONE];
        let mut known = vec![0.0; locus.len()];
        for g in members(left[*at as usize]) {
            known[g] = if founder { locus.prior[g] } else { 1.0 };
        }
        known
    });
    let own: Vec<Vec<f64>> = own.collect();
    // Lambs of one unknown parent need not share it: each is a family of its own.
    let mut by: BTreeMap<(u32, u32, u32), Vec<u32>> = BTreeMap::new();
    for c in &births {
        let [s, d] = folk.parents[*c as usize];
        if s == NONE && d == NONE {
            continue;
        }
        let alone = if s == NONE || d == NONE { *c } else { NONE };
        by.entry((s, d, alone)).or_default().push(*c);
    }
    let mut families: Vec<Family> = by
        .into_iter()
        .map(|((s, d, _), lambs)| {
            let find = |x: u32| local.get(&x).copied();
            let members: Vec<Option<u32>> =
                [find(s), find(d)].into_iter().chain(lambs.into_iter().map(find)).collect();
            let says = vec![vec![1.0; locus.len()]; members.len()];
            Family { members, says }
        })
        .collect();
    // The old ones first: most of the news runs down.
    families.sort_by_key(|f| f.members.iter().skip(2).flatten().min().copied());
    let mut part = vec![Vec::new(); all.len()];
    let (mut ties, mut free) = (0, 0);
    for (at, f) in families.iter().enumerate() {
        for (slot, m) in f.members.iter().enumerate() {
            if let Some(m) = m {
                part[*m as usize].push((at, slot));
                ties += usize::from(!settled(left[all[*m as usize] as usize]));
            }
        }
    }
    free += all.iter().filter(|at| !settled(left[**at as usize])).count();
    let tree = ties + 1 == free + families.len();
    let mut net = Net { locus, own, families, part };
    for _ in 0..ROUNDS {
        let mut moved: f64 = 0.0;
        for at in (0..net.families.len()).chain((0..net.families.len()).rev()) {
            moved = moved.max(net.peel(at)?);
        }
        if moved < STILL {
            break;
        }
    }
    let found: Result<Vec<_>, _> = group
        .iter()
        .map(|at| local.get(at).map_or(Err(Failed::Impossible), |v| net.belief(*v, usize::MAX)))
        .collect();
    Ok((found?, tree))
}

impl Net<'_> {
    /// What an animal is by itself and by its families, but for one of them.
    fn belief(&self, v: u32, but: usize) -> Result<Vec<f64>, Failed> {
        let mut b = self.own[v as usize].clone();
        for (f, slot) in self.part[v as usize].iter().filter(|(f, _)| *f != but) {
            b.iter_mut().zip(&self.families[*f].says[*slot]).for_each(|(x, y)| *x *= y);
        }
        whole(&mut b)?;
        Ok(b)
    }

    /// What a family says of each of its members, by all others of it. How far it moved.
    fn peel(&mut self, at: usize) -> Result<f64, Failed> {
        let locus = self.locus;
        let n = locus.len();
        let f = &self.families[at];
        let hears = f.members.iter().map(|m| match m {
            Some(v) => self.belief(*v, at),
            None => Ok(locus.prior.clone()),
        });
        let hears: Vec<Vec<f64>> = hears.collect::<Result<_, _>>()?;
        let kids = &hears[2..];
        // For each pair of parents: the chance of each lamb's own news, and of that of all lambs but one.
        let mut says = vec![vec![0.0; n]; hears.len()];
        let mut of = vec![0.0; kids.len()];
        for g in (0..n).filter(|g| hears[0][*g] > 0.0) {
            for h in (0..n).filter(|h| hears[1][*h] > 0.0) {
                let handed = |a: usize, b: usize| locus.of(locus.genotypes[g][a], locus.genotypes[h][b]);
                let lambs = [handed(0, 0), handed(0, 1), handed(1, 0), handed(1, 1)];
                for (x, k) in of.iter_mut().zip(kids) {
                    *x = lambs.iter().map(|i| k[*i]).sum::<f64>() / 4.0;
                }
                let zeros = of.iter().filter(|x| **x == 0.0).count();
                let product: f64 = of.iter().filter(|x| **x != 0.0).product();
                let together = if zeros == 0 { product } else { 0.0 };
                says[0][g] += hears[1][h] * together;
                says[1][h] += hears[0][g] * together;
                let both = hears[0][g] * hears[1][h];
                for (k, x) in of.iter().enumerate() {
                    let others = match (zeros, *x == 0.0) {
                        (0, _) => product / x,
                        (1, true) => product,
                        _ => 0.0,
                    };
                    if others > 0.0 {
                        for i in lambs {
                            says[k + 2][i] += both * others / 4.0;
                        }
                    }
                }
            }
        }
        let mut moved: f64 = 0.0;
        for (slot, new) in says.iter_mut().enumerate() {
            if self.families[at].members[slot].is_none() {
                continue;
            }
            whole(new)?;
            let old = &self.families[at].says[slot];
            moved = new.iter().zip(old).fold(moved, |m, (a, b)| m.max((a - b).abs()));
        }
        self.families[at].says = says;
        Ok(moved)
    }
}

fn whole(of: &mut [f64]) -> Result<(), Failed> {
    let sum: f64 = of.iter().sum();
    if !(sum > 0.0) {
        return Err(Failed::Impossible);
    }
    of.iter_mut().for_each(|x| *x /= sum);
    Ok(())
}
