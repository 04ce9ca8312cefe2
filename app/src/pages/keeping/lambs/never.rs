//! Faults that bar a lamb from being proposed: each may be switched off or given another limit.

use super::State;
use crate::look::{self, space};
use hirsel_core::phrase;
use hirsel_core::reckon::keeping::{Keeping, own_ground};

/// Draws them.
pub(super) fn view(ui: &mut egui::Ui, k: &Keeping, state: &mut State) {
    look::strong(ui, "Never proposed");
    look::faint(ui, "A fault that is off bars nobody. ‘Keep these’ above writes them as well.");
    ui.add_space(space::XS);
    let mut now = state.never(k);
    for fault in &mut now {
        let before = (fault.off, fault.from);
        let mut on = !fault.off;
        let words = fault.fault.words(fault.from);
        look::tick(ui, &mut on, words.to_string());
        fault.off = !on;
        ui.horizontal(|ui| {
            ui.add_space(space::L);
            let (least, most) = fault.fault.range();
            ui.spacing_mut().slider_width = 120.0;
            let slider = egui::Slider::new(&mut fault.from, least..=most).show_value(false).step_by(1.0);
            let slider = ui.add_enabled(on, slider);
            let name = phrase!("from, {}", fault.fault.key());
            slider.widget_info(|| egui::WidgetInfo::slider(on, f64::from(before.1), &name));
            ui.label(phrase!("from {}", fault.from));
        });
        if before != (fault.off, fault.from) {
            fault.ground = own_ground();
        }
    }
    state.never = (now != k.settings.never).then_some(now);
}
