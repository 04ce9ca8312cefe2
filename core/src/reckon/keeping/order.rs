//! The order: what counts is standardised among those compared, weighed, and summed.

use super::criteria::{COUNT, Criterion};
use super::gather::Candidate;

/// No animal is put further from the mean than so many standard deviations, so that one odd figure does not decide
/// (common practice, no source).
const FARTHEST: f64 = 2.5;

/// What is proposed of an animal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Proposed {
    /// Above the line.
    Keep,
    /// Below it.
    Not,
    /// Never, for a fault; see [`Candidate::never`].
    Never,
}

impl Proposed {
    /// As it is shown.
    pub fn words(self) -> &'static str {
        match self {
            Self::Keep => "keep",
            Self::Not => "not",
            Self::Never => "never",
        }
    }
}

/// An animal at its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Its number among those compared.
    pub at: usize,
    /// 1 is first.
    pub place: usize,
    /// Sum of its shares: 0 is the mean of those compared; the scale is standard deviations, as each weight allows.
    pub total: f64,
    /// What each criterion adds; none where it is not known of this animal.
    pub shares: [Option<f64>; COUNT],
    /// What is proposed.
    pub proposed: Proposed,
}

/// Orders animals by weights 0 to 10. A share is the weight's part of all weights times the distance from the mean in
/// standard deviations, turned so that more is better. The first `keep` without a fault set as never are above the line.
pub fn order(all: &[Candidate], weights: &[u8; COUNT], keep: usize) -> Vec<Placed> {
    let sum: f64 = weights.iter().map(|w| f64::from(*w)).sum();
    let mut placed: Vec<Placed> = (0..all.len())
        .map(|at| Placed { at, place: 0, total: 0.0, shares: [None; COUNT], proposed: Proposed::Not })
        .collect();
    for c in Criterion::ALL {
        let known: Vec<f64> = all.iter().filter_map(|a| a.measure(c)).collect();
        let n = known.len() as f64;
        let mean = known.iter().sum::<f64>() / n.max(1.0);
        let spread = (known.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / n.max(1.0)).sqrt();
        let part = if sum > 0.0 { f64::from(weights[c.at()]) / sum } else { 0.0 };
        let turn = if c.more_is_better() { 1.0 } else { -1.0 };
        for (a, p) in all.iter().zip(&mut placed) {
            p.shares[c.at()] = a.measure(c).map(|v| {
                // Where all are alike nobody gains by it.
                let far = if spread > 1e-9 { (v - mean) / spread } else { 0.0 };
                part * turn * far.clamp(-FARTHEST, FARTHEST)
            });
        }
    }
    for p in &mut placed {
        p.total = p.shares.iter().flatten().sum();
    }
    // Equal ones stay by tag, as they came.
    placed.sort_by(|a, b| b.total.total_cmp(&a.total).then(a.at.cmp(&b.at)));
    let mut left = keep;
    for (i, p) in placed.iter_mut().enumerate() {
        p.place = i + 1;
        p.proposed = if !all[p.at].never.is_empty() {
            Proposed::Never
        } else if left > 0 {
            left -= 1;
            Proposed::Keep
        } else {
            Proposed::Not
        };
    }
    placed
}
