//! The shed now: who is due, and who lambed within the last week.

use super::super::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use super::super::{Ctx, Intent, papers::PaperKind};
use super::State;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::phrase;
use hirsel_core::reckon::{gestation, life};
use hirsel_core::terms::{AnimalId, Day, LambingId};

/// Days back that lambings are shown for.
const BACK_DAYS: i64 = 7;
const DUE: &str = "Ewes due";
const LAMBED: &str = "Lambed within a week";

/// The lists, made once for a version of the flock and a search.
#[derive(Debug, Default)]
pub(super) struct Shed {
    made_for: Option<(u64, Day, String)>,
    due: List<AnimalId>,
    lambed: List<(AnimalId, LambingId)>,
    at_due: TableState<AnimalId>,
    at_lambed: TableState<(AnimalId, LambingId)>,
    into: bool,
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let shed = &mut state.shed;
    let on = search_field(ui, "shed", "ewe, ram or pen", &mut shed.into, &mut state.shed_search);
    let wanted = (ctx.flock.version(), ctx.today, state.shed_search.clone());
    if shed.made_for.as_ref() != Some(&wanted) {
        make(ctx, &wanted.2, shed);
        shed.made_for = Some(wanted);
    }
    let searched = !state.shed_search.trim().is_empty();
    ui.add_space(space::S);
    let start = due(ui, shed, searched, on, out);
    ui.add_space(space::M);
    lambed(ui, ctx, shed, searched, on && shed.due.rows.is_empty(), out);
    if let Some(id) = start {
        state.start(id, ctx);
    }
}

/// Ewes waiting; gives one whose lambing is begun.
fn due(
    ui: &mut egui::Ui,
    shed: &mut Shed,
    searched: bool,
    on: bool,
    out: &mut Vec<Intent>,
) -> Option<AnimalId> {
    look::subheading(ui, phrase!("{DUE} ({})", shed.due.rows.len()));
    if shed.due.rows.is_empty() {
        let words = if searched {
            "No ewe that is due fits the search."
        } else {
            "No joined ewe is waiting. Join ewes with a ram under Joinings (Ctrl+J): then who is due, and when, stands here."
        };
        look::faint(ui, words);
        return None;
    }
    ui.horizontal_wrapped(|ui| {
        let chosen: Vec<AnimalId> = shed.at_due.selected().iter().copied().collect();
        if ui.add_enabled(!chosen.is_empty(), egui::Button::new(phrase!("Treat the chosen"))).clicked() {
            out.push(Intent::Treat(chosen));
        }
        take_out(ui, "ewes due", &["ewe", "due", "until", "ram", "pen"], &shed.due, &mut shed.at_due, out);
    });
    let columns = [
        Column::new("Ewe", 64.0).rest(),
        Column::new("Due", 88.0),
        Column::new("Until", 62.0),
        Column::new("Ram", 50.0).rest(),
        Column::new("Pen", 64.0).rest(),
    ];
    let size = egui::vec2(ui.available_width(), height(shed.due.rows.len(), 1, 8));
    let events = ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if on {
            into_table(ui, DUE);
        }
        RecordTable::new(DUE, &columns).show(ui, &mut shed.at_due, &shed.due)
    });
    look::faint(ui, "Enter begins her lambing. Space chooses, Ctrl+A all.");
    events.inner.into_iter().find_map(|e| if let TableEvent::Opened(id) = e { Some(id) } else { None })
}

fn lambed(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    shed: &mut Shed,
    searched: bool,
    on: bool,
    out: &mut Vec<Intent>,
) {
    look::subheading(ui, phrase!("{LAMBED} ({})", shed.lambed.rows.len()));
    if shed.lambed.rows.is_empty() {
        look::faint(ui, if searched { "None that fits the search." } else { "None." });
        return;
    }
    ui.horizontal_wrapped(|ui| {
        let some = !shed.at_lambed.selected().is_empty();
        let button = |ui: &mut egui::Ui, word: &'static str| {
            ui.add_enabled(some, egui::Button::new(crate::look::spoken(word))).clicked()
        };
        let cards = button(ui, "Lamb cards");
        let pens = button(ui, "Pen cards");
        let chosen = shed.lambed.rows.iter().map(|r| r.key).filter(|k| shed.at_lambed.is_selected(*k));
        if cards {
            let lambs = chosen.filter_map(|(ewe, id)| {
                ctx.flock.file(ewe)?.lambings.iter().find(|l| l.id == id).map(|l| l.lambs.clone())
            });
            out.push(Intent::Print(PaperKind::LambCards, lambs.flatten().collect()));
        } else if pens {
            out.push(Intent::Print(PaperKind::PenCards, chosen.map(|(ewe, _)| ewe).collect()));
        }
        take_out(ui, "lambed", &["ewe", "day", "lambs", "pen"], &shed.lambed, &mut shed.at_lambed, out);
    });
    let columns = [
        Column::new("Ewe", 64.0).rest(),
        Column::new("Day", 62.0),
        Column::new("Lambs", 80.0).rest(),
        Column::new("Pen", 64.0).rest(),
    ];
    let size = egui::vec2(ui.available_width(), height(shed.lambed.rows.len(), 1, 8));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if on {
            into_table(ui, LAMBED);
        }
        for event in RecordTable::new(LAMBED, &columns).show(ui, &mut shed.at_lambed, &shed.lambed) {
            if let TableEvent::Opened((id, _)) = event {
                out.push(Intent::Open(id));
            }
        }
    });
}

fn make(ctx: &Ctx<'_>, search: &str, shed: &mut Shed) {
    let due = gestation::expected(ctx.flock, ctx.today)
        .into_iter()
        .filter_map(|e| {
            let a = ctx.flock.animal(e.ewe)?;
            let (ram, pen) = (e.rams_words(ctx.flock), a.pen.clone().unwrap_or_default());
            if !fits(search, [a.tag(), a.name.as_deref().unwrap_or_default(), &ram, &pen]) {
                return None;
            }
            let over = e.window.late.is_some_and(|l| l < ctx.today);
            let words = if over { phrase!("overdue") } else { e.window.due.short() };
            let cell = if over { Cell::chip(Kind::Caution, "overdue") } else { Cell::text(words.clone()) };
            Some(
                Row::new(e.ewe)
                    .tag(a.tag())
                    .cell(cell, By::Number(e.window.due.since(ctx.today)), words)
                    .number(
                        e.window.late.map(Day::short).unwrap_or_default(),
                        e.window.late.map(|l| l.since(ctx.today)),
                    )
                    .text(ram)
                    .text(pen),
            )
        })
        .collect();
    let mut lambed: Vec<(Day, Row<(AnimalId, LambingId)>)> = Vec::new();
    for f in ctx.flock.present() {
        for l in f.lambings_standing().filter(|l| (0..=BACK_DAYS).contains(&ctx.today.since(l.at.day))) {
            let (a, pen) = (&f.animal, f.animal.pen.clone().unwrap_or_default());
            let litter = life::litter(l.lambs.len());
            if !fits(search, [a.tag(), a.name.as_deref().unwrap_or_default(), &litter, &pen]) {
                continue;
            }
            lambed.push((
                l.at.day,
                Row::new((a.id, l.id))
                    .tag(a.tag())
                    .number(l.at.day.short(), Some(l.at.day.since(ctx.today)))
                    .text(litter)
                    .text(pen),
            ));
        }
    }
    lambed.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.plain[0].cmp(&b.1.plain[0])));
    shed.due.set(due);
    shed.lambed.set(lambed.into_iter().map(|(_, r)| r).collect());
}
