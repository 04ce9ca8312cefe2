//! Bars with figures: whose blood is here, and how inbreeding went from crop to crop.

use crate::look::fonts::family;
use crate::look::{Face, size, space, tokens};
use egui::text::{LayoutJob, TextWrapping};
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

/// Room for names: as long as the longest, up to this.
const NAME: f32 = 190.0;
const TALL: f32 = 26.0;

/// Draws bars below one another; the longest takes what room the names and figures leave.
pub(super) fn bars(ui: &mut egui::Ui, all: &[Bar]) {
    let t = tokens(ui);
    let font = |face| FontId::new(size::SMALL, family(face));
    let painter = ui.painter().clone();
    let lay = |text: &str, face| painter.layout_no_wrap(text.to_owned(), font(face), t.ink);
    let widest = |of: &dyn Fn(&Bar) -> f32| all.iter().map(of).fold(0.0, f32::max);
    let names = (widest(&|b| lay(&b.name, Face::Strong).size().x) + space::M).min(NAME);
    let figures = widest(&|b| lay(&b.figures, Face::Sans).size().x);
    // A long name ends in an ellipsis.
    let named = |text: &str| {
        let mut job = LayoutJob::simple_singleline(text.to_owned(), font(Face::Strong), t.ink);
        job.wrap = TextWrapping::truncate_at_width(names - space::S);
        painter.layout_job(job)
    };
    let longest = all.iter().map(|b| b.length).fold(0.0, f64::max).max(1e-9);
    let width = ui.available_width();
    let room = (width - names - figures - 2.0 * space::S).max(40.0);
    for bar in all {
        let (rect, response) = ui.allocate_exact_size(Vec2::new(width, TALL), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &bar.said));
        if !ui.is_rect_visible(rect) {
            continue;
        }
        let middle = |height: f32| rect.center().y - height / 2.0;
        let name = named(&bar.name);
        painter.galley(Pos2::new(rect.left(), middle(name.size().y)), name, t.ink);
        let long = (room * (bar.length / longest) as f32).max(2.0);
        let whole = Rect::from_min_size(Pos2::new(rect.left() + names, middle(14.0)), Vec2::new(long, 14.0));
        let mut full = whole;
        full.set_width(long * bar.filled.clamp(0.0, 1.0) as f32);
        let round = CornerRadius::same(3);
        painter.rect_filled(whole, round, t.accent_ground);
        painter.rect_filled(full, round, t.accent);
        painter.rect_stroke(whole, round, Stroke::new(1.0, t.accent), StrokeKind::Inside);
        let words = lay(&bar.figures, Face::Sans);
        painter.galley(Pos2::new(whole.right() + space::S, middle(words.size().y)), words, t.ink);
    }
}
