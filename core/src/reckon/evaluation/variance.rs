//! Variances out of the flock's own records: restricted maximum likelihood (Patterson and Thompson 1971) by average
//! information (Johnson and Thompson 1995; Gilmour, Thompson and Cullis 1995). The matrices of variances are held
//! as triangles L with G = L·Lᵀ, so that no step leaves what a variance can be; a step that does not help is damped,
//! and the slow but sure step of expectation and maximisation stands in where none does.

mod dense;
mod design;
mod enough;
mod space;
#[cfg(test)]
mod tests;

pub use enough::{Basis, basis, enough};

use super::problem::{Problem, Unfit};
use dense::{Dense, Point};
use faer::Mat;
use space::Space;

/// So many records are reckoned as one dense matrix of variances; more are refused.
pub const DENSE_MOST: usize = 1_500;
/// Steps at the most.
const STEPS: u32 = 80;
/// A step that changes the log likelihood by less ends the search.
const STILL: f64 = 1e-10;
/// A variance below this share of all variance stands at the edge: it is as good as none.
const EDGE: f64 = 1e-5;

/// A variance or covariance.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// What it is, in words: "animal", "animal with dam", "residual".
    pub name: String,
    /// Its block of the problem and its two effects there; none for the residual.
    pub of: Option<(usize, usize, usize)>,
    /// The variance, in squared units of the records.
    pub value: f64,
    /// Its standard error from the average information; none at the edge.
    pub error: Option<f64>,
    /// It stands at the edge of what it can be: a variance at zero, or a correlation at one.
    pub at_edge: bool,
}

/// A variance as a share of all variance: a heritability where the effect is the animal.
#[derive(Debug, Clone, PartialEq)]
pub struct Ratio {
    /// The effect, in words.
    pub name: String,
    /// Its block of the problem and its effect there.
    pub of: (usize, usize),
    /// The share.
    pub value: f64,
    /// Its standard error (delta method); none at the edge.
    pub error: Option<f64>,
    /// As good as no answer: it stands at the edge, or its standard error is as wide as the share itself.
    pub useless: bool,
}

/// A fixed effect's level as fitted; the first level of each factor but the first is nought.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// The factor or the slope.
    pub of: String,
    /// Its level; nothing for a slope.
    pub level: String,
    /// In the unit of the records.
    pub value: f64,
}

/// What was estimated.
#[derive(Debug, Clone, PartialEq)]
pub struct Reml {
    /// Variances, block by block, the residual last.
    pub components: Vec<Component>,
    /// All variance of a record of an animal that is not inbred, in squared units.
    pub phenotypic: f64,
    /// Shares of the variances, block by block.
    pub ratios: Vec<Ratio>,
    /// Fixed effects at these variances.
    pub fixed: Vec<Fitted>,
    /// The restricted log likelihood, with its constant.
    pub log_likelihood: f64,
    /// Steps taken.
    pub steps: u32,
    /// What it stands on.
    pub basis: Basis,
}

impl Reml {
    /// The variances of each block in the problem's own form, and the residual: to solve with.
    pub fn into_problem(&self, problem: &mut Problem) {
        for c in &self.components {
            match c.of {
                None => problem.residual = c.value,
                Some((b, i, j)) => {
                    let q = problem.blocks[b].effects.len();
                    problem.blocks[b].variance[i * q + j] = c.value;
                    problem.blocks[b].variance[j * q + i] = c.value;
                }
            }
        }
    }

    /// What to think of it, in sentences.
    pub fn told(&self) -> Vec<String> {
        let mut all = vec![self.basis.told()];
        for r in &self.ratios {
            let edge = self.components.iter().any(|c| c.at_edge && c.of == Some((r.of.0, r.of.1, r.of.1)));
            all.push(match r.error {
                _ if edge => format!(
                    "{}: at the edge, these records show none of it. That is no proof that there is none; use the range of the handbook.",
                    r.name
                ),
                Some(e) if r.useless => format!(
                    "{}: {:.2}, but with a standard error of {e:.2} it could be nearly anything: useless, take the handbook's.",
                    r.name, r.value
                ),
                Some(e) => format!("{}: {:.2}, standard error {e:.2}.", r.name, r.value),
                None => format!("{}: {:.2}; how sure that is cannot be told.", r.name, r.value),
            });
        }
        if let Some(c) = self.components.iter().find(|c| c.at_edge && c.of.is_some_and(|(_, i, j)| i != j)) {
            all.push(format!(
                "{}: the correlation stands at one, which no flock has: too few records to part the two.",
                c.name
            ));
        }
        all
    }
}

/// Estimates the variances of a problem; those it holds are where the search starts. `go_on` is told how far it is, per
/// cent, and answers whether to go on.
///
/// # Errors
/// The records do not suffice ([`enough`]), are too many, the numbers are no numbers, the search found no answer, or it was
/// stopped.
pub fn reml(problem: &Problem, go_on: &mut dyn FnMut(u32) -> bool) -> Result<Reml, Unfit> {
    let basis = enough(problem)?;
    if problem.records.len() > DENSE_MOST {
        return Err(Unfit::TooFew(format!(
            "own variances are reckoned from up to {DENSE_MOST} records, and these are {}: take fewer years, or the handbook's range",
            problem.records.len()
        )));
    }
    let mut dense = Dense::of(problem)?;
    let (mut space, scale) = (Space::of(problem)?, dense.scale);
    space.start(scale);
    let mut at = dense.at(&space.theta()).ok_or_else(no_answer)?;
    let (mut steps, mut damp, mut still) = (0, 1e-4, 0);
    while steps < STEPS {
        if !go_on((steps * 100 / STEPS).min(99)) {
            return Err(Unfit::Stopped);
        }
        steps += 1;
        // One sure step first: from a bad start the information is a poor guide.
        let step = if steps == 1 { None } else { newton(&mut dense, &space, &at, &mut damp) };
        let (next, point) = match step.or_else(|| sure(&mut dense, &space, &at)) {
            Some(found) => found,
            None => break,
        };
        let gain = point.log_likelihood - at.log_likelihood;
        (space, at) = (next, point);
        still = if gain.abs() < STILL * (1.0 + at.log_likelihood.abs()) { still + 1 } else { 0 };
        if still >= 2 {
            // A variance that stood at nought but would grow is set free again.
            if !space.free(&at.score) {
                break;
            }
            (at, still) = (dense.at(&space.theta()).ok_or_else(no_answer)?, 0);
        }
    }
    if steps >= STEPS {
        return Err(Unfit::NoAnswer(format!(
            "the search for variances did not settle in {STEPS} steps: these records do not tell them apart; take the handbook's range"
        )));
    }
    Ok(told(problem, &dense, &space, &at, steps, basis))
}

fn no_answer() -> Unfit {
    Unfit::NoAnswer("the equations of the variances have no answer: look for records all alike, or effects that say the same thing twice".into())
}

/// A step by average information, damped until it helps.
fn newton(dense: &mut Dense, space: &Space, at: &Point, damp: &mut f64) -> Option<(Space, Point)> {
    let (score, information) = space.inner(&at.score, &at.information);
    for _ in 0..12 {
        if let Some(step) = space::damped(&information, &score, *damp) {
            let next = space.moved(&step);
            if let Some(ll) = dense.log_likelihood(&next.theta())
                && ll >= at.log_likelihood - 1e-12 * at.log_likelihood.abs()
            {
                *damp = (*damp * 0.1).max(1e-9);
                return dense.at(&next.theta()).map(|point| (next, point));
            }
        }
        *damp = (*damp * 10.0).min(1e6);
    }
    *damp = 1e-2;
    None
}

/// A step of expectation and maximisation; nothing where it changes nothing.
fn sure(dense: &mut Dense, space: &Space, at: &Point) -> Option<(Space, Point)> {
    let next = space.expected(&at.score, &dense.levels)?;
    let point = dense.at(&next.theta())?;
    (point.log_likelihood >= at.log_likelihood - 1e-9 * at.log_likelihood.abs()).then_some((next, point))
}

fn told(problem: &Problem, dense: &Dense, space: &Space, at: &Point, steps: u32, basis: Basis) -> Reml {
    let (theta, scale) = (space.theta(), dense.scale);
    let whole = space.whole();
    let phenotypic: f64 = whole.iter().zip(&theta).map(|(c, t)| c * t).sum();
    let edge = space.at_edge(EDGE * phenotypic);
    let kept: Vec<usize> = (0..theta.len()).filter(|k| !edge[*k]).collect();
    let small = Mat::from_fn(kept.len(), kept.len(), |i, j| at.information[(kept[i], kept[j])]);
    let inverse = dense::inverse(&small);
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
        fixed: dense.fitted(&at.fixed),
        log_likelihood: at.log_likelihood - dense.freedom() * scale.ln(),
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
            format!("{} with {}", effects[j].name, effects[i].name)
        }
    }
}
