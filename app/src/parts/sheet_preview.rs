//! Sheet preview: paints a laid-out page exactly as it prints, at any size. The same marks become the PDF.

use crate::look::{Face, fonts::family, paper, tokens};
use egui::text::{LayoutJob, TextFormat};
use egui::{
    CornerRadius, FontId, Painter, Pos2, Rect, Role, Sense, Shadow, Shape, Stroke, StrokeKind, Ui, Vec2,
    WidgetInfo,
};
use hirsel_core::papers::{self, Mark, Page, sheet::MM_PER_PT, text};

/// Draws a page into `rect`; `name` is what it says to those who listen, its words are the description.
/// A page out of sight costs nothing and says nothing.
pub fn sheet_preview(ui: &mut Ui, page: &Page, rect: Rect, name: &str) {
    if !ui.is_rect_visible(rect) {
        return;
    }
    let response = ui.interact(rect, ui.scope_id().with(name), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, name));
    ui.ctx().accesskit_node_builder(response.id, |node| {
        node.set_description(page.words().collect::<Vec<_>>().join(" "));
    });
    let t = tokens(ui);
    let painter = ui.painter();
    let shadow = Shadow { offset: [0, 2], blur: 10, spread: 0, color: t.shade };
    painter.add(shadow.as_shape(rect, CornerRadius::ZERO));
    painter.rect(rect, CornerRadius::ZERO, paper::SHEET, Stroke::new(1.0, t.rule), StrokeKind::Outside);
    let painter = ui.painter_at(rect.intersect(ui.clip_rect()));
    let scale = rect.width() / page.width_mm.max(1.0);
    let seen = seen(&painter, rect.min, scale);
    for mark in page.marks.iter().filter(|m| reaches(m, seen)) {
        paint(&painter, rect.min, scale, mark);
    }
}

/// The part of the page that is seen, as top and bottom in millimetres.
fn seen(painter: &Painter, origin: Pos2, scale: f32) -> (f32, f32) {
    let clip = painter.clip_rect();
    ((clip.top() - origin.y) / scale, (clip.bottom() - origin.y) / scale)
}

/// Whether a mark may show between two heights of the page.
fn reaches(mark: &Mark, (top, bottom): (f32, f32)) -> bool {
    let (first, last) = match mark {
        Mark::Text { baseline_mm, size_pt, .. } => {
            let size = size_pt * MM_PER_PT;
            (baseline_mm - size * 1.2, baseline_mm + size * 0.5)
        }
        Mark::Line { from, to, width_mm, .. } => (from.1.min(to.1) - width_mm, from.1.max(to.1) + width_mm),
        Mark::Box { y_mm, h_mm, .. } => (*y_mm, y_mm + h_mm),
        Mark::Tiles { .. } => return true,
    };
    last + 1.0 >= top && first - 1.0 <= bottom
}

fn face(face: papers::Face) -> Face {
    match face {
        papers::Face::Sans => Face::Sans,
        papers::Face::SansStrong => Face::Strong,
        papers::Face::SansItalic => Face::Italic,
        papers::Face::Serif => Face::Serif,
        papers::Face::SerifStrong => Face::SerifStrong,
    }
}

fn paint(painter: &Painter, origin: Pos2, scale: f32, mark: &Mark) {
    let at = |x: f32, y: f32| origin + Vec2::new(x * scale, y * scale);
    match mark {
        Mark::Text { x_mm, baseline_mm, size_pt, face, ink, text } => {
            words(painter, at(*x_mm, *baseline_mm), scale, *size_pt, *face, *ink, text);
        }
        Mark::Line { from, to, width_mm, dash, ink } => {
            let stroke = Stroke::new((width_mm * scale).max(0.6), paper::ink(ink.rgb()));
            let ends = [at(from.0, from.1), at(to.0, to.1)];
            match dash {
                Some((on, off)) => {
                    let (on, off) = ((on * scale).max(0.5), (off * scale).max(0.5));
                    painter.extend(Shape::dashed_line(&ends, stroke, on, off));
                }
                None => {
                    painter.line_segment(ends, stroke);
                }
            }
        }
        Mark::Box { x_mm, y_mm, w_mm, h_mm, radius_mm, fill, stroke } => {
            let rect = Rect::from_min_size(at(*x_mm, *y_mm), Vec2::new(w_mm * scale, h_mm * scale));
            let round = CornerRadius::from(radius_mm * scale);
            if let Some(ink) = fill {
                painter.rect_filled(rect, round, paper::ink(ink.rgb()));
            }
            if let Some((ink, width)) = stroke {
                let line = Stroke::new((width * scale).max(0.6), paper::ink(ink.rgb()));
                painter.rect_stroke(rect, round, line, StrokeKind::Middle);
            }
        }
        Mark::Tiles { tiles, ink } => {
            let colour = paper::ink(ink.rgb());
            for [x, y, w, h] in tiles {
                let rect = Rect::from_min_size(at(*x, *y), Vec2::new(w * scale, h * scale));
                painter.rect_filled(rect, CornerRadius::ZERO, colour);
            }
        }
    }
}

/// A run of text from its left end on its baseline. The window kerns and the printed page does not: where that
/// shows, the signs are set apart until the run is as long as on paper.
fn words(
    painter: &Painter,
    at: Pos2,
    scale: f32,
    size_pt: f32,
    f: papers::Face,
    ink: papers::Ink,
    text: &str,
) {
    let colour = paper::ink(ink.rgb());
    let format = TextFormat {
        font_id: FontId::new((size_pt * MM_PER_PT * scale).max(1.0), family(face(f))),
        color: colour,
        ..TextFormat::default()
    };
    let lay = |format: TextFormat| painter.layout_job(LayoutJob::single_section(text.to_owned(), format));
    let mut galley = lay(format.clone());
    let over = text::width_mm(f, size_pt, text) * scale - galley.size().x;
    let gaps = text.chars().count().saturating_sub(1);
    if over.abs() > 0.75 && gaps > 0 {
        galley = lay(TextFormat { extra_letter_spacing: over / gaps as f32, ..format });
    }
    let glyph = |r: &egui::epaint::text::PlacedRow| r.row.glyphs.first().map(|g| r.pos.y + g.pos.y);
    let baseline = galley.rows.first().and_then(glyph).unwrap_or_default();
    painter.galley(at - Vec2::new(0.0, baseline), galley, colour);
}
