//! The season as dated events, row by row: what the timeline draws on screen and on paper.
//!
//! Events of one animal are made when its row is looked at, never for the whole flock at once. Pure: a flock, a day.

mod axis;
mod counts;
mod roll;
mod say;
#[cfg(test)]
mod tests;

pub use axis::{Tick, Unit, ticks, unit_for};
pub use counts::{Bin, Count, Counts};
pub use roll::{Filter, Group, Picked, Roll, Row, Which};
pub use say::say;

use super::clearance::{Clear, clear_after};
use super::due::{self, Ground, Job, State};
use super::gestation;
use crate::flock::{Animal, AnimalFile, Flock, RecordRef};
use crate::terms::{Day, Fate, Sex, Status};
use serde::{Deserialize, Serialize};

/// What kinds of event there are; each can be shown or left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// Lambings.
    Lambing,
    /// The time with a ram.
    Joining,
    /// The days on which a ewe may lamb.
    Due,
    /// Treatments, with the meat withdrawal.
    Treatment,
    /// Jobs of the care plan.
    Job,
    /// Weighings.
    Weighing,
    /// Moves to a pen.
    Pen,
    /// Born, came, left, died.
    Standing,
}

impl Kind {
    /// All, in the order of the legend and of the lanes.
    pub const ALL: [Self; 8] = [
        Self::Lambing,
        Self::Joining,
        Self::Due,
        Self::Treatment,
        Self::Job,
        Self::Weighing,
        Self::Pen,
        Self::Standing,
    ];

    /// The word for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Lambing => "Lambings",
            Self::Joining => "With the ram",
            Self::Due => "May lamb",
            Self::Treatment => "Treatments",
            Self::Job => "Jobs",
            Self::Weighing => "Weights",
            Self::Pen => "Pens",
            Self::Standing => "Born, came, left",
        }
    }
}

/// Which kinds are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Kinds(u16);

impl Default for Kinds {
    fn default() -> Self {
        Self::all()
    }
}

impl Kinds {
    /// Every kind.
    pub fn all() -> Self {
        Self((1 << Kind::ALL.len()) - 1)
    }

    /// Whether a kind is shown.
    pub fn has(self, kind: Kind) -> bool {
        self.0 & (1 << kind as u16) != 0
    }

    /// Shows a kind that was left out, leaves out one that was shown.
    #[must_use]
    pub fn toggled(self, kind: Kind) -> Self {
        Self(self.0 ^ (1 << kind as u16))
    }
}

/// How a job of the plan stands, as far as the drawing tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum JobMark {
    /// Still to come.
    Early,
    /// To be done now.
    Due,
    /// Its last day has passed.
    Overdue,
    /// Done.
    Done,
    /// Left out by the keeper.
    Skipped,
    /// It can no longer be done.
    Missed,
}

/// What happened, as far as the drawing tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum What {
    /// Born, alive or dead.
    Born {
        /// Born dead.
        dead: bool,
    },
    /// Came into the flock, or came back.
    Came,
    /// Left it alive, or is missing.
    Left,
    /// Died or was culled.
    Died,
    /// Lambed.
    Lambing {
        /// How many lambs, dead ones counted.
        lambs: u8,
    },
    /// With a ram.
    Joining {
        /// The ram was taken away.
        over: bool,
    },
    /// May lamb.
    Due {
        /// The usual day.
        usual: Day,
    },
    /// Treated; the event reaches to the day on which the meat is clear.
    Treatment {
        /// Whether that day is known.
        clear_known: bool,
    },
    /// Weighed.
    Weighing {
        /// In grams.
        grams: i64,
    },
    /// Moved to a pen, or out of one.
    Pen {
        /// To a pen.
        inside: bool,
    },
    /// A job of the plan.
    Job(JobMark),
}

impl What {
    /// Its kind.
    pub fn kind(self) -> Kind {
        match self {
            Self::Born { .. } | Self::Came | Self::Left | Self::Died => Kind::Standing,
            Self::Lambing { .. } => Kind::Lambing,
            Self::Joining { .. } => Kind::Joining,
            Self::Due { .. } => Kind::Due,
            Self::Treatment { .. } => Kind::Treatment,
            Self::Weighing { .. } => Kind::Weighing,
            Self::Pen { .. } => Kind::Pen,
            Self::Job(_) => Kind::Job,
        }
    }
}

/// One event of an animal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Event {
    /// What happened.
    pub what: What,
    /// Its day, or its first.
    pub from: Day,
    /// The day it reaches to; its own day where it has no length.
    pub to: Day,
    /// The record behind it; none of what is only expected.
    pub record: Option<RecordRef>,
    /// Its place among the line's jobs.
    pub job: Option<u32>,
}

/// The events of one animal in order of their first day.
#[derive(Debug, Clone, Default)]
pub struct Line {
    /// The events.
    pub events: Vec<Event>,
    /// The jobs behind its job events.
    pub jobs: Vec<Job>,
    /// Days of the longest event: how far before a span one must look for what reaches into it.
    longest: i64,
}

/// A job that was not done is shown for so many days: later nobody can learn from it what to do.
const MISSED_DAYS: i64 = 90;

impl Line {
    /// The events of an animal as of a day, struck-out records left out; its jobs where the ground is known.
    pub fn of(flock: &Flock, file: &AnimalFile, day: Day, ground: Option<&Ground>) -> Self {
        let mut events = Vec::new();
        standing(file, &mut events);
        breeding(flock, file, day, &mut events);
        for t in file.treatments_standing() {
            let clear = match clear_after(t.at, t.meat) {
                Clear::From(on) => Some(on),
                Clear::Free | Clear::Unknown | Clear::Never => None,
            };
            let what = What::Treatment { clear_known: clear.is_some() };
            events.push(event(what, t.at.day, clear, Some(RecordRef::Treatment(t.id))));
        }
        for w in file.weighings.iter().filter(|w| w.struck.is_none()) {
            let what = What::Weighing { grams: w.weight.grams() };
            events.push(event(what, w.at.day, None, Some(RecordRef::Weighing(w.id))));
        }
        pens(file, day, &mut events);
        let jobs = ground.map_or_else(Vec::new, |g| due::of_file(flock, g, file));
        let long_missed = |j: &&Job| j.state == State::Missed && day.since(j.due.day) > MISSED_DAYS;
        for (n, j) in (0u32..).zip(&jobs).filter(|(_, j)| !long_missed(j)) {
            let (mark, from, to) = match &j.state {
                State::Early => (JobMark::Early, j.day(), j.late.map(|l| l.day)),
                State::Due => (JobMark::Due, j.day(), j.late.map(|l| l.day)),
                State::Overdue => (JobMark::Overdue, j.day(), j.late.map(|l| l.day)),
                State::Done(on) => (JobMark::Done, on.unwrap_or(j.due.day), None),
                State::Skipped { on, .. } => (JobMark::Skipped, *on, None),
                State::Missed => (JobMark::Missed, j.due.day, None),
            };
            events.push(Event { job: Some(n), ..event(What::Job(mark), from, to, None) });
        }
        // A day begins with being born or coming; its jobs come last.
        let place = |k: Kind| match k {
            Kind::Standing => 0,
            Kind::Job => 2,
            _ => 1,
        };
        events.sort_by_key(|e| (e.from, place(e.what.kind()), e.what.kind(), e.to));
        let longest = events.iter().map(|e| e.to.since(e.from)).max().unwrap_or(0);
        Self { events, jobs, longest }
    }

    /// The places of the events that may reach into a span of days: only these need be looked at.
    pub fn within(&self, start: Day, end: Day) -> std::ops::Range<usize> {
        let early = start.plus(-self.longest);
        let first = self.events.partition_point(|e| e.from < early);
        let last = self.events.partition_point(|e| e.from <= end);
        first..last.max(first)
    }

    /// The event nearest to a day among those of the kinds shown; on the same day the first.
    pub fn nearest(&self, day: Day, kinds: Kinds) -> Option<usize> {
        let shown = |(_, e): &(usize, &Event)| kinds.has(e.what.kind());
        let far = |(_, e): &(usize, &Event)| e.from.since(day).abs();
        self.events.iter().enumerate().filter(shown).min_by_key(far).map(|(i, _)| i)
    }

    /// The next event after one, or the one before it, of the kinds shown.
    pub fn step(&self, at: usize, forward: bool, kinds: Kinds) -> Option<usize> {
        let shown = |i: &usize| self.events.get(*i).is_some_and(|e| kinds.has(e.what.kind()));
        if forward { (at + 1..self.events.len()).find(shown) } else { (0..at).rev().find(shown) }
    }
}

/// `ewe`, or `ewe lamb` under a year old on this day.
pub fn sex_words(animal: &Animal, on: Day) -> &'static str {
    let lamb = animal.is_lamb(on) && animal.sex != Sex::Wether;
    if lamb { animal.sex.lamb_words() } else { animal.sex.words() }
}

/// The days of a season as one usually looks at it: fifteen weeks back and nine ahead, so that lambing, what came
/// before and what is still to do are seen together. Common practice, no source.
pub fn usual_span(today: Day) -> (Day, Day) {
    (today.plus(-105), today.plus(62))
}

fn event(what: What, from: Day, to: Option<Day>, record: Option<RecordRef>) -> Event {
    Event { what, from, to: to.unwrap_or(from).max(from), record, job: None }
}

/// Born, came, left, died.
fn standing(file: &AnimalFile, out: &mut Vec<Event>) {
    if let Some(day) = file.animal.born.day() {
        let dead = file.birth.as_ref().is_some_and(|b| b.fate == Fate::BornDead);
        out.push(event(What::Born { dead }, day, None, Some(RecordRef::Animal(file.animal.id))));
    }
    for m in file.movements.iter().filter(|m| m.struck.is_none()) {
        let what = match m.to {
            Status::Present => What::Came,
            Status::Dead | Status::Culled => What::Died,
            Status::Lent | Status::Sold | Status::Missing | Status::Outside => What::Left,
        };
        out.push(event(what, m.on, None, Some(RecordRef::Movement(m.id))));
    }
}

/// Joinings, lambings, and when she may lamb.
fn breeding(flock: &Flock, file: &AnimalFile, day: Day, out: &mut Vec<Event>) {
    for j in file.joinings.iter().filter(|j| j.struck.is_none()) {
        let to = j.to.unwrap_or_else(|| day.max(j.from));
        let what = What::Joining { over: j.to.is_some() };
        out.push(event(what, j.from, Some(to), Some(RecordRef::Joining(j.id))));
    }
    for l in file.lambings_standing() {
        let lambs = u8::try_from(l.lambs.len()).unwrap_or(u8::MAX);
        out.push(event(What::Lambing { lambs }, l.at.day, None, Some(RecordRef::Lambing(l.id))));
    }
    if let Some(e) = gestation::expected_of(flock, file, day).filter(|_| file.animal.status.is_here()) {
        // With the ram still there, the last day moves on with today.
        let late = e.window.late.unwrap_or_else(|| day.plus(gestation::late()).max(e.window.due));
        out.push(event(What::Due { usual: e.window.due }, e.window.early, Some(late), None));
    }
}

/// A stay in a pen reaches to the next move, to leaving, or to today.
fn pens(file: &AnimalFile, day: Day, out: &mut Vec<Event>) {
    let mut moves: Vec<_> = file.pen_moves.iter().filter(|p| p.struck.is_none()).collect();
    moves.sort_by_key(|p| p.on);
    let end = if file.animal.status.is_here() { day } else { file.animal.status_on.unwrap_or(day) };
    for (n, p) in moves.iter().enumerate() {
        let next = moves.get(n + 1).map_or(end, |n| n.on);
        let to = p.pen.as_ref().map(|_| next);
        out.push(event(What::Pen { inside: p.pen.is_some() }, p.on, to, Some(RecordRef::PenMove(p.id))));
    }
}
