//! What each column is and in which order days stand: as found, with what the keeper says put over it.

use super::super::columns::{Guess, Meaning, Seen, guess};
use super::super::days;
use super::super::form::{Form, form, may_be_ahead};
use super::super::grid::Cell;
use super::super::preview::SeenColumn;
use super::super::words::MassUnit;
use super::super::{Choice, Incoming};
use crate::exchange::Kind;
use crate::exchange::scale::{DateAsk, DateOrder};
use crate::flock::Flock;
use crate::terms::{Day, Units};
use std::collections::HashSet;

/// The columns as guessed, with what the keeper says of them put over it.
pub(super) fn taken(
    inc: &Incoming,
    choice: &Choice,
    kind: Kind,
    seen: &[Seen],
    flock: &Flock,
) -> Vec<SeenColumn> {
    let mut guesses = guess(kind, seen);
    for (at, meaning) in &choice.meanings {
        let fits = match meaning {
            Meaning::Column(name) => kind.columns().iter().any(|c| c.name == *name),
            Meaning::Remark => kind.columns().iter().any(|c| c.name == "note"),
            Meaning::Out => true,
        };
        if !fits || *at >= guesses.len() {
            continue;
        }
        // A meaning that another column was guessed to have goes over to this one.
        for (i, g) in guesses.iter_mut().enumerate() {
            if i != *at
                && matches!(meaning, Meaning::Column(_))
                && g.meaning == *meaning
                && !choice.meanings.contains_key(&i)
            {
                *g = Guess { meaning: Meaning::Out, why: "another column has it".into(), sure: 0 };
            }
        }
        guesses[*at] = Guess { meaning: *meaning, why: "as you said".into(), sure: 100 };
    }
    // Of two columns that the keeper says are the same, the last one stands.
    let mut given = HashSet::new();
    for g in guesses.iter_mut().rev() {
        if matches!(g.meaning, Meaning::Column(_)) && !given.insert(g.meaning) {
            *g = Guess { meaning: Meaning::Out, why: "another column has it".into(), sure: 0 };
        }
    }
    let usual = if flock.holding().units == Units::Imperial { MassUnit::Lb } else { MassUnit::Kg };
    inc.heads()
        .into_iter()
        .zip(guesses)
        .zip(seen)
        .enumerate()
        .map(|(at, ((head, g), s))| {
            let weighs = matches!(g.meaning, Meaning::Column(c) if form(kind, c) == Form::Kilograms);
            // Our own columns say their unit.
            let own =
                matches!(g.meaning, Meaning::Column(c) if head.to_lowercase().replace([' ', '-'], "_") == c);
            let unit =
                choice.units.get(&at).copied().or(s.unit).unwrap_or(if own { MassUnit::Kg } else { usual });
            SeenColumn {
                head,
                sample: s.sample.clone(),
                meaning: g.meaning,
                why: g.why,
                unit: weighs.then_some(unit),
                is_lost: g.meaning == Meaning::Out && !s.is_empty(),
            }
        })
        .collect()
}

/// The order of days, from the days themselves where they tell it.
pub(super) fn order(
    inc: &Incoming,
    choice: &Choice,
    kind: Kind,
    columns: &[SeenColumn],
    today: Day,
) -> (Option<DateOrder>, Option<DateAsk>) {
    let mut all: Vec<(days::Written, String, usize, bool)> = Vec::new();
    for (at, c) in columns.iter().enumerate() {
        let Meaning::Column(name) = c.meaning else { continue };
        if !matches!(form(kind, name), Form::Day | Form::Born) {
            continue;
        }
        for l in &inc.lines {
            let Cell::Text(text) = l.cell(at) else { continue };
            let bare = text.trim_start_matches('~').trim();
            if let Some((w, _)) = days::read(bare, today).filter(|(w, _)| w.is_open()) {
                all.push((w, text.clone(), l.number, may_be_ahead(name)));
            }
        }
    }
    let past: Vec<days::Written> = all.iter().filter(|a| !a.3).map(|a| a.0).collect();
    let every: Vec<days::Written> = all.iter().map(|a| a.0).collect();
    let mut fits = days::orders(&past, today, Some(today));
    if fits.is_empty() {
        fits = days::orders(&every, today, None);
    } else if fits.len() > 1 {
        // Days ahead may tell it where those before do not.
        let ahead: Vec<days::Written> = all.iter().filter(|a| a.3).map(|a| a.0).collect();
        let also = days::orders(&ahead, today, None);
        if also.len() == 1 && fits.contains(&also[0]) {
            fits = also;
        }
    }
    if all.is_empty() {
        return (None, None);
    }
    match (choice.order, fits.as_slice()) {
        (Some(said), _) => (Some(said), None),
        (None, [one]) => (Some(*one), None),
        (None, several) => {
            let readings = |w: days::Written| -> Vec<(DateOrder, Day)> {
                several.iter().filter_map(|o| w.day(*o, days::last_year(today)).map(|d| (*o, d))).collect()
            };
            let differ = |w: days::Written| {
                let r = readings(w);
                r.len() < several.len() || r.iter().any(|(_, d)| Some(*d) != r.first().map(|f| f.1))
            };
            let found = all.iter().find(|a| differ(a.0)).or(all.first());
            let ask = found.map(|(w, written, line, _)| DateAsk {
                written: written.clone(),
                line: *line,
                readings: readings(*w),
            });
            (None, ask)
        }
    }
}
