//! Bounds of the store that the keeper can set.

use crate::flock::Flock;
use crate::reckon::ration::{FeedRules, Limit};

/// What the store is reckoned by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settings {
    /// Days from the order to the delivery: `reserve_days` of the rules of feeding.
    pub lead_days: i64,
    /// An order is told of so many days ahead.
    pub soon_days: i64,
    /// Use is measured over the last so many days.
    pub back_days: i64,
    /// What mixings take is measured over the last so many days.
    pub mixed_days: i64,
}

impl Default for Settings {
    /// A week to deliver, told a week ahead, measured over two weeks and over four (common practice, no source).
    fn default() -> Self {
        Self { lead_days: 7, soon_days: 7, back_days: 14, mixed_days: 28 }
    }
}

impl Settings {
    /// Those of a book: what it keeps in reserve is what goes while an order is on its way.
    pub fn of(flock: &Flock) -> Self {
        let reserve = FeedRules::of(flock.holding()).limit(Limit::ReserveDays);
        Self { lead_days: reserve.round() as i64, ..Self::default() }
    }
}
