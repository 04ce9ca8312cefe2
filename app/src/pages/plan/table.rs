//! The steps of one part as rows, made once for a version of the flock and a search.

use super::super::Ctx;
use super::super::list::{By, List, Row, fits};
use super::TableState;
use crate::look::Kind;
use crate::parts::record_table::{Cell, Column};
use hirsel_core::phrase;
use hirsel_core::plan::{Plan, Step, Whom};
use std::sync::Arc;

/// The table and what it was made for.
#[derive(Debug, Default)]
pub(super) struct Steps {
    made_for: Option<(u64, Whom, String, i32)>,
    pub(super) list: List<usize>,
    pub(super) table: TableState<usize>,
    /// Keys seen so far: a row is known by its place in here, whatever is listed.
    keys: Vec<String>,
}

/// Heads of the table as it is taken out.
pub(super) const HEADS: [&str; 11] = [
    "what",
    "counted_from",
    "earliest",
    "due",
    "late_after",
    "for_whom",
    "completed_by",
    "how_it_stands",
    "job",
    "last",
    "source",
];

pub(super) fn columns() -> [Column; 8] {
    [
        Column::new("What", 130.0).rest(),
        Column::new("Counted from", 80.0).rest(),
        Column::new("Earliest", 94.0),
        Column::new("Due", 94.0),
        Column::new("Late after", 94.0),
        Column::new("For whom", 88.0).rest(),
        Column::new("Completed by", 88.0).rest(),
        Column::new("How it stands", 110.0).rest(),
    ]
}

impl Steps {
    /// Makes the rows anew if the flock, the part or the search changed.
    pub(super) fn refresh(&mut self, ctx: &Ctx<'_>, whom: Whom, search: &str) {
        let wanted = (ctx.flock.version(), whom, search.to_string(), ctx.today.year());
        if self.made_for.as_ref() == Some(&wanted) {
            return;
        }
        let plan = ctx.flock.plan();
        let mut rows = Vec::new();
        for step in listed(plan, whom, ctx.today.year()) {
            let key = match self.keys.iter().position(|k| *k == step.key) {
                Some(at) => at,
                None => {
                    self.keys.push(step.key.clone());
                    self.keys.len() - 1
                }
            };
            let row = row(plan, &step, key);
            let texts = row.plain.iter().map(String::as_str).chain(step.caution.as_deref());
            if fits(search, texts) {
                rows.push(row);
            }
        }
        self.list.set(rows);
        self.made_for = Some(wanted);
    }

    /// The key of the step under the cursor.
    pub(super) fn in_hand(&self) -> Option<String> {
        self.table.cursor().and_then(|at| self.keys.get(at)).cloned()
    }

    /// Puts the cursor on the step in hand, or on the first of the part where that is none of it.
    pub(super) fn keep_cursor(&mut self, chosen: &mut String) {
        let place = |key: &str, keys: &[String]| keys.iter().position(|k| k == key);
        let listed = |at: &usize| self.list.rows.iter().any(|r| r.key == *at);
        let at = place(chosen, &self.keys).filter(listed);
        let Some(at) =
            at.or_else(|| self.table.order(&self.list).first().map(|i| self.list.rows[*i as usize].key))
        else {
            return;
        };
        if self.table.cursor() != Some(at) {
            self.table.set_cursor(at);
        }
        if let Some(key) = self.keys.get(at) {
            chosen.clone_from(key);
        }
    }
}

/// Every step of a kind of animal as it stands in a year, and those of other years alone after them.
fn listed(plan: &Plan, whom: Whom, year: i32) -> Vec<Arc<Step>> {
    let mut all: Vec<Arc<Step>> = plan.steps(year).iter().filter(|s| s.whom == whom).cloned().collect();
    for step in plan.all().filter(|s| s.whom == whom) {
        if !all.iter().any(|s| s.key == step.key) {
            all.push(Arc::clone(step));
        }
    }
    all
}

fn row(plan: &Plan, s: &Step, key: usize) -> Row<usize> {
    let stands = plan.stands(&s.key);
    let shipped = stands == "as shipped";
    let out = stands.starts_with("left out") || stands.starts_with("own, left out");
    let mark = match (shipped, out) {
        (true, _) => Cell::text(stands.clone()).faint(),
        (false, true) => Cell::text(stands.clone()),
        (false, false) => Cell::chip(Kind::Accent, stands.clone()),
    };
    let what = if s.off {
        Cell::text(s.short_said().into_owned()).faint()
    } else {
        Cell::text(s.short_said().into_owned()).strong()
    };
    let late = match (s.times.late, s.law) {
        (Some(t), _) => t.short(),
        (None, Some(_)) => phrase!("by law"),
        (None, None) => String::new(),
    };
    let mut done = s.done_by.words();
    if let Some(product) = &s.product {
        done = phrase!("{done}, or {product}");
    }
    Row::new(key)
        .cell(what, By::Text(s.short_said().into_owned()), s.short_said().into_owned())
        .text(plan.counted_from(s))
        .number(s.times.earliest.short(), Some(s.times.earliest.in_minutes()))
        .number(s.times.due.short(), Some(s.times.due.in_minutes()))
        .number(late, s.times.late.map(|t| t.in_minutes()))
        .text(s.when.words(s.whom))
        .text(done)
        .cell(mark, By::Text(stands.clone()), stands.clone())
        .hidden(s.job_said().into_owned())
        .hidden(s.times.close.short())
        .hidden(s.ground.to_string())
        .said(phrase!(
            "{}, counted from {}, due {}, {stands}",
            s.short_said(),
            plan.counted_from(s),
            s.times.due.words()
        ))
}
