//! Shapes of growth, each through its weights at the first and the last day it covers.
//!
//! All three are one family: a link of the weight (the weight itself, its logarithm, its reciprocal) goes from its
//! value on the first day to that on the last along (1 − e^(−κu)) ⁄ (1 − e^(−κ)), u running from 0 to 1. So the fit
//! looks for two weights and one bend, which the data tell, and not for an end that may lie far outside them. The form
//! in the figures people publish follows from it. Source: Schnute 1981, Can J Fish Aquat Sci 38:1128 (from memory; the
//! equality with the published forms is checked in the tests).

use std::fmt;

/// A shape of growth in its published form, x being the age.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Model {
    /// w = A·exp(−b·e^(−kx)): slow, fast, slow. Source of the form: R, stats, `SSgompertz`, with b3 = e^(−k).
    Gompertz,
    /// w = A·(1 − b·e^(−kx)): fast at first, then ever slower. Source of the form: Brody 1945 (from memory).
    Brody,
    /// w = A ⁄ (1 + b·e^(−kx)). Source of the form: R, stats, `SSlogis`, with xmid = ln b ⁄ k and scal = 1 ⁄ k.
    Logistic,
}

impl Model {
    /// As people call it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Gompertz => "Gompertz curve",
            Self::Brody => "Brody curve",
            Self::Logistic => "logistic curve",
        }
    }
}

impl fmt::Display for Model {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// What is looked for: first and last weight (their logarithms where a weight must be above nothing) and the bend κ.
pub(super) type Theta = [f64; 3];

/// Under this the bend is so small that the line is straight to every figure.
const STRAIGHT: f64 = 1e-5;

/// (1 − e^(−κu)) ⁄ (1 − e^(−κ)).
fn along(bend: f64, u: f64) -> f64 {
    if bend.abs() < STRAIGHT {
        return u * (1.0 + bend * (1.0 - u) / 2.0);
    }
    (-bend * u).exp_m1() / (-bend).exp_m1()
}

/// Its derivative by κ.
fn along_by_bend(bend: f64, u: f64) -> f64 {
    if bend.abs() < STRAIGHT {
        return u * (1.0 - u) / 2.0;
    }
    (along(bend, u) * (-bend).exp() - u * (-bend * u).exp()) / (-bend).exp_m1()
}

/// Its derivative by u.
fn along_by_u(bend: f64, u: f64) -> f64 {
    if bend.abs() < STRAIGHT {
        return 1.0 + bend * (0.5 - u);
    }
    -bend * (-bend * u).exp() / (-bend).exp_m1()
}

impl Model {
    /// The figure looked for of a weight.
    #[cfg(test)]
    pub(super) fn theta_of(self, weight: f64) -> f64 {
        match self {
            Self::Brody => weight,
            Self::Gompertz | Self::Logistic => weight.max(f64::MIN_POSITIVE).ln(),
        }
    }

    /// The weight at u.
    pub(super) fn value(self, [a, b, bend]: Theta, u: f64) -> f64 {
        let part = along(bend, u);
        match self {
            Self::Brody => a + (b - a) * part,
            Self::Gompertz => (a + (b - a) * part).exp(),
            Self::Logistic => 1.0 / ((-a).exp() * (1.0 - part) + (-b).exp() * part),
        }
    }

    /// Its derivatives by the three figures.
    pub(super) fn gradient(self, theta: Theta, u: f64) -> Theta {
        let [a, b, bend] = theta;
        let (part, by_bend) = (along(bend, u), along_by_bend(bend, u));
        let w = self.value(theta, u);
        match self {
            Self::Brody => [1.0 - part, part, (b - a) * by_bend],
            Self::Gompertz => [w * (1.0 - part), w * part, w * (b - a) * by_bend],
            Self::Logistic => {
                let (first, last) = ((-a).exp(), (-b).exp());
                let square = w * w;
                [square * first * (1.0 - part), square * last * part, -square * (last - first) * by_bend]
            }
        }
    }

    /// Its derivative by u.
    pub(super) fn slope(self, theta: Theta, u: f64) -> f64 {
        let [a, b, bend] = theta;
        let part = along_by_u(bend, u);
        let w = self.value(theta, u);
        match self {
            Self::Brody => (b - a) * part,
            Self::Gompertz => w * (b - a) * part,
            Self::Logistic => -w * w * ((-b).exp() - (-a).exp()) * part,
        }
    }

    /// The published form A, b, k of a curve over the ages from `first` on, `days` long. A is infinite where the curve
    /// does not bend towards an end.
    pub(super) fn published(self, [a, b, bend]: Theta, first: f64, days: f64) -> [f64; 3] {
        let k = bend / days;
        // How far the link goes in all, as a multiple of its way within the days covered.
        let whole = -1.0 / (-bend).exp_m1();
        let end = if bend > STRAIGHT { a + (b - a) * whole } else { f64::INFINITY };
        let back = (k * first).exp();
        match self {
            Self::Brody => [end, (end - a) / end * back, k],
            Self::Gompertz => [end.exp(), (end - a) * back, k],
            Self::Logistic => {
                let (one, two) = ((-a).exp(), (-b).exp());
                let end = one + (two - one) * whole;
                let a_end = if bend > STRAIGHT && end > 0.0 { 1.0 / end } else { f64::INFINITY };
                [a_end, (one / end - 1.0) * back, k]
            }
        }
    }

    /// The bend and the two weights that best fit for one bend, by straight least squares on the link's own scale.
    pub(super) fn start(self, points: &[(f64, f64, f64)], bend: f64) -> Option<Theta> {
        let (mut aa, mut ab, mut bb, mut ya, mut yb) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for &(u, y, weight) in points {
            // The link stretches errors: each weight counts by how much of the weight's own scale it is.
            let (y, weight) = match self {
                Self::Brody => (y, weight),
                Self::Gompertz if y > 0.0 => (y.ln(), weight * y * y),
                Self::Logistic if y > 0.0 => (1.0 / y, weight * y.powi(4)),
                _ => continue,
            };
            let p = along(bend, u);
            let q = 1.0 - p;
            aa += weight * q * q;
            ab += weight * q * p;
            bb += weight * p * p;
            ya += weight * q * y;
            yb += weight * p * y;
        }
        let det = aa * bb - ab * ab;
        if det.is_nan() || det <= 1e-12 * aa * bb {
            return None;
        }
        let (first, last) = ((ya * bb - yb * ab) / det, (yb * aa - ya * ab) / det);
        match self {
            Self::Brody | Self::Gompertz => Some([first, last, bend]),
            Self::Logistic if first > 0.0 && last > 0.0 => Some([-first.ln(), -last.ln(), bend]),
            Self::Logistic => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Model; 3] = [Model::Gompertz, Model::Brody, Model::Logistic];

    #[test]
    fn the_published_form_is_the_same_curve() {
        for model in ALL {
            let theta = [model.theta_of(4.0), model.theta_of(31.0), 3.0];
            let [a, b, k] = model.published(theta, 10.0, 90.0);
            for age in [0.0_f64, 10.0, 37.0, 100.0, 250.0] {
                let e = (-k * age).exp();
                let w = match model {
                    Model::Gompertz => a * (-b * e).exp(),
                    Model::Brody => a * (1.0 - b * e),
                    Model::Logistic => a / (1.0 + b * e),
                };
                let own = model.value(theta, (age - 10.0) / 90.0);
                assert!((w - own).abs() < 1e-9 * own.abs(), "{model} at {age}: {w} {own}");
            }
        }
    }

    #[test]
    fn derivatives_are_those_of_the_curve() {
        for model in ALL {
            for bend in [-2.0, -1e-7, 0.0, 1e-4, 0.3, 6.0] {
                let theta = [model.theta_of(4.0), model.theta_of(31.0), bend];
                for u in [0.0, 0.2, 0.7, 1.0, 1.4] {
                    let step = 1e-6;
                    let by = |i: usize| {
                        let (mut up, mut down) = (theta, theta);
                        up[i] += step;
                        down[i] -= step;
                        (model.value(up, u) - model.value(down, u)) / (2.0 * step)
                    };
                    let told = model.gradient(theta, u);
                    for (i, told) in told.into_iter().enumerate() {
                        assert!((told - by(i)).abs() < 1e-4, "{model} κ {bend} u {u}: {told} {}", by(i));
                    }
                    let slope = (model.value(theta, u + step) - model.value(theta, u - step)) / (2.0 * step);
                    assert!((model.slope(theta, u) - slope).abs() < 1e-4, "{model} κ {bend} u {u}");
                }
            }
        }
    }
}
