//! The care plan applied: every job of every animal, when it is due and how it stands.
//!
//! Pure functions of a flock (which holds its plan) and a day. A job is one step of the plan for one animal, counted
//! from one anchor; what completes it is read from the records, so nothing is kept of a job but the keeper's ticks.

mod anchors;
mod board;
mod castrate;
mod done;
mod sheet;
#[cfg(test)]
mod tests;
mod whom;
mod words;

pub use anchors::Seasons;
pub(crate) use anchors::weaned;
pub use board::Board;
pub use castrate::castration;
pub(crate) use done::{own_mark, stand_in};
pub use sheet::{
    PenSheet, Round, Row, Sheet, jobs_on, kind_and_age, product_of, rounds_of, sheet, suits, total,
};

use crate::flock::{AnimalFile, Flock, Outcome, Tick};
use crate::plan::{Anchor, Plan, Span, Step, Whom};
use crate::rules::RuleSet;
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
    pub put_off: Option<Box<(Day, String)>>,
    /// How it stands.
    pub state: State,
}

impl Job {
    /// The first day it is looked for: its due day, or the day it was put off to.
    pub fn day(&self) -> Day {
        self.put_off.as_ref().map_or(self.due.day, |p| self.due.day.max(p.0))
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
    rules: Option<Arc<RuleSet>>,
    seasons: Seasons,
    day: Day,
    /// Days past which nothing of an anchor can still be open, unless it was put off.
    long: i64,
    /// Places of steps that are counted from others.
    follows: Vec<usize>,
    /// Keys of the steps they are counted from.
    followed: Vec<String>,
    /// Days for which a step so counted may be open.
    after: i64,
}

impl Ground {
    /// Looks once through the flock.
    pub fn of(flock: &Flock, day: Day) -> Self {
        let plan = flock.plan();
        let (mut follows, mut followed) = (Vec::new(), vec![anchors::WEAN.to_string()]);
        let (mut longest, mut after) = (0, 0);
        for (place, step) in plan.all_placed() {
            longest = longest.max(span(step));
            if step.anchor == Anchor::Weaning {
                after = after.max(span(step));
            }
            if let Anchor::After(keys) = &step.anchor {
                after = after.max(span(step));
                follows.push(place);
                followed.extend(keys.iter().cloned());
            }
        }
        follows.sort_unstable();
        follows.dedup();
        Self {
            plan: Arc::clone(plan),
            rules: flock.rules_shared(),
            seasons: Seasons::of(flock, day),
            day,
            long: longest + after,
            follows,
            followed,
            after,
        }
    }

    /// The day.
    pub fn day(&self) -> Day {
        self.day
    }

    /// The same on a day near by: the seasons of the flock are taken to be those.
    #[must_use]
    pub fn on(&self, day: Day) -> Self {
        Self { day, ..self.clone() }
    }
}

/// Days from a step's anchor to the close of its last round.
fn span(step: &Step) -> i64 {
    let rounds = step.repeat.map_or(0, |r| r.every.in_minutes() * i64::from(r.most));
    Span::minutes(step.times.close.in_minutes() + rounds).whole_days() + 1
}

/// A job put off may be done until so many days after the day it was put off to.
const GRACE: i64 = 14;

impl Ground {
    /// Every job of an animal's life as [`of_animal`] gives it, with what was looked up once for many.
    pub fn all_of(&self, flock: &Flock, id: AnimalId) -> Vec<Job> {
        flock.file(id).map_or_else(Vec::new, |file| of_file(flock, self, file))
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
    // A tick may keep a job open whose days are long past.
    let late = |t: &Tick| match t.outcome {
        Outcome::PutOff(until) => until.plus(GRACE) >= day,
        Outcome::Done => t.at.day.plus(ground.after) >= day && ground.followed.iter().any(|k| *k == t.step),
        Outcome::Skipped => false,
    };
    let whole = !open || file.ticks_standing().any(late);
    let young = a.age_days(day).is_some_and(|d| d <= ground.long);
    let grown = whom::is_grown(file, day);
    let mut made: Vec<Job> = Vec::new();
    for who in Whom::ALL {
        let asked = match who {
            Whom::Lamb => (young || whole) && a.born.day().is_some(),
            Whom::Ewe => grown && a.sex == crate::terms::Sex::Ewe,
            Whom::Ram => grown && a.sex == crate::terms::Sex::Ram,
        };
        if !asked {
            continue;
        }
        let anchors = Anchors::of(flock, ground, file, who, !whole);
        let all = Maker { flock, ground, file, anchors: &anchors, open: open && !whole };
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
                    if step.whom == who && step.anchor == kind {
                        all.rounds(step, place, *at, &mut made);
                    }
                }
            }
        }
        // Steps counted from others come last: their anchors are known now. Plans hold no circle.
        for &place in &ground.follows {
            for on in all.before(who, place, &made) {
                if let Some(step) = ground.plan.steps(on.year()).get(place)
                    && matches!(step.anchor, Anchor::After(_))
                {
                    all.rounds(step, place, Moment::day(on), &mut made);
                }
            }
        }
    }
    // What is due after it left is asked of nobody; what the keeper ticked stands all the same.
    let ticked = |j: &Job| file.ticks_standing().any(|t| t.step == j.step.key && t.round == j.round);
    let settled = |j: &Job| matches!(j.state, State::Done(_) | State::Skipped { .. });
    let stays = |j: &Job| last.is_none_or(|l| j.due.day <= l || (settled(j) && ticked(j)));
    out.extend(made.into_iter().filter(|j| if open { j.state.is_open() } else { stays(j) }));
}

/// Makes the jobs of one animal as one kind of it.
struct Maker<'a> {
    flock: &'a Flock,
    ground: &'a Ground,
    file: &'a AnimalFile,
    anchors: &'a Anchors,
    /// What has closed is left out.
    open: bool,
}

impl Maker<'_> {
    /// The days from which the step at a place of the plan is counted, if it is counted from others: one for each
    /// course, the first where several of the others were done.
    fn before(&self, who: Whom, place: usize, made: &[Job]) -> Vec<Day> {
        let mut days: Vec<Day> = made
            .iter()
            .filter(|j| j.round == 0)
            .filter_map(|j| match j.state {
                State::Done(Some(on)) => {
                    let step = self.ground.plan.steps(on.year()).get(place)?;
                    let follows = matches!(&step.anchor, Anchor::After(keys) if keys.contains(&j.step.key));
                    (follows && step.whom == who && j.step.whom == who).then_some(on)
                }
                _ => None,
            })
            .collect();
        days.sort_unstable();
        days.dedup_by(|later, first| later.since(*first) <= SAME_DAYS);
        days
    }

    /// The job of a step at one anchor, or all of a step that is done again and again.
    fn rounds(&self, step: &Arc<Step>, place: usize, anchor: Moment, out: &mut Vec<Job>) {
        // A step that is not asked for stays where the keeper ticked it, or did it before he changed the plan.
        let asked = |s: &Step| !s.off && whom::fits(self.flock, self.ground, self.file, s, anchor.day);
        let day = self.ground.day;
        // One that others are counted from is looked at while they may be open.
        // Of a ram lamb decided to be castrated the job counts from the decision.
        let decided = castrate::decided(self.file, step, anchor.day, day);
        let is_past = |close: Day| {
            let close = decided.map_or(close, castrate::close);
            close < day && (close.plus(self.ground.after) < day || !self.ground.followed.contains(&step.key))
        };
        if self.open && ((step.off && decided.is_none()) || is_past(anchor.day.plus(span(step)))) {
            return;
        }
        let is_asked = decided.is_some() || asked(step);
        if self.open && !is_asked {
            return;
        }
        let shipped = self.ground.plan.shipped(place, step);
        let was_asked = is_asked || shipped.is_some_and(|s| asked(s));
        let times = step.times;
        let shift = |span: Span, by: i64| Span::minutes(span.in_minutes() + by);
        let most = step.repeat.map_or(1, |r| r.most);
        // Rounds that a changed plan asks for no more stay where they were ticked.
        let mine = |t: &&Tick| t.step == step.key && t.anchor.since(anchor.day).abs() <= SAME_DAYS;
        let ticked = self.file.ticks_standing().filter(mine).map(|t| t.round.saturating_add(1)).max();
        for round in 0..most.max(ticked.filter(|_| !self.open).unwrap_or_default()) {
            let by = step.repeat.map_or(0, |r| r.every.in_minutes()) * i64::from(round);
            let due = shift(times.due, by).after(anchor);
            let weaned = self.anchors.weaned.is_some_and(|w| due.day >= w);
            let gone = round >= most || (step.repeat.is_some_and(|r| r.until_weaning) && weaned);
            if gone && self.open {
                break;
            }
            let mut close = shift(times.close, by).after(anchor).day;
            if let Some(r) = step.repeat.filter(|_| round + 1 < most) {
                // One record must not complete two rounds.
                close = close.min(r.every.after(Moment::day(due.day)).day.plus(-1)).max(due.day);
            }
            if self.open && is_past(close) {
                continue;
            }
            let late = times.late.map(|l| shift(l, by).after(anchor)).or_else(|| {
                let what = step.law?;
                Some(Moment::day(anchor.day.plus(self.ground.rules.as_deref()?.ring(what)?.last_day)))
            });
            let mut job = Job {
                animal: self.file.animal.id,
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
            if let Some(on) = decided {
                let rules = self.ground.rules.as_deref();
                job.step = castrate::step(step, rules, anchor.day, day);
                (job.earliest, job.due) = (job.earliest.max(Moment::day(on)), Moment::day(on));
                job.earliest = job.earliest.min(job.due);
                job.late = Some(Moment::day(castrate::late(rules, anchor.day, on)));
                job.close = castrate::close(on);
            }
            let ticked = settle(self.flock, self.ground, self.file, shipped, decided, &mut job);
            // As it was shipped it was no round that weaning ends.
            let lost = gone && (round > 0 || shipped.is_none());
            let kept = !job.state.is_open() && job.state != State::Missed && (ticked || (was_asked && !lost));
            if kept || (is_asked && !gone) {
                out.push(job);
            }
        }
    }
}

/// Ticks are told from those of another year's job by the day they were counted from.
const SAME_DAYS: i64 = 100;

/// Finds how a job stands; true where the keeper ticked it.
fn settle(
    flock: &Flock,
    ground: &Ground,
    file: &AnimalFile,
    shipped: Option<&Arc<Step>>,
    decided: Option<Day>,
    job: &mut Job,
) -> bool {
    let day = ground.day;
    let mine = |t: &&Tick| {
        t.step == job.step.key && t.round == job.round && t.anchor.since(job.anchor.day).abs() <= SAME_DAYS
    };
    // The last word of the keeper counts; what was left out before it was decided is asked for again.
    let newer = |t: &&Tick| t.outcome == Outcome::Done || decided.is_none_or(|d| t.at.day >= d);
    let tick = file.ticks_standing().filter(mine).filter(newer).max_by_key(|t| (t.at, t.id));
    let note = |t: &Tick| t.note.clone().unwrap_or_default();
    if let Some(on) = done::by_record(flock, file, shipped, job) {
        job.state = State::Done(on);
        return tick.is_some();
    }
    match tick.map(|t| (t.outcome, t)) {
        Some((Outcome::Done, t)) => {
            job.state = State::Done(Some(t.at.day));
            return true;
        }
        Some((Outcome::Skipped, t)) => {
            job.state = State::Skipped { on: t.at.day, reason: note(t).to_string() };
            return true;
        }
        Some((Outcome::PutOff(until), t)) => {
            job.put_off = Some(Box::new((until, note(t).to_string())));
            job.close = job.close.max(until.plus(GRACE));
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
    tick.is_some()
}
