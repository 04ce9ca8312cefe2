//! Variances out of the flock's own records: restricted maximum likelihood (Patterson and Thompson 1971) by average
//! information (Johnson and Thompson 1995; Gilmour, Thompson and Cullis 1995). The matrices of variances are held
//! as triangles L with G = L·Lᵀ, so that no step leaves what a variance can be; a step that does not help is damped,
//! and the slow but sure step of expectation and maximisation stands in where none does.

mod dense;
mod design;
mod enough;
mod space;
mod sparse;
#[cfg(test)]
mod tests;
mod told;

use crate::phrase;
pub use enough::{Basis, basis, enough};

use super::problem::{Problem, Unfit};
use dense::Dense;
use faer::Mat;
use space::Space;
use sparse::Sparse;
use told::told;

/// Up to so many records the whole matrix of their variances is reckoned with; beyond, Henderson's equations.
const DENSE: usize = 300;
/// More records, or more levels of the random effects together, are refused.
pub const MOST: usize = 50_000;
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
                _ if edge => phrase!(
                    "{}: at the edge, these records show none of it. That is no proof that there is none; use the range of the handbook.",
                    r.name
                ),
                Some(e) if r.useless => phrase!(
                    "{}: {:.2}, but with a standard error of {e:.2} it could be nearly anything: useless, take the handbook's.",
                    r.name, r.value
                ),
                Some(e) => phrase!("{}: {:.2}, standard error {e:.2}.", r.name, r.value),
                None => phrase!("{}: {:.2}; how sure that is cannot be told.", r.name, r.value),
            });
        }
        if let Some(c) = self.components.iter().find(|c| c.at_edge && c.of.is_some_and(|(_, i, j)| i != j)) {
            all.push(phrase!(
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
    let levels: usize = problem.blocks.iter().map(|b| b.levels * b.effects.len()).sum();
    if problem.records.len() > MOST || levels > MOST {
        return Err(Unfit::TooFew(phrase!(
            "own variances are reckoned from up to {MOST} records and levels, and these are {} and {levels}: take fewer years, or the handbook's range",
            problem.records.len()
        )));
    }
    let space = Space::of(problem)?;
    let form: Box<dyn Likelihood> = if problem.records.len() <= DENSE {
        Box::new(Dense::of(problem)?)
    } else {
        Box::new(Sparse::of(problem)?)
    };
    let mut search = Search { form, go_on, steps: 0, stopped: false, damp: 1e-4 };
    let found = search.top(space);
    let (space, at) = if search.stopped { return Err(Unfit::Stopped) } else { found? };
    Ok(told(problem, &*search.form, &space, &at, search.steps, basis))
}

fn no_answer() -> Unfit {
    Unfit::NoAnswer("the equations of the variances have no answer: look for records all alike, or effects that say the same thing twice".into())
}

/// The likelihood at one place.
struct Point {
    log_likelihood: f64,
    /// ∂/∂θ of it.
    score: Vec<f64>,
    /// The average of observed and expected information.
    information: Mat<f64>,
    /// Fixed effects, as the form has them.
    fixed: Vec<f64>,
}

/// The restricted likelihood of records that were divided by a scale.
trait Likelihood {
    /// The scale.
    fn scale(&self) -> f64;
    /// Records beyond the fixed effects.
    fn freedom(&self) -> f64;
    /// Levels of each block that the likelihood knows, and last the records.
    fn levels(&self) -> &[usize];
    /// The log likelihood alone; nothing where these variances are none.
    fn log_likelihood(&mut self, theta: &[f64]) -> Option<f64>;
    /// The likelihood with its slopes; nothing where these variances are none, or it was stopped.
    fn at(&mut self, theta: &[f64], alive: &mut dyn FnMut() -> bool) -> Option<Point>;
    /// Fixed effects by name, in the unit of the records.
    fn fitted(&self, values: &[f64]) -> Vec<Fitted>;
}

/// The records' own spread, to divide them by.
fn spread(records: &[f64]) -> Result<f64, Unfit> {
    let n = records.len() as f64;
    let mean = records.iter().sum::<f64>() / n;
    let spread = records.iter().map(|r| (r - mean).powi(2)).sum::<f64>() / n;
    if !spread.is_finite() {
        return Err(Unfit::NoAnswer("a record is no number".into()));
    }
    if spread <= 1e-12 * mean * mean || spread == 0.0 {
        return Err(Unfit::NoAnswer("all records are alike, so there is no variance to part".into()));
    }
    Ok(spread.sqrt())
}

struct Search<'a> {
    form: Box<dyn Likelihood>,
    go_on: &'a mut dyn FnMut(u32) -> bool,
    steps: u32,
    stopped: bool,
    damp: f64,
}

impl Search<'_> {
    fn at(&mut self, space: &Space) -> Option<Point> {
        let percent = (self.steps * 100 / STEPS).min(99);
        let Self { form, go_on, stopped, .. } = self;
        let mut alive = || {
            *stopped |= !go_on(percent);
            !*stopped
        };
        form.at(&space.theta(), &mut alive)
    }

    /// The place of the greatest likelihood.
    fn top(&mut self, mut space: Space) -> Result<(Space, Point), Unfit> {
        space.start(self.form.scale());
        let mut at = self.at(&space).ok_or_else(no_answer)?;
        let mut still = 0;
        while self.steps < STEPS {
            self.steps += 1;
            self.stopped |= !(self.go_on)((self.steps * 100 / STEPS).min(99));
            // One sure step first: from a bad start the information is a poor guide.
            let step = if self.steps == 1 { None } else { self.newton(&space, &at) };
            if self.stopped {
                return Err(Unfit::Stopped);
            }
            let Some((next, point)) = step.or_else(|| self.sure(&space, &at)) else {
                return Ok((space, at));
            };
            let gain = point.log_likelihood - at.log_likelihood;
            (space, at) = (next, point);
            still = if gain.abs() < STILL * (1.0 + at.log_likelihood.abs()) { still + 1 } else { 0 };
            if still >= 2 {
                // A variance that stood at nought but would grow is set free again.
                if !space.free(&at.score) {
                    return Ok((space, at));
                }
                (at, still) = (self.at(&space).ok_or_else(no_answer)?, 0);
            }
        }
        Err(Unfit::NoAnswer(phrase!(
            "the search for variances did not settle in {STEPS} steps: these records do not tell them apart; take the handbook's range"
        )))
    }

    /// A step by average information, damped until it helps.
    fn newton(&mut self, space: &Space, at: &Point) -> Option<(Space, Point)> {
        let (score, information) = space.inner(&at.score, &at.information);
        for _ in 0..12 {
            if let Some(step) = space::damped(&information, &score, self.damp) {
                let next = space.moved(&step);
                if let Some(ll) = self.form.log_likelihood(&next.theta())
                    && ll >= at.log_likelihood - 1e-12 * at.log_likelihood.abs()
                {
                    self.damp = (self.damp * 0.1).max(1e-9);
                    return self.at(&next).map(|point| (next, point));
                }
            }
            self.damp = (self.damp * 10.0).min(1e6);
        }
        self.damp = 1e-2;
        None
    }

    /// A step of expectation and maximisation; nothing where it does not help.
    fn sure(&mut self, space: &Space, at: &Point) -> Option<(Space, Point)> {
        let next = space.expected(&at.score, self.form.levels())?;
        let point = self.at(&next)?;
        (point.log_likelihood >= at.log_likelihood - 1e-9 * at.log_likelihood.abs()).then_some((next, point))
    }
}
