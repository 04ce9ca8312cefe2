//! What each animal is to be given, from its last weight, and what to draw up in all.

use super::super::Ctx;
use super::super::list::{By, List, Row, height};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableState};
use hirsel_core::flock::Product;
use hirsel_core::reckon::clearance::clearance;
use hirsel_core::terms::{AnimalId, Day, Dose, DoseRule};

/// What the table was made for.
type Made = (u64, Vec<AnimalId>, Option<String>, bool, Option<Dose>, Day);

/// The table of doses.
#[derive(Debug, Default)]
pub(super) struct Doses {
    made_for: Option<Made>,
    list: List<AnimalId>,
    total: Option<String>,
    table: TableState<AnimalId>,
}

#[expect(clippy::too_many_arguments)] // what a dose hangs on
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    animals: &[AnimalId],
    product: Option<&Product>,
    by_rule: bool,
    typed: Option<Dose>,
    on: Day,
    doses: &mut Doses,
) {
    let wanted = (ctx.flock.version(), animals.to_vec(), product.map(|p| p.name.clone()), by_rule, typed, on);
    if doses.made_for.as_ref() != Some(&wanted) {
        make(ctx, animals, product.filter(|_| by_rule), typed, on, doses);
        doses.made_for = Some(wanted);
    }
    look::subheading(ui, "Doses");
    if animals.is_empty() {
        look::faint(ui, "Choose an animal or a pen: each one’s last weight and dose appear here.");
        return;
    }
    let columns = [
        Column::new("Animal", 84.0).rest(),
        Column::new("Last weight", 96.0).right(),
        Column::new("Weighed", 90.0),
        Column::new("Dose", 90.0),
    ];
    let size = egui::vec2(ui.available_width(), height(doses.list.rows.len(), 1, 12));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        RecordTable::new("Doses", &columns).single().show(ui, &mut doses.table, &doses.list);
    });
    ui.add_space(space::XS);
    if let Some(total) = &doses.total {
        look::strong(ui, total);
    }
    if let Some(p) = product {
        look::faint(ui, super::give::facts(p));
    }
}

fn make(
    ctx: &Ctx<'_>,
    animals: &[AnimalId],
    rule: Option<&Product>,
    typed: Option<Dose>,
    on: Day,
    doses: &mut Doses,
) {
    let mut total_ml = 0.0;
    let mut counted = 0;
    let rows = animals
        .iter()
        .filter_map(|id| ctx.flock.file(*id))
        .map(|f| {
            let weighed = f.last_weight(on);
            let dose = match rule {
                Some(p) => p.rule.dose(weighed.map(|(_, w)| w)),
                None => typed,
            };
            if let Some(ml) = dose.and_then(Dose::ml) {
                total_ml += ml;
                counted += 1;
            }
            let (age, days) = match weighed {
                Some((day, _)) if day == on => ("today".to_string(), Some(0)),
                Some((day, _)) => (format!("{} days ago", on.since(day)), Some(on.since(day))),
                None => ("never".to_string(), None),
            };
            let stale = days.is_some_and(|d| d > if f.animal.is_lamb(on) { 14 } else { 90 });
            let by_weight = rule.is_some_and(|p| matches!(p.rule, DoseRule::PerKg(_)));
            let age_cell = if by_weight && (stale || days.is_none()) {
                Cell::chip(Kind::Caution, age.clone())
            } else {
                Cell::text(age.clone()).faint()
            };
            let dose_cell = match dose {
                Some(d) => Cell::text(d.to_string()).strong(),
                None if by_weight => Cell::chip(Kind::Refuse, "weigh it"),
                None => Cell::text("not typed").faint(),
            };
            let dose_words = dose.map(|d| d.to_string()).unwrap_or_default();
            let held = clearance(f, on).is_held(on);
            let tag = if held { format!("{} (held)", f.animal.tag()) } else { f.animal.tag().to_string() };
            Row::new(f.animal.id)
                .tag(tag)
                .number(
                    weighed.map(|(_, w)| w.show(ctx.units())).unwrap_or_default(),
                    weighed.map(|(_, w)| w.grams()),
                )
                .cell(age_cell, By::number(days), age)
                .cell(dose_cell, By::Text(dose_words.clone()), dose_words)
        })
        .collect();
    doses.list.set(rows);
    doses.total = (counted > 1)
        .then(|| Dose::from_ml(total_ml))
        .flatten()
        .map(|d| format!("To draw up for {counted} animals: {d}"));
}
