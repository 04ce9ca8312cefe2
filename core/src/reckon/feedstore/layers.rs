//! First in, first out: which deliveries are still in the store, and what a kg costs by them.

use super::ledger::{Ledger, came, standing};
use crate::flock::{Feed, FeedMove, WHOLE};
use crate::phrase;
use crate::terms::{Day, FeedChange, FeedId, FeedMoveId, Mass};

/// What is left of a delivery or a mixing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layer {
    /// Its row; none is what a count found beyond all deliveries.
    pub row: Option<FeedMoveId>,
    /// The day it came; none as for the row.
    pub on: Option<Day>,
    /// Batch on the bag.
    pub batch: Option<String>,
    /// Best before.
    pub best_before: Option<Day>,
    /// So much of it is left.
    pub left: Mass,
}

/// Where the price of a kg comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CostFrom {
    /// What was paid for the delivery of this day.
    Paid(Day),
    /// What the parts of the mixing of this day cost.
    Mixed(Day),
    /// The price written with the feed.
    Written,
    /// What the parts of the mix cost today.
    Parts,
}

/// What a kg costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cost {
    /// Hundredths for a kg as fed.
    pub cents_a_kg: f64,
    /// Where it comes from.
    pub from: CostFrom,
}

impl Cost {
    /// Hundredths for a kg of dry matter, at so many percent of it.
    pub fn of_dry_matter(self, percent: f64) -> Option<f64> {
        (percent > 0.0).then(|| self.cents_a_kg * 100.0 / percent)
    }

    /// Where it comes from, in words.
    pub fn words(self) -> String {
        match self.from {
            CostFrom::Paid(on) => phrase!("as paid on {}", on.words()),
            CostFrom::Mixed(on) => phrase!("by what its parts cost when it was mixed on {}", on.words()),
            CostFrom::Written => phrase!("by the price written with the feed"),
            CostFrom::Parts => phrase!("by what its parts cost"),
        }
    }
}

/// A mix of mixes of mixes goes no deeper than this.
const DEEP: u8 = 8;

impl Ledger {
    /// What is left of each delivery and mixing of a feed at the end of a day, the oldest first: the one that is fed.
    pub fn layers(&self, feed: FeedId, on: Day) -> Vec<Layer> {
        let mut left = self.stock(feed, on).map_or(0, |s| s.mass().grams());
        let mut all = Vec::new();
        let rows = standing(&self.room);
        for m in rows.into_iter().rev().filter(|m| m.feed == feed && m.on <= on && came(m)) {
            let here = m.amount.unwrap_or_default().grams().min(left);
            if here == 0 {
                break;
            }
            left -= here;
            all.push(Layer {
                row: Some(m.id),
                on: Some(m.on),
                batch: m.batch.clone(),
                best_before: m.best_before,
                left: Mass::from_grams(here).unwrap_or_default(),
            });
        }
        if let Some(beyond) = Mass::from_grams(left).filter(|m| !m.is_none()) {
            all.push(Layer { row: None, on: None, batch: None, best_before: None, left: beyond });
        }
        all.reverse();
        all
    }

    /// What a kg of a feed as fed costs on a day: of the delivery that is fed then (first in, first out), by what was
    /// paid for it or what its parts cost; else the price written with the feed; of a mix without one what its parts
    /// cost. None where no price is known.
    pub fn cost_a_kg(&self, feed: FeedId, on: Day) -> Option<Cost> {
        self.cost(feed, on, DEEP)
    }

    /// What all that is in store is worth on a day, in hundredths; none where the price of any of it is not known.
    pub fn worth(&self, feed: FeedId, on: Day) -> Option<f64> {
        let layers = self.layers(feed, on);
        let of = self.room.feed(feed)?;
        layers.iter().map(|l| Some(self.layer_cost(of, l.row, on, DEEP)?.cents_a_kg * l.left.kg())).sum()
    }

    fn cost(&self, feed: FeedId, on: Day, deep: u8) -> Option<Cost> {
        let of = self.room.feed(feed)?;
        let row = match self.layers(feed, on).first() {
            Some(layer) => layer.row,
            // Nothing there, or not known: the last that came.
            None => {
                let last = |m: &&FeedMove| m.feed == feed && m.on <= on && came(m);
                standing(&self.room).into_iter().rev().find(last).map(|m| m.id)
            }
        };
        self.layer_cost(of, row, on, deep)
    }

    fn layer_cost(&self, feed: &Feed, row: Option<FeedMoveId>, on: Day, deep: u8) -> Option<Cost> {
        let row = row.and_then(|id| self.room.moves.iter().find(|m| m.id == id));
        if let Some((m, kg)) = row.and_then(|m| Some((m, m.amount?.kg()))).filter(|(_, kg)| *kg > 0.0) {
            if let Some(paid) = m.price {
                return Some(Cost { cents_a_kg: f64::from(paid.cents()) / kg, from: CostFrom::Paid(m.on) });
            }
            if m.change == FeedChange::Mixed && deep > 0 && !m.parts.is_empty() {
                let parts = m.parts.iter();
                let each = parts.map(|(id, of)| Some(self.cost(*id, m.on, deep - 1)?.cents_a_kg * of.kg()));
                if let Some(all) = each.sum::<Option<f64>>() {
                    return Some(Cost { cents_a_kg: all / kg, from: CostFrom::Mixed(m.on) });
                }
            }
        }
        if let Some(cents_a_kg) = feed.cents_a_kg() {
            return Some(Cost { cents_a_kg, from: CostFrom::Written });
        }
        if feed.parts.is_empty() || deep == 0 {
            return None;
        }
        let share = |share: u32| f64::from(share) / f64::from(WHOLE);
        let each = feed.parts.iter();
        let each = each.map(|p| Some(self.cost(p.feed, on, deep - 1)?.cents_a_kg * share(p.share)));
        Some(Cost { cents_a_kg: each.sum::<Option<f64>>()?, from: CostFrom::Parts })
    }
}
