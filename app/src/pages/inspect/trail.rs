//! What was amended and struck out: when, by whom, why, from what to what.

use super::super::list::{By, List, Row, fits, into_table, search_field, take_out};
use super::super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::phrase;
use hirsel_core::reckon::trail::{Change, trail};
use serde::{Deserialize, Serialize};

/// The part as typed; the list is made once for a version of the flock and a search.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    search: String,
    #[serde(skip)]
    of: Option<u64>,
    #[serde(skip)]
    all: Vec<Change>,
    #[serde(skip)]
    made_for: Option<(u64, String)>,
    #[serde(skip)]
    list: List<usize>,
    #[serde(skip)]
    table: TableState<usize>,
    #[serde(skip)]
    into_list: bool,
}

const TABLE: &str = "Changes";
const HEADS: [&str; 5] = ["when", "who", "record", "from_and_to", "why"];
/// Room below the table for the whole of one change.
const BELOW: f32 = 92.0;

impl State {
    fn keep(&mut self, ctx: &Ctx<'_>) {
        let version = ctx.flock.version();
        if self.of != Some(version) {
            self.of = Some(version);
            self.all = trail(ctx.flock);
        }
        let wanted = (version, self.search.clone());
        if self.made_for.as_ref() != Some(&wanted) {
            let rows = self.all.iter().enumerate().map(|(n, c)| row(n, c));
            let rows = rows.filter(|r| fits(&self.search, r.plain.iter().map(String::as_str)));
            self.list.set(rows.collect());
            self.made_for = Some(wanted);
        }
    }
}

fn row(n: usize, c: &Change) -> Row<usize> {
    let what = Cell::text(c.what.clone());
    let what = if c.struck { what.struck() } else { what };
    Row::new(n)
        .text(c.at.to_string())
        .text(c.who.to_string())
        .cell(what, By::Text(c.what.clone()), c.what.clone())
        .text(c.from_to())
        .text(c.why.to_string())
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let example = "tag, product, person, word";
    let on = search_field(ui, "trail", example, into, &mut state.search);
    state.keep(ctx);
    ui.horizontal(|ui| {
        let n = state.list.rows.len();
        look::faint(ui, if n == 1 { phrase!("1 change") } else { phrase!("{n} changes") });
        take_out(ui, "amended and struck out", &HEADS, &state.list, &mut state.table, out);
    });
    ui.add_space(space::XS);
    if state.list.rows.is_empty() {
        look::paragraph(
            ui,
            if state.all.is_empty() {
                "Nothing was changed or struck out since it was written. When a record is amended, the old value stays and is listed here, with who, when and why."
            } else {
                "No change has these words. Search for a shorter one."
            },
        );
        return;
    }
    let columns = [
        Column::new("When", 138.0),
        Column::new("Who", 90.0),
        Column::new("Record", 180.0).rest(),
        Column::new("From and to", 180.0).rest(),
        Column::new("Why", 120.0).rest(),
    ];
    let size = egui::vec2(ui.available_width(), (ui.available_height() - BELOW).max(180.0));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if std::mem::take(&mut state.into_list) {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(n) = event
                && let Some(c) = state.all.get(n)
            {
                out.push(Intent::Follow(c.link));
            }
        }
    });
    if on {
        state.into_list = true;
        ui.ctx().request_repaint();
    }
    // What is cut in the table stands here whole.
    egui::ScrollArea::vertical().id_salt("change").auto_shrink(false).show(ui, |ui| {
        match state.table.cursor().and_then(|n| state.all.get(n)) {
            Some(c) => {
                let who = if c.who.is_empty() { String::new() } else { phrase!(" by {}", c.who) };
                let why = if c.why.is_empty() { &look::said("no reason given") } else { c.why.as_str() };
                let text = phrase!("{}: {}. {}{who}, because: {why}.", c.what, c.from_to(), c.at, why = &why);
                ui.add(egui::Label::new(text).wrap());
            }
            None => {
                look::faint(ui, "Enter on a change opens its record. Old values are never erased.");
            }
        }
    });
}
