//! The sheet as the page shows it: the day's jobs, or those of a sheet that went on paper and keeps its numbers.

use super::super::Ctx;
use hirsel_core::phrase;
use hirsel_core::plan::Step;
use hirsel_core::reckon::clearance::clearance;
use hirsel_core::reckon::due::{self, PenSheet, Sheet, State as JobState};
use hirsel_core::terms::{AnimalId, Day};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::sync::Arc;

/// One job of one animal, in words that can be kept with a draft.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub(super) struct Mark {
    /// Key of the step.
    pub step: String,
    /// The day its times are counted from.
    pub anchor: String,
    /// Which time.
    pub round: u16,
}

impl Mark {
    pub(super) fn of(job: &due::Job) -> Self {
        Self { step: job.step.key.clone(), anchor: job.anchor.day.to_string(), round: job.round }
    }
}

/// A sheet that went on paper, or is being typed back: its rows stay as they are until it is done with.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Kept {
    /// The day it is for.
    pub day: String,
    /// Something of it was written.
    pub written: bool,
    pens: Vec<KeptPen>,
}

#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
struct KeptPen {
    pen: Option<String>,
    rows: Vec<(usize, AnimalId, Vec<Mark>)>,
}

impl Kept {
    pub(super) fn of(sheet: &Sheet, day: Day) -> Self {
        let row = |r: &due::Row| (r.no, r.animal, r.jobs.iter().map(Mark::of).collect());
        let pen = |p: &PenSheet| KeptPen { pen: p.pen.clone(), rows: p.rows.iter().map(row).collect() };
        Self { day: day.to_string(), written: false, pens: sheet.pens.iter().map(pen).collect() }
    }
}

/// One job in its row.
#[derive(Debug, Clone)]
pub(super) struct Job {
    pub mark: Mark,
    pub step: Arc<Step>,
    /// The job as it stands on the day; none once it is done or can no longer be.
    pub open: Option<due::Job>,
    /// What became of it, in a word, once it is not open.
    pub became: &'static str,
}

impl Job {
    /// `Tail docked, overdue`.
    pub(super) fn words(&self) -> String {
        let short = &self.step.short;
        match &self.open {
            Some(j) if j.state == JobState::Overdue => phrase!("{short}, overdue"),
            Some(_) => short.clone(),
            None => format!("{short}: {}", self.became),
        }
    }
}

/// One animal.
#[derive(Debug, Clone)]
pub(super) struct Row {
    pub no: usize,
    pub animal: AnimalId,
    pub tag: String,
    /// `ewe lamb, 3 days`.
    pub what: String,
    /// Under withdrawal.
    pub held: String,
    pub jobs: Vec<Job>,
}

/// One pen.
#[derive(Debug, Clone)]
pub(super) struct Pen {
    pub title: String,
    pub name: String,
    pub rows: Vec<Row>,
    /// Steps that several animals of the pen have: key and words.
    pub rounds: Vec<(String, String)>,
    /// Ewes about to lamb, in a sentence; may be empty.
    pub due: String,
}

/// What a made sheet hangs on.
type Key = (u64, u64, Day, Option<u64>);

/// The sheet, made once for a flock, a day and what is kept.
#[derive(Debug, Default)]
pub(super) struct Shown {
    made_for: Option<Key>,
    /// Grows each time it is made.
    pub version: u64,
    pub sheet: Arc<Sheet>,
    pub pens: Vec<Pen>,
    /// Pen and row of each animal.
    places: HashMap<AnimalId, (usize, usize)>,
}

impl Shown {
    /// Makes it anew where anything it hangs on has changed; tells whether there is one.
    pub(super) fn keep_up(
        &mut self,
        ctx: &Ctx<'_>,
        day: Day,
        kept: Option<&Kept>,
        kept_version: u64,
    ) -> bool {
        let Some(board) = ctx.board else { return self.made_for.is_some() };
        let kept = kept.filter(|k| k.day == day.to_string());
        let key = (ctx.flock.version(), board.version(), day, kept.map(|_| kept_version));
        if self.made_for == Some(key) {
            return true;
        }
        self.made_for = Some(key);
        self.version += 1;
        let live = due::sheet(ctx.flock, board, day);
        match kept {
            None => {
                self.pens = live.pens.iter().map(|p| pen(ctx, p, day)).collect();
                self.sheet = Arc::new(live);
            }
            Some(kept) => self.take_kept(ctx, board, day, kept, &live),
        }
        let rows = |(p, pen): (usize, &Pen)| -> Vec<(AnimalId, (usize, usize))> {
            pen.rows.iter().enumerate().map(|(r, row)| (row.animal, (p, r))).collect()
        };
        self.places = self.pens.iter().enumerate().flat_map(rows).collect();
        true
    }

    fn take_kept(&mut self, ctx: &Ctx<'_>, board: &due::Board, day: Day, kept: &Kept, live: &Sheet) {
        let mut pens = Vec::new();
        let mut ground: Option<due::Ground> = None; // looked up only if something is done
        let mut sheet = Sheet::default();
        for k in &kept.pens {
            let now = live.pens.iter().find(|p| p.pen == k.pen);
            let mut of = PenSheet {
                pen: k.pen.clone(),
                animals: now.map_or(0, |p| p.animals),
                rows: Vec::new(),
                due_ewes: now.map(|p| p.due_ewes.clone()).unwrap_or_default(),
                rounds: Vec::new(),
            };
            let mut rows = Vec::new();
            for (no, animal, marks) in &k.rows {
                let open = due::jobs_on(board, *animal, day);
                let find = |m: &Mark| open.iter().find(|j| Mark::of(j) == *m).cloned();
                let mut jobs: Vec<Job> = marks
                    .iter()
                    .filter_map(|m| {
                        let open = find(m);
                        let step = match &open {
                            Some(j) => Arc::clone(&j.step),
                            None => Arc::clone(ctx.flock.plan().all().find(|s| s.key == m.step)?),
                        };
                        Some(Job { mark: m.clone(), step, open, became: "no longer open" })
                    })
                    .collect();
                if jobs.iter().any(|j| j.open.is_none()) {
                    let ground = ground.get_or_insert_with(|| due::Ground::of(ctx.flock, ctx.today));
                    let life = ground.all_of(ctx.flock, *animal);
                    for job in jobs.iter_mut().filter(|j| j.open.is_none()) {
                        let now = life.iter().find(|j| Mark::of(j) == job.mark);
                        match now.map(|j| &j.state) {
                            // Typed back after its last day: on the day of the sheet it could still be done.
                            Some(JobState::Missed) => {
                                let mut late = now.cloned();
                                if let Some(late) = &mut late {
                                    late.state = JobState::Overdue;
                                }
                                job.open = late;
                            }
                            Some(state) if !state.is_open() => job.became = state.words(),
                            _ => {}
                        }
                    }
                }
                let still: Vec<due::Job> = jobs.iter().filter_map(|j| j.open.clone()).collect();
                if !still.is_empty() {
                    of.rows.push(due::Row { no: *no, animal: *animal, jobs: still });
                }
                rows.extend(row(ctx, *no, *animal, jobs, day));
            }
            of.rounds = due::rounds_of(ctx.flock, &of.rows, day);
            pens.push(Pen { rows, ..pen(ctx, &of, day) });
            if !of.rows.is_empty() || !of.due_ewes.is_empty() {
                sheet.pens.push(of);
            }
        }
        self.pens = pens;
        self.sheet = Arc::new(sheet);
    }

    /// The day it is made for.
    pub(super) fn day(&self) -> Option<Day> {
        self.made_for.as_ref().map(|(_, _, day, _)| *day)
    }

    /// Where the row of an animal stands.
    pub(super) fn place(&self, animal: AnimalId) -> Option<(usize, usize)> {
        self.places.get(&animal).copied()
    }

    /// The row at a place.
    pub(super) fn row(&self, (p, r): (usize, usize)) -> Option<&Row> {
        self.pens.get(p)?.rows.get(r)
    }

    /// Every row with its pen.
    pub(super) fn rows(&self) -> impl Iterator<Item = (&Pen, &Row)> {
        self.pens.iter().flat_map(|p| p.rows.iter().map(move |r| (p, r)))
    }
}

fn pen(ctx: &Ctx<'_>, p: &PenSheet, day: Day) -> Pen {
    let jobs = |r: &due::Row| -> Vec<Job> {
        let job = |j: &due::Job| Job {
            mark: Mark::of(j),
            step: Arc::clone(&j.step),
            open: Some(j.clone()),
            became: "",
        };
        r.jobs.iter().map(job).collect()
    };
    let rows = p.rows.iter().filter_map(|r| row(ctx, r.no, r.animal, jobs(r), day)).collect();
    let many = p.rounds.iter().filter(|r| r.animals.len() > 1);
    let ewe = |e: &hirsel_core::reckon::gestation::Expected| {
        let tag = ctx.flock.tag(e.ewe);
        match e.window.late {
            Some(late) if late < day => phrase!("{tag}: past her days since {}", late.short(), tag = &tag),
            Some(late) => phrase!("{tag}: {} to {}", e.window.early.short(), late.short(), tag = &tag),
            None => phrase!("{tag}: from {}", e.window.early.short(), tag = &tag),
        }
    };
    let due: Vec<String> = p.due_ewes.iter().map(ewe).collect();
    Pen {
        title: p.title(),
        name: p.name(),
        rows,
        rounds: many
            .map(|r| (r.step.key.clone(), format!("{} · {}", r.step.short, r.animals.len())))
            .collect(),
        due: if due.is_empty() { String::new() } else { phrase!("Due to lamb: {}", due.join("; ")) },
    }
}

/// The row of an animal; none once the book does not know it any more.
fn row(ctx: &Ctx<'_>, no: usize, animal: AnimalId, jobs: Vec<Job>, day: Day) -> Option<Row> {
    let file = ctx.flock.file(animal)?;
    let held = clearance(file, day);
    Some(Row {
        no,
        animal,
        tag: file.animal.tag().to_string(),
        what: due::kind_and_age(&file.animal, day),
        held: if held.waits(day) { held.held_words(day) } else { String::new() },
        jobs,
    })
}
