//! The ledger: every use by day, and what was there of each feed at the end of each day.

use super::gather::Eaten;
use super::heads::Here;
use super::{How, Stock, Use};
use crate::flock::{FeedMove, FeedRoom, Flock};
use crate::reckon::eaters::HeadDays;
use crate::terms::{Day, FeedChange, FeedId, FeedMoveId, Mass};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A count beside what the book said at the end of its day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counting {
    /// The feed.
    pub feed: FeedId,
    /// The day.
    pub on: Day,
    /// The row.
    pub row: FeedMoveId,
    /// Grams by the book; none where nothing was written before.
    pub book: Option<i64>,
    /// What was found.
    pub found: Mass,
}

/// What became of feed over a span of days.
#[derive(Debug)]
pub struct Ledger {
    pub(super) room: Arc<FeedRoom>,
    first: Day,
    to: Day,
    uses: Vec<Use>,
    levels: BTreeMap<FeedId, Vec<Option<i64>>>,
    counts: Vec<Counting>,
}

/// Rows of the store that stand, in order of time.
pub(super) fn standing(room: &FeedRoom) -> Vec<&FeedMove> {
    let mut all: Vec<&FeedMove> = room.moves.iter().filter(|m| m.struck.is_none()).collect();
    all.sort_by_key(|m| (m.on, m.time, m.id));
    all
}

/// Something came of a feed by this row.
pub(super) fn came(m: &FeedMove) -> bool {
    matches!(m.change, FeedChange::Delivered | FeedChange::Mixed)
}

fn grams(amount: Option<Mass>) -> i64 {
    i64::try_from(amount.unwrap_or_default().grams()).unwrap_or(i64::MAX)
}

impl Ledger {
    /// What was eaten from one day to another, both included, and what was there at the end of each of them. Days before
    /// are looked through as far back as the stock rests on them.
    pub fn of(flock: &Flock, from: Day, to: Day) -> Self {
        let room = Arc::clone(flock.feedroom());
        let rows = standing(&room);
        let starts: BTreeMap<FeedId, Day> =
            room.feeds.iter().filter_map(|f| Some((f.id, start(&rows, f.id, from)?))).collect();
        let first = starts.values().copied().fold(from, Day::min).min(to);
        let eaten = Eaten::of(&room);
        let mut all = Self {
            first,
            to,
            uses: Vec::new(),
            levels: starts.keys().map(|f| (*f, Vec::new())).collect(),
            counts: Vec::new(),
            room: Arc::clone(&room),
        };
        let heads = HeadDays::of(flock, first, to);
        let mut level: BTreeMap<FeedId, i64> = BTreeMap::new();
        let mut next = rows.partition_point(|m| m.on < first);
        let mut day = first;
        while day <= to {
            let here = if eaten.any_ration(day) { Here::on(&heads, day) } else { Here::default() };
            let uses = eaten.on(day, &here);
            let end = rows.partition_point(|m| m.on <= day);
            let today = rows.get(next..end).unwrap_or_default();
            next = end;
            for (feed, start) in &starts {
                if day >= *start {
                    all.close(*feed, day, &mut level, today, &uses);
                }
            }
            for (feed, levels) in &mut all.levels {
                levels.push(level.get(feed).copied());
            }
            all.uses.extend(uses);
            day = day.plus(1);
        }
        all
    }

    /// A feed at the end of a day: what came and went, then the last count.
    fn close(
        &mut self,
        feed: FeedId,
        day: Day,
        level: &mut BTreeMap<FeedId, i64>,
        rows: &[&FeedMove],
        uses: &[Use],
    ) {
        let before = level.get(&feed).copied();
        let mut left = before.unwrap_or_default();
        // A count of the first day has nothing before it that the book could say.
        let mut told = before.is_some();
        for m in rows {
            if m.feed == feed {
                match m.change {
                    FeedChange::Delivered | FeedChange::Mixed => {
                        left += grams(m.amount);
                        told = true;
                    }
                    FeedChange::Wasted => left -= grams(m.amount),
                    // What was fed is among the uses.
                    FeedChange::Fed | FeedChange::Counted => {}
                }
            }
            let taken = m.parts.iter().filter(|p| p.0 == feed && m.change == FeedChange::Mixed);
            left -= taken.map(|p| grams(Some(p.1))).sum::<i64>();
        }
        left -= uses.iter().filter(|u| u.feed == feed).map(|u| grams(Some(u.amount))).sum::<i64>();
        for m in rows.iter().filter(|m| m.feed == feed && m.change == FeedChange::Counted) {
            let Some(found) = m.amount else { continue };
            let book = told.then_some(left);
            self.counts.push(Counting { feed, on: day, row: m.id, book, found });
            left = grams(Some(found));
            told = true;
        }
        level.insert(feed, left);
    }

    /// The last day.
    pub fn to(&self) -> Day {
        self.to
    }

    /// Uses by day; from before the span, too, as far as the stock rests on them.
    pub fn uses(&self) -> &[Use] {
        &self.uses
    }

    /// Counts, by day, each beside what the book said.
    pub fn counts(&self) -> &[Counting] {
        &self.counts
    }

    /// What is there of a feed at the end of a day of the span.
    pub fn stock(&self, feed: FeedId, on: Day) -> Option<Stock> {
        let place = usize::try_from(on.since(self.first)).ok()?;
        let grams = (*self.levels.get(&feed)?.get(place)?)?;
        let counted = self.counts.iter().rev().find(|c| c.feed == feed && c.on <= on).map(|c| c.on);
        Some(Stock { grams, counted })
    }

    /// What was eaten of a feed from one day to another, both included.
    pub fn eaten(&self, feed: FeedId, from: Day, to: Day) -> Mass {
        let span = self.uses.iter().filter(|u| u.feed == feed && u.on >= from && u.on <= to);
        span.fold(Mass::NONE, |all, u| all.plus(u.amount))
    }

    /// What creeps were filled with of a feed from one day to another, both included.
    pub fn filled(&self, feed: FeedId, from: Day, to: Day) -> Mass {
        let span = self.uses.iter().filter(|u| u.how == How::Creep && u.feed == feed);
        span.filter(|u| u.on >= from && u.on <= to).fold(Mass::NONE, |all, u| all.plus(u.amount))
    }
}

/// The day on which the stock of a feed begins: its last count up to a day, else its first row that says what is there.
fn start(rows: &[&FeedMove], feed: FeedId, from: Day) -> Option<Day> {
    let mine = || rows.iter().filter(|m| m.feed == feed);
    let counted = mine().rev().find(|m| m.change == FeedChange::Counted && m.on <= from);
    let begins = |m: &&&FeedMove| came(m) || m.change == FeedChange::Counted;
    counted.or_else(|| mine().find(begins)).map(|m| m.on)
}
