//! Sessions at the scale, scores, decisions, groups mended by hand, money.

mod choice;
mod fault;
mod money;
mod session;

pub use choice::{DecisionDraft, GroupingDraft, decisions, groupings, past_decisions};
pub use fault::{WeighedRefused, WeighedUnusual};
pub use money::{MoneyDraft, money};
pub use session::{
    ScoringDraft, SessionDraft, SessionPick, WeighedRow, scorings, session, sessions, weighed,
};

use super::{Amended, Faults, Field};
use crate::flock::Flock;

/// What is wrong or unlikely of an amended score or amount.
pub(super) fn amended(faults: &mut Faults, new: &Amended, flock: &Flock) {
    match new {
        Amended::Scoring(s) => {
            if let Some(f) = flock.file(s.animal) {
                session::score_fits(faults, Field::of("score"), f, s.score, s.at.day);
            }
        }
        Amended::Money(m) => money::check(faults, 0, m),
        _ => {}
    }
}
