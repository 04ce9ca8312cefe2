//! What each animal is to be given, from its last weight, and what to draw up in all.

use super::super::Ctx;
use super::super::list::{By, List, Row, height};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableState};
use hirsel_core::flock::Product;
use hirsel_core::handbook::dosing::waste_percent;
use hirsel_core::phrase;
use hirsel_core::reckon::dosing::{Band, Drawn, Rounding, bands, draw_up, pen_total, per_site};
use hirsel_core::terms::{AnimalId, Day, Dose, DoseRule, Weight, counted};
use std::collections::HashMap;

/// What the table was made for.
type Made = (
    u64,
    Vec<AnimalId>,
    Option<String>,
    bool,
    Option<Dose>,
    Day,
    Option<Weight>,
    (Option<Dose>, Option<Weight>),
);

/// The table of doses.
#[derive(Debug, Default)]
pub(super) struct Doses {
    made_for: Option<Made>,
    list: List<AnimalId>,
    total: Option<String>,
    /// Without a weight and so without a dose.
    unweighed: usize,
    /// How the doses are drawn up and split, said once.
    drawing: Vec<String>,
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
    /// A weight for those that were not weighed.
    pub(super) estimated: Option<Weight>,
    /// An amount for all together, in place of doses.
    pub(super) shared: Option<Dose>,
    /// How wide the weight bands are, where each is dosed by its heaviest.
    pub(super) band: Option<Weight>,
}

/// The animals in bands of weight, each dosed by its heaviest; none where the rule does not go by weight.
pub(super) fn banded(ctx: &Ctx<'_>, given: &Given<'_>) -> Vec<Band<AnimalId>> {
    let (Some(p), Some(width)) = (given.product.filter(|_| given.by_rule), given.band) else {
        return Vec::new();
    };
    if !matches!(p.rule, DoseRule::PerKg(_)) || given.shared.is_some() {
        return Vec::new();
    }
    let weight = |id: &AnimalId| {
        let f = ctx.flock.file(*id)?;
        Some((*id, f.last_weight(given.on).map(|(_, w)| w).or(given.estimated)?))
    };
    let weights: Vec<(AnimalId, Weight)> = given.animals.iter().filter_map(weight).collect();
    bands(&weights, width, p.rule, p.more.most)
}

/// What each animal of a band is given.
pub(super) fn dose_of(band: &Band<AnimalId>) -> Option<Dose> {
    band.drawn.as_ref().map(|d| d.drawn).or(band.dose)
}

/// Draws the table, at most so many rows high, and what to draw up in all.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, given: &Given<'_>, most: usize, doses: &mut Doses) {
    let product = given.product.map(|p| p.name.clone());
    let wanted = (
        ctx.flock.version(),
        given.animals.to_vec(),
        product,
        given.by_rule,
        given.typed,
        given.on,
        given.estimated,
        (given.shared, given.band),
    );
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
        Column::new("Animal", 64.0).rest(),
        Column::new("Last weight", 90.0).right(),
        Column::new("Weighed", 98.0),
        Column::new("Dose", 128.0),
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
    for words in &doses.drawing {
        look::faint(ui, words);
    }
    if doses.unweighed > 0 {
        let n = doses.unweighed;
        let them = if n == 1 { phrase!("1 animal has") } else { phrase!("{n} animals have") };
        look::word(ui, Kind::Refuse, phrase!("{them} no weight: weigh first, or type the dose"));
    }
    if let Some(p) = given.product {
        look::faint(ui, super::give::facts(p));
    }
}

fn make(ctx: &Ctx<'_>, given: &Given<'_>, doses: &mut Doses) {
    let (on, rule) = (given.on, given.product.filter(|_| given.by_rule && given.shared.is_none()));
    let mut all: Vec<Dose> = Vec::new();
    let mut drawn_any: Option<Drawn> = None;
    doses.unweighed = 0;
    let by_band = banded(ctx, given);
    let of_band: HashMap<AnimalId, Dose> = by_band
        .iter()
        .filter_map(|b| Some((b, dose_of(b)?)))
        .flat_map(|(b, dose)| b.animals.iter().map(move |id| (*id, dose)))
        .collect();
    let rows = given
        .animals
        .iter()
        .filter_map(|id| ctx.flock.file(*id))
        .map(|f| {
            let weighed = f.last_weight(on);
            let exact = match rule {
                Some(p) => p.rule.dose(weighed.map(|(_, w)| w).or(given.estimated)),
                None if given.shared.is_some() => None,
                None => given.typed,
            };
            let drawn =
                rule.and(exact).and_then(|e| draw_up(e, rule.and_then(|p| p.more.most), Rounding::Nearest));
            let banded = of_band.get(&f.animal.id).copied();
            let dose = banded.or(drawn.as_ref().map(|d| d.drawn)).or(exact);
            all.extend(dose);
            if let Some(d) = drawn.filter(|d| drawn_any.as_ref().is_none_or(|b| d.drawn > b.drawn)) {
                drawn_any = Some(d);
            }
            let (age, days) = match weighed {
                Some((day, _)) if day == on => (phrase!("today"), Some(0)),
                Some((day, _)) => (ago(on.since(day)), Some(on.since(day))),
                None if given.estimated.is_some() => (phrase!("guessed"), None),
                None => (phrase!("never"), None),
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
                Some(d) if exact.is_some_and(|e| e != d) => {
                    Cell::text(format!("{d} ({})", exact.map(|e| e.to_string()).unwrap_or_default())).strong()
                }
                Some(d) => Cell::text(d.to_string()).strong(),
                None if by_weight => Cell::chip(Kind::Refuse, "weigh it"),
                None if given.shared.is_some() => Cell::text("a share").faint(),
                None => Cell::text("not typed").faint(),
            };
            let dose_words = dose.map(|d| d.to_string()).unwrap_or_default();
            Row::new(f.animal.id)
                .tag(f.animal.tag())
                .number(
                    weighed
                        .map(|(_, w)| w)
                        .or(given.estimated)
                        .map(|w| w.show(ctx.units()))
                        .unwrap_or_default(),
                    weighed.map(|(_, w)| w.grams()),
                )
                .cell(age_cell, By::number(days), age)
                .cell(dose_cell, By::Text(dose_words.clone()), dose_words)
        })
        .collect();
    doses.list.set(rows);
    doses.total = pen_total(&all, waste_percent()).filter(|t| t.doses > 1).map(|t| {
        let waste = phrase!("{} with {} % for what stays in the syringe", t.with_waste, waste_percent());
        phrase!("To draw up for {} animals: {} ({waste})", t.doses, t.exact)
    });
    if let Some(whole) = given.shared {
        let n = given.animals.len().max(1);
        let each = match whole {
            Dose::Volume(ul) => u32::try_from(n).ok().map(|n| Dose::Volume(ul / n)),
            Dose::Mass(ug) => Some(Dose::Mass(ug / n as u64)),
            Dose::Pieces(_) => None,
        };
        let each = each.map(|d| phrase!(", some {d} each")).unwrap_or_default();
        doses.total = Some(phrase!("{whole} for {} together{each}", counted(n, "animal")));
    }
    doses.drawing.clear();
    for b in &by_band {
        let dose = dose_of(b).map(|d| d.to_string()).unwrap_or_default();
        let n = counted(b.animals.len(), "animal");
        doses.drawing.push(phrase!("{}: {n}, {dose} each", b.words(ctx.units())));
        doses.drawing.extend(b.warnings());
    }
    doses.drawing.extend(drawn_any.map(|d| phrase!("The largest dose: {}", d.words())));
    let most = given.product.and_then(|p| p.more.site_most);
    if let (Some(most), Some(largest)) = (most, all.iter().max().copied()) {
        let parts = per_site(largest, most);
        if parts.len() > 1 {
            let parts: Vec<String> = parts.iter().map(ToString::to_string).collect();
            let words = phrase!(
                "At most {most} at one place by the label: {} in {} places",
                parts.join(" and "),
                parts.len()
            );
            doses.drawing.push(words);
        }
    }
}

fn ago(days: i64) -> String {
    if days == 1 { phrase!("yesterday") } else { phrase!("{days} days ago") }
}
