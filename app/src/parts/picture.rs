//! What a part of the window paints, as a drawing to be saved.
//!
//! The part is painted once more where nobody sees it: in the light form whatever the window wears, without pointer
//! and keyboard, so that the picture holds the chart and nothing of what is in hand. Its shapes and words are then
//! taken over one by one, words by their characters and places: what is saved is what is seen, at any size.

use crate::look::{self, Face, fonts, space};
use egui::epaint::{ColorMode, Mesh, PathShape, RectShape, TextShape};
use egui::{Color32, Context, FontFamily, Pos2, RawInput, Rect, Shape, Stroke, StrokeKind, Theme, Ui, Vec2};
use hirsel_core::papers;
use hirsel_core::papers::picture::{
    Colour, Drawing, Item, Pen, Shape as Outline, Step, Unit, Words, ellipse, rectangle,
};

/// Room around the picture, in points.
const MARGIN: f32 = space::L;
/// No picture is taller than this, in points.
const TALLEST: f32 = 6_000.0;

/// What is to be drawn.
#[derive(Debug, Clone, Copy)]
pub struct Sitter<'a> {
    /// Its title, which stands above it.
    pub title: &'a str,
    /// The whole as a sentence or two, for those who do not see it.
    pub said: &'a str,
    /// Its width in points.
    pub width: f32,
    /// Its height where it takes all the room there is; none where it is as tall as it needs.
    pub height: Option<f32>,
}

/// Paints a part into a drawing as tall as what it painted.
pub fn taken(of: &Sitter<'_>, mut paint: impl FnMut(&mut Ui)) -> Drawing {
    let ctx = Context::default();
    look::apply(&ctx);
    ctx.set_theme(Theme::Light);
    let width = of.width.clamp(120.0, 4_000.0);
    let room = Rect::from_min_size(Pos2::ZERO, Vec2::new(width + 2.0 * MARGIN, TALLEST));
    let input = || RawInput { screen_rect: Some(room), ..RawInput::default() };
    let mut used = room;
    let mut frame = || {
        ctx.run_ui(input(), |ui| {
            let place = room.shrink(MARGIN);
            let built = ui.scope_builder(egui::UiBuilder::new().max_rect(place), |ui| {
                look::subheading(ui, of.title.to_string());
                ui.add_space(space::S);
                match of.height {
                    Some(tall) => {
                        let size = Vec2::new(width, tall.min(TALLEST));
                        ui.allocate_ui(size, |ui| {
                            ui.set_min_size(size);
                            ui.set_max_size(size);
                            paint(ui);
                        });
                    }
                    None => paint(ui),
                }
            });
            used = built.response.rect;
        })
    };
    // What is measured in the first frame has its place in the second.
    frame().drop_without_applying_deltas();
    let mut painted = frame();
    let shapes = std::mem::take(&mut painted.shapes);
    painted.drop_without_applying_deltas();
    let size = (room.width(), used.bottom().min(TALLEST) + MARGIN);
    let mut drawing = Drawing::new(of.title, Unit::Screen, size);
    drawing.said = of.said.to_string();
    drawing.ground = colour(look::tokens::LIGHT.ground);
    let whole = Rect::from_min_size(Pos2::ZERO, Vec2::new(size.0, size.1));
    for clipped in shapes {
        let mut items = Vec::new();
        take(&clipped.shape, &mut items);
        let bounds = clipped.shape.visual_bounding_rect();
        let seen = clipped.clip_rect.intersect(whole);
        if items.is_empty() || !seen.is_positive() || !bounds.intersects(seen) {
            continue;
        }
        // Most of what is painted lies well within its room: only what is cut needs an edge.
        if seen.contains_rect(bounds) {
            drawing.items.append(&mut items);
        } else {
            let edge = [seen.left(), seen.top(), seen.width(), seen.height()];
            drawing.items.push(Item::Within(edge, items));
        }
    }
    drawing
}

fn colour(c: Color32) -> Colour {
    Colour(c.to_srgba_unmultiplied())
}

fn pen(stroke: Stroke) -> Option<Pen> {
    (!stroke.is_empty()).then(|| Pen { colour: colour(stroke.color), width: stroke.width, dash: None })
}

fn filled(c: Color32) -> Option<Colour> {
    (c.a() > 0).then(|| colour(c))
}

fn outline(steps: Vec<Step>, fill: Option<Colour>, pen: Option<Pen>, to: &mut Vec<Item>) {
    if fill.is_some() || pen.is_some() {
        to.push(Item::Shape(Outline { steps, fill, pen }));
    }
}

/// A shape of the window as shapes of the drawing. Pictures and what a graphics card paints by itself are left out:
/// no chart has any.
fn take(shape: &Shape, to: &mut Vec<Item>) {
    match shape {
        Shape::Noop | Shape::Callback(_) | Shape::Band(_) => {}
        Shape::Vec(all) => all.iter().for_each(|s| take(s, to)),
        Shape::Circle(c) => {
            let steps = ellipse((c.center.x, c.center.y), (c.radius, c.radius));
            outline(steps, filled(c.fill), pen(c.stroke), to);
        }
        Shape::Ellipse(e) => {
            let steps = ellipse((e.center.x, e.center.y), (e.radius.x, e.radius.y));
            outline(steps, filled(e.fill), pen(e.stroke), to);
        }
        Shape::LineSegment { points: [a, b], stroke } => {
            outline(vec![Step::Move(a.x, a.y), Step::Line(b.x, b.y)], None, pen(*stroke), to);
        }
        Shape::Path(path) => line(path, to),
        Shape::Rect(rect) => boxed(rect, to),
        Shape::Text(text) => words(text, to),
        Shape::Mesh(mesh) => triangles(mesh, to),
        Shape::QuadraticBezier(q) => {
            let points = q.flatten(Some(0.1));
            outline(along(&points, q.closed), filled(q.fill), solid(&q.stroke), to);
        }
        Shape::CubicBezier(c) => {
            let [a, b, d, e] = c.points;
            let mut steps = vec![Step::Move(a.x, a.y), Step::Curve([b.x, b.y, d.x, d.y, e.x, e.y])];
            steps.extend(c.closed.then_some(Step::Close));
            outline(steps, filled(c.fill), solid(&c.stroke), to);
        }
    }
}

fn solid(stroke: &egui::epaint::PathStroke) -> Option<Pen> {
    match stroke.color {
        ColorMode::Solid(c) => pen(Stroke::new(stroke.width, c)),
        ColorMode::UV(_) => None, // a colour that changes along the line: no chart has one
    }
}

fn along(points: &[Pos2], closed: bool) -> Vec<Step> {
    let mut steps: Vec<Step> = points.iter().map(|p| Step::Line(p.x, p.y)).collect();
    if let (Some(first), Some(p)) = (steps.first_mut(), points.first()) {
        *first = Step::Move(p.x, p.y);
    }
    steps.extend(closed.then_some(Step::Close));
    steps
}

fn line(path: &PathShape, to: &mut Vec<Item>) {
    outline(along(&path.points, path.closed), filled(path.fill), solid(&path.stroke), to);
}

fn boxed(shape: &RectShape, to: &mut Vec<Item>) {
    let r = shape.corner_radius;
    let radius = f32::from(r.nw.max(r.ne).max(r.sw).max(r.se));
    let at = |rect: Rect, radius: f32| {
        rectangle([rect.left(), rect.top(), rect.width().max(0.0), rect.height().max(0.0)], radius)
    };
    outline(at(shape.rect, radius), filled(shape.fill), None, to);
    let half = shape.stroke.width / 2.0;
    let out = match shape.stroke_kind {
        StrokeKind::Inside => -half,
        StrokeKind::Middle => 0.0,
        StrokeKind::Outside => half,
    };
    let edge = if radius > 0.0 { (radius + out).max(0.0) } else { 0.0 };
    outline(at(shape.rect.expand(out), edge), None, pen(shape.stroke), to);
}

/// Triangles of one colour that follow one another are one shape, so that no seams are seen between them.
fn triangles(mesh: &Mesh, to: &mut Vec<Item>) {
    let mut steps = Vec::new();
    let mut of: Option<Color32> = None;
    for three in mesh.indices.chunks_exact(3) {
        let corners: Vec<_> = three.iter().filter_map(|i| mesh.vertices.get(*i as usize)).collect();
        let [a, b, c] = corners[..] else { continue };
        if of != Some(a.color) {
            if let Some(was) = of {
                outline(std::mem::take(&mut steps), filled(was), None, to);
            }
            of = Some(a.color);
        }
        // All the same way round: two that overlap by a hair leave no hole.
        let turns = (b.pos - a.pos).rot90().dot(c.pos - a.pos) < 0.0;
        let [b, c] = if turns { [c, b] } else { [b, c] };
        steps.extend(along(&[a.pos, b.pos, c.pos], true));
    }
    if let Some(last) = of {
        outline(steps, filled(last), None, to);
    }
}

/// The embedded face of a family of the window.
fn face(family: &FontFamily) -> papers::Face {
    let is = |face| *family == fonts::family(face);
    if is(Face::Strong) {
        papers::Face::SansStrong
    } else if is(Face::Italic) {
        papers::Face::SansItalic
    } else if is(Face::Serif) {
        papers::Face::Serif
    } else if is(Face::SerifStrong) {
        papers::Face::SerifStrong
    } else {
        papers::Face::Sans
    }
}

/// Words by their characters: each stands where the window has it.
fn words(shape: &TextShape, to: &mut Vec<Item>) {
    let galley = &shape.galley;
    let job = &galley.job;
    let ends: Vec<usize> = job.sections.iter().map(|s| s.byte_range.end.0).collect();
    let mut byte = 0;
    for placed in &galley.rows {
        let mut run: Option<(usize, Words)> = None;
        for glyph in &placed.row.glyphs {
            // Where a line was cut its last character is not of the text: it looks as the one before it.
            let section = ends.iter().position(|end| byte < *end).unwrap_or(ends.len().saturating_sub(1));
            byte += glyph.chr.len_utf8();
            let Some(format) = job.sections.get(section).map(|s| &s.format) else { continue };
            let ink = shape.override_text_color.unwrap_or(format.color);
            let ink = if ink == Color32::PLACEHOLDER { shape.fallback_color } else { ink };
            let at = shape.pos + placed.pos.to_vec2() + glyph.pos.to_vec2();
            let same = matches!(&run, Some((of, w)) if *of == section && (w.at.1 - at.y).abs() < 0.01);
            if !same {
                put(run.take(), to);
            }
            let (_, words) = run.get_or_insert_with(|| {
                let empty = Words {
                    at: (at.x, at.y),
                    size: format.font_id.size,
                    face: face(&format.font_id.family),
                    colour: colour(ink.gamma_multiply(shape.opacity_factor)),
                    text: String::new(),
                    places: Vec::new(),
                };
                (section, empty)
            });
            // Of letters that are joined the first has the width of all: the others follow it by their own.
            let behind = words.places.last().zip(words.text.chars().last()).map(|(place, before)| {
                let wide = papers::Look::new(words.face, words.size).width_mm(&before.to_string());
                place + wide / papers::sheet::MM_PER_PT
            });
            let place = match behind {
                Some(after) if glyph.advance_width <= 0.0 && !glyph.chr.is_whitespace() => after,
                _ => at.x - words.at.0,
            };
            words.text.push(glyph.chr);
            words.places.push(place);
        }
        put(run, to);
        byte += usize::from(placed.ends_with_newline);
    }
}

/// Characters a face lacks are taken from the sans, as the window does.
fn put(run: Option<(usize, Words)>, to: &mut Vec<Item>) {
    let Some((_, words)) = run.filter(|(_, w)| !w.text.trim().is_empty()) else { return };
    let mut at = 0;
    for (face, text) in papers::text::pieces(words.face, &words.text) {
        let n = text.chars().count();
        let places = words.places.get(at..at + n).unwrap_or_default();
        let from = places.first().copied().unwrap_or_default();
        to.push(Item::Words(Words {
            at: (words.at.0 + from, words.at.1),
            face,
            text,
            places: places.iter().map(|p| p - from).collect(),
            ..words.clone()
        }));
        at += n;
    }
}
