//! The map of the shed: pens laid out, called otherwise, taken off.

use super::{Check, Entry, Faults, Field, Refused, words};
use crate::flock::{Flock, PenMove, PenPlace, PenSort, pen_key};
use crate::terms::{Day, Misread, PenMoveId, counted};
use std::collections::HashSet;

/// A pen's name is no longer than so many letters.
const LONGEST: usize = 40;

/// Checks pens as they are to be laid out, and names of pens whose place is given up; rows of faults count `put`. Pens
/// of the shed may not lie over one another, nor over those that are laid out already.
///
/// # Errors
/// A name is missing, too long or given twice, a place is none, two pens lie over one another, or nothing changes.
pub fn pens_laid(put: Vec<PenPlace>, drop: Vec<String>, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    let known = flock.pen_places();
    let dropped: HashSet<String> = drop.iter().map(|p| pen_key(p)).collect();
    let mut named = HashSet::new();
    for (row, p) in put.iter().enumerate() {
        named_well(&mut faults, row, &p.pen);
        if !named.insert(pen_key(&p.pen)) {
            faults.refuse(Field::row("pen", row), said(format!("the pen {} is given twice", p.pen)));
        }
        if !p.at.is_sound() {
            let why = format!("{} does not fit on the map: make it smaller, or move it nearer", p.pen);
            faults.refuse(Field::row("place", row), said(why));
        }
    }
    let stays = |p: &&PenPlace| !named.contains(&pen_key(&p.pen)) && !dropped.contains(&pen_key(&p.pen));
    let others: Vec<&PenPlace> = known.iter().filter(stays).collect();
    for (row, p) in put.iter().enumerate().filter(|(_, p)| p.sort != PenSort::Off) {
        let before = put.iter().take(row).chain(others.iter().copied());
        if let Some(other) = before.filter(|o| o.sort != PenSort::Off).find(|o| o.at.meets(p.at)) {
            let why = format!("{} lies over {}: move one of the two", p.pen, other.pen);
            faults.refuse(Field::row("place", row), said(why));
        }
    }
    let put: Vec<PenPlace> = put.into_iter().map(tidy).filter(|p| !known.contains(p)).collect();
    let is_laid = |name: &String| known.iter().any(|p| pen_key(&p.pen) == pen_key(name));
    let drop: Vec<String> = drop
        .into_iter()
        .filter(|d| is_laid(d) && !put.iter().any(|p| pen_key(&p.pen) == pen_key(d)))
        .collect();
    if put.is_empty() && drop.is_empty() {
        faults.refuse(Field::of("place"), Refused::NothingChanged);
    }
    faults.or(|| {
        let off = put.iter().filter(|p| p.sort == PenSort::Off).map(|p| p.pen.as_str());
        let gone: Vec<&str> = drop.iter().map(String::as_str).chain(off).collect();
        let laid: Vec<&str> = put.iter().filter(|p| p.sort != PenSort::Off).map(|p| p.pen.as_str()).collect();
        let mut parts = Vec::new();
        for (pens, did) in [(laid, "laid out"), (gone, "taken off")] {
            match pens.as_slice() {
                [] => {}
                [one] => parts.push(format!("{one} {did}")),
                many => parts.push(format!("{} {did}", counted(many.len(), "pen"))),
            }
        }
        let sentence = format!("Pen map: {}", parts.join(", "));
        (Entry::PenPlaces { put, drop, moves: Vec::new() }, sentence)
    })
}

/// Checks another name for a pen. What stands in it goes along by a move of today; records of the past keep the old
/// name. `place` is where the map shows it, for a pen that was never laid out.
///
/// # Errors
/// The name is missing, too long, the same, or another pen's; a creep or a ration of the pen runs under the old name.
pub fn pen_renamed(from: &str, to: &str, place: &PenPlace, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    let (old, new) = (pen_key(from), pen_key(to));
    named_well(&mut faults, 0, to);
    if from.trim() == to.trim() {
        faults.refuse(Field::of("pen"), Refused::NothingChanged);
    }
    let animals = flock.in_pen(from);
    if old != new {
        let taken = flock.pen_places().iter().any(|p| p.sort != PenSort::Off && pen_key(&p.pen) == new);
        if taken || !flock.in_pen(to).is_empty() {
            let why = format!("there is a pen called {} already: choose another name", to.trim());
            faults.refuse(Field::of("pen"), said(why));
        }
        let room = flock.feedroom();
        let creep =
            room.creeps.iter().any(|c| c.struck.is_none() && c.to.is_none() && pen_key(&c.pen) == old);
        let here = |r: &&crate::flock::Ration| {
            r.struck.is_none() && r.pen.as_deref().is_some_and(|p| pen_key(p) == old)
        };
        // Of the lines of one feed in one pen the last says what is given.
        let given = room.rations.iter().filter(here).any(|r| {
            let later = room
                .rations
                .iter()
                .filter(here)
                .any(|o| (o.feed, o.eaters) == (r.feed, r.eaters) && (o.from, o.id) > (r.from, r.id));
            !later && r.each.grams() > 0
        });
        for (runs, what) in [(creep, "a creep"), (given, "a ration")] {
            if runs {
                let why =
                    format!("{what} of {} runs under this name: end it first, on the page Feed", from.trim());
                faults.refuse(Field::of("pen"), said(why));
            }
        }
    }
    let put = vec![tidy(PenPlace { pen: to.to_string(), ..place.clone() })];
    faults.or(|| {
        let on = today;
        let pen = Some(to.trim().into());
        let one = |animal| PenMove { id: PenMoveId::new(), animal, on, pen: pen.clone(), struck: None };
        let moves: Vec<PenMove> = animals.into_iter().map(one).collect();
        let with = match moves.len() {
            0 => String::new(),
            n => format!(", with {}", counted(n, "animal")),
        };
        let sentence = format!("Pen {} is called {} now{with}", from.trim(), to.trim());
        let drop = if old == new { Vec::new() } else { vec![from.trim().to_string()] };
        (Entry::PenPlaces { put, drop, moves }, sentence)
    })
}

fn named_well(faults: &mut Faults, row: usize, name: &str) {
    let Some(name) = words(&Some(name)).map(|n: String| n) else {
        faults.refuse(Field::row("pen", row), Refused::Missing("the pen's name"));
        return;
    };
    if name.chars().count() > LONGEST {
        let why = format!("the pen name '{name}' is longer than {LONGEST} characters");
        faults.refuse(Field::row("pen", row), said(why));
    }
}

fn tidy(p: PenPlace) -> PenPlace {
    PenPlace { pen: p.pen.trim().to_string(), ..p }
}

fn said(why: String) -> Refused {
    Misread::new(why).into()
}

#[cfg(test)]
mod tests;
