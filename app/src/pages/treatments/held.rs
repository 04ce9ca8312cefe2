//! Who is under withdrawal now, and until when.

use super::super::list::{By, List, Row, fits, into_table, search_field, take_out};
use super::super::{Ctx, Intent, papers::PaperKind};
use crate::look::{self, Kind, space};
use crate::parts::caution;
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::natural;
use hirsel_core::phrase;
use hirsel_core::reckon::clearance::{Clear, Clearance, Side, counts_export, sold_held};
use hirsel_core::registers::held_of;
use hirsel_core::terms::Why;
use hirsel_core::terms::{AnimalId, Day, Sex};

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Held {
    made_for: Option<(u64, Day, String)>,
    /// Animals sold while under withdrawal, that still are: what the buyer must be told.
    sold: Vec<(AnimalId, String, String)>,
    list: List<AnimalId>,
    table: TableState<AnimalId>,
}

/// So many of those sold are shown.
const SOLD_SHOWN: usize = 8;

const TABLE: &str = "Under withdrawal";

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    held: &mut Held,
    search: &mut String,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let on = search_field(ui, TABLE, "tag, pen or product", into, search);
    let wanted = (ctx.flock.version(), ctx.today, search.clone());
    if held.made_for.as_ref() != Some(&wanted) {
        make(ctx, search, held);
        held.made_for = Some(wanted);
    }
    ui.horizontal(|ui| {
        let n = held.list.rows.len();
        let words = if n == 1 { phrase!("1 animal is") } else { phrase!("{n} animals are") };
        let export = counts_export(ctx.flock);
        let what = if export { "meat, milk or export" } else { "meat or milk" };
        look::faint(ui, phrase!("{words} under withdrawal for {what}"));
        let chosen = held.table.selected().iter().copied().collect::<Vec<_>>();
        if ui
            .add_enabled(!chosen.is_empty(), egui::Button::new(phrase!("Treatment log of the chosen")))
            .clicked()
        {
            out.push(Intent::Print(PaperKind::TreatmentLog, chosen));
        }
        let heads = ["tag", "what", "meat_clear_on", "milk_clear_on", "because", "export_clear_on"];
        let heads = if export { &heads[..] } else { &heads[..5] };
        take_out(ui, "under withdrawal", heads, &held.list, &mut held.table, out);
    });
    ui.add_space(space::XS);
    sold(ui, held, out);
    if held.list.rows.is_empty() {
        let words = if search.trim().is_empty() {
            "No animal is under withdrawal: meat and milk of all are clear, as far as the book knows."
        } else {
            "No animal under withdrawal fits the search."
        };
        look::paragraph(ui, words);
        return;
    }
    let mut columns = vec![
        Column::new("Animal", 110.0),
        Column::new("What", 150.0).rest(),
        Column::new("Meat", 130.0),
        Column::new("Milk", 130.0),
        Column::new("Because of", 220.0).rest(),
    ];
    if counts_export(ctx.flock) {
        columns.push(Column::new("Export", 130.0));
    }
    if on {
        into_table(ui, TABLE);
    }
    for event in RecordTable::new(TABLE, &columns).show(ui, &mut held.table, &held.list) {
        if let TableEvent::Opened(id) = event {
            out.push(Intent::Open(id));
        }
    }
}

fn make(ctx: &Ctx<'_>, search: &str, held: &mut Held) {
    let gone = sold_held(ctx.flock, ctx.today).into_iter().filter(|s| s.clearance.waits(ctx.today));
    let one = |s: hirsel_core::reckon::clearance::SoldHeld<'_>| {
        let to = s.movement.other.as_ref().map(|o| phrase!(" to {o}")).unwrap_or_default();
        let told = phrase!("sold {}{to}: {}", s.movement.on.words(), s.told.join("; "));
        (s.file.animal.id, s.file.animal.tag().to_string(), told)
    };
    held.sold = gone.map(one).filter(|(_, tag, told)| fits(search, [tag, told, ""])).collect();
    let mut rows: Vec<(Clearance, &str, Row<AnimalId>)> = ctx
        .flock
        .present()
        .filter_map(|f| {
            let c = held_of(ctx.flock, f, ctx.today)?.clearance;
            let (tag, what, because) = (f.animal.tag(), ctx.detail(f), because(&c, ctx.today));
            if !fits(search, [tag, &what, &because]) {
                return None;
            }
            let (meat, milk) = (side(&c.meat.clear, ctx.today), side(&c.milk.clear, ctx.today));
            let milking = c.milk.milking(ctx.today).filter(|_| f.animal.sex == Sex::Ewe);
            let because = milking.map_or_else(|| because.clone(), |m| format!("{because}; {m}"));
            let said = phrase!("{tag}, {}, because of {because}", c.held_words(ctx.today), tag = &tag);
            let mut row = Row::new(f.animal.id)
                .tag(tag)
                .text(what)
                .cell(meat.0, meat.1, c.meat.clear.text())
                .cell(milk.0, milk.1, c.milk.clear.text())
                .text(because)
                .said(said);
            if c.export_apart {
                let export = side(&c.export.clear, ctx.today);
                row = row.cell(export.0, export.1, c.export.clear.text());
            }
            Some((c, tag, row))
        })
        .collect();
    rows.sort_by(|(a, s, _), (b, t, _)| {
        order(a, ctx.today).cmp(&order(b, ctx.today)).then_with(|| natural(s, t))
    });
    held.list.set(rows.into_iter().map(|(.., row)| row).collect());
}

/// Those that have gone before they were clear and are not clear yet, with what the buyer must be told.
fn sold(ui: &mut egui::Ui, held: &Held, out: &mut Vec<Intent>) {
    if held.sold.is_empty() {
        return;
    }
    let n = held.sold.len();
    let animals = if n == 1 { phrase!("1 animal was") } else { phrase!("{n} animals were") };
    caution::remember(ui, Why::Withdrawal);
    let text = phrase!("{animals} sold while under withdrawal: the buyer must be told");
    look::banner(ui, Kind::Caution, &text, |ui| {
        for (id, tag, told) in held.sold.iter().take(SOLD_SHOWN) {
            ui.horizontal_wrapped(|ui| {
                if ui.link(tag).clicked() {
                    out.push(Intent::Open(*id));
                }
                ui.label(told);
            });
        }
        if n > SOLD_SHOWN {
            look::faint(ui, phrase!("and {} more: hirsel reckon BOOK clearance --sold", n - SOLD_SHOWN));
        }
    });
    ui.add_space(space::S);
}

/// What holds an animal back: one product, or one for meat and another for milk.
fn because(c: &Clearance, today: Day) -> String {
    let one = |s: &Side| {
        let given = s.given.map(|d| phrase!(", {}", d.words())).unwrap_or_default();
        (!s.clear.is_clear(today)).then(|| format!("{}{given}", s.product))
    };
    match (one(&c.meat), one(&c.milk)) {
        (Some(_), Some(milk)) if c.meat.because == c.milk.because => milk,
        (Some(meat), Some(milk)) => phrase!("meat: {meat}; milk: {milk}"),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => String::new(),
    }
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
            let day = if today.since(*d) < 300 { d.short() } else { d.words() };
            (Cell::text(phrase!("clear {day}")).faint(), By::Number(d.since(today)))
        }
        Clear::From(d) if d.since(today) < 300 => {
            (Cell::chip(Kind::Caution, d.short()), By::Number(d.since(today)))
        }
        Clear::From(d) => (Cell::chip(Kind::Caution, d.words()), By::Number(d.since(today))),
        Clear::Unknown => (Cell::chip(Kind::Caution, "unknown"), By::Number(i64::MAX - 1)),
        Clear::Never => (Cell::chip(Kind::Caution, "never"), By::Number(i64::MAX)),
    }
}
