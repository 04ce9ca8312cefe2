//! Who is under withdrawal now, and until when.

use super::super::list::{By, List, Row, take_out};
use super::super::{Ctx, Intent, papers::PaperKind};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Field, Form};
use hirsel_core::reckon::clearance::{Clear, Clearance, clearance};
use hirsel_core::terms::{AnimalId, Day, norm};

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Held {
    made_for: Option<(u64, Day, String)>,
    list: List<AnimalId>,
    table: TableState<AnimalId>,
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    held: &mut Held,
    search: &mut String,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let mut form = Form::new(ui, "held").label_width(60.0);
    form.focus_once(ui, into, "Search");
    form.field(ui, &Field::new("Search").width(260.0).example("tag or product"), search);
    form.finish(ui);
    let wanted = (ctx.flock.version(), ctx.today, search.clone());
    if held.made_for.as_ref() != Some(&wanted) {
        make(ctx, search, held);
        held.made_for = Some(wanted);
    }
    ui.horizontal(|ui| {
        look::faint(ui, format!("{} animals are under withdrawal for meat or milk", held.list.rows.len()));
        let chosen = held.table.selected().iter().copied().collect::<Vec<_>>();
        if ui.add_enabled(!chosen.is_empty(), egui::Button::new("Treatment log of the chosen")).clicked() {
            out.push(Intent::Print(PaperKind::TreatmentLog, chosen));
        }
        let heads = ["tag", "what", "meat_clear_on", "milk_clear_on", "because"];
        take_out(ui, "under withdrawal", &heads, &held.list, &mut held.table, out);
    });
    ui.add_space(space::XS);
    if held.list.rows.is_empty() {
        look::paragraph(
            ui,
            "No animal is under withdrawal: meat and milk of all are clear, as far as the book knows.",
        );
        return;
    }
    let columns = [
        Column::new("Animal", 110.0),
        Column::new("What", 150.0).rest(),
        Column::new("Meat", 130.0),
        Column::new("Milk", 130.0),
        Column::new("Because of", 220.0).rest(),
    ];
    for event in RecordTable::new("Under withdrawal", &columns).show(ui, &mut held.table, &held.list) {
        if let TableEvent::Opened(id) = event {
            out.push(Intent::Open(id));
        }
    }
}

fn make(ctx: &Ctx<'_>, search: &str, held: &mut Held) {
    let search = norm(search);
    let mut rows: Vec<(Clearance, Row<AnimalId>)> = ctx
        .flock
        .present()
        .filter_map(|f| {
            let c = clearance(f, ctx.today);
            let fits = search.is_empty()
                || norm(f.animal.tag()).contains(&search)
                || norm(&c.because()).contains(&search);
            (c.is_held(ctx.today) && fits).then(|| {
                let (meat, milk) = (side(&c.meat.clear, ctx.today), side(&c.milk.clear, ctx.today));
                let row = Row::new(f.animal.id)
                    .tag(f.animal.tag())
                    .text(ctx.detail(f))
                    .cell(meat.0, meat.1, c.meat.clear.text())
                    .cell(milk.0, milk.1, c.milk.clear.text())
                    .text(c.because())
                    .said(format!(
                        "{}, {}, because of {}",
                        f.animal.tag(),
                        c.held_words(ctx.today),
                        c.because()
                    ));
                (c, row)
            })
        })
        .collect();
    rows.sort_by_cached_key(|(c, r)| (order(c, ctx.today), r.plain[0].clone()));
    held.list.set(rows.into_iter().map(|(_, r)| r).collect());
}

/// Who is clear next comes first.
fn order(c: &Clearance, today: Day) -> i64 {
    let one = |clear: &Clear| match clear {
        Clear::Free => 0,
        Clear::From(d) => d.since(today).max(0),
        Clear::Unknown => i64::MAX - 1,
        Clear::Never => i64::MAX,
    };
    match (one(&c.meat.clear), one(&c.milk.clear)) {
        (0, m) | (m, 0) => m,
        (a, b) => a.min(b),
    }
}

/// The cell of one side and what it sorts by.
pub(in super::super) fn side(clear: &Clear, today: Day) -> (Cell, By) {
    match clear {
        Clear::Free => (Cell::empty(), By::Nothing),
        Clear::From(d) if *d <= today => {
            (Cell::text(format!("clear {}", d.short())).faint(), By::Number(d.since(today)))
        }
        Clear::From(d) if d.since(today) < 300 => {
            (Cell::chip(Kind::Caution, d.short()), By::Number(d.since(today)))
        }
        Clear::From(d) => (Cell::chip(Kind::Caution, d.words()), By::Number(d.since(today))),
        Clear::Unknown => (Cell::chip(Kind::Caution, "unknown"), By::Number(i64::MAX - 1)),
        Clear::Never => (Cell::chip(Kind::Caution, "never"), By::Number(i64::MAX)),
    }
}
