//! The rounds of the evening: the same job for several animals of a pen, by when it is to be done.

use super::super::Ctx;
use super::super::list::{By, List, Row};
use crate::look::Kind;
use crate::parts::record_table::{Cell, Column};
use hirsel_core::phrase;
use hirsel_core::plan::{DoneBy, Step};
use hirsel_core::reckon::due::{Job, State};
use hirsel_core::terms::{Day, counted};
use serde::{Deserialize, Serialize};
use std::hash::{Hash as _, Hasher as _};
use std::sync::Arc;

/// When rounds are to be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
pub enum When {
    /// Today or long since.
    #[default]
    Now,
    /// Tomorrow.
    Tomorrow,
    /// Within a week.
    Week,
}

impl When {
    pub(super) const ALL: [Self; 3] = [Self::Now, Self::Tomorrow, Self::Week];
    /// Days ahead that are looked at.
    pub(super) const DAYS: i64 = 7;

    fn of(job: &Job, today: Day) -> Self {
        Self::of_day(job.day(), today)
    }

    /// The part of the list in which a day lies.
    pub(super) fn of_day(day: Day, today: Day) -> Self {
        match day.since(today) {
            ..=0 => Self::Now,
            1 => Self::Tomorrow,
            _ => Self::Week,
        }
    }

    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Now => "now",
            Self::Tomorrow => "tomorrow",
            Self::Week => "this week",
        }
    }
}

/// One job for some animals of a pen.
#[derive(Debug, Clone)]
pub(super) struct Round {
    pub key: u64,
    pub when: When,
    pub pen: String,
    pub step: Arc<Step>,
    pub jobs: Vec<Job>,
}

impl Round {
    /// How many are past their last day.
    pub(super) fn overdue(&self) -> usize {
        self.jobs.iter().filter(|j| j.state == State::Overdue).count()
    }

    /// Its pen in words.
    pub(super) fn place(&self) -> String {
        if self.pen.is_empty() { phrase!("no pen") } else { self.pen.clone() }
    }

    /// How many animals: jobs of one step count each animal once.
    pub(super) fn animals(&self) -> usize {
        let mut all: Vec<_> = self.jobs.iter().map(|j| j.animal).collect();
        all.dedup();
        all.len()
    }

    /// `Eyelids: 2 animals in Pen 3`.
    pub(super) fn words(&self) -> String {
        phrase!("{}: {} in {}", self.step.short_said(), counted(self.animals(), "animal"), self.place())
    }

    /// `'Eyelids' for 2 animals in Pen 3`.
    pub(super) fn for_whom(&self) -> String {
        phrase!("'{}' for {} in {}", self.step.short_said(), counted(self.animals(), "animal"), self.place())
    }
}

/// Every round of the coming days, pen by pen in barn order, then in the order of the plan.
pub(super) fn rounds(ctx: &Ctx<'_>) -> Vec<Round> {
    let Some(board) = ctx.board else { return Vec::new() };
    let mut all: Vec<Round> = Vec::new();
    for job in board.within(ctx.flock, When::DAYS) {
        // Waiting for a lambing is no job to tick: due ewes stand beside.
        if job.step.done_by == DoneBy::Lambing {
            continue;
        }
        let pen = ctx.flock.animal(job.animal).and_then(|a| a.pen.clone()).unwrap_or_default();
        let when = When::of(job, ctx.today);
        let mut hash = std::hash::DefaultHasher::new();
        (when, &pen, &job.step.key, &job.step.short).hash(&mut hash);
        let key = hash.finish();
        match all.iter_mut().rev().take(6).find(|r| r.key == key) {
            Some(round) => round.jobs.push(job.clone()),
            None => all.push(Round {
                key,
                when,
                pen: pen.to_string(),
                step: Arc::clone(&job.step),
                jobs: vec![job.clone()],
            }),
        }
    }
    all
}

/// Heads of the table taken out.
pub(super) const HEADS: [&str; 6] = ["pen", "job", "animals", "when", "why", "tags"];

pub(super) fn columns() -> [Column; 5] {
    [
        Column::new("Pen", 96.0),
        Column::new("Job", 126.0),
        Column::new("For", 130.0),
        Column::new("When", 116.0),
        Column::new("Why", 120.0).rest(),
    ]
}

/// The rounds of one part that fit the search.
pub(super) fn list(ctx: &Ctx<'_>, rounds: &[Round], when: When, search: &str) -> List<u64> {
    let mut list = List::default();
    let shown = rounds.iter().filter(|r| r.when == when);
    list.set(
        shown
            .filter(|r| {
                let tags = r.jobs.iter().map(|j| ctx.flock.tag(j.animal));
                super::super::list::fits(
                    search,
                    [r.pen.as_str(), r.step.short.as_str()].into_iter().chain(tags),
                )
            })
            .map(|r| row(ctx, r))
            .collect(),
    );
    list
}

fn row(ctx: &Ctx<'_>, r: &Round) -> Row<u64> {
    let mut tags: Vec<&str> = r.jobs.iter().map(|j| ctx.flock.tag(j.animal)).collect();
    tags.dedup();
    let whom = match tags.as_slice() {
        [a] => (*a).to_string(),
        [a, b] => format!("{a}, {b}"),
        [a, ..] => phrase!("{a} and {} more", tags.len() - 1),
        [] => String::new(),
    };
    let first = r.jobs.iter().min_by_key(|j| (j.state != State::Overdue, j.late.map(|l| l.day), j.due));
    let why = first.map(|j| j.why(ctx.today)).unwrap_or_default();
    let late = first.and_then(|j| j.late).map(|l| l.day);
    let overdue = r.overdue();
    let (cell, said) = if overdue > 0 {
        let days = late.map_or(0, |l| ctx.today.since(l));
        let since = usize::try_from(days).unwrap_or_default();
        let said = phrase!("{} late", counted(since.max(1), "day"));
        (Cell::chip(Kind::Refuse, said.clone()), said)
    } else {
        let said = match late {
            _ if r.when != When::Now => first.map(|j| j.day().short()).unwrap_or_default(),
            Some(l) if l <= ctx.today => phrase!("today"),
            Some(l) => phrase!("by {}", l.short()),
            None => phrase!("when you can"),
        };
        (Cell::text(said.clone()), said)
    };
    let by = late.map_or(i64::MAX - 1, |l| l.since(ctx.today));
    Row::new(r.key)
        .tag(r.place())
        .text(r.step.short_said().into_owned())
        .cell(
            Cell::text(whom.clone()),
            By::Number(i64::try_from(tags.len()).unwrap_or_default()),
            tags.len().to_string(),
        )
        .cell(cell, By::Number(by), said.clone())
        .text(why.clone())
        .hidden(tags.join(" "))
        .said(format!("{}, {}, {whom}, {said}, {why}", r.place(), r.step.short_said()))
}
