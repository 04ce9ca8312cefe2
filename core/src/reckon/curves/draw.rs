//! Drawing a curve through weights: which weights count how much, and why none could be drawn.

use super::curve::{Curve, edge};
use super::fit::{Found, Point, solve};
use super::shape::Model;
use crate::handbook::curves as bounds;
use crate::phrase;

/// How weights scatter round their curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spread {
    /// By the same amount at every age: ordinary least squares, as published fits have it.
    Even,
    /// In proportion to the weight: least squares of the relative residuals. For one animal.
    WithWeight,
    /// By an amount that is a straight line in the expected weight, both ends of it learnt from the residuals; weights
    /// far outside count for nothing. For a flock, in which a few weights are always wrong.
    Robust,
}

/// Why no curve could be drawn.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoCurve {
    /// Ages are not known.
    #[error("the day of birth is not known, so its ages are not: write the day of birth, or an estimate")]
    NoBirthday,
    /// Too few.
    #[error("{}: a curve needs {needed}", weights_on_days(*.days))]
    TooFew {
        /// Days on which it was weighed.
        days: usize,
        /// How many there must be.
        needed: usize,
    },
    /// All about the same age.
    #[error("all its weights lie within {days} days: a curve needs {needed} days or more")]
    TooClose {
        /// From first to last.
        days: i64,
        /// How many there must be.
        needed: i64,
    },
    /// A figure that is none.
    #[error("a weight or an age is not a figure above nothing: strike out what is wrong")]
    NoFigure,
    /// It did not grow.
    #[error("the weights do not rise with age: no growth curve fits them")]
    NoGrowth,
    /// Least squares found nothing.
    #[error("no growth curve fits these weights: look for a wrong one among them")]
    NoFit,
}

fn weights_on_days(days: usize) -> String {
    match days {
        0 => phrase!("no weight is written down"),
        1 => phrase!("only weighed on one day"),
        n => phrase!("only weighed on {n} days"),
    }
}

/// Draws the curve of these shapes that fits best through (age, weight).
///
/// # Errors
/// Says what is missing.
pub fn draw(points: &[(f64, f64)], models: &[Model], spread: Spread) -> Result<Curve, NoCurve> {
    let mut all: Vec<(f64, f64)> = points.to_vec();
    if all.iter().any(|(x, y)| !(x.is_finite() && y.is_finite() && *y > 0.0)) {
        return Err(NoCurve::NoFigure);
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.total_cmp(&b.1)));
    let mut ages: Vec<f64> = all.iter().map(|(x, _)| *x).collect();
    ages.dedup();
    let needed = usize::try_from(bounds::least_weights()).unwrap_or(4);
    if ages.len() < needed {
        return Err(NoCurve::TooFew { days: ages.len(), needed });
    }
    let (first, last) = (ages[0], ages[ages.len() - 1]);
    let span = Span { first, days: last - first };
    if spread != Spread::Even && span.days < bounds::least_days() as f64 {
        return Err(NoCurve::TooClose { days: span.days as i64, needed: bounds::least_days() });
    }
    let u = |x: f64| (x - span.first) / span.days;
    let scaled: Vec<(f64, f64)> = all.iter().map(|(x, y)| (u(*x), *y)).collect();
    let mut flat = false;
    let drawn = models.iter().filter_map(|model| {
        let drawn = one(*model, &scaled, span, spread)?;
        // A step, or what runs off to nowhere just behind its last weight, is no curve of growth.
        let ages = [first, last, drawn.curve.read_to()];
        if drawn.curve.theta[2].abs() > STEEPEST || ages.iter().any(|a| !drawn.curve.expected(*a).is_finite())
        {
            return None;
        }
        // A line that falls is no growth, whatever its shape.
        let rises = drawn.curve.expected(last) > drawn.curve.expected(first);
        flat |= !rises;
        rises.then_some(drawn)
    });
    let best = drawn.min_by(|a, b| a.misfit.total_cmp(&b.misfit));
    best.map(|d| d.curve).ok_or(if flat { NoCurve::NoGrowth } else { NoCurve::NoFit })
}

/// The sharpest bend of anything that grows.
const STEEPEST: f64 = 40.0;

#[derive(Clone, Copy)]
struct Span {
    first: f64,
    days: f64,
}

struct Drawn {
    curve: Curve,
    /// What is left over, alike for every shape.
    misfit: f64,
}

fn one(model: Model, all: &[(f64, f64)], span: Span, spread: Spread) -> Option<Drawn> {
    let fitted = match spread {
        Spread::Even => even(model, all)?,
        Spread::WithWeight => with_weight(model, all)?,
        Spread::Robust => robust(model, all)?,
    };
    let Fitted { found, line, counts, misfit, degrees, variance } = fitted;
    let covariance = found.inverse.map(|inverse| inverse.map(|row| row.map(|v| v * variance)));
    let curve = Curve {
        model,
        theta: found.theta,
        first: span.first,
        days: span.days,
        covariance,
        edge: edge(degrees),
        spread: line,
        weights: counts,
        left_out: all.len() - counts,
        degrees,
        sum: found.sum,
        heaviest: all.iter().map(|(_, y)| *y).fold(0.0, f64::max),
    };
    Some(Drawn { curve, misfit })
}

struct Fitted {
    found: Found,
    /// Standard deviation: this, and this much of the expected weight.
    line: (f64, f64),
    /// Weights that count.
    counts: usize,
    misfit: f64,
    degrees: usize,
    variance: f64,
}

fn even(model: Model, all: &[(f64, f64)]) -> Option<Fitted> {
    let points: Vec<Point> = all.iter().map(|(u, y)| (*u, *y, 1.0)).collect();
    let found = solve(model, &points, None)?;
    let degrees = all.len() - 3;
    let variance = found.sum / degrees as f64;
    let line = (variance.sqrt(), 0.0);
    Some(Fitted { found, line, counts: all.len(), misfit: found.sum, degrees, variance })
}

/// Times the weights are set anew from the curve they gave.
const ROUNDS: usize = 4;

fn with_weight(model: Model, all: &[(f64, f64)]) -> Option<Fitted> {
    let mut points: Vec<Point> = all.iter().map(|(u, y)| (*u, *y, y.powi(-2))).collect();
    let mut found = solve(model, &points, None)?;
    for _ in 0..ROUNDS {
        for p in &mut points {
            p.2 = floor(model.value(found.theta, p.0)).powi(-2);
        }
        found = solve(model, &points, Some(found.theta))?;
    }
    let degrees = all.len() - 3;
    let variance = found.sum / degrees as f64;
    let misfit = all.iter().map(|(u, y)| (y / floor(model.value(found.theta, *u))).ln().powi(2)).sum();
    Some(Fitted { found, line: (0.0, variance.sqrt()), counts: all.len(), misfit, degrees, variance })
}

/// A curve that dips to nothing must not divide by it.
fn floor(expected: f64) -> f64 {
    expected.max(0.05)
}

/// Residuals beyond so many standard deviations count for nothing; nearer ones less the farther they lie.
const FAR: f64 = 5.0;
/// The spread is learnt from those within so many.
const NEAR: f64 = 3.5;
/// The least spread, of the expected weight: a scale and a full gut are never exacter.
const LEAST: f64 = 0.02;

fn robust(model: Model, all: &[(f64, f64)]) -> Option<Fitted> {
    let middles = middles(all);
    let mut found = solve(model, &middles, None)?;
    let mut expected: Vec<f64> = Vec::with_capacity(all.len());
    let look = |theta, expected: &mut Vec<f64>| {
        expected.clear();
        expected.extend(all.iter().map(|(u, _)| floor(model.value(theta, *u))));
    };
    look(found.theta, &mut expected);
    let mut off: Vec<f64> = all.iter().zip(&expected).map(|((_, y), e)| (y - e).abs() / e).collect();
    // 1.4826 times the median distance is the standard deviation of what is spread normally.
    let mut line = (0.0, (1.4826 * median(&mut off)).max(LEAST));
    let mut points: Vec<Point> = Vec::with_capacity(all.len());
    let mut whole = 0.0;
    for _ in 0..ROUNDS {
        line = learn(all, &expected, line);
        points.clear();
        whole = 0.0;
        for ((u, y), e) in all.iter().zip(&expected) {
            let sd = line.0 + line.1 * e;
            let z = (y - e) / (FAR * sd);
            let counts = (1.0 - (z * z).min(1.0)).powi(2);
            whole += counts;
            points.push((*u, *y, counts / (sd * sd)));
        }
        found = solve(model, &points, Some(found.theta))?;
        look(found.theta, &mut expected);
    }
    let line = learn(all, &expected, line);
    let counts = points.iter().filter(|p| p.2 > 0.0).count();
    let degrees = (whole.floor() as usize).checked_sub(3).filter(|d| *d > 0)?;
    let near = |y: f64, e: f64| (y / e).ln().abs().min(FAR * (line.0 / e + line.1)).powi(2);
    let misfit = all.iter().zip(&expected).map(|((_, y), e)| near(*y, *e)).sum();
    Some(Fitted { found, line, counts, misfit, degrees, variance: found.sum / degrees as f64 })
}

/// The median age and weight of a few stretches of age: a start that no wrong weight can spoil.
fn middles(all: &[(f64, f64)]) -> Vec<Point> {
    let n = (all.len() / 8).clamp(4, 16);
    let per = all.len().div_ceil(n).max(1);
    let stretch = |part: &[(f64, f64)]| {
        let mut ages: Vec<f64> = part.iter().map(|(u, _)| *u).collect();
        let mut weights: Vec<f64> = part.iter().map(|(_, y)| *y).collect();
        let weight = median(&mut weights);
        (median(&mut ages), weight, part.len() as f64 / (weight * weight))
    };
    all.chunks(per).map(stretch).collect()
}

/// The spread as a straight line in the expected weight: of the residuals' sizes, whose mean is √(2 ⁄ π) of the
/// standard deviation, by least squares in which each counts by its own size; neither end below nothing.
fn learn(all: &[(f64, f64)], expected: &[f64], line: (f64, f64)) -> (f64, f64) {
    const SD: f64 = 1.253_314_137_315_5;
    let (mut n, mut x, mut xx, mut y, mut xy) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for ((_, w), e) in all.iter().zip(expected) {
        let size = (w - e).abs();
        if size > NEAR * (line.0 + line.1 * e) {
            continue;
        }
        // By 1 ⁄ e²: sizes spread as they are large.
        let (size, count) = (size * SD, 1.0 / (e * e));
        n += count;
        x += count * e;
        xx += count * e * e;
        y += count * size;
        xy += count * e * size;
    }
    let det = n * xx - x * x;
    if n <= 0.0 {
        return line;
    }
    let (mut base, mut rise) =
        if det > 1e-9 * n * xx { ((y * xx - xy * x) / det, (xy * n - y * x) / det) } else { (0.0, xy / xx) };
    if base < 0.0 {
        (base, rise) = (0.0, xy / xx);
    } else if rise < 0.0 {
        (base, rise) = (y / n, 0.0);
    }
    (base, rise.max(LEAST))
}

fn median(all: &mut [f64]) -> f64 {
    let middle = all.len() / 2;
    if all.is_empty() {
        return 0.0;
    }
    *all.select_nth_unstable_by(middle, f64::total_cmp).1
}
