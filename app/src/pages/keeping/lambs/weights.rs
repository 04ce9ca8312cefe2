//! What counts how much: a slider of words for each criterion; the order follows at once.

use super::super::super::{Ctx, Intent, fields};
use super::super::decide;
use super::{State, never};
use crate::look::{self, space};
use crate::parts::{Field, Form};
use hirsel_core::phrase;
use hirsel_core::reckon::keeping::{Criterion, Keeping, Settings};
use hirsel_core::terms::{Sex, Weight};

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

/// The weight that is wanted as typed; an empty field is as in the book. Else what is wrong with it.
fn target(ctx: &Ctx<'_>, k: &Keeping, text: &str) -> Result<Option<Weight>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(k.settings.target);
    }
    if text.eq_ignore_ascii_case("none") {
        return Ok(None);
    }
    let weight = fields::weight_of(ctx, text)?;
    k.settings.clone().set_target(weight).map_err(|e| e.0)?;
    Ok(weight)
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
    let wanted = target(ctx, k, &state.target);
    let wants = wanted.as_ref().is_ok_and(|w| *w != k.settings.target);
    let moved = weights != own || state.never.is_some();
    ui.horizontal_wrapped(|ui| {
        let may = wanted.is_ok() && (moved || asks || wants);
        if ui.add_enabled(may, egui::Button::new(phrase!("Keep these"))).clicked() {
            let mut settings = k.settings.clone();
            settings.set_weights(sex, &weights);
            settings.never = state.never(k);
            if asks {
                settings.set_keep(sex, keep);
            }
            if let Ok(w) = &wanted {
                settings.target = *w;
            }
            decide::keep_settings(ctx, &settings, out);
        }
        if ui.add_enabled(moved, egui::Button::new(phrase!("As in the book"))).clicked() {
            state.moved.clear();
            state.never = None;
        }
        let shipped = Settings::shipped();
        let of_sex = shipped.weights_of(sex);
        let differs = weights != of_sex || state.never(k) != shipped.never;
        if ui.add_enabled(differs, egui::Button::new(phrase!("As shipped"))).clicked() {
            state.moved = of_sex.to_vec();
            weights = of_sex;
            state.never = Some(shipped.never.clone());
        }
    });
    ui.add_space(space::XS);
    let units = ctx.units();
    let mut form = Form::new(ui, "target").label_width(96.0);
    let now = k.settings.target.map_or_else(|| phrase!("none is set"), |w| w.show(units));
    let field = Field::new("Target weight")
        .width(130.0)
        .example(&now)
        .refusal(wanted.as_ref().err().map(String::as_str));
    form.field(ui, &field, &mut state.target);
    let _ = form.finish(ui);
    look::faint(
        ui,
        "Lambs decided for the market or the show are then told the day they reach it, by their own curves. What the buyer \
         wants you know: none is shipped. ‘none’ takes it away.",
    );
    ui.add_space(space::XS);
    egui::Grid::new("weights").num_columns(3).spacing([space::S, space::XS]).show(ui, |ui| {
        for c in Criterion::ALL {
            let label = ui.label(c.words()).on_hover_text(crate::look::spoken(c.meaning()));
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
    never::view(ui, k, state);
}
