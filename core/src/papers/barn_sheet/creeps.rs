//! The creeps on the barn sheet: a row for each pen with boxes for its filling and its looks.

use super::super::flow::Flow;
use super::super::table::{Between, Cell, Column, Row, Table, Width};
use super::super::{PaperFailed, Watch};
use super::PEN;
use crate::flock::Flock;
use crate::phrase;
use crate::reckon::creep::{Check, board};
use crate::terms::Day;
use crate::terms::speech::said;

/// A row for each creep that is open, and for each pen where a lamp is looked at or a fault is open.
pub(super) fn rows(flock: &Flock, day: Day) -> Vec<Row> {
    let units = flock.holding().units;
    let of_day = board(flock, day);
    let looks = |checks: &[Check]| {
        let mut cell = Cell::default();
        for c in checks {
            cell = match &c.fault {
                Some(f) => cell.boxed_strong(phrase!("{}: {}", c.what.word(), f.words)),
                None => cell.boxed(c.what.word()),
            };
        }
        cell
    };
    let creeps = of_day.creeps.iter().map(|c| {
        let mut what = Cell::default();
        let feed = c.feed.as_ref().map_or(phrase!("filled"), |f| phrase!("filled: {}", f.name));
        what = what.boxed(feed);
        if let Some(words) = c.fill_words(units) {
            what = what.remark(words);
        }
        let step = c.steps.mean.and_then(|m| m.next).filter(|(.., on)| on.since(day) <= 7);
        if let Some((p, _, on)) = step {
            what = what.remark(phrase!("down to {p} % on {}", on.short()));
        }
        let cells = vec![Cell::strong(c.pen.as_str()), what, looks(&c.checks)];
        Row { cells, struck: false, notes: Vec::new() }
    });
    let others = of_day.without.iter().filter(|w| !w.checks.is_empty()).map(|w| {
        let cells = vec![Cell::strong(w.pen.as_str()), Cell::default(), looks(&w.checks)];
        Row { cells, struck: false, notes: Vec::new() }
    });
    creeps.chain(others).collect()
}

/// Draws them.
pub(super) fn block(flow: &mut Flow<'_>, rows: Vec<Row>, watch: Watch<'_>) -> Result<(), PaperFailed> {
    flow.y += 4.5;
    flow.need(34.0);
    flow.paragraph(PEN, &said("Creeps, gates and lamps"));
    flow.y += 0.8;
    let table = Table {
        columns: vec![
            Column::new("Pen", Width::Mm(33.0)),
            Column::new("Creep", Width::Share(1.5)),
            Column::new("In order", Width::Share(1.0)),
            Column::new("Level before", Width::Mm(22.0)).ruled(),
            Column::new("Amount", Width::Mm(20.0)).ruled(),
            Column::new("What is wrong", Width::Mm(37.0)).ruled(),
        ],
        size_pt: 9.0,
        between: Between::Hairline,
    };
    table.flow(flow, rows.into_iter(), watch)
}
