//! The pens as a list: the same as the map, row by row.

use super::super::super::list::{By, List, Row, into_table, take_out};
use super::super::super::{Ctx, Intent};
use super::State;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use egui::Ui;
use hirsel_core::flock::PenSort;
use hirsel_core::phrase;
use hirsel_core::reckon::pen_map::Pen;

const TABLE: &str = "Pens";
/// The key of the row for those in no pen.
const LOOSE: u64 = u64::MAX;

/// The rows, made once for a map.
#[derive(Debug, Default)]
pub(super) struct Pens {
    rows: List<u64>,
    table: TableState<u64>,
    made: bool,
}

impl Pens {
    pub(super) fn stale(&mut self) {
        self.made = false;
    }
}

/// Draws the list; tells whether a pen is to be seen on the map.
pub(super) fn view(ui: &mut Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) -> bool {
    if !state.list.made {
        let mut rows: Vec<Row<u64>> = (0u64..).zip(state.shown.iter()).map(|(n, p)| row(ctx, n, p)).collect();
        let loose: usize = state.map.loose.iter().map(|f| f.all().count()).sum();
        if loose > 0 {
            let who: Vec<&str> = state.map.loose.iter().take(8).map(|f| ctx.flock.tag(f.head)).collect();
            let more = if state.map.loose.len() > who.len() { " …" } else { "" };
            let who = format!("{}{more}", who.join(", "));
            let row = Row::new(LOOSE)
                .cell(Cell::text("In no pen").faint(), By::Nothing, "In no pen")
                .text(who.clone())
                .number(loose.to_string(), i64::try_from(loose).ok());
            rows.push(row.text("").text("").text("").said(phrase!("In no pen: {loose}, {who}")));
        }
        state.list.rows.set(rows);
        state.list.made = true;
    }
    look::faint(ui, "Enter shows the pen on the map, where its animals are moved.");
    ui.horizontal_wrapped(|ui| {
        let heads = ["pen", "who", "animals", "since", "due", "place"];
        take_out(ui, "pens", &heads, &state.list.rows, &mut state.list.table, out);
    });
    ui.add_space(space::XS);
    if std::mem::take(&mut state.focus) {
        into_table(ui, TABLE);
    }
    let columns = [
        Column::new("Pen", 120.0),
        Column::new("Who", 150.0).rest(),
        Column::new("Animals", 90.0).right(),
        Column::new("Since", 90.0),
        Column::new("Due", 270.0).rest(),
        Column::new("Place", 120.0),
    ];
    let mut to = None;
    for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.list.table, &state.list.rows)
    {
        if let TableEvent::Opened(key) = event {
            to = usize::try_from(key).ok().filter(|i| *i < state.shown.len());
        }
    }
    if let Some(i) = to {
        state.take(i);
        state.side.into = !state.shown.get(i).is_none_or(Pen::is_empty);
        state.focus = !state.side.into;
    }
    to.is_some()
}

fn row(ctx: &Ctx<'_>, key: u64, p: &Pen) -> Row<u64> {
    let n = p.heads.all();
    let due = p.due_words();
    let kind = if p.overdue > 0 { Kind::Refuse } else { Kind::Caution };
    let cell = if due.is_empty() { Cell::empty() } else { Cell::chip(kind, due.clone()) };
    let place = match (p.sort, p.laid) {
        (PenSort::Outside, _) => "outside",
        (_, true) => "in the shed",
        (_, false) => "not laid out",
    };
    Row::new(key)
        .tag(&p.name)
        .text(p.who(ctx.flock))
        .number(if n == 0 { String::new() } else { n.to_string() }, i64::try_from(n).ok())
        .number(p.since.map(|d| d.short()).unwrap_or_default(), p.since.map(|d| ctx.today.since(d)))
        .cell(cell, By::Number(i64::try_from(p.jobs).unwrap_or(i64::MAX)), due)
        .text(place)
        .said(p.sentence(ctx.flock))
}
