//! The restricted likelihood on V, the whole matrix of variances of the records: plain and sure, for a small flock.

use super::super::problem::{Block, Problem, Unfit};
use super::design::Design;
use super::{Fitted, Likelihood, Point, spread};
use crate::reckon::kinship::Kin;
use faer::linalg::solvers::{DenseSolveCore as _, Llt};
use faer::{Mat, Side, prelude::Solve as _};
use std::collections::BTreeMap;

/// Records, fixed effects and what each variance adds to V.
pub(super) struct Dense {
    y: Mat<f64>,
    design: Design,
    /// ∂V/∂θ for every variance but the residual, whose is the unit matrix.
    parts: Vec<Mat<f64>>,
    /// Levels with records of each block, and last the records.
    levels: Vec<usize>,
    /// The records were divided by this.
    scale: f64,
}

impl Dense {
    /// The likelihood of a problem.
    pub(super) fn of(problem: &Problem) -> Result<Self, Unfit> {
        let n = problem.records.len();
        let scale = spread(&problem.records)?;
        let (mut parts, mut levels) = (Vec::new(), Vec::new());
        for block in &problem.blocks {
            levels.push(block_parts(block, n, &mut parts));
        }
        levels.push(n);
        let y = Mat::from_fn(n, 1, |i, _| problem.records[i] / scale);
        Ok(Self { y, design: Design::of(problem)?, parts, levels, scale })
    }

    fn v(&self, theta: &[f64]) -> Option<Llt<f64>> {
        let n = self.y.nrows();
        let residual = theta.last()?;
        let mut v = Mat::<f64>::zeros(n, n);
        for j in 0..n {
            v[(j, j)] = *residual;
        }
        for (part, t) in self.parts.iter().zip(theta) {
            v += faer::Scale(*t) * part;
        }
        v.llt(Side::Lower).ok()
    }

    fn fit(&self, v: &Llt<f64>) -> Option<Fit> {
        let x = &self.design.columns;
        let vx = v.solve(x);
        let vy = v.solve(&self.y);
        let xvx = x.transpose() * &vx;
        let factor = xvx.llt(Side::Lower).ok()?;
        let fixed = factor.solve(x.transpose() * &vy);
        let rest = &self.y - x * &fixed;
        let py = v.solve(&rest);
        let square = (self.y.transpose() * &py)[(0, 0)];
        let constant = self.freedom() * (2.0 * std::f64::consts::PI).ln();
        let ll = -0.5 * (constant + log_determinant(v) + log_determinant(&factor) + square);
        ll.is_finite().then_some(Fit { log_likelihood: ll, vx, py, fixed, inner: factor.inverse() })
    }
}

impl Likelihood for Dense {
    fn scale(&self) -> f64 {
        self.scale
    }

    fn freedom(&self) -> f64 {
        (self.y.nrows() - self.design.columns.ncols()) as f64
    }

    fn levels(&self) -> &[usize] {
        &self.levels
    }

    fn log_likelihood(&mut self, theta: &[f64]) -> Option<f64> {
        self.fit(&self.v(theta)?).map(|f| f.log_likelihood)
    }

    fn at(&mut self, theta: &[f64], _: &mut dyn FnMut() -> bool) -> Option<Point> {
        let v = self.v(theta)?;
        let fit = self.fit(&v)?;
        let n = self.y.nrows();
        let p = v.inverse() - &fit.vx * &fit.inner * fit.vx.transpose();
        let k = self.parts.len() + 1;
        let mut turned = Mat::<f64>::zeros(n, k);
        let mut traces = Vec::with_capacity(k);
        for (c, part) in self.parts.iter().enumerate() {
            turned.col_mut(c).copy_from((part * &fit.py).col(0));
            traces.push((0..n).map(|j| dot(p.col_as_slice(j), part.col_as_slice(j))).sum());
        }
        turned.col_mut(k - 1).copy_from(fit.py.col(0));
        traces.push((0..n).map(|i| p[(i, i)]).sum::<f64>());
        let squares = turned.transpose() * &fit.py;
        let information = faer::Scale(0.5) * (turned.transpose() * &p * &turned);
        let score = (0..k).map(|c| 0.5 * (squares[(c, 0)] - traces[c])).collect();
        let fixed = (0..fit.fixed.nrows()).map(|i| fit.fixed[(i, 0)]).collect();
        Some(Point { log_likelihood: fit.log_likelihood, score, information, fixed })
    }

    fn fitted(&self, values: &[f64]) -> Vec<Fitted> {
        let values: Vec<f64> = values.iter().map(|v| v * self.scale).collect();
        self.design.fitted(&values)
    }
}

struct Fit {
    log_likelihood: f64,
    vx: Mat<f64>,
    py: Mat<f64>,
    fixed: Mat<f64>,
    inner: Mat<f64>,
}

fn log_determinant(of: &Llt<f64>) -> f64 {
    let l = of.L();
    2.0 * (0..l.nrows()).map(|i| l[(i, i)].ln()).sum::<f64>()
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// What a block's variances and covariances add to V; answers with how many levels have records.
fn block_parts(block: &Block, n: usize, parts: &mut Vec<Mat<f64>>) -> usize {
    let mut places: BTreeMap<u32, usize> = BTreeMap::new();
    for effect in &block.effects {
        for level in effect.of.iter().flatten() {
            places.entry(*level).or_default();
        }
    }
    let set: Vec<u32> = places.keys().copied().collect();
    places.values_mut().enumerate().for_each(|(i, p)| *p = i);
    let related = block.pedigree.as_ref().map(|p| {
        let kin = Kin::of((**p).clone(), 1);
        kin.matrix(&set)
    });
    let related = |a: usize, b: usize| match &related {
        Some(f) => 2.0 * f[a][b],
        None => f64::from(u8::from(a == b)),
    };
    let at: Vec<Vec<Option<usize>>> = block
        .effects
        .iter()
        .map(|e| e.of.iter().map(|l| l.and_then(|l| places.get(&l).copied())).collect())
        .collect();
    for i in 0..at.len() {
        for j in 0..=i {
            let one = |a: usize, b: usize, r: usize, c: usize| match (at[a][r], at[b][c]) {
                (Some(x), Some(y)) => related(x, y),
                _ => 0.0,
            };
            parts.push(Mat::from_fn(n, n, |r, c| {
                if i == j { one(i, i, r, c) } else { one(i, j, r, c) + one(j, i, r, c) }
            }));
        }
    }
    set.len()
}
