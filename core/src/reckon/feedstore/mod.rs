//! The feed store, reckoned from the records: what came, was mixed, fed and wasted, set anew by each count; how much
//! goes a day, how long it lasts, when to order, what a kg costs.
//!
//! Rule of use: a ration that holds on a day takes its amount for each head of its group, in its pen; the ration of a
//! group without a pen holds in pens without a line of their own for that feed ([`crate::reckon::eaters::given`]). Where something of that feed was written
//! as fed in that pen that day, that counts instead. A creep that was filled is told by its fillings alone: from the
//! first on, until it is closed, lambs in that pen take no ration of that feed.
//!
//! Stock is never guessed: it begins with the first count, delivery or mixing of a feed, a count holds at the end of its
//! day whatever was written before, and less than nothing is told as such.

mod gather;
mod heads;
mod layers;
mod ledger;
mod line;
mod order;
mod settings;
#[cfg(test)]
mod tests;
mod told;
mod used;

use crate::flock::Flock;
use crate::terms::{Day, Eaters, FeedId, FeedMoveId, Mass, Price};
pub use layers::{Cost, CostFrom, Layer};
pub use ledger::{Counting, Ledger};
pub use line::{Line, Store, Warning};
pub use order::{Lasts, State};
pub use settings::Settings;
pub use told::{Event, amount_words, history, protein_words, source_short};
pub use used::Used;

/// How a use of feed is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum How {
    /// By the ration that held.
    Ration,
    /// Written as fed.
    Fed,
    /// A creep filled.
    Creep,
}

/// What was eaten of a feed in one place on one day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Use {
    /// The day.
    pub on: Day,
    /// The feed.
    pub feed: FeedId,
    /// The pen, as it was written; none is animals in no pen.
    pub pen: Option<String>,
    /// Who ate it; not known where a pen of several groups was fed.
    pub eaters: Option<Eaters>,
    /// Heads that ate, by a ration; none where it was written as fed.
    pub heads: u32,
    /// How much, as fed.
    pub amount: Mass,
    /// How it is known.
    pub how: How,
    /// The row it is written in; none by a ration.
    pub row: Option<FeedMoveId>,
}

/// What is there of a feed at the end of a day, by the book.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stock {
    /// Grams; below nothing where more went than ever came.
    pub grams: i64,
    /// The count it rests on; none where it was never counted.
    pub counted: Option<Day>,
}

impl Stock {
    /// Kilograms; below nothing where more went than came.
    pub fn kg(self) -> f64 {
        self.grams as f64 / 1000.0
    }

    /// What is there; nothing where the book says less than nothing.
    pub fn mass(self) -> Mass {
        Mass::from_grams(u64::try_from(self.grams).unwrap_or_default()).unwrap_or_default()
    }

    /// How much more went than came.
    pub fn short(self) -> Option<Mass> {
        let short = u64::try_from(self.grams.checked_neg()?).ok().filter(|g| *g > 0)?;
        Mass::from_grams(short)
    }
}

/// Every use of feed from one day to another, both included, by day.
pub fn ledger(flock: &Flock, from: Day, to: Day) -> Vec<Use> {
    let all = Ledger::of(flock, from, to);
    all.uses().iter().filter(|u| u.on >= from).cloned().collect()
}

/// What is there of a feed at the end of a day; none where neither a count nor a delivery nor a mixing of it is written.
pub fn stock(flock: &Flock, feed: FeedId, on: Day) -> Option<Stock> {
    Ledger::of(flock, on, on).stock(feed, on)
}

/// What a kg of a feed as fed costs on a day: see [`Ledger::cost_a_kg`].
pub fn cost_a_kg(flock: &Flock, feed: FeedId, on: Day) -> Option<Cost> {
    Ledger::of(flock, on, on).cost_a_kg(feed, on)
}

/// A price in hundredths a kg in words, rounded to a hundredth: `0.29`.
pub fn price_words(cents_a_kg: f64) -> String {
    rounded(cents_a_kg).words()
}

/// The same as a figure alone, for a column of figures.
pub fn price_figure(cents_a_kg: f64) -> String {
    rounded(cents_a_kg).to_string()
}

fn rounded(cents: f64) -> Price {
    Price::from_cents(cents.round().clamp(0.0, f64::from(u32::MAX)) as u32)
}
