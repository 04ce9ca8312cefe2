//! The flock's own factors, by least squares.
//!
//! Sex and birth-rearing should multiply (Lewis et al. 1989, J Anim Sci 67), so logarithms of the weights are fitted:
//! there the effects add, all of them at once, beside a term for each contemporary group. The factor of a class is
//! exp(−its effect): what its weights are multiplied by to be as the base's, like mean of the base / mean of the class.

use super::super::rules::{Effect, GrowthRules, Of};
use super::solve::{Record, least_squares};
use crate::phrase;

/// A factor of the flock's own with its standard error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factor {
    /// The multiplier.
    pub factor: f64,
    /// Its standard error.
    pub se: f64,
}

/// What the flock's records say of a class.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnClass {
    /// Whom it is for.
    pub of: Of,
    /// Weights of the class that were taken in.
    pub n: usize,
    /// The estimate; none for the base, for a class without weights and for one that cannot be told apart from others.
    pub estimate: Option<Factor>,
    /// It is the base.
    pub base: bool,
}

/// The flock's own factors.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnFactors {
    classes: [Vec<OwnClass>; 3],
    least: usize,
    /// Weights taken in.
    pub n: usize,
    /// Groups they were compared in, sexes together.
    pub groups: usize,
    /// Weights left out because sex, birth, rearing or the ewe's age is not known, or the age at weighing is outside the
    /// window.
    pub left_out: usize,
    /// Spread of the weights about the fit, as a share of the weight; none where nothing could be fitted.
    pub spread: Option<f64>,
}

/// Why a factor of the flock's own is not used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotUsed {
    /// Too few weights of the class.
    Few {
        /// There are.
        n: usize,
        /// Asked for.
        least: usize,
    },
    /// Too few of the base.
    FewOfBase {
        /// There are.
        n: usize,
        /// Asked for.
        least: usize,
    },
    /// In no group beside others that would tell it apart.
    Alone,
}

impl NotUsed {
    /// `12 weights of 20`.
    pub fn words(self) -> String {
        match self {
            Self::Few { n, least } => phrase!("{n} of {least} weights"),
            Self::FewOfBase { n, least } => phrase!("base has {n} of {least} weights"),
            Self::Alone => phrase!("never weighed beside others that tell it apart"),
        }
    }
}

impl OwnFactors {
    /// Fits weights in grams.
    pub(super) fn of(rules: &GrowthRules, weights: &[Record], left_out: usize) -> Self {
        let logs: Vec<Record> =
            weights.iter().map(|r| Record { value: r.value.max(1.0).ln(), ..*r }).collect();
        let sizes = Effect::ALL.map(|e| rules.classes(e).len());
        let bases = Effect::ALL.map(|e| rules.base(e));
        let solved = least_squares(&logs, sizes, bases);
        let classes = Effect::ALL.map(|effect| {
            let e = effect.place();
            let make = |(i, c): (usize, &super::super::rules::Class)| {
                let found = solved.as_ref().and_then(|s| s.classes[e].get(i).copied().flatten());
                let estimate = found.map(|b| {
                    let factor = (-b.value).exp();
                    Factor { factor, se: factor * b.se }
                });
                let n = weights.iter().filter(|r| r.classes[e] == i).count();
                OwnClass { of: c.of, n, estimate, base: c.base }
            };
            rules.classes(effect).iter().enumerate().map(make).collect()
        });
        Self {
            classes,
            least: rules.per_class,
            n: weights.len(),
            groups: solved.as_ref().map_or(0, |s| s.groups),
            left_out,
            spread: solved.map(|s| s.spread),
        }
    }

    /// The classes of an effect.
    pub fn classes(&self, effect: Effect) -> &[OwnClass] {
        &self.classes[effect.place()]
    }

    /// The factor of a class that may be used.
    ///
    /// # Errors
    /// Why it may not.
    pub fn used(&self, effect: Effect, class: usize) -> Result<f64, NotUsed> {
        let all = self.classes(effect);
        let least = self.least;
        let Some(c) = all.get(class) else { return Err(NotUsed::Alone) };
        if c.base {
            return Ok(1.0);
        }
        if c.n < least {
            return Err(NotUsed::Few { n: c.n, least });
        }
        let base = all.iter().find(|c| c.base).map_or(0, |c| c.n);
        if base < least {
            return Err(NotUsed::FewOfBase { n: base, least });
        }
        c.estimate.map(|f| f.factor).ok_or(NotUsed::Alone)
    }
}
