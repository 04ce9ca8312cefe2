//! The keys of the drawing, and wheel and drag.

use super::super::{Ctx, Intent};
use super::cache::place;
use super::span::Span;
use super::{Hand, State};
use crate::parts::take_keyboard;
use egui::{EventFilter, Key, Modifiers, Response};
use hirsel_core::papers::timeline::drawing::ROW;
use hirsel_core::reckon::season::{Picked, Row};

/// The keys of the drawing, for the page of all keys: key, what it does.
pub const KEYS: &[(&str, &str)] = &[
    ("↑ ↓, Page up, down", "from animal to animal"),
    ("Shift+← →", "from event to event"),
    ("← →", "earlier or later days"),
    ("+ −", "fewer or more days"),
    ("Home", "to today"),
    ("Enter", "open the animal's leaf"),
    ("L", "draw the life of the animal in hand"),
    ("Esc", "back to the flock"),
];

pub(super) fn keys(
    ui: &egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    response: &Response,
    picked: &Picked,
    out: &mut Vec<Intent>,
) {
    if response.clicked() || response.drag_started() {
        take_keyboard(ui, response.id);
    }
    pointer(ui, ctx, state, response);
    if !response.has_focus() {
        return;
    }
    crate::parts::live::here(ui, KEYS);
    let filter = EventFilter {
        horizontal_arrows: true,
        vertical_arrows: true,
        escape: true,
        ..EventFilter::default()
    };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let pressed = |modifiers, key| ui.input_mut(|i| i.consume_key(modifiers, key));
    let plain = |key| pressed(Modifiers::NONE, key);
    for (key, forward) in [(Key::ArrowRight, true), (Key::ArrowLeft, false)] {
        // The key with Shift first: without it would match as well.
        if pressed(Modifiers::SHIFT, key) {
            step(ctx, state, picked, forward);
        } else if plain(key) {
            let span = state.span(ctx);
            let by = if forward { span.step() } else { -span.step() };
            state.span = Some(span.moved(by, ctx.today));
        }
    }
    if plain(Key::Home) {
        let span = state.span(ctx);
        state.span = Some(Span::around(ctx.today, span.days));
    }
    // On many keyboards + is Shift and =.
    if plain(Key::Plus) || plain(Key::Equals) || pressed(Modifiers::SHIFT, Key::Plus) {
        zoom(ctx, state, true);
    }
    if plain(Key::Minus) {
        zoom(ctx, state, false);
    }
    if plain(Key::Enter)
        && let Some(hand) = state.hand
    {
        out.push(Intent::Open(hand.animal));
    }
    if state.animal.is_some() {
        return;
    }
    if plain(Key::L)
        && let Some(hand) = state.hand
    {
        state.turn_to(Some(hand.animal));
        return;
    }
    let page = (state.view.high / ROW).floor().max(2.0) as usize - 1;
    for (key, by, down) in [
        (Key::ArrowDown, 1, true),
        (Key::ArrowUp, 1, false),
        (Key::PageDown, page, true),
        (Key::PageUp, page, false),
    ] {
        if plain(key) {
            walk(ctx, state, picked, by, down);
        }
    }
}

pub(super) fn zoom(ctx: &Ctx<'_>, state: &mut State, closer: bool) {
    let focus = state.focus(ctx);
    let span = state.span(ctx).zoomed(closer, focus);
    state.span = Some(span);
}

/// To another row, staying near the day one was at.
fn walk(ctx: &Ctx<'_>, state: &mut State, picked: &Picked, by: usize, down: bool) {
    let rows = &picked.rows;
    let from = state.hand.and_then(|h| place(rows, h.animal, h.row));
    let focus = state.focus(ctx);
    let target = match (from, down) {
        (None, _) => (state.view.top / ROW).max(0.0) as usize,
        (Some(at), true) => (at + by).min(rows.len().saturating_sub(1)),
        (Some(at), false) => at.saturating_sub(by),
    };
    let animal = |i: usize| match rows.get(i) {
        Some(Row::Animal(id)) => Some((i, *id)),
        _ => None,
    };
    // Heads of sections are stepped over; at the very ends one stays.
    let found = if down || from.is_none() {
        (target..rows.len()).find_map(animal)
    } else {
        (0..=target).rev().find_map(animal).or_else(|| (0..rows.len()).find_map(animal))
    };
    let Some((row, id)) = found else { return };
    let line = state.cache.line(ctx, id);
    let span = state.span(ctx);
    let event = line
        .nearest(focus, state.kinds)
        .filter(|i| line.events.get(*i).is_some_and(|e| e.to >= span.start && e.from <= span.end()));
    state.hand = Some(Hand { animal: id, row, event });
    show_row(state, row);
}

/// Scrolls as little as shows a row with one above and below it.
pub(super) fn show_row(state: &mut State, row: usize) {
    let y = row as f32 * ROW;
    let view = &mut state.view;
    let (first, last) = ((y - ROW).max(0.0), (y + 2.0 * ROW - view.high).max(0.0));
    if view.top > first {
        view.go = Some(first);
    } else if view.top < last {
        view.go = Some(last);
    }
}

/// To the next event of the animal in hand, or the one before.
fn step(ctx: &Ctx<'_>, state: &mut State, picked: &Picked, forward: bool) {
    let first = || {
        picked.rows.iter().enumerate().find_map(|(i, r)| match r {
            Row::Animal(id) => Some(Hand { animal: *id, row: i, event: None }),
            Row::Head(..) => None,
        })
    };
    let Some(hand) = state.hand.or_else(first) else { return };
    let line = state.cache.line(ctx, hand.animal);
    let focus = state.focus(ctx);
    let event = match hand.event {
        Some(at) => line.step(at, forward, state.kinds).or(Some(at)),
        None => line.nearest(focus, state.kinds),
    };
    state.hand = Some(Hand { event, ..hand });
    state.view.follow = true;
    if let Some(day) = state.event_day(ctx) {
        let span = state.span(ctx).showing(day);
        state.span = Some(span);
    }
}

/// Ctrl and wheel zoom about the pointer; the wheel across, and dragging, move the days.
fn pointer(ui: &egui::Ui, ctx: &Ctx<'_>, state: &mut State, response: &Response) {
    let Some(scale) = state.view.scale else { return };
    let over = ui.input(|i| i.pointer.hover_pos()).filter(|p| response.rect.contains(*p));
    let mut by = if response.dragged() { response.drag_delta().x } else { 0.0 };
    if let Some(at) = over {
        let (zoom, across) = ui.input(|i| (i.zoom_delta(), i.smooth_scroll_delta().x));
        by += across;
        if (zoom - 1.0).abs() > 0.001 {
            let span = state.span(ctx);
            let mut days = (span.days as f32 / zoom).round() as i64;
            if days == span.days {
                days += if zoom > 1.0 { -1 } else { 1 };
            }
            state.span = Some(span.with_days(days, scale.day(at.x - response.rect.left())));
        }
    }
    state.view.drag += by / scale.per_day().max(0.01);
    let whole = state.view.drag.trunc();
    if whole != 0.0 {
        state.view.drag -= whole;
        let span = state.span(ctx).moved(-(whole as i64), ctx.today);
        state.span = Some(span);
    }
}
