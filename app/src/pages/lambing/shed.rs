//! The shed now: who is due, and who lambed within the last week.

use super::super::list::{By, List, Row, height};
use super::super::{Ctx, Intent};
use super::State;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::reckon::{gestation, life};
use hirsel_core::terms::{AnimalId, Day, LambingId};

/// Days back that lambings are shown for.
const BACK_DAYS: i64 = 7;

/// The lists, made once.
#[derive(Debug, Default)]
pub(super) struct Shed {
    made_for: Option<(u64, Day)>,
    due: List<AnimalId>,
    lambed: List<(AnimalId, LambingId)>,
    at_due: TableState<AnimalId>,
    at_lambed: TableState<(AnimalId, LambingId)>,
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let wanted = (ctx.flock.version(), ctx.today);
    if state.shed.made_for != Some(wanted) {
        state.shed.made_for = Some(wanted);
        make(ctx, &mut state.shed);
    }
    let shed = &mut state.shed;
    let mut start = None;
    look::subheading(ui, format!("Ewes due ({})", shed.due.rows.len()));
    if shed.due.rows.is_empty() {
        look::faint(ui, "No joined ewe is waiting. Join ewes with a ram on the page of the flock.");
    } else {
        let columns = [
            Column::new("Ewe", 84.0).rest(),
            Column::new("Due", 100.0),
            Column::new("Until", 66.0),
            Column::new("Ram", 60.0).rest(),
        ];
        let size = egui::vec2(ui.available_width(), height(shed.due.rows.len(), 1, 9));
        ui.allocate_ui(size, |ui| {
            ui.set_min_size(size);
            for event in RecordTable::new("Ewes due", &columns).single().show(ui, &mut shed.at_due, &shed.due)
            {
                if let TableEvent::Opened(id) = event {
                    start = Some(id);
                }
            }
        });
        look::faint(ui, "Enter begins her lambing.");
    }
    ui.add_space(space::M);
    look::subheading(ui, format!("Lambed within a week ({})", shed.lambed.rows.len()));
    if shed.lambed.rows.is_empty() {
        look::faint(ui, "None.");
    } else {
        let columns = [
            Column::new("Ewe", 70.0).rest(),
            Column::new("Day", 70.0),
            Column::new("Lambs", 90.0).rest(),
            Column::new("Pen", 70.0).rest(),
        ];
        let size = egui::vec2(ui.available_width(), height(shed.lambed.rows.len(), 1, 9));
        ui.allocate_ui(size, |ui| {
            ui.set_min_size(size);
            let table = RecordTable::new("Lambed within a week", &columns).single();
            for event in table.show(ui, &mut shed.at_lambed, &shed.lambed) {
                if let TableEvent::Opened((id, _)) = event {
                    out.push(Intent::Open(id));
                }
            }
        });
    }
    if let Some(id) = start {
        state.start(id, ctx);
    }
}

fn make(ctx: &Ctx<'_>, shed: &mut Shed) {
    let due = gestation::expected(ctx.flock, ctx.today)
        .into_iter()
        .filter_map(|e| {
            let a = ctx.flock.animal(e.ewe)?;
            let over = e.window.late.is_some_and(|l| l < ctx.today);
            let cell =
                if over { Cell::chip(Kind::Caution, "overdue") } else { Cell::text(e.window.due.short()) };
            let words = if over { "overdue".to_string() } else { e.window.due.short() };
            Some(
                Row::new(e.ewe)
                    .tag(a.tag())
                    .cell(cell, By::Number(e.window.due.since(ctx.today)), words)
                    .number(
                        e.window.late.map(Day::short).unwrap_or_default(),
                        e.window.late.map(|l| l.since(ctx.today)),
                    )
                    .text(ctx.flock.tag(e.ram)),
            )
        })
        .collect();
    let mut lambed: Vec<(Day, Row<(AnimalId, LambingId)>)> = Vec::new();
    for f in ctx.flock.present() {
        for l in f.lambings_standing().filter(|l| (0..=BACK_DAYS).contains(&ctx.today.since(l.at.day))) {
            lambed.push((
                l.at.day,
                Row::new((f.animal.id, l.id))
                    .tag(f.animal.tag())
                    .number(l.at.day.short(), Some(l.at.day.since(ctx.today)))
                    .text(life::litter(l.lambs.len()))
                    .text(f.animal.pen.clone().unwrap_or_default()),
            ));
        }
    }
    lambed.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.plain[0].cmp(&b.1.plain[0])));
    shed.due.set(due);
    shed.lambed.set(lambed.into_iter().map(|(_, r)| r).collect());
}
