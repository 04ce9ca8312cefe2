//! Creeps to fill, steps of their feed, looks at pens that are due, faults: a line each, written done with Enter.

use super::super::feed::creep::write;
use super::super::list::{List, Row, height, into_table};
use super::super::{Ctx, Intent, Then};
use super::rounds::When;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Column, RecordTable, TableEvent, TableState};
use hirsel_core::entry::Checked;
use hirsel_core::flock::{Link, RecordRef};
use hirsel_core::phrase;
use hirsel_core::reckon::creep::{Check, PenCreep, Verdict, board};
use hirsel_core::terms::{CheckKind, CreepId, Day, counted};
use std::hash::{Hash as _, Hasher as _};

/// What is to be done.
#[derive(Debug, Clone)]
enum What {
    /// Fill the creep.
    Fill(Box<PenCreep>),
    /// Look at these.
    Look(Vec<CheckKind>),
    /// Mend this.
    Mend(CheckKind),
    /// Change the feed.
    Step(CreepId),
}

#[derive(Debug)]
struct Line {
    key: u64,
    when: When,
    pen: String,
    what: What,
    words: String,
    why: String,
}

/// The lines, made once for a version of the flock and a day.
#[derive(Debug, Default)]
pub(super) struct Creeps {
    lines: Vec<Line>,
    listed: Option<When>,
    list: List<u64>,
    table: TableState<u64>,
    /// Something was written from here: the keyboard comes back.
    wrote: bool,
    back: bool,
}

const TABLE: &str = "Creeps, lamps and gates";

impl Creeps {
    /// Makes the lines anew.
    pub(super) fn make(&mut self, ctx: &Ctx<'_>) {
        self.lines.clear();
        self.listed = None;
        let room = ctx.flock.feedroom();
        // Most of the year there is nothing to look up.
        if room.creeps.is_empty() && room.checks.is_empty() {
            return;
        }
        let of_day = board(ctx.flock, ctx.today);
        for c in &of_day.creeps {
            self.creep(ctx.today, c);
            self.looks(&c.pen, &c.checks);
        }
        for w in &of_day.without {
            self.looks(&w.pen, &w.checks);
        }
        self.lines.sort_by_key(|l| matches!(l.what, What::Look(_)));
    }

    fn add(&mut self, when: When, pen: &str, what: What, words: String, why: String) {
        let mut hash = std::hash::DefaultHasher::new();
        (pen, &words).hash(&mut hash);
        self.lines.push(Line { key: hash.finish(), when, pen: pen.into(), what, words, why });
    }

    fn creep(&mut self, today: Day, c: &PenCreep) {
        if !c.trough.filled_today && !c.lambs.eat.is_empty() {
            let why = c.lasts_words(today).unwrap_or_else(|| c.filled_words(today));
            self.add(When::Now, &c.pen, What::Fill(Box::new(c.clone())), phrase!("fill the creep"), why);
        }
        let mean = c.steps.mean;
        let wrong = matches!(c.steps.verdict, Verdict::TooLow | Verdict::Higher | Verdict::LowForYoungest);
        if let Some(m) = mean.filter(|_| wrong) {
            let why = phrase!("{}: {}", c.steps.verdict.words(), m.now_words());
            self.add(When::Now, &c.pen, What::Step(c.creep), phrase!("change the creep's feed"), why);
        } else if let Some((p, _, on)) = mean.and_then(|m| m.next).filter(|n| n.2.since(today) <= When::DAYS)
        {
            let words = phrase!("creep down to {p} %");
            let why = phrase!("on {} for the mean lamb", on.short());
            self.add(When::of_day(on, today), &c.pen, What::Step(c.creep), words, why);
        }
    }

    fn looks(&mut self, pen: &str, checks: &[Check]) {
        for c in checks {
            if let Some(f) = &c.fault {
                let words = phrase!("mend the {}", c.what.words());
                let why = phrase!("{}, since {}", f.words, f.since.short());
                self.add(When::Now, pen, What::Mend(c.what), words, why);
            }
        }
        let due = write::to_look_at(checks);
        if !due.is_empty() {
            let names: Vec<&str> = due.iter().map(|w| w.words()).collect();
            let words = phrase!("look at {}", names.join(", "));
            self.add(When::Now, pen, What::Look(due), words, phrase!("not looked at today"));
        }
    }

    /// Lines of one part of the list.
    pub(super) fn count(&self, when: When) -> usize {
        self.lines.iter().filter(|l| l.when == when).count()
    }

    /// The first line of now: `fill the creep in Jug 3`.
    pub(super) fn first(&self) -> Option<String> {
        let first = self.lines.iter().find(|l| l.when == When::Now)?;
        Some(phrase!("{} in {}", first.words, first.pen))
    }

    /// ` · 2 creeps to fill`; nothing where all are filled.
    pub(super) fn to_fill(&self) -> String {
        match self.lines.iter().filter(|l| matches!(l.what, What::Fill(_))).count() {
            0 => String::new(),
            n => phrase!(" · {} to fill", counted(n, "creep")),
        }
    }

    /// Something is written: whether it was from here, and there is more to do here.
    pub(super) fn after(&mut self) -> bool {
        self.back = std::mem::take(&mut self.wrote) && self.lines.len() > 1;
        self.back
    }
}

/// Draws the lines of one part of the list, if there are any. `into` asks for the keyboard where nothing else wants it;
/// tells whether it was taken.
pub(super) fn lines(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut Creeps,
    when: When,
    into: bool,
    out: &mut Vec<Intent>,
) -> bool {
    if state.listed != Some(when) {
        let there = state.lines.iter().filter(|l| l.when == when);
        let row = |l: &Line| {
            let said = format!("{}, {}, {}", l.pen, l.words, l.why);
            Row::new(l.key).tag(l.pen.clone()).text(l.words.clone()).text(l.why.clone()).said(said)
        };
        state.list.set(there.map(row).collect());
        state.listed = Some(when);
    }
    if state.list.rows.is_empty() {
        state.back = false;
        return false;
    }
    ui.horizontal(|ui| {
        look::subheading(ui, format!("{TABLE} ({})", state.list.rows.len()));
        look::faint(ui, "Enter writes a line done");
    });
    let columns = [Column::new("Pen", 110.0), Column::new("What", 230.0), Column::new("Why", 200.0).rest()];
    let mut opened = None;
    let size = egui::vec2(ui.available_width(), height(state.list.rows.len(), 1, 4));
    let taken = into || state.back;
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if std::mem::take(&mut state.back) || into {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(key) = event {
                opened = Some(key);
            }
        }
    });
    ui.add_space(space::M);
    if let Some(key) = opened {
        let chosen = state.table.chosen();
        let keys = if chosen.contains(&key) { chosen } else { vec![key] };
        done(ctx, state, &keys, out);
    }
    taken
}

fn done(ctx: &Ctx<'_>, state: &mut Creeps, keys: &[u64], out: &mut Vec<Intent>) {
    let mut all: Vec<Checked> = Vec::new();
    for l in state.lines.iter().filter(|l| keys.contains(&l.key)) {
        let entry = match &l.what {
            What::Fill(c) => write::fill_up(ctx, c),
            What::Look(what) => write::in_order(ctx, &l.pen, what),
            What::Mend(what) => write::in_order(ctx, &l.pen, &[*what]),
            // Which feed is a question of its own.
            What::Step(creep) => {
                out.push(Intent::Follow(Link::Feedroom(RecordRef::Creep(*creep))));
                return;
            }
        };
        match entry {
            Ok(checked) => all.push(checked),
            Err(words) => return out.push(Intent::Say(Kind::Refuse, words)),
        }
    }
    state.wrote = true;
    state.table.clear_selection();
    let n = all.len();
    match (all.pop(), n) {
        (Some(one), 1) => out.push(Intent::Write { checked: Box::new(one), then: Then::JobsDone }),
        (Some(last), _) => {
            all.push(last);
            let what = phrase!("{} of creeps, lamps and gates done", counted(n, "line"));
            out.push(Intent::WriteAll { what, all, word: String::new(), then: Then::JobsDone });
        }
        _ => {}
    }
}
