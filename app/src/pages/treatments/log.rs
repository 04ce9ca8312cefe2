//! The log: every treatment, newest first.

use super::super::list::{By, List, Row, take_out};
use super::super::{Ctx, Intent, papers::PaperKind};
use crate::look::{self, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Field, Form};
use hirsel_core::flock::{AnimalFile, RecordRef, Treatment, natural};
use hirsel_core::reckon::clearance::clear_after;
use hirsel_core::terms::{AnimalId, Day, TreatmentId};

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Log {
    made_for: Option<(u64, Day, String)>,
    list: List<(AnimalId, TreatmentId)>,
    table: TableState<(AnimalId, TreatmentId)>,
}

const HEADS: [&str; 13] = [
    "on",
    "animal",
    "product",
    "batch",
    "dose",
    "reason",
    "given_by",
    "meat_clear_on",
    "milk_clear_on",
    "remark",
    "route",
    "site",
    "prescribed_by",
];

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    log: &mut Log,
    search: &mut String,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let mut form = Form::new(ui, "log").label_width(60.0);
    form.focus_once(ui, into, "Search");
    form.field(ui, &Field::new("Search").width(300.0).example("tag, product, batch, reason, person"), search);
    form.finish(ui);
    let wanted = (ctx.flock.version(), ctx.today, search.clone());
    if log.made_for.as_ref() != Some(&wanted) {
        make(ctx, search, log);
        log.made_for = Some(wanted);
    }
    ui.horizontal(|ui| {
        look::faint(ui, format!("{} treatments", log.list.rows.len()));
        let mut animals: Vec<AnimalId> = log.table.selected().iter().map(|(a, _)| *a).collect();
        animals.sort_unstable();
        animals.dedup();
        let word = if animals.is_empty() { "Print the log" } else { "Print the log of the chosen animals" };
        if ui.button(word).clicked() {
            out.push(Intent::Print(PaperKind::TreatmentLog, animals));
        }
        take_out(ui, "treatments", &HEADS, &log.list, &mut log.table, out);
    });
    ui.add_space(space::XS);
    if log.list.rows.is_empty() {
        look::paragraph(ui, "No treatment fits. Treatments are written under Give.");
        return;
    }
    let columns = [
        Column::new("Given on", 92.0),
        Column::new("Animal", 78.0),
        Column::new("Product", 150.0).rest(),
        Column::new("Batch", 80.0),
        Column::new("Dose", 62.0).right(),
        Column::new("Reason", 96.0).rest(),
        Column::new("Given by", 90.0),
        Column::new("Meat clear", 92.0),
        Column::new("Milk clear", 92.0),
        Column::new("Remark", 74.0),
    ];
    for event in RecordTable::new("Treatment log", &columns).show(ui, &mut log.table, &log.list) {
        if let TableEvent::Opened((id, _)) = event {
            out.push(Intent::Open(id));
        }
    }
}

fn make(ctx: &Ctx<'_>, search: &str, log: &mut Log) {
    let search = search.trim().to_lowercase();
    let mut all: Vec<(&AnimalFile, &Treatment)> = ctx
        .flock
        .files()
        .flat_map(|f| f.treatments.iter().map(move |t| (f, t)))
        .filter(|(f, t)| {
            search.is_empty()
                || [Some(f.animal.tag()), Some(&t.product), t.batch.as_deref(), t.reason.as_deref()]
                    .into_iter()
                    .chain([t.given_by.as_deref(), t.prescribed_by.as_deref(), f.animal.name.as_deref()])
                    .flatten()
                    .any(|w| w.to_lowercase().contains(&search))
        })
        .collect();
    all.sort_by(|(a, s), (b, t)| t.at.cmp(&s.at).then_with(|| natural(a.animal.tag(), b.animal.tag())));
    log.list.set(all.into_iter().map(|(f, t)| row(ctx, f, t)).collect());
}

fn row(ctx: &Ctx<'_>, f: &AnimalFile, t: &Treatment) -> Row<(AnimalId, TreatmentId)> {
    let struck = t.struck.is_some();
    let amended = !ctx.flock.amendments(RecordRef::Treatment(t.id)).is_empty();
    let cell = |text: String| {
        let c = Cell::text(text.clone());
        let c = if struck { c.struck() } else { c };
        (c, By::Text(text.clone()), text)
    };
    let mut row = Row::new((f.animal.id, t.id));
    let on = t.at.day.words();
    let c = Cell::text(on.clone());
    row = row.cell(
        if struck { c.struck() } else { c },
        By::Number(t.at.day.since(ctx.today)),
        t.at.day.to_string(),
    );
    let opt = |o: &Option<String>| o.clone().unwrap_or_default();
    let words = [
        f.animal.tag().to_string(),
        t.product.clone(),
        opt(&t.batch),
        t.dose.map(|d| d.to_string()).unwrap_or_default(),
        opt(&t.reason),
        opt(&t.given_by),
    ];
    for w in words {
        let (c, by, plain) = cell(w);
        row = row.cell(c, by, plain);
    }
    for period in [t.meat, t.milk] {
        let clear = clear_after(t.at, period);
        let (c, by) = super::held::side(&clear, ctx.today);
        let (c, by) = if struck { (Cell::empty(), By::Nothing) } else { (c, by) };
        row = row.cell(c, by, if struck { String::new() } else { clear.text() });
    }
    let remark = match (struck, amended) {
        (true, _) => "struck out",
        (false, true) => "amended",
        _ => "",
    };
    row.cell(Cell::text(remark).faint(), By::Text(remark.into()), remark)
        .hidden(t.route.map(|r| r.words().to_string()).unwrap_or_default())
        .hidden(opt(&t.site))
        .hidden(opt(&t.prescribed_by))
}
