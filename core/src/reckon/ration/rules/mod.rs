//! How the flock is fed by rule: needs by group, creep steps, bounds of cautions; the keeper's own or as shipped.

mod limit;
mod read;
#[cfg(test)]
mod tests;

pub use limit::Limit;

use crate::flock::Holding;
use crate::handbook::{Ground, sound};
use crate::terms::{Base, Eaters, Misread, Nutrient};
use std::sync::LazyLock;

/// What a head needs a day at one weight, as one row of a table has it.
#[derive(Debug, Clone, PartialEq)]
pub struct NeedRow {
    /// Who.
    pub eaters: Eaters,
    /// Live weight, kg.
    pub weight_kg: f64,
    /// For ewes in lamb: with so many lambs or more; none where it is the same for all.
    pub lambs: Option<u8>,
    /// For nursing ewes: from this day after lambing on.
    pub from_day: i64,
    /// Gain the row is for, g a day; below nothing the ewe gives of her own back.
    pub gain_g: Option<f64>,
    /// Figures a head a day, in their daily units ([`super::daily_unit`]).
    pub figures: Vec<(Nutrient, f64)>,
    /// What it stands on.
    pub ground: Ground,
}

/// What the keeper wants a group to have: goes before the table, and fills its gaps.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// Who.
    pub eaters: Eaters,
    /// Figures a head a day, in their daily units.
    pub figures: Vec<(Nutrient, f64)>,
    /// What it stands on.
    pub ground: Ground,
}

/// The protein of the creep from an age on.
#[derive(Debug, Clone, PartialEq)]
pub struct CreepStep {
    /// From this age of the lambs on, days.
    pub from_day: i64,
    /// Crude protein, percent.
    pub protein: f64,
    /// On this base.
    pub base: Base,
    /// What it stands on.
    pub ground: Ground,
}

/// How the flock is fed by rule.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedRules {
    /// Needs by group and weight, in the order of the table.
    pub needs: Vec<NeedRow>,
    /// The keeper's own.
    pub targets: Vec<Target>,
    /// Creep, the youngest first.
    pub creep: Vec<CreepStep>,
    limits: Vec<(Limit, f64, Ground)>,
}

const SHIPPED: &str = include_str!("../../../../../resources/feeding.toml");

static RULES: LazyLock<FeedRules> =
    LazyLock::new(|| sound("feeding.toml", read::read(SHIPPED, None).map_err(|e| e.0)));

impl FeedRules {
    /// As shipped.
    pub fn shipped() -> &'static Self {
        &RULES
    }

    /// The words of the shipped table, for a keeper to begin with.
    pub fn shipped_words() -> &'static str {
        SHIPPED
    }

    /// The keeper's own (`Holding.feeding`); a list or bound left out is as shipped. Sources may be left out.
    ///
    /// # Errors
    /// What is wrong, with its line.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        if text.trim().is_empty() { Ok(Self::shipped().clone()) } else { read::read(text, Some(&RULES)) }
    }

    /// As the keeper of this flock has it. A text that cannot be read (an older program may have written it) is as
    /// shipped: an entry with such a text is refused, so none can be made here.
    pub fn of(holding: &Holding) -> Self {
        Self::parse(&holding.feeding).unwrap_or_else(|_| Self::shipped().clone())
    }

    /// A bound, in its unit.
    pub fn limit(&self, limit: Limit) -> f64 {
        self.row(limit).map_or(limit.range().1, |(_, value, _)| *value)
    }

    /// What a bound stands on.
    pub fn ground(&self, limit: Limit) -> &Ground {
        self.row(limit).map_or(&Ground::Practice, |(.., ground)| ground)
    }

    fn row(&self, limit: Limit) -> Option<&(Limit, f64, Ground)> {
        self.limits.iter().find(|(l, ..)| *l == limit)
    }

    /// The creep's step at an age in days; none while the lambs are too young.
    pub fn creep_at(&self, age_days: i64) -> Option<&CreepStep> {
        self.creep.iter().rev().find(|s| s.from_day <= age_days)
    }

    /// The step after that of an age.
    pub fn creep_after(&self, age_days: i64) -> Option<&CreepStep> {
        self.creep.iter().find(|s| s.from_day > age_days)
    }

    /// What the keeper wants a group to have.
    pub fn target(&self, eaters: Eaters) -> Option<&Target> {
        self.targets.iter().find(|t| t.eaters == eaters)
    }
}
