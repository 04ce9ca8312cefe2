//! Painting the waters, the words along them, and what is in hand.

use super::{AIR, Drawing, LARGE, LINE, Reach, Scale};
use crate::look::fonts::family;
use crate::look::{Face, Tokens, size, space};
use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{
    Align2, Color32, CornerRadius, FontId, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, Vec2, pos2, vec2,
};

/// What the painting goes by.
pub(super) struct Eyes {
    pub t: &'static Tokens,
    pub scale: Scale,
    pub origin: Pos2,
    pub focused: bool,
}

/// Steps of a bend.
const STEPS: usize = 20;

/// Waters that are narrower than this have no bed between their banks.
const THIN: f32 = 2.4;

pub(super) fn paint<K: Copy + PartialEq>(
    painter: &Painter,
    drawing: &Drawing<K>,
    hand: usize,
    rects: &[Rect],
    eyes: &Eyes,
) {
    let t = eyes.t;
    let way = way(drawing, hand);
    let courses: Vec<Vec<Pos2>> = (0..drawing.reaches.len()).map(|i| course(drawing, i, eyes)).collect();
    let wide = |r: &Reach<K>| r.water() * eyes.scale.zoom;
    // All banks before all beds, so that waters that meet are one.
    for (r, course) in drawing.reaches.iter().zip(&courses) {
        if !r.sure {
            painter.extend(Shape::dashed_line(course, Stroke::new(1.2, t.edge), 5.0, 4.0));
        } else if wide(r) < THIN {
            painter.add(Shape::line(course.clone(), Stroke::new(wide(r).max(1.3), t.accent)));
        } else {
            painter.add(Shape::line(course.clone(), Stroke::new(wide(r) + 1.4, t.accent)));
        }
    }
    for (r, course) in drawing.reaches.iter().zip(&courses).filter(|(r, _)| r.sure && wide(r) >= THIN) {
        painter.add(Shape::line(course.clone(), Stroke::new(wide(r) - 0.8, t.accent_ground)));
    }
    // The way of blood between the middle and the one in hand is full.
    for i in way.iter().filter(|_| hand != 0) {
        let (r, course) = (&drawing.reaches[*i], &courses[*i]);
        if r.sure {
            painter.add(Shape::line(course.clone(), Stroke::new(wide(r).max(2.2), t.accent)));
        }
    }
    again(painter, drawing, hand, rects, t);
    for (i, (r, rect)) in drawing.reaches.iter().zip(rects).enumerate() {
        if painter.clip_rect().intersects(*rect) {
            words(painter, r, *rect, i == hand, eyes);
        }
    }
    if let Some(rect) = rects.get(hand) {
        let (width, ink) = if eyes.focused { (space::RING, t.focus) } else { (1.0, t.edge) };
        let round = CornerRadius::same(space::ROUND);
        painter.rect_stroke(rect.expand(3.0), round, Stroke::new(width, ink), StrokeKind::Outside);
    }
}

/// The boxes between the middle and the one in hand, both included.
fn way<K>(drawing: &Drawing<K>, hand: usize) -> Vec<usize> {
    let mut all = Vec::new();
    let mut at = Some(hand);
    while let Some(i) = at.filter(|i| *i < drawing.reaches.len() && all.len() < 16) {
        all.push(i);
        at = drawing.reaches[i].tied;
    }
    all
}

/// Where a water runs: along its own words, and through the bend to or from the box it is tied to.
fn course<K>(drawing: &Drawing<K>, i: usize, eyes: &Eyes) -> Vec<Pos2> {
    let r = &drawing.reaches[i];
    let zoom = eyes.scale.zoom;
    let left = eyes.origin + vec2(eyes.scale.x(r.column), r.middle * zoom);
    let right = left + vec2(eyes.scale.column * zoom, 0.0);
    let Some(to) = r.tied.and_then(|n| drawing.reaches.get(n)) else { return vec![left, right] };
    let tied = eyes.origin + vec2(eyes.scale.x(to.column), to.middle * zoom);
    if r.column < 0 {
        // Of two waters that meet the sire's fills the upper half of the bed.
        let side = if r.sire { -0.5 } else { 0.5 } * r.water() * zoom;
        let mut points = vec![if r.key.is_some() { left } else { stub(left, right) }];
        points.extend(bent(right, tied + vec2(0.0, side)));
        points
    } else {
        let mut points = bent(tied + vec2(eyes.scale.column * zoom, 0.0), left);
        points.push(right);
        points
    }
}

/// Where the short water of an unknown one begins.
fn stub(left: Pos2, right: Pos2) -> Pos2 {
    pos2(left.x + (right.x - left.x) * 0.35, left.y)
}

/// A bend that leaves level and arrives level.
fn bent(from: Pos2, to: Pos2) -> Vec<Pos2> {
    let middle = (from.x + to.x) / 2.0;
    (0..=STEPS)
        .map(|i| {
            let t = i as f32 / STEPS as f32;
            let u = 1.0 - t;
            let (a, b, c, d) = (u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t);
            pos2(a * from.x + (b + c) * middle + d * to.x, (a + b) * from.y + (c + d) * to.y)
        })
        .collect()
}

/// The other places of the animal in hand: framed, and tied to it by a dashed line.
fn again<K: Copy + PartialEq>(
    painter: &Painter,
    drawing: &Drawing<K>,
    hand: usize,
    rects: &[Rect],
    t: &Tokens,
) {
    let Some(key) = drawing.reaches.get(hand).and_then(|r| r.key) else { return };
    let here = rects[hand];
    let others = drawing.reaches.iter().enumerate().filter(|(i, r)| *i != hand && r.key == Some(key));
    for (i, _) in others {
        let there = rects[i];
        let (above, below) = if there.top() < here.top() { (there, here) } else { (here, there) };
        // Out to the left of both, so that it crosses no words of the nearer generations.
        let x = above.left().min(below.left()) + 4.0;
        let out = ((below.top() - above.bottom()) * 0.12).clamp(6.0, 26.0);
        let (from, to) = (pos2(above.left() + 4.0, above.bottom()), pos2(below.left() + 4.0, below.top()));
        let points: Vec<Pos2> = (0..=STEPS)
            .map(|s| {
                let k = s as f32 / STEPS as f32;
                let swing = 4.0 * k * (1.0 - k) * out;
                let straight = from + (to - from) * k;
                pos2(straight.x.min(x + (straight.x - x)) - swing, straight.y)
            })
            .collect();
        painter.extend(Shape::dashed_line(&points, Stroke::new(1.6, t.caution), 3.0, 4.0));
        let round = CornerRadius::same(space::ROUND);
        painter.rect_filled(there.expand(2.0), round, t.caution_ground.gamma_multiply(0.6));
        painter.rect_stroke(there.expand(2.0), round, Stroke::new(1.4, t.caution), StrokeKind::Outside);
    }
}

/// The words along a water.
fn words<K>(painter: &Painter, r: &Reach<K>, rect: Rect, hand: bool, eyes: &Eyes) {
    let (t, zoom) = (eyes.t, eyes.scale.zoom);
    let known = r.key.is_some();
    if hand {
        // Under the words only: the water runs through.
        let half = (r.water() / 2.0 + AIR) * zoom;
        let y = eyes.origin.y + r.middle * zoom;
        let round = CornerRadius::same(space::ROUND);
        let up = Rect::from_min_max(rect.min - vec2(2.0, 2.0), pos2(rect.right() + 2.0, y - half));
        let down = Rect::from_min_max(pos2(rect.left() - 2.0, y + half), rect.max + vec2(2.0, 2.0));
        for part in [up, down] {
            painter.rect_filled(part, round, t.selection);
        }
    }
    let x = if known { rect.left() } else { stub(rect.left_center(), rect.right_center()).x };
    let room = rect.right() - x;
    let ink = if known { t.ink } else { t.faint };
    let large = r.column == 0;
    let (face, points) = match (known, large) {
        (true, true) => (Face::SerifStrong, size::SUBHEADING),
        (true, false) => (Face::Strong, size::SMALL),
        (false, _) => (Face::Italic, size::SMALL),
    };
    let line =
        |face, points: f32, ink: Color32| TextFormat::simple(FontId::new(points * zoom, family(face)), ink);
    let apart = r.apart();
    let mut y = rect.top();
    let mut left = x;
    if let Some(n) = r.number {
        left = number(painter, pos2(x, y + LINE * zoom / 2.0), n, eyes) + 4.0 * zoom;
    }
    let mut job = LayoutJob::default();
    job.append(&r.tag, 0.0, line(face, points, ink));
    if !apart && !r.name.is_empty() {
        job.append(&format!(" {}", r.name), 0.0, line(Face::Sans, points.min(size::SMALL), ink));
    }
    one(painter, job, pos2(left, y), x + room - left);
    y += if large { LARGE } else { LINE } * zoom;
    if apart {
        let points = if large { size::BODY } else { size::SMALL };
        let mut job = LayoutJob::default();
        job.append(&r.name, 0.0, line(Face::Sans, points, ink));
        one(painter, job, pos2(x, y), room);
    }
    let mut y = eyes.origin.y + (r.middle + r.water() / 2.0 + AIR) * zoom;
    for words in &r.below {
        let mut job = LayoutJob::default();
        job.append(words, 0.0, line(Face::Sans, size::SMALL - 1.0, t.faint));
        one(painter, job, pos2(x, y), room);
        y += LINE * zoom;
    }
}

/// One line, cut where there is no more room.
fn one(painter: &Painter, mut job: LayoutJob, at: Pos2, room: f32) {
    job.wrap = TextWrapping {
        max_width: room.max(1.0),
        max_rows: 1,
        break_anywhere: true,
        overflow_character: Some('…'),
    };
    let galley = painter.layout_job(job);
    painter.galley(at, galley, Color32::PLACEHOLDER);
}

/// The sign of an ancestor in whom two lines meet: its number in a ring. Answers where it ends.
fn number(painter: &Painter, left: Pos2, n: usize, eyes: &Eyes) -> f32 {
    let t = eyes.t;
    let radius = 7.5 * eyes.scale.zoom;
    let middle = left + Vec2::new(radius, 0.0);
    painter.circle(middle, radius, t.caution_ground, Stroke::new(1.3, t.caution));
    let font = FontId::new((size::SMALL - 2.0) * eyes.scale.zoom, family(Face::Strong));
    painter.text(middle, Align2::CENTER_CENTER, n.to_string(), font, t.ink);
    middle.x + radius
}
