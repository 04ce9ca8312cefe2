//! The map by keys.

use super::super::super::{Ctx, Intent};
use super::{State, ask, laying};
use egui::{EventFilter, Id, Key, Modifiers, Ui};
use hirsel_core::flock::PenSort;
use hirsel_core::reckon::pen_map::Pen;

/// The keys of the map, for the page of all keys: key, what it does.
pub const KEYS: &[(&str, &str)] = &[
    ("← → ↑ ↓", "to the pen on that side; while laying out: move it a step"),
    ("Ctrl+arrows", "to the pen on that side, also while laying out"),
    ("Shift+arrows", "while laying out: wider, narrower, deeper, shallower"),
    ("Home, End", "to the first or last pen in barn order"),
    ("Enter", "open the pen: who is in it; while laying out: keep the layout"),
    ("M", "move the chosen, or everyone in it"),
    ("L", "lay out the pens"),
    ("A, N", "add a pen, name this one"),
    ("T, O", "turn it; outside or in the shed"),
    ("Del", "take an empty pen off the map"),
    ("+ −, 0", "larger, smaller, the whole width"),
];

/// Does what the keys ask for; call it only while the map has the keyboard.
pub(super) fn keys(ui: &Ui, ctx: &Ctx<'_>, id: Id, state: &mut State, out: &mut Vec<Intent>) {
    let filter = EventFilter {
        horizontal_arrows: true,
        vertical_arrows: true,
        escape: state.laying,
        ..EventFilter::default()
    };
    ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
    let pressed = |modifiers, key| ui.input_mut(|i| i.consume_key(modifiers, key));
    let plain = |key| pressed(Modifiers::NONE, key);
    for (key, by) in [
        (Key::ArrowLeft, (-1, 0)),
        (Key::ArrowRight, (1, 0)),
        (Key::ArrowUp, (0, -1)),
        (Key::ArrowDown, (0, 1)),
    ] {
        // Those with a modifier first: a key without one would take them too.
        let beside = pressed(Modifiers::COMMAND, key);
        if pressed(Modifiers::SHIFT, key) {
            if state.laying {
                laying::change(state, |p| p.at = p.at.sized(by));
            }
        } else if beside || plain(key) {
            if state.laying && !beside {
                laying::change(state, |p| p.at = p.at.moved(by));
            } else if let Some(to) = state.place().and_then(|at| next(&state.shown, at, by)) {
                state.take(to);
            }
        }
    }
    if plain(Key::Home) {
        state.take(0);
    }
    if plain(Key::End) {
        state.take(state.shown.len().saturating_sub(1));
    }
    if plain(Key::Enter) {
        if state.laying {
            laying::keep(ctx, state, out);
        } else {
            state.side.into = true;
        }
    }
    if state.laying && plain(Key::Escape) {
        // What was moved stays in the draft: 'Keep this layout' and 'As it was' stand above the map.
        state.laying = false;
    }
    if plain(Key::M) {
        ask::begin_move(state, out);
    }
    if plain(Key::L) {
        laying::begin(state);
    }
    if plain(Key::A) {
        state.asking = ask::Asking::add();
    }
    if plain(Key::N) {
        ask::begin_name(state);
    }
    if plain(Key::T) {
        laying::change(state, |p| p.at = p.at.turned());
    }
    if plain(Key::O) {
        laying::change(state, |p| {
            p.sort = if p.sort == PenSort::Outside { PenSort::Shed } else { PenSort::Outside };
        });
    }
    if plain(Key::Delete) {
        laying::take_off(state, out);
    }
    if plain(Key::Plus) || plain(Key::Equals) || pressed(Modifiers::SHIFT, Key::Plus) {
        laying::zoom(state, 1);
    }
    if plain(Key::Minus) {
        laying::zoom(state, -1);
    }
    if plain(Key::Num0) {
        laying::zoom(state, 0);
    }
}

/// The nearest pen on a side: those straight ahead before those aslant.
fn next(pens: &[Pen], at: usize, (dx, dy): (i32, i32)) -> Option<usize> {
    let middle =
        |p: &Pen| (i32::from(p.at.x) * 2 + i32::from(p.at.w), i32::from(p.at.y) * 2 + i32::from(p.at.h));
    let from = middle(pens.get(at)?);
    let far = |p: &Pen| {
        let to = middle(p);
        let (x, y) = (to.0 - from.0, to.1 - from.1);
        let (ahead, aside) = if dx != 0 { (x * dx, y.abs()) } else { (y * dy, x.abs()) };
        (ahead > 0).then_some(ahead + aside * 3)
    };
    let all = pens.iter().enumerate().filter(|(i, _)| *i != at);
    all.filter_map(|(i, p)| Some((far(p)?, i))).min().map(|(_, i)| i)
}
