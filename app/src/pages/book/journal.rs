//! The journal's last lines: when, who, what, why.

use super::super::list::{By, List, Row, take_out};
use super::super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableState};
use crate::parts::{Field, Form};
use hirsel_core::phrase;
use std::collections::HashSet;

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Journal {
    made_for: Option<(u64, usize, String)>,
    list: List<i64>,
    table: TableState<i64>,
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    j: &mut Journal,
    search: &mut String,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let mut form = Form::new(ui, "journal").label_width(60.0);
    form.focus_once(ui, into, "Search");
    form.field(ui, &Field::new("Search").width(280.0).example("tag, word, person or day"), search);
    form.finish(ui);
    let wanted = (ctx.flock.version(), ctx.history.len(), search.clone());
    if j.made_for.as_ref() != Some(&wanted) {
        make(ctx, search, j);
        j.made_for = Some(wanted);
    }
    let part = ctx.history.last().is_some_and(|p| p.seq > 1);
    ui.horizontal(|ui| {
        let n = j.list.rows.len();
        let lines = if n == 1 { phrase!("1 line") } else { phrase!("{n} lines") };
        look::faint(ui, if part { phrase!("{lines} of the last {}", ctx.history.len()) } else { lines });
        if part && ui.button(phrase!("The whole journal")).clicked() {
            out.push(Intent::WholeJournal);
        }
        take_out(ui, "journal", &["when", "who", "what", "why", "state"], &j.list, &mut j.table, out);
    });
    ui.add_space(space::XS);
    let columns = [
        Column::new("When", 150.0),
        Column::new("Who", 100.0),
        Column::new("What", 260.0).rest(),
        Column::new("Why", 180.0).rest(),
        Column::new("State", 100.0),
    ];
    let size = egui::vec2(ui.available_width(), (ui.available_height() - BELOW).max(200.0));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        RecordTable::new("Journal", &columns).single().show(ui, &mut j.table, &j.list);
    });
    // What is cut in the table stands here whole.
    let line = j.table.cursor().and_then(|seq| ctx.history.iter().find(|p| p.seq == seq));
    egui::ScrollArea::vertical().id_salt("line").auto_shrink(false).show(ui, |ui| match line {
        Some(p) => {
            let why = p.reason.as_ref().map(|r| phrase!(" Why: {r}.")).unwrap_or_default();
            ui.add(egui::Label::new(format!("{}, {}: {}.{why}", p.at, p.who, p.what)).wrap());
        }
        None => {
            look::faint(
                ui,
                "Every write is one line. Today’s can be undone; what is older is amended or struck out.",
            );
        }
    });
}

/// Room below the table for the whole of one line.
const BELOW: f32 = 76.0;

fn make(ctx: &Ctx<'_>, search: &str, j: &mut Journal) {
    // An undo that was itself taken back no longer hides what it undid.
    let redone: HashSet<i64> = ctx.history.iter().filter_map(|p| p.redoes).collect();
    let undone: HashSet<i64> =
        ctx.history.iter().filter(|p| !redone.contains(&p.seq)).filter_map(|p| p.undoes).collect();
    let search = search.trim().to_lowercase();
    let rows = ctx
        .history
        .iter()
        .filter(|p| {
            search.is_empty()
                || [&p.what, &p.at, &p.who].into_iter().any(|t| t.to_lowercase().contains(&search))
                || p.reason.as_ref().is_some_and(|r| r.to_lowercase().contains(&search))
        })
        .map(|p| {
            let back = p.undoes.is_some() && redone.contains(&p.seq);
            let gone = undone.contains(&p.seq);
            let what = Cell::text(p.what.clone());
            let what = if gone || back { what.struck() } else { what };
            let state = match (gone, back) {
                (true, _) => "undone",
                (_, true) => "done again",
                _ => "",
            };
            let at: String = p.at.chars().take(16).collect();
            Row::new(p.seq)
                .number(at, Some(p.seq))
                .text(p.who.clone())
                .cell(what, By::Text(p.what.clone()), p.what.clone())
                .text(p.reason.clone().unwrap_or_default())
                .cell(Cell::text(state).faint(), By::Text(state.into()), state)
        })
        .collect();
    j.list.set(rows);
}
