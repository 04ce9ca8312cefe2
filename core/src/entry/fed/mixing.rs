//! A mix as it was made up: its parts as feeds of the book, those that are new with it, and its first batch.

use super::moves::{self, FeedMoveDraft};
use super::{FeedDraft, feeds};
use crate::entry::{Checked, Entry, Refusal};
use crate::flock::Flock;
use crate::terms::{Analysis, Day, FeedKind, MadeFor, Price, norm};

/// A part of a mix.
#[derive(Debug, Clone, PartialEq)]
pub struct MixPart {
    /// Name of the feed.
    pub name: String,
    /// Its share as fed, percent.
    pub percent: f64,
    /// Where the feed is new to the book: what is known of it.
    pub new: Option<NewPart>,
}

/// What is known of a feed that comes into the book with a mix.
#[derive(Debug, Clone, PartialEq)]
pub struct NewPart {
    /// What kind it is.
    pub kind: FeedKind,
    /// Whom it is made for.
    pub made_for: MadeFor,
    /// Key of the handbook's feed whose figures fill the gaps.
    pub like: Option<String>,
    /// Figures typed.
    pub own: Analysis,
    /// Price of a tonne.
    pub price: Option<Price>,
}

/// A mix and its new parts as drafts of feeds. A mix of this name that the book has keeps what is written of it, but
/// takes these parts.
pub fn mix_drafts(name: &str, parts: &[MixPart], note: Option<String>, flock: &Flock) -> Vec<FeedDraft> {
    let room = flock.feedroom();
    let mut all: Vec<FeedDraft> = Vec::new();
    for (part, new) in parts.iter().filter_map(|p| Some((p, p.new.as_ref()?))) {
        let mut draft = FeedDraft::called(part.name.trim(), new.kind);
        draft.made_for = new.made_for;
        draft.like.clone_from(&new.like);
        draft.own = new.own.clone();
        draft.price = new.price;
        all.push(draft);
    }
    let mut mix = match room.by_name(name) {
        Some(feed) => FeedDraft::of(feed, flock),
        None => FeedDraft::called(name.trim(), FeedKind::Mix),
    };
    // What is mixed of nothing but plain feeds and feeds for sheep is for sheep.
    let safe = |p: &MixPart| {
        let made_for =
            p.new.as_ref().map(|n| n.made_for).or_else(|| room.by_name(&p.name).map(|f| f.made_for));
        matches!(made_for, Some(MadeFor::Sheep | MadeFor::Plain))
    };
    if mix.made_for == MadeFor::Unknown && parts.iter().all(safe) {
        mix.made_for = MadeFor::Sheep;
    }
    mix.parts = parts.iter().map(|p| (p.name.clone(), p.percent)).collect();
    if note.is_some() {
        mix.note = note;
    }
    all.push(mix);
    all
}

/// A mix written as a feed and mixed at once: both entries, to be written as one.
///
/// # Errors
/// Every refusal of either.
pub fn mixed(
    drafts: Vec<FeedDraft>,
    batch: FeedMoveDraft,
    flock: &Flock,
    today: Day,
) -> Result<Vec<Checked>, Vec<Refusal>> {
    let feeds = feeds(drafts, flock)?;
    let new = match feeds.entry() {
        Entry::Feeds(all) => all.clone(),
        _ => Vec::new(),
    };
    let name = norm(&batch.feed);
    let mix = new.into_iter().find(|f| norm(&f.name) == name);
    let moved = moves::moves_with(vec![batch], mix.as_ref(), flock, today)?;
    Ok(vec![feeds, moved])
}
