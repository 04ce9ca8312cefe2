//! What is asked of a mix.

use super::lp::Row;
use crate::phrase;
use crate::reckon::ration::{Holds, Ingredient};
use crate::terms::{Base, Nutrient};
use std::fmt;

/// What is asked of a mix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Demand {
    /// So much of it at least.
    Least {
        /// Of what.
        what: Nutrient,
        /// On which base.
        base: Base,
        /// How much, in its unit.
        figure: f64,
    },
    /// So much of it at most.
    Most {
        /// Of what.
        what: Nutrient,
        /// On which base.
        base: Base,
        /// How much, in its unit.
        figure: f64,
    },
    /// One over another at least, as calcium over phosphorus; the same on either base.
    Ratio {
        /// The one above.
        over: Nutrient,
        /// The one below.
        under: Nutrient,
        /// How many times as much.
        least: f64,
    },
}

/// A demand as a fraction: what stands above and below for each feed, and how it is bound.
pub(super) struct Fraction {
    pub above: Vec<f64>,
    pub below: Vec<f64>,
    /// At least; else at most.
    pub least: bool,
    pub figure: f64,
}

impl Fraction {
    /// What shares reach.
    pub fn value(&self, shares: &[f64]) -> f64 {
        let sum = |of: &[f64]| of.iter().zip(shares).map(|(x, s)| x * s).sum::<f64>();
        let (above, below) = (sum(&self.above), sum(&self.below));
        if below > 0.0 {
            above / below
        } else if above > 0.0 {
            f64::INFINITY
        } else {
            0.0
        }
    }

    /// What stands below for these shares: one unit of the figure moves the bound of the row by that.
    pub fn below_of(&self, shares: &[f64]) -> f64 {
        self.below.iter().zip(shares).map(|(x, s)| x * s).sum()
    }

    /// above − figure·below ≥ 0, or the other way about.
    pub fn row(&self, figure: f64) -> Row {
        let sign = if self.least { 1.0 } else { -1.0 };
        let of = self.above.iter().zip(&self.below).map(|(a, b)| sign * (a - figure * b)).collect();
        Row { of, bound: 0.0 }
    }

    /// Whether a value meets the demand, to a hair.
    pub fn meets(&self, value: f64) -> bool {
        let hair = 1e-6 * (1.0 + self.figure.abs());
        if self.least { value >= self.figure - hair } else { value <= self.figure + hair }
    }
}

impl Demand {
    /// The figure that is bound.
    pub fn figure(&self) -> f64 {
        match self {
            Self::Least { figure, .. } | Self::Most { figure, .. } => *figure,
            Self::Ratio { least, .. } => *least,
        }
    }

    /// With another figure.
    #[must_use]
    pub fn with(self, new: f64) -> Self {
        match self {
            Self::Least { what, base, .. } => Self::Least { what, base, figure: new },
            Self::Most { what, base, .. } => Self::Most { what, base, figure: new },
            Self::Ratio { over, under, .. } => Self::Ratio { over, under, least: new },
        }
    }

    /// What it asks after.
    pub fn nutrients(&self) -> Vec<Nutrient> {
        match self {
            Self::Least { what, .. } | Self::Most { what, .. } => vec![*what],
            Self::Ratio { over, under, .. } => vec![*over, *under],
        }
    }

    /// One unit of it: `1 %`, `1 MJ/kg`; a tenth of a ratio.
    pub fn step(&self) -> f64 {
        if matches!(self, Self::Ratio { .. }) { 0.1 } else { 1.0 }
    }

    /// One unit easier to meet; none where that would ask for nothing any more.
    pub fn eased(self) -> Option<Self> {
        let step = self.step();
        match self {
            Self::Most { figure, .. } => Some(self.with(figure + step)),
            _ if self.figure() >= step => Some(self.with(self.figure() - step)),
            _ => None,
        }
    }

    /// A figure of its kind with unit: `15 %`, `2 to 1`.
    pub fn shown(&self, figure: f64) -> String {
        let number = short(figure);
        match self {
            Self::Least { what, .. } | Self::Most { what, .. } => phrase!("{number} {}", what.short_unit()),
            Self::Ratio { .. } => phrase!("{number} to 1"),
        }
    }

    /// What it is about: `crude protein as fed`, `calcium to phosphorus`.
    pub fn about(&self) -> String {
        match self {
            Self::Least { what: Nutrient::DryMatter, .. } | Self::Most { what: Nutrient::DryMatter, .. } => {
                phrase!("dry matter")
            }
            Self::Least { what, base, .. } | Self::Most { what, base, .. } => {
                let of = match base {
                    Base::AsFed => "as fed",
                    Base::DryMatter => "of dry matter",
                };
                phrase!("{} {of}", what.words())
            }
            Self::Ratio { over, under, .. } => phrase!("{} to {}", over.words(), under.words()),
        }
    }

    /// What a mix reaches.
    pub fn reached(&self, holds: &Holds) -> Option<f64> {
        match self {
            Self::Least { what, base, .. } | Self::Most { what, base, .. } => holds.get(*what, *base),
            Self::Ratio { over, under, .. } => {
                let (above, below) =
                    (holds.get(*over, Base::DryMatter)?, holds.get(*under, Base::DryMatter)?);
                Some(if below > 0.0 { above / below } else { f64::INFINITY })
            }
        }
    }

    /// Whether a value meets it, to a hair.
    pub fn met_by(&self, value: f64) -> bool {
        let least = !matches!(self, Self::Most { .. });
        Fraction { above: Vec::new(), below: Vec::new(), least, figure: self.figure() }.meets(value)
    }

    /// As a fraction over these feeds. What is not known counts as nought: it was asked for before.
    pub(super) fn fraction(&self, feeds: &[&Ingredient]) -> Fraction {
        let fed = |what: Nutrient| {
            feeds.iter().map(|f| f.analysis.on(what, Base::AsFed).unwrap_or_default()).collect::<Vec<f64>>()
        };
        let least = !matches!(self, Self::Most { .. });
        let figure = self.figure();
        match self {
            Self::Ratio { over, under, .. } => {
                Fraction { above: fed(*over), below: fed(*under), least, figure }
            }
            Self::Least { what, base, .. } | Self::Most { what, base, .. } => {
                let of_dry = *base == Base::DryMatter && *what != Nutrient::DryMatter;
                let below = feeds.iter().map(|f| if of_dry { f.dry().unwrap_or_default() } else { 1.0 });
                Fraction { above: fed(*what), below: below.collect(), least, figure }
            }
        }
    }
}

/// A figure with two places at most.
pub(crate) fn short(x: f64) -> String {
    let text = format!("{x:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}

impl fmt::Display for Demand {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let how = if matches!(self, Self::Most { .. }) { "at most" } else { "at least" };
        write!(f, "{how} {} {}", self.shown(self.figure()), self.about())
    }
}
