//! Sheet preview: paints a laid-out page exactly as it prints, at any size. The same marks become the PDF.

use crate::look::{Face, fonts::family, paper, tokens};
use egui::{
    CornerRadius, FontId, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, Vec2, WidgetInfo,
};
use hirsel_core::papers::{self, Mark, Page};

/// Millimetres in a point of type.
const MM_PER_PT: f32 = 25.4 / 72.0;

/// Draws a page `width` points wide; `name` is what it says to those who listen, its words are the description.
pub fn sheet_preview(ui: &mut Ui, page: &Page, width: f32, name: &str) -> egui::Response {
    let scale = width / page.width_mm.max(1.0);
    let size = Vec2::new(width, page.height_mm * scale);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, name));
    ui.ctx().accesskit_node_builder(response.id, |node| {
        node.set_description(page.words().collect::<Vec<_>>().join(" "));
    });
    if !ui.is_rect_visible(rect) {
        return response;
    }
    let edge = tokens(ui).edge;
    let painter = ui.painter_at(rect.expand(1.0).intersect(ui.clip_rect()));
    painter.rect(rect, CornerRadius::ZERO, paper::SHEET, Stroke::new(1.0, edge), StrokeKind::Outside);
    for mark in &page.marks {
        paint(&painter, rect.min, scale, mark);
    }
    response
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
        Mark::Text { x_mm, baseline_mm, size_pt, face: f, ink, text } => {
            let font = FontId::new((size_pt * MM_PER_PT * scale).max(1.0), family(face(*f)));
            let colour = paper::ink(ink.rgb());
            let galley = painter.layout_no_wrap(text.clone(), font, colour);
            let baseline = galley
                .rows
                .first()
                .and_then(|r| r.row.glyphs.first().map(|g| r.pos.y + g.pos.y))
                .unwrap_or_default();
            painter.galley(at(*x_mm, *baseline_mm) - Vec2::new(0.0, baseline), galley, colour);
        }
        Mark::Line { from, to, width_mm, dash, ink } => {
            let stroke = Stroke::new((width_mm * scale).max(0.6), paper::ink(ink.rgb()));
            let ends = [at(from.0, from.1), at(to.0, to.1)];
            match dash {
                Some((on, off)) => {
                    painter.extend(Shape::dashed_line(
                        &ends,
                        stroke,
                        (on * scale).max(0.5),
                        (off * scale).max(0.5),
                    ));
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
