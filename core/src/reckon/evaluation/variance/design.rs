//! Fixed effects as columns, those that say the same thing twice left out.

use super::super::problem::{Problem, Unfit};
use super::Fitted;
use crate::phrase;
use faer::Mat;

/// The columns of the fixed effects.
#[derive(Debug, Clone)]
pub(super) struct Design {
    /// A column a level, as many rows as records.
    pub(super) columns: Mat<f64>,
    /// What each column is: factor or slope, and level. A column left out has none.
    names: Vec<(String, String, Option<usize>)>,
}

/// Of a column so little must be left beside the ones before it, as a share of itself.
const NEW: f64 = 1e-7;

impl Design {
    /// The design of a problem: every level of the first factor, all but the first level of the others.
    pub(super) fn of(problem: &Problem) -> Result<Self, Unfit> {
        let n = problem.records.len();
        let mut all: Vec<(String, String, Option<Vec<f64>>)> = Vec::new();
        if problem.fixed.is_empty() {
            all.push(("mean".into(), String::new(), Some(vec![1.0; n])));
        }
        for (f, factor) in problem.fixed.iter().enumerate() {
            if factor.of.len() != n || factor.of.iter().any(|l| *l as usize >= factor.levels.len()) {
                return Err(Unfit::NoAnswer(phrase!("{}: a record without its level", factor.name)));
            }
            for (l, level) in factor.levels.iter().enumerate() {
                let column: Vec<f64> =
                    factor.of.iter().map(|o| f64::from(u8::from(*o as usize == l))).collect();
                let column = (f == 0 || l > 0).then_some(column);
                all.push((factor.name.clone(), level.clone(), column));
            }
        }
        for (name, values) in &problem.slopes {
            if values.len() != n || values.iter().any(|v| !v.is_finite()) {
                return Err(Unfit::NoAnswer(phrase!("{name}: a record without its value")));
            }
            all.push((name.clone(), String::new(), Some(values.clone())));
        }
        let (mut basis, mut kept, mut names) = (Vec::<Vec<f64>>::new(), Vec::new(), Vec::new());
        for (of, level, column) in all {
            let mut place = None;
            if let Some(column) = column
                && let Some(rest) = beside(&basis, &column)
            {
                place = Some(kept.len());
                basis.push(rest);
                kept.push(column);
            }
            names.push((of, level, place));
        }
        let columns = Mat::from_fn(n, kept.len(), |i, j| kept[j][i]);
        Ok(Self { columns, names })
    }

    /// The levels with their values.
    pub(super) fn fitted(&self, values: &[f64]) -> Vec<Fitted> {
        let value = |place: &Option<usize>| place.and_then(|p| values.get(p).copied()).unwrap_or(0.0);
        let one = |(of, level, place): &(String, String, Option<usize>)| Fitted {
            of: of.clone(),
            level: level.clone(),
            value: value(place),
        };
        self.names.iter().map(one).collect()
    }
}

/// What is left of a column beside others of length one, itself of length one; nothing where it is made of them.
fn beside(basis: &[Vec<f64>], column: &[f64]) -> Option<Vec<f64>> {
    let length = |v: &[f64]| v.iter().map(|x| x * x).sum::<f64>().sqrt();
    let (mut rest, whole) = (column.to_vec(), length(column));
    // Twice, as once leaves what rounding left.
    for _ in 0..2 {
        for b in basis {
            let along: f64 = b.iter().zip(&rest).map(|(x, y)| x * y).sum();
            rest.iter_mut().zip(b).for_each(|(r, x)| *r -= along * x);
        }
    }
    let left = length(&rest);
    (left > NEW * whole && whole > 0.0).then(|| rest.into_iter().map(|x| x / left).collect())
}
