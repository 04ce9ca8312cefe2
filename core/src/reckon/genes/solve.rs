//! One locus in a whole flock: what is left possible, probabilities, and results that do not go together.

use super::exact::{self, Failed};
use super::iterate;
use super::locus::{Locus, Set, members, settled};
use super::net::Folk;
use rapidhash::RapidHashSet;
use std::sync::Arc;

/// So many unsettled animals are looked at exactly as a whole; of more, only those with results and their ancestors.
const WHOLE: usize = 5_000;
/// Of more than so many, not even these.
const CORE: usize = 20_000;
/// So many clashes are found before the rest of the results is left out.
const CLASHES: usize = 50;

/// One locus in a whole flock.
#[derive(Debug, Clone)]
pub(super) struct Solved {
    pub(super) locus: Locus,
    folk: Arc<Folk>,
    /// What is said of each animal, without the results that clash.
    said: Vec<Set>,
    /// What is left possible.
    left: Vec<Set>,
    /// Probability of each genotype, animal by animal.
    chances: Vec<f64>,
    exact: Vec<bool>,
    /// The group an animal hangs together with; none for a settled one.
    group: Vec<u32>,
    groups: Vec<Vec<u32>>,
    /// Places whose results cannot all be right, each set as small as can be.
    pub(super) clashes: Vec<Vec<u32>>,
}

impl Solved {
    /// Reckons it. Results that cannot all be right are set aside and named.
    pub(super) fn of(locus: Locus, folk: &Arc<Folk>, mut said: Vec<Set>) -> Self {
        let all = locus.all();
        let mut clashes: Vec<Vec<u32>> = Vec::new();
        loop {
            if clashes.len() >= CLASHES {
                said.fill(all);
            }
            match solve(&locus, folk, &said) {
                Ok(mut solved) => {
                    solved.clashes = clashes;
                    return solved;
                }
                Err(at) => {
                    let clash = narrow(&locus, folk, &said, &at);
                    if clash.is_empty() {
                        said.fill(all);
                    }
                    clash.iter().for_each(|c| said[*c as usize] = all);
                    clashes.push(clash);
                }
            }
        }
    }

    /// Probability of each genotype of an animal.
    pub(super) fn chances(&self, at: u32) -> &[f64] {
        let n = self.locus.len();
        &self.chances[at as usize * n..(at as usize + 1) * n]
    }

    /// Whether these probabilities are exact.
    pub(super) fn exact(&self, at: u32) -> bool {
        self.exact[at as usize]
    }

    /// Whether a result of this animal is in the reckoning.
    pub(super) fn told(&self, at: u32) -> bool {
        self.said[at as usize] != self.locus.all()
    }

    /// Genotypes of a lamb of one animal with each of the others, and whether they are exact: the parents' genotypes
    /// are taken together, since relations share what is not known of them.
    pub(super) fn lambs(&self, one: u32, others: &[u32]) -> Vec<(Vec<f64>, bool)> {
        let group = self.group[one as usize];
        let bound: Vec<u32> = others
            .iter()
            .copied()
            .filter(|o| group != u32::MAX && self.group[*o as usize] == group)
            .collect();
        let together = if bound.is_empty() { None } else { self.beside(one, &bound) };
        others
            .iter()
            .map(|o| {
                let at = bound.iter().position(|b| b == o);
                match (at, &together) {
                    (Some(at), Some(given)) => {
                        (self.mix(one, given.iter().map(|(g, of)| (*g, of[at].as_slice()))), true)
                    }
                    (None, _) => {
                        let apart = members(self.left[one as usize]).map(|g| (g, self.chances(*o)));
                        (self.mix(one, apart), self.exact(one) && self.exact(*o))
                    }
                    (Some(_), None) => {
                        let apart = members(self.left[one as usize]).map(|g| (g, self.chances(*o)));
                        (self.mix(one, apart), false)
                    }
                }
            })
            .collect()
    }

    fn mix<'a>(&self, one: u32, given: impl Iterator<Item = (usize, &'a [f64])>) -> Vec<f64> {
        let mut lamb = vec![0.0; self.locus.len()];
        for (g, other) in given {
            for (h, p) in other.iter().enumerate().filter(|(_, p)| **p > 0.0) {
                let both = self.chances(one)[g] * p;
                for (i, l) in lamb.iter_mut().enumerate() {
                    *l += both * self.locus.lamb(i, Some(g), Some(h));
                }
            }
        }
        lamb
    }

    /// For each genotype of one animal, those of the others; none where that is too wide.
    fn beside(&self, one: u32, others: &[u32]) -> Option<Vec<(usize, Vec<Vec<f64>>)>> {
        if !self.exact(one) {
            return None;
        }
        let whole = self.groups.get(self.group[one as usize] as usize)?;
        let asked: RapidHashSet<u32> = others.iter().copied().chain([one]).collect();
        let core = self.folk.core(whole, |at| self.told(at) || asked.contains(&at), &self.left);
        let mut left = self.left.clone();
        let mut all = Vec::new();
        for g in members(self.left[one as usize]).filter(|g| self.chances(one)[*g] > 0.0) {
            left[one as usize] = 1 << g;
            let group: Vec<u32> = core.iter().copied().filter(|at| *at != one).collect();
            // He himself was born too: his birth tells of his parents.
            let found = exact::marginals_with(&self.locus, &self.folk, &group, &[one], &left).ok()?;
            let of = others.iter().map(|o| match group.binary_search(o) {
                Ok(at) => found[at].clone(),
                Err(_) => self.chances(*o).to_vec(),
            });
            all.push((g, of.collect()));
        }
        Some(all)
    }
}

/// # Errors
/// The animals among which the results cannot all be right.
fn solve(locus: &Locus, folk: &Arc<Folk>, said: &[Set]) -> Result<Solved, Vec<u32>> {
    let n = locus.len();
    let mut left = said.to_vec();
    folk.settle(locus, &mut left).map_err(|at| vec![at])?;
    let mut chances = vec![0.0; folk.len() * n];
    let mut exact = vec![true; folk.len()];
    for (at, set) in left.iter().enumerate().filter(|(_, s)| settled(**s)) {
        members(*set).for_each(|g| chances[at * n + g] = 1.0);
    }
    let groups = folk.groups(&left);
    let mut group = vec![u32::MAX; folk.len()];
    for (number, members) in groups.iter().enumerate() {
        members.iter().for_each(|at| group[*at as usize] = number as u32);
        let impossible = |_: Failed| members.clone();
        let mut put = |who: &[u32], found: Vec<Vec<f64>>| {
            for (at, c) in who.iter().zip(found) {
                chances[*at as usize * n..(*at as usize + 1) * n].copy_from_slice(&c);
            }
        };
        if members.len() <= WHOLE {
            match exact::marginals(locus, folk, members, &left) {
                Ok(found) => {
                    put(members, found);
                    continue;
                }
                Err(Failed::Impossible) => return Err(members.clone()),
                Err(Failed::TooWide) => {}
            }
        }
        let (found, tree) = iterate::marginals(locus, folk, members, &left).map_err(impossible)?;
        put(members, found);
        if tree {
            continue;
        }
        members.iter().for_each(|at| exact[*at as usize] = false);
        // Those with results, and their ancestors, may be few enough: others say nothing of them.
        let core = folk.core(members, |at| said[at as usize] != locus.all(), &left);
        if core.is_empty() || core.len() > CORE || core.len() == members.len() {
            continue;
        }
        match exact::marginals(locus, folk, &core, &left) {
            Ok(found) => {
                put(&core, found);
                core.iter().for_each(|at| exact[*at as usize] = true);
            }
            Err(Failed::Impossible) => return Err(core),
            Err(Failed::TooWide) => {}
        }
    }
    Ok(Solved {
        locus: locus.clone(),
        folk: Arc::clone(folk),
        said: said.to_vec(),
        left,
        chances,
        exact,
        group,
        groups,
        clashes: Vec::new(),
    })
}

/// The fewest results that cannot all be right: those nearest to where it was found out, then each left out in turn.
fn narrow(locus: &Locus, folk: &Arc<Folk>, said: &[Set], found: &[u32]) -> Vec<u32> {
    let all = locus.all();
    let impossible = |of: &[u32]| {
        let mut some = vec![all; said.len()];
        of.iter().for_each(|at| some[*at as usize] = said[*at as usize]);
        if folk.settle(locus, &mut some).is_err() {
            return true;
        }
        found.len() > 1
            && folk.groups(&some).iter().any(|g| {
                let core = folk.core(g, |at| of.contains(&at), &some);
                exact::marginals(locus, folk, &core, &some).err() == Some(Failed::Impossible)
            })
    };
    let mut seen: RapidHashSet<u32> = found.iter().copied().collect();
    let mut edge = found.to_vec();
    let mut of: Vec<u32> = Vec::new();
    while !edge.is_empty() {
        let fresh: Vec<u32> = edge.iter().copied().filter(|at| said[*at as usize] != all).collect();
        of.extend(&fresh);
        if !fresh.is_empty() && impossible(&of) {
            break;
        }
        let mut next = Vec::new();
        for at in edge {
            for n in folk.above(at).chain(folk.lambs[at as usize].iter().copied()) {
                if seen.insert(n) {
                    next.push(n);
                }
            }
        }
        edge = next;
    }
    of.sort_unstable();
    let mut kept = 0;
    while kept < of.len() {
        let mut less = of.clone();
        less.remove(kept);
        if impossible(&less) {
            of = less;
        } else {
            kept += 1;
        }
    }
    of
}
