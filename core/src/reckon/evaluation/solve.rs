//! Solutions of the equations.

use super::equations::inverted;
use super::{Equations, Frame, Order, Unfit, Weights};

/// How the equations were solved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Method {
    /// By a sparse Cholesky factor: exact but for rounding.
    Cholesky,
    /// By conjugate gradients, step by step.
    Gradients {
        /// How many steps.
        steps: usize,
        /// What is left of the right-hand side, as a part of it.
        left: f64,
    },
}

/// The solutions by unknown; where each stands, the [`Frame`] knows.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// The values.
    pub values: Vec<f64>,
    /// How they were found.
    pub method: Method,
}

/// Conjugate gradients end when so little of the right-hand side is left, as a part of it.
pub const LEFT: f64 = 1e-10;
/// More steps than this are not taken.
const STEPS: usize = 20_000;
/// Up to so many fixed columns are turned round together before each step.
const DENSE: usize = 400;

/// The solutions by a sparse Cholesky factor.
///
/// # Errors
/// The equations have no single answer, or there is no memory.
pub fn by_cholesky(equations: &Equations) -> Result<Solution, Unfit> {
    let factored = Order::of(&equations.matrix)?.factor(&equations.matrix)?;
    Ok(Solution { values: factored.solve(&equations.right)?, method: Method::Cholesky })
}

/// The solutions by preconditioned conjugate gradients (Hestenes and Stiefel 1952): the fixed columns and each level's
/// own effects are turned round beforehand, the rest follows step by step. `go_on` is told the part done.
///
/// # Errors
/// Stopped, or no answer within many steps.
pub fn by_gradients(
    frame: &Frame,
    weights: &Weights,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<Solution, Unfit> {
    let b = frame.right(weights.residual);
    let n = b.len();
    let of_b = dot(&b, &b).sqrt();
    let mut x = vec![0.0; n];
    if of_b == 0.0 {
        return Ok(Solution { values: x, method: Method::Gradients { steps: 0, left: 0.0 } });
    }
    let before = Before::of(frame, weights)?;
    let (mut r, mut z, mut q) = (b.clone(), vec![0.0; n], vec![0.0; n]);
    before.apply(&r, &mut z);
    let mut p = z.clone();
    let mut rz = dot(&r, &z);
    let mut best = 1.0f64;
    for step in 1..=STEPS {
        frame.apply(weights, &p, &mut q);
        let alpha = rz / dot(&p, &q);
        if !alpha.is_finite() {
            break;
        }
        for (((x, r), p), q) in x.iter_mut().zip(&mut r).zip(&p).zip(&q) {
            *x += alpha * p;
            *r -= alpha * q;
        }
        let left = dot(&r, &r).sqrt() / of_b;
        if left <= LEFT {
            // What is carried along drifts: look at what is really left.
            frame.apply(weights, &x, &mut q);
            r.iter_mut().zip(&b).zip(&q).for_each(|((r, b), q)| *r = b - q);
            let left = dot(&r, &r).sqrt() / of_b;
            if left <= LEFT * 10.0 {
                return Ok(Solution { values: x, method: Method::Gradients { steps: step, left } });
            }
        }
        best = best.min(left);
        if !go_on((best.ln() / LEFT.ln()).clamp(0.0, 1.0)) {
            return Err(Unfit::Stopped);
        }
        before.apply(&r, &mut z);
        let next = dot(&r, &z);
        let beta = next / rz;
        rz = next;
        p.iter_mut().zip(&z).for_each(|(p, z)| *p = z + beta * *p);
    }
    Err(Unfit::NoAnswer(
        "the equations came to no answer: leave a fixed effect out, or take variances that are less extreme"
            .into(),
    ))
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// What is done to the remainder before each step: the inverse of the fixed part and of each level's own block.
struct Before {
    fixed: Fixed,
    /// Of each random block: first unknown, number of effects, inverses of its levels one after another.
    blocks: Vec<(usize, usize, Vec<f64>)>,
}

enum Fixed {
    /// Lower triangle of the Cholesky factor, row by row.
    Dense(Vec<f64>),
    /// One over the diagonal.
    Diagonal(Vec<f64>),
}

impl Before {
    fn of(frame: &Frame, weights: &Weights) -> Result<Self, Unfit> {
        let k = frame.rank();
        let dense = k <= DENSE;
        let mut fixed = vec![0.0; if dense { k * k } else { k }];
        let mut blocks: Vec<(usize, usize, Vec<f64>)> = frame
            .blocks()
            .iter()
            .map(|b| (b.first, b.effects, vec![0.0; b.levels * b.effects * b.effects]))
            .collect();
        frame.each(weights, &mut |i, j, v| {
            let (i, j) = (i as usize, j as usize);
            if j < k {
                match dense {
                    true => fixed[j * k + i] += v,
                    false if i == j => fixed[i] += v,
                    false => {}
                }
                return;
            }
            let at = blocks.partition_point(|b| b.0 <= j).saturating_sub(1);
            let Some((first, e, values)) = blocks.get_mut(at).filter(|b| b.0 <= i) else { return };
            let ((l, a), (m, b)) =
                (((i - *first) / *e, (i - *first) % *e), ((j - *first) / *e, (j - *first) % *e));
            if l == m {
                values[l * *e * *e + a * *e + b] += v;
                if a != b {
                    values[l * *e * *e + b * *e + a] += v;
                }
            }
        });
        for (_, e, values) in &mut blocks {
            for level in values.chunks_mut((*e * *e).max(1)) {
                let inverse = inverted(level, *e)?;
                level.copy_from_slice(&inverse);
            }
        }
        let fixed = if dense {
            Fixed::Dense(lower(fixed, k)?)
        } else {
            Fixed::Diagonal(fixed.into_iter().map(|d| 1.0 / d).collect())
        };
        Ok(Self { fixed, blocks })
    }

    fn apply(&self, r: &[f64], z: &mut [f64]) {
        match &self.fixed {
            Fixed::Diagonal(d) => d.iter().zip(r).zip(&mut *z).for_each(|((d, r), z)| *z = d * r),
            Fixed::Dense(l) => {
                let k = l.len().isqrt();
                for i in 0..k {
                    let row = &l[i * k..i * k + i + 1];
                    let sum = dot(&row[..i], &z[..i]);
                    z[i] = (r[i] - sum) / row[i];
                }
                for i in (0..k).rev() {
                    z[i] /= l[i * k + i];
                    let zi = z[i];
                    (0..i).for_each(|j| z[j] -= l[i * k + j] * zi);
                }
            }
        }
        for (first, e, values) in &self.blocks {
            for (level, m) in values.chunks((*e * *e).max(1)).enumerate() {
                let from = first + level * e;
                for a in 0..*e {
                    z[from + a] = dot(&m[a * e..(a + 1) * e], &r[from..from + e]);
                }
            }
        }
    }
}

/// The Cholesky factor of a small dense matrix given by its lower triangle.
fn lower(mut a: Vec<f64>, k: usize) -> Result<Vec<f64>, Unfit> {
    for i in 0..k {
        for j in 0..=i {
            let sum = dot(&a[i * k..i * k + j], &a[j * k..j * k + j]);
            let v = a[i * k + j] - sum;
            if i == j {
                if v <= 0.0 {
                    return Err(Unfit::NoAnswer(
                        "the fixed effects cannot be told apart: leave one of them out".into(),
                    ));
                }
                a[i * k + i] = v.sqrt();
            } else {
                a[i * k + j] = v / a[j * k + j];
            }
        }
    }
    Ok(a)
}
