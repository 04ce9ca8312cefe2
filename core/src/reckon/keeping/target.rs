//! When a lamb that is meant for the market or the show reaches the weight the keeper wants.

use crate::flock::{AnimalFile, Decision};
use crate::phrase;
use crate::reckon::curves::of_animal;
use crate::terms::{Day, Decided, MeantFor, Units, Weight};

/// How far a lamb is from the weight that is wanted.
#[derive(Debug, Clone, PartialEq)]
pub enum Reached {
    /// It has been weighed at it, first on this day.
    On(Day, Weight),
    /// By its own curve.
    Expected {
        /// The likeliest day.
        on: Day,
        /// A good doer is there from this day.
        early: Day,
        /// A poor doer on this one; none where that is farther ahead than the curve is read.
        late: Option<Day>,
    },
    /// It cannot be told, and why.
    NotTold(String),
}

impl Reached {
    /// When a lamb meant for the market or the show reaches a weight; none for all others.
    pub(super) fn of(f: &AnimalFile, decided: Option<&Decision>, wanted: Weight, on: Day) -> Option<Self> {
        let leaves = match decided.map(|d| d.what) {
            Some(what) => matches!(what, Decided::Market | Decided::Show),
            None => f.animal.meant_for == MeantFor::Market,
        };
        leaves.then(|| Self::told(f, wanted, on))
    }

    fn told(f: &AnimalFile, wanted: Weight, on: Day) -> Self {
        let there = f.weights().into_iter().find(|(day, w)| *day <= on && *w >= wanted);
        if let Some((day, weight)) = there {
            return Self::On(day, weight);
        }
        let Some(born) = f.animal.born.day() else {
            return Self::NotTold(phrase!("the day of birth is not known"));
        };
        let day = |age: f64| born.plus(age.round() as i64);
        match of_animal(f).map(|curve| curve.reach(wanted.kg())) {
            Err(why) => Self::NotTold(why.to_string()),
            Ok(Err(why)) => Self::NotTold(why.to_string()),
            Ok(Ok(r)) => Self::Expected { on: day(r.age), early: day(r.early), late: r.late.map(day) },
        }
    }

    /// The day to sort by.
    pub fn day(&self) -> Option<Day> {
        match self {
            Self::On(day, _) | Self::Expected { on: day, .. } => Some(*day),
            Self::NotTold(_) => None,
        }
    }

    /// For a narrow column: `there 3 May`, `12 Aug`, `not told`.
    pub fn short(&self) -> String {
        match self {
            Self::On(day, _) => phrase!("there {}", day.short()),
            Self::Expected { on, .. } => on.short(),
            Self::NotTold(_) => phrase!("not told"),
        }
    }

    /// `expected 12 Aug 2026, 3 Aug to 25 Aug`.
    pub fn words(&self, units: Units) -> String {
        match self {
            Self::On(day, weight) => phrase!("reached: {} on {}", weight.show(units), day.words()),
            Self::Expected { on, early, late: Some(late) } => {
                phrase!("expected {}, {} to {}", on.words(), early.short(), late.short())
            }
            Self::Expected { on, early, late: None } => phrase!(
                "expected {}, from {} on; the last day is farther ahead than the curve is read",
                on.words(),
                early.short()
            ),
            Self::NotTold(why) => phrase!("not told: {why}"),
        }
    }
}
