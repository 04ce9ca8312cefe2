//! Bars with figures: whose blood is here, and how inbreeding went from crop to crop.

use crate::look::fonts::family;
use crate::look::{Face, size, space, tokens};
use egui::{CornerRadius, FontId, Pos2, Rect, Role, Sense, Stroke, StrokeKind, Vec2, WidgetInfo};

/// One bar.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bar {
    /// What it is of.
    pub(super) name: String,
    /// How long, 0 to 1 of the longest that can be.
    pub(super) length: f64,
    /// How much of its length is filled, 0 to 1.
    pub(super) filled: f64,
    /// The figures at its end.
    pub(super) figures: String,
    /// The same as a sentence for those who listen.
    pub(super) said: String,
}

const NAME: f32 = 132.0;
const TALL: f32 = 26.0;

/// Draws bars below one another; the longest takes what room the names and figures leave.
pub(super) fn bars(ui: &mut egui::Ui, all: &[Bar]) {
    let t = tokens(ui);
    let font = |face, size| FontId::new(size, family(face));
    let painter = ui.painter().clone();
    let lay =
        |text: &str, face: Face, ink| painter.layout_no_wrap(text.to_owned(), font(face, size::SMALL), ink);
    let figures = all.iter().map(|b| lay(&b.figures, Face::Sans, t.ink).size().x).fold(0.0, f32::max);
    let longest = all.iter().map(|b| b.length).fold(0.0, f64::max).max(1e-9);
    let width = ui.available_width();
    let room = (width - NAME - figures - 2.0 * space::S).max(40.0);
    for bar in all {
        let (rect, response) = ui.allocate_exact_size(Vec2::new(width, TALL), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &bar.said));
        if !ui.is_rect_visible(rect) {
            continue;
        }
        let painter = painter.with_clip_rect(rect);
        let middle = |height: f32| rect.center().y - height / 2.0;
        let name = lay(&bar.name, Face::Strong, t.ink);
        let names = Rect::from_min_max(rect.min, Pos2::new(rect.left() + NAME - space::S, rect.bottom()));
        painter.with_clip_rect(names).galley(Pos2::new(rect.left(), middle(name.size().y)), name, t.ink);
        let long = (room * (bar.length / longest) as f32).max(2.0);
        let whole = Rect::from_min_size(Pos2::new(rect.left() + NAME, middle(14.0)), Vec2::new(long, 14.0));
        let mut full = whole;
        full.set_width(long * bar.filled.clamp(0.0, 1.0) as f32);
        let round = CornerRadius::same(3);
        painter.rect_filled(whole, round, t.accent_ground);
        painter.rect_filled(full, round, t.accent);
        painter.rect_stroke(whole, round, Stroke::new(1.0, t.accent), StrokeKind::Inside);
        let words = lay(&bar.figures, Face::Sans, t.ink);
        painter.galley(Pos2::new(whole.right() + space::S, middle(words.size().y)), words, t.ink);
    }
}
