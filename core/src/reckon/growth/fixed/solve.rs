//! Least squares of three effects at once within groups.
//!
//! The groups are absorbed: values and classes are taken as differences from their group's mean, which gives the same
//! answer as a model with a term for each group (Searle, Linear Models: absorbing a factor). What then remains is a
//! system of a dozen equations, solved by its eigenvectors, so that a class that cannot be told apart from another is
//! found and said, and never guessed.

use nalgebra::{DMatrix, DVector};
use rapidhash::RapidHashMap;

/// One record: its value, its classes (places) and its group.
#[derive(Debug, Clone, Copy)]
pub struct Record {
    /// The value.
    pub value: f64,
    /// Place of its class of each effect.
    pub classes: [usize; 3],
    /// Its group.
    pub group: usize,
}

/// An estimated effect beside that of the base, with its standard error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The difference from the base.
    pub value: f64,
    /// Its standard error.
    pub se: f64,
}

/// What came out.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// For each effect and class: its estimate; none for the base and for a class that cannot be told apart.
    pub classes: [Vec<Option<Estimate>>; 3],
    /// Records.
    pub n: usize,
    /// Groups.
    pub groups: usize,
    /// Degrees of freedom left for the spread.
    pub free: usize,
    /// Spread of the records about the fit.
    pub spread: f64,
}

/// Least of the largest eigenvalue that counts as something; and most of a coefficient that may lie in what is nothing.
const NOTHING: f64 = 1e-9;

/// Fits all effects at once. `sizes` are the numbers of classes, `bases` the places of the bases. None where nothing
/// is left over to judge the spread by.
pub fn least_squares(records: &[Record], sizes: [usize; 3], bases: [usize; 3]) -> Option<Solved> {
    // A column for each class that is there and no base.
    let mut column: [Vec<Option<usize>>; 3] = [0, 1, 2].map(|e| vec![None; sizes[e]]);
    let mut p = 0;
    for e in 0..3 {
        for (c, place) in column[e].iter_mut().enumerate() {
            if c != bases[e] && records.iter().any(|r| r.classes[e] == c) {
                *place = Some(p);
                p += 1;
            }
        }
    }
    let columns = |r: &Record| {
        let mut all = [None; 3];
        for e in 0..3 {
            all[e] = column[e].get(r.classes[e]).copied().flatten();
        }
        all
    };
    let mut groups: RapidHashMap<usize, (f64, f64, Vec<f64>)> = RapidHashMap::default();
    let (mut xx, mut xy) = (DMatrix::<f64>::zeros(p, p), DVector::<f64>::zeros(p));
    let mean = records.iter().map(|r| r.value).sum::<f64>() / records.len().max(1) as f64;
    let mut yy = 0.0;
    for r in records {
        let y = r.value - mean;
        yy += y * y;
        let g = groups.entry(r.group).or_insert_with(|| (0.0, 0.0, vec![0.0; p]));
        g.0 += 1.0;
        g.1 += y;
        let cols = columns(r);
        for a in cols.into_iter().flatten() {
            g.2[a] += 1.0;
            xy[a] += y;
            for b in cols.into_iter().flatten() {
                xx[(a, b)] += 1.0;
            }
        }
    }
    for (n, sum, counts) in groups.values() {
        yy -= sum * sum / n;
        for a in (0..p).filter(|a| counts[*a] > 0.0) {
            xy[a] -= counts[a] * sum / n;
            for b in 0..p {
                xx[(a, b)] -= counts[a] * counts[b] / n;
            }
        }
    }
    let eigen = (p > 0).then(|| xx.symmetric_eigen());
    let most = eigen.as_ref().map_or(0.0, |e| e.eigenvalues.max()).max(NOTHING);
    let (mut inverse, mut rank) = (DMatrix::<f64>::zeros(p, p), 0);
    let mut hidden = vec![0.0; p];
    if let Some(e) = &eigen {
        for k in 0..p {
            let v = e.eigenvectors.column(k);
            if e.eigenvalues[k] > most * NOTHING {
                rank += 1;
                inverse += v * v.transpose() / e.eigenvalues[k];
            } else {
                (0..p).for_each(|j| hidden[j] += v[j] * v[j]);
            }
        }
    }
    let beta = &inverse * &xy;
    let free = records.len().checked_sub(groups.len() + rank).filter(|f| *f > 0)?;
    let s2 = ((yy - beta.dot(&xy)) / free as f64).max(0.0);
    let classes = column.map(|all| {
        let estimate = |j: usize| {
            let se = (s2 * inverse[(j, j)].max(0.0)).sqrt();
            (hidden[j] < 1e-8).then_some(Estimate { value: beta[j], se })
        };
        all.into_iter().map(|j| j.and_then(estimate)).collect()
    });
    Some(Solved { classes, n: records.len(), groups: groups.len(), free, spread: s2.sqrt() })
}
