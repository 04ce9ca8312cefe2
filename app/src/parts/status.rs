//! Status line: one line that is always on screen and is read out when it changes.

use egui::accesskit::Live;
use egui::{Label, Response, RichText, Role, Sense, Ui, Vec2, WidgetInfo};

use crate::look::{Kind, space, tokens};

/// Draws the line. An empty text keeps its place, so that nothing moves and the next text is heard.
/// A refusal interrupts the reader; all else waits its turn.
pub fn status_line(ui: &mut Ui, kind: Kind, text: &str) -> Response {
    let t = tokens(ui);
    let ink = if kind == Kind::Plain { t.ink } else { kind.colours(t).0 };
    ui.scope(|ui| {
        ui.set_min_height(space::TARGET);
        let response = if text.is_empty() {
            ui.allocate_response(Vec2::new(ui.available_width().min(1.0), space::TARGET), Sense::hover())
        } else {
            let words = RichText::new(format!("{}{text}", kind.mark())).color(ink);
            ui.add(Label::new(words).truncate().selectable(false))
        };
        response.widget_info(|| WidgetInfo::labeled(Role::Status, true, text));
        ui.ctx().accesskit_node_builder(response.id, |node| {
            node.set_live(if kind == Kind::Refuse { Live::Assertive } else { Live::Polite });
        });
        response
    })
    .inner
}
