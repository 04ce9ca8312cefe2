//! Henderson's mixed model equations.
//!
//! `Frame::of(&problem)` looks the records over once: which columns of the fixed effects can be told apart, where each
//! unknown stands, and the relationship of each block. `frame.equations(&variances, residual)` gives the equations for
//! any variances as a sparse symmetric matrix; `frame.apply` multiplies by the same matrix without making it.
//!
//! Unknowns stand in this order: fixed columns that were kept, slopes that were kept, then block after block, the
//! effects of one level side by side. All is in units of the records: the matrix is WᵀR⁻¹W with (G⁻¹ ⊗ A⁻¹) added to
//! its random part, so that its inverse holds prediction error variances as they are (Henderson 1973; Mrode).

use super::columns::{Columns, Dropped};
use super::{Problem, Relationship, Unfit};
use crate::phrase;
use std::sync::Arc;

/// A sparse symmetric matrix: the part on and above the diagonal, column by column, rows in order.
#[derive(Debug, Clone, PartialEq)]
pub struct Symmetric {
    /// Where each column begins; one more at the end.
    pub starts: Vec<u32>,
    /// Rows.
    pub rows: Vec<u32>,
    /// Values.
    pub values: Vec<f64>,
}

impl Symmetric {
    /// How many rows and columns.
    pub fn len(&self) -> usize {
        self.starts.len().saturating_sub(1)
    }

    /// Nothing at all.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// y = this · x.
    pub fn times(&self, x: &[f64]) -> Vec<f64> {
        let mut y = vec![0.0; x.len()];
        for j in 0..self.len() {
            for at in self.starts[j] as usize..self.starts[j + 1] as usize {
                let (i, v) = (self.rows[at] as usize, self.values[at]);
                y[i] += v * x[j];
                if i != j {
                    y[j] += v * x[i];
                }
            }
        }
        y
    }

    /// Adds up contributions on or above the diagonal. `give` is called twice and must give the same each time.
    fn gathered(n: usize, give: impl Fn(&mut dyn FnMut(u32, u32, f64))) -> Self {
        let mut starts = vec![0usize; n + 1];
        give(&mut |i, j, _| starts[i.max(j) as usize + 1] += 1);
        for j in 0..n {
            starts[j + 1] += starts[j];
        }
        let mut next = starts.clone();
        let mut all = vec![(0u32, 0.0f64); starts[n]];
        give(&mut |i, j, v| {
            let to = &mut next[i.max(j) as usize];
            all[*to] = (i.min(j), v);
            *to += 1;
        });
        let (mut rows, mut values, mut ends) = (Vec::new(), Vec::new(), Vec::with_capacity(n + 1));
        ends.push(0);
        for j in 0..n {
            let column = &mut all[starts[j]..starts[j + 1]];
            column.sort_by_key(|(i, _)| *i);
            let mut last = None;
            for (i, v) in column.iter() {
                match values.last_mut() {
                    Some(sum) if last == Some(*i) => *sum += *v,
                    _ => {
                        rows.push(*i);
                        values.push(*v);
                        last = Some(*i);
                    }
                }
            }
            ends.push(rows.len() as u32);
        }
        Self { starts: ends, rows, values }
    }
}

/// The equations for given variances.
#[derive(Debug, Clone)]
pub struct Equations {
    /// The matrix of coefficients.
    pub matrix: Symmetric,
    /// The right-hand side.
    pub right: Vec<f64>,
}

/// A block of random effects with its place among the unknowns.
#[derive(Debug, Clone)]
pub struct Placed {
    /// Its first unknown.
    pub first: usize,
    /// How many effects.
    pub effects: usize,
    /// How many levels.
    pub levels: usize,
    /// How its levels are related; none where they are independent.
    pub related: Option<Arc<Relationship>>,
}

/// The records looked over once, for any variances.
#[derive(Debug, Clone)]
pub struct Frame {
    y: Vec<f64>,
    fixed: Columns,
    blocks: Vec<Placed>,
    unknowns: usize,
    /// W by rows: where each record begins, its unknowns, their values.
    starts: Vec<u32>,
    unknown: Vec<u32>,
    value: Vec<f64>,
}

impl Frame {
    /// Looks the records of a problem over.
    ///
    /// # Errors
    /// No record, numbers that are none, levels that are not in their list, a pedigree in a circle.
    pub fn of(problem: &Problem) -> Result<Self, Unfit> {
        sound(problem)?;
        let fixed = Columns::of(problem);
        let mut known: Vec<Arc<Relationship>> = Vec::new();
        let (mut blocks, mut first) = (Vec::new(), fixed.kept());
        for b in &problem.blocks {
            let related = match &b.pedigree {
                None => None,
                Some(p) => Some(match known.iter().find(|r| Arc::ptr_eq(r.pedigree(), p)) {
                    Some(r) => r.clone(),
                    None => {
                        let r = Arc::new(Relationship::of(p.clone())?);
                        known.push(r.clone());
                        r
                    }
                }),
            };
            blocks.push(Placed { first, effects: b.effects.len(), levels: b.levels, related });
            first += b.effects.len() * b.levels;
        }
        let n = problem.records.len();
        let (mut starts, mut unknown, mut value) = (vec![0], Vec::new(), Vec::new());
        for r in 0..n {
            fixed.row(problem, r, |at, v| {
                unknown.push(at);
                value.push(v);
            });
            for (b, placed) in problem.blocks.iter().zip(&blocks) {
                for (e, effect) in b.effects.iter().enumerate() {
                    if let Some(level) = effect.of[r] {
                        unknown.push(placed.at(e, level as usize) as u32);
                        value.push(1.0);
                    }
                }
            }
            starts.push(unknown.len() as u32);
        }
        let y = problem.records.clone();
        Ok(Self { y, fixed, blocks, unknowns: first, starts, unknown, value })
    }

    /// How many unknowns.
    pub fn unknowns(&self) -> usize {
        self.unknowns
    }

    /// How many fixed columns and slopes are fitted: the rank of X. They are the first unknowns.
    pub fn rank(&self) -> usize {
        self.fixed.kept()
    }

    /// The records.
    pub fn records(&self) -> &[f64] {
        &self.y
    }

    /// Fixed columns left out because the others tell as much, or because they have no record.
    pub fn dropped(&self) -> &[Dropped] {
        self.fixed.dropped()
    }

    /// The unknown of a level of a fixed effect; none where it was dropped (its value is 0).
    pub fn fixed(&self, factor: usize, level: usize) -> Option<usize> {
        self.fixed.level(factor, level)
    }

    /// The unknown of the mean where there is no fixed effect.
    pub fn mean(&self) -> Option<usize> {
        self.fixed.mean()
    }

    /// The unknown of a slope; none where it was dropped.
    pub fn slope(&self, slope: usize) -> Option<usize> {
        self.fixed.slope(slope)
    }

    /// The random blocks with their places.
    pub fn blocks(&self) -> &[Placed] {
        &self.blocks
    }

    /// The unknowns one record depends on, each with its coefficient: a row of W.
    pub fn row(&self, record: usize) -> impl Iterator<Item = (usize, f64)> {
        let range = self.starts[record] as usize..self.starts[record + 1] as usize;
        self.unknown[range.clone()].iter().map(|u| *u as usize).zip(self.value[range].iter().copied())
    }

    /// W·x: what the unknowns make of each record.
    pub fn fitted(&self, x: &[f64]) -> Vec<f64> {
        (0..self.y.len()).map(|r| self.row(r).map(|(u, v)| v * x[u]).sum()).collect()
    }

    /// Wᵀ·v.
    pub fn gathered(&self, v: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.unknowns];
        for (r, v) in v.iter().enumerate() {
            self.row(r).for_each(|(u, w)| out[u] += w * v);
        }
        out
    }

    /// The equations for these variances: of each block row by row as in [`Problem`], and of the residual.
    ///
    /// # Errors
    /// A variance that is none.
    pub fn equations(&self, variances: &[Vec<f64>], residual: f64) -> Result<Equations, Unfit> {
        let weights = self.weights(variances, residual)?;
        let matrix = Symmetric::gathered(self.unknowns, |add| self.each(&weights, add));
        Ok(Equations { matrix, right: self.right(residual) })
    }

    /// The right-hand side, Wᵀ·y over the residual variance.
    pub fn right(&self, residual: f64) -> Vec<f64> {
        let mut right = self.gathered(&self.y);
        right.iter_mut().for_each(|v| *v /= residual);
        right
    }

    /// The inverse variances, checked.
    ///
    /// # Errors
    /// A variance that is none.
    pub fn weights(&self, variances: &[Vec<f64>], residual: f64) -> Result<Weights, Unfit> {
        if !(residual.is_finite() && residual > 0.0) {
            return Err(Unfit::Variance(
                "nothing is left for chance: the parts of the variance must add to less than 1".into(),
            ));
        }
        if variances.len() != self.blocks.len() {
            return Err(Unfit::Variance("each random effect needs its variance".into()));
        }
        let inverse = variances.iter().zip(&self.blocks).map(|(v, b)| inverted(v, b.effects));
        Ok(Weights { inverse: inverse.collect::<Result<_, _>>()?, residual })
    }

    /// y = C·x, the same as with the matrix of [`Frame::equations`], without making it.
    pub fn apply(&self, weights: &Weights, x: &[f64], out: &mut [f64]) {
        out.fill(0.0);
        for r in 0..self.y.len() {
            let range = self.starts[r] as usize..self.starts[r + 1] as usize;
            let (unknown, value) = (&self.unknown[range.clone()], &self.value[range]);
            let sum: f64 = unknown.iter().zip(value).map(|(u, v)| v * x[*u as usize]).sum();
            let sum = sum / weights.residual;
            unknown.iter().zip(value).for_each(|(u, v)| out[*u as usize] += v * sum);
        }
        for (b, g) in self.blocks.iter().zip(&weights.inverse) {
            let k = b.effects;
            let range = b.first..b.first + k * b.levels;
            let (x, out) = (&x[range.clone()], &mut out[range]);
            for (to, row) in g.chunks(k.max(1)).enumerate() {
                for (from, g) in row.iter().enumerate() {
                    match &b.related {
                        Some(a) => a.add_inverse_times(*g, x, from, out, to, k),
                        None => (0..b.levels).for_each(|l| out[l * k + to] += g * x[l * k + from]),
                    }
                }
            }
        }
    }

    /// Every contribution to the matrix on or above the diagonal.
    pub(super) fn each(&self, weights: &Weights, add: &mut dyn FnMut(u32, u32, f64)) {
        for r in 0..self.y.len() {
            let range = self.starts[r] as usize..self.starts[r + 1] as usize;
            let (unknown, value) = (&self.unknown[range.clone()], &self.value[range]);
            for (i, (u, v)) in unknown.iter().zip(value).enumerate() {
                add(*u, *u, v * v / weights.residual);
                for (u2, v2) in unknown[i + 1..].iter().zip(&value[i + 1..]) {
                    // An unknown that is met twice over counts on both sides of the diagonal.
                    let twice = if u == u2 { 2.0 } else { 1.0 };
                    add(*u, *u2, twice * v * v2 / weights.residual);
                }
            }
        }
        for (b, g) in self.blocks.iter().zip(&weights.inverse) {
            let k = b.effects;
            let mut block = |i: u32, j: u32, v: f64| {
                for e in 0..k {
                    for e2 in 0..k {
                        // Of two levels all pairs of effects stand above the diagonal, of one level half of them.
                        if i != j || e <= e2 {
                            let (i, j) = (b.at(e, i as usize), b.at(e2, j as usize));
                            add(i as u32, j as u32, v * g[e * k + e2]);
                        }
                    }
                }
            };
            match &b.related {
                Some(a) => a.each(&mut block),
                None => (0..b.levels as u32).for_each(|l| block(l, l, 1.0)),
            }
        }
    }
}

impl Placed {
    /// The unknown of an effect at a level.
    pub fn at(&self, effect: usize, level: usize) -> usize {
        self.first + level * self.effects + effect
    }
}

/// Variances turned round, ready for the equations.
#[derive(Debug, Clone)]
pub struct Weights {
    /// G⁻¹ of each block, row by row.
    pub inverse: Vec<Vec<f64>>,
    /// The residual variance.
    pub residual: f64,
}

/// The variances of a problem as [`Frame::equations`] takes them.
pub fn variances(problem: &Problem) -> Vec<Vec<f64>> {
    problem.blocks.iter().map(|b| b.variance.clone()).collect()
}

/// The inverse of a small matrix of variances; refused where it is no such matrix.
pub(super) fn inverted(v: &[f64], k: usize) -> Result<Vec<f64>, Unfit> {
    let wrong = |what: &str| Err(Unfit::Variance(what.into()));
    if v.len() != k * k || v.iter().any(|v| !v.is_finite()) {
        return wrong("a variance is missing");
    }
    if (0..k).any(|i| v[i * k + i] <= 0.0) {
        return wrong("a variance of 0 leaves nothing to estimate: leave that effect out or give it a share");
    }
    // Gauss and Jordan on [V | 1]; pivots of a matrix of variances are all above 0.
    let mut a: Vec<f64> = v.to_vec();
    let mut inverse = vec![0.0; k * k];
    (0..k).for_each(|i| inverse[i * k + i] = 1.0);
    for i in 0..k {
        for j in 0..i {
            if (v[i * k + j] - v[j * k + i]).abs() > 1e-9 * (v[i * k + i] * v[j * k + j]).sqrt() {
                return wrong("covariances must be the same both ways round");
            }
        }
        let pivot = a[i * k + i];
        if pivot <= 1e-9 * v[i * k + i] {
            return wrong(
                "the correlation between the effects is too near to 1 or -1: take one such as -0.3 between them",
            );
        }
        for c in 0..k {
            a[i * k + c] /= pivot;
            inverse[i * k + c] /= pivot;
        }
        for r in (0..k).filter(|r| *r != i) {
            let by = a[r * k + i];
            for c in 0..k {
                a[r * k + c] -= by * a[i * k + c];
                inverse[r * k + c] -= by * inverse[i * k + c];
            }
        }
    }
    Ok(inverse)
}

/// Numbers and levels are what they must be.
fn sound(p: &Problem) -> Result<(), Unfit> {
    let n = p.records.len();
    let wrong = |what: String| Err(Unfit::NoAnswer(what));
    if n == 0 {
        return Err(Unfit::NoRecords("there is none".into()));
    }
    let slopes = p.slopes.iter().flat_map(|(_, v)| v);
    if p.records.iter().chain(slopes).any(|v| !v.is_finite()) {
        return wrong("a record is no number: look for a weight or an age that cannot be".into());
    }
    for f in &p.fixed {
        if f.of.len() != n || f.of.iter().any(|l| *l as usize >= f.levels.len()) {
            return wrong(phrase!("the records and the levels of {} do not go together", f.name));
        }
    }
    if let Some((name, _)) = p.slopes.iter().find(|(_, v)| v.len() != n) {
        return wrong(phrase!("the records and the values of {name} do not go together"));
    }
    for b in &p.blocks {
        if b.pedigree.as_ref().is_some_and(|p| p.len() != b.levels) {
            return wrong("the levels of an effect and its pedigree do not go together".into());
        }
        for e in &b.effects {
            if e.of.len() != n || e.of.iter().flatten().any(|l| *l as usize >= b.levels) {
                return wrong(phrase!("the records and the levels of {} do not go together", e.name));
            }
        }
    }
    Ok(())
}
