//! Quantiles of Student's t.

use std::f64::consts::FRAC_PI_2;

/// The value above which lie 2.5 % of Student's t with so many degrees of freedom; none for 0.
///
/// The distribution in closed form (Abramowitz and Stegun, 26.7.3 and 26.7.4: from memory; checked against another
/// program's values in the reference tests), its inverse by halving the angle atan(t ⁄ √ν) 60 times.
pub fn t_975(degrees: usize) -> Option<f64> {
    t_within(0.95, degrees)
}

/// The value t such that this share lies between −t and t; none for 0 degrees of freedom.
pub fn t_within(share: f64, degrees: usize) -> Option<f64> {
    if degrees == 0 {
        return None;
    }
    let (mut low, mut high) = (0.0, FRAC_PI_2);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if between(middle, degrees) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(((low + high) / 2.0).tan() * (degrees as f64).sqrt())
}

/// The share between −t and t, for the angle atan(t ⁄ √ν).
fn between(angle: f64, degrees: usize) -> f64 {
    let (sin, cos) = angle.sin_cos();
    let even = degrees.is_multiple_of(2);
    let first = if even { 1.0 } else { cos };
    let mut term = first;
    let mut sum = if degrees == 1 { 0.0 } else { first };
    // The last power of the cosine is ν − 2; each term has the one before it times cos² (k − 1) ⁄ k.
    let mut k = if even { 2.0 } else { 3.0 };
    while k <= degrees as f64 - 2.0 + f64::EPSILON {
        term *= cos * cos * (k - 1.0) / k;
        sum += term;
        k += 2.0;
    }
    if even { sin * sum } else { (angle + sin * sum) / FRAC_PI_2 }
}
