//! The feed room: feeds, what became of them, analysis sheets, measures, creeps, rations, checks of the pens.

mod dosed;
mod fault;
mod feed;
mod mixing;
mod moves;
mod pens;

pub(in crate::entry) use dosed::struck_alone;
pub use dosed::{doses_of, is_medicated, strike_fed};
pub use fault::{FedRefused, FedUnusual};
pub use feed::{FeedDraft, FeedSheetDraft, MeasureDraft, feed_sheets, feeds, measures};
pub use mixing::{MixPart, NewPart, mix_drafts, mixed};
pub use moves::{FeedMoveDraft, PastFeedMove, feed_moves, past_feed_moves};
pub use pens::{CreepDraft, PenCheckDraft, RationDraft, close_creep, creeps, pen_checks, rations};

use super::{Amended, Faults, Field};
use crate::flock::{Feed, Flock};
use crate::terms::Day;

/// The feed of this name; refused where there is none.
fn named<'a>(faults: &mut Faults, field: Field, name: &str, flock: &'a Flock) -> Option<&'a Feed> {
    if name.trim().is_empty() {
        faults.refuse(field, super::Refused::Missing("a feed"));
        return None;
    }
    let found = flock.feedroom().by_name(name);
    if found.is_none() {
        faults.refuse(field, FedRefused::NoSuchFeed(name.trim().into()).into());
    }
    found
}

/// What is wrong or unlikely of an amended move, sheet or ration.
pub(super) fn amended(faults: &mut Faults, new: &Amended, flock: &Flock, today: Day) {
    match new {
        Amended::FeedMove(m) => {
            moves::check(faults, 0, m, flock, today);
            dosed::amended(faults, m, flock);
        }
        Amended::FeedSheet(s) => feed::check_sheet(faults, 0, s, flock),
        Amended::Ration(r) => pens::check_ration(faults, 0, r, flock),
        _ => {}
    }
}
