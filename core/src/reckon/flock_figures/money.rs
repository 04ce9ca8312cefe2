//! Money of a season: sums by kind, and the gross margin.

use super::gather::season_of;
use crate::flock::Flock;
use crate::terms::{Day, MoneyKind};
use std::collections::BTreeMap;

/// Sums of a season in hundredths.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Purse {
    /// Taken.
    pub taken: i64,
    /// Spent, rams and ewes bought among it.
    pub spent: i64,
    /// Spent on what grows with the flock: feed, vet, bedding, shearing, tags, market.
    pub variable: i64,
    /// Sums and number of lines by kind.
    pub kinds: BTreeMap<MoneyKind, (i64, u32)>,
    /// Margins by group; what belongs to the whole flock under an empty name.
    pub groups: BTreeMap<String, i64>,
}

impl Purse {
    /// Something is written.
    pub fn any(&self) -> bool {
        !self.kinds.is_empty()
    }

    /// Taken less spent. Change of stock is not in it.
    pub fn margin(&self) -> i64 {
        self.taken - self.spent
    }
}

/// Sums of every season with money by a day; what is struck out is left out.
pub(super) fn purses(flock: &Flock, on: Day, month: u32) -> BTreeMap<i32, Purse> {
    let mut all: BTreeMap<i32, Purse> = BTreeMap::new();
    for m in flock.daybook().money.iter().filter(|m| m.struck.is_none() && m.on <= on) {
        let p = all.entry(season_of(m.on, month)).or_default();
        let cents = i64::from(m.amount.cents());
        let signed = if m.kind.is_income() { cents } else { -cents };
        if m.kind.is_income() {
            p.taken += cents;
        } else {
            p.spent += cents;
            p.variable += if is_variable(m.kind) { cents } else { 0 };
        }
        let kind = p.kinds.entry(m.kind).or_default();
        *kind = (kind.0 + cents, kind.1 + 1);
        *p.groups.entry(m.group.clone().unwrap_or_default()).or_default() += signed;
    }
    all
}

fn is_variable(kind: MoneyKind) -> bool {
    use MoneyKind::{Bedding, Feed, Marketing, OtherCost, Shearing, Tags, Vet};
    matches!(kind, Feed | Vet | Bedding | Shearing | Tags | Marketing | OtherCost)
}
