//! The animal's life on one line drawn to scale: a lane for each kind of event, joinings and withdrawals as bars.

use super::super::picture::save_picture;
use super::super::{Ctx, Intent};
use super::scale::{Part, Scale};
use crate::look::{self, Face, Kind, Tokens, space, tokens};
use crate::parts::picture::Sitter;
use crate::parts::take_keyboard;
use egui::{Align2, EventFilter, FontId, Key, Modifiers, Painter, Pos2, Rect, Role, Sense, Stroke, Vec2};
use egui::{CursorIcon, WidgetInfo};
use hirsel_core::flock::{AnimalFile, RecordRef};
use hirsel_core::phrase;
use hirsel_core::reckon::clearance::{Clear, clear_after};
use hirsel_core::reckon::life::{Event, EventKind};
use hirsel_core::terms::Day;

const LANE: f32 = 24.0;
const WORDS: f32 = 96.0;
const TICKS: f32 = 22.0;
const PARTS: [(&str, Option<i64>); 3] =
    [("whole life", None), ("last year", Some(365)), ("last 60 days", Some(60))];

/// How much of the life is shown, and which event is in hand.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct View {
    part: Part,
    at: Option<usize>,
    /// A step asked for from elsewhere: forward or back.
    walk: Option<bool>,
}

impl View {
    /// Takes the keyboard and goes to the next event or the one before.
    pub(super) fn walk(&mut self, forward: bool) {
        self.walk = Some(forward);
    }
}

/// A life from its first day to its last, with a little room.
struct Life<'a> {
    events: &'a [Event],
    first: Day,
    last: Day,
}

impl<'a> Life<'a> {
    fn of(ctx: &Ctx<'_>, file: &AnimalFile, events: &'a [Event]) -> Option<Self> {
        let a = &file.animal;
        let end = if a.status.is_here() { ctx.today } else { a.status_on.unwrap_or(ctx.today) };
        let first = events.first()?.at.day;
        let last = events.last().map_or(end, |e| end.max(e.at.day));
        Some(Self { events, first: first.plus(-2), last: last.plus(2) })
    }

    fn at(&self, place: Option<usize>) -> Option<&Event> {
        place.and_then(|i| self.events.get(i))
    }

    /// A longer or shorter part, about the event in hand or else about the end.
    fn zoom(&self, view: &mut View, by: f64) {
        let focus = self.at(view.at).map_or(self.last, |e| e.at.day);
        view.part.zoom(by, focus, self.first, self.last);
    }

    fn forward(&self, view: &mut View, forward: bool) {
        let to = match (view.at, forward) {
            (Some(at), true) => at + 1,
            (Some(at), false) => at.saturating_sub(1),
            (None, true) => 0,
            (None, false) => self.events.len().saturating_sub(1),
        };
        self.step(view, to);
    }

    fn step(&self, view: &mut View, to: usize) {
        view.at = Some(to.min(self.events.len().saturating_sub(1)));
        if let Some(e) = self.at(view.at) {
            view.part.show(e.at.day, self.first, self.last);
        }
    }
}

/// Draws it; gives the record of an event that was opened.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    events: &[Event],
    view: &mut View,
    out: &mut Vec<Intent>,
) -> Option<RecordRef> {
    let Some(life) = Life::of(ctx, file, events) else {
        look::subheading(ui, "Life");
        look::faint(ui, "Nothing is written down yet, not even when it was born: F opens its facts.");
        return None;
    };
    parts(ui, &life, view);
    let lanes: Vec<EventKind> =
        EventKind::ALL.into_iter().filter(|k| events.iter().any(|e| e.kind == *k)).collect();
    let size = Vec2::new(ui.available_width(), lanes.len() as f32 * LANE + TICKS + space::XS);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click() | Sense::FOCUSABLE);
    if let Some(forward) = view.walk.take() {
        // The arrow that asked for it would carry the keyboard on to a neighbour.
        ui.memory_mut(|m| m.move_focus(egui::FocusDirection::None));
        take_keyboard(ui, response.id);
        life.forward(view, forward);
    }
    if response.gained_focus() {
        // With the line below it that says what is in hand.
        ui.scroll_to_rect(rect.expand2(Vec2::new(0.0, space::XXL)), None);
    }
    let mut opened = keys(ui, &response, &life, view);
    let spoken = match life.at(view.at) {
        Some(e) => phrase!("Life, {} events; {}", events.len(), sentence(e)),
        None => phrase!("Life, {} events", events.len()),
    };
    response.widget_info(|| WidgetInfo::labeled(Role::Slider, true, &spoken));
    let t = tokens(ui);
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, space::ROUND, t.raised);
    let span = view.part.span(life.first, life.last);
    let scale = Scale::new(rect.left() + WORDS + space::S, rect.right() - space::L, span);
    scale.ticks(&painter, t, rect, TICKS);
    names(&painter, t, rect, &lanes);
    let pointer = response.hover_pos();
    let mut hit: Option<(usize, f32)> = None;
    for (i, e) in events.iter().enumerate() {
        let Some(n) = lanes.iter().position(|k| *k == e.kind) else { continue };
        let y = rect.top() + (n as f32 + 0.5) * LANE;
        bar(&painter, t, &scale, file, e, y);
        if !scale.holds(e.at.day) {
            continue;
        }
        let at = Pos2::new(scale.x(e.at.day), y);
        mark(&painter, t, e, at, view.at == Some(i));
        if let Some(d) = pointer.map(|p| p.distance(at)).filter(|d| *d < 10.0)
            && hit.is_none_or(|(_, best)| d <= best)
        {
            hit = Some((i, d));
        }
    }
    if hit.is_some() {
        ui.ctx().set_cursor_icon(CursorIcon::PointingHand);
    }
    if response.clicked() {
        take_keyboard(ui, response.id);
        if let Some((i, _)) = hit {
            view.at = Some(i);
            opened = events.get(i).map(|e| e.record);
        }
    }
    match life.at(hit.map(|(i, _)| i).or(view.at)) {
        Some(e) => {
            let kind = if e.struck { Kind::Refuse } else { Kind::Plain };
            look::word(ui, kind, sentence(e));
        }
        None => {
            look::faint(ui, "Point at a mark, or step with the arrow keys, to read it.");
        }
    }
    let title = phrase!("Life of {}", file.animal.title());
    let said: Vec<String> = events.iter().map(sentence).collect();
    let of = Sitter { title: &title, said: &said.join(". "), width: 1_100.0, height: None };
    save_picture(ui, &of, out, |ui| still(ui, file, &life, &lanes, span));
    opened
}

/// The same without anything in hand, for a picture.
fn still(ui: &mut egui::Ui, file: &AnimalFile, life: &Life<'_>, lanes: &[EventKind], span: (Day, Day)) {
    let size = Vec2::new(ui.available_width(), lanes.len() as f32 * LANE + TICKS + space::XS);
    let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
    let (t, painter) = (tokens(ui), ui.painter_at(rect));
    painter.rect_filled(rect, space::ROUND, t.raised);
    let scale = Scale::new(rect.left() + WORDS + space::S, rect.right() - space::L, span);
    scale.ticks(&painter, t, rect, TICKS);
    names(&painter, t, rect, lanes);
    for e in life.events {
        let Some(n) = lanes.iter().position(|k| *k == e.kind) else { continue };
        let y = rect.top() + (n as f32 + 0.5) * LANE;
        bar(&painter, t, &scale, file, e, y);
        if scale.holds(e.at.day) {
            mark(&painter, t, e, Pos2::new(scale.x(e.at.day), y), false);
        }
    }
}

/// The heading and how much is shown.
fn parts(ui: &mut egui::Ui, life: &Life<'_>, view: &mut View) {
    ui.horizontal_wrapped(|ui| {
        look::subheading(ui, "Life");
        ui.add_space(space::S);
        for (words, days) in PARTS {
            if ui.selectable_label(view.part == Part::last(days), crate::look::spoken(words)).clicked() {
                view.part = Part::last(days);
            }
        }
        for (sign, name, by) in
            [("−", "A longer part of its life", 2.0), ("+", "A shorter part of its life", 0.5)]
        {
            let name = crate::look::said(name);
            let button = ui.button(sign);
            button.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
            if button.on_hover_text(phrase!("{name} (key {sign})")).clicked() {
                life.zoom(view, by);
            }
        }
        look::faint(ui, "← → step from event to event, Enter opens one");
    });
}

/// `3 Apr 2026, 06:40: Weighed 66 kg (struck out)`.
fn sentence(e: &Event) -> String {
    let struck = if e.struck { " (struck out)" } else { "" };
    phrase!("{}: {}{struck}", e.at.words(), e.text)
}

fn names(painter: &Painter, t: &Tokens, rect: Rect, lanes: &[EventKind]) {
    let font = FontId::new(look::size::SMALL, look::fonts::family(Face::Sans));
    for (n, kind) in lanes.iter().enumerate() {
        let y = rect.top() + (n as f32 + 0.5) * LANE;
        let at = Pos2::new(rect.left() + space::S, y);
        painter.text(at, Align2::LEFT_CENTER, kind.words(), font.clone(), t.faint);
        let line = [Pos2::new(rect.left() + WORDS, y), Pos2::new(rect.right() - space::S, y)];
        painter.line_segment(line, Stroke::new(1.0, t.rule));
    }
}

/// A dot; one struck out is hollow with a line through it, the one in hand has a ring.
fn mark(painter: &Painter, t: &Tokens, e: &Event, at: Pos2, in_hand: bool) {
    if e.struck {
        painter.circle(at, 4.5, t.raised, Stroke::new(1.5, t.faint));
        painter.line_segment([at - Vec2::splat(6.0), at + Vec2::splat(6.0)], Stroke::new(1.5, t.refuse));
    } else {
        painter.circle(at, 4.5, t.accent, Stroke::new(1.0, t.raised));
    }
    if in_hand {
        painter.circle_stroke(at, 8.0, Stroke::new(2.0, t.focus));
    }
}

/// A joining lasts to its end, a treatment to its clear day.
fn bar(painter: &Painter, t: &Tokens, scale: &Scale, file: &AnimalFile, e: &Event, y: f32) {
    let until = match e.record {
        _ if e.struck => None,
        RecordRef::Treatment(id) => file.treatments.iter().find(|x| x.id == id).and_then(|x| {
            [x.meat, x.milk]
                .into_iter()
                .filter_map(|p| match clear_after(x.at, p) {
                    Clear::From(day) => Some(day),
                    _ => None,
                })
                .max()
        }),
        _ => e.until,
    };
    let Some((left, right)) = until.and_then(|until| scale.stretch(e.at.day, until)) else { return };
    let rect = Rect::from_min_max(Pos2::new(left, y - 3.0), Pos2::new(right, y + 3.0));
    let fill = if e.kind == EventKind::Treatment { t.caution } else { t.edge };
    painter.rect_filled(rect, 2, fill.gamma_multiply(0.55));
}

/// The keys of the drawing; gives a record that was opened.
fn keys(ui: &egui::Ui, response: &egui::Response, life: &Life<'_>, view: &mut View) -> Option<RecordRef> {
    if !response.has_focus() {
        return None;
    }
    let filter = EventFilter { horizontal_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let last = life.events.len().saturating_sub(1);
    let pressed = |key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
    for (key, forward) in [(Key::ArrowRight, true), (Key::ArrowLeft, false)] {
        if pressed(key) {
            life.forward(view, forward);
        }
    }
    if pressed(Key::Home) {
        life.step(view, 0);
    }
    if pressed(Key::End) {
        life.step(view, last);
    }
    if pressed(Key::Plus) || pressed(Key::Equals) {
        life.zoom(view, 0.5);
    }
    if pressed(Key::Minus) {
        life.zoom(view, 2.0);
    }
    if pressed(Key::Enter) { life.at(view.at).map(|e| e.record) } else { None }
}
