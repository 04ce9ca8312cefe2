//! Sums of the seasons: by kind, and what was left over for each ewe and lamb.

use super::super::super::Ctx;
use crate::look::{self, space};
use hirsel_core::phrase;
use hirsel_core::reckon::flock_figures::What;
use hirsel_core::terms::MoneyKind;

/// So many seasons side by side.
const SIDE: usize = 3;

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>) {
    let Some(years) = ctx.years else { return };
    let shown: Vec<i32> = years.purses.keys().rev().take(SIDE).rev().copied().collect();
    if shown.is_empty() {
        return;
    }
    let units = ctx.units();
    look::subheading(ui, "Sums of the seasons");
    egui::Grid::new("money sums")
        .num_columns(shown.len() + 1)
        .min_col_width(72.0)
        .spacing([space::M, space::XS])
        .show(ui, |ui| {
            ui.label("");
            for y in &shown {
                let layout = egui::Layout::right_to_left(egui::Align::Center);
                ui.with_layout(layout, |ui| look::strong(ui, y.to_string()));
            }
            ui.end_row();
            for income in [false, true] {
                for kind in MoneyKind::ALL.iter().filter(|k| k.is_income() == income) {
                    let of = |y: &i32| years.purses.get(y).and_then(|p| p.kinds.get(kind)).map(|k| k.0);
                    if shown.iter().all(|y| of(y).is_none()) {
                        continue;
                    }
                    look::faint(ui, kind.words());
                    for y in &shown {
                        right(ui, of(y).map_or_else(|| "–".into(), cents));
                    }
                    ui.end_row();
                }
                let (name, what) = if income { ("Taken", What::Taken) } else { ("Spent", What::Spent) };
                look::strong(ui, name);
                for y in &shown {
                    right(ui, years.figure(*y, what).shown(units));
                }
                ui.end_row();
            }
            for (name, what) in [
                ("Gross margin", What::Margin),
                ("for each ewe joined", What::MarginEwe),
                ("for each lamb weaned", What::MarginLamb),
                ("a lamb must bring", What::BreakEven),
            ] {
                look::strong(ui, name);
                for y in &shown {
                    let f = years.figure(*y, what);
                    let base = f.of.map_or_else(String::new, |n| phrase!(" of {n}"));
                    right(ui, phrase!("{}{base}", f.shown(units)));
                }
                ui.end_row();
            }
        });
    let groups: Vec<String> = shown
        .last()
        .and_then(|y| years.purses.get(y))
        .map(|p| {
            p.groups
                .iter()
                .filter(|(g, _)| !g.is_empty())
                .map(|(g, n)| format!("{g} {}", cents(*n)))
                .collect()
        })
        .unwrap_or_default();
    if !groups.is_empty() {
        look::faint(ui, phrase!("Left over by group in the last season: {}.", groups.join(", ")));
    }
    look::faint(
        ui,
        "Gross margin is what was taken less what was spent, rams and ewes bought among it; change of stock is not in it. \
         A lamb must bring its share of feed, vet, bedding, shearing, tags, market and other costs, over the lambs sold. \
         Common practice, no source.",
    );
}

fn right(ui: &mut egui::Ui, text: String) {
    ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| ui.label(text));
}

fn cents(n: i64) -> String {
    let sign = if n < 0 { "−" } else { "" };
    format!("{sign}{}.{:02}", n.abs() / 100, n.abs() % 100)
}
