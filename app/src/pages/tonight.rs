//! Tonight: what happened today, who may not go for food, which lambs are under three days old, who lambs next.

use super::list::{By, List, Row, height};
use super::{Ctx, Intent, PageId, papers::PaperKind};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::reckon::clearance::{Clear, clearance};
use hirsel_core::reckon::{gestation, life};
use hirsel_core::terms::{AnimalId, Day, Fate, Sex, Status, counted};
use serde::{Deserialize, Serialize};

/// Days a lamb is watched from its birth.
const YOUNG_DAYS: i64 = 3;
/// Days ahead that due ewes are shown for.
const AHEAD_DAYS: i64 = 14;

/// Nothing here is typed; the lists are made once for a version of the flock.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    #[serde(skip)]
    made_for: Option<(u64, Day)>,
    #[serde(skip)]
    counts: [usize; 4],
    #[serde(skip)]
    today: List<(AnimalId, usize)>,
    #[serde(skip)]
    held: List<AnimalId>,
    #[serde(skip)]
    young: List<AnimalId>,
    #[serde(skip)]
    due: List<AnimalId>,
    #[serde(skip)]
    at_today: TableState<(AnimalId, usize)>,
    #[serde(skip)]
    at_held: TableState<AnimalId>,
    #[serde(skip)]
    at_young: TableState<AnimalId>,
    #[serde(skip)]
    at_due: TableState<AnimalId>,
}

impl State {
    /// The jobs are written.
    pub(super) fn after(&mut self, _: &Ctx<'_>) {}
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    if state.made_for != Some((ctx.flock.version(), ctx.today)) {
        state.made_for = Some((ctx.flock.version(), ctx.today));
        make(ctx, state);
    }
    let mut out = Vec::new();
    egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        ui.add_space(space::S);
        look::heading(ui, "Tonight");
        let [ewes, rams, lambs, all] = state.counts;
        if all == 0 {
            empty(ui, &mut out);
            return;
        }
        let [ewes, rams, lambs] =
            [(ewes, "ewe"), (rams, "ram"), (lambs, "lamb")].map(|(n, of)| counted(n, of));
        look::faint(ui, format!("{ewes}, {rams}, {lambs} in the flock"));
        ui.add_space(space::S);
        ui.horizontal_wrapped(|ui| {
            if look::primary(ui, "Write up a lambing").clicked() {
                out.push(Intent::Go(PageId::Lambing));
            }
            if ui.button("Treat").clicked() {
                out.push(Intent::Go(PageId::Treatments));
            }
            if ui.button("Weigh").clicked() {
                out.push(Intent::Go(PageId::Weights));
            }
            let young: Vec<AnimalId> = state.young.rows.iter().map(|r| r.key).collect();
            if ui.add_enabled(!young.is_empty(), egui::Button::new("Cards for the young lambs")).clicked() {
                out.push(Intent::Print(PaperKind::LambCards, young));
            }
        });
        ui.add_space(space::M);
        let wide = ui.available_width() > 980.0;
        if wide {
            ui.columns(2, |c| {
                if let [left, right] = c {
                    happened(left, state, &mut out);
                    due(left, state, &mut out);
                    young(right, state, &mut out);
                    held(right, state, &mut out);
                }
            });
        } else {
            happened(ui, state, &mut out);
            young(ui, state, &mut out);
            held(ui, state, &mut out);
            due(ui, state, &mut out);
        }
    });
    out
}

fn empty(ui: &mut egui::Ui, out: &mut Vec<Intent>) {
    look::paragraph(
        ui,
        "The book is empty. Add your ewes and rams on the page of the flock, one by one, or bring in a table of all of them on the page of the book.",
    );
    ui.add_space(space::S);
    ui.horizontal(|ui| {
        if look::primary(ui, "Add animals").clicked() {
            out.push(Intent::Go(PageId::Flock));
        }
        if ui.button("Bring in a table").clicked() {
            out.push(Intent::Go(PageId::Book));
        }
    });
}

fn section<K: Copy + Eq + std::hash::Hash + std::fmt::Debug>(
    ui: &mut egui::Ui,
    name: &str,
    nothing: &str,
    columns: &[Column],
    list: &List<K>,
    at: &mut TableState<K>,
) -> Option<K> {
    look::subheading(ui, format!("{name} ({})", list.rows.len()));
    let mut opened = None;
    if list.rows.is_empty() {
        look::faint(ui, nothing);
    } else {
        let size = egui::vec2(ui.available_width(), height(list.rows.len(), 1, 8));
        ui.allocate_ui(size, |ui| {
            ui.set_min_size(size);
            for event in RecordTable::new(name, columns).single().show(ui, at, list) {
                if let TableEvent::Opened(key) = event {
                    opened = Some(key);
                }
            }
        });
    }
    ui.add_space(space::L);
    opened
}

fn happened(ui: &mut egui::Ui, state: &mut State, out: &mut Vec<Intent>) {
    let columns = [Column::new("Time", 52.0), Column::new("Animal", 92.0), Column::new("What", 200.0).rest()];
    let nothing = "Nothing is written up for today yet.";
    if let Some((id, _)) = section(ui, "Today", nothing, &columns, &state.today, &mut state.at_today) {
        out.push(Intent::Open(id));
    }
}

fn held(ui: &mut egui::Ui, state: &mut State, out: &mut Vec<Intent>) {
    let columns = [
        Column::new("Animal", 92.0),
        Column::new("Meat", 112.0),
        Column::new("Milk", 112.0),
        Column::new("Because of", 150.0).rest(),
    ];
    let nothing = "No animal is under withdrawal.";
    if let Some(id) = section(ui, "Under withdrawal", nothing, &columns, &state.held, &mut state.at_held) {
        out.push(Intent::Open(id));
    }
}

fn young(ui: &mut egui::Ui, state: &mut State, out: &mut Vec<Intent>) {
    let columns = [
        Column::new("Lamb", 92.0),
        Column::new("Sex", 46.0),
        Column::new("Age", 64.0),
        Column::new("Dam", 76.0),
        Column::new("Pen", 80.0),
        Column::new("Look at", 130.0).rest(),
    ];
    let nothing = "No lamb is under three days old.";
    if let Some(id) =
        section(ui, "Lambs under three days", nothing, &columns, &state.young, &mut state.at_young)
    {
        out.push(Intent::Open(id));
    }
}

fn due(ui: &mut egui::Ui, state: &mut State, out: &mut Vec<Intent>) {
    let columns = [
        Column::new("Ewe", 76.0),
        Column::new("Due", 98.0),
        Column::new("May lamb", 130.0),
        Column::new("Ram", 60.0),
        Column::new("Pen", 80.0).rest(),
    ];
    let nothing = "No ewe is due within two weeks.";
    if let Some(id) = section(ui, "Ewes due", nothing, &columns, &state.due, &mut state.at_due) {
        out.push(Intent::LambingOf(id));
    }
}

fn make(ctx: &Ctx<'_>, state: &mut State) {
    let today = ctx.today;
    let mut counts = [0; 4];
    let (mut events, mut held, mut young) = (Vec::new(), Vec::new(), Vec::new());
    for f in ctx.flock.files() {
        let a = &f.animal;
        counts[3] += 1;
        if a.status == Status::Present {
            let lamb = a.is_lamb(today);
            match a.sex {
                _ if lamb => counts[2] += 1,
                Sex::Ewe => counts[0] += 1,
                Sex::Ram => counts[1] += 1,
                Sex::Wether => {}
            }
            let c = clearance(f, today);
            if c.waits(today) {
                let side = |clear: &Clear| {
                    let kind = if clear.is_clear(today) { None } else { Some(Kind::Caution) };
                    let (text, by) = match clear {
                        Clear::Free => (String::new(), By::Nothing),
                        Clear::From(d) if *d <= today => ("clear".into(), By::Number(d.since(today))),
                        Clear::From(d) => (d.short(), By::Number(d.since(today))),
                        Clear::Unknown => ("unknown".into(), By::Number(i64::MAX - 1)),
                        Clear::Never => ("never".into(), By::Number(i64::MAX)),
                    };
                    (
                        kind.map_or_else(
                            || Cell::text(text.clone()).faint(),
                            |k| Cell::chip(k, text.clone()),
                        ),
                        by,
                        text,
                    )
                };
                let (meat, milk) = (side(&c.meat.clear), side(&c.milk.clear));
                held.push(
                    Row::new(a.id)
                        .tag(a.tag())
                        .cell(meat.0, meat.1, meat.2)
                        .cell(milk.0, milk.1, milk.2)
                        .text(c.because())
                        .said(format!("{}, under withdrawal, {}", a.tag(), c.held_words(today))),
                );
            }
            if let Some(born) = a.born.exact().filter(|b| (0..YOUNG_DAYS).contains(&today.since(*b))) {
                young.push(young_row(ctx, f, today.since(born)));
            }
        }
        let recent = |d: Day| d == today;
        let any = f.lambings.iter().any(|l| recent(l.at.day))
            || f.treatments.iter().any(|t| recent(t.at.day))
            || f.weighings.iter().any(|w| recent(w.at.day))
            || f.movements.iter().any(|m| recent(m.on))
            || f.pen_moves.iter().any(|p| recent(p.on))
            || f.remarks.iter().any(|r| recent(r.on))
            || f.joinings.iter().any(|j| recent(j.from));
        if any {
            for (n, e) in life::life(ctx.flock, f).into_iter().enumerate() {
                if e.at.day == today && e.kind != life::EventKind::Birth {
                    let time = e.at.time.map(|t| t.to_string()).unwrap_or_default();
                    let minutes = e.at.time.map(|t| t.of_day());
                    let cell = if e.struck {
                        Cell::text(e.text.clone()).struck()
                    } else {
                        Cell::text(e.text.clone())
                    };
                    events.push(Row::new((a.id, n)).number(time, minutes).tag(a.tag()).cell(
                        cell,
                        By::Text(e.text.clone()),
                        e.text,
                    ));
                }
            }
        }
    }
    events.sort_by(|a, b| a.plain[0].cmp(&b.plain[0]).then_with(|| a.plain[2].cmp(&b.plain[2])));
    held.sort_by(|a, b| hirsel_core::flock::natural(&a.plain[0], &b.plain[0]));
    young.sort_by(|a, b| hirsel_core::flock::natural(&a.plain[4], &b.plain[4]));
    let due = gestation::expected(ctx.flock, today)
        .into_iter()
        .filter(|e| e.window.early.since(today) <= AHEAD_DAYS)
        .filter_map(|e| {
            let a = ctx.flock.animal(e.ewe)?;
            let late = e.window.late.map_or("later".into(), Day::short);
            let due = if e.window.late.is_some_and(|l| l < today) {
                Cell::chip(Kind::Caution, "overdue")
            } else {
                Cell::text(e.window.due.short())
            };
            Some(
                Row::new(e.ewe)
                    .tag(a.tag())
                    .cell(due, By::Number(e.window.due.since(today)), e.window.due.short())
                    .text(format!("{} to {late}", e.window.early.short()))
                    .text(ctx.flock.tag(e.ram))
                    .text(a.pen.clone().unwrap_or_default()),
            )
        })
        .collect();
    state.counts = counts;
    state.today.set(events);
    state.held.set(held);
    state.young.set(young);
    state.due.set(due);
}

/// A young lamb and what is not yet ticked of its first hours.
fn young_row(ctx: &Ctx<'_>, f: &hirsel_core::flock::AnimalFile, days: i64) -> Row<AnimalId> {
    let a = &f.animal;
    let age = match days {
        0 => "today".into(),
        1 => "1 day".into(),
        n => format!("{n} days"),
    };
    let mut look_at = Vec::new();
    if let Some(b) = f.birth.as_ref().filter(|b| b.fate == Fate::Alive) {
        if b.sucked != Some(true) && b.colostrum.is_none() {
            look_at.push("has it sucked?");
        }
        if b.navel_dipped != Some(true) {
            look_at.push("navel");
        }
        if a.birth_weight.is_none() {
            look_at.push("weigh");
        }
        if a.tag().contains('/') {
            look_at.push("tag");
        }
    }
    let lost = f.weights().windows(2).any(|w| w[1].1 < w[0].1);
    let (cell, words) = match (lost, look_at.is_empty()) {
        (true, _) => (Cell::chip(Kind::Caution, "lost weight"), "lost weight".to_string()),
        (false, true) => (Cell::chip(Kind::Good, "all ticked"), "all ticked".to_string()),
        (false, false) => (Cell::text(look_at.join(", ")), look_at.join(", ")),
    };
    Row::new(a.id)
        .tag(a.tag())
        .text(a.sex.words())
        .number(age, Some(days))
        .text(a.dam.map(|d| ctx.flock.tag(d).to_string()).unwrap_or_default())
        .text(a.pen.clone().unwrap_or_default())
        .cell(cell, By::Text(words.clone()), words)
}
