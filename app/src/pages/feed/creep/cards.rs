//! The board as our own drawing: a card for each pen, walked with the arrows.

use super::{Kept, draw};
use crate::look::fonts::family;
use crate::look::{Face, Kind, Tokens, size, space, tokens};
use crate::pages::Ctx;
use egui::{
    Color32, CornerRadius, FontId, Galley, Rect, Response, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo,
};
use egui::{Id, pos2, vec2};
use hirsel_core::phrase;
use hirsel_core::reckon::creep::{Check, PenCreep, Verdict, Without, check_words};
use std::sync::Arc;

/// One row of the board.
#[derive(Debug, Clone, Copy)]
pub(super) enum Row<'a> {
    Creep(&'a PenCreep),
    Without(&'a Without),
}

impl<'a> Row<'a> {
    /// Its pen.
    pub(super) fn pen(self) -> &'a str {
        match self {
            Row::Creep(c) => &c.pen,
            Row::Without(w) => &w.pen,
        }
    }

    /// Looks at it.
    pub(super) fn checks(self) -> &'a [Check] {
        match self {
            Row::Creep(c) => &c.checks,
            Row::Without(w) => &w.checks,
        }
    }
}

/// Everything of a row as one sentence.
pub(super) fn sentence(ctx: &Ctx<'_>, row: Row<'_>) -> String {
    let mut all = Vec::new();
    match row {
        Row::Creep(c) => {
            all.push(format!("{}, {}", c.pen, c.filled_words(ctx.today)));
            all.push(c.level_words(ctx.today));
            all.push(c.lambs_words());
            if let Some(f) = &c.feed {
                all.push(phrase!("{}, {}", f.name, f.protein_words()));
            }
            all.push(c.steps.verdict.words().into());
            all.extend(c.step_words());
            all.extend(c.rate.map(|r| r.words(ctx.units())));
            all.extend(c.past_words(ctx.units()));
            all.extend(c.lasts_words(ctx.today));
            all.extend(c.fill_words(ctx.units()));
            all.extend(c.cautions(ctx.today, ctx.units()));
        }
        Row::Without(w) => all.push(without_words(w)),
    }
    all.extend(row.checks().iter().map(|c| phrase!("{} {}", c.what.words(), check_words(c))));
    all.retain(|s| !s.is_empty());
    all.join("; ")
}

/// `Jug 5: 4 lambs of creep age, the oldest 14 days; no creep is open`.
fn without_words(w: &Without) -> String {
    match w.lambs.oldest() {
        Some(age) => {
            let n = hirsel_core::terms::counted(w.lambs.eat.len(), "lamb");
            phrase!("{}: {n} of creep age, the oldest {age} days; no creep is open", w.pen)
        }
        None => w.pen.clone(),
    }
}

/// `store: lasts 12 days, order by …`.
fn store_words(kept: &Kept, c: &PenCreep, today: hirsel_core::terms::Day) -> Option<(Kind, String)> {
    let line = kept.store.line(c.feed.as_ref()?.feed)?;
    let days =
        line.days_left(today).map(|n| phrase!("lasts {}, ", hirsel_core::terms::counted(n as usize, "day")));
    let kind = if line.state.is_caution() { Kind::Caution } else { Kind::Plain };
    Some((kind, phrase!("store: {}{}", days.unwrap_or_default(), line.words)))
}

/// Kind of the word for what is in it.
pub(super) fn of_verdict(verdict: Verdict) -> Kind {
    match verdict {
        Verdict::Right => Kind::Good,
        Verdict::TooLow => Kind::Refuse,
        Verdict::LowForYoungest | Verdict::Higher | Verdict::Unknown => Kind::Caution,
        Verdict::Nothing => Kind::Plain,
    }
}

/// Kind of a check.
pub(super) fn of_check(check: &Check) -> Kind {
    match (&check.fault, check.done) {
        (Some(_), _) => Kind::Refuse,
        (None, true) => Kind::Good,
        (None, false) => Kind::Caution,
    }
}

const PAD: f32 = 12.0;
const TROUGH: f32 = 112.0;

/// Lays out words.
struct Pen<'a> {
    ui: &'a Ui,
    t: &'static Tokens,
}

impl Pen<'_> {
    fn lay(&self, words: &str, pt: f32, face: Face, ink: Color32, wide: f32) -> Arc<Galley> {
        self.ui.painter().layout(words.to_owned(), FontId::new(pt, family(face)), ink, wide)
    }

    fn kind(&self, kind: Kind, words: &str, wide: f32) -> Arc<Galley> {
        let ink = kind.colours(self.t).0;
        self.lay(&format!("{}{words}", kind.mark()), size::SMALL, Face::Sans, ink, wide)
    }

    fn faint(&self, words: &str, wide: f32) -> Arc<Galley> {
        self.lay(words, size::SMALL, Face::Sans, self.t.faint, wide)
    }

    fn plain(&self, words: &str, wide: f32) -> Arc<Galley> {
        self.lay(words, size::SMALL, Face::Sans, self.t.ink, wide)
    }
}

fn tall(all: &[Arc<Galley>]) -> f32 {
    all.iter().map(|g| g.size().y + 2.0).sum()
}

fn paint(ui: &Ui, t: &Tokens, left: f32, mut top: f32, all: Vec<Arc<Galley>>) {
    for galley in all {
        let high = galley.size().y;
        ui.painter().galley(pos2(left, top), galley, t.ink);
        top += high + 2.0;
    }
}

/// Draws a row; the response tells of a click.
pub(super) fn row(ui: &mut Ui, ctx: &Ctx<'_>, base: Id, kept: &Kept, row: Row<'_>, chosen: bool) -> Response {
    match row {
        Row::Creep(c) => creep(ui, ctx, base, kept, c, chosen),
        Row::Without(w) => without(ui, ctx, base, w, chosen),
    }
}

fn frame(ui: &mut Ui, base: Id, pen: &str, high: f32, chosen: bool, said: &str) -> (Rect, Response) {
    let t = tokens(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), high), Sense::hover());
    let response = ui.interact(rect, base.with(("row", pen)), Sense::CLICK);
    response.widget_info(|| WidgetInfo::selected(Role::Row, true, chosen, said));
    let (ground, edge) = match (chosen, response.hovered()) {
        (true, _) => (t.raised, Stroke::new(2.0, t.accent)),
        (false, true) => (t.hover, Stroke::new(1.0, t.edge)),
        (false, false) => (t.raised, Stroke::new(1.0, t.rule)),
    };
    ui.painter().rect(rect, CornerRadius::same(8), ground, edge, StrokeKind::Inside);
    (rect, response)
}

/// The looks of a pen, one beside the other.
fn checks_line(p: &Pen<'_>, checks: &[Check], wide: f32) -> Vec<(Arc<Galley>, f32, f32)> {
    let (mut x, mut y) = (0.0, 0.0);
    let mut all = Vec::new();
    for c in checks {
        let galley = p.kind(of_check(c), &phrase!("{}: {}", c.what.words(), check_words(c)), wide);
        if x > 0.0 && x + galley.size().x > wide {
            (x, y) = (0.0, y + galley.size().y + 2.0);
        }
        let step = galley.size().x + 18.0;
        all.push((galley, x, y));
        x += step;
    }
    all
}

fn creep(ui: &mut Ui, ctx: &Ctx<'_>, base: Id, kept: &Kept, c: &PenCreep, chosen: bool) -> Response {
    let t = tokens(ui);
    let (today, units) = (ctx.today, ctx.units());
    let width = ui.available_width();
    let rest = width - 2.0 * PAD - TROUGH - 3.0 * space::L;
    let (wide_a, wide_b) = (rest * 0.27, rest * 0.37);
    let wide_c = rest - wide_a - wide_b;
    let p = Pen { ui, t };
    let level = c.trough.level_now.or(c.trough.seen.map(|(l, _)| l)).map(|l| l.percent());
    let under: Vec<Arc<Galley>> = vec![p.plain(&c.level_words(today), TROUGH)];
    let filled = if c.trough.filled_today { Kind::Good } else { Kind::Caution };
    let mut a = vec![
        p.lay(&c.pen, size::SUBHEADING, Face::Serif, t.ink, wide_a),
        p.kind(filled, &c.filled_words(today), wide_a),
        p.faint(&c.lambs_words(), wide_a),
    ];
    match &c.feed {
        Some(f) => {
            a.push(p.lay(&f.name, size::BODY, Face::Strong, t.ink, wide_a));
            a.push(p.plain(&f.protein_words(), wide_a));
        }
        None => a.push(p.kind(Kind::Caution, "what is in it is not written", wide_a)),
    }
    if c.steps.verdict != Verdict::Nothing {
        a.push(p.kind(of_verdict(c.steps.verdict), c.steps.verdict.words(), wide_a));
    }
    let mut b: Vec<Arc<Galley>> = Vec::new();
    b.extend(c.step_words().iter().map(|words| p.plain(words, wide_b)));
    let room = ctx.flock.feedroom();
    if let Some(feed) = c.fits_next.map(|f| room.name(f)) {
        b.push(p.faint(&phrase!("{feed} would fit the next step (S)", feed = &feed), wide_b));
    }
    let mut d: Vec<Arc<Galley>> = Vec::new();
    match c.rate {
        Some(r) => d.push(p.plain(&r.words(units), wide_c)),
        None => d.push(p.faint("intake not known: write what is filled in and the level before", wide_c)),
    }
    d.extend(c.past_words(units).map(|w| p.faint(&w, wide_c)));
    if let Some(words) = c.lasts_words(today) {
        let soon = c.lasts.is_some_and(|l| l.until.day <= today.plus(1));
        let kind = if c.lasts.is_some_and(|l| l.is_empty) { Kind::Refuse } else { Kind::Caution };
        d.push(if soon { p.kind(kind, &words, wide_c) } else { p.plain(&words, wide_c) });
    }
    d.extend(c.fill_words(units).map(|w| p.plain(&w, wide_c)));
    d.extend(store_words(kept, c, today).map(|(kind, w)| p.kind(kind, &w, wide_c)));
    let drawn = [58.0, 84.0, 46.0];
    let body = [drawn[0] + 6.0 + tall(&under), tall(&a), drawn[1] + tall(&b), drawn[2] + 6.0 + tall(&d)];
    let body = body.into_iter().fold(0.0, f32::max);
    let inner = width - 2.0 * PAD;
    let looks = checks_line(&p, &c.checks, inner);
    let looks_tall = looks.last().map_or(0.0, |(g, _, y)| y + g.size().y + 6.0);
    let cautions: Vec<_> = c.cautions(today, units).iter().map(|w| p.kind(Kind::Caution, w, inner)).collect();
    let high = 2.0 * PAD + body + looks_tall + tall(&cautions);
    let said = sentence(ctx, Row::Creep(c));
    let (rect, response) = frame(ui, base, &c.pen, high, chosen, &said);
    let painter = ui.painter().clone();
    let (left, top) = (rect.left() + PAD, rect.top() + PAD);
    draw::trough(&painter, t, Rect::from_min_size(pos2(left, top), vec2(TROUGH, drawn[0])), level);
    paint(ui, t, left, top + drawn[0] + 6.0, under);
    let mut x = left + TROUGH + space::L;
    paint(ui, t, x, top, a);
    x += wide_a + space::L;
    draw::weeks(&painter, t, Rect::from_min_size(pos2(x, top - 4.0), vec2(wide_b, drawn[1])), &kept.board, c);
    paint(ui, t, x, top + drawn[1], b);
    x += wide_b + space::L;
    let plot = Rect::from_min_size(pos2(x, top), vec2(wide_c.min(260.0), drawn[2]));
    draw::intake(&painter, t, plot, &c.line, kept.board.least_g);
    paint(ui, t, x, top + drawn[2] + 6.0, d);
    let foot = top + body + 4.0;
    for (galley, x, y) in looks {
        painter.galley(pos2(left + x, foot + y), galley, t.ink);
    }
    paint(ui, t, left, foot + looks_tall, cautions);
    response
}

fn without(ui: &mut Ui, ctx: &Ctx<'_>, base: Id, w: &Without, chosen: bool) -> Response {
    let t = tokens(ui);
    let p = Pen { ui, t };
    let inner = ui.available_width() - 2.0 * PAD;
    let mut all = Vec::new();
    if w.lambs.eat.is_empty() {
        all.push(p.plain(&without_words(w), inner));
    } else {
        all.push(p.kind(Kind::Caution, &phrase!("{}. Enter opens one", without_words(w)), inner));
    }
    let looks = checks_line(&p, &w.checks, inner);
    let looks_tall = looks.last().map_or(0.0, |(g, _, y)| y + g.size().y);
    let body = tall(&all);
    let said = sentence(ctx, Row::Without(w));
    let (rect, response) = frame(ui, base, &w.pen, 16.0 + body + looks_tall, chosen, &said);
    let (left, top) = (rect.left() + PAD, rect.top() + 8.0);
    paint(ui, t, left, top, all);
    for (galley, x, y) in looks {
        ui.painter().galley(pos2(left + x, top + body + y), galley, t.ink);
    }
    response
}
