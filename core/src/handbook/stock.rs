//! What is told of the medicine cupboard, and what looks odd in it.

use super::{Fact, HANDBOOK};
use serde::Deserialize;

/// The table `stock`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Stock {
    expires_soon_days: Fact<i64>,
    use_days: Fact<i64>,
    running_out_percent: Fact<i64>,
    far_ahead_years: Fact<i64>,
    far_back_years: Fact<i64>,
    odd_price: Fact<u32>,
    odd_epg: Fact<u32>,
    paper_most_mb: Fact<u64>,
}

/// A bottle is told of when it expires within so many days.
pub fn expires_soon_days() -> i64 {
    HANDBOOK.stock.expires_soon_days.value
}

/// A bottle runs out when less is left than was given in so many days.
pub fn use_days() -> i64 {
    HANDBOOK.stock.use_days.value
}

/// A bottle runs out below this part of what was bought, per cent.
pub fn running_out_percent() -> i64 {
    HANDBOOK.stock.running_out_percent.value
}

/// An expiry more years ahead is questioned.
pub fn far_ahead_years() -> i64 {
    HANDBOOK.stock.far_ahead_years.value
}

/// A purchase or an expiry more years back is questioned.
pub fn far_back_years() -> i64 {
    HANDBOOK.stock.far_back_years.value
}

/// A delivery that cost more is questioned, whole units of money.
pub fn odd_price() -> u32 {
    HANDBOOK.stock.odd_price.value
}

/// A higher egg count is questioned, eggs in each gram.
pub fn odd_epg() -> u32 {
    HANDBOOK.stock.odd_epg.value
}

/// The largest paper that is kept, bytes.
pub fn paper_most_bytes() -> u64 {
    HANDBOOK.stock.paper_most_mb.value * 1_000_000
}
