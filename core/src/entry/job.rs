//! Jobs of the care plan: ticked, skipped or put off; the plan changed; rams taken out.

use super::lambing::not_here;
use super::standing::{before_birth, names};
use super::{Check, Entry, Faults, Field, Refused, Unusual, words};
use crate::flock::{Flock, Joining, Outcome, Tick};
use crate::plan::{self, Anchor, DoneBy, PlanStep, Step};
use crate::reckon::due::Job;
use crate::terms::{AnimalId, Day, JoiningId, Misread, Moment, PlanStepId, Sex, TickId};

/// Which job of which animal.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct JobRef {
    /// The animal.
    pub animal: AnimalId,
    /// Key of the step.
    pub step: String,
    /// The day its times are counted from.
    pub anchor: Day,
    /// Which time, of a step done again and again.
    pub round: u16,
}

impl From<&Job> for JobRef {
    fn from(j: &Job) -> Self {
        Self { animal: j.animal, step: j.step.key.clone(), anchor: j.anchor.day, round: j.round }
    }
}

/// What became of some jobs, all in the same way.
#[derive(Debug, Clone, PartialEq)]
pub struct TickDraft {
    /// The jobs.
    pub jobs: Vec<JobRef>,
    /// What became of them.
    pub outcome: Outcome,
    /// When.
    pub at: Moment,
    /// What was seen; why it was skipped or put off.
    pub note: Option<String>,
}

/// Checks ticks; rows of faults count the jobs. A ram castrated becomes a wether.
///
/// # Errors
/// Every refusal with its row.
pub fn ticks(draft: TickDraft, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    let on = draft.at.day;
    faults.not_ahead(Field::of("on"), on, today);
    if draft.jobs.is_empty() {
        faults.refuse(Field::of("job"), Refused::Missing("a job"));
    }
    let note = words(&draft.note);
    match draft.outcome {
        Outcome::Done => {}
        Outcome::Skipped if note.is_none() => {
            faults.refuse(Field::of("note"), Refused::Missing("a word why it is left out"));
        }
        Outcome::PutOff(until) if until <= on => {
            faults.refuse(Field::of("until"), Refused::EndsBeforeStart { from: on, to: until });
        }
        Outcome::Skipped | Outcome::PutOff(_) => {}
    }
    let mut castrated = Vec::new();
    let mut shorts: Vec<&str> = Vec::new();
    for (row, job) in draft.jobs.iter().enumerate() {
        let Some(file) = flock.file(job.animal) else {
            faults.refuse(Field::row("tag", row), Refused::Gone);
            continue;
        };
        let a = &file.animal;
        before_birth(&mut faults, Field::row("on", row), a, on);
        not_here(&mut faults, Field::row("tag", row), a, on);
        let Some(step) = step_of(flock, job) else {
            let why = Misread::new(format!("there is no job '{}' in the plan", job.step));
            faults.refuse(Field::row("job", row), why.into());
            continue;
        };
        if !shorts.contains(&step.short.as_str()) {
            shorts.push(&step.short);
        }
        if draft.outcome != Outcome::Done {
            continue;
        }
        let earliest = step.times.earliest.after(Moment::day(job.anchor)).day;
        if on < earliest && job.round == 0 {
            let what = Unusual::TooSoon { tag: a.tag().into(), job: step.short.clone(), earliest };
            faults.question(Field::row("on", row), what);
        }
        let ring = step.law.and_then(|what| flock.rules()?.ring(what));
        if let Some(last) = ring.map(|r| job.anchor.plus(r.last_day)).filter(|last| on > *last) {
            let what = Unusual::AfterRings { tag: a.tag().into(), last };
            faults.question(Field::row("on", row), what);
        }
        if step.done_by == DoneBy::Castrated && a.sex == Sex::Ram {
            castrated.push(a.id);
        }
    }
    faults.or(|| {
        let animals: Vec<AnimalId> = draft.jobs.iter().map(|j| j.animal).collect();
        let did = match draft.outcome {
            Outcome::Done => "done".to_string(),
            Outcome::Skipped => "left out".into(),
            Outcome::PutOff(until) => format!("put off to {}", until.short()),
        };
        let what = match shorts.as_slice() {
            [one] => (*one).to_string(),
            many => format!("{} jobs", many.len()),
        };
        let mut once = animals.clone();
        once.sort_unstable();
        once.dedup();
        let who = if once.len() == animals.len() { names(flock, &animals) } else { names(flock, &once) };
        let all = draft
            .jobs
            .into_iter()
            .map(|j| Tick {
                id: TickId::new(),
                animal: j.animal,
                step: j.step.into(),
                anchor: j.anchor,
                round: j.round,
                outcome: draft.outcome,
                at: draft.at,
                note: note.clone(),
                struck: None,
            })
            .collect();
        (Entry::Ticks { ticks: all, castrated }, format!("{what} {did}: {who}"))
    })
}

fn step_of<'a>(flock: &'a Flock, job: &JobRef) -> Option<&'a Step> {
    let plan = flock.plan();
    plan.step(job.anchor.year(), &job.step).or_else(|| plan.all().find(|s| s.key == job.step)).map(|s| &**s)
}

/// Checks a step as the keeper wants it, for every year or for one. Jobs already done stay done.
///
/// # Errors
/// A step that does not fit the plan.
pub fn plan_step(season: Option<i32>, step: Step, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    for (field, e) in plan::faults(flock.plan(), &step) {
        faults.refuse(Field::of(field), e.into());
    }
    if let Some(year) = season.filter(|y| !(1900..=2200).contains(y)) {
        let e = Misread::new(format!("{year} is no year a plan can be for"));
        faults.refuse(Field::of("season"), e.into());
    }
    let old = flock.plan().change(season, &step.key);
    let stands = flock.plan().standing(season, &step.key);
    if old.map(|o| &o.step).or(stands.map(|s| &**s)) == Some(&step) {
        faults.refuse(Field::of("step"), Refused::NothingChanged);
    }
    faults.or(|| {
        let known = flock.plan().all().any(|s| s.key == step.key);
        let did = match (known, step.off) {
            (_, true) => "left out",
            (true, false) => "changed",
            (false, false) => "added",
        };
        let year = season.map(|y| format!(" for {y}")).unwrap_or_default();
        let sentence = format!("Care plan{year}: '{}' {did}", step.short);
        let id = old.map_or_else(PlanStepId::new, |o| o.id);
        (Entry::Plan { put: vec![PlanStep { id, season, step }], drop: Vec::new() }, sentence)
    })
}

/// Checks that a step goes back to what is shipped, or that one of the keeper's own goes.
///
/// # Errors
/// Nothing was changed of it; another step is counted from one of the keeper's own that goes.
pub fn plan_as_shipped(season: Option<i32>, key: &str, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    let plan = flock.plan();
    let old = plan.change(season, key);
    if old.is_none() {
        faults.refuse(Field::of("step"), Refused::NothingChanged);
    }
    let shipped = plan::shipped_steps().iter().any(|s| s.key == key);
    let other = plan.changes().iter().any(|c| c.season != season && c.step.key == key);
    let follows = |s: &Step| matches!(&s.anchor, Anchor::After(keys) if keys.iter().any(|k| k == key));
    if let Some(next) = plan.all().find(|s| !shipped && !other && follows(s)) {
        let why = format!("'{}' is counted from it: change that step first", next.short);
        faults.refuse(Field::of("step"), Misread::new(why).into());
    }
    faults.or(|| {
        let short = old.map(|o| o.step.short.clone()).unwrap_or_default();
        let drop = old.map(|o| o.id).into_iter().collect();
        let year = season.map(|y| format!(" for {y}")).unwrap_or_default();
        let did = match (season, shipped, other) {
            (None, true, _) => "as it was shipped",
            (Some(_), _, _) if shipped || plan.change(None, key).is_some() => "as in every year",
            _ => "taken out",
        };
        (Entry::Plan { put: Vec::new(), drop }, format!("Care plan{year}: '{short}' {did}"))
    })
}

/// Ewes whose ram was taken out: the last day of their joinings.
#[derive(Debug, Clone, PartialEq)]
pub struct PartDraft {
    /// The joinings that end.
    pub joinings: Vec<(AnimalId, JoiningId)>,
    /// Their last day.
    pub on: Day,
}

/// Checks the end of joinings; rows of faults count them.
///
/// # Errors
/// A joining that is not there, has ended, or began later.
pub fn part(draft: PartDraft, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    faults.not_ahead(Field::of("on"), draft.on, today);
    if draft.joinings.is_empty() {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    let mut all: Vec<Joining> = Vec::new();
    for (row, (ewe, id)) in draft.joinings.iter().enumerate() {
        let found =
            flock.file(*ewe).and_then(|f| f.joinings.iter().find(|j| j.id == *id && j.struck.is_none()));
        let Some(j) = found else {
            faults.refuse(Field::row("tag", row), Refused::Gone);
            continue;
        };
        if draft.on < j.from {
            let why = Refused::EndsBeforeStart { from: j.from, to: draft.on };
            faults.refuse(Field::row("on", row), why);
        }
        all.push(Joining { to: Some(draft.on), ..j.clone() });
    }
    faults.or(|| {
        let ewes: Vec<AnimalId> = draft.joinings.iter().map(|(e, _)| *e).collect();
        (Entry::Parted(all), format!("Ram taken from {}", names(flock, &ewes)))
    })
}
