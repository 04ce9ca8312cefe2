//! The animal's life on one line drawn to scale: a lane for each kind of event, joinings and withdrawals as bars.

use super::super::Ctx;
use crate::look::{self, Face, Kind, space, tokens};
use crate::parts::take_keyboard;
use egui::{Align2, EventFilter, FontId, Key, Pos2, Rect, Role, Sense, Stroke, Vec2, WidgetInfo};
use hirsel_core::flock::{AnimalFile, RecordRef};
use hirsel_core::reckon::clearance::{Clear, clear_after};
use hirsel_core::reckon::life::{Event, EventKind};
use hirsel_core::terms::Day;

const LANE: f32 = 24.0;
const WORDS: f32 = 96.0;
const TICKS: f32 = 22.0;

/// How much of the life is shown, and which event is in hand.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct View {
    /// Days back from the end; none is the whole life.
    days: Option<i64>,
    at: Option<usize>,
}

/// Draws it; gives the record of an event that was opened.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    events: &[Event],
    state: &mut View,
) -> Option<RecordRef> {
    ui.horizontal(|ui| {
        look::subheading(ui, "Life");
        ui.add_space(space::S);
        for (words, days) in [("whole", None), ("last two years", Some(730)), ("last 60 days", Some(60))] {
            if ui.selectable_label(state.days == days, words).clicked() {
                state.days = days;
            }
        }
        look::faint(ui, "← → step from event to event, Enter opens one");
    });
    let first = events.first()?.at.day;
    let a = &file.animal;
    let end = if a.status.is_here() { ctx.today } else { a.status_on.unwrap_or(ctx.today) };
    let end = events.last().map_or(end, |e| end.max(e.at.day)).plus(2);
    let start = state.days.map_or(first.plus(-2), |d| end.plus(-d).max(first.plus(-2)));
    let lanes: Vec<EventKind> =
        EventKind::ALL.into_iter().filter(|k| events.iter().any(|e| e.kind == *k)).collect();
    let size = Vec2::new(ui.available_width(), lanes.len() as f32 * LANE + TICKS + 4.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click() | Sense::FOCUSABLE);
    let scale = Scale { rect, start, span: end.since(start).max(1) as f32 };
    keys(ui, &response, events, state);
    let spoken = match state.at.and_then(|i| events.get(i)) {
        Some(e) => format!("Life, {} events; {}: {}", events.len(), e.at.words(), e.text),
        None => format!("Life, {} events", events.len()),
    };
    response.widget_info(|| WidgetInfo::labeled(Role::Slider, true, &spoken));
    let t = tokens(ui);
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, space::ROUND, t.raised);
    scale.ticks(&painter, t, end);
    for (n, kind) in lanes.iter().enumerate() {
        let y = rect.top() + (n as f32 + 0.5) * LANE;
        let font = FontId::new(look::size::SMALL, look::fonts::family(Face::Sans));
        painter.text(Pos2::new(rect.left() + space::S, y), Align2::LEFT_CENTER, kind.words(), font, t.faint);
        let line = [Pos2::new(rect.left() + WORDS, y), Pos2::new(rect.right() - space::S, y)];
        painter.line_segment(line, Stroke::new(1.0, t.rule));
    }
    let pointer = response.hover_pos();
    let mut hit: Option<(usize, f32)> = None;
    for (i, e) in events.iter().enumerate() {
        let Some(n) = lanes.iter().position(|k| *k == e.kind) else { continue };
        let y = rect.top() + (n as f32 + 0.5) * LANE;
        let Some(x) = scale.x(e.at.day) else { continue };
        let at = Pos2::new(x, y);
        bar(&painter, t, &scale, file, e, at);
        let ink = if e.struck { t.faint } else { t.accent };
        painter.circle_filled(at, 4.5, ink);
        if e.struck {
            painter.line_segment([at - Vec2::splat(6.0), at + Vec2::splat(6.0)], Stroke::new(1.5, t.refuse));
        }
        if state.at == Some(i) {
            painter.circle_stroke(at, 8.0, Stroke::new(2.0, t.focus));
        }
        if let Some(d) = pointer.map(|p| p.distance(at)).filter(|d| *d < 9.0)
            && hit.is_none_or(|(_, best)| d < best)
        {
            hit = Some((i, d));
        }
    }
    let mut opened = None;
    if response.clicked() {
        take_keyboard(ui, response.id);
        if let Some((i, _)) = hit {
            state.at = Some(i);
            opened = events.get(i).map(|e| e.record);
        }
    }
    if response.has_focus()
        && ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::Enter))
        && let Some(e) = state.at.and_then(|i| events.get(i))
    {
        opened = Some(e.record);
    }
    let shown = hit.map(|(i, _)| i).or(state.at);
    match shown.and_then(|i| events.get(i)) {
        Some(e) => {
            let kind = if e.struck { Kind::Refuse } else { Kind::Plain };
            let struck = if e.struck { " (struck out)" } else { "" };
            look::word(ui, kind, &format!("{}: {}{struck}", e.at.words(), e.text));
        }
        None => {
            look::faint(ui, "Point at a mark, or step with the arrow keys, to read it.");
        }
    }
    opened
}

/// Days to points.
struct Scale {
    rect: Rect,
    start: Day,
    span: f32,
}

impl Scale {
    fn x_free(&self, day: Day) -> f32 {
        let left = self.rect.left() + WORDS + space::S;
        let right = self.rect.right() - space::L;
        left + (right - left) * day.since(self.start) as f32 / self.span
    }

    /// None before the part that is shown.
    fn x(&self, day: Day) -> Option<f32> {
        (day >= self.start).then(|| self.x_free(day))
    }

    /// Years, or months when less than two years are shown.
    fn ticks(&self, painter: &egui::Painter, t: &look::Tokens, end: Day) {
        let months = self.span < 800.0;
        let font = FontId::new(look::size::SMALL, look::fonts::family(Face::Sans));
        let (mut year, mut month) = (self.start.year(), self.start.month());
        let step = if self.span < 100.0 || !months { 1 } else { 2 };
        let mut last = f32::MIN;
        let mut named = 0;
        for _ in 0..400 {
            if months {
                month += step;
                if month > 12 {
                    month -= 12;
                    year += 1;
                }
            } else {
                year += 1;
                month = 1;
            }
            let Some(day) = Day::new(year, month, 1) else { break };
            if day > end {
                break;
            }
            let x = self.x_free(day);
            let top = Pos2::new(x, self.rect.top());
            painter.line_segment([top, Pos2::new(x, self.rect.bottom() - TICKS)], Stroke::new(1.0, t.rule));
            let words = if months { day.short()[2..].to_string() } else { year.to_string() };
            let words = if months && named != year { format!("{words} {year}") } else { words };
            if x - last > 58.0 && x < self.rect.right() - 40.0 {
                named = year;
                let at = Pos2::new(x, self.rect.bottom() - TICKS / 2.0);
                painter.text(at, Align2::CENTER_CENTER, words, font.clone(), t.faint);
                last = x;
            }
        }
    }
}

/// A joining lasts to its end, a treatment to its clear day.
fn bar(painter: &egui::Painter, t: &look::Tokens, scale: &Scale, file: &AnimalFile, e: &Event, at: Pos2) {
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
    let Some(until) = until else { return };
    let right = scale.x_free(until).min(scale.rect.right() - space::XS);
    if right <= at.x + 1.0 {
        return;
    }
    let rect = Rect::from_min_max(at - Vec2::new(0.0, 3.0), Pos2::new(right, at.y + 3.0));
    let fill = if e.kind == EventKind::Treatment { t.caution } else { t.edge };
    painter.rect_filled(rect, 2, fill.gamma_multiply(0.55));
}

fn keys(ui: &egui::Ui, response: &egui::Response, events: &[Event], state: &mut View) {
    if !response.has_focus() || events.is_empty() {
        return;
    }
    let filter = EventFilter { horizontal_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let last = events.len() - 1;
    ui.input_mut(|i| {
        if i.consume_key(egui::Modifiers::NONE, Key::ArrowRight) {
            state.at = Some(state.at.map_or(0, |a| (a + 1).min(last)));
        }
        if i.consume_key(egui::Modifiers::NONE, Key::ArrowLeft) {
            state.at = Some(state.at.map_or(last, |a| a.saturating_sub(1)));
        }
        if i.consume_key(egui::Modifiers::NONE, Key::Home) {
            state.at = Some(0);
        }
        if i.consume_key(egui::Modifiers::NONE, Key::End) {
            state.at = Some(last);
        }
    });
}
