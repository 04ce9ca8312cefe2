//! Gestation: what is known of each ewe's pregnancy. The best evidence of her service, when she is due by it, the rams
//! that came into question, who came back to the ram, who was scanned empty.
//!
//! Lengths of gestation are the keeper's own, learnt from the flock's lambings, or the handbook's with their source.

mod breeding;
mod fits;
mod known;
mod learn;
mod lengths;
mod pregnancy;
mod returns;
mod service;
#[cfg(test)]
mod tests;

pub use fits::{Fit, fits, likely};
pub(crate) use known::known;
pub use lengths::{From, Learnt, Length, Lengths, lengths, parse};
pub use pregnancy::{Expected, Pregnancy, State, expected, expected_of, history, of_ewe, pregnancies};
pub use returns::{RamReturns, Returned, Returns, Unmarked, returns, unmarked};
pub use service::{Again, Evidence, Service, rams_words};

use crate::handbook;
use crate::terms::Day;

/// Usual days from service to lambing by the handbook.
pub fn usual() -> i64 {
    handbook::gestation::usual_days()
}

/// Shortest of the handbook's window.
pub fn early() -> i64 {
    handbook::gestation::early_days()
}

/// Longest of the handbook's window.
pub fn late() -> i64 {
    handbook::gestation::late_days()
}

/// A window in which a ewe may lamb.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DueWindow {
    /// First day she may lamb.
    pub early: Day,
    /// The usual day: counted from the day of service, or from the first day with the ram.
    pub due: Day,
    /// Last day she may lamb; none while the ram is still with her.
    pub late: Option<Day>,
}

/// When a ewe joined from one day to another may lamb, by the handbook's lengths.
pub fn due(from: Day, to: Option<Day>) -> DueWindow {
    DueWindow { early: from.plus(early()), due: from.plus(usual()), late: to.map(|t| t.plus(late())) }
}
