//! A drawn curve and what it tells.

use super::shape::{Model, Theta};
use crate::handbook::curves as bounds;
use crate::reckon::worms::student::t_within;

/// The share of weights that lie within a band.
const BAND: f64 = 0.9;

/// Standard deviations from the middle of a band to its edge.
pub(super) fn edge(degrees: usize) -> f64 {
    t_within(BAND, degrees).unwrap_or(f64::INFINITY)
}

/// A growth curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Its shape.
    pub model: Model,
    pub(super) theta: Theta,
    /// The first age it covers.
    pub first: f64,
    /// How many days it covers.
    pub days: f64,
    /// Of the figures looked for; none where the data do not tell all three.
    pub(super) covariance: Option<[[f64; 3]; 3]>,
    /// Standard deviations from the middle of its band to the edge: Student's t of the degrees left.
    pub(super) edge: f64,
    /// Standard deviation of a weight: this, and this share of the expected weight.
    pub spread: (f64, f64),
    /// Weights that count.
    pub weights: usize,
    /// Weights too far off to count.
    pub left_out: usize,
    /// Degrees of freedom left.
    pub degrees: usize,
    /// Weighted sum of squares of what is left over; in plain squares where the spread is even.
    pub sum: f64,
    /// The heaviest weight.
    pub heaviest: f64,
}

/// The figures of the published form of a curve (see [`Model`]), with standard errors where the data tell them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures {
    /// The weight it ends at; infinite where it does not bend towards an end.
    pub a: f64,
    /// Sets the weight at birth.
    pub b: f64,
    /// A day; how fast it nears its end.
    pub k: f64,
    /// Standard errors of the three.
    pub errors: Option<[f64; 3]>,
}

/// The weight a curve ends at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mature {
    /// The weight.
    pub weight: f64,
    /// Its standard error.
    pub error: f64,
}

/// Why no mature weight is told.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoMature {
    /// The weights do not bend towards an end.
    #[error("it still grew as fast as ever at its last weight")]
    NoEnd,
    /// The end lies far above all weights.
    #[error("the curve would end far above its heaviest weight, and nobody has seen that it does")]
    Far {
        /// Where it would end.
        end: f64,
        /// Its standard error, if the data tell one.
        error: Option<f64>,
        /// The heaviest weight.
        heaviest: f64,
    },
    /// The end is not known well enough.
    #[error("the weights do not tell well enough where it will end")]
    Unsure {
        /// Where it would end.
        end: f64,
        /// Its standard error, if the data tell one.
        error: Option<f64>,
    },
}

/// When a weight is reached, in days of age.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// Expected.
    pub age: f64,
    /// A good doer is there already now.
    pub early: f64,
    /// A poor doer; none where that is farther ahead than the curve is read.
    pub late: Option<f64>,
}

/// Why the age at a weight is not told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotTold {
    /// Before the first weight.
    #[error("it weighed more than that at its first weight")]
    Before,
    /// Farther ahead than the curve is read.
    #[error("not within the next {days} days: a curve is not read farther ahead than that")]
    TooFar {
        /// From the last weight on.
        days: i64,
    },
}

impl Curve {
    fn u(&self, age: f64) -> f64 {
        (age - self.first) / self.days
    }

    /// The last age it covers.
    pub fn last(&self) -> f64 {
        self.first + self.days
    }

    /// The age to which it is read.
    pub fn read_to(&self) -> f64 {
        self.last() + self.days * bounds::ahead_percent() as f64 / 100.0
    }

    /// Whether an age lies within its weights.
    pub fn covers(&self, age: f64) -> bool {
        (self.first..=self.last()).contains(&age)
    }

    /// The expected weight at an age.
    pub fn expected(&self, age: f64) -> f64 {
        self.model.value(self.theta, self.u(age))
    }

    /// Gain a day at an age.
    pub fn gain(&self, age: f64) -> f64 {
        self.model.slope(self.theta, self.u(age)) / self.days
    }

    /// How weights spread at an age: their standard deviation round the curve.
    pub fn spread_at(&self, age: f64) -> f64 {
        self.spread.0 + self.spread.1 * self.expected(age).max(0.0)
    }

    /// Standard error of the curve itself at an age.
    pub fn error_at(&self, age: f64) -> Option<f64> {
        let covariance = self.covariance?;
        let g = self.model.gradient(self.theta, self.u(age));
        let row = |r: usize| (0..3).map(|c| covariance[r][c] * g[c]).sum::<f64>();
        let square: f64 = (0..3).map(|r| g[r] * row(r)).sum();
        Some(square.max(0.0).sqrt())
    }

    /// The standard deviation of one more weight at an age: the spread, and what is not known of the curve.
    pub fn deviation(&self, age: f64) -> f64 {
        let error = self.error_at(age).unwrap_or(0.0);
        self.spread_at(age).hypot(error)
    }

    /// The band in which nine of ten weights at an age lie.
    pub fn band(&self, age: f64) -> (f64, f64) {
        let (middle, half) = (self.expected(age), self.half(age));
        ((middle - half).max(0.0), middle + half)
    }

    fn half(&self, age: f64) -> f64 {
        self.edge * self.deviation(age)
    }

    /// The share of animals like these that weigh less at that age, per cent.
    pub fn percentile(&self, weight: f64, age: f64) -> f64 {
        100.0 * below((weight - self.expected(age)) / self.deviation(age).max(f64::MIN_POSITIVE))
    }

    /// How many standard deviations a weight lies above the curve.
    pub fn score(&self, weight: f64, age: f64) -> f64 {
        (weight - self.expected(age)) / self.deviation(age).max(f64::MIN_POSITIVE)
    }

    /// When a weight is reached: expected, and by the edges of the band.
    ///
    /// # Errors
    /// When that lies before the first weight, or farther ahead than the curve is read.
    pub fn reach(&self, weight: f64) -> Result<Reach, NotTold> {
        if self.expected(self.first) > weight {
            return Err(NotTold::Before);
        }
        let ahead = NotTold::TooFar { days: (self.read_to() - self.last()) as i64 };
        let age = self.crossing(weight, 0.0).ok_or(ahead)?;
        let early = self.crossing(weight, self.edge).unwrap_or(self.first);
        Ok(Reach { age, early, late: self.crossing(weight, -self.edge).filter(|l| *l >= age) })
    }

    /// The first age at which the line so many standard deviations above the curve reaches a weight.
    fn crossing(&self, weight: f64, above: f64) -> Option<f64> {
        const STEPS: usize = 200;
        let height = |age: f64| {
            let off = if above == 0.0 { 0.0 } else { above * self.deviation(age) };
            self.expected(age) + off - weight
        };
        let all = self.read_to() - self.first;
        let at = |i: usize| self.first + all * i as f64 / STEPS as f64;
        let step = (0..=STEPS).find(|i| height(at(*i)) >= 0.0)?;
        let Some(before) = step.checked_sub(1) else { return Some(self.first) };
        let (mut low, mut high) = (at(before), at(step));
        for _ in 0..40 {
            let middle = (low + high) / 2.0;
            if height(middle) >= 0.0 { high = middle } else { low = middle }
        }
        Some(high)
    }

    /// The figures of the published form.
    pub fn figures(&self) -> Figures {
        let [a, b, k] = self.model.published(self.theta, self.first, self.days);
        Figures { a, b, k, errors: self.errors() }
    }

    /// Standard errors of A, b and k: those of the figures looked for, carried over by the derivatives.
    fn errors(&self) -> Option<[f64; 3]> {
        let covariance = self.covariance?;
        let mut by = [[0.0; 3]; 3];
        for (i, column) in by.iter_mut().enumerate() {
            let step = 1e-6 * self.theta[i].abs().max(1e-2);
            let (mut up, mut down) = (self.theta, self.theta);
            up[i] += step;
            down[i] -= step;
            let (up, down) = (
                self.model.published(up, self.first, self.days),
                self.model.published(down, self.first, self.days),
            );
            *column = std::array::from_fn(|n| (up[n] - down[n]) / (2.0 * step));
        }
        let mut out = [0.0; 3];
        for (n, error) in out.iter_mut().enumerate() {
            let square: f64 =
                (0..3).map(|r| (0..3).map(|c| by[r][n] * covariance[r][c] * by[c][n]).sum::<f64>()).sum();
            *error = square.sqrt();
        }
        out.iter().all(|e| e.is_finite()).then_some(out)
    }

    /// The weight it ends at, where the weights tell it.
    ///
    /// # Errors
    /// Where it would end, and why that is not to be believed.
    pub fn mature(&self) -> Result<Mature, NoMature> {
        let figures = self.figures();
        let (end, error) = (figures.a, figures.errors.map(|e| e[0]));
        if !end.is_finite() || end <= 0.0 {
            return Err(NoMature::NoEnd);
        }
        let share = |percent: i64| percent as f64 / 100.0;
        if end > self.heaviest * (1.0 + share(bounds::mature_above_percent())) {
            return Err(NoMature::Far { end, error, heaviest: self.heaviest });
        }
        match error {
            Some(error) if error <= end * share(bounds::mature_error_percent()) => {
                Ok(Mature { weight: end, error })
            }
            error => Err(NoMature::Unsure { end, error }),
        }
    }
}

/// The share of the normal distribution below z.
/// Source: Abramowitz and Stegun, 7.1.26 (from memory; good to 1.5e-7, checked in the tests).
pub(super) fn below(z: f64) -> f64 {
    const C: [f64; 5] = [0.254_829_592, -0.284_496_736, 1.421_413_741, -1.453_152_027, 1.061_405_429];
    let x = z.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * x);
    let tail = C.iter().rev().fold(0.0, |sum, c| (sum + c) * t) * (-x * x).exp() / 2.0;
    if z < 0.0 { tail } else { 1.0 - tail }
}
