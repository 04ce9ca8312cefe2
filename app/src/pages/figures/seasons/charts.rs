//! The charts of the seasons.

use crate::look::{self, space};
use crate::parts::bars::{Dot, Dots};
use hirsel_core::phrase;
use hirsel_core::reckon::flock_figures::{What, Years};
use hirsel_core::terms::Units;

/// What is drawn, in this order.
const DRAWN: [What; 6] = [
    What::Fertility,
    What::PerLambed,
    What::AlivePercent,
    What::Loss,
    What::WeanedExposed,
    What::SixtyWeight,
];

/// The charts for some seasons, the last one looked at.
pub(super) fn make(years: &Years, shown: &[i32], units: Units) -> Vec<Dots> {
    DRAWN.iter().map(|w| one(years, shown, *w, units)).collect()
}

fn one(years: &Years, shown: &[i32], what: What, units: Units) -> Dots {
    let Some(at) = shown.last().copied() else { return Dots::default() };
    let now = years.compared(at, what, 4);
    let figures: Vec<_> = shown.iter().map(|y| (*y, years.figure(*y, what))).collect();
    let dots = figures
        .iter()
        .map(|(y, f)| Dot {
            name: y.to_string(),
            value: f.value,
            shown: f.shown(units),
            under: f.of.map_or_else(String::new, |n| phrase!("of {n}")),
            now: *y == at,
            few: f.of.is_some_and(|n| n < years.settings.few),
        })
        .collect();
    let mut said = phrase!("Chart. {}: ", what.name());
    let all: Vec<String> =
        figures.iter().map(|(y, f)| phrase!("{y} {} {}", f.shown(units), f.base())).collect();
    said.push_str(&all.join(", "));
    if let Some((mean, n)) = now.before {
        said.push_str(&phrase!(". Mean of the {n} before: {}", what.show(mean, units)));
    }
    let mut foot = String::new();
    if let Some(r) = now.range {
        foot = phrase!("Handbook: {}. {}", r.words, r.ground);
        said.push_str(&format!(". {foot}"));
    }
    if let Some(note) = now.figure.note.as_ref().filter(|_| now.figure.value.is_none()) {
        foot = if foot.is_empty() { note.clone() } else { format!("{note}. {foot}") };
    }
    Dots {
        title: what.name().into(),
        base: phrase!("of {}", what.base()),
        dots,
        range: now.range.map(|r| (r.from, r.to)),
        mean: now.before.map(|b| b.0),
        from_nothing: true,
        said,
        foot,
    }
}

/// Draws them, three in a row where there is room.
pub(super) fn view(ui: &mut egui::Ui, charts: &[Dots]) {
    let room = ui.available_width();
    let across = if room > 980.0 {
        3
    } else if room > 620.0 {
        2
    } else {
        1
    };
    let pad = 2.0 * space::M + space::M;
    let wide = (room / across as f32 - pad).clamp(200.0, 460.0);
    for row in charts.chunks(across) {
        ui.horizontal_top(|ui| {
            for chart in row {
                look::card(ui, |ui| chart.show(ui, wide));
            }
        });
        ui.add_space(space::S);
    }
}
