//! The small drawings of a creep: the trough to its level, the weeks with their steps, the intake of two weeks.

use crate::look::fonts::family;
use crate::look::{Face, Tokens};
use egui::{Align2, FontId, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, pos2, vec2};
use hirsel_core::phrase;
use hirsel_core::reckon::creep::{Board, DayIntake, PenCreep};
use hirsel_core::terms::Base;

const TINY: f32 = 12.0;

fn font(face: Face) -> FontId {
    FontId::new(TINY, family(face))
}

/// A trough filled to a level in percent; a question mark where it is not known.
pub(super) fn trough(p: &Painter, t: &Tokens, rect: Rect, level: Option<u8>) {
    // Wider at the top, as troughs are.
    let slope = rect.width() * 0.12;
    let at = |share: f32| {
        let y = rect.bottom() - rect.height() * share;
        let inset = slope * (1.0 - share);
        (pos2(rect.left() + inset, y), pos2(rect.right() - inset, y))
    };
    let ((left, right), (top_left, top_right)) = (at(0.0), at(1.0));
    p.add(Shape::convex_polygon(vec![top_left, top_right, right, left], t.field, Stroke::NONE));
    if let Some(level) = level.filter(|l| *l > 0) {
        let (from, to) = at(f32::from(level) / 100.0);
        let ground = if level < 20 { t.caution_ground } else { t.selection };
        let edge = if level < 20 { t.caution } else { t.accent };
        p.add(Shape::convex_polygon(vec![from, to, right, left], ground, Stroke::NONE));
        p.line_segment([from, to], Stroke::new(2.0, edge));
    }
    for quarter in [0.25, 0.5, 0.75] {
        let (from, _) = at(quarter);
        p.line_segment([from, from + vec2(6.0, 0.0)], Stroke::new(1.0, t.edge));
    }
    p.add(Shape::line(vec![top_left, left, right, top_right], Stroke::new(2.0, t.edge)));
    if level.is_none() {
        p.text(rect.center(), Align2::CENTER_CENTER, "?", FontId::new(22.0, family(Face::Strong)), t.faint);
    }
}

/// The steps of the rules over the weeks, where the youngest and the mean lamb stand, and what is in the creep.
pub(super) fn weeks(p: &Painter, t: &Tokens, rect: Rect, board: &Board, c: &PenCreep) {
    let oldest = c.lambs.oldest().unwrap_or(0);
    let last = (oldest + 14).max(70);
    let weeks = (last + 6) / 7;
    let plot = Rect::from_min_max(rect.min + vec2(2.0, 12.0), rect.max - vec2(10.0, 26.0));
    let x = |day: i64| plot.left() + plot.width() * day as f32 / (weeks * 7) as f32;
    let proteins = || board.steps.iter().map(|(_, p, _)| *p);
    let low = proteins().fold(f64::INFINITY, f64::min).min(16.0) - 2.0;
    let high = proteins().fold(0.0, f64::max).max(20.0) + 0.5;
    let y = |percent: f64| {
        let share = ((percent - low) / (high - low)).clamp(0.0, 1.0) as f32;
        plot.bottom() - plot.height() * share
    };
    p.hline(plot.x_range(), plot.bottom(), Stroke::new(1.0, t.edge));
    // As many weeks are named as have room.
    let each = plot.width() / weeks as f32;
    let step = [2usize, 4, 8, 16].into_iter().find(|s| each * *s as f32 >= 46.0).unwrap_or(26);
    for week in (0..=weeks).step_by(step) {
        let at = pos2(x(week * 7), plot.bottom());
        p.line_segment([at, at + vec2(0.0, 3.0)], Stroke::new(1.0, t.edge));
        let words = if week == 0 { phrase!("born") } else { phrase!("{week} wk") };
        let align = if week == 0 { Align2::LEFT_TOP } else { Align2::CENTER_TOP };
        p.text(at + vec2(0.0, 12.0), align, words, font(Face::Sans), t.faint);
    }
    let mut line: Vec<Pos2> = Vec::new();
    for (i, (from, protein, _)) in board.steps.iter().enumerate() {
        let to = board.steps.get(i + 1).map_or(weeks * 7, |s| s.0).min(weeks * 7);
        line.push(pos2(x(*from), y(*protein)));
        line.push(pos2(x(to), y(*protein)));
        let words = format!("{protein} %");
        // Steps down have their words below, clear of what is in it.
        let (at, align) = match i {
            0 => (y(*protein) - 1.0, Align2::LEFT_BOTTOM),
            _ => (y(*protein) + 1.0, Align2::LEFT_TOP),
        };
        p.text(pos2(x(*from) + 3.0, at), align, words, font(Face::Sans), t.faint);
    }
    p.add(Shape::line(line, Stroke::new(1.5, t.ink)));
    let base = c.steps.mean.map_or(Base::AsFed, |m| m.base);
    let holds = c.feed.as_ref().and_then(|f| match base {
        Base::AsFed => f.protein_fed,
        Base::DryMatter => f.protein_dry,
    });
    if let Some(holds) = holds {
        let at = y(holds);
        let ends = [pos2(plot.left(), at), pos2(plot.right(), at)];
        p.extend(Shape::dashed_line(&ends, Stroke::new(1.5, t.accent), 5.0, 3.0));
    }
    let mark = |age: i64, filled: bool| {
        let tip = pos2(x(age.min(weeks * 7)), plot.bottom() + 1.0);
        let points = vec![tip, tip + vec2(-5.0, 9.0), tip + vec2(5.0, 9.0)];
        let fill = if filled { t.ink } else { t.raised };
        p.add(Shape::convex_polygon(points, fill, Stroke::new(1.5, t.ink)));
    };
    if let Some(age) = c.lambs.mean() {
        mark(age, true);
    }
    if let Some(age) = c.lambs.youngest() {
        mark(age, false);
    }
}

/// Intake day by day as bars, and what lambs of that age ate before as a line.
pub(super) fn intake(p: &Painter, t: &Tokens, rect: Rect, line: &[DayIntake], least: f64) {
    let all = line.iter().flat_map(|d| [d.each_g, d.past.map(|p| p.each_g)]).flatten();
    let most = all.fold(least * 1.3, f64::max);
    let step = rect.width() / line.len().max(1) as f32;
    let y = |g: f64| rect.bottom() - rect.height() * (g / most) as f32;
    for (i, day) in line.iter().enumerate() {
        let left = rect.left() + step * i as f32;
        if let Some(g) = day.each_g {
            let bar = Rect::from_min_max(pos2(left + 1.5, y(g)), pos2(left + step - 1.5, rect.bottom()));
            p.rect(bar, 0.0, t.selection, Stroke::new(1.0, t.accent), StrokeKind::Inside);
        } else {
            let foot = pos2(left + step / 2.0, rect.bottom() - 3.0);
            p.circle_filled(foot, 1.0, t.edge);
        }
    }
    let past: Vec<Pos2> = line
        .iter()
        .enumerate()
        .filter_map(|(i, d)| Some(pos2(rect.left() + step * (i as f32 + 0.5), y(d.past?.each_g))))
        .collect();
    if past.len() > 1 {
        p.add(Shape::line(past, Stroke::new(2.0, t.caution)));
    }
    p.hline(rect.x_range(), rect.bottom(), Stroke::new(1.0, t.edge));
}
