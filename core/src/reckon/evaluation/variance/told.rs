//! From the place of the greatest likelihood to what the keeper is told: variances, shares, standard errors.

use super::super::problem::Problem;
use super::space::Space;
use super::{Basis, Component, EDGE, Likelihood, Point, Ratio, Reml};
use crate::phrase;
use faer::linalg::solvers::DenseSolveCore as _;
use faer::{Mat, Side};

/// The inverse of a definite matrix.
fn inverse(m: &Mat<f64>) -> Option<Mat<f64>> {
    if m.nrows() == 0 {
        return None;
    }
    m.llt(Side::Lower).ok().map(|l| l.inverse())
}

/// What was found, in the problem's own words and units.
pub(super) fn told(
    problem: &Problem,
    form: &dyn Likelihood,
    space: &Space,
    at: &Point,
    steps: u32,
    basis: Basis,
) -> Reml {
    let (theta, scale) = (space.theta(), form.scale());
    let whole = space.whole();
    let phenotypic: f64 = whole.iter().zip(&theta).map(|(c, t)| c * t).sum();
    let edge = space.at_edge(EDGE * phenotypic);
    let kept: Vec<usize> = (0..theta.len()).filter(|k| !edge[*k]).collect();
    let small = Mat::from_fn(kept.len(), kept.len(), |i, j| at.information[(kept[i], kept[j])]);
    let inverse = inverse(&small);
    let covariance = |a: usize, b: usize| -> Option<f64> {
        let (a, b) = (kept.iter().position(|k| *k == a)?, kept.iter().position(|k| *k == b)?);
        inverse.as_ref().map(|m| m[(a, b)])
    };
    let root = |v: f64| (v.is_finite() && v >= 0.0).then(|| v.sqrt());
    let components = space
        .names()
        .iter()
        .enumerate()
        .map(|(k, (of, _))| Component {
            name: name(problem, *of),
            of: *of,
            value: if edge[k] && of.is_some_and(|(_, i, j)| i == j) && theta[k] <= EDGE * phenotypic {
                0.0
            } else {
                theta[k] * scale * scale
            },
            error: covariance(k, k).and_then(root).map(|e| e * scale * scale),
            at_edge: edge[k],
        })
        .collect();
    let ratios = space
        .names()
        .iter()
        .enumerate()
        .filter_map(|(k, (of, _))| match of {
            Some((b, i, j)) if i == j => Some((k, *b, *i)),
            _ => None,
        })
        .map(|(k, b, i)| {
            let value = theta[k] / phenotypic;
            let slope: Vec<f64> = (0..theta.len())
                .map(|l| (f64::from(u8::from(l == k)) - value * whole[l]) / phenotypic)
                .collect();
            let variance: Option<f64> = kept
                .iter()
                .flat_map(|a| kept.iter().map(move |b| (*a, *b)))
                .map(|(a, b)| covariance(a, b).map(|c| slope[a] * slope[b] * c))
                .sum();
            let error = if edge[k] { None } else { variance.and_then(root) };
            let useless = edge[k] || error.is_none_or(|e| e >= value);
            let value = if edge[k] && theta[k] <= EDGE * phenotypic { 0.0 } else { value };
            Ratio { name: problem.blocks[b].effects[i].name.clone(), of: (b, i), value, error, useless }
        })
        .collect();
    Reml {
        components,
        phenotypic: phenotypic * scale * scale,
        ratios,
        fixed: form.fitted(&at.fixed),
        log_likelihood: at.log_likelihood - form.freedom() * scale.ln(),
        steps,
        basis,
    }
}

fn name(problem: &Problem, of: Option<(usize, usize, usize)>) -> String {
    match of {
        None => "residual".into(),
        Some((b, i, j)) if i == j => problem.blocks[b].effects[i].name.clone(),
        Some((b, i, j)) => {
            let effects = &problem.blocks[b].effects;
            phrase!("{} with {}", effects[j].name, effects[i].name)
        }
    }
}
