//! The board as a list: to be sorted, saved and printed.

use super::cards::{self, Row};
use crate::look::Kind;
use crate::pages::Ctx;
use crate::pages::list::{By, Row as Line};
use crate::parts::record_table::{Cell, Column};
use hirsel_core::phrase;
use hirsel_core::reckon::creep::{Board, PenCreep};
use hirsel_core::terms::norm;
use std::hash::{Hash as _, Hasher as _};

/// Heads of the exported table.
pub(super) const HEADS: [&str; 12] = [
    "pen",
    "lambs",
    "youngest_days",
    "mean_days",
    "feed",
    "protein_as_fed",
    "step",
    "next_step",
    "filled",
    "level",
    "g_a_lamb_a_day",
    "empty",
];

/// Columns on screen.
pub(super) fn columns() -> Vec<Column> {
    vec![
        Column::new("Pen", 100.0),
        Column::new("Lambs", 64.0).right(),
        Column::new("Youngest", 80.0).right(),
        Column::new("Mean", 64.0).right(),
        Column::new("Feed", 120.0).rest(),
        Column::new("Protein as fed", 112.0).right(),
        Column::new("Step", 64.0).right(),
        Column::new("Next step", 120.0),
        Column::new("Filled", 92.0),
        Column::new("Level", 74.0).right(),
        Column::new("A lamb a day", 100.0).right(),
        Column::new("Empty", 150.0),
    ]
}

/// The key of a pen's row.
pub(super) fn key(pen: &str) -> u64 {
    let mut hash = std::hash::DefaultHasher::new();
    norm(pen).hash(&mut hash);
    hash.finish()
}

/// The rows.
pub(super) fn rows(ctx: &Ctx<'_>, board: &Board, keep: impl Fn(&str) -> bool) -> Vec<Line<u64>> {
    let creeps = board.creeps.iter().map(|c| (of(ctx, c), cards::sentence(ctx, Row::Creep(c))));
    let kept = creeps.filter(|(_, said)| keep(said));
    kept.map(|(line, said)| line.said(said)).collect()
}

fn of(ctx: &Ctx<'_>, c: &PenCreep) -> Line<u64> {
    let days = |d: Option<i64>| (d.map(|d| d.to_string()).unwrap_or_default(), d);
    let ((young, by_young), (mean, by_mean)) = (days(c.lambs.youngest()), days(c.lambs.mean()));
    let percent =
        |p: Option<f64>| (p.map(|p| format!("{p:.1} %")).unwrap_or_default(), p.map(|p| (p * 10.0) as i64));
    let protein = percent(c.feed.as_ref().and_then(|f| f.protein_fed));
    let step = percent(c.steps.mean.map(|m| m.protein));
    let next = c.steps.mean.map(|m| m.next_words()).unwrap_or_default();
    let by_next = c.steps.mean.and_then(|m| m.next).map(|(.., on)| on.since(ctx.today));
    let filled = c.trough.filled.map(|at| at.day);
    let filled_text = match filled {
        Some(day) if day == ctx.today => phrase!("today"),
        Some(day) => day.short(),
        None => phrase!("never"),
    };
    let kind = if c.trough.filled_today { Kind::Good } else { Kind::Caution };
    let level = c.trough.level_now.or(c.trough.seen.map(|(l, _)| l)).map(|l| i64::from(l.percent()));
    let each = c.rate.map(|r| r.each_g.round() as i64);
    let empty = c.lasts.map(|l| hirsel_core::reckon::creep::part_of_day(l.until, ctx.today));
    Line::new(key(&c.pen))
        .tag(c.pen.clone())
        .number(c.lambs.eat.len().to_string(), i64::try_from(c.lambs.eat.len()).ok())
        .number(young, by_young)
        .number(mean, by_mean)
        .text(c.feed.as_ref().map(|f| f.name.clone()).unwrap_or_default())
        .number(protein.0, protein.1)
        .number(step.0, step.1)
        .cell(Cell::text(next.clone()), By::number(by_next), next)
        .cell(
            Cell::chip(kind, filled_text.clone()),
            By::number(filled.map(|d| d.since(ctx.today))),
            filled_text,
        )
        .number(level.map(|l| format!("{l} %")).unwrap_or_default(), level)
        .number(each.map(|g| format!("{g} g")).unwrap_or_default(), each)
        .number(empty.unwrap_or_default(), c.lasts.map(|l| l.until.day.since(ctx.today)))
}
