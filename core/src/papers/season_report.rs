//! How the season went, on two pages: figures with their bases beside the years before and the handbook, charts, losses,
//! weights, ewes, decisions, money, and how each was reckoned.

mod charts;
mod second;

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters};
use super::register::{FOOT, foot_words};
use super::sheet::{Area, Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch};
use crate::flock::Flock;
use crate::phrase;
use crate::reckon::flock_figures::{Range, Unit, What, Years};
use crate::terms::speech::said;
use crate::terms::{Day, Units, counted};

const PLAIN: Look = Look::new(Face::Sans, 9.3);
const SMALL: Look = Look::new(Face::Sans, 7.6).ink(Ink::Grey);
const HEADING: Look = Look::new(Face::SerifStrong, 12.0);

/// Seasons before the one reported that stand beside it, and over which the mean goes.
const BEFORE: i32 = 3;
const MEAN_OVER: i32 = 4;

/// The rows of the first page.
const ROWS: [What; 27] = [
    What::Joined,
    What::SoldBefore,
    What::DiedBefore,
    What::Bought,
    What::Exposed,
    What::ScanLambs,
    What::Pregnancy,
    What::Barren,
    What::Fertility,
    What::FirstCycle,
    What::Born,
    What::PerLambed,
    What::PerExposed,
    What::AlivePercent,
    What::Loss,
    What::Weaned,
    What::Bottle,
    What::WeanedExposed,
    What::WeanedLambed,
    What::BirthWeight,
    What::SixtyWeight,
    What::Gain,
    What::WeaningWeight,
    What::WeightWeaned,
    What::Replacement,
    What::Culled,
    What::EweDeath,
];

/// Lays out the report of a season, or of the last one, as the book knows it on a day.
///
/// # Errors
/// [`PaperFailed::Nothing`] where no ewe was joined and none lambed in that season; [`PaperFailed::Stopped`] when `watch`
/// says so.
pub fn season_report(
    flock: &Flock,
    season: Option<i32>,
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let nothing = |mend| Err(PaperFailed::Nothing { paper: "season report", mend });
    if !watch(0, 3) {
        return Err(PaperFailed::Stopped);
    }
    let years = Years::of(flock, today);
    let Some(last) = years.last() else {
        return nothing("no season is in the book; write joinings or lambings first");
    };
    let year = season.unwrap_or(last);
    if !years.seasons.contains_key(&year) {
        return nothing("no ewe was joined for that season and none lambed in it; choose another");
    }
    if !watch(1, 3) {
        return Err(PaperFailed::Stopped);
    }
    let title = phrase!("Season {year}");
    let days = phrase!("as the book stood on {}", today.words());
    let heads = Heads::of(flock.holding(), &title, &days, sheet, Turn::Portrait);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(sheet, Turn::Portrait, MARGINS, &head);
    flow.paragraph(PLAIN, &heads.more);
    let units = flock.holding().units;
    flow.paragraph(PLAIN, &headline(&years, year));
    flow.y += 2.0;
    draw(&mut flow, &years, year, units);
    figures(&mut flow, &years, year, units, watch)?;
    second::view(&mut flow, flock, &years, year, units, watch)?;
    let odd = odd_letters(&flow.pages);
    if !odd.trim().is_empty() {
        flow.paragraph(SMALL, odd.trim());
    }
    let pages = flow.finish(FOOT, &foot_words(today));
    Ok(Paper {
        title: format!("{title}, {days}"),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

/// The season in a few sentences.
fn headline(years: &Years, year: i32) -> String {
    let Some(t) = years.tallies.get(&year) else { return String::new() };
    let n = |n: u32, one: &str| counted(n as usize, one);
    let mut words = phrase!(
        "{} joined; {} lambed. {} born, {} of them alive; {} weaned, {} lost by weaning.",
        n(t.joined, "ewe"),
        t.lambed,
        n(t.born, "lamb"),
        t.alive,
        t.weaned,
        t.lost_all()
    );
    if t.open > 0 {
        words.push_str(&phrase!(" {} still to lamb: what hangs on them is a dash.", n(t.open, "ewe")));
    }
    if t.waiting > 0 {
        words.push_str(&phrase!(" {} not weaned yet.", n(t.waiting, "lamb")));
    }
    words
}

fn draw(flow: &mut Flow<'_>, years: &Years, year: i32, units: Units) {
    const DRAWN: [What; 6] = [
        What::Fertility,
        What::PerLambed,
        What::AlivePercent,
        What::Loss,
        What::WeanedExposed,
        What::SixtyWeight,
    ];
    let (across, gap, tall) = (3usize, 4.0, 37.0);
    let body = flow.body();
    let wide = (body.w - gap * (across - 1) as f32) / across as f32;
    let shown: Vec<i32> =
        years.seasons.keys().copied().filter(|y| *y <= year && *y > year - 1 - MEAN_OVER).collect();
    for row in DRAWN.chunks(across) {
        flow.need(tall);
        let y = flow.y;
        for (i, what) in row.iter().enumerate() {
            let at = Area::new(body.x + i as f32 * (wide + gap), y, wide, tall - 3.0);
            charts::dots(flow.page(), at, &charts::Chart::of(years, &shown, *what, units, MEAN_OVER));
        }
        flow.y += tall;
    }
    flow.paragraph(
        SMALL,
        &said("Each dot is a season, the large one this; below it its base. Hollow: of few. Dashed: mean of the seasons before. \
         Grey ground: the handbook's range. Scales differ and need not begin at nothing."),
    );
    flow.y += 1.5;
}

fn figures(
    flow: &mut Flow<'_>,
    years: &Years,
    year: i32,
    units: Units,
    watch: Watch<'_>,
) -> Result<(), PaperFailed> {
    let before: Vec<i32> =
        years.seasons.keys().rev().copied().filter(|y| *y < year && *y >= year - BEFORE).collect();
    let mut columns = vec![
        Column::new("Figure", Width::Share(1.0)),
        Column::figures(year.to_string(), Width::Mm(22.0)),
        Column::new("Base", Width::Mm(36.0)),
    ];
    columns.extend(before.iter().map(|y| Column::figures(y.to_string(), Width::Mm(20.0))));
    columns.push(Column::figures("Mean before", Width::Mm(20.0)));
    columns.push(Column::figures("Handbook", Width::Mm(17.0)));
    let table = Table { columns, size_pt: 8.0, between: Between::Hairline };
    let mut rows = Vec::new();
    for what in ROWS {
        let c = years.compared(year, what, MEAN_OVER);
        let old: Vec<_> = before.iter().map(|y| years.figure(*y, what)).collect();
        let nothing = |v: Option<f64>| v.is_none_or(|v| v == 0.0);
        // A row of nothing in every season tells nothing, unless nothing is what is hoped for.
        if nothing(c.figure.value) && old.iter().all(|f| nothing(f.value)) && what.unit() != Unit::Percent {
            continue;
        }
        let few = if c.few { " (few)" } else { "" };
        let mut cells = vec![
            Cell::new(said(what.name())),
            Cell::strong(c.figure.shown(units)),
            Cell::new(phrase!("{}{few}", c.figure.base())),
        ];
        cells.extend(old.iter().map(|f| Cell::new(f.shown(units))));
        cells.push(Cell::new(c.before.map_or_else(|| "–".to_string(), |(m, _)| what.show_mean(m, units))));
        cells.push(Cell::new(c.range.map_or_else(String::new, bounds)));
        rows.push(Row { cells, ..Row::default() });
    }
    table.flow(flow, rows.into_iter(), watch)
}

/// A range in signs: `≥ 96`, `≤ 15`, `96 to 100`.
fn bounds(r: &Range) -> String {
    let n = |v: f64| if v.fract() == 0.0 { format!("{v:.0}") } else { format!("{v:.1}") };
    match (r.from, r.to) {
        (Some(a), Some(b)) => phrase!("{} to {}", n(a), n(b)),
        (Some(a), None) => phrase!("{} or more", n(a)),
        (None, Some(b)) => phrase!("{} or less", n(b)),
        (None, None) => String::new(),
    }
}

#[cfg(test)]
mod tests;
