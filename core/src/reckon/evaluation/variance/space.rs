//! Where the variances are sought: the triangles L of every block's matrix G = L·Lᵀ, and the root of the residual variance.

use super::super::problem::{Problem, Unfit};
use crate::phrase;
use faer::{Mat, Side, prelude::Solve as _};

/// Below this a triangle's diagonal is not let sink.
const LEAST: f64 = 1e-4;

/// Block, row and column of a variance; none for the residual.
type Named = Option<(usize, usize, usize)>;

/// A place in the space of variances.
#[derive(Debug, Clone)]
pub(super) struct Space {
    /// Block, row and column of each variance (row ≥ column), none for the residual; and whether the block follows a
    /// pedigree.
    names: Vec<(Named, bool)>,
    /// Entries of the triangles, in the order of the names.
    l: Vec<f64>,
}

impl Space {
    /// The variances of a problem.
    pub(super) fn of(problem: &Problem) -> Result<Self, Unfit> {
        let (mut names, mut l) = (Vec::new(), Vec::new());
        for (b, block) in problem.blocks.iter().enumerate() {
            let q = block.effects.len();
            let given = |i: usize, j: usize| block.variance.get(i * q + j).copied().unwrap_or(f64::NAN);
            let g = Mat::from_fn(q, q, given);
            let sound = block.variance.len() == q * q && block.variance.iter().all(|v| v.is_finite());
            let triangle = if sound { g.llt(Side::Lower).ok() } else { None };
            let triangle = triangle.ok_or_else(|| {
                let what: Vec<&str> = block.effects.iter().map(|e| e.name.as_str()).collect();
                Unfit::Variance(phrase!(
                    "the search needs variances above nought to start from: {}",
                    what.join(" and ")
                ))
            })?;
            for i in 0..q {
                for j in 0..=i {
                    names.push((Some((b, i, j)), block.pedigree.is_some()));
                    l.push(triangle.L()[(i, j)]);
                }
            }
        }
        if !(problem.residual.is_finite() && problem.residual > 0.0) {
            return Err(Unfit::Variance("the residual variance must be above nought".into()));
        }
        names.push((None, false));
        l.push(problem.residual.sqrt());
        Ok(Self { names, l })
    }

    /// Brings the start to records that were divided by `scale`: the shares stay, and all variance is one.
    pub(super) fn start(&mut self, scale: f64) {
        let all: f64 = self.whole().iter().zip(self.theta()).map(|(c, t)| c * t).sum();
        let by = if all.is_finite() && all > 0.0 { all.sqrt() } else { scale };
        for (k, l) in self.l.iter_mut().enumerate() {
            *l /= by;
            if matches!(self.names[k].0, Some((_, i, j)) if i == j) {
                *l = l.max(0.05);
            }
        }
    }

    pub(super) fn names(&self) -> &[(Named, bool)] {
        &self.names
    }

    fn place(&self, of: Named) -> usize {
        self.names.iter().position(|n| n.0 == of).unwrap_or(self.names.len() - 1)
    }

    fn low(&self, b: usize, i: usize, j: usize) -> f64 {
        if j > i { 0.0 } else { self.l[self.place(Some((b, i, j)))] }
    }

    /// The variances.
    pub(super) fn theta(&self) -> Vec<f64> {
        let of = |name: &Option<(usize, usize, usize)>, own: f64| match *name {
            None => own * own,
            Some((b, i, j)) => (0..=j).map(|k| self.low(b, i, k) * self.low(b, j, k)).sum(),
        };
        self.names.iter().zip(&self.l).map(|((name, _), own)| of(name, *own)).collect()
    }

    /// What each variance adds to all variance of a record: one for a variance; one for a covariance of effects that
    /// follow a pedigree, as that of direct and maternal counts twice half.
    pub(super) fn whole(&self) -> Vec<f64> {
        let of = |(name, kin): &(Option<(usize, usize, usize)>, bool)| match name {
            Some((_, i, j)) if i != j => f64::from(u8::from(*kin)),
            _ => 1.0,
        };
        self.names.iter().map(of).collect()
    }

    /// ∂θ(row)/∂l(column).
    fn slopes(&self) -> Mat<f64> {
        let n = self.names.len();
        Mat::from_fn(n, n, |row, col| match (self.names[row].0, self.names[col].0) {
            (None, None) => 2.0 * self.l[col],
            (Some((b, i, j)), Some((c, a, k))) if b == c => {
                let mut slope = 0.0;
                if i == a {
                    slope += self.low(b, j, k);
                }
                if j == a {
                    slope += self.low(b, i, k);
                }
                slope
            }
            _ => 0.0,
        })
    }

    /// Score and information for the triangles from those for the variances. The curvature of G = L·Lᵀ is taken
    /// along where it keeps the matrix definite: without it a variance that goes to nought would not settle.
    pub(super) fn inner(&self, score: &[f64], information: &Mat<f64>) -> (Vec<f64>, Mat<f64>) {
        let (n, j) = (self.names.len(), self.slopes());
        let s = Mat::from_fn(n, 1, |k, _| score[k]);
        let inner = j.transpose() * &s;
        let plain = j.transpose() * information * &j;
        let mut full = plain.clone();
        for (k, (name, _)) in self.names.iter().enumerate() {
            match *name {
                None => full[(k, k)] -= 2.0 * score[k],
                Some((b, i, j)) => {
                    for c in 0..=j {
                        let (p, q) = (self.place(Some((b, i, c))), self.place(Some((b, j, c))));
                        full[(p, q)] -= score[k];
                        full[(q, p)] -= score[k];
                    }
                }
            }
        }
        let definite = full.llt(Side::Lower).is_ok();
        ((0..n).map(|k| inner[(k, 0)]).collect(), if definite { full } else { plain })
    }

    /// This place and a step. A diagonal sinks to a tenth at the most, so that it stays above nought.
    pub(super) fn moved(&self, step: &[f64]) -> Self {
        let mut next = self.clone();
        for (k, s) in step.iter().enumerate() {
            let diagonal = self.names[k].0.is_none_or(|(_, i, j)| i == j);
            let to = self.l[k] + s;
            next.l[k] = if diagonal { to.max(0.1 * self.l[k]).max(LEAST) } else { to };
        }
        next
    }

    /// The step of expectation and maximisation: G + G·W·G/levels, W from the scores.
    pub(super) fn expected(&self, score: &[f64], levels: &[usize]) -> Option<Self> {
        let (mut next, theta) = (self.clone(), self.theta());
        let blocks = self.names.iter().filter_map(|(n, _)| n.map(|n| n.0)).max().map_or(0, |b| b + 1);
        for (b, of) in levels.iter().enumerate().take(blocks) {
            let q =
                self.names.iter().filter(|(n, _)| matches!(n, Some((c, i, j)) if *c == b && i == j)).count();
            let at = |i: usize, j: usize| self.place(Some((b, i.max(j), i.min(j))));
            let g = Mat::from_fn(q, q, |i, j| theta[at(i, j)]);
            let w = Mat::from_fn(q, q, |i, j| score[at(i, j)] * if i == j { 2.0 } else { 1.0 });
            let add = &g * &w * &g;
            let to = Mat::from_fn(q, q, |i, j| {
                g[(i, j)] + 0.5 * (add[(i, j)] + add[(j, i)]) / (*of).max(1) as f64
            });
            let triangle = to.llt(Side::Lower).ok()?;
            for i in 0..q {
                for j in 0..=i {
                    let l = triangle.L()[(i, j)];
                    next.l[at(i, j)] = if i == j { l.max(LEAST) } else { l };
                }
            }
        }
        let k = self.names.len() - 1;
        let records = levels.last().copied().unwrap_or(1).max(1) as f64;
        let to = theta[k] + 2.0 * theta[k] * theta[k] * score[k] / records;
        next.l[k] = (to > 0.0).then(|| to.sqrt())?.max(LEAST);
        Some(next)
    }

    /// Which variances stand at the edge: those of a block whose effect has next to none, or all covariances of effects
    /// that go wholly together.
    pub(super) fn at_edge(&self, least: f64) -> Vec<bool> {
        let theta = self.theta();
        let none = |b: usize, i: usize| theta[self.place(Some((b, i, i)))] < least;
        let tied = |b: usize, i: usize| {
            let v = theta[self.place(Some((b, i, i)))];
            i > 0 && self.low(b, i, i).powi(2) < 1e-4 * v
        };
        self.names
            .iter()
            .enumerate()
            .map(|(k, (name, _))| match *name {
                None => theta[k] < least,
                Some((b, i, j)) if i == j => none(b, i),
                Some((b, i, j)) => none(b, i) || none(b, j) || tied(b, i) || tied(b, j),
            })
            .collect()
    }

    /// Sets a variance at nought free whose likelihood would rise with it. Tells whether there was one.
    pub(super) fn free(&mut self, score: &[f64]) -> bool {
        let mut any = false;
        for (k, (name, _)) in self.names.clone().iter().enumerate() {
            let diagonal = name.is_none_or(|(_, i, j)| i == j);
            if diagonal && self.l[k] <= 2.0 * LEAST && score[k] > 1e-3 {
                (self.l[k], any) = (0.1, true);
            }
        }
        any
    }
}

/// Solves (H + damping)·x = s.
pub(super) fn damped(h: &Mat<f64>, s: &[f64], damp: f64) -> Option<Vec<f64>> {
    let n = s.len();
    let top = (0..n).map(|k| h[(k, k)].abs()).fold(0.0, f64::max);
    let m = Mat::from_fn(n, n, |i, j| {
        h[(i, j)] + if i == j { damp * (h[(i, i)].abs() + 1e-3 * top) + 1e-12 } else { 0.0 }
    });
    let x = m.llt(Side::Lower).ok()?.solve(Mat::from_fn(n, 1, |k, _| s[k]));
    let x: Vec<f64> = (0..n).map(|k| x[(k, 0)]).collect();
    x.iter().all(|v| v.is_finite()).then_some(x)
}
