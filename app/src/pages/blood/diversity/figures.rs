//! The figures: what each says, and first what calls for something to be done.

use super::{Key, State};
use crate::look::{self, Kind, space};
use crate::pages::Intent;
use crate::pages::list::{into_table, take_out};
use crate::parts::record_table::{Column, RecordTable};
use hirsel_core::phrase;
use hirsel_core::reckon::kinship::{Diversity, Figure};

const TABLE: &str = "Figures";
/// Heads of the table taken out.
const HEADS: [&str; 5] = ["figure", "value", "what_to_do", "how_reckoned", "source"];

pub(super) fn view(ui: &mut egui::Ui, made: &Diversity, state: &mut State, out: &mut Vec<Intent>) {
    let whole = ui.available_rect_before_wrap();
    if whole.width() > 760.0 {
        let (mut left, mut right) = (whole, whole);
        left.max.x = whole.left() + (whole.width() * 0.46).min(500.0);
        right.min.x = left.max.x + space::L;
        ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| list(ui, state, out));
        ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| {
            egui::ScrollArea::vertical()
                .id_salt("what to do")
                .auto_shrink(false)
                .show(ui, |ui| beside(ui, made, state));
        });
        ui.advance_cursor_after_rect(whole);
    } else {
        egui::ScrollArea::vertical().id_salt("figures").auto_shrink(false).show(ui, |ui| {
            beside(ui, made, state);
            ui.add_space(space::M);
            let size = egui::vec2(ui.available_width(), 420.0);
            ui.allocate_ui(size, |ui| list(ui, state, out));
        });
    }
}

fn list(ui: &mut egui::Ui, state: &mut State, out: &mut Vec<Intent>) {
    ui.horizontal_wrapped(|ui| {
        take_out(ui, "diversity", &HEADS, &state.list, &mut state.table, out);
    });
    ui.add_space(space::XS);
    if std::mem::take(&mut state.into_table) {
        into_table(ui, TABLE);
    }
    let columns = [
        Column::new("Figure", 220.0).rest(),
        Column::new("Value", 118.0).right(),
        Column::new("", 34.0).unsorted(),
    ];
    let _ = RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list);
}

fn beside(ui: &mut egui::Ui, made: &Diversity, state: &State) {
    let chosen: Option<Key> = state.table.cursor();
    let figure = chosen.and_then(|k| made.figures.get(k as usize)).or_else(|| made.figures.first());
    if let Some(f) = figure {
        look::card(ui, |ui| {
            ui.set_min_width(ui.available_width());
            one(ui, f);
        });
    }
    ui.add_space(space::M);
    let calls: Vec<&Figure> = made.figures.iter().filter(|f| f.calls).collect();
    look::subheading(ui, "What calls for something");
    if calls.is_empty() {
        look::sentence(
            ui,
            Kind::Good,
            "Nothing does now: the flock's blood is broad enough, and well written up.",
        );
    }
    for f in calls {
        ui.add_space(space::XS);
        look::word(ui, Kind::Caution, phrase!("{}: {}", f.name, f.shown));
        look::paragraph(ui, &f.advice);
    }
}

fn one(ui: &mut egui::Ui, f: &Figure) {
    look::subheading(ui, f.name);
    look::figure(ui, &f.shown);
    look::paragraph(ui, &f.advice);
    ui.add_space(space::S);
    look::faint(ui, phrase!("Reckoned as {}.", f.formula));
    look::faint(ui, phrase!("Source: {}.", f.source));
}
