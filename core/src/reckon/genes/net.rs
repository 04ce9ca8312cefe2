//! Who hands genes to whom, and what results of tests leave possible.

use super::locus::{Locus, Set, settled};
use crate::reckon::kinship::{NONE, Pedigree};
use std::collections::VecDeque;

/// A pedigree with the lambs of each animal; parents stand before their lambs.
#[derive(Debug, Clone, Default)]
pub(super) struct Folk {
    pub(super) parents: Vec<[u32; 2]>,
    pub(super) lambs: Vec<Vec<u32>>,
}

impl Folk {
    pub(super) fn of(pedigree: &Pedigree) -> Self {
        let parents = pedigree.parents().to_vec();
        let mut lambs = vec![Vec::new(); parents.len()];
        for (i, both) in parents.iter().enumerate() {
            for p in both.iter().filter(|p| **p != NONE) {
                lambs[*p as usize].push(i as u32);
            }
        }
        Self { parents, lambs }
    }

    pub(super) fn len(&self) -> usize {
        self.parents.len()
    }

    /// Sire and dam, those that are known.
    pub(super) fn above(&self, at: u32) -> impl Iterator<Item = u32> {
        self.parents[at as usize].into_iter().filter(|p| *p != NONE)
    }

    /// Takes every genotype out that fits nothing its parents and lambs may have, until nothing more goes.
    ///
    /// # Errors
    /// An animal of which no genotype is left.
    pub(super) fn settle(&self, locus: &Locus, left: &mut [Set]) -> Result<(), u32> {
        let all = locus.all();
        let mut waits = vec![false; self.len()];
        let mut queue = VecDeque::new();
        let moved = |at: u32, waits: &mut [bool], queue: &mut VecDeque<u32>| {
            for c in std::iter::once(at).chain(self.lambs[at as usize].iter().copied()) {
                if !std::mem::replace(&mut waits[c as usize], true) {
                    queue.push_back(c);
                }
            }
        };
        for at in 0..self.len() {
            if left[at] == 0 {
                return Err(at as u32);
            }
            if left[at] != all {
                moved(at as u32, &mut waits, &mut queue);
            }
        }
        while let Some(c) = queue.pop_front() {
            waits[c as usize] = false;
            let [s, d] = self.parents[c as usize];
            let gives = |p: u32, left: &[Set]| {
                if p == NONE { locus.every_allele() } else { locus.alleles(left[p as usize]) }
            };
            let now = left[c as usize] & locus.lambs(gives(s, left), gives(d, left));
            let found = [
                Some((c, now)),
                (s != NONE).then(|| (s, left[s as usize] & locus.parents(now, gives(d, left)))),
                (d != NONE).then(|| (d, left[d as usize] & locus.parents(now, gives(s, left)))),
            ];
            for (who, set) in found.into_iter().flatten() {
                if set == 0 {
                    return Err(who);
                }
                if set != left[who as usize] {
                    left[who as usize] = set;
                    moved(who, &mut waits, &mut queue);
                }
            }
        }
        Ok(())
    }

    /// Animals whose genotypes hang together, each set in order; one whose genotype is settled hangs on nobody.
    pub(super) fn groups(&self, left: &[Set]) -> Vec<Vec<u32>> {
        let n = self.len();
        let mut head: Vec<u32> = (0..n as u32).collect();
        fn top(head: &mut [u32], mut at: u32) -> u32 {
            while head[at as usize] != at {
                head[at as usize] = head[head[at as usize] as usize];
                at = head[at as usize];
            }
            at
        }
        let free = |at: u32| !settled(left[at as usize]);
        for c in 0..n as u32 {
            let trio = std::iter::once(c).chain(self.above(c)).filter(|x| free(*x));
            let trio: Vec<u32> = trio.collect();
            for pair in trio.windows(2) {
                let (a, b) = (top(&mut head, pair[0]), top(&mut head, pair[1]));
                head[a.max(b) as usize] = a.min(b);
            }
        }
        let mut place = vec![u32::MAX; n];
        let mut groups: Vec<Vec<u32>> = Vec::new();
        for at in (0..n as u32).filter(|at| free(*at)) {
            let t = top(&mut head, at) as usize;
            if place[t] == u32::MAX {
                place[t] = groups.len() as u32;
                groups.push(Vec::new());
            }
            groups[place[t] as usize].push(at);
        }
        groups
    }

    /// Of these animals (in order), those that something is said of, and the ancestors of these among them.
    pub(super) fn core(&self, group: &[u32], marked: impl Fn(u32) -> bool, left: &[Set]) -> Vec<u32> {
        let mut needed = rapidhash::RapidHashSet::default();
        for at in group.iter().rev() {
            let below =
                self.lambs[*at as usize].iter().any(|c| needed.contains(c) || (settled(left[*c as usize])));
            if below || marked(*at) {
                needed.insert(*at);
            }
        }
        group.iter().copied().filter(|at| needed.contains(at)).collect()
    }

    /// The members and those of their lambs whose genotype is settled: every one whose birth ties members together.
    pub(super) fn births(&self, group: &[u32], left: &[Set]) -> Vec<u32> {
        let mut all = group.to_vec();
        for at in group {
            all.extend(self.lambs[*at as usize].iter().copied().filter(|c| settled(left[*c as usize])));
        }
        all.sort_unstable();
        all.dedup();
        all
    }
}
