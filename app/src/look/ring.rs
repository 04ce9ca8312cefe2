//! The focus ring: one clear ring round whatever has the keyboard, drawn once for every widget; and what gets the
//! keyboard by a key is scrolled into sight, since egui itself leaves buttons where they are.

use egui::accesskit::{Action, ActionRequest, TreeId};
use egui::{Context, CornerRadius, Event, Id, Plugin, RawInput, Rect, Stroke, StrokeKind, Ui};

use super::tokens::{self, space};

/// Draws the ring at the end of each pass, above the widget and within what is seen of it.
#[derive(Debug, Default)]
pub struct FocusRing {
    last: Option<Id>,
    /// Passes until it is looked whether it came into sight by itself.
    wait: u8,
    /// What is to be scrolled into sight.
    hidden: Option<Id>,
    /// It is being scrolled in this pass and seen there in the next.
    scrolled: bool,
}

impl FocusRing {
    /// Scrolls what has the keyboard into sight once more: a list moved after the page round it did.
    pub fn again(ctx: &Context, id: Id) {
        ctx.with_plugin(|ring: &mut Self| ring.hidden = Some(id));
        ctx.request_repaint();
    }
}

/// Things higher than this are lists that show their own row in hand.
const HIGHEST: f32 = 320.0;

impl Plugin for FocusRing {
    fn debug_name(&self) -> &'static str {
        "focus ring"
    }

    fn input_hook(&mut self, _ctx: &Context, input: &mut RawInput) {
        if let Some(id) = self.hidden.take() {
            self.scrolled = true;
            let (action, target_tree) = (Action::ScrollIntoView, TreeId::ROOT);
            let request = ActionRequest { action, target_tree, target_node: id.accesskit_id(), data: None };
            input.events.push(Event::AccessKitActionRequest(request));
        }
    }

    fn on_end_pass(&mut self, ui: &mut Ui) {
        if std::mem::take(&mut self.scrolled) {
            ui.ctx().request_repaint();
        }
        let focused = ui.ctx().memory(|m| m.focused());
        let before = std::mem::replace(&mut self.last, focused);
        let Some(id) = focused else { return };
        let Some(widget) = ui.ctx().read_response(id) else { return };
        // Reading it again counts as 'clicked elsewhere' in the frame of a click, and drops the focus that a
        // part just took on purpose: give it back.
        if ui.ctx().memory(|m| m.focused()).is_none() {
            ui.ctx().memory_mut(|m| m.request_focus(id));
            ui.ctx().request_repaint();
        }
        let cut = widget.interact_rect.height() < widget.rect.height() - 1.0
            || widget.interact_rect.width() < widget.rect.width() - 1.0;
        let pointer = ui.input(|i| i.pointer.any_down() || i.pointer.any_released());
        if before != focused {
            self.wait = if pointer || widget.rect.height() > HIGHEST { 0 } else { 3 };
        }
        if self.wait > 0 {
            // Fields bring themselves into sight. The passes are drawn now: what scrolls away later is left alone.
            self.wait -= 1;
            self.hidden = (self.wait == 0 && cut).then_some(id);
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
