//! Accuracies from prediction error variances.

use super::{Frame, Selected};

/// Reliabilities of each block's effects, exactly: 1 − PEV/((1 + F)·σ²), with the prediction error variance PEV from the
/// inverse of the equations (Henderson 1975; Mrode). They stand as the unknowns do, the effects of one level side by
/// side; an accuracy is the square root of one. Rounding may leave one a hair outside 0 to 1: it is brought back.
pub fn reliabilities(frame: &Frame, variances: &[Vec<f64>], inverse: &Selected) -> Vec<Vec<f64>> {
    let of_block = |(b, v): (&super::Placed, &Vec<f64>)| {
        let mut all = Vec::with_capacity(b.levels * b.effects);
        for level in 0..b.levels {
            let own = 1.0 + b.related.as_ref().map_or(0.0, |r| r.inbreeding()[level]);
            for e in 0..b.effects {
                let at = b.at(e, level);
                let pev = inverse.get(at, at).unwrap_or(f64::INFINITY);
                all.push(clamped(1.0 - pev / (own * v[e * b.effects + e])));
            }
        }
        all
    };
    frame.blocks().iter().zip(variances).map(of_block).collect()
}

/// A reliability brought back to what it can be; 0 for one that is no number.
pub(super) fn clamped(r: f64) -> f64 {
    if r.is_finite() { r.clamp(0.0, 1.0) } else { 0.0 }
}
