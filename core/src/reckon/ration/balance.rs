//! What a ration gives a head a day, beside what it needs.

use super::needs::daily;
use super::{Holds, Ingredient, Need, Needs, holds};
use crate::handbook::Ground;
use crate::terms::{Base, Nutrient};

/// A feed of a ration.
#[derive(Debug, Clone, Copy)]
pub struct Given<'a> {
    /// The feed.
    pub feed: &'a Ingredient,
    /// Kilograms a head a day, as fed.
    pub each_kg: f64,
}

/// One thing that is given and needed.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What.
    pub what: Nutrient,
    /// What a head needs a day; none: not known.
    pub need: Option<Need>,
    /// What a head is given a day, in the daily unit ([`super::daily_unit`]); none where a feed's figure is not known.
    pub given: Option<f64>,
    /// What the feeds with a figure give: with gaps this is the least that is given.
    pub known: f64,
    /// Feeds whose figure is not known.
    pub unknown: Vec<String>,
}

impl Line {
    /// Given over needed, 1 is just enough; none where one is not known.
    pub fn share(&self) -> Option<f64> {
        let need = self.need.as_ref().filter(|n| n.amount > 0.0)?;
        Some(self.given? / need.amount)
    }

    /// What the need stands on.
    pub fn ground(&self) -> Option<&Ground> {
        self.need.as_ref().map(|n| &n.ground)
    }
}

/// A ration beside the needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// What a head needs.
    pub needs: Needs,
    /// A line for each thing of [`daily`], and one for copper, which has no need here but a bound.
    pub lines: Vec<Line>,
    /// What the whole diet holds.
    pub diet: Holds,
    /// Money a head a day; none where a price is not known.
    pub cost: Option<f64>,
}

impl Balance {
    /// The line of one thing.
    pub fn line(&self, what: Nutrient) -> Option<&Line> {
        self.lines.iter().find(|l| l.what == what)
    }

    /// Copper of the whole diet, mg a kg of dry matter; none where a feed's is not known.
    pub fn copper(&self) -> Option<f64> {
        self.diet.get(Nutrient::Copper, Base::DryMatter)
    }
}

/// One kg as fed gives so much, in the daily unit.
fn a_kg(feed: &Ingredient, what: Nutrient) -> Option<f64> {
    let dry = feed.dry()?;
    let figure = feed.analysis.get(what)?;
    Some(match what {
        Nutrient::DryMatter => dry,
        // Percent of dry matter: 10 g a kg, a hundredth of a kg.
        Nutrient::Protein | Nutrient::Fibre => dry * figure * 10.0,
        Nutrient::Tdn => dry * figure / 100.0,
        _ => dry * figure,
    })
}

/// What a ration gives a head a day beside what it needs.
pub fn balance(needs: Needs, given: &[Given<'_>]) -> Balance {
    let given: Vec<&Given<'_>> = given.iter().filter(|g| g.each_kg > 0.0).collect();
    let line = |what: Nutrient| {
        let (mut known, mut unknown) = (0.0, Vec::new());
        for g in &given {
            match a_kg(g.feed, what) {
                Some(x) => known += x * g.each_kg,
                None if !unknown.contains(&g.feed.name) => unknown.push(g.feed.name.clone()),
                None => {}
            }
        }
        let whole = unknown.is_empty().then_some(known);
        Line { what, need: needs.of(what).cloned(), given: whole, known, unknown }
    };
    let lines = daily().iter().copied().chain([Nutrient::Copper]).map(line).collect();
    let cost = given.iter().map(|g| Some(g.feed.price? * g.each_kg)).sum();
    Balance { lines, diet: holds(given.iter().map(|g| (g.feed, g.each_kg))), cost, needs }
}
