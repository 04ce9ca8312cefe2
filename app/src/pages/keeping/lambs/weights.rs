//! What counts how much: a slider of words for each criterion; the order follows at once.

use super::super::super::{Ctx, Intent};
use super::super::decide;
use super::State;
use crate::look::{self, space};
use hirsel_core::reckon::keeping::{Criterion, Keeping, Settings};
use hirsel_core::terms::Sex;

/// A weight in a word.
fn word(weight: u8) -> &'static str {
    match weight {
        0 => "not at all",
        1..=2 => "a little",
        3..=4 => "some",
        5..=6 => "middling",
        7..=8 => "much",
        _ => "most",
    }
}

/// Draws it.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    k: &Keeping,
    sex: Sex,
    state: &mut State,
    out: &mut Vec<Intent>,
) {
    look::subheading(ui, "What counts how much");
    look::faint(ui, "0 not at all to 10 most; arrows move the one that has the keyboard. The order follows.");
    ui.add_space(space::XS);
    let mut weights = state.weights(k, sex);
    let before = weights;
    let own = k.settings.weights_of(sex);
    let keep = state.asked(k, sex).ok();
    let asks = !state.keep.trim().is_empty() && keep != Some(k.need(sex).asked);
    ui.horizontal_wrapped(|ui| {
        if ui.add_enabled(weights != own || asks, egui::Button::new("Keep these")).clicked() {
            let mut settings = k.settings.clone();
            settings.set_weights(sex, &weights);
            if asks {
                settings.set_keep(sex, keep);
            }
            decide::keep_settings(ctx, &settings, out);
        }
        if ui.add_enabled(weights != own, egui::Button::new("As in the book")).clicked() {
            state.moved.clear();
        }
        let shipped = Settings::shipped().weights_of(sex);
        if ui.add_enabled(weights != shipped, egui::Button::new("As shipped")).clicked() {
            state.moved = shipped.to_vec();
        }
    });
    ui.add_space(space::XS);
    egui::Grid::new("weights").num_columns(3).spacing([space::S, space::XS]).show(ui, |ui| {
        for c in Criterion::ALL {
            let label = ui.label(c.words()).on_hover_text(c.meaning());
            if let Some(weight) = weights.get_mut(c.at()) {
                ui.spacing_mut().slider_width = 96.0;
                let slider = egui::Slider::new(weight, 0..=10).show_value(false).step_by(1.0);
                ui.add(slider).labelled_by(label.id);
                ui.label(format!("{weight} {}", word(*weight)));
            }
            ui.end_row();
        }
    });
    if weights != before {
        state.moved = weights.to_vec();
    }
    ui.add_space(space::S);
    look::faint(
        ui,
        "Each figure is set against the mean of the lambs compared, in standard deviations, at most 2.5 of them, and \
         weighed. What is not known of a lamb adds nothing and takes nothing. The weights as shipped are common practice, \
         no source.",
    );
    ui.add_space(space::S);
    look::strong(ui, "Never proposed");
    for n in k.settings.never.iter().filter(|n| !n.off) {
        ui.label(n.fault.words(n.from));
    }
}
