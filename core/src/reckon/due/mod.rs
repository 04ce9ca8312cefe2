//! The care plan applied: every job of every animal, when it is due and how it stands.
//!
//! Pure functions of a flock (which holds its plan) and a day. A job is one step of the plan for one animal, counted
//! from one anchor; what completes it is read from the records, so nothing is kept of a job but the keeper's ticks.

mod anchors;
mod board;
mod done;
#[cfg(test)]
mod tests;
mod whom;
mod words;

pub use anchors::Seasons;
pub use board::Board;

use crate::flock::{AnimalFile, Flock, Outcome};
use crate::plan::{Anchor, Plan, Span, Step, Whom};
use crate::rules::{RuleSet, rule_set};
use crate::terms::{AnimalId, Day, Moment, Status};
use anchors::Anchors;
use std::sync::Arc;

/// How a job stands on a day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum State {
    /// Its day has not come, or it was put off.
    Early,
    /// It is to be done now.
    Due,
    /// Its last day has passed.
    Overdue,
    /// It was not done and can no longer be.
    Missed,
    /// It was done; the day, where a record tells it.
    Done(Option<Day>),
    /// The keeper left it out, and why.
    Skipped {
        /// When that was said.
        on: Day,
        /// Why.
        reason: String,
    },
}

impl State {
    /// The word for it.
    pub fn words(&self) -> &'static str {
        match self {
            Self::Early => "early",
            Self::Due => "due",
            Self::Overdue => "overdue",
            Self::Missed => "missed",
            Self::Done(_) => "done",
            Self::Skipped { .. } => "skipped",
        }
    }

    /// Neither done nor skipped nor missed.
    pub fn is_open(&self) -> bool {
        matches!(self, Self::Early | Self::Due | Self::Overdue)
    }

    /// To be done on that day.
    pub fn is_now(&self) -> bool {
        matches!(self, Self::Due | Self::Overdue)
    }
}

/// One step of the plan for one animal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    /// The animal.
    pub animal: AnimalId,
    /// The step.
    pub step: Arc<Step>,
    /// Place of the step in the plan, to sort by.
    pub place: u16,
    /// Which time, of a step done again and again; 0 is the first.
    pub round: u16,
    /// What its times are counted from.
    pub anchor: Moment,
    /// Before this it is too soon.
    pub earliest: Moment,
    /// From then on it is a job.
    pub due: Moment,
    /// Its last time; none where nothing sets one.
    pub late: Option<Moment>,
    /// After this day it can no longer be done.
    pub close: Day,
    /// Put off until this day, and why.
    pub put_off: Option<(Day, String)>,
    /// How it stands.
    pub state: State,
}

impl Job {
    /// The first day it is looked for: its due day, or the day it was put off to.
    pub fn day(&self) -> Day {
        self.put_off.as_ref().map_or(self.due.day, |(until, _)| self.due.day.max(*until))
    }

    /// It cannot be done yet without being too soon.
    pub fn too_soon(&self, on: Day) -> bool {
        on < self.earliest.day
    }
}

/// What is the same for all animals of a flock on a day.
#[derive(Debug, Clone)]
pub struct Ground {
    plan: Arc<Plan>,
    rules: Option<&'static RuleSet>,
    seasons: Seasons,
    day: Day,
}

impl Ground {
    /// Looks once through the flock.
    pub fn of(flock: &Flock, day: Day) -> Self {
        Self {
            plan: Arc::clone(flock.plan()),
            rules: rule_set(&flock.holding().rules),
            seasons: Seasons::of(flock, day),
            day,
        }
    }

    /// The day it was made for.
    pub fn day(&self) -> Day {
        self.day
    }
}

/// Every job of an animal's life up to a day and ahead of it, in order of time: done, skipped, missed and open.
pub fn of_animal(flock: &Flock, id: AnimalId, day: Day) -> Vec<Job> {
    flock.file(id).map_or_else(Vec::new, |file| of_file(flock, &Ground::of(flock, day), file))
}

/// The same for one of many animals of a flock, whose ground was looked at once.
pub fn of_file(flock: &Flock, ground: &Ground, file: &AnimalFile) -> Vec<Job> {
    let mut all = Vec::new();
    jobs(flock, ground, file, false, &mut all);
    all.sort_by_key(|j| (j.due, j.place, j.round));
    all
}

/// Days past which nothing of an anchor can still be open.
const LONG_PAST: i64 = 400;

/// The jobs of one animal. With `open` only anchors that can still have open jobs are looked at, and only open jobs
/// are given.
fn jobs(flock: &Flock, ground: &Ground, file: &AnimalFile, open: bool, out: &mut Vec<Job>) {
    let day = ground.day;
    let a = &file.animal;
    let here = matches!(a.status, Status::Present | Status::Lent);
    if a.status == Status::Outside || (open && !here) {
        return;
    }
    // What was not done before an animal left is missed; what would have come after never was a job.
    let last = if here { None } else { a.status_on };
    let young = a.age_days(day).is_some_and(|d| d <= LONG_PAST);
    let grown = whom::is_grown(file, day);
    let mut made: Vec<Job> = Vec::new();
    for who in Whom::ALL {
        let asked = match who {
            Whom::Lamb => (young || !open) && a.born.day().is_some(),
            Whom::Ewe => grown && a.sex == crate::terms::Sex::Ewe,
            Whom::Ram => grown && a.sex == crate::terms::Sex::Ram,
        };
        if !asked {
            continue;
        }
        let anchors = Anchors::of(flock, ground, file, who, open);
        for kind in [
            Anchor::Birth,
            Anchor::Season,
            Anchor::Joining,
            Anchor::Due,
            Anchor::LastDue,
            Anchor::Lambing,
            Anchor::Weaning,
        ] {
            for at in anchors.all(&kind) {
                for (place, step) in ground.plan.steps(at.day.year()).iter().enumerate() {
                    if !step.off && step.whom == who && step.anchor == kind {
                        rounds(flock, ground, file, step, place, *at, &anchors, &mut made);
                    }
                }
            }
        }
        // Steps counted from others come last: their anchors are known now. Plans hold no circle.
        for (place, step) in ground.plan.steps(day.year()).iter().enumerate() {
            let Anchor::After(keys) = &step.anchor else { continue };
            if step.off || step.whom != who {
                continue;
            }
            let before: Vec<Day> = made
                .iter()
                .filter(|j| j.round == 0 && keys.contains(&j.step.key))
                .filter_map(|j| match j.state {
                    State::Done(on) => on,
                    _ => None,
                })
                .collect();
            for on in before {
                rounds(flock, ground, file, step, place, Moment::day(on), &anchors, &mut made);
            }
        }
    }
    out.extend(
        made.into_iter()
            .filter(|j| if open { j.state.is_open() } else { last.is_none_or(|l| j.due.day <= l) }),
    );
}

/// The job of a step at one anchor, or all of a step that is done again and again.
#[allow(clippy::too_many_arguments)]
fn rounds(
    flock: &Flock,
    ground: &Ground,
    file: &AnimalFile,
    step: &Arc<Step>,
    place: usize,
    anchor: Moment,
    anchors: &Anchors,
    out: &mut Vec<Job>,
) {
    let times = step.times;
    let shift = |span: Span, by: i64| Span::minutes(span.in_minutes() + by);
    let most = step.repeat.map_or(1, |r| r.most);
    for round in 0..most {
        let by = step.repeat.map_or(0, |r| r.every.in_minutes()) * i64::from(round);
        let due = shift(times.due, by).after(anchor);
        if step.repeat.is_some_and(|r| r.until_weaning) && anchors.weaned.is_some_and(|w| due.day >= w) {
            break;
        }
        let mut close = shift(times.close, by).after(anchor).day;
        if let Some(r) = step.repeat.filter(|_| round + 1 < most) {
            // One record must not complete two rounds.
            close = close.min(r.every.after(Moment::day(due.day)).day.plus(-1)).max(due.day);
        }
        let late = times.late.map(|l| shift(l, by).after(anchor)).or_else(|| {
            let what = step.law?;
            Some(Moment::day(anchor.day.plus(ground.rules?.ring(what)?.last_day)))
        });
        let mut job = Job {
            animal: file.animal.id,
            step: Arc::clone(step),
            place: u16::try_from(place).unwrap_or(u16::MAX),
            round,
            anchor,
            earliest: shift(times.earliest, by).after(anchor),
            due,
            late: late.map(|l| Moment { day: l.day.min(close.max(due.day)), ..l }),
            close,
            put_off: None,
            state: State::Early,
        };
        if !whom::fits(flock, file, &job) {
            return;
        }
        settle(flock, ground, file, anchors, &mut job);
        out.push(job);
    }
}

/// Ticks are told from those of another year's job by the day they were counted from.
const SAME_DAYS: i64 = 100;

fn settle(flock: &Flock, ground: &Ground, file: &AnimalFile, anchors: &Anchors, job: &mut Job) {
    let day = ground.day;
    let mine = |t: &&crate::flock::Tick| {
        t.step == job.step.key && t.round == job.round && t.anchor.since(job.anchor.day).abs() <= SAME_DAYS
    };
    // The last word of the keeper counts.
    let tick = file.ticks_standing().filter(mine).max_by_key(|t| (t.at, t.id));
    let note = |t: &crate::flock::Tick| t.note.clone().unwrap_or_default();
    if let Some(on) = done::by_record(flock, file, anchors, job) {
        job.state = State::Done(on);
        return;
    }
    match tick.map(|t| (t.outcome, t)) {
        Some((Outcome::Done, t)) => {
            job.state = State::Done(Some(t.at.day));
            return;
        }
        Some((Outcome::Skipped, t)) => {
            job.state = State::Skipped { on: t.at.day, reason: note(t) };
            return;
        }
        Some((Outcome::PutOff(until), t)) => {
            job.put_off = Some((until, note(t)));
            job.close = job.close.max(until.plus(14));
            job.late = job.late.map(|l| if l.day < until { Moment::day(until) } else { l });
        }
        None => {}
    }
    let left = file.animal.status != Status::Present && file.animal.status != Status::Lent;
    job.state = if left {
        State::Missed
    } else if day < job.day() {
        State::Early
    } else if day > job.close {
        State::Missed
    } else if job.late.is_some_and(|l| l.day < day) {
        State::Overdue
    } else {
        State::Due
    };
}
