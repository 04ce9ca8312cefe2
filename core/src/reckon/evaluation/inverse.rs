//! The inverse of the numerator relationship matrix, by rules.

use super::Unfit;
use crate::reckon::kinship::{NONE, Pedigree, inbreeding, within};
use std::sync::Arc;

/// Relationship of the animals of a pedigree, A, as it is used: through A⁻¹, never as A itself.
///
/// A⁻¹ = T⁻ᵀ·D⁻¹·T⁻¹ (Henderson 1976, A simple method for computing the inverse of a numerator relationship matrix,
/// Biometrics 32; with inbreeding: Quaas 1976, Biometrics 32), where D is what is left of an animal once its parents
/// are known.
#[derive(Debug, Clone)]
pub struct Relationship {
    pedigree: Arc<Pedigree>,
    f: Vec<f64>,
    d: Vec<f64>,
}

impl Relationship {
    /// Reckons everyone's inbreeding and what is left of each.
    ///
    /// # Errors
    /// A parent stands after its child, or an animal is left nothing of its own (a clone).
    pub fn of(pedigree: Arc<Pedigree>) -> Result<Self, Unfit> {
        let late = |(i, p): (usize, &[u32; 2])| p.iter().any(|p| *p != NONE && *p as usize >= i);
        if pedigree.parents().iter().enumerate().any(late) {
            return Err(Unfit::Circle);
        }
        let f = inbreeding(&pedigree, 2);
        let d: Vec<f64> = pedigree.parents().iter().map(|p| within(*p, &f)).collect();
        if d.iter().any(|d| *d <= 1e-9) {
            return Err(Unfit::NoAnswer(
                "the pedigree is so inbred that some lambs are copies of their parents: look at it under Blood, Doubts"
                    .into(),
            ));
        }
        Ok(Self { pedigree, f, d })
    }

    /// The pedigree.
    pub fn pedigree(&self) -> &Arc<Pedigree> {
        &self.pedigree
    }

    /// How many animals.
    pub fn len(&self) -> usize {
        self.d.len()
    }

    /// None at all.
    pub fn is_empty(&self) -> bool {
        self.d.is_empty()
    }

    /// Inbreeding of each animal by place.
    pub fn inbreeding(&self) -> &[f64] {
        &self.f
    }

    /// What is left of each animal once its parents are known, by place (1 for founders).
    pub fn within(&self) -> &[f64] {
        &self.d
    }

    /// Natural logarithm of the determinant of A: Σ ln D.
    pub fn log_det(&self) -> f64 {
        self.d.iter().map(|d| d.ln()).sum()
    }

    /// Every contribution to A⁻¹ on or above the diagonal, in a fixed order: row, column (row ≤ column), value.
    /// Contributions to one place are to be added up. With α = 1/D(j): α at (j, j), −α/2 at (j, parent), α/4 at
    /// (parent, parent).
    pub fn each(&self, mut add: impl FnMut(u32, u32, f64)) {
        for (j, (parents, d)) in self.pedigree.parents().iter().zip(&self.d).enumerate() {
            let (j, alpha) = (j as u32, 1.0 / d);
            add(j, j, alpha);
            for p in parents.iter().filter(|p| **p != NONE) {
                add(*p, j, -0.5 * alpha);
                for q in parents.iter().filter(|q| **q != NONE && *p <= **q) {
                    add(*p, *q, 0.25 * alpha);
                }
            }
        }
    }

    /// out += scale · A⁻¹·x for one of several interleaved vectors: value i stands at `i·step + at`.
    pub fn add_inverse_times(
        &self,
        scale: f64,
        x: &[f64],
        at: usize,
        out: &mut [f64],
        to: usize,
        step: usize,
    ) {
        for (j, (parents, d)) in self.pedigree.parents().iter().zip(&self.d).enumerate() {
            let mut own = x[j * step + at];
            for p in parents.iter().filter(|p| **p != NONE) {
                own -= 0.5 * x[*p as usize * step + at];
            }
            let part = scale * own / d;
            out[j * step + to] += part;
            for p in parents.iter().filter(|p| **p != NONE) {
                out[*p as usize * step + to] -= 0.5 * part;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A by the tabular rules (Henderson 1976).
    pub(crate) fn tabular(parents: &[[u32; 2]]) -> Vec<Vec<f64>> {
        let n = parents.len();
        let mut a = vec![vec![0.0; n]; n];
        for i in 0..n {
            let [s, d] = parents[i];
            for j in 0..i {
                let half = |p: u32, a: &Vec<Vec<f64>>| if p == NONE { 0.0 } else { 0.5 * a[j][p as usize] };
                let v = half(s, &a) + half(d, &a);
                (a[i][j], a[j][i]) = (v, v);
            }
            a[i][i] = 1.0 + if s == NONE || d == NONE { 0.0 } else { 0.5 * a[s as usize][d as usize] };
        }
        a
    }

    fn dense(r: &Relationship) -> Vec<Vec<f64>> {
        let mut m = vec![vec![0.0; r.len()]; r.len()];
        r.each(|i, j, v| {
            m[i as usize][j as usize] += v;
            if i != j {
                m[j as usize][i as usize] += v;
            }
        });
        m
    }

    fn times(a: &[Vec<f64>], b: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let n = a.len();
        (0..n).map(|i| (0..n).map(|j| (0..n).map(|k| a[i][k] * b[k][j]).sum()).collect()).collect()
    }

    fn pedigree(parents: &[[u32; 2]]) -> Pedigree {
        let mut p = Pedigree::default();
        for [s, d] in parents {
            p.push(*s, *d);
        }
        p
    }

    fn is_inverse(parents: &[[u32; 2]]) {
        let r = Relationship::of(Arc::new(pedigree(parents))).unwrap();
        let (a, inverse) = (tabular(parents), dense(&r));
        for (i, row) in times(&a, &inverse).iter().enumerate() {
            for (j, v) in row.iter().enumerate() {
                let unit = f64::from(u8::from(i == j));
                assert!((v - unit).abs() < 1e-9, "({i}, {j}) is {v}");
            }
        }
        // The product without the matrix is that of the matrix.
        let x: Vec<f64> = (0..r.len()).map(|i| (i as f64).sin()).collect();
        let mut y = vec![0.0; r.len()];
        r.add_inverse_times(1.0, &x, 0, &mut y, 0, 1);
        for (row, y) in inverse.iter().zip(&y) {
            let sum: f64 = row.iter().zip(&x).map(|(a, b)| a * b).sum();
            assert!((sum - y).abs() < 1e-9);
        }
    }

    #[test]
    fn the_printed_example() {
        // Mrode, Linear Models for the Prediction of Animal Breeding Values, table 2.1; its inverse by hand.
        let six = [[NONE, NONE], [NONE, NONE], [0, 1], [0, NONE], [3, 2], [4, 1]];
        let r = Relationship::of(Arc::new(pedigree(&six))).unwrap();
        assert_eq!(r.inbreeding(), [0.0, 0.0, 0.0, 0.0, 0.125, 0.125]);
        assert_eq!(r.within(), [1.0, 1.0, 0.5, 0.75, 0.5, 0.46875]);
        is_inverse(&six);
        let m = dense(&r);
        assert!((m[0][0] - (1.0 + 0.5 + 1.0 / 3.0)).abs() < 1e-12);
        assert!((m[1][5] + 0.5 / 0.46875).abs() < 1e-12);
        assert!((r.log_det() - (0.5f64 * 0.75 * 0.5 * 0.46875).ln()).abs() < 1e-12);
    }

    #[test]
    fn nothing_and_one_animal() {
        assert!(Relationship::of(Arc::default()).unwrap().is_empty());
        is_inverse(&[[NONE, NONE]]);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn a_times_its_inverse_is_one(picks in proptest::collection::vec((0u32..100, 0u32..100), 1..30)) {
            let parents: Vec<[u32; 2]> = picks
                .iter()
                .enumerate()
                .map(|(i, (s, d))| {
                    let of = |p: u32| if p.is_multiple_of(5) || i == 0 { NONE } else { p % i as u32 };
                    let (s, d) = (of(*s), of(*d));
                    if s == d { [s, NONE] } else { [s, d] }
                })
                .collect();
            is_inverse(&parents);
        }
    }
}
