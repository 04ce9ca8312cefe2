//! Animals that were made one, and parting them again.

use super::super::super::list::{List, Row, fits, into_table, search_field, take_out};
use super::super::super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::record_table::{Column, RecordTable, TableState};
use hirsel_core::book::Merged;
use hirsel_core::phrase;
use hirsel_core::terms::{Day, EntryId, counted};
use serde::{Deserialize, Serialize};

/// The list as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    search: String,
    #[serde(skip)]
    made_for: Option<(u64, usize, String)>,
    #[serde(skip)]
    list: List<EntryId>,
    #[serde(skip)]
    table: TableState<EntryId>,
    #[serde(skip)]
    into_list: bool,
}

const TABLE: &str = "Made one";
const HEADS: [&str; 5] = ["when", "what", "why", "who", "now"];
const BELOW: f32 = 100.0;

/// They are one still: the other is not in the book, and was not made one with another since.
fn stands(ctx: &Ctx<'_>, m: &Merged) -> bool {
    let last = ctx.merges.iter().rfind(|o| o.gone == m.gone).is_some_and(|o| o.entry == m.entry);
    last && ctx.flock.animal(m.gone).is_none()
}

fn keep(ctx: &Ctx<'_>, state: &mut State) {
    let wanted = (ctx.flock.version(), ctx.merges.len(), state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let rows = ctx.merges.iter().rev().map(|m| {
        let day = m.at.split(' ').next().unwrap_or_default();
        let now = if stands(ctx, m) { "one" } else { "two again" };
        Row::new(m.entry)
            .text(Day::parse_iso(day).map_or_else(|_| day.to_string(), Day::words))
            .text(m.what.to_string())
            .text(m.reason.clone().unwrap_or_default())
            .text(m.who.to_string())
            .text(now)
    });
    let search = state.search.clone();
    state.list.set(rows.filter(|r| fits(&search, r.plain.iter().map(String::as_str))).collect());
    state.made_for = Some(wanted);
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    if ctx.merges.is_empty() {
        look::paragraph(
            ui,
            "No two animals were made one in this book. When it is done, it is listed here and can be taken back at any time.",
        );
        return;
    }
    let on = search_field(ui, "made one", "tag, word", into, &mut state.search);
    keep(ctx, state);
    ui.horizontal(|ui| {
        look::faint(ui, counted(state.list.rows.len(), "pair"));
        take_out(ui, "animals made one", &HEADS, &state.list, &mut state.table, out);
    });
    ui.add_space(space::XS);
    let columns = [
        Column::new("When", 110.0),
        Column::new("What", 260.0).rest(),
        Column::new("Why", 180.0).rest(),
        Column::new("Who", 100.0),
        Column::new("Now", 90.0),
    ];
    let size = egui::vec2(ui.available_width(), (ui.available_height() - BELOW).max(160.0));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if std::mem::take(&mut state.into_list) {
            into_table(ui, TABLE);
        }
        RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list);
    });
    if on {
        state.into_list = true;
        ui.ctx().request_repaint();
    }
    ui.add_space(space::S);
    let at = state.table.cursor().and_then(|e| ctx.merges.iter().find(|m| m.entry == e));
    let Some(m) = at else {
        look::faint(ui, "Go to a pair to part it again.");
        return;
    };
    ui.horizontal_wrapped(|ui| {
        if !stands(ctx, m) {
            look::faint(ui, "They are two again.");
            return;
        }
        if ui.button(phrase!("Part them again")).clicked() {
            out.push(Intent::PartAgain(m.entry));
        }
        if let Some(id) = m.keep
            && ui.button(phrase!("Open the animal")).clicked()
        {
            out.push(Intent::Open(id));
        }
        look::faint(ui, "What was written of it since stays with the one that was kept.");
    });
}
