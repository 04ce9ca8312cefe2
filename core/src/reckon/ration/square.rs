//! Pearson's square: two feeds to one need.
//!
//! The share of the low feed is (high − need) over (high − low), and need must lie between the two (worked example of the
//! square: PIRSA, Managing Livestock in Dry Times, Pearson flyer). Figures and need are on one base, which is named: a
//! figure as fed beside one of dry matter gives a wrong mix.

use crate::terms::{Base, Nutrient};
use std::fmt;

/// A feed at a corner of the square, as it is put in.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// Its name.
    pub name: String,
    /// What it holds, on the base of the square.
    pub figure: f64,
    /// Its dry matter, percent as fed; only for the shares on the other base.
    pub dry_matter: Option<f64>,
}

/// A feed at a corner, as it comes out.
#[derive(Debug, Clone, PartialEq)]
pub struct Corner {
    /// Its name.
    pub name: String,
    /// What it holds, on the base of the square.
    pub figure: f64,
    /// Parts: how far the other feed lies from the need.
    pub parts: f64,
    /// Its share of the mix on the base of the square, 0 to 1.
    pub share: f64,
    /// Its share on the other base, where both dry matters are known.
    pub other_share: Option<f64>,
}

/// The square, solved.
#[derive(Debug, Clone, PartialEq)]
pub struct Square {
    /// What is weighed up.
    pub what: Nutrient,
    /// The base of the figures, the need and the shares.
    pub base: Base,
    /// What is needed.
    pub need: f64,
    /// The two feeds in the order given.
    pub corners: [Corner; 2],
}

impl Square {
    /// How much of each feed makes a total, in the unit of the total and on the base of the square.
    pub fn amounts(&self, total: f64) -> [f64; 2] {
        [self.corners[0].share * total, self.corners[1].share * total]
    }

    /// Shares as fed, 0 to 1: those to weigh out.
    pub fn as_fed(&self) -> Option<[f64; 2]> {
        let of = |c: &Corner| if self.base == Base::AsFed { Some(c.share) } else { c.other_share };
        Some([of(&self.corners[0])?, of(&self.corners[1])?])
    }
}

/// Why two feeds make no such mix.
#[derive(Debug, Clone, PartialEq)]
pub enum NoSquare {
    /// A figure that cannot be.
    Figure {
        /// Whose; none is the need.
        name: Option<String>,
        /// The figure.
        figure: f64,
        /// Of what.
        what: Nutrient,
    },
    /// Both hold the same.
    Same {
        /// Of what.
        what: Nutrient,
        /// Both.
        figure: f64,
    },
    /// The need is not below the richer feed.
    TooHigh {
        /// Of what.
        what: Nutrient,
        /// The base.
        base: Base,
        /// What is needed.
        need: f64,
        /// The richer feed.
        name: String,
        /// What it holds.
        most: f64,
    },
    /// The need is not above the poorer feed.
    TooLow {
        /// Of what.
        what: Nutrient,
        /// The base.
        base: Base,
        /// What is needed.
        need: f64,
        /// The poorer feed.
        name: String,
        /// What it holds.
        least: f64,
    },
}

impl fmt::Display for NoSquare {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Figure { name, figure, what } => {
                let whose = name.as_deref().unwrap_or("the need");
                let most = what.most();
                write!(
                    f,
                    "{} of {whose} is {figure}: write a figure from 0 to {most} {}",
                    what.words(),
                    what.short_unit()
                )
            }
            Self::Same { what, figure } => write!(
                f,
                "both feeds hold {figure} {} {}: any mix of them does; take one that holds more or less",
                what.short_unit(),
                what.words()
            ),
            Self::TooHigh { what, base, need, name, most } => write!(
                f,
                "{need} {unit} {} ({base}) cannot be mixed: {name} is the richer of the two and holds {most} {unit}; \
                 ask for less, or take a richer feed",
                what.words(),
                unit = what.short_unit(),
                base = base.word()
            ),
            Self::TooLow { what, base, need, name, least } => write!(
                f,
                "{need} {unit} {} ({base}) cannot be mixed: {name} is the poorer of the two and holds {least} {unit}; \
                 ask for more, or take a poorer feed",
                what.words(),
                unit = what.short_unit(),
                base = base.word()
            ),
        }
    }
}

impl std::error::Error for NoSquare {}

/// The square of two feeds.
///
/// # Errors
/// The need must lie between the two feeds; the reason names the feed and its figure.
pub fn square(what: Nutrient, base: Base, feeds: [Side; 2], need: f64) -> Result<Square, NoSquare> {
    let fit = |figure: f64| figure.is_finite() && (0.0..=what.most()).contains(&figure);
    for side in &feeds {
        if !fit(side.figure) {
            return Err(NoSquare::Figure { name: Some(side.name.clone()), figure: side.figure, what });
        }
    }
    if !fit(need) {
        return Err(NoSquare::Figure { name: None, figure: need, what });
    }
    let [a, b] = &feeds;
    let (low, high) = if a.figure <= b.figure { (a, b) } else { (b, a) };
    if low.figure == high.figure {
        return Err(NoSquare::Same { what, figure: low.figure });
    }
    if need >= high.figure {
        return Err(NoSquare::TooHigh { what, base, need, name: high.name.clone(), most: high.figure });
    }
    if need <= low.figure {
        return Err(NoSquare::TooLow { what, base, need, name: low.name.clone(), least: low.figure });
    }
    let parts = [(b.figure - need).abs(), (a.figure - need).abs()];
    let sum = parts[0] + parts[1];
    let shares = [parts[0] / sum, parts[1] / sum];
    let others = other_base(base, shares, [a.dry_matter, b.dry_matter]);
    let corner = |i: usize| Corner {
        name: feeds[i].name.clone(),
        figure: feeds[i].figure,
        parts: parts[i],
        share: shares[i],
        other_share: others.map(|o| o[i]),
    };
    Ok(Square { what, base, need, corners: [corner(0), corner(1)] })
}

/// Shares on the other base: as fed a feed weighs its dry matter over its dry fraction.
fn other_base(base: Base, shares: [f64; 2], dry: [Option<f64>; 2]) -> Option<[f64; 2]> {
    let dry = [dry[0].filter(|d| *d > 0.0)?, dry[1].filter(|d| *d > 0.0)?];
    let weight = |i: usize| match base {
        Base::AsFed => shares[i] * dry[i],
        Base::DryMatter => shares[i] / dry[i],
    };
    let sum = weight(0) + weight(1);
    Some([weight(0) / sum, weight(1) / sum])
}
