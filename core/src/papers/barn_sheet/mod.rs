//! The barn sheet: the jobs of one day by pen, with boxes to tick and room to write, to be typed back by number.

use crate::phrase;
use crate::terms::speech::said;
use std::borrow::Cow;
use std::cell::RefCell;

use super::flow::Flow;
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch, text, who};
use crate::flock::Flock;
use crate::reckon::clearance::clearance;
use crate::reckon::due::{Job, PenSheet, Row as SheetRow, Sheet, State, kind_and_age};
use crate::reckon::gestation::Expected;
use crate::terms::{Day, counted};

/// Left, top, right and bottom margins in millimetres.
const MARGINS: [f32; 4] = [12.0, 11.0, 12.0, 14.0];

const TITLE: Look = Look::new(Face::SerifStrong, 19.0);
const PEN: Look = Look::new(Face::SerifStrong, 12.5);
const PLAIN: Look = Look::new(Face::Sans, 9.0);
const SMALL: Look = Look::new(Face::Sans, 8.0).ink(Ink::Grey);

const LAST_WORD: &str = "Row numbers and order are those of the page where this sheet is typed back. \
    A clean needle; one product in a syringe; write down each site. Label, vet and local law decide.";

/// How the barn sheet is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BarnSheetOptions {
    /// The sheet of paper, upright.
    pub sheet: SheetSize,
    /// With the creeps of all pens, and looks at gates and lamps.
    pub creeps: bool,
}

/// Lays out the barn sheet of a day.
///
/// # Errors
/// [`PaperFailed::Nothing`] when nothing is to be done that day; [`PaperFailed::Stopped`] when `watch` says so.
pub fn barn_sheet(
    flock: &Flock,
    sheet: &Sheet,
    day: Day,
    printed: Day,
    options: &BarnSheetOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let creeps = if options.creeps { creeps::rows(flock, day) } else { Vec::new() };
    if sheet.is_empty() && creeps.is_empty() {
        let mend = "nothing is due on that day and no ewe is about to lamb; choose another day";
        return Err(PaperFailed::Nothing { paper: "barn sheet", mend });
    }
    // The pen whose rows run on when a page is turned; empty between pens.
    let running = RefCell::new(String::new());
    let head = |page: &mut Page, number: usize| page_head(page, number, flock, day, &running.borrow());
    let mut flow = Flow::new(options.sheet, Turn::Portrait, MARGINS, &head);
    flow.paragraph(PLAIN, &summary(sheet));
    let total = sheet.pens.len();
    for (i, pen) in sheet.pens.iter().enumerate() {
        if !watch(i, total) {
            return Err(PaperFailed::Stopped);
        }
        self::pen(&mut flow, flock, pen, day, &running, watch)?;
    }
    if !creeps.is_empty() {
        creeps::block(&mut flow, creeps, watch)?;
    }
    cautions(&mut flow, flock, sheet);
    let foot = phrase!("Printed {}. Label, vet and local law decide.", printed.words());
    let pages = flow.finish(Look::new(Face::Sans, 7.5).ink(Ink::Grey), &foot);
    Ok(Paper {
        title: phrase!("Barn sheet, {}", day.words()),
        author: flock.holding().flock.clone(),
        printed: Some(printed),
        pages,
    })
}

/// The large head of the first page, the small one of the others with the pen that runs on.
fn page_head(page: &mut Page, number: usize, flock: &Flock, day: Day, running: &str) -> f32 {
    let (x, mut y) = (MARGINS[0], MARGINS[1]);
    let (width, right) = (page.width_mm - MARGINS[0] - MARGINS[2], page.width_mm - MARGINS[2]);
    let name = &flock.holding().flock;
    let mut lines = |page: &mut Page, look: Look, words: &str, width: f32, most: usize| {
        for line in look.wrap(words, width).into_iter().take(most) {
            page.text(x, y + look.leading_mm() * 0.78, look, &line);
            y += look.leading_mm();
        }
    };
    if number == 0 {
        lines(page, TITLE, &phrase!("Barn sheet for {}", day.long()), width, 2);
        lines(page, SMALL.size(9.0), name, width, 3);
        page.rule(x, y + 1.2, right - x, 0.5, Ink::Black);
        return y + 3.2;
    }
    lines(page, SMALL, &phrase!("Barn sheet for {} · {name}", day.long()), width, 2);
    if !running.is_empty() {
        y += 1.5;
        for line in PEN.wrap(&phrase!("{running} (continued)", running = &running), width) {
            page.text(x, y + PEN.leading_mm() * 0.78, PEN, &line);
            y += PEN.leading_mm();
        }
    }
    y + 1.2
}

fn summary(sheet: &Sheet) -> String {
    let jobs = sheet.rows().map(|r| r.jobs.len()).sum();
    let late = sheet.rows().flat_map(|r| &r.jobs).filter(|j| j.state == State::Overdue).count();
    let due = sheet.pens.iter().map(|p| p.due_ewes.len()).sum();
    let mut said = phrase!("{} for {}", counted(jobs, "job"), counted(sheet.len(), "animal"));
    if late > 0 {
        said.push_str(&phrase!(", {} overdue", counted(late, "job")));
    }
    if due > 0 {
        said.push_str(&phrase!("; {} due to lamb", counted(due, "ewe")));
    }
    said + "."
}

fn pen(
    flow: &mut Flow<'_>,
    flock: &Flock,
    pen: &PenSheet,
    day: Day,
    running: &RefCell<String>,
    watch: Watch<'_>,
) -> Result<(), PaperFailed> {
    let title = pen.title();
    let width = flow.body().w;
    let head: Vec<String> = PEN.wrap(&title, width);
    let round = rounds(flock, pen);
    let tall =
        head.len() as f32 * PEN.leading_mm() + SMALL.wrap(&round, width).len() as f32 * SMALL.leading_mm();
    flow.y += 4.5;
    // The pen's name stays with its first rows.
    flow.need(tall + 24.0);
    flow.paragraph(PEN, &title);
    if !round.is_empty() {
        flow.paragraph(SMALL.ink(Ink::Black), &round);
    }
    flow.y += 0.8;
    if !pen.rows.is_empty() {
        *running.borrow_mut() = title;
        let rows = pen.rows.iter().map(|r| row(flock, r, day));
        let done = table().flow(flow, rows, watch);
        running.borrow_mut().clear();
        done?;
    }
    if !pen.due_ewes.is_empty() {
        flow.y += 1.2;
        flow.paragraph(PLAIN, &due_to_lamb(flock, &pen.due_ewes, day));
    }
    Ok(())
}

/// What one goes round with: `In rounds: …`; nothing where every job is for one animal and needs no product.
fn rounds(flock: &Flock, pen: &PenSheet) -> String {
    let of = |r: &&crate::reckon::due::Round| r.animals.len() > 1 || r.product.is_some();
    let all: Vec<String> = pen.rounds.iter().filter(of).map(|r| r.words(flock)).collect();
    if all.is_empty() { String::new() } else { phrase!("In rounds: {}", all.join("; ")) }
}

fn table() -> Table {
    Table {
        columns: vec![
            Column::figures("No.", Width::Mm(9.0)),
            Column::new("Animal", Width::Mm(33.0)),
            Column::new("Tick when done", Width::Share(1.55)),
            Column::new("Why, what to watch", Width::Share(1.0)),
            Column::new("Weight", Width::Mm(16.0)).ruled(),
            Column::new("Remarks", Width::Mm(35.0)).ruled(),
        ],
        size_pt: 9.0,
        between: Between::Hairline,
    }
}

fn row(flock: &Flock, row: &SheetRow, day: Day) -> Row {
    let Some(file) = flock.file(row.animal) else { return Row::default() };
    let animal = &file.animal;
    let mut who = Cell::strong(animal.tag());
    if let Some(name) = &animal.name {
        who = who.under(name.as_str());
    }
    who = who.under(kind_and_age(animal, day));
    let jobs = row.jobs.iter().fold(Cell::default(), |cell, job| {
        let words = job_words(job);
        if job.state == State::Overdue { cell.boxed_strong(words) } else { cell.boxed(words) }
    });
    let mut why = Cell::default();
    let mut said: Vec<String> = Vec::new();
    for job in &row.jobs {
        let mut words = job.since_on_paper(day);
        if let Some((until, reason)) = job.put_off.as_deref() {
            words.push_str(&phrase!("; put off to {}", until.short()));
            if !reason.is_empty() {
                words.push_str(&format!(": {reason}"));
            }
        }
        if !said.contains(&words) {
            why = why.under(words.clone());
            said.push(words);
        }
    }
    let held = clearance(file, day);
    if held.waits(day) {
        why = why.remark(held.held_words(day));
    }
    if let Some(note) = &animal.note {
        why = why.remark(note.as_str());
    }
    Row { cells: vec![Cell::new(row.no.to_string()), who, jobs, why], struck: false, notes: Vec::new() }
}

/// `Tail docked, by 18 Mar`; `Tail docked: overdue since 18 Mar`.
fn job_words(job: &Job) -> String {
    let short = job.step.short_said();
    let on = |day: Day| text::unbroken(&day.short());
    match (&job.state, job.late) {
        (State::Overdue, Some(late)) => phrase!("{short}: overdue since {}", on(late.day)),
        (_, Some(late)) if late.day > job.due.day => phrase!("{short}, by {}", on(late.day)),
        _ => short.into_owned(),
    }
}

/// `Due to lamb: 0412, 2–10 Apr; 0417, from 5 Apr; 0433, 20–28 Mar: past her days`.
fn due_to_lamb(flock: &Flock, ewes: &[Expected], day: Day) -> String {
    let all: Vec<String> = ewes
        .iter()
        .map(|e| {
            let tag = text::unbroken(flock.tag(e.ewe));
            let window = match e.window.late {
                Some(late) => who::span(e.window.early, late),
                None => phrase!("from {}", e.window.early.short()),
            };
            let past = e.window.late.is_some_and(|l| l < day);
            let past = if past { " (past her days: look into it)" } else { "" };
            format!("{tag}, {}{past}", text::unbroken(&window))
        })
        .collect();
    phrase!("Due to lamb: {}.", all.join("; "))
}

/// Each caution once, with the step it belongs to; then the ring law of the place where rings are on the sheet.
fn cautions(flow: &mut Flow<'_>, flock: &Flock, sheet: &Sheet) {
    let mut all: Vec<(Cow<'_, str>, Vec<Cow<'_, str>>)> = Vec::new();
    let mut rings = false;
    for job in sheet.rows().flat_map(|r| &r.jobs) {
        rings |= job.step.law.is_some();
        let Some(caution) = job.step.caution_said() else { continue };
        match all.iter_mut().find(|(c, _)| *c == caution) {
            Some((_, steps)) if steps.contains(&job.step.short_said()) => {}
            Some((_, steps)) => steps.push(job.step.short_said()),
            None => all.push((caution, vec![job.step.short_said()])),
        }
    }
    let law = flock.rules().filter(|_| rings).and_then(crate::rules::RuleSet::ring_words);
    let look = Look::new(Face::Sans, 8.2);
    flow.y += 5.0;
    flow.need(PEN.leading_mm() + 3.0 * look.leading_mm() + 2.0);
    flow.paragraph(PEN.size(10.5), &said("To beware of"));
    flow.y += 0.6;
    for (caution, steps) in &all {
        flow.paragraph(look, &format!("{}: {caution}", steps.join(", ")));
        flow.y += 0.5;
    }
    if let Some(law) = law {
        flow.paragraph(look, &law);
        flow.y += 0.5;
    }
    flow.paragraph(look, LAST_WORD);
}

mod creeps;
#[cfg(test)]
mod tests;
