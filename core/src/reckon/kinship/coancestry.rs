//! Coancestry of pairs and sets without the whole matrix: rows of A = T·D·Tᵀ (Colleau 2002).

use super::inbreeding::within;
use super::pedigree::{NONE, Pedigree};

/// A pedigree with the inbreeding of all its animals: what every question of kinship is answered from.
#[derive(Debug, Clone, Default)]
pub struct Kin {
    /// The pedigree.
    pub pedigree: Pedigree,
    /// Inbreeding by place.
    pub f: Vec<f64>,
}

impl Kin {
    /// Reckons the inbreeding of all.
    pub fn of(pedigree: Pedigree, threads: usize) -> Self {
        let f = super::inbreeding(&pedigree, threads);
        Self { pedigree, f }
    }

    /// D of an animal.
    fn d(&self, i: usize) -> f64 {
        within(self.pedigree.parents()[i], &self.f)
    }

    /// A·x for any weights x, by place: w(i) = Σ over j of a(i,j)·x(j). One sweep up, one down.
    ///
    /// # Panics
    /// `x` is not as long as the pedigree.
    pub fn times(&self, x: &[f64]) -> Vec<f64> {
        assert_eq!(x.len(), self.pedigree.len(), "a weight for each animal");
        let parents = self.pedigree.parents();
        let mut w = x.to_vec();
        for i in (0..w.len()).rev() {
            let half = 0.5 * w[i];
            for p in parents[i] {
                if p != NONE {
                    w[p as usize] += half;
                }
            }
        }
        for i in 0..w.len() {
            w[i] *= self.d(i);
            for p in parents[i] {
                if p != NONE {
                    w[i] += 0.5 * w[p as usize];
                }
            }
        }
        w
    }

    /// Coancestry of one animal with each of the others: f = a/2 (Malécot 1948), what a lamb of the two would be
    /// inbred. Only the ancestors of those asked about are visited.
    pub fn with_each(&self, one: u32, others: &[u32]) -> Vec<f64> {
        let parents = self.pedigree.parents();
        let n = self.pedigree.len();
        let (mut up, mut down) = (vec![0.0; n], vec![0.0; n]);
        up[one as usize] = 1.0;
        for i in self.ancestors([one]).into_iter().rev() {
            let half = 0.5 * up[i as usize];
            for p in parents[i as usize].into_iter().filter(|p| *p != NONE) {
                up[p as usize] += half;
            }
        }
        for i in self.ancestors(others.iter().copied().chain([one])) {
            let i = i as usize;
            let own = if up[i] == 0.0 { 0.0 } else { up[i] * self.d(i) };
            let from: f64 =
                parents[i].iter().filter(|p| **p != NONE).map(|p| 0.5 * down[*p as usize]).sum::<f64>() + 0.0;
            down[i] = own + from;
        }
        others.iter().map(|o| 0.5 * down[*o as usize]).collect()
    }

    /// Coancestry of two animals; of an animal with itself (1 + F)/2.
    pub fn pair(&self, a: u32, b: u32) -> f64 {
        self.with_each(a, &[b]).first().copied().unwrap_or_default()
    }

    /// What a lamb of these parents is inbred; 0 where one is not known.
    pub(super) fn of_parents(&self, sire: u32, dam: u32) -> f64 {
        if sire == NONE || dam == NONE { 0.0 } else { self.pair(sire, dam) }
    }

    /// A lamb more, of these parents: its place and inbreeding. Nothing else is reckoned anew.
    pub fn lamb(&mut self, sire: u32, dam: u32) -> (u32, f64) {
        let f = self.of_parents(sire, dam);
        let place = self.pedigree.push(sire, dam);
        self.f.push(f);
        (place, f)
    }

    /// Mean kinship of each of these animals: the mean of its coancestry with all of them, itself included
    /// (Ballou and Lacy 1995). Low is rare blood.
    pub fn mean_kinship(&self, living: &[u32]) -> Vec<f64> {
        if living.is_empty() {
            return Vec::new();
        }
        let mut x = vec![0.0; self.pedigree.len()];
        for i in living {
            x[*i as usize] += 1.0;
        }
        let w = self.times(&x);
        living.iter().map(|i| 0.5 * w[*i as usize] / living.len() as f64).collect()
    }

    /// The coancestry of a set with itself: the mean over all its pairs, each animal with itself included.
    pub fn mean_coancestry(&self, set: &[u32]) -> f64 {
        let all = self.mean_kinship(set);
        if all.is_empty() { 0.0 } else { all.iter().sum::<f64>() / all.len() as f64 }
    }

    /// Coancestry of every pair of a set, row by row. For as many animals as fit: n² values.
    pub fn matrix(&self, set: &[u32]) -> Vec<Vec<f64>> {
        // The pedigree of the set alone, with what D says of each.
        let (above, old) = self.pedigree.above(set);
        let parents = above.parents();
        let d: Vec<f64> = old.iter().map(|i| self.d(*i as usize)).collect();
        let place = |i: &u32| old.binary_search(i).unwrap_or_default();
        let at: Vec<usize> = set.iter().map(place).collect();
        let mut w = vec![0.0; above.len()];
        let row = |one: &usize| {
            w.fill(0.0);
            w[*one] = 1.0;
            for i in (0..=*one).rev() {
                let half = 0.5 * w[i];
                if half > 0.0 {
                    parents[i].iter().filter(|p| **p != NONE).for_each(|p| w[*p as usize] += half);
                }
            }
            for i in 0..w.len() {
                let from: f64 =
                    parents[i].iter().filter(|p| **p != NONE).map(|p| 0.5 * w[*p as usize]).sum::<f64>()
                        + 0.0;
                w[i] = w[i] * d[i] + from;
            }
            at.iter().map(|i| 0.5 * w[*i]).collect()
        };
        at.iter().map(row).collect()
    }

    /// These animals and all their ancestors, ancestors first.
    pub fn ancestors(&self, of: impl IntoIterator<Item = u32>) -> Vec<u32> {
        let parents = self.pedigree.parents();
        let mut seen = vec![false; parents.len()];
        let mut first = |i: u32| !std::mem::replace(&mut seen[i as usize], true);
        let mut stack: Vec<u32> = of.into_iter().filter(|i| first(*i)).collect();
        let mut all = stack.clone();
        while let Some(i) = stack.pop() {
            for p in parents[i as usize].into_iter().filter(|p| *p != NONE) {
                if first(p) {
                    stack.push(p);
                    all.push(p);
                }
            }
        }
        // Parents stand before their children everywhere. Where nearly all are ancestors a walk beats sorting.
        if all.len() > parents.len() / 16 {
            all.clear();
            all.extend((0..seen.len() as u32).filter(|i| seen[*i as usize]));
        } else {
            all.sort_unstable();
        }
        all
    }
}
