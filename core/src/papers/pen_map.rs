//! The pen map: the shed drawn as the keeper laid it out, and a line for each pen below, to hang at the door.

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters};
use super::sheet::{Area, Face, Ink, Look, Mark, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch, text};
use crate::flock::{Flock, PenSort};
use crate::phrase;
use crate::reckon::due::Board;
use crate::reckon::pen_map::{Pen, PenMap};
use crate::terms::speech::said;
use crate::terms::{Day, counted};

const PLAIN: Look = Look::new(Face::Sans, 9.0);
const SMALL: Look = Look::new(Face::Sans, 7.5).ink(Ink::Grey);
/// A step of the grid is never drawn larger than this, in millimetres.
const LARGEST_STEP: f32 = 9.5;
/// Nor smaller: a shed that is larger is drawn over the whole sheet and its words are cut.
const SMALLEST_STEP: f32 = 1.2;

/// Lays out the map of the shed as of `today` and, below it or on the pages after, a line for each pen.
///
/// # Errors
/// [`PaperFailed::Nothing`] where there is no pen; [`PaperFailed::Stopped`] when `watch` says so.
pub fn pen_map(flock: &Flock, today: Day, sheet: SheetSize, watch: Watch<'_>) -> Result<Paper, PaperFailed> {
    let board = Board::new(flock, today);
    let map = PenMap::of(flock, Some(&board), today, None);
    if map.pens.is_empty() {
        let mend = "no animal is in a pen and no pen is laid out; move animals to pens first";
        return Err(PaperFailed::Nothing { paper: "pen map", mend });
    }
    // As the shed lies: the sheet stands up for one that is deeper than wide.
    let (wide, deep) = reach(&map);
    let turn = if deep > wide { Turn::Portrait } else { Turn::Landscape };
    let heads = Heads::of(flock.holding(), "Pen map", &today.long(), sheet, turn);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(sheet, turn, MARGINS, &head);
    if !heads.more.is_empty() {
        flow.paragraph(PLAIN, &heads.more);
    }
    flow.paragraph(PLAIN, &summary(&map));
    flow.paragraph(
        SMALL,
        &said("+2: with two lambs. Due: jobs due or overdue. Held: under withdrawal. The day: there since."),
    );
    flow.y += 1.5;
    drawn(&mut flow, flock, &map, today);
    flow.y += 4.0;
    flow.need(30.0);
    table().flow(&mut flow, map.pens.iter().map(|p| row(flock, p, today)), watch)?;
    let odd = odd_letters(&flow.pages);
    if !odd.is_empty() {
        flow.paragraph(PLAIN, &odd);
    }
    let foot = phrase!("Printed {}. Label, vet and local law decide.", today.words());
    let pages = flow.finish(SMALL, &foot);
    Ok(Paper {
        title: phrase!("Pen map, {}", today.words()),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

fn summary(map: &PenMap) -> String {
    let animals: usize = map.pens.iter().map(|p| p.heads.all()).sum();
    let empty = map.pens.iter().filter(|p| p.is_empty()).count();
    let (pens, animals) = (counted(map.pens.len(), "pen"), counted(animals, "animal"));
    let mut said = match (empty, map.pens.len() - empty) {
        (0, _) => phrase!("{pens}; {animals} in them."),
        (_, 0) => phrase!("{pens}, all of them empty."),
        (_, others) => phrase!("{pens}, {empty} of them empty; {animals} in the other {others}."),
    };
    let loose: usize = map.loose.iter().map(|f| f.all().count()).sum();
    if loose > 0 {
        said.push_str(&phrase!(" In no pen: {loose}."));
    }
    said
}

/// Steps that the pens take to the right and down.
fn reach(map: &PenMap) -> (u16, u16) {
    let right = map.pens.iter().map(|p| p.at.right()).max().unwrap_or(1).max(1);
    (right, map.pens.iter().map(|p| p.at.bottom()).max().unwrap_or(1).max(1))
}

/// The shed on what is left of the page, as large as it fits.
fn drawn(flow: &mut Flow<'_>, flock: &Flock, map: &PenMap, today: Day) {
    let (right, bottom) = reach(map);
    let body = flow.body();
    let by_height = (flow.left() - 2.0) / f32::from(bottom);
    let step = (body.w / f32::from(right)).min(by_height).clamp(SMALLEST_STEP, LARGEST_STEP);
    let (x, y) = (body.x, flow.y);
    let said: Vec<Vec<(Tone, String)>> = map.pens.iter().map(|p| lines(flock, p, today)).collect();
    for (p, words) in map.pens.iter().zip(&said) {
        // Pens of one size are set in one size: that of the one with the most to say.
        let alike = map.pens.iter().zip(&said).filter(|(other, _)| other.at.h == p.at.h);
        let most = alike.map(|(_, words)| words.len()).max().unwrap_or(1);
        let at = Area::new(
            x + f32::from(p.at.x) * step + 0.4,
            y + f32::from(p.at.y) * step + 0.4,
            f32::from(p.at.w) * step - 0.8,
            f32::from(p.at.h) * step - 0.8,
        );
        one(flow.page(), p, at, (words, most));
    }
    flow.y += f32::from(bottom) * step;
}

/// How a line on the map is set.
#[derive(Clone, Copy)]
enum Tone {
    Strong,
    Plain,
    Faint,
}

/// What stands in a pen on the map, its name first.
fn lines(flock: &Flock, p: &Pen, today: Day) -> Vec<(Tone, String)> {
    let mut lines: Vec<(Tone, String)> = vec![(Tone::Strong, p.name.clone())];
    if p.is_empty() {
        lines.push((Tone::Faint, said("empty").into_owned()));
    } else if p.families.len() <= 2 {
        for f in &p.families {
            let young = if f.young.is_empty() { String::new() } else { format!(" +{}", f.young.len()) };
            lines.push((Tone::Plain, format!("{}{young}", flock.tag(f.head))));
        }
    } else {
        lines.extend(p.heads.words().split(", ").map(|w| (Tone::Plain, w.to_string())));
    }
    let soon = p.families.iter().filter(|f| f.lambs_on.is_some()).count();
    let soon = if soon > 0 { phrase!("{soon} to lamb") } else { String::new() };
    let due = if p.jobs > 0 { phrase!("{} due", p.jobs) } else { String::new() };
    let held = if p.held > 0 { phrase!("{} held", p.held) } else { String::new() };
    lines.extend([soon, due, held].into_iter().filter(|w| !w.is_empty()).map(|w| (Tone::Strong, w)));
    lines.extend(p.since.map(|since| (Tone::Faint, day_words(since, today))));
    lines
}

/// Draws a pen; `most` lines have to find room in one of its size.
fn one(page: &mut Page, p: &Pen, at: Area, (words, most): (&[(Tone, String)], usize)) {
    if p.is_empty() {
        page.fill(at, 0.5, Ink::Wash);
    }
    if p.sort == PenSort::Outside {
        let corners =
            [(at.x, at.y), (at.right(), at.y), (at.right(), at.bottom()), (at.x, at.bottom()), (at.x, at.y)];
        for pair in corners.windows(2) {
            if let [from, to] = *pair {
                let dash = Some((1.6, 1.1));
                page.marks.push(Mark::Line { from, to, width_mm: 0.3, dash, ink: Ink::Rule });
            }
        }
    } else {
        page.outline(at, 0.5, Ink::Rule, 0.35);
    }
    // Words from the largest type that gives the name and two lines, down to what can still be read.
    let size = (at.h / 4.4 / 0.42).clamp(5.0, 10.0);
    let tall = Look::new(Face::SansStrong, size).leading_mm() * most.max(1) as f32;
    let size = (size * ((at.h - 0.4) / tall).clamp(0.7, 1.0)).max(5.0);
    let (x, wide) = (at.x + 1.0, at.w - 1.6);
    let mut y = at.y + 0.5;
    for (tone, words) in words {
        let look = match tone {
            Tone::Strong => Look::new(Face::SansStrong, size),
            Tone::Plain => Look::new(Face::Sans, size),
            Tone::Faint => Look::new(Face::Sans, size).ink(Ink::Grey),
        };
        if y + look.leading_mm() > at.bottom() + 0.3 {
            break;
        }
        // What does not fit beside itself is cut: it stands in full in the table.
        let first = look.wrap(words, wide).into_iter().next().unwrap_or_default();
        page.text(x, y + look.leading_mm() * 0.78, look, &first);
        y += look.leading_mm();
    }
}

/// A day; of another year with its year.
fn day_words(day: Day, today: Day) -> String {
    if day.year() == today.year() { day.short() } else { day.words() }
}

fn table() -> Table {
    Table {
        columns: vec![
            Column::new("Pen", Width::Mm(34.0)),
            Column::new("Who", Width::Share(1.4)),
            Column::figures("Animals", Width::Mm(18.0)),
            Column::new("Since", Width::Mm(22.0)),
            Column::new("Due", Width::Share(1.0)),
        ],
        size_pt: 9.0,
        between: Between::Zebra,
    }
}

fn row(flock: &Flock, p: &Pen, today: Day) -> Row {
    let mut who = if p.families.len() > 2 { phrase!("{}: ", p.heads.words()) } else { String::new() };
    let names: Vec<String> = p.families.iter().map(|f| f.words(flock)).collect();
    who.push_str(&if names.is_empty() { phrase!("empty") } else { names.join(", ") });
    let mut due = p.due_words();
    let ages: Vec<&str> = p.families.iter().filter_map(|f| f.age.as_deref()).collect();
    if let [only] = ages.as_slice() {
        let sep = if due.is_empty() { "" } else { ", " };
        due.push_str(&format!("{sep}{}", phrase!("lambs {only}").replace("lambs born", "born")));
    }
    let since = p.since.map(|s| text::unbroken(&day_words(s, today))).unwrap_or_default();
    let count = if p.is_empty() { String::new() } else { p.heads.all().to_string() };
    let outside = if p.sort == PenSort::Outside { "outside" } else { "" };
    Row {
        cells: vec![
            Cell::strong(p.name.clone()).and_line(outside),
            Cell::new(who),
            Cell::new(count),
            Cell::new(since),
            Cell::new(due),
        ],
        struck: false,
        notes: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::carry_on;
    use super::*;
    use crate::flock::PenPlace;
    use crate::terms::Place;

    #[test]
    fn every_pen_stands_on_the_drawing_and_in_the_table_within_the_sheet() {
        let mut flock = Flock::default();
        let place = |n: u16| PenPlace {
            pen: format!("Jug {n}"),
            at: Place::new(n % 20 * 3, n / 20 * 5, 3, 3),
            sort: if n == 7 { PenSort::Outside } else { PenSort::Shed },
        };
        flock.set_pen_places((0..60).map(place).collect());
        let today = Day::parse_iso("2026-04-20").unwrap();
        for sheet in SheetSize::ALL {
            let paper = pen_map(&flock, today, sheet, &carry_on).unwrap();
            for n in 0..60 {
                let name = format!("Jug {n}");
                assert!(paper.words().filter(|w| **w == name).count() >= 2, "{name}");
            }
            assert!(paper.words().any(|w| w == "60 pens, all of them empty."));
            for page in &paper.pages {
                for mark in &page.marks {
                    if let Mark::Box { x_mm, y_mm, w_mm, h_mm, .. } = mark {
                        assert!(x_mm + w_mm <= page.width_mm && y_mm + h_mm <= page.height_mm, "{mark:?}");
                    }
                }
            }
        }
        let none = pen_map(&Flock::default(), today, SheetSize::A4, &carry_on);
        assert!(matches!(none, Err(PaperFailed::Nothing { paper: "pen map", .. })));
    }
}
