//! Laying pens out: a draft over the map, kept in one act.

use super::super::super::{Ctx, Intent};
use super::State;
use super::ask::Asking;
use hirsel_core::entry;
use hirsel_core::flock::{PenPlace, PenSort, natural, pen_key};
use hirsel_core::phrase;
use hirsel_core::reckon::pen_map::{Heads, Pen, PenMap};
use hirsel_core::terms::Place;

/// The pens of a map with a draft over them, in barn order.
pub(super) fn over(map: &PenMap, draft: &[PenPlace]) -> Vec<Pen> {
    let mut all = map.pens.clone();
    for d in draft {
        match all.iter_mut().find(|p| pen_key(&p.name) == pen_key(&d.pen)) {
            Some(p) => (p.at, p.sort) = (d.at, d.sort),
            None => all.push(Pen {
                name: d.pen.clone(),
                at: d.at,
                sort: d.sort,
                laid: false,
                over: None,
                families: Vec::new(),
                heads: Heads::default(),
                since: None,
                jobs: 0,
                overdue: 0,
                held: 0,
            }),
        }
    }
    all.retain(|p| p.sort != PenSort::Off || !p.is_empty());
    if !draft.is_empty() {
        let places: Vec<(String, Place)> = all.iter().map(|p| (p.name.clone(), p.at)).collect();
        for (i, p) in all.iter_mut().enumerate() {
            let other = places.iter().enumerate().find(|(n, (_, at))| *n != i && at.meets(p.at));
            p.over = other.map(|(_, (name, _))| name.clone());
        }
    }
    all.sort_by(|a, b| natural(&a.name, &b.name).then_with(|| a.name.cmp(&b.name)));
    all
}

pub(super) fn begin(state: &mut State) {
    state.laying = true;
    state.refused = None;
    state.focus = true;
    state.show = true;
}

/// Another place, size or kind for the pen in hand.
pub(super) fn change(state: &mut State, how: impl FnOnce(&mut PenPlace)) {
    let Some(pen) = state.in_hand() else { return };
    let mut place = pen.as_laid();
    how(&mut place);
    put(state, place);
}

pub(super) fn put(state: &mut State, place: PenPlace) {
    state.laying = true;
    state.refused = None;
    match state.draft.iter_mut().find(|d| pen_key(&d.pen) == pen_key(&place.pen)) {
        Some(d) => *d = place,
        None => state.draft.push(place),
    }
    state.remake();
    state.show = true;
}

/// A new pen where there is room, in hand.
pub(super) fn add(state: &mut State, name: &str) {
    let at = PenMap::room_for(&state.shown, Place::SINGLE);
    put(state, PenPlace { pen: name.trim().to_string(), at, sort: PenSort::Shed });
    state.hand = name.trim().to_string();
    state.remake();
    state.focus = true;
}

/// Takes the pen in hand off the map, where nobody is in it.
pub(super) fn take_off(state: &mut State, out: &mut Vec<Intent>) {
    let Some(pen) = state.in_hand() else { return };
    if !pen.is_empty() {
        let why = phrase!("{} stays on the map while somebody is in it: move them first", pen.name);
        return state.refuse(why, out);
    }
    change(state, |p| p.sort = PenSort::Off);
}

/// Keeps everything as it is drawn, also the pens that fell by themselves: from now on they stay where they are.
pub(super) fn keep(ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let off = state.draft.iter().filter(|d| d.sort == PenSort::Off).cloned();
    let put: Vec<PenPlace> = state.shown.iter().map(Pen::as_laid).chain(off).collect();
    let known = |p: &PenPlace| ctx.flock.pen_places().contains(p);
    if put.iter().all(known) {
        state.draft.clear();
        state.laying = false;
        state.remake();
        state.focus = true;
        return;
    }
    let check = entry::pens_laid(put, Vec::new(), ctx.flock);
    if check.is_ok() {
        state.asking = Asking::Laying;
    }
    state.hand_over(check, out);
}

/// Larger or smaller; nought is the whole width.
pub(super) fn zoom(state: &mut State, step: i32) {
    state.zoom = if step == 0 { 1.0 } else { (state.zoom * 1.15f32.powi(step)).clamp(0.5, 2.5) };
    state.show = true;
}
