//! What feed costs over a span of days: by feed, group and pen, for each head, each ewe, each lamb reared and each kg
//! gained, and how many kg of feed a kg of gain took.
//!
//! Feed is what the store's ledger says was eaten, priced as each kg cost on its day (first in, first out). Money booked
//! as feed is not added: it would count twice. Feed cost per kg gain = feed kg × price / gain.
//!
//! **Gain** is that of lambs while they were of a group and in a pen, by weights on a straight line between weighings
//! ([`crate::reckon::growth::weight_on`]), the birth weight counted as one. Days of a lamb beyond its weights have no gain
//! of their own; the mean of the weighed days stands for them, and both numbers are told.
//!
//! Milk is no feed of the store: lambs at the creep gain by it as well, so that their figure is no measure of the creep.
//! What the gain by creep alone costs needs lambs without it to compare with, and is not claimed.

mod gained;
mod gather;
mod row;
#[cfg(test)]
mod tests;
mod told;

pub use gained::Gained;
pub use gather::feed_costs;
pub use row::{FeedCosts, Row, Who, Whole};
