//! Walking the waters by keys.

use super::{ChartEvent, ChartState, Drawing};
use egui::{EventFilter, Id, Key, Modifiers, Ui};

/// The keys of the drawing, for the page of all keys: key, what it does.
pub const KEYS: &[(&str, &str)] = &[
    ("←", "to the sire"),
    ("↑ ↓", "to the one above or below; from the middle to sire or dam"),
    ("→", "to the offspring"),
    ("S, D", "to the sire, to the dam"),
    ("Enter", "make the one in hand the middle"),
    ("Backspace", "back to the one before"),
    ("O", "open its leaf"),
    ("+ −", "larger, smaller"),
    ("Home", "to the middle"),
    ("Page up, Page down", "to the first or last of the generation"),
];

/// Does what the keys ask for; call it only while the chart has the keyboard.
pub(super) fn keys<K: Copy + PartialEq>(
    ui: &Ui,
    id: Id,
    drawing: &Drawing<K>,
    state: &mut ChartState,
    events: &mut Vec<ChartEvent<K>>,
) {
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
    let pressed = |modifiers, key| ui.input_mut(|i| i.consume_key(modifiers, key));
    let plain = |key| pressed(Modifiers::NONE, key);
    let at = state.hand;
    let key = drawing.reaches.get(at).and_then(|r| r.key);
    let mut go = |to: Option<usize>| {
        if let Some(to) = to.filter(|to| *to != state.hand) {
            state.hand = to;
            state.show = super::SHOW;
        }
    };
    if plain(Key::ArrowLeft) {
        go(drawing.left(at));
    }
    if plain(Key::ArrowRight) {
        go(drawing.right(at));
    }
    if plain(Key::ArrowUp) {
        go(drawing.beside(at, false));
    }
    if plain(Key::ArrowDown) {
        go(drawing.beside(at, true));
    }
    for (key, sire) in [(Key::S, true), (Key::D, false)] {
        if plain(key) {
            go(drawing.parent(at, sire));
        }
    }
    if plain(Key::PageUp) {
        go(drawing.column(at).first().copied());
    }
    if plain(Key::PageDown) {
        go(drawing.column(at).last().copied());
    }
    if plain(Key::Home) {
        state.anew();
    }
    // On many keyboards + is Shift and =.
    if plain(Key::Plus) || plain(Key::Equals) || pressed(Modifiers::SHIFT, Key::Plus) {
        state.zoom_by(1);
    }
    if plain(Key::Minus) {
        state.zoom_by(-1);
    }
    if plain(Key::Enter) && at > 0 {
        events.extend(key.map(ChartEvent::Middle));
    }
    if plain(Key::Backspace) {
        events.push(ChartEvent::Back);
    }
    if plain(Key::O) {
        events.extend(key.map(ChartEvent::Open));
    }
}

impl<K> Drawing<K> {
    /// Boxes of the same column, from top to bottom.
    fn column(&self, at: usize) -> Vec<usize> {
        let Some(here) = self.reaches.get(at) else { return Vec::new() };
        let mut all: Vec<usize> =
            (0..self.reaches.len()).filter(|i| self.reaches[*i].column == here.column).collect();
        all.sort_by(|a, b| self.reaches[*a].middle.total_cmp(&self.reaches[*b].middle));
        all
    }

    /// The sire or dam of a box that is an ancestor or the middle; of a descendant the one it comes from.
    fn parent(&self, at: usize, sire: bool) -> Option<usize> {
        let here = self.reaches.get(at)?;
        if here.column > 0 {
            return here.tied;
        }
        let is = |r: &super::Reach<K>| r.tied == Some(at) && r.column < here.column && r.sire == sire;
        self.reaches.iter().position(is)
    }

    /// To the left: the sire, or the dam where only she is known.
    fn left(&self, at: usize) -> Option<usize> {
        let (sire, dam) = (self.parent(at, true), self.parent(at, false));
        let known = |p: &usize| self.reaches.get(*p).is_some_and(|r| r.key.is_some());
        sire.filter(known).or(dam.filter(known)).or(sire).or(dam)
    }

    /// To the right: towards the middle, and from it to the offspring at its height.
    fn right(&self, at: usize) -> Option<usize> {
        let here = self.reaches.get(at)?;
        if here.column < 0 {
            return here.tied;
        }
        let far = |i: &usize| (self.reaches[*i].middle - here.middle).abs();
        let mine = |i: &usize| self.reaches[*i].tied == Some(at) && self.reaches[*i].column > here.column;
        (0..self.reaches.len()).filter(mine).min_by(|a, b| far(a).total_cmp(&far(b)))
    }

    /// Above or below in the same column; from the middle to the sire or the dam.
    fn beside(&self, at: usize, down: bool) -> Option<usize> {
        if self.reaches.get(at)?.column == 0 {
            return self.parent(at, !down);
        }
        let all = self.column(at);
        let here = all.iter().position(|i| *i == at)?;
        if down { all.get(here + 1).copied() } else { here.checked_sub(1).and_then(|n| all.get(n).copied()) }
    }
}
