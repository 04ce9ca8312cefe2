//! What was changed later or struck out: which record, when, by whom, why, from what to what.

use super::words::{capital, changes as from_to_words, whole};
use super::{Cell, Column, Register, RegisterKind, Row, Span};
use crate::flock::Flock;
use crate::reckon::trail::{Change, trail as changes};
use crate::terms::Day;

const COLUMNS: [Column; 6] = [
    Column::new("When", "when", 1.0),
    Column::new("Record", "record", 2.6),
    Column::new("What", "what", 0.8),
    Column::new("From what to what", "changes", 3.4),
    Column::new("Why", "why", 2.2),
    Column::new("By", "by", 1.0),
];

/// The day of a change.
fn day(c: &Change) -> Option<Day> {
    c.at.get(..10).and_then(|d| Day::parse_iso(d).ok())
}

fn row(c: &Change) -> Row {
    let time = c.at.get(10..).unwrap_or_default().trim();
    let when = match day(c) {
        Some(day) => Cell::shown_as(whole(&day.words()), c.at.as_str()).under(time),
        None => Cell::words(c.at.as_str()),
    };
    let from_to = if c.struck { "kept to be read, counted no more".into() } else { from_to_words(&c.fields) };
    let why = if c.why.trim().is_empty() { "no reason written down" } else { &c.why };
    Row {
        cells: vec![
            when,
            Cell::words(capital(&c.what)),
            Cell::words(if c.struck { "struck out" } else { "amended" }).strong(),
            Cell::words(from_to),
            Cell::words(why),
            Cell::words(c.who.as_str()),
        ],
        link: Some(c.link),
        ..Row::default()
    }
}

/// Every amendment and every striking-out of the days, in order of time.
pub(super) fn trail(flock: &Flock, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::Amendments, span, today, &COLUMNS);
    let mut all = changes(flock);
    all.retain(|c| day(c).map_or(span.is_open(), |d| span.holds(d)));
    all.sort_by(|a, b| a.at.cmp(&b.at).then_with(|| a.what.cmp(&b.what)));
    register.rows = all.iter().map(row).collect();
    register.about.push(
        "Read from the book's journal: the days are those of the change, not of the record. The old value of every \
         change is kept; what is struck out stays in its register, struck through."
            .into(),
    );
    register
}
