//! Sessions of before, the newest first: Enter goes on with one.

use super::super::super::list::{By, List, Row, height};
use super::super::super::{Ctx, sections::sized};
use crate::look;
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::phrase;
use hirsel_core::reckon::at_scale::{SessionLine, sessions};
use hirsel_core::terms::SessionId;

/// The list, made once for a version of the flock.
#[derive(Debug, Default)]
pub(super) struct Sessions {
    made_for: Option<u64>,
    list: List<SessionId>,
    table: TableState<SessionId>,
}

/// Draws the list with so many rows seen at the most; gives a session to be gone on with.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, s: &mut Sessions, most: usize) -> Option<SessionId> {
    if s.made_for != Some(ctx.flock.version()) {
        s.made_for = Some(ctx.flock.version());
        s.list.set(sessions(ctx.flock).into_iter().map(|l| row(ctx, l)).collect());
    }
    if s.list.rows.is_empty() {
        look::faint(ui, "None yet: Ctrl+E begins the first one.");
        return None;
    }
    let columns = [
        Column::new("Day", 116.0),
        Column::new("Group", 90.0).rest(),
        Column::new("Weighed", 74.0).right(),
        Column::new("Mean", 72.0).right(),
        Column::new("Scored", 68.0).right(),
    ];
    let mut opened = None;
    sized(ui, height(s.list.rows.len(), 2, most), |ui| {
        for event in RecordTable::new("Sessions", &columns).single().show(ui, &mut s.table, &s.list) {
            if let TableEvent::Opened(id) = event {
                opened = Some(id);
            }
        }
    });
    look::faint(ui, "Enter shows one and goes on with it.");
    opened
}

fn row(ctx: &Ctx<'_>, line: SessionLine) -> Row<SessionId> {
    let s = &line.session;
    let time = s.time.map(|t| format!(", {t}")).unwrap_or_default();
    let by = s.on.since(ctx.today) * 1440 + s.time.map_or(0, |t| t.of_day());
    let group = s.group.clone().unwrap_or_else(|| "anyone".into());
    let mean = line.weighed.mean();
    let or_none = |n: u32| if n == 0 { String::new() } else { n.to_string() };
    Row::new(s.id)
        .cell(Cell::text(phrase!("{}{time}", s.on.words())), By::Number(by), s.on.to_string())
        .text(group)
        .number(or_none(line.weighed.n), Some(line.weighed.n.into()))
        .number(mean.map(|m| m.show(ctx.units())).unwrap_or_default(), mean.map(|m| m.grams()))
        .number(or_none(line.scored), Some(line.scored.into()))
}
