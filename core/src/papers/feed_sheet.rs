//! The feed sheet: what is carried to each pen of the barn in a day, a line a pen in barn order, with boxes to tick and
//! room to write in by pencil.

use super::flow::Flow;
use super::heads::{Heads as PaperHeads, MARGINS, odd_letters};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch, text};
use crate::flock::{FeedRoom, Flock};
use crate::phrase;
use crate::reckon::creep::{Board, PenCreep, board};
use crate::reckon::eaters::{GroupRound, Heads, PenRound, carried, heads_words, in_bags, rounds};
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
    let sheet = Sheet { room, heads: &heads, creeps: board(flock, on), on, units, twice };
    let rows = pens.iter().map(|p| sheet.row(p));
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
            format!("{}: {}{bags}", room.name(*feed), carried(room, *feed, *mass, *measure, on, units))
        })
        .collect();
    let mut said = phrase!("{} with {}.", counted(pens.len(), "pen"), counted(heads as usize, "animal"));
    if !feeds.is_empty() {
        said.push_str(&phrase!(" In all a day: {}.", feeds.join("; ")));
    }
    let creep = |g: &GroupRound| g.eaters == Eaters::CreepLambs;
    let bare = |of_creep: bool| {
        let mine = pens.iter().flat_map(|p| p.bare().map(move |g| (p.title(), g)));
        mine.filter(move |(_, g)| creep(g) == of_creep)
    };
    let hungry: Vec<String> = bare(false)
        .map(|(pen, g)| format!("{pen}, {} {}", g.heads, heads_words(g.heads, g.eaters)))
        .collect();
    let shut: Vec<String> = bare(true)
        .map(|(pen, g)| phrase!("{pen}, {} old enough", counted(g.heads as usize, "lamb"), pen = &pen))
        .collect();
    let mut lines = vec![said];
    if !hungry.is_empty() {
        lines.push(phrase!("No ration: {}.", named(&hungry)));
    }
    if !shut.is_empty() {
        lines.push(phrase!("No creep open: {}.", named(&shut)));
    }
    lines
}

/// The first of them, and how many more there are.
fn named(all: &[String]) -> String {
    let shown = all.len().min(NAMED);
    let more = if all.len() > shown { phrase!("; and {} more", all.len() - shown) } else { String::new() };
    format!("{}{more}", all[..shown].join("; "))
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

/// What the rows of one sheet share.
struct Sheet<'a> {
    room: &'a FeedRoom,
    heads: &'a Heads,
    creeps: Board,
    on: Day,
    units: Units,
    twice: bool,
}

impl Sheet<'_> {
    /// The creep that is open in a pen, as the creep sheet and the barn sheet have it.
    fn creep(&self, pen: &PenRound) -> Option<&PenCreep> {
        self.creeps.creeps.iter().find(|c| norm(&c.pen) == norm(&pen.pen))
    }

    /// `9 ewes nursing two`; of lambs on milk that are counted at the creep, too, so many.
    fn who(&self, pen: &PenRound, g: &GroupRound) -> String {
        let words = format!("{} {}", g.heads, heads_words(g.heads, g.eaters));
        let Some(creep) = self.creep(pen).filter(|_| g.eaters == Eaters::MilkLambs) else { return words };
        let animals = self.heads.pen(&pen.pen).map_or(&[][..], |p| p.animals(g.eaters));
        let eats = |a: &&AnimalId| creep.lambs.eat.iter().any(|(id, _)| id == *a);
        let both = animals.iter().filter(eats).count();
        let milk = animals.len() - both;
        let mut said = Vec::new();
        if both > 0 {
            said.push(phrase!("{} on milk and at the creep", counted(both, "lamb")));
        }
        if milk > 0 {
            let n = u32::try_from(milk).unwrap_or(u32::MAX);
            said.push(format!("{n} {}", heads_words(n, g.eaters)));
        }
        said.join(", ")
    }

    fn row(&self, pen: &PenRound) -> Row {
        let (room, twice) = (self.room, self.twice);
        let who = pen.groups.iter().fold(Cell::default(), |cell, g| cell.and_line(self.who(pen, g)));
        let feed = |share: &dyn Fn(Mass) -> Mass, missing: bool| {
            let mut cell = Cell::default();
            for (feed, mass, measure) in &pen.feeds {
                // An amount is never torn from its unit.
                let amount =
                    text::unbroken(&carried(room, *feed, share(*mass), *measure, self.on, self.units));
                cell = cell.boxed_strong(format!("{}: {amount}", room.name(*feed)));
            }
            for g in pen.bare().filter(|g| missing && g.eaters != Eaters::CreepLambs) {
                cell = cell.remark(g.missing());
            }
            cell
        };
        let half = |m: Mass| Mass::from_grams(m.grams() / 2).unwrap_or_default();
        let rest = |m: Mass| Mass::from_grams(m.grams() - m.grams() / 2).unwrap_or_default();
        let mut cells = vec![Cell::strong(pen.title()).under(counted(pen.heads() as usize, "animal")), who];
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
        cells.push(creep("empty · ¼ · ½ · ¾ · full"));
        let in_it = self.creep(pen).and_then(|c| c.feed.as_ref());
        cells.push(creep(in_it.map_or("of which feed?", |f| f.name.as_str())));
        Row { cells, struck: false, notes: Vec::new() }
    }
}

#[cfg(test)]
mod tests;
