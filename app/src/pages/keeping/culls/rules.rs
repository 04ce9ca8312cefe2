//! The rules of culling: each may be switched off or given another limit.

use super::super::super::{Ctx, Intent};
use super::super::decide;
use crate::look::{self, space};
use hirsel_core::phrase;
use hirsel_core::reckon::keeping::{Keeping, Settings};

/// Draws them.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    k: &Keeping,
    changed: &mut Option<Settings>,
    out: &mut Vec<Intent>,
) {
    look::subheading(ui, "Rules of culling");
    look::faint(ui, "A rule that is off names nobody. The limits as shipped are common practice, no source.");
    ui.add_space(space::XS);
    buttons(ui, ctx, k, changed, out);
    ui.add_space(space::XS);
    let mut now = changed.clone().unwrap_or_else(|| k.settings.clone());
    for rule in &mut now.culling {
        let before = (rule.off, rule.limit);
        let mut on = !rule.off;
        look::tick(ui, &mut on, rule.kind.words(rule.limit));
        rule.off = !on;
        ui.horizontal(|ui| {
            ui.add_space(space::L);
            let label = ui.label(phrase!("limit"));
            let (least, most) = rule.kind.range();
            ui.spacing_mut().slider_width = 120.0;
            let slider = egui::Slider::new(&mut rule.limit, least..=most).show_value(false).step_by(1.0);
            ui.add_enabled(on, slider).labelled_by(label.id);
            ui.label(rule.limit.to_string());
        });
        ui.add_space(space::XS);
        if before != (rule.off, rule.limit) {
            rule.ground = hirsel_core::reckon::keeping::own_ground();
        }
    }
    let differs = now.culling != k.settings.culling;
    *changed = differs.then_some(now);
}

/// Buttons that keep the rules, or leave them.
fn buttons(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    k: &Keeping,
    changed: &mut Option<Settings>,
    out: &mut Vec<Intent>,
) {
    let now = changed.clone().unwrap_or_else(|| k.settings.clone());
    let differs = changed.is_some();
    ui.horizontal_wrapped(|ui| {
        if ui.add_enabled(differs, egui::Button::new(phrase!("Keep these rules"))).clicked() {
            decide::keep_settings(ctx, &now, out);
        }
        if ui.add_enabled(differs, egui::Button::new(phrase!("As in the book"))).clicked() {
            *changed = None;
        }
        let shipped = &Settings::shipped().culling;
        if ui.add_enabled(now.culling != *shipped, egui::Button::new(phrase!("As shipped"))).clicked() {
            let mut settings = k.settings.clone();
            settings.culling.clone_from(shipped);
            *changed = Some(settings);
        }
    });
}
