//! Painting pens: rails round a floor, posts at the corners, the name on the first rail, who is in it below.

use crate::look::fonts::family;
use crate::look::{Face, Kind, Tokens, size, space, tokens};
use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{
    Color32, CornerRadius, FontId, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, Ui, Vec2, pos2, vec2,
};
use hirsel_core::flock::{Flock, PenSort};
use hirsel_core::phrase;
use hirsel_core::reckon::pen_map::Pen;

/// Points of a step where the whole map is as wide as its room; never smaller or larger than this.
pub(super) const STEP: (f32, f32) = (26.0, 44.0);
/// Points of a step in a picture.
const PICTURE_STEP: f32 = 34.0;
/// Height of a line of words.
const LINE: f32 = 17.0;
/// Around the whole.
pub(super) const AIR: f32 = 8.0;

/// How one pen is to be seen.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Seen {
    /// It is in hand.
    pub hand: bool,
    /// The map has the keyboard.
    pub focused: bool,
    /// Pens are being laid out.
    pub laying: bool,
    /// What is dragged would come here.
    pub target: bool,
}

/// Where a pen is drawn.
pub(super) fn rect(p: &Pen, origin: Pos2, step: f32) -> Rect {
    let at = vec2(f32::from(p.at.x), f32::from(p.at.y)) * step;
    let size = vec2(f32::from(p.at.w), f32::from(p.at.h)) * step;
    Rect::from_min_size(origin + at, size).shrink(2.0)
}

/// Paints one pen with its words.
pub(super) fn pen(painter: &Painter, t: &Tokens, flock: &Flock, p: &Pen, rect: Rect, seen: Seen) {
    let outside = p.sort == PenSort::Outside;
    let floor = match () {
        () if seen.target => t.selection,
        () if outside => t.good_ground,
        () if p.is_empty() => t.ground,
        () => t.raised,
    };
    painter.rect_filled(rect, CornerRadius::same(2), floor);
    let rail = Stroke::new(if seen.target { 2.5 } else { 1.4 }, if seen.target { t.accent } else { t.edge });
    if outside {
        let (a, b, c, d) = (rect.left_top(), rect.right_top(), rect.right_bottom(), rect.left_bottom());
        painter.extend(Shape::dashed_line(&[a, b, c, d, a], rail, 6.0, 4.0));
    } else {
        painter.rect_stroke(rect, CornerRadius::same(2), rail, StrokeKind::Inside);
        for corner in [rect.left_top(), rect.right_top(), rect.right_bottom(), rect.left_bottom()] {
            painter.rect_filled(Rect::from_center_size(corner, Vec2::splat(5.0)), CornerRadius::ZERO, t.edge);
        }
    }
    if seen.hand {
        let ring = Stroke::new(space::RING + if seen.focused { 1.0 } else { 0.0 }, t.focus);
        painter.rect_stroke(rect.expand(1.5), CornerRadius::same(3), ring, StrokeKind::Outside);
        if seen.laying {
            let knob = Rect::from_center_size(rect.right_bottom(), Vec2::splat(11.0));
            painter.rect_filled(knob, CornerRadius::same(2), t.accent);
        }
    }
    let painter = painter.with_clip_rect(rect.intersect(painter.clip_rect()));
    words(&painter, t, flock, p, rect.shrink2(vec2(6.0, 3.0)));
}

/// Name, who, since when, what is due: as many lines as there is room for, what matters most first.
fn words(painter: &Painter, t: &Tokens, flock: &Flock, p: &Pen, room: Rect) {
    let most = ((room.height() / LINE).floor() as usize).max(1);
    let wide = room.width();
    let mut y = room.top();
    let mut line = |words: &str, face: Face, ink: Color32| {
        let galley = painter.layout_job(cut(words, face, ink, wide));
        painter.galley(pos2(room.left(), y), galley, ink);
        y += LINE;
    };
    let due = due(p);
    line(&p.name, Face::Strong, t.ink);
    let mut left = most.saturating_sub(1).saturating_sub(due.len());
    if p.is_empty() {
        if left > 0 {
            line("empty", Face::Italic, t.faint);
        }
    } else if p.families.len() <= 2 && left >= p.families.len() {
        for f in &p.families {
            let tag = flock.tag(f.head);
            let young = if f.young.is_empty() { String::new() } else { format!(" +{}", f.young.len()) };
            line(&format!("{tag}{young}"), Face::Sans, t.ink);
            left -= 1;
        }
        let since = p.since.map(|s| phrase!("since {}", s.short()));
        let age = p.families.first().and_then(|f| f.age.clone());
        // Short enough for the smallest pen.
        let age = age.map(|a| if a == "born today" { "newborn".into() } else { a });
        for more in [age, since].into_iter().flatten() {
            if left > 0 {
                line(&more, Face::Sans, t.faint);
                left -= 1;
            }
        }
    } else {
        for part in p.heads.words().split(", ") {
            if left > 0 {
                line(part, Face::Sans, t.ink);
                left -= 1;
            }
        }
        if left > 0
            && let Some(since) = p.since
        {
            line(&phrase!("since {}", since.short()), Face::Sans, t.faint);
            left -= 1;
        }
        // Tags for as many as there is room.
        let tags: Vec<&str> = p.families.iter().map(|f| flock.tag(f.head)).collect();
        let in_a_line = ((wide / 44.0).floor() as usize).max(1);
        let mut rows = tags.chunks(in_a_line).peekable();
        while left > 0 {
            let Some(row) = rows.next() else { break };
            let more = if left == 1 && rows.peek().is_some() { " …" } else { "" };
            line(&format!("{}{more}", row.join(" ")), Face::Sans, t.faint);
            left -= 1;
        }
    }
    if p.sort == PenSort::Outside && left > 0 {
        line("outside", Face::Italic, t.faint);
    }
    for (kind, words) in due {
        let (ink, _) = kind.colours(t);
        line(&format!("{} {words}", kind.mark()), Face::Strong, ink);
    }
}

/// What is due in the pen, in the fewest words.
fn due(p: &Pen) -> Vec<(Kind, String)> {
    let mut all = Vec::new();
    if p.over.is_some() {
        all.push((Kind::Refuse, "lies over".into()));
    }
    if p.overdue > 0 {
        all.push((Kind::Refuse, phrase!("{} late", p.overdue)));
    } else if p.jobs > 0 {
        all.push((Kind::Caution, phrase!("{} due", p.jobs)));
    }
    if p.held > 0 {
        all.push((Kind::Caution, phrase!("{} held", p.held)));
    }
    all
}

fn cut(words: &str, face: Face, ink: Color32, width: f32) -> LayoutJob {
    let format =
        TextFormat { font_id: FontId::new(size::SMALL, family(face)), color: ink, ..TextFormat::default() };
    let mut job = LayoutJob::single_section(words.to_owned(), format);
    job.wrap = TextWrapping::truncate_at_width(width);
    job
}

/// Width of the picture of these pens.
pub(super) fn width(pens: &[Pen]) -> f32 {
    pens.iter().map(|p| f32::from(p.at.right())).fold(1.0, f32::max) * PICTURE_STEP + 2.0 * AIR
}

/// And its height.
pub(super) fn height(pens: &[Pen]) -> f32 {
    pens.iter().map(|p| f32::from(p.at.bottom())).fold(1.0, f32::max) * PICTURE_STEP + 2.0 * AIR
}

/// The map without anything that is in hand.
pub(super) fn picture(ui: &mut Ui, flock: &Flock, pens: &[Pen]) {
    let t = tokens(ui);
    let origin = ui.max_rect().min + Vec2::splat(AIR);
    for p in pens {
        pen(ui.painter(), t, flock, p, rect(p, origin, PICTURE_STEP), Seen::default());
    }
}
