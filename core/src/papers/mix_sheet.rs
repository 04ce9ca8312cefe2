//! The mix sheet: what to weigh out for a batch, in large type for the barn, and what the mix holds and costs.

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters};
use super::sheet::{Area, Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch};
use crate::flock::{Feed, Flock};
use crate::phrase;
use crate::reckon::mixing::{Held, WeighLine, Weighing, What, cost_words, held, weighing};
use crate::terms::speech::said;
use crate::terms::{Day, FeedChange, FeedId, Mass};

const GROUP: Look = Look::new(Face::SerifStrong, 13.0);
const LARGE: Look = Look::new(Face::SansStrong, 15.0);
const PLAIN: Look = Look::new(Face::Sans, 10.5);
const SMALL: Look = Look::new(Face::Sans, 7.5).ink(Ink::Grey);

/// Without a word of how much: the last batch, or so much (common practice, no source).
const USUAL_KG: f64 = 100.0;

/// How the mix sheet is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MixSheetOptions {
    /// The sheet of paper.
    pub sheet: SheetSize,
    /// The mix.
    pub feed: FeedId,
    /// How much is made; none: as much as was mixed last.
    pub total: Option<Mass>,
}

/// How much of a mix is made where nobody says: as much as the last time.
pub fn usual_batch(flock: &Flock, mix: FeedId) -> Mass {
    let last = flock
        .feedroom()
        .moves
        .iter()
        .rev()
        .find(|m| m.struck.is_none() && m.feed == mix && m.change == FeedChange::Mixed)
        .and_then(|m| m.amount);
    last.filter(|m| !m.is_none()).or_else(|| Mass::from_kg(USUAL_KG)).unwrap_or_default()
}

/// Lays out the mix sheet of a mix of the book as it stands on `today`.
///
/// # Errors
/// [`PaperFailed::Nothing`] where the feed is no mix; [`PaperFailed::Stopped`] when `watch` says so.
pub fn mix_sheet(
    flock: &Flock,
    today: Day,
    options: &MixSheetOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let nothing = || PaperFailed::Nothing {
        paper: "mix sheet",
        mend: "write a mix under Feed, Mixing, or name another",
    };
    let mix = flock.feedroom().feed(options.feed).ok_or_else(nothing)?;
    let total = options.total.filter(|t| !t.is_none()).unwrap_or_else(|| usual_batch(flock, mix.id));
    let batch = weighing(flock, mix, total, today).ok_or_else(nothing)?;
    let units = flock.holding().units;
    let turn = Turn::Portrait;
    let days = phrase!("mix sheet for {}", total.show(units));
    let heads = Heads::of(flock.holding(), &mix.name, &days, options.sheet, turn);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(options.sheet, turn, MARGINS, &head);
    if !heads.more.is_empty() {
        flow.paragraph(PLAIN, &heads.more);
    }
    for_whom(&mut flow, mix, &batch);
    flow.y += 2.0;
    weigh_out(&mut flow, flock, &batch, watch)?;
    flow.y += 4.0;
    boxes(&mut flow);
    holds(&mut flow, &batch, watch)?;
    cost(&mut flow, flock, &batch);
    cautions(&mut flow, &batch);
    let odd = odd_letters(&flow.pages);
    if !odd.is_empty() {
        flow.paragraph(PLAIN, &odd);
    }
    let foot = phrase!("Printed {}. Weigh each feed: a bag is not always full.", today.words());
    let pages = flow.finish(SMALL, &foot);
    Ok(Paper {
        title: phrase!("Mix sheet, {}, {}", mix.name, today.words()),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

fn for_whom(flow: &mut Flow<'_>, mix: &Feed, batch: &Weighing) {
    if batch.eaters.is_empty() {
        flow.need(9.0);
        let (x, y, w) = (flow.body().x, flow.y, flow.body().w);
        let after = flow.page().text(x, y + 5.5, LARGE.size(13.0), &said("For whom: "));
        flow.page().rule(after + 1.0, y + 6.2, (x + w - after - 1.0).max(20.0), 0.2, Ink::Rule);
        flow.y += 9.0;
    } else {
        flow.paragraph(LARGE.size(13.0), &phrase!("For {}", batch.eaters.join(", ")));
    }
    if let Some(note) = &mix.note {
        flow.paragraph(PLAIN, note);
    }
}

/// The feeds in the order they are weighed, each with a box and room for its batch.
fn weigh_out(
    flow: &mut Flow<'_>,
    flock: &Flock,
    batch: &Weighing,
    watch: Watch<'_>,
) -> Result<(), PaperFailed> {
    let units = flock.holding().units;
    let columns = vec![
        Column::new("Weigh out", Width::Share(1.0)),
        Column::figures("Amount", Width::Mm(34.0)),
        Column::figures("Share", Width::Mm(22.0)),
        Column::new("Batch on the bag", Width::Mm(44.0)).ruled(),
    ];
    let table = Table { columns, size_pt: 16.0, between: Between::Hairline };
    let row = |l: &WeighLine| {
        let mut name = Cell::default().boxed_strong(l.name.as_str());
        if !l.so.is_empty() {
            name = name.and_line(format!("= {}", l.so));
        }
        Row {
            cells: vec![
                name,
                Cell::strong(l.amount.show(units)),
                Cell::new(format!("{:.1} %", l.share * 100.0)),
            ],
            struck: false,
            notes: Vec::new(),
        }
    };
    let mut rows: Vec<Row> = batch.lines.iter().map(row).collect();
    rows.push(Row {
        cells: vec![Cell::strong("All together"), Cell::strong(batch.total.show(units)), Cell::new("100 %")],
        struck: false,
        notes: Vec::new(),
    });
    table.flow(flow, rows.into_iter(), watch)
}

/// Boxes to write in when it is mixed.
fn boxes(flow: &mut Flow<'_>) {
    let tall = 15.0;
    flow.need(tall + 4.0);
    let (body, y) = (flow.body(), flow.y);
    let gap = 3.0;
    let wide = (body.w - 2.0 * gap) / 3.0;
    for (i, words) in ["Mixed on", "Mixed by", "Number of this batch"].into_iter().enumerate() {
        let x = body.x + (wide + gap) * i as f32;
        flow.page().outline(Area::new(x, y, wide, tall), 1.2, Ink::Rule, 0.3);
        flow.page().text(x + 1.8, y + 4.2, SMALL.size(8.5), words);
    }
    flow.y += tall + 4.0;
}

fn holds(flow: &mut Flow<'_>, batch: &Weighing, watch: Watch<'_>) -> Result<(), PaperFailed> {
    flow.need(20.0);
    flow.paragraph(GROUP, &said("What it holds"));
    let columns = vec![
        Column::new("", Width::Share(1.0)),
        Column::figures("As fed", Width::Mm(32.0)),
        Column::figures("Of dry matter", Width::Mm(36.0)),
        Column::new("Not known of", Width::Share(1.0)),
    ];
    let table = Table { columns, size_pt: 11.0, between: Between::Hairline };
    let rows: Vec<Row> = held(&batch.holds, &batch.floor, &[])
        .iter()
        .filter(|h| h.as_fed.is_some() || h.dry.is_some() || !h.unknown.is_empty())
        .map(held_row)
        .collect();
    table.flow(flow, rows.into_iter(), watch)?;
    flow.y += 3.0;
    Ok(())
}

fn held_row(h: &Held) -> Row {
    let none = h.as_fed.is_none() && h.dry.is_none();
    let show = |x: Option<f64>, least: Option<f64>| match (x, least) {
        (Some(x), _) => Cell::new(phrase!("{} {}", figure(h.what, x), h.what.unit())),
        (None, Some(x)) => Cell::new(phrase!("at least {} {}", figure(h.what, x), h.what.unit())),
        (None, None) if none => Cell::new("–"),
        (None, None) => Cell::default(),
    };
    let unknown = if none { h.unknown.join(", ") } else { String::new() };
    Row {
        cells: vec![
            Cell::new(h.what.words()),
            show(h.as_fed, h.floor.map(|f| f.0)),
            show(h.dry, h.floor.map(|f| f.1)),
            Cell::new(unknown),
        ],
        struck: false,
        notes: Vec::new(),
    }
}

fn figure(what: What, x: f64) -> String {
    match what {
        What::CalciumToPhosphorus => format!("{x:.2}"),
        _ if x >= 100.0 => format!("{x:.0}"),
        _ => format!("{x:.1}"),
    }
}

fn cost(flow: &mut Flow<'_>, flock: &Flock, batch: &Weighing) {
    let said = match batch.cost {
        Some(cost) => phrase!(
            "Cost by the prices written: {}.",
            cost_words(cost, batch.total.kg(), flock.holding().units)
        ),
        None => phrase!("Cost: no price is written of {}.", batch.unpriced.join(", ")),
    };
    flow.need(8.0);
    flow.paragraph(PLAIN, &said);
    flow.y += 2.5;
}

fn cautions(flow: &mut Flow<'_>, batch: &Weighing) {
    flow.need(20.0);
    flow.paragraph(GROUP, &said("Cautions"));
    for (grave, _, said) in &batch.cautions {
        flow.paragraph(PLAIN, &phrase!("{}: {said}.", grave.words()));
        flow.y += 0.8;
    }
}

#[cfg(test)]
mod tests;
