//! Any register on paper: as wide as its words ask, its remarks in full, its sums and how it was made below.

use super::flow::{Flow, foot};
use super::heads::{Heads, MARGINS, body, odd_letters};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch};
use crate::flock::Holding;
use crate::phrase;
use crate::registers::{Cell as Value, Column as Head, Register, RegisterKind, Totals};
use crate::terms::Day;
use crate::terms::speech::Speech;

/// What stands at the foot of every page of a register.
pub(super) fn foot_words(today: Day) -> String {
    phrase!("Printed {}. From the keeper's own records. Label, vet and local law decide.", today.words())
}

/// The look of the foot.
pub(super) const FOOT: Look = Look::new(Face::Sans, 7.5).ink(Ink::Grey);

/// Lays out a register under the holding's name. Without rows it says so.
///
/// # Errors
/// [`PaperFailed::Stopped`] when `watch` says so.
pub fn register(
    holding: &Holding,
    register: &Register,
    sheet: SheetSize,
    today: Day,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let _official = Speech::official();
    let (mut pages, turn) = section(holding, register, sheet, watch)?;
    let (of, words) = (pages.len(), foot_words(today));
    for (i, page) in pages.iter_mut().enumerate() {
        foot(page, body(sheet, turn), FOOT, (i + 1, of), &words);
    }
    Ok(Paper {
        title: format!("{}, {}", register.title, register.days()),
        author: holding.flock.clone(),
        printed: Some(today),
        pages,
    })
}

/// The pages of a register without feet, and which way they lie.
pub(super) fn section(
    holding: &Holding,
    register: &Register,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<(Vec<Page>, Turn), PaperFailed> {
    let plan = Plan::of(register, sheet);
    let (pages, alone) = laid(holding, register, sheet, &plan, false, watch)?;
    // A page that would hold nothing but how it was made: that stands on top then.
    let pages = if alone { laid(holding, register, sheet, &plan, true, watch)?.0 } else { pages };
    Ok((pages, plan.turn))
}

/// The pages, and whether the last of them holds notes alone.
fn laid(
    holding: &Holding,
    register: &Register,
    sheet: SheetSize,
    plan: &Plan<'_>,
    on_top: bool,
    watch: Watch<'_>,
) -> Result<(Vec<Page>, bool), PaperFailed> {
    let heads = Heads::of(holding, &register.title, &register.days(), sheet, plan.turn);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(sheet, plan.turn, MARGINS, &head);
    let plain = Look::new(Face::Sans, 9.0);
    flow.paragraph(plain, &heads.more);
    if register.rows.is_empty() {
        flow.paragraph(Look::new(Face::SansStrong, 10.0), &register.empty);
    } else {
        if register.lead.is_empty() {
            flow.paragraph(plain, &format!("{}.", register.counted()));
        }
        register.lead.iter().for_each(|words| flow.paragraph(plain, words));
        if on_top {
            flow.y -= 2.0;
            about(&mut flow, &register.about);
        }
        flow.y += 2.0;
        let (table, rows) = (plan.table(), register.rows.iter().map(|r| row(register, r)));
        // A move of many animals may go on on the next page.
        match register.kind {
            RegisterKind::Movements => table.flow_split(&mut flow, rows, watch)?,
            _ => table.flow(&mut flow, rows, watch)?,
        }
    }
    for totals in &register.totals {
        sums(&mut flow, totals, watch)?;
    }
    let before = flow.pages.len();
    let odd = odd_letters(&flow.pages);
    let below: &[String] = if on_top && !register.rows.is_empty() { &[] } else { &register.about };
    about(&mut flow, &below.iter().cloned().chain([odd]).collect::<Vec<_>>());
    if register.kind == RegisterKind::TreatmentLog && !register.rows.is_empty() {
        signed(&mut flow);
    }
    let alone = flow.pages.len() > before;
    Ok((flow.pages, alone))
}

/// The line to sign on.
fn signed(flow: &mut Flow<'_>) {
    const TALL: f32 = 18.0;
    flow.need(TALL);
    flow.y += TALL - 5.0;
    let (x, y) = (flow.body().x, flow.y);
    let label = Look::new(Face::Sans, 8.5).ink(Ink::Grey);
    let page = flow.page();
    for (at, long, words) in [(0.0, 90.0, "Signed"), (100.0, 60.0, "Name"), (170.0, 40.0, "Date")] {
        page.rule(x + at, y, long, 0.2, Ink::Black);
        page.text(x + at, y + 4.0, label, words);
    }
    flow.y += 5.0;
}

fn cell(value: &Value) -> Cell {
    let cell = if value.strong { Cell::strong(&value.shown) } else { Cell::new(&value.shown) };
    cell.under(&value.under)
}

fn row(register: &Register, row: &crate::registers::Row) -> Row {
    let shown = register.columns.iter().zip(&row.cells).filter(|(c, _)| c.is_shown());
    Row {
        cells: shown.map(|(_, value)| cell(value)).collect(),
        struck: row.struck,
        notes: row.remarks.clone(),
    }
}

fn sums(flow: &mut Flow<'_>, totals: &Totals, watch: Watch<'_>) -> Result<(), PaperFailed> {
    flow.y += 6.0;
    flow.need((14.0 + 5.0 * totals.rows.len() as f32).min(40.0));
    flow.paragraph(Look::new(Face::SerifStrong, 12.0), &totals.title);
    flow.y += 1.5;
    let columns = totals.columns.iter().map(|c| {
        let width = Width::Mm(c.share * 24.0);
        if c.right { Column::figures(c.head, width) } else { Column::new(c.head, width) }
    });
    // A column of nothing keeps the others together at the left.
    let columns = columns.chain([Column::new("", Width::Share(1.0))]).collect();
    let table = Table { columns, size_pt: 8.6, between: Between::Hairline };
    let rows =
        totals.rows.iter().map(|cells| Row { cells: cells.iter().map(cell).collect(), ..Row::default() });
    table.flow(flow, rows, watch)
}

fn about(flow: &mut Flow<'_>, all: &[String]) {
    let look = Look::new(Face::SansItalic, 8.0).ink(Ink::Grey);
    flow.y += 4.0;
    for words in all.iter().filter(|w| !w.is_empty()) {
        let lines = look.wrap(words, flow.body().w).len() as f32;
        flow.need((lines * look.leading_mm()).min(30.0));
        flow.paragraph(look, words);
        flow.y += 0.8;
    }
}

/// The way the sheet lies, the type's size and the widths of the columns.
struct Plan<'a> {
    turn: Turn,
    size_pt: f32,
    columns: Vec<(&'a Head, f32)>,
}

/// Room left and right of the words of a cell, and a hair for rounding.
const PAD: f32 = 2.4;

/// A word longer than this is broken rather than given a column of its own width.
const LONGEST_WORD: f32 = 46.0;

/// Type sizes that are tried, largest first: the last stays readable on paper.
const SIZES: [f32; 4] = [8.6, 8.0, 7.4, 6.8];

/// Least and natural width of a column at one point of type size, in millimetres.
fn measure(head: &Head, values: &[&Value]) -> (f32, f32) {
    let (strong, plain) = (Look::new(Face::SansStrong, 10.0), Look::new(Face::Sans, 10.0));
    let word = |look: Look, scale: f32, words: &str| {
        words.split([' ', '\n']).map(|w| look.width_mm(w) * scale).fold(0.0, f32::max)
    };
    let line = |look: Look, words: &str| words.split('\n').map(|l| look.width_mm(l)).fold(0.0, f32::max);
    let mut least = word(strong, 0.92, head.head);
    let mut natural = strong.width_mm(head.head) * 0.92;
    for value in values {
        let look = if value.strong { strong } else { plain };
        least = least.max(word(look, 1.0, &value.shown)).max(word(plain, 0.88, &value.under));
        natural = natural.max(line(look, &value.shown)).max(plain.width_mm(&value.under) * 0.88);
    }
    (least / 10.0, natural / 10.0)
}

impl<'a> Plan<'a> {
    fn of(register: &'a Register, sheet: SheetSize) -> Self {
        let shown: Vec<(usize, &Head)> =
            register.columns.iter().enumerate().filter(|(_, c)| c.is_shown()).collect();
        let measures: Vec<(&Head, f32, f32)> = shown
            .iter()
            .map(|(i, head)| {
                let values: Vec<&Value> = register.rows.iter().filter_map(|r| r.cells.get(*i)).collect();
                let (least, natural) = measure(head, &values);
                (*head, least, natural)
            })
            .collect();
        // Upright only for few columns: the pages of one folder are mostly turned one way.
        let turns: &[Turn] =
            if shown.len() <= 7 { &[Turn::Portrait, Turn::Landscape] } else { &[Turn::Landscape] };
        let mut last = None;
        for turn in turns {
            let sizes = if *turn == Turn::Portrait { &SIZES[..2] } else { &SIZES[..] };
            for size_pt in sizes {
                let room = body(sheet, *turn).w;
                let asked: Vec<(f32, f32, f32)> = measures
                    .iter()
                    .map(|(head, least, natural)| {
                        let least = (least * size_pt + PAD).min(LONGEST_WORD);
                        (head.share, least, (natural * size_pt + PAD).max(least))
                    })
                    .collect();
                let fits = asked.iter().map(|(_, least, _)| least).sum::<f32>() <= room;
                let widths = spread(&asked, room);
                let columns = measures.iter().map(|(head, ..)| *head).zip(widths).collect();
                let plan = Plan { turn: *turn, size_pt: *size_pt, columns };
                if fits {
                    return plan;
                }
                last = Some(plan);
            }
        }
        last.unwrap_or(Plan { turn: Turn::Landscape, size_pt: SIZES[0], columns: Vec::new() })
    }

    fn table(&self) -> Table {
        let columns = self.columns.iter().map(|(head, width)| {
            let width = Width::Mm(*width);
            if head.right { Column::figures(head.head, width) } else { Column::new(head.head, width) }
        });
        Table { columns: columns.collect(), size_pt: self.size_pt, between: Between::Hairline }
    }
}

/// Shares a width out: each column in proportion to its share, but never less than its longest word and, while others
/// want more, never more than its longest cell. Each is (share, least, natural).
fn spread(columns: &[(f32, f32, f32)], room: f32) -> Vec<f32> {
    let at = |scale: f32| -> Vec<f32> {
        columns.iter().map(|(share, least, most)| (share * scale).clamp(*least, *most)).collect()
    };
    let sum = |widths: &[f32]| widths.iter().sum::<f32>();
    let most = sum(&at(f32::MAX / 1e6));
    if most <= room {
        // All cells fit on one line: what is left over goes to the right of the table's columns alike.
        let extra = (room - most) / columns.len().max(1) as f32;
        return columns.iter().map(|(_, _, most)| most + extra).collect();
    }
    let (mut low, mut high) = (0.0f32, room);
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if sum(&at(middle)) > room {
            high = middle;
        } else {
            low = middle;
        }
    }
    at(low)
}

#[cfg(test)]
mod tests;
