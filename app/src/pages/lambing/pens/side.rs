//! The pen in hand: who is in it, since when, what is due.

use super::super::super::list::{By, List, Row, into_table};
use super::super::super::{Ctx, Intent};
use super::{State, ask, laying};
use crate::look::{self, Kind, space};
use crate::parts::escaped;
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use egui::{Key, Modifiers, Ui};
use hirsel_core::flock::PenSort;
use hirsel_core::phrase;
use hirsel_core::reckon::due::{jobs_on, kind_and_age};
use hirsel_core::reckon::pen_map::{Family, Pen};
use hirsel_core::registers::held_of;
use hirsel_core::terms::{AnimalId, Day};
use std::sync::Arc;

const TABLE: &str = "In the pen";

/// The table of the pen in hand.
#[derive(Debug, Default)]
pub(super) struct Side {
    pub table: TableState<AnimalId>,
    rows: List<AnimalId>,
    made: bool,
    /// The keyboard is to go into the table.
    pub into: bool,
    /// The table had the keyboard in the frame before: Esc has taken it away by now.
    had: bool,
}

impl Side {
    pub(super) fn stale(&mut self) {
        self.made = false;
    }
}

pub(super) fn view(ui: &mut Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let shown = Arc::clone(&state.shown);
    let Some(pen) = state.place().and_then(|i| shown.get(i)) else {
        loose(ui, ctx, state);
        return;
    };
    if !state.side.made {
        state.side.rows.set(rows(ctx, pen));
        state.side.made = true;
    }
    look::subheading(ui, &pen.name);
    let who = if pen.is_empty() { phrase!("empty") } else { pen.heads.words() };
    let since = pen.since.map(|s| phrase!(", since {}", s.short())).unwrap_or_default();
    look::faint(ui, format!("{who}{since}. {}{}", pen.at.size_words(), kind_words(pen)));
    let due = pen.due_words();
    if !due.is_empty() {
        look::sentence(ui, if pen.overdue > 0 { Kind::Refuse } else { Kind::Caution }, &due);
    }
    if let Some(over) = &pen.over {
        look::sentence(ui, Kind::Refuse, phrase!("It lies over {over}: move one of the two"));
    }
    ui.horizontal_wrapped(|ui| {
        let n = state.side.table.selected().len();
        let word = if n == 0 { phrase!("Move all") } else { phrase!("Move {n} chosen") };
        let some = !pen.is_empty();
        if ui.add_enabled(some, egui::Button::new(crate::look::spoken(word))).on_hover_text("M").clicked() {
            ask::begin_move(state, out);
        }
        if ui.add_enabled(some, egui::Button::new(phrase!("Treat"))).clicked() {
            out.push(Intent::Treat(state.to_move()));
        }
        if ui.button(phrase!("Name")).on_hover_text(phrase!("N on the map")).clicked() {
            ask::begin_name(state);
        }
        if state.laying {
            if ui.button(phrase!("Turn")).on_hover_text(phrase!("T on the map")).clicked() {
                laying::change(state, |p| p.at = p.at.turned());
            }
            let outside = pen.sort == PenSort::Outside;
            let word = if outside { "In the shed" } else { "Outside" };
            if ui.button(crate::look::spoken(word)).on_hover_text(phrase!("O on the map")).clicked() {
                laying::change(state, |p| p.sort = if outside { PenSort::Shed } else { PenSort::Outside });
            }
            if ui.button(phrase!("Take off")).on_hover_text(phrase!("Del on the map")).clicked() {
                laying::take_off(state, out);
            }
        }
    });
    ui.add_space(space::XS);
    table(ui, state, out);
}

fn kind_words(pen: &Pen) -> &'static str {
    match (pen.sort, pen.laid) {
        (PenSort::Outside, true) => ", outside",
        (PenSort::Outside, false) => ", outside, not laid out yet",
        (_, true) => "",
        (_, false) => ", not laid out yet",
    }
}

fn table(ui: &mut Ui, state: &mut State, out: &mut Vec<Intent>) {
    let columns = [Column::new("Tag", 70.0), Column::new("What", 96.0).rest(), Column::new("Due", 88.0)];
    let table = RecordTable::new(TABLE, &columns);
    if std::mem::take(&mut state.side.into) {
        if ui.input(|i| i.key_pressed(Key::Enter) || i.pointer.any_pressed() || i.pointer.any_released()) {
            state.side.into = true;
            ui.ctx().request_repaint();
        } else {
            into_table(ui, TABLE);
        }
    }
    let focused = ui.memory(|m| m.has_focus(table.id(ui)));
    if focused && ui.input_mut(|i| i.consume_key(Modifiers::NONE, Key::M)) {
        ask::begin_move(state, out);
    }
    if std::mem::replace(&mut state.side.had, focused) && escaped(ui) {
        state.focus = true;
    }
    for event in table.show(ui, &mut state.side.table, &state.side.rows) {
        if let TableEvent::Opened(id) = event {
            out.push(Intent::Open(id));
        }
    }
}

fn rows(ctx: &Ctx<'_>, pen: &Pen) -> Vec<Row<AnimalId>> {
    let all = pen.families.iter().flat_map(|f| f.all().enumerate().map(move |(i, id)| (f, id, i > 0)));
    all.filter_map(|(f, id, young)| row(ctx, f, id, young)).collect()
}

fn row(ctx: &Ctx<'_>, family: &Family, id: AnimalId, young: bool) -> Option<Row<AnimalId>> {
    let file = ctx.flock.file(id)?;
    let a = &file.animal;
    let jobs = ctx.board.map(|b| jobs_on(b, id, ctx.today)).unwrap_or_default();
    let held = held_of(ctx.flock, file, ctx.today).is_some();
    let mut due: Vec<String> = jobs.iter().map(|j| j.step.short_said().into_owned()).collect();
    due.extend(held.then(|| phrase!("withdrawal")));
    if !young && let Some(day) = family.lambs_on {
        due.push(phrase!("lambs {}", day.short()));
    }
    let short = match (jobs.len(), held) {
        (0, true) => phrase!("held"),
        (0, false) => family.lambs_on.filter(|_| !young).map(Day::short).unwrap_or_default(),
        (n, true) => phrase!("{n}, held"),
        (n, false) => n.to_string(),
    };
    let marks: Vec<&str> = [&a.marks, &a.colour, &a.name].into_iter().flatten().map(|w| w.as_str()).collect();
    let mut what = kind_and_age(a, ctx.today);
    for mark in &marks {
        what.push_str(", ");
        what.push_str(mark);
    }
    let tag = if young { format!("  {}", a.tag()) } else { a.tag().to_string() };
    let cell = if young { Cell::text(tag.clone()) } else { Cell::text(tag.clone()).strong() };
    let said = if due.is_empty() { String::new() } else { format!(", {}", due.join(", ")) };
    let mark = if short.is_empty() { Cell::empty() } else { Cell::chip(Kind::Caution, short.clone()) };
    Some(
        Row::new(id)
            .cell(cell, By::Text(a.tag().to_string()), a.tag())
            .text(what.clone())
            .cell(mark, By::Number(jobs.len() as i64), due.join(", "))
            .said(phrase!("{}, {what}{said}", &a.tag())),
    )
}

/// Without a pen in hand: who is in none.
fn loose(ui: &mut Ui, ctx: &Ctx<'_>, state: &State) {
    let tags: Vec<&str> = state.map.loose.iter().take(12).map(|f| ctx.flock.tag(f.head)).collect();
    if tags.is_empty() {
        return;
    }
    look::subheading(ui, "In no pen");
    let more = state.map.loose.len() - tags.len();
    let more = if more > 0 { phrase!(" and {more} more") } else { String::new() };
    look::faint(ui, format!("{}{more}", tags.join(", ")));
}
