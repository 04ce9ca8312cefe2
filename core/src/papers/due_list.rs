//! The due list: every ewe that is expected, by day, with what that is known from and room for what happened.

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch, text, who};
use crate::flock::Flock;
use crate::phrase;
use crate::reckon::joined::{DueLine, due_lines};
use crate::registers::Span;
use crate::terms::speech;
use crate::terms::{AnimalId, Day, counted};

const PLAIN: Look = Look::new(Face::Sans, 9.0);
const SMALL: Look = Look::new(Face::Sans, 7.5).ink(Ink::Grey);

/// How the due list is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DueListOptions {
    /// The sheet of paper, upright.
    pub sheet: SheetSize,
    /// Ewes that may lamb within these days.
    pub span: Span,
}

/// Lays out the due list of these animals (ewes, or rams with all ewes that may be in lamb to them), or of all.
///
/// # Errors
/// [`PaperFailed::Nothing`] where no ewe is expected; [`PaperFailed::Stopped`] when `watch` says so.
pub fn due_list(
    flock: &Flock,
    animals: Option<&[AnimalId]>,
    today: Day,
    options: &DueListOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let span = options.span;
    let lines: Vec<DueLine> = due_lines(flock, today)
        .into_iter()
        .filter(|l| {
            animals.is_none_or(|these| these.iter().any(|a| *a == l.ewe || l.rams.contains(a)))
                && span.to.is_none_or(|to| l.window.early <= to)
                && span.from.is_none_or(|from| l.window.late.is_none_or(|late| late >= from))
        })
        .collect();
    let (Some(first), Some(last)) = (lines.first(), lines.last()) else {
        let mend = "no ewe is expected; write down her joining, or choose other days";
        return Err(PaperFailed::Nothing { paper: "due list", mend });
    };
    let usual = match first.window.due == last.window.due {
        true => phrase!("usual day {}", first.window.due.words()),
        false => phrase!("usual days {} to {}", first.window.due.words(), last.window.due.words()),
    };
    let early = lines.iter().map(|l| l.window.early).min().unwrap_or(first.window.early);
    // One whose ram is with her still has no last day.
    let late = lines.iter().map(|l| l.window.late).collect::<Option<Vec<Day>>>();
    let days = match late.and_then(|all| all.into_iter().max()) {
        Some(late) => phrase!("{usual}; may lamb {} to {}", early.words(), late.words()),
        None => phrase!("{usual}; may lamb from {} on", early.words()),
    };
    let heads = Heads::of(flock.holding(), "Due list", &days, options.sheet, Turn::Portrait);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(options.sheet, Turn::Portrait, MARGINS, &head);
    if !heads.more.is_empty() {
        flow.paragraph(PLAIN, &heads.more);
    }
    flow.paragraph(PLAIN, &summary(&lines, today));
    flow.y += 1.5;
    let table = Table {
        columns: vec![
            Column::new("Usual day", Width::Mm(27.0)),
            Column::new("Ewe", Width::Mm(36.0)),
            Column::new("Ram", Width::Mm(16.0)),
            Column::new("Scan", Width::Mm(21.0)),
            Column::new("Known from", Width::Share(1.0)),
            Column::new("What happened", Width::Mm(44.0)).ruled(),
        ],
        size_pt: 9.0,
        between: Between::Hairline,
    };
    table.flow(&mut flow, lines.iter().map(|l| row(flock, l, today)), watch)?;
    let odd = odd_letters(&flow.pages);
    if !odd.is_empty() {
        flow.paragraph(PLAIN, &odd);
    }
    let foot = phrase!("Printed {}. A scan counts lambs seen, not lambs born.", today.words());
    let pages = flow.finish(SMALL, &foot);
    Ok(Paper {
        title: phrase!("Due list, {}", today.words()),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

fn summary(lines: &[DueLine], today: Day) -> String {
    let past = lines.iter().filter(|l| l.is_past(today)).count();
    let is = if lines.len() == 1 { "is" } else { "are" };
    let mut said = phrase!("{} {is} expected", counted(lines.len(), "ewe"));
    match past {
        0 => {}
        1 => said.push_str(&speech::said(", 1 of them past her days")),
        n => said.push_str(&phrase!(", {n} of them past their days")),
    }
    said + &speech::said(". Below the usual day stand the first and the last day on which she may lamb.")
}

fn row(flock: &Flock, l: &DueLine, today: Day) -> Row {
    let window = match l.window.late {
        Some(late) => who::span(l.window.early, late),
        None => phrase!("from {} on", l.window.early.short()),
    };
    let mut day = Cell::strong(text::unbroken(&who::weekday(l.window.due))).under(window);
    if l.is_past(today) {
        day = day.remark("past her last day: look into it");
    }
    let mut ewe = Cell::strong(flock.tag(l.ewe));
    if let Some(a) = flock.animal(l.ewe) {
        let pen = a.pen.as_ref().map(|p| phrase!("in {p}"));
        let said: Vec<&str> = a.name.as_deref().into_iter().chain(pen.as_deref()).collect();
        ewe = ewe.under(said.join(", "));
    }
    let mut ram = Cell::default();
    for (i, r) in l.rams.iter().enumerate() {
        let tag = flock.tag(*r);
        ram = ram.and_line(if i == 0 { tag.to_string() } else { phrase!("or {tag}", tag = &tag) });
    }
    Row {
        cells: vec![day, ewe, ram, Cell::new(l.scan_words()), Cell::new(l.why.as_str())],
        struck: false,
        notes: Vec::new(),
    }
}

#[cfg(test)]
mod tests;
