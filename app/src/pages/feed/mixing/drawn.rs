//! The square, drawn as people know it: the feeds at the left corners, the need in the middle, the differences crosswise
//! at the right corners.

use super::short;
use crate::look::fonts::family;
use crate::look::{Face, size, space, tokens};
use egui::text::{LayoutJob, TextWrapping};
use egui::{
    Align2, Color32, CornerRadius, FontId, Painter, Pos2, Rect, Role, Sense, Stroke, StrokeKind, Ui, Vec2,
    WidgetInfo, pos2, vec2,
};
use hirsel_core::phrase;

/// A corner of the picture.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct CornerDrawn {
    /// The feed's name.
    pub(super) name: String,
    /// What it holds.
    pub(super) figure: Option<f64>,
    /// The difference crosswise and what it comes to: parts, share, amount. None where there is no mix.
    pub(super) came: Option<(f64, f64, String)>,
}

/// The picture.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Drawn {
    pub(super) corners: [CornerDrawn; 2],
    pub(super) need: Option<f64>,
    /// `%`.
    pub(super) unit: &'static str,
    /// `crude protein as fed`.
    pub(super) what: String,
    /// The whole as a sentence.
    pub(super) said: String,
}

const TALL: f32 = 256.0;
const BOX: Vec2 = vec2(142.0, 70.0);
const MIDDLE: Vec2 = vec2(84.0, 54.0);

pub(super) fn draw(ui: &mut Ui, d: &Drawn) {
    let width = ui.available_width().min(560.0);
    let (rect, response) = ui.allocate_exact_size(vec2(width, TALL), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &d.said));
    if !ui.is_rect_visible(rect) {
        return;
    }
    let t = tokens(ui);
    let painter = ui.painter().with_clip_rect(rect.expand(2.0));
    let right = (width - BOX.x - 40.0 - MIDDLE.x).clamp(110.0, 200.0);
    let tops = [rect.top() + 22.0, rect.bottom() - BOX.y];
    let lefts = tops.map(|y| Rect::from_min_size(pos2(rect.left(), y), BOX));
    let rights = tops.map(|y| Rect::from_min_size(pos2(rect.right() - right, y), vec2(right, BOX.y)));
    let centre =
        pos2((lefts[0].right() + rights[0].left()) / 2.0, (lefts[0].center().y + lefts[1].center().y) / 2.0);
    let middle = Rect::from_center_size(centre, MIDDLE);
    let solved = d.corners.iter().all(|c| c.came.is_some());
    // Each feed stands across from the parts it is reckoned by: the other feed's distance to the need.
    for (from, to) in [(0, 1), (1, 0)] {
        let ends = [
            pos2(lefts[from].right(), lefts[from].center().y),
            pos2(rights[to].left(), rights[to].center().y),
        ];
        let ink = if solved { t.accent } else { t.rule };
        painter.line_segment(ends, Stroke::new(1.5, ink));
    }
    let caption = |at: Pos2, align: Align2, words: &str| {
        painter.text(at, align, words, FontId::new(size::SMALL, family(Face::Sans)), t.faint);
    };
    caption(pos2(rect.left(), rect.top()), Align2::LEFT_TOP, &d.what);
    caption(pos2(rect.right(), rect.top()), Align2::RIGHT_TOP, "parts, shares as fed");
    for (at, corner) in lefts.iter().zip(&d.corners) {
        frame(&painter, *at, t.raised, t.edge);
        let name = if corner.name.is_empty() { "a feed" } else { &corner.name };
        line(&painter, *at, 8.0, (name, Face::Sans, size::SMALL), t.ink);
        let figure = corner.figure.map_or("?".into(), |x| format!("{} {}", short(x), d.unit));
        line(&painter, *at, 30.0, (&figure, Face::Strong, size::SUBHEADING), t.ink);
    }
    frame(&painter, middle, t.accent_ground, t.accent);
    let need = d.need.map_or("?".into(), |x| format!("{} {}", short(x), d.unit));
    line(&painter, middle, 5.0, ("wanted", Face::Sans, size::SMALL), t.faint);
    line(&painter, middle, 24.0, (&need, Face::Strong, size::SUBHEADING), t.accent);
    for (i, (at, corner)) in rights.iter().zip(&d.corners).enumerate() {
        frame(&painter, *at, t.raised, if solved { t.accent } else { t.rule });
        let Some((parts, share, amount)) = &corner.came else {
            line(&painter, *at, 22.0, ("–", Face::Sans, size::BODY), t.faint);
            continue;
        };
        let other = d.corners[1 - i].figure.unwrap_or_default();
        let need = d.need.unwrap_or_default();
        let (high, low) = if other > need { (other, need) } else { (need, other) };
        let sum = phrase!("{} − {} = {} parts", short(high), short(low), short(*parts));
        line(&painter, *at, 6.0, (&sum, Face::Sans, size::SMALL), t.ink);
        let share = format!("{:.1} %", share * 100.0);
        line(&painter, *at, 23.0, (&share, Face::Strong, size::SUBHEADING), t.accent);
        line(&painter, *at, 46.0, (amount, Face::Sans, size::SMALL), t.ink);
    }
}

fn frame(painter: &Painter, rect: Rect, ground: Color32, edge: Color32) {
    let round = CornerRadius::same(space::ROUND);
    painter.rect_filled(rect, round, ground);
    painter.rect_stroke(rect, round, Stroke::new(1.0, edge), StrokeKind::Inside);
}

/// A line of words in the middle of a box, so far below its top; too long ones end in an ellipsis.
fn line(painter: &Painter, at: Rect, down: f32, (words, face, points): (&str, Face, f32), ink: Color32) {
    let mut job = LayoutJob::simple_singleline(words.to_owned(), FontId::new(points, family(face)), ink);
    job.wrap = TextWrapping::truncate_at_width(at.width() - 12.0);
    let galley = painter.layout_job(job);
    let x = at.center().x - galley.size().x / 2.0;
    painter.galley(pos2(x, at.top() + down), galley, ink);
}
