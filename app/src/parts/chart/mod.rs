//! A chart of weights: points, a line with its band, the band of others behind it. Pointing at it, or going along it
//! with the arrow keys, reads it in words below; those who listen hear the whole as one text.
//!
//! Other charts draw their own marks with the same axes: [`axes`], on a [`OnScreen`](super::canvas::OnScreen).

use super::canvas::OnScreen;
use super::take_keyboard;
use crate::look::{self, space, tokens};
use egui::{
    CornerRadius, EventFilter, Key, Modifiers, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, vec2,
};
use hirsel_core::papers::chart::{Chart, chart};
use hirsel_core::phrase;

pub use hirsel_core::papers::chart::axes;

/// The keys of a chart, for the page of all keys: key, what it does.
pub const KEYS: &[(&str, &str)] = &[
    ("← →", "to the weight before or after; of many animals, along the curve"),
    ("Home, End", "to the first or last"),
];

/// What a chart remembers.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ChartState {
    /// Where it is read, along the foot.
    at: Option<f64>,
    /// Take the keyboard.
    pub focus: bool,
}

impl ChartState {
    /// Another chart is shown.
    pub fn anew(&mut self) {
        self.at = None;
    }
}

/// How near the pointer must be to a weight, in points.
const NEAR: f32 = 14.0;

/// Draws a chart of this height into the width there is, and the line that reads it below.
pub fn growth_chart(ui: &mut Ui, name: &str, shown: &Chart, height: f32, state: &mut ChartState) {
    let width = ui.available_width();
    let (rect, response) = ui.allocate_exact_size(vec2(width, height), Sense::click());
    let id = response.id;
    response.widget_info(|| WidgetInfo::labeled(Role::Figure, true, name));
    if response.clicked() || std::mem::take(&mut state.focus) {
        take_keyboard(ui, id);
    }
    if response.has_focus() {
        keys(ui, id, shown, state);
    }
    let t = tokens(ui);
    let painter = ui.painter_at(rect.expand(2.0));
    let inner = rect.shrink(space::XS);
    let at = [0.0, 0.0, inner.width(), inner.height()];
    let hand = state.at.and_then(|x| shown.dots.iter().position(|d| (d.x - x).abs() < 1e-9));
    let hand = hand.filter(|_| !shown.many && shown.days_from.is_none());
    let frame = chart(&mut OnScreen::new(&painter, t, inner.min), at, shown, hand);
    if response.has_focus() {
        let round = CornerRadius::same(space::ROUND);
        painter.rect_stroke(rect, round, Stroke::new(space::RING, t.focus), StrokeKind::Inside);
    }
    let pointed = response.hover_pos().map(|p| p - inner.min.to_vec2());
    let words = if let Some(p) = pointed.filter(|p| (frame.left..=frame.right).contains(&p.x)) {
        let far = |d: &hirsel_core::papers::chart::Dot| {
            let (x, y) = frame.at((d.x, d.y));
            (x - p.x).hypot(y - p.y)
        };
        let near = shown.dots.iter().min_by(|a, b| far(a).total_cmp(&far(b))).filter(|d| far(d) < NEAR);
        let x = inner.left() + p.x;
        let line = [egui::pos2(x, inner.top() + frame.top), egui::pos2(x, inner.top() + frame.bottom)];
        painter.line_segment(line, Stroke::new(1.0, t.edge));
        reading(shown, near.map_or_else(|| frame.x_of(p.x), |d| d.x), near)
    } else if let Some(x) = state.at {
        if shown.many || shown.days_from.is_some() {
            let x = inner.left() + frame.at_x(x);
            let line = [egui::pos2(x, inner.top() + frame.top), egui::pos2(x, inner.top() + frame.bottom)];
            painter.line_segment(line, Stroke::new(1.0, t.edge));
        }
        reading(shown, x, hand.and_then(|i| shown.dots.get(i)))
    } else {
        phrase!("Point at the chart, or go along it with ← and →, to read it.")
    };
    ui.ctx().accesskit_node_builder(id, |node| {
        let said = if state.at.is_some() { format!("{words}. {}", shown.said) } else { shown.said.clone() };
        node.set_description(said);
    });
    look::faint(ui, words);
}

/// Draws a chart of this height alone, without what reads it: for a picture.
pub fn drawing(ui: &mut Ui, shown: &Chart, height: f32) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let at = [0.0, 0.0, rect.width(), rect.height()];
    let painter = ui.painter_at(rect.expand(2.0));
    chart(&mut OnScreen::new(&painter, tokens(ui), rect.min), at, shown, None);
}

fn reading(shown: &Chart, x: f64, dot: Option<&hirsel_core::papers::chart::Dot>) -> String {
    let curve = shown.read(x);
    match dot {
        Some(dot) if shown.line.is_some() || shown.behind.is_some() => format!("{}; {curve}", dot.said),
        Some(dot) => dot.said.clone(),
        None => curve,
    }
}

fn keys(ui: &Ui, id: egui::Id, shown: &Chart, state: &mut ChartState) {
    let filter = EventFilter { horizontal_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
    let plain = |key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
    let stops: Vec<f64> = shown.stops().unwrap_or_else(|| shown.dots.iter().map(|d| d.x).collect());
    let here = state.at;
    if plain(Key::ArrowRight) {
        let next = stops.iter().copied().find(|x| here.is_none_or(|h| *x > h + 1e-9));
        state.at = next.or(here);
    }
    if plain(Key::ArrowLeft) {
        let next = stops.iter().rev().copied().find(|x| here.is_none_or(|h| *x < h - 1e-9));
        state.at = next.or(here);
    }
    if plain(Key::Home) {
        state.at = stops.first().copied();
    }
    if plain(Key::End) {
        state.at = stops.last().copied();
    }
}
