//! What each animal is to be given, from its last weight, and what to draw up in all.

use super::super::Ctx;
use super::super::list::{By, List, Row, height};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableState};
use hirsel_core::flock::Product;
use hirsel_core::terms::{AnimalId, Day, Dose, DoseRule};

/// What the table was made for.
type Made = (u64, Vec<AnimalId>, Option<String>, bool, Option<Dose>, Day);

/// The table of doses.
#[derive(Debug, Default)]
pub(super) struct Doses {
    made_for: Option<Made>,
    list: List<AnimalId>,
    total: Option<String>,
    /// Without a weight and so without a dose.
    unweighed: usize,
    table: TableState<AnimalId>,
}

/// What a dose hangs on.
pub(super) struct Given<'a> {
    pub(super) animals: &'a [AnimalId],
    pub(super) product: Option<&'a Product>,
    /// By the product's rule; else as typed.
    pub(super) by_rule: bool,
    pub(super) typed: Option<Dose>,
    pub(super) on: Day,
}

/// Draws the table, at most so many rows high, and what to draw up in all.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, given: &Given<'_>, most: usize, doses: &mut Doses) {
    let product = given.product.map(|p| p.name.clone());
    let wanted = (ctx.flock.version(), given.animals.to_vec(), product, given.by_rule, given.typed, given.on);
    if doses.made_for.as_ref() != Some(&wanted) {
        make(ctx, given, doses);
        doses.made_for = Some(wanted);
    }
    look::subheading(ui, "Doses");
    if given.animals.is_empty() {
        look::faint(ui, "Choose an animal or a pen: each one’s last weight and dose appear here.");
        return;
    }
    let columns = [
        Column::new("Animal", 82.0).rest(),
        Column::new("Last weight", 86.0).right(),
        Column::new("Weighed", 122.0),
        Column::new("Dose", 82.0),
    ];
    let size = egui::vec2(ui.available_width(), height(doses.list.rows.len(), 1, most));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        RecordTable::new("Doses", &columns).single().show(ui, &mut doses.table, &doses.list);
    });
    ui.add_space(space::XS);
    if let Some(total) = &doses.total {
        look::strong(ui, total);
    }
    if doses.unweighed > 0 {
        let n = doses.unweighed;
        let them = if n == 1 { "1 animal has".into() } else { format!("{n} animals have") };
        look::word(ui, Kind::Refuse, &format!("{them} no weight: weigh first, or type the dose"));
    }
    if let Some(p) = given.product {
        look::faint(ui, super::give::facts(p));
    }
}

fn make(ctx: &Ctx<'_>, given: &Given<'_>, doses: &mut Doses) {
    let (on, rule) = (given.on, given.product.filter(|_| given.by_rule));
    let mut total_ml = 0.0;
    let mut counted = 0;
    doses.unweighed = 0;
    let rows = given
        .animals
        .iter()
        .filter_map(|id| ctx.flock.file(*id))
        .map(|f| {
            let weighed = f.last_weight(on);
            let dose = match rule {
                Some(p) => p.rule.dose(weighed.map(|(_, w)| w)),
                None => given.typed,
            };
            if let Some(ml) = dose.and_then(Dose::ml) {
                total_ml += ml;
                counted += 1;
            }
            let (age, days) = match weighed {
                Some((day, _)) if day == on => ("today".to_string(), Some(0)),
                Some((day, _)) => (ago(on.since(day)), Some(on.since(day))),
                None => ("never".to_string(), None),
            };
            let stale = days.is_some_and(|d| d > if f.animal.is_lamb(on) { 14 } else { 90 });
            let by_weight = rule.is_some_and(|p| matches!(p.rule, DoseRule::PerKg(_)));
            let age_cell = if by_weight && (stale || days.is_none()) {
                Cell::chip(Kind::Caution, age.clone())
            } else {
                Cell::text(age.clone()).faint()
            };
            if by_weight && dose.is_none() {
                doses.unweighed += 1;
            }
            let dose_cell = match dose {
                Some(d) => Cell::text(d.to_string()).strong(),
                None if by_weight => Cell::chip(Kind::Refuse, "weigh it"),
                None => Cell::text("not typed").faint(),
            };
            let dose_words = dose.map(|d| d.to_string()).unwrap_or_default();
            Row::new(f.animal.id)
                .tag(f.animal.tag())
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

fn ago(days: i64) -> String {
    if days == 1 { "yesterday".into() } else { format!("{days} days ago") }
}
