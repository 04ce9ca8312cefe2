//! The least squares fit of one shape. Starting values come from the data: the best of a few bends, each with its own
//! best weights.

use super::shape::{Model, Theta};
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::storage::Owned;
use nalgebra::{Dyn, Matrix3, OMatrix, OVector, U3, Vector3};

/// Bends that are tried as a start: from growth that still quickens to growth that is over early.
const BENDS: [f64; 6] = [-1.5, 0.1, 1.0, 2.5, 5.0, 10.0];

/// What a fit found.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found {
    pub theta: Theta,
    /// Weighted sum of squares of the residuals.
    pub sum: f64,
    /// Inverse of JᵀWJ: the covariance is this times the residual variance. None where the data do not tell all three.
    pub inverse: Option<[[f64; 3]; 3]>,
}

/// u, weight of the animal, and how much it counts.
pub(super) type Point = (f64, f64, f64);

/// Fits a shape to points; none where it cannot be fitted. A start of one's own is tried first.
pub(super) fn solve(model: Model, points: &[Point], from: Option<Theta>) -> Option<Found> {
    let start = match from {
        Some(from) => from,
        None => {
            let starts = BENDS.iter().filter_map(|bend| model.start(points, *bend));
            let rated = starts.map(|theta| (sum(model, points, theta), theta));
            rated.filter(|(sum, _)| sum.is_finite()).min_by(|a, b| a.0.total_cmp(&b.0))?.1
        }
    };
    let problem = Problem { model, points, theta: Vector3::from(start) };
    let (done, report) = LevenbergMarquardt::new().with_patience(60).minimize(problem);
    let theta: Theta = done.theta.into();
    let sum = sum(model, points, theta);
    // A fit that stopped for want of patience is taken as far as it came when it is no worse than it was.
    let usable = report.termination.was_successful() || sum <= self::sum(model, points, start);
    if !usable || theta.iter().any(|v| !v.is_finite()) || !sum.is_finite() {
        return None;
    }
    Some(Found { theta, sum, inverse: inverse(model, points, theta) })
}

fn sum(model: Model, points: &[Point], theta: Theta) -> f64 {
    points.iter().map(|(u, y, weight)| weight * (model.value(theta, *u) - y).powi(2)).sum()
}

fn inverse(model: Model, points: &[Point], theta: Theta) -> Option<[[f64; 3]; 3]> {
    let mut all = Matrix3::zeros();
    for (u, _, weight) in points {
        let g = Vector3::from(model.gradient(theta, *u));
        all += g * g.transpose() * *weight;
    }
    // Scaled to ones along the diagonal, so that what is told and what is not is seen whatever the units.
    let scale = all.diagonal().map(f64::sqrt);
    if scale.iter().any(|s| !(s.is_finite() && *s > 0.0)) {
        return None;
    }
    let even = Matrix3::from_fn(|r, c| all[(r, c)] / (scale[r] * scale[c]));
    if even.determinant() < 1e-14 {
        return None;
    }
    let inverse = even.try_inverse()?;
    Some(std::array::from_fn(|r| std::array::from_fn(|c| inverse[(r, c)] / (scale[r] * scale[c]))))
}

struct Problem<'a> {
    model: Model,
    points: &'a [Point],
    theta: Vector3<f64>,
}

impl LeastSquaresProblem<f64, Dyn, U3> for Problem<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, U3>;
    type ParameterStorage = Owned<f64, U3>;

    fn set_params(&mut self, theta: &Vector3<f64>) {
        self.theta = *theta;
    }

    fn params(&self) -> Vector3<f64> {
        self.theta
    }

    fn residuals(&self) -> Option<OVector<f64, Dyn>> {
        let theta: Theta = self.theta.into();
        let all = self.points.iter().map(|(u, y, w)| w.sqrt() * (self.model.value(theta, *u) - y));
        let all = OVector::<f64, Dyn>::from_iterator(self.points.len(), all);
        all.iter().all(|v| v.is_finite()).then_some(all)
    }

    fn jacobian(&self) -> Option<OMatrix<f64, Dyn, U3>> {
        let theta: Theta = self.theta.into();
        let mut all = OMatrix::<f64, Dyn, U3>::zeros(self.points.len());
        for (mut row, (u, _, w)) in all.row_iter_mut().zip(self.points) {
            let (root, g) = (w.sqrt(), self.model.gradient(theta, *u));
            (row[0], row[1], row[2]) = (root * g[0], root * g[1], root * g[2]);
        }
        all.iter().all(|v| v.is_finite()).then_some(all)
    }
}
