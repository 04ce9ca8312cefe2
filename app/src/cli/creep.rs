//! The creeps of a day as a table.

use super::tables::{Cell, Table};
use hirsel_core::flock::Flock;
use hirsel_core::reckon::creep::{PenCreep, board};
use hirsel_core::terms::Day;

/// A row for each creep that is open. Protein is as fed; the step is that of the mean lamb, its day that of the next one;
/// the level is that of the evening, by what is eaten, or the last that was seen.
pub fn creeps(flock: &Flock, on: Day) -> Table {
    let none = || Cell::none();
    let percent = |p: Option<f64>| p.map_or_else(none, |p| Cell::number(format!("{p:.1}")));
    let day = |d: Option<Day>| d.map_or_else(none, |d| Cell::words(d.to_string()));
    let row = |c: &PenCreep| {
        let level = c.trough.level_now.or(c.trough.seen.map(|(l, _)| l));
        let step = c.steps.mean;
        let empty = c.lasts.map(|l| {
            let time = l.until.time.map(|t| format!(" {t}")).unwrap_or_default();
            format!("{}{time}", l.until.day)
        });
        vec![
            Cell::words(c.pen.as_str()),
            Cell::number(c.lambs.eat.len()),
            Cell::words(c.feed.as_ref().map_or("", |f| f.name.as_str())),
            percent(c.feed.as_ref().and_then(|f| f.protein_fed)),
            percent(step.map(|s| s.protein)),
            day(step.and_then(|s| s.next).map(|(.., on)| on)),
            day(c.trough.filled.map(|at| at.day)),
            level.map_or_else(none, |l| Cell::number(l.percent())),
            c.rate.map_or_else(none, |r| Cell::number(format!("{:.0}", r.each_g))),
            empty.map_or_else(none, Cell::words),
        ]
    };
    Table {
        columns: &[
            "pen",
            "lambs",
            "feed",
            "protein_percent",
            "step_percent",
            "step_on",
            "filled_on",
            "level_percent",
            "g_per_lamb_day",
            "empty_on",
        ],
        rows: board(flock, on).creeps.iter().map(row).collect(),
    }
}
