//! When each ewe may lamb, and from what that is known.

use super::super::list::{By, List, Row, fits, into_table, search_field, take_out};
use super::super::papers::PaperKind;
use super::super::{Ctx, Intent};
use super::sized;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, Sort, TableEvent, TableState};
use crate::parts::{Choice, Form};
use hirsel_core::phrase;
use hirsel_core::reckon::joined::{DueLine, due_lines};
use hirsel_core::terms::{AnimalId, Day, counted};
use serde::{Deserialize, Serialize};

/// In what order the ewes stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Order {
    #[default]
    Day,
    Ram,
    Pen,
}

const ORDERS: [(Order, &str); 3] = [(Order::Day, "by day"), (Order::Ram, "by ram"), (Order::Pen, "by pen")];

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    search: String,
    order: Order,
    #[serde(skip)]
    ordered: Option<Order>,
    #[serde(skip)]
    lines: Vec<DueLine>,
    #[serde(skip)]
    made_for: Option<(u64, Day, String)>,
    #[serde(skip)]
    list: List<AnimalId>,
    #[serde(skip)]
    table: TableState<AnimalId>,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}
}

const TABLE: &str = "Ewes due";
const HEADS: [&str; 10] =
    ["usual_day", "first", "last", "ewe", "pen", "ram", "scan", "known_from", "remark", "name"];

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    make(ctx, state);
    if state.lines.is_empty() {
        *into = false;
        look::paragraph(
            ui,
            "No ewe is expected to lamb. Write down with which ram and from which day a ewe runs (Ctrl+Page up, Groups), and her due days stand here.",
        );
        return;
    }
    let on = search_field(ui, TABLE, "tag, ram, pen, twins, past", into, &mut state.search);
    let mut form = Form::new(ui, "due order").label_width(60.0);
    let mut order = Some(state.order);
    form.choice(ui, &Choice::new("Order", &ORDERS), &mut order);
    state.order = order.unwrap_or_default();
    let go = form.finish(ui) == crate::parts::FormEvent::Submitted;
    if state.ordered != Some(state.order) {
        state.ordered = Some(state.order);
        let column = match state.order {
            Order::Day => 0,
            Order::Pen => 4,
            Order::Ram => 5,
        };
        state.table.set_sort(Some(Sort { column, descending: false }));
    }
    let past = state.lines.iter().filter(|l| l.is_past(ctx.today)).count();
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, counted(state.list.rows.len(), "ewe"));
        if past > 0 {
            look::chip(ui, Kind::Caution, phrase!("{past} past the last day"));
        }
        take_out(ui, "due list", &HEADS, &state.list, &mut state.table, out);
        if ui.button(phrase!("Print the due list")).clicked() {
            out.push(Intent::Print(PaperKind::DueList, Vec::new()));
        }
        if ui.button(phrase!("Into a calendar…")).clicked() {
            out.push(Intent::AskCalendar(vec![hirsel_core::exchange::calendar::Kind::Lambings]));
        }
    });
    if state.list.rows.is_empty() {
        look::paragraph(ui, "No ewe fits the search.");
        return;
    }
    let columns = [
        Column::new("Usual day", 100.0),
        Column::new("First", 62.0),
        Column::new("Last", 62.0),
        Column::new("Ewe", 84.0).rest(),
        Column::new("Pen", 70.0).rest(),
        Column::new("Ram", 54.0).rest(),
        Column::new("Scan", 60.0),
        Column::new("Known from", 110.0).rest(),
        Column::new("Remark", 190.0),
    ];
    let room = (ui.available_height() - BELOW).max(150.0);
    sized(ui, room, |ui| {
        if on || go {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(id) = event {
                out.push(Intent::Open(id));
            }
        }
    });
    ui.add_space(space::S);
    let shown = state.table.cursor().or(state.list.rows.first().map(|r| r.key));
    let Some(line) = state.lines.iter().find(|l| Some(l.ewe) == shown) else { return };
    let title = ctx.flock.animal(line.ewe).map(|a| a.title()).unwrap_or_default();
    ui.horizontal_wrapped(|ui| {
        look::strong(ui, title);
        ui.label(format!("{}.", line.all.join(". ")));
    });
    look::faint(ui, "Enter opens her leaf.");
}

/// Room below the table for what is known of one ewe.
const BELOW: f32 = 104.0;

fn make(ctx: &Ctx<'_>, state: &mut State) {
    let wanted = (ctx.flock.version(), ctx.today, state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    if state.made_for.as_ref().is_none_or(|(v, day, _)| (*v, *day) != (wanted.0, wanted.1)) {
        state.lines = due_lines(ctx.flock, ctx.today);
    }
    state.list.set(state.lines.iter().filter_map(|l| row(ctx, l, &state.search)).collect());
    state.made_for = Some(wanted);
}

fn row(ctx: &Ctx<'_>, l: &DueLine, search: &str) -> Option<Row<AnimalId>> {
    let a = ctx.flock.animal(l.ewe)?;
    let rams = l.rams_words(ctx.flock);
    let pen = a.pen.clone().unwrap_or_default();
    let (scan, when) = (l.scan_words(), l.when(ctx.today));
    let found = l.scan.as_ref().map(|s| s.found.words()).unwrap_or_default();
    let title = a.title();
    if !fits(search, [title.as_str(), &rams, &pen, &scan, &l.why, &when]) {
        return None;
    }
    let w = &l.window;
    let by = |d: Day| By::Number(d.since(ctx.today));
    let late = match w.late {
        Some(late) => (late.short(), by(late), late.to_string()),
        None => (phrase!("open"), By::Nothing, String::new()),
    };
    let remark =
        if l.is_past(ctx.today) { Cell::chip(Kind::Caution, when.clone()) } else { Cell::text(when.clone()) };
    let said = phrase!("{}, {}, usual day {}, ram {}, {}", title, when, w.due.words(), rams, l.why);
    Some(
        Row::new(l.ewe)
            .cell(Cell::text(w.due.words()), by(w.due), w.due.to_string())
            .cell(Cell::text(w.early.short()), by(w.early), w.early.to_string())
            .cell(Cell::text(late.0), late.1, late.2)
            .cell(Cell::text(title.clone()).strong(), By::Text(title), a.tag())
            .text(pen)
            .text(rams)
            .cell(Cell::text(found), By::Text(found.into()), scan)
            .text(l.why.clone())
            .cell(remark, by(w.early), when)
            .hidden(a.name.clone().unwrap_or_default())
            .said(said),
    )
}
