//! The feed sheet: what is carried to each pen of the barn in a day, a line a pen in barn order, with boxes to tick and
//! room to write in by pencil.

use super::flow::Flow;
use super::heads::{Heads as PaperHeads, MARGINS, odd_letters};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch, text};
use crate::flock::{FeedRoom, Flock};
use crate::phrase;
use crate::reckon::eaters::{Heads, PenRound, carried, heads_words, in_bags, rounds};
use crate::terms::{AnimalId, Day, Eaters, FeedId, Mass, MeasureId, Units, counted, norm};

const PLAIN: Look = Look::new(Face::Sans, 11.0);
const SMALL: Look = Look::new(Face::Sans, 7.5).ink(Ink::Grey);
/// Type of the table: to be read at an arm's length, in poor light.
const TABLE_PT: f32 = 12.0;

/// So many left out are named on top; each stands in its own line as well.
const NAMED: usize = 6;

const LAST_WORD: &str = "Hay before grain; change grain and mixes slowly. Feed nothing made for other stock: sheep bear little copper. \
    Clean water first of all. Label, feed analyst and vet decide.";

/// How the feed sheet is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FeedSheetOptions {
    /// The sheet of paper; it lies across.
    pub sheet: SheetSize,
    /// Feeds a day: 1, or 2 for morning and evening.
    pub feeds: u8,
}

impl Default for FeedSheetOptions {
    fn default() -> Self {
        Self { sheet: SheetSize::default(), feeds: 2 }
    }
}

/// Lays out the feed sheet of a day for every pen that holds an animal, or for those that hold one of `animals`.
///
/// # Errors
/// [`PaperFailed::Nothing`] where no animal is in the flock that day; [`PaperFailed::Stopped`] when `watch` says so.
pub fn feed_sheet(
    flock: &Flock,
    animals: Option<&[AnimalId]>,
    on: Day,
    printed: Day,
    options: &FeedSheetOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let mut heads = Heads::on(flock, on);
    if let Some(these) = animals {
        heads.pens.retain(|p| p.groups.iter().any(|(_, all)| all.iter().any(|a| these.contains(a))));
    }
    let room = flock.feedroom();
    let pens = rounds(room, &heads);
    if pens.is_empty() {
        let mend = "no animal is in the flock on that day; choose another day or pen";
        return Err(PaperFailed::Nothing { paper: "feed sheet", mend });
    }
    let turn = Turn::Landscape;
    let paper_heads = PaperHeads::of(flock.holding(), "Feed sheet", &on.long(), options.sheet, turn);
    let head = |page: &mut Page, number: usize| paper_heads.paint(page, number);
    let mut flow = Flow::new(options.sheet, turn, MARGINS, &head);
    if !paper_heads.more.is_empty() {
        flow.paragraph(PLAIN, &paper_heads.more);
    }
    let units = flock.holding().units;
    for line in summary(room, &pens, on, units) {
        flow.paragraph(PLAIN, &line);
        flow.y += 0.6;
    }
    flow.y += 1.5;
    let twice = options.feeds != 1;
    let rows = pens.iter().map(|p| row(room, p, on, units, twice));
    table(twice).flow(&mut flow, rows, watch)?;
    flow.y += 2.5;
    flow.paragraph(PLAIN.size(9.0), LAST_WORD);
    let odd = odd_letters(&flow.pages);
    if !odd.is_empty() {
        flow.paragraph(PLAIN, &odd);
    }
    let pages = flow.finish(SMALL, &phrase!("Printed {}. Amounts as fed.", printed.words()));
    Ok(Paper {
        title: phrase!("Feed sheet, {}", on.words()),
        author: flock.holding().flock.clone(),
        printed: Some(printed),
        pages,
    })
}

/// What is carried in all, and who is left out.
fn summary(room: &FeedRoom, pens: &[PenRound], on: Day, units: Units) -> Vec<String> {
    let heads: u32 = pens.iter().map(PenRound::heads).sum();
    let mut all: Vec<(FeedId, Mass, Option<MeasureId>)> = Vec::new();
    for (feed, mass, measure) in pens.iter().flat_map(|p| &p.feeds) {
        match all.iter_mut().find(|(f, ..)| f == feed) {
            Some(sum) => {
                sum.1 = sum.1.plus(*mass);
                sum.2 = sum.2.or(*measure);
            }
            None => all.push((*feed, *mass, *measure)),
        }
    }
    all.sort_by(|a, b| room.name(a.0).cmp(room.name(b.0)));
    let feeds: Vec<String> = all
        .iter()
        .map(|(feed, mass, measure)| {
            let bags = room.feed(*feed).and_then(|f| in_bags(f, *mass));
            let bags = bags.map(|b| format!(" ({b})")).unwrap_or_default();
            format!("{} {}{bags}", room.name(*feed), carried(room, *feed, *mass, *measure, on, units))
        })
        .collect();
    let mut said = phrase!("{} with {}.", counted(pens.len(), "pen"), counted(heads as usize, "head"));
    if !feeds.is_empty() {
        said.push_str(&phrase!(" In all a day: {}.", feeds.join("; ")));
    }
    let bare: Vec<String> =
        pens.iter().flat_map(|p| p.bare().map(|g| format!("{} ({})", p.title(), g.missing()))).collect();
    let mut lines = vec![said];
    if !bare.is_empty() {
        let shown = bare.len().min(NAMED);
        let more =
            if bare.len() > shown { phrase!("; and {} more", bare.len() - shown) } else { String::new() };
        lines.push(phrase!("Left out: {}{more}.", bare[..shown].join("; ")));
    }
    lines
}

fn table(twice: bool) -> Table {
    let mut columns = vec![
        Column::new("Pen", Width::Mm(33.0)),
        Column::new("Who is there", Width::Mm(45.0)),
        Column::new(if twice { "Morning" } else { "The day's feed" }, Width::Share(1.0)),
    ];
    if twice {
        columns.push(Column::new("Evening", Width::Share(1.0)));
    }
    columns.extend([
        Column::new("Water", Width::Mm(19.0)).ruled(),
        Column::new("Creep: level before", Width::Mm(20.0)).ruled(),
        Column::new("Creep: filled in", Width::Mm(22.0)).ruled(),
        Column::new("Left over, remarks", Width::Mm(28.0)).ruled(),
    ]);
    Table { columns, size_pt: TABLE_PT, between: Between::Hairline }
}

fn row(room: &FeedRoom, pen: &PenRound, on: Day, units: Units, twice: bool) -> Row {
    let who = pen.groups.iter().fold(Cell::default(), |cell, g| {
        cell.and_line(format!("{} {}", g.heads, heads_words(g.heads, g.eaters)))
    });
    let feed = |share: &dyn Fn(Mass) -> Mass, missing: bool| {
        let mut cell = Cell::default();
        for (feed, mass, measure) in &pen.feeds {
            // An amount is never torn from its unit.
            let amount = text::unbroken(&carried(room, *feed, share(*mass), *measure, on, units));
            cell = cell.boxed_strong(format!("{}: {amount}", room.name(*feed)));
        }
        for g in pen.bare().filter(|g| missing && g.eaters != Eaters::CreepLambs) {
            cell = cell.remark(g.missing());
        }
        cell
    };
    let half = |m: Mass| Mass::from_grams(m.grams() / 2).unwrap_or_default();
    let rest = |m: Mass| Mass::from_grams(m.grams() - m.grams() / 2).unwrap_or_default();
    let mut cells = vec![Cell::strong(pen.title()).under(counted(pen.heads() as usize, "head")), who];
    if twice {
        cells.extend([feed(&rest, true), feed(&half, false)]);
    } else {
        cells.push(feed(&|m| m, true));
    }
    let mut water = Cell::default().boxed(if twice { "a.m." } else { "seen" });
    if twice {
        water = water.boxed("p.m.");
    }
    cells.push(water);
    let wanted = pen.bare().any(|g| g.eaters == Eaters::CreepLambs);
    let creep = |words: &str| match (pen.creep, wanted) {
        (true, _) => Cell::default().under(words),
        (false, true) => Cell::default().remark("none open"),
        (false, false) => Cell::new("–"),
    };
    let in_it = room.creep_in(&pen.pen, on).and_then(|c| last_in(room, &pen.pen, on).or(c.feed));
    cells.push(creep("empty · ¼ · ½ · ¾ · full"));
    cells.push(creep(in_it.map_or("of which feed?", |f| room.name(f))));
    Row { cells, struck: false, notes: Vec::new() }
}

/// What was filled into the creep of a pen last.
fn last_in(room: &FeedRoom, pen: &str, on: Day) -> Option<FeedId> {
    let mine = |m: &&crate::flock::FeedMove| {
        m.struck.is_none()
            && m.change == crate::terms::FeedChange::Fed
            && m.level.is_some()
            && m.on <= on
            && m.pen.as_deref().is_some_and(|p| norm(p) == norm(pen))
    };
    room.moves.iter().filter(mine).max_by_key(|m| (m.on, m.id)).map(|m| m.feed)
}

#[cfg(test)]
mod tests;
