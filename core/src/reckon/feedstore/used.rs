//! How much of a feed goes a day: by the rations that hold, by what creeps and pens were filled with, by mixings; by the
//! counts where nothing of it is written.

use super::gather::Eaten;
use super::heads::Here;
use super::ledger::{Ledger, came, standing};
use super::{How, Settings};
use crate::flock::FeedRoom;
use crate::phrase;
use crate::terms::{Day, FeedChange, FeedId, Mass, Units};

/// How much goes a day.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Used {
    /// By rations, on the first day ahead.
    pub rations: Mass,
    /// By what was filled in and fed beside rations, on the mean of the last weeks.
    pub filled: Mass,
    /// By mixings, on the mean of the last weeks.
    pub mixed: Mass,
    /// By two counts and what came between them, where nothing else tells it: from, to, a day.
    pub counts: Option<(Day, Day, Mass)>,
    /// Eaten and taken by mixings a day, on the mean of the last weeks, and over how many days.
    pub lately: Mass,
    /// Days over which that is measured.
    pub lately_days: u32,
}

/// The fewest days over which fillings and mixings are shared out.
const LEAST: i64 = 7;
/// Counts so many days apart tell the use of a day.
const APART: i64 = 5;
/// Counts older than this tell nothing of today.
const STALE: i64 = 60;

impl Used {
    /// How much goes on the first day ahead.
    pub fn a_day(&self) -> Mass {
        let told = self.rations.plus(self.filled).plus(self.mixed);
        match self.counts {
            Some((_, _, by)) if told.is_none() => by,
            _ => told,
        }
    }

    /// How it is known, in words: `2.1 kg by rations, 1.4 kg as filled in of late`.
    pub fn words(&self, units: Units) -> String {
        let ways = [
            (self.rations, "by rations"),
            (self.filled, "as filled in and fed of late"),
            (self.mixed, "for mixing"),
        ];
        let told = ways.iter().filter(|(m, _)| !m.is_none());
        let told: Vec<String> = told.map(|(m, how)| format!("{} {how}", m.show(units))).collect();
        match (told.is_empty(), &self.counts) {
            (true, Some((from, to, by))) => {
                phrase!("{} by the counts of {} and {}", by.show(units), from.words(), to.words())
            }
            (true, None) => phrase!("not used now"),
            _ => told.join(", "),
        }
    }
}

fn per_day(sum: Mass, days: i64) -> Mass {
    Mass::from_kg(sum.kg() / days.max(1) as f64).unwrap_or_default()
}

/// The days of a window that ends today over which a use is shared out that began on a day.
fn share_days(began: Option<Day>, window: i64, today: Day) -> i64 {
    let since = began.map_or(window, |d| today.since(d) + 1);
    since.clamp(LEAST.min(window), window)
}

/// How much of a feed goes a day, with the heads of today.
pub(super) fn used(
    all: &Ledger,
    eaten: &Eaten<'_>,
    here: &Here,
    feed: FeedId,
    today: Day,
    by: &Settings,
) -> Used {
    let room: &FeedRoom = &all.room;
    let ahead: Vec<_> =
        eaten.by_rations(today.plus(1), here).into_iter().filter(|u| u.feed == feed).collect();
    let rations = ahead.iter().fold(Mass::NONE, |sum, u| sum.plus(u.amount));
    let from = today.plus(1 - by.back_days);
    let pen_norm = |p: &Option<String>| p.as_deref().map(crate::terms::norm);
    let goes_on = |pen: &Option<String>| {
        pen.as_deref().and_then(|p| room.creep_in(p, today)).is_some_and(|c| c.to.is_none_or(|to| to > today))
    };
    let beside = all.uses().iter().filter(|u| u.feed == feed && u.on >= from).filter(|u| match u.how {
        How::Ration => false,
        How::Creep => goes_on(&u.pen),
        How::Fed => !ahead.iter().any(|r| pen_norm(&r.pen) == pen_norm(&u.pen)),
    });
    let beside = beside.fold(Mass::NONE, |sum, u| sum.plus(u.amount));
    let rows = standing(room);
    let mixings = || {
        let mixings = rows.iter().filter(|m| m.change == FeedChange::Mixed && m.on <= today);
        mixings.flat_map(|m| m.parts.iter().filter(|p| p.0 == feed).map(|p| (m.on, p.1)))
    };
    let taken = |from: Day| mixings().filter(|(on, _)| *on >= from).fold(Mass::NONE, |sum, m| sum.plus(m.1));
    let mix_from = today.plus(1 - by.mixed_days);
    let mixed =
        per_day(taken(mix_from), share_days(mixings().next().map(|(on, _)| on), by.mixed_days, today));
    let began = rows.iter().find(|m| m.feed == feed && (came(m) || m.change == FeedChange::Counted));
    let lately_days = began.map_or(by.back_days, |m| (today.since(m.on) + 1).clamp(1, by.back_days));
    let gone = all.eaten(feed, from, today).plus(taken(from));
    let told = Used {
        rations,
        filled: per_day(beside, share_days(eaten.first_fed(feed), by.back_days, today)),
        mixed,
        counts: None,
        lately: per_day(gone, lately_days),
        lately_days: u32::try_from(lately_days).unwrap_or_default(),
    };
    match told.a_day().is_none() {
        true => Used { counts: by_counts(room, feed, today), ..told },
        false => told,
    }
}

/// What went a day between the last two counts that lie far enough apart, if the last is not stale.
fn by_counts(room: &FeedRoom, feed: FeedId, today: Day) -> Option<(Day, Day, Mass)> {
    let rows = standing(room);
    let counts: Vec<_> =
        rows.iter().filter(|m| m.feed == feed && m.change == FeedChange::Counted && m.on <= today).collect();
    let last = counts.last().filter(|m| today.since(m.on) <= STALE)?;
    let first = counts.iter().rev().find(|m| last.on.since(m.on) >= APART)?;
    let mut went = first.amount?.kg() - last.amount?.kg();
    for m in rows.iter().filter(|m| m.on > first.on && m.on <= last.on) {
        let kg = m.amount.unwrap_or_default().kg();
        match m.change {
            FeedChange::Delivered | FeedChange::Mixed if m.feed == feed => went += kg,
            FeedChange::Wasted if m.feed == feed => went -= kg,
            _ => {}
        }
        went -= m.parts.iter().filter(|p| p.0 == feed).map(|p| p.1.kg()).sum::<f64>();
    }
    let by = Mass::from_kg(went / last.on.since(first.on) as f64).filter(|m| !m.is_none())?;
    Some((first.on, last.on, by))
}
