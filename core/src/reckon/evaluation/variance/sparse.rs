//! The restricted likelihood on Henderson's equations, for a larger flock: the sparse factor gives the determinant, the
//! inverse on its pattern gives the traces (Johnson and Thompson 1995), and one solution a variance the average information.

use super::super::equations::{Frame, Placed};
use super::super::factor::{Factored, Order, Selected};
use super::super::problem::{Problem, Unfit};
use super::{Fitted, Likelihood, Point, spread};
use faer::linalg::solvers::DenseSolveCore as _;
use faer::{Mat, Side};

/// The equations of a problem.
pub(super) struct Sparse {
    frame: Frame,
    order: Order,
    levels: Vec<usize>,
    scale: f64,
    names: Vec<(String, String, Option<usize>)>,
}

/// The equations solved at one place.
struct Solved {
    log_likelihood: f64,
    factor: Factored,
    values: Vec<f64>,
    /// G and G⁻¹ of each block.
    g: Vec<(Mat<f64>, Mat<f64>)>,
    residual: f64,
    /// R⁻¹ times what the equations leave of the records.
    py: Vec<f64>,
}

impl Sparse {
    /// The likelihood of a problem.
    pub(super) fn of(problem: &Problem) -> Result<Self, Unfit> {
        let scale = spread(&problem.records)?;
        let mut scaled = problem.clone();
        scaled.records.iter_mut().for_each(|r| *r /= scale);
        let frame = Frame::of(&scaled)?;
        let unit: Vec<Vec<f64>> = frame.blocks().iter().map(|b| identity(b.effects)).collect();
        let order = Order::of(&frame.equations(&unit, 1.0)?.matrix)?;
        let mut levels: Vec<usize> = frame.blocks().iter().map(|b| b.levels).collect();
        levels.push(problem.records.len());
        let mut names = Vec::new();
        if let Some(mean) = frame.mean() {
            names.push(("mean".into(), String::new(), Some(mean)));
        }
        for (f, factor) in problem.fixed.iter().enumerate() {
            for (l, level) in factor.levels.iter().enumerate() {
                names.push((factor.name.clone(), level.clone(), frame.fixed(f, l)));
            }
        }
        for (s, (name, _)) in problem.slopes.iter().enumerate() {
            names.push((name.clone(), String::new(), frame.slope(s)));
        }
        Ok(Self { frame, order, levels, scale, names })
    }

    fn solved(&self, theta: &[f64]) -> Option<Solved> {
        let residual = *theta.last()?;
        let (mut g, mut variances, mut from) = (Vec::new(), Vec::new(), 0);
        for b in self.frame.blocks() {
            let q = b.effects;
            let m = Mat::from_fn(q, q, |i, j| theta[from + place(i.max(j), i.min(j))]);
            from += q * (q + 1) / 2;
            variances.push((0..q * q).map(|k| m[(k / q, k % q)]).collect());
            let inverse = m.llt(Side::Lower).ok()?.inverse();
            g.push((m, inverse));
        }
        let equations = self.frame.equations(&variances, residual).ok()?;
        let factor = self.order.factor(&equations.matrix).ok()?;
        let values = factor.solve(&equations.right).ok()?;
        let py = self.left(self.frame.records(), &values, residual);
        let square: f64 = py.iter().zip(self.frame.records()).map(|(p, y)| p * y).sum();
        let n = self.frame.records().len() as f64;
        let mut half = self.freedom() * (2.0 * std::f64::consts::PI).ln() + n * residual.ln() + square;
        half += factor.log_det().ok()?;
        for (b, (g, _)) in self.frame.blocks().iter().zip(&g) {
            let l = g.llt(Side::Lower).ok()?;
            half += 2.0 * b.levels as f64 * (0..b.effects).map(|i| l.L()[(i, i)].ln()).sum::<f64>();
            half += b.effects as f64 * b.related.as_ref().map_or(0.0, |a| a.log_det());
        }
        let log_likelihood = -0.5 * half;
        log_likelihood.is_finite().then_some(Solved { log_likelihood, factor, values, g, residual, py })
    }

    /// R⁻¹(v − W·x).
    fn left(&self, v: &[f64], x: &[f64], residual: f64) -> Vec<f64> {
        v.iter().zip(self.frame.fitted(x)).map(|(v, f)| (v - f) / residual).collect()
    }

    /// P·v.
    fn projected(&self, at: &Solved, v: &[f64]) -> Option<Vec<f64>> {
        let mut right = self.frame.gathered(v);
        right.iter_mut().for_each(|r| *r /= at.residual);
        Some(self.left(v, &at.factor.solve(&right).ok()?, at.residual))
    }
}

impl Likelihood for Sparse {
    fn scale(&self) -> f64 {
        self.scale
    }

    fn freedom(&self) -> f64 {
        (self.frame.records().len() - self.frame.rank()) as f64
    }

    fn levels(&self) -> &[usize] {
        &self.levels
    }

    fn log_likelihood(&mut self, theta: &[f64]) -> Option<f64> {
        self.solved(theta).map(|s| s.log_likelihood)
    }

    fn at(&mut self, theta: &[f64], alive: &mut dyn FnMut() -> bool) -> Option<Point> {
        let at = self.solved(theta)?;
        let inverse = at.factor.inverse(&mut |_| alive()).ok()?;
        let n = self.frame.records().len();
        let (mut score, mut turned) = (Vec::new(), Vec::new());
        let mut taken = 0.0;
        for (b, (_, gi)) in self.frame.blocks().iter().zip(&at.g) {
            let q = b.effects;
            let (s, u) = (against(b, &inverse, q), squares(b, &at.values, q));
            taken += (q * b.levels) as f64
                - (0..q)
                    .flat_map(|i| (0..q).map(move |j| (i, j)))
                    .map(|(i, j)| gi[(i, j)] * s[(j, i)])
                    .sum::<f64>();
            let trace = faer::Scale(b.levels as f64) * gi - gi * &s * gi;
            let square = gi * &u * gi;
            // G⁻¹ times the effects, level by level, then given to the records that have the other effect.
            let mut spread = vec![vec![0.0; self.frame.unknowns()]; q * q];
            for level in 0..b.levels {
                for j in 0..q {
                    let w: f64 = (0..q).map(|k| gi[(j, k)] * at.values[b.at(k, level)]).sum();
                    (0..q).for_each(|i| spread[i * q + j][b.at(i, level)] = w);
                }
            }
            for i in 0..q {
                for j in 0..=i {
                    let twice = if i == j { 0.5 } else { 1.0 };
                    score.push(twice * (square[(i, j)] - trace[(i, j)]));
                    let mut f = self.frame.fitted(&spread[i * q + j]);
                    if i != j {
                        f.iter_mut().zip(self.frame.fitted(&spread[j * q + i])).for_each(|(a, b)| *a += b);
                    }
                    turned.push(f);
                }
            }
        }
        let traced = (self.freedom() - taken) / at.residual;
        score.push(0.5 * (dot(&at.py, &at.py) - traced));
        turned.push(at.py.clone());
        let through: Vec<Vec<f64>> = turned.iter().map(|f| self.projected(&at, f)).collect::<Option<_>>()?;
        debug_assert_eq!(turned[0].len(), n);
        let k = turned.len();
        let information = Mat::from_fn(k, k, |i, j| {
            let (i, j) = (i.max(j), i.min(j));
            0.5 * dot(&turned[i], &through[j])
        });
        Some(Point { log_likelihood: at.log_likelihood, score, information, fixed: at.values })
    }

    fn fitted(&self, values: &[f64]) -> Vec<Fitted> {
        let value = |at: &Option<usize>| at.and_then(|a| values.get(a)).map_or(0.0, |v| v * self.scale);
        let one = |(of, level, at): &(String, String, Option<usize>)| Fitted {
            of: of.clone(),
            level: level.clone(),
            value: value(at),
        };
        self.names.iter().map(one).collect()
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Where a triangle's entry stands, row by row.
fn place(row: usize, column: usize) -> usize {
    row * (row + 1) / 2 + column
}

fn identity(q: usize) -> Vec<f64> {
    (0..q * q).map(|k| f64::from(u8::from(k / q == k % q))).collect()
}

/// Every entry of the inverse of a block's relationship: row, column, value; those off the diagonal once.
fn each(b: &Placed, mut give: impl FnMut(usize, usize, f64)) {
    match &b.related {
        Some(a) => a.each(|i, j, v| give(i as usize, j as usize, v)),
        None => (0..b.levels).for_each(|l| give(l, l, 1.0)),
    }
}

/// S(a, b) = tr(C(a, b)·K⁻¹) of the prediction error variances C.
fn against(b: &Placed, inverse: &Selected, q: usize) -> Mat<f64> {
    let mut s = Mat::<f64>::zeros(q, q);
    each(b, |i, j, v| {
        for e in 0..q {
            for f in 0..q {
                let one = |i: usize, j: usize| inverse.get(b.at(e, i), b.at(f, j)).unwrap_or(f64::NAN);
                s[(e, f)] += v * if i == j { one(i, i) } else { one(i, j) + one(j, i) };
            }
        }
    });
    s
}

/// U(a, b) = u(a)ᵀ·K⁻¹·u(b).
fn squares(b: &Placed, values: &[f64], q: usize) -> Mat<f64> {
    let mut s = Mat::<f64>::zeros(q, q);
    each(b, |i, j, v| {
        for e in 0..q {
            for f in 0..q {
                let one = |i: usize, j: usize| values[b.at(e, i)] * values[b.at(f, j)];
                s[(e, f)] += v * if i == j { one(i, i) } else { one(i, j) + one(j, i) };
            }
        }
    });
    s
}
