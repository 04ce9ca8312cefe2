//! The focus ring: one clear ring round whatever has the keyboard, drawn once for every widget.

use egui::{CornerRadius, Plugin, Rect, Stroke, StrokeKind, Ui};

use super::tokens::{self, space};

/// Draws the ring at the end of each pass, above the widget and within what is seen of it.
pub struct FocusRing;

impl Plugin for FocusRing {
    fn debug_name(&self) -> &'static str {
        "focus ring"
    }

    fn on_end_pass(&mut self, ui: &mut Ui) {
        let Some(id) = ui.ctx().memory(|m| m.focused()) else { return };
        let Some(widget) = ui.ctx().read_response(id) else { return };
        // Reading it again counts as 'clicked elsewhere' in the frame of a click, and drops the focus that a
        // part just took on purpose: give it back.
        if ui.ctx().memory(|m| m.focused()).is_none() {
            ui.ctx().memory_mut(|m| m.request_focus(id));
            ui.ctx().request_repaint();
        }
        if !widget.rect.is_positive() || !widget.interact_rect.is_positive() {
            return;
        }
        let seen: Rect = widget.interact_rect.expand(space::RING + 2.0);
        let t = tokens::of(ui.visuals());
        ui.ctx().layer_painter(widget.layer_id).with_clip_rect(seen).rect_stroke(
            widget.rect.expand(1.0),
            CornerRadius::same(space::ROUND + 1),
            Stroke::new(space::RING, t.focus),
            StrokeKind::Outside,
        );
    }
}
