//! Bars below one another: a name, a bar, its figures.

use crate::look::fonts::family;
use crate::look::{Face, size, space, tokens};
use egui::text::{LayoutJob, TextWrapping};
use egui::{CornerRadius, FontId, Rect, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2};

/// One bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// What it is of.
    pub name: String,
    /// Its length, nought or more; none where there is no figure.
    pub length: Option<f64>,
    /// The figures at its end.
    pub shown: String,
    /// The same as a sentence.
    pub said: String,
    /// Of few: drawn hollow.
    pub few: bool,
}

/// All bars in one sentence.
pub fn said(all: &[Level]) -> String {
    all.iter().map(|l| l.said.as_str()).collect::<Vec<_>>().join("; ")
}

const NAME: f32 = 200.0;
const TALL: f32 = 26.0;

/// Draws bars below one another; the longest takes what room names and figures leave.
pub fn levels(ui: &mut Ui, all: &[Level]) {
    let t = tokens(ui);
    let font = |face| FontId::new(size::SMALL, family(face));
    let painter = ui.painter().clone();
    let lay = |text: &str, face, ink| painter.layout_no_wrap(text.to_owned(), font(face), ink);
    let widest = |of: &dyn Fn(&Level) -> f32| all.iter().map(of).fold(0.0, f32::max);
    let names = (widest(&|l| lay(&l.name, Face::Strong, t.ink).size().x) + space::M).min(NAME);
    let figures = widest(&|l| lay(&l.shown, Face::Sans, t.ink).size().x);
    let longest = all.iter().filter_map(|l| l.length).fold(0.0, f64::max).max(1e-9);
    let width = ui.available_width();
    let room = (width - names - figures - 2.0 * space::S).max(40.0);
    for level in all {
        let (rect, response) = ui.allocate_exact_size(Vec2::new(width, TALL), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &level.said));
        if !ui.is_rect_visible(rect) {
            continue;
        }
        let ink = if level.few { t.faint } else { t.ink };
        let middle = |height: f32| rect.center().y - height / 2.0;
        let mut job = LayoutJob::simple_singleline(level.name.clone(), font(Face::Strong), ink);
        job.wrap = TextWrapping::truncate_at_width(names - space::S);
        let name = painter.layout_job(job);
        painter.galley(pos2(rect.left(), middle(name.size().y)), name, ink);
        let long = level.length.map_or(0.0, |l| (room * (l / longest) as f32).max(2.0));
        let bar = Rect::from_min_size(pos2(rect.left() + names, middle(14.0)), Vec2::new(long, 14.0));
        if level.length.is_some() {
            let round = CornerRadius::same(3);
            painter.rect_filled(bar, round, if level.few { t.accent_ground } else { t.accent });
            painter.rect_stroke(bar, round, Stroke::new(1.0, t.accent), StrokeKind::Inside);
        }
        let words = lay(&level.shown, Face::Sans, ink);
        painter.galley(pos2(bar.right() + space::S, middle(words.size().y)), words, ink);
    }
}
