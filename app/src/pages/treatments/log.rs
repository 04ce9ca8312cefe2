//! The log: every treatment, newest first.

use super::super::list::{By, List, Row, fits, into_table, search_field, take_out};
use super::super::{Ctx, Intent, papers::PaperKind};
use crate::look::{self, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::{AnimalFile, RecordRef, Treatment, natural};
use hirsel_core::phrase;
use hirsel_core::reckon::clearance::{Clear, clear_after};
use hirsel_core::terms::{AnimalId, Day, TreatmentId};

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Log {
    made_for: Option<(u64, Day, String)>,
    list: List<(AnimalId, TreatmentId)>,
    table: TableState<(AnimalId, TreatmentId)>,
}

/// What must be seen first stands first: at a small window the rest is scrolled to.
const HEADS: [&str; 17] = [
    "on",
    "animal",
    "product",
    "dose",
    "meat_clear_on",
    "milk_clear_on",
    "remark",
    "reason",
    "batch",
    "route",
    "given_by",
    "site",
    "prescribed_by",
    "off_label",
    "course",
    "given_by_vet",
    "prescription",
];

const TABLE: &str = "Treatment log";

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    log: &mut Log,
    search: &mut String,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let on = search_field(ui, TABLE, "tag, product, batch, reason, person, day", into, search);
    let wanted = (ctx.flock.version(), ctx.today, search.clone());
    if log.made_for.as_ref() != Some(&wanted) {
        make(ctx, search, log);
        log.made_for = Some(wanted);
    }
    ui.horizontal(|ui| {
        let n = log.list.rows.len();
        look::faint(ui, if n == 1 { phrase!("1 treatment") } else { phrase!("{n} treatments") });
        let mut animals: Vec<AnimalId> = log.table.selected().iter().map(|(a, _)| *a).collect();
        animals.sort_unstable();
        animals.dedup();
        let word = if animals.is_empty() { "Print the log" } else { "Print the log of the chosen animals" };
        if ui.button(crate::look::spoken(word)).clicked() {
            out.push(Intent::Print(PaperKind::TreatmentLog, animals));
        }
        take_out(ui, "treatments", &HEADS, &log.list, &mut log.table, out);
    });
    ui.add_space(space::XS);
    if log.list.rows.is_empty() {
        let words = if search.trim().is_empty() {
            "No treatment yet: write the first one under Give (Ctrl+Page up), and it stands here with its clear days."
        } else {
            "No treatment fits the search."
        };
        look::paragraph(ui, words);
        return;
    }
    let columns = [
        Column::new("Given on", 98.0),
        Column::new("Animal", 90.0),
        Column::new("Product", 140.0).rest(),
        Column::new("Dose", 80.0).right(),
        Column::new("Meat clear", 102.0),
        Column::new("Milk clear", 102.0),
        Column::new("Remark", 110.0),
        Column::new("Reason", 110.0).rest(),
        Column::new("Batch", 92.0),
        Column::new("Route", 112.0),
        Column::new("Given by", 120.0),
    ];
    // In a smaller window the last two are told below, for the row in hand.
    let columns = if ui.available_width() > 1200.0 { &columns[..] } else { &columns[..9] };
    let size = (ui.available_size() - egui::vec2(0.0, IN_HAND)).max(egui::vec2(0.0, 120.0));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if on {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, columns).show(ui, &mut log.table, &log.list) {
            if let TableEvent::Opened((id, _)) = event {
                out.push(Intent::Open(id));
            }
        }
    });
    in_hand(ui, ctx, log.table.cursor());
}

/// Room for the row in hand, in words.
const IN_HAND: f32 = 46.0;

/// All that is known of the row in hand, uncut.
fn in_hand(ui: &mut egui::Ui, ctx: &Ctx<'_>, cursor: Option<(AnimalId, TreatmentId)>) {
    let found = cursor.and_then(|(animal, id)| {
        let f = ctx.flock.file(animal)?;
        Some((f, f.treatments.iter().find(|t| t.id == id)?))
    });
    let Some((f, t)) = found else {
        look::faint(
            ui,
            "Arrows go from row to row: the row in hand is told here in full. Enter opens the animal.",
        );
        return;
    };
    ui.add(egui::Label::new(egui::RichText::new(whole(ctx, f, t)).small()).wrap());
}

/// `0134, 8 Apr 2026: drench X, batch B-9, 6.35 ml by mouth; reason: lame; given by Tam; meat clear …`.
fn whole(ctx: &Ctx<'_>, f: &AnimalFile, t: &Treatment) -> String {
    let mut words = phrase!("{}, {}: {}", f.animal.title(), t.at.words(), t.product);
    let mut add = |before: &str, what: Option<&str>| {
        if let Some(what) = what {
            words.push_str(before);
            words.push_str(what);
        }
    };
    add(", batch ", t.batch.as_deref());
    add(", ", course(t).map(|c| phrase!("dose {c}")).as_deref());
    add(", ", t.dose.map(|d| d.to_string()).as_deref());
    add(", ", t.route.map(|r| look::said(r.words())).as_deref());
    add(", ", t.site.as_deref());
    add("; reason: ", t.reason.as_deref());
    add("; given by ", t.given_by.as_deref());
    add("", t.more.vet_gave.then_some(", a vet"));
    add("; prescribed by ", t.prescribed_by.as_deref());
    add("; prescription ", script(ctx, t).as_deref());
    add("; off-label: ", t.more.off_label.as_deref());
    match &t.struck {
        Some(struck) => add("; struck out: ", Some(&struck.reason)),
        None => {
            add("; meat: ", Some(&clear_after(t.at, t.meat).words()));
            add("; milk: ", Some(&clear_after(t.at, t.milk).words()));
            let tracked = ctx.flock.rules().is_some_and(|r| r.tracks_export());
            let export = tracked.then(|| clear_after(t.at, t.more.export).words());
            add("; meat for export: ", export.as_deref());
        }
    }
    let amended = ctx.flock.amendments(RecordRef::Treatment(t.id)).last();
    add("; amended: ", amended.map(|a| a.reason.as_str()));
    words
}

fn make(ctx: &Ctx<'_>, search: &str, log: &mut Log) {
    let mut all: Vec<(&AnimalFile, &Treatment, String)> = ctx
        .flock
        .files()
        .flat_map(|f| f.treatments.iter().map(move |t| (f, t, remark(ctx, t))))
        .filter(|(f, t, remark)| fits_row(search, f, t, remark))
        .collect();
    all.sort_by(|(a, s, _), (b, t, _)| t.at.cmp(&s.at).then_with(|| natural(a.animal.tag(), b.animal.tag())));
    log.list.set(all.into_iter().map(|(f, t, remark)| row(ctx, f, t, &remark)).collect());
}

/// What became of a record, and what sets it apart.
fn remark(ctx: &Ctx<'_>, t: &Treatment) -> String {
    let became = if t.struck.is_some() {
        Some(phrase!("struck out"))
    } else {
        let amended = !ctx.flock.amendments(RecordRef::Treatment(t.id)).is_empty();
        amended.then(|| phrase!("amended"))
    };
    let off = t.more.off_label.is_some().then(|| phrase!("off-label"));
    let all: Vec<String> = became.into_iter().chain(off).chain(course(t)).collect();
    all.join(", ")
}

/// `2 of 3`.
fn course(t: &Treatment) -> Option<String> {
    t.more.course.map(|c| phrase!("{} of {}", c.nth, c.of))
}

/// Number of the prescription, or its day where it has none.
fn script(ctx: &Ctx<'_>, t: &Treatment) -> Option<String> {
    let p = ctx.flock.cupboard().prescription(t.more.prescription?)?;
    Some(p.number.clone().unwrap_or_else(|| phrase!("of {}", p.on.words())))
}

fn fits_row(search: &str, f: &AnimalFile, t: &Treatment, remark: &str) -> bool {
    if search.trim().is_empty() {
        return true;
    }
    let (on, iso) = (t.at.day.words(), t.at.day.to_string());
    let known = [f.animal.tag(), &t.product, &on, &iso, remark, t.route.map_or("", |r| r.words())];
    let written =
        [&f.animal.name, &t.batch, &t.reason, &t.given_by, &t.prescribed_by, &t.site, &t.more.off_label];
    fits(search, known.into_iter().chain(written.into_iter().filter_map(|w| w.as_deref())))
}

fn row(ctx: &Ctx<'_>, f: &AnimalFile, t: &Treatment, remark: &str) -> Row<(AnimalId, TreatmentId)> {
    let struck = t.struck.is_some();
    let cell = |text: &str| {
        if struck { Cell::text(text.to_string()).struck() } else { Cell::text(text.to_string()) }
    };
    let word = |row: Row<_>, text: &str| row.cell(cell(text), By::Text(text.into()), text);
    let mut row = Row::new((f.animal.id, t.id)).cell(
        cell(&t.at.day.words()),
        By::Number(t.at.day.since(ctx.today)),
        t.at.day.to_string(),
    );
    for text in [f.animal.tag(), &t.product, &t.dose.map(|d| d.to_string()).unwrap_or_default()] {
        row = word(row, text);
    }
    for period in [t.meat, t.milk] {
        let clear = clear_after(t.at, period);
        let (cell, by) = if struck {
            (Cell::empty(), By::Nothing)
        } else {
            (clear_cell(&clear, ctx.today), by(&clear, ctx))
        };
        row = row.cell(cell, by, if struck { String::new() } else { clear.text() });
    }
    row = row.cell(Cell::text(remark.to_string()).faint(), By::Text(remark.into()), remark);
    let route = t.route.map(|r| r.words()).unwrap_or_default();
    for text in [&opt(&t.reason), &opt(&t.batch), route, &opt(&t.given_by)] {
        row = word(row, text);
    }
    let vet = if t.more.vet_gave { "yes" } else { "" };
    row.hidden(opt(&t.site))
        .hidden(opt(&t.prescribed_by))
        .hidden(opt(&t.more.off_label))
        .hidden(course(t).unwrap_or_default())
        .hidden(vet)
        .hidden(script(ctx, t).unwrap_or_default())
}

/// A clear day under its own head: with a mark while it is ahead, with its year once it is past.
fn clear_cell(clear: &Clear, today: Day) -> Cell {
    match clear {
        Clear::From(d) if *d <= today => Cell::text(d.words()).faint(),
        _ => super::held::side(clear, today).0,
    }
}

fn by(clear: &Clear, ctx: &Ctx<'_>) -> By {
    super::held::side(clear, ctx.today).1
}

/// Words as they are shown; nothing for none.
fn opt(words: &Option<impl AsRef<str>>) -> String {
    words.as_ref().map(|w| w.as_ref().to_string()).unwrap_or_default()
}
