//! What is eaten, as it is seen from the refills: what was there and was filled in, less what is left.

use super::lambs::Stays;
use super::{DAY, minutes};
use crate::flock::{Creep, FeedMove, FeedRoom};
use crate::terms::{Day, FeedChange, FeedId, Level, Mass, Moment, norm};

/// What stood behind a figure of intake.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// Between two levels that were seen.
    Levels,
    /// No level was seen: what was filled in is taken as eaten by the next filling.
    Fillings,
}

/// What was eaten between two moments.
#[derive(Debug, Clone, PartialEq)]
pub struct Spell {
    /// From, in minutes after the beginning of the board's day.
    pub from: i64,
    /// To, likewise.
    pub to: i64,
    /// Kilograms as fed.
    pub eaten_kg: f64,
    /// Lambs that ate, times days.
    pub lamb_days: f64,
    /// Mean age in days of those that ate.
    pub mean_age: f64,
    /// What it stands on.
    pub how: How,
}

impl Spell {
    /// Grams a lamb a day; none where nobody was there.
    pub fn each_g(&self) -> Option<f64> {
        (self.lamb_days > 0.0).then(|| self.eaten_kg * 1000.0 / self.lamb_days)
    }

    /// How much of it lies within a stretch of minutes, from 0 to 1.
    pub(super) fn part_within(&self, from: i64, to: i64) -> f64 {
        let both = self.to.min(to) - self.from.max(from);
        if both <= 0 || self.to <= self.from { 0.0 } else { both as f64 / (self.to - self.from) as f64 }
    }
}

/// Intake a lamb a day of late.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    /// Grams a lamb a day, as fed.
    pub each_g: f64,
    /// Spells it is the mean of.
    pub spells: usize,
    /// Over so many days.
    pub days: f64,
    /// What it stands on.
    pub how: How,
}

/// Intake is that of the last days.
const LATE_DAYS: i64 = 3;
/// An older spell tells nothing of today.
const OLD_DAYS: i64 = 10;

/// The intake of late at a moment, in minutes.
pub(super) fn rate(spells: &[Spell], now: i64) -> Option<Rate> {
    let with = || spells.iter().filter(|s| s.lamb_days > 0.0 && s.to <= now);
    let last = with().map(|s| s.to).max().filter(|to| now - to <= OLD_DAYS * DAY)?;
    let late: Vec<&Spell> = with().filter(|s| last - s.to < LATE_DAYS * DAY).collect();
    let (eaten, lamb_days) = late.iter().fold((0.0, 0.0), |(e, n), s| (e + s.eaten_kg, n + s.lamb_days));
    let minutes: i64 = late.iter().map(|s| s.to - s.from).sum();
    let how = if late.iter().any(|s| s.how == How::Fillings) { How::Fillings } else { How::Levels };
    let days = minutes as f64 / DAY as f64;
    Some(Rate { each_g: eaten * 1000.0 / lamb_days, spells: late.len(), days, how })
}

/// What was seen or done at a trough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Event {
    pub at: i64,
    pub day: Day,
    pub what: Deed,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Deed {
    /// So much was filled in, with so much there before.
    Fill { feed: FeedId, kg: f64, before: Option<Level> },
    /// So full it was; a full one may have been filled up.
    Seen { feed: FeedId, level: Level },
    /// So much was taken out: stale, wet.
    Out { kg: f64 },
}

/// What was done at a creep by the end of a day, in order of time.
pub(super) fn events(room: &FeedRoom, creep: &Creep, zero: Day) -> Vec<Event> {
    let pen = norm(&creep.pen);
    let mine = |m: &&FeedMove| {
        m.struck.is_none()
            && (creep.from..=zero).contains(&m.on)
            && creep.to.is_none_or(|to| m.on <= to)
            && m.pen.as_deref().is_some_and(|p| norm(p) == pen)
    };
    let event = |m: &FeedMove| {
        let at = minutes(Moment { day: m.on, time: m.time }, zero);
        let kg = m.amount.unwrap_or_default().kg();
        let what = match (m.change, m.level) {
            (FeedChange::Wasted, _) => Deed::Out { kg },
            (FeedChange::Fed, Some(level)) if kg <= 0.0 => Deed::Seen { feed: m.feed, level },
            (FeedChange::Fed, before) if kg > 0.0 => Deed::Fill { feed: m.feed, kg, before },
            _ => return None,
        };
        Some((m.id, Event { at, day: m.on, what }))
    };
    let mut all: Vec<_> = room.moves.iter().filter(mine).filter_map(event).collect();
    all.sort_by_key(|(id, e)| (e.at, *id));
    all.into_iter().map(|(_, e)| e).collect()
}

/// What is in a trough: so many fills to the top (none or one, where its size is not known) and so many kilograms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Content {
    pub tops: u8,
    pub kg: f64,
}

impl Content {
    /// Of a level; none where it cannot be told.
    fn of(level: Level, holds: Option<f64>) -> Option<Self> {
        match (level, holds) {
            (level, Some(holds)) => Some(Self { tops: 0, kg: holds * f64::from(level.percent()) / 100.0 }),
            (Level::EMPTY, None) => Some(Self { tops: 0, kg: 0.0 }),
            (Level::FULL, None) => Some(Self { tops: 1, kg: 0.0 }),
            (_, None) => None,
        }
    }
}

/// A trough as it is followed from one event to the next.
#[derive(Debug, Default)]
pub(super) struct Followed {
    /// From, to, kilograms eaten.
    pub eaten: Vec<(i64, i64, f64)>,
    /// What stands behind them.
    pub fillings: bool,
    /// What is known to have been there last, with what was filled in since.
    pub last: Option<(i64, Content)>,
    /// The day on which more was there than can be.
    pub too_much: Option<Day>,
}

impl Followed {
    /// Closes the spell from the last known content to this one. A spell without time is carried into the next one.
    fn close(
        &mut self,
        open: Option<(i64, Content)>,
        added: f64,
        at: i64,
        day: Day,
        now: Content,
        carry: &mut f64,
    ) {
        let Some((from, then)) = open.filter(|(_, then)| then.tops == now.tops) else {
            *carry = 0.0;
            return;
        };
        let eaten = then.kg + added - now.kg + *carry;
        if at <= from {
            *carry = eaten;
            return;
        }
        *carry = 0.0;
        if eaten < -0.0005 {
            self.too_much = Some(day);
        }
        self.eaten.push((from, at, eaten.max(0.0)));
    }
}

/// Follows a trough through its events.
pub(super) fn follow(events: &[Event], holds: Option<Mass>) -> Followed {
    let holds = holds.map(Mass::kg).filter(|kg| *kg > 0.0);
    let mut f = Followed::default();
    let mut open: Option<(i64, Content)> = None;
    let (mut added, mut carry) = (0.0, 0.0);
    let mut filled_at: Option<i64> = None;
    for e in events {
        match e.what {
            Deed::Out { kg } => added -= kg,
            Deed::Fill { kg, before, .. } => {
                if let Some(now) = before.and_then(|b| Content::of(b, holds)) {
                    f.close(open, added, e.at, e.day, now, &mut carry);
                    (open, added) = (Some((e.at, now)), 0.0);
                }
                added += kg;
                filled_at = Some(e.at);
            }
            Deed::Seen { level, .. } => {
                let Some(now) = Content::of(level, holds) else { continue };
                // A trough that is full may have been filled up by an amount nobody weighed: only where the amount was
                // written with it does it tell what was eaten.
                if level != Level::FULL || filled_at == Some(e.at) {
                    f.close(open, added, e.at, e.day, now, &mut carry);
                } else {
                    carry = 0.0;
                }
                (open, added) = (Some((e.at, now)), 0.0);
            }
        }
    }
    f.last = open.map(|(at, c)| (at, Content { kg: (c.kg + added).max(0.0), ..c }));
    if f.eaten.is_empty() {
        by_fillings(events, &mut f);
    }
    f
}

/// Where no level was seen: each filling is taken as eaten by the next.
fn by_fillings(events: &[Event], f: &mut Followed) {
    let mut fills: Vec<(i64, f64)> = Vec::new();
    for e in events {
        match (e.what, fills.last_mut()) {
            (Deed::Fill { kg, .. }, Some(last)) if last.0 == e.at => last.1 += kg,
            (Deed::Fill { kg, .. }, _) => fills.push((e.at, kg)),
            (Deed::Out { kg }, Some(last)) => last.1 = (last.1 - kg).max(0.0),
            _ => {}
        }
    }
    f.eaten = fills.windows(2).map(|w| (w[0].0, w[1].0, w[0].1)).collect();
    f.fillings = !f.eaten.is_empty();
}

/// The spells of a creep with the lambs that ate in them.
pub(super) fn spells(followed: &Followed, stays: &Stays, pen: &str, from_age: i64, zero: Day) -> Vec<Spell> {
    let how = if followed.fillings { How::Fillings } else { How::Levels };
    let spell = |&(from, to, eaten_kg): &(i64, i64, f64)| {
        let (mut lamb_days, mut ages) = (0.0, 0.0);
        for day in from.div_euclid(DAY)..=(to - 1).div_euclid(DAY) {
            let both = to.min((day + 1) * DAY) - from.max(day * DAY);
            let part = both.max(0) as f64 / DAY as f64;
            let (n, sum) = stays.eating(pen, zero.plus(day), from_age);
            lamb_days += part * f64::from(n);
            ages += part * sum as f64;
        }
        let mean_age = if lamb_days > 0.0 { ages / lamb_days } else { 0.0 };
        Spell { from, to, eaten_kg, lamb_days, mean_age, how }
    };
    followed.eaten.iter().map(spell).collect()
}
