//! The treatment log: what an inspector asks for, in order of time, with totals for each product.
//!
//! Columns: the union of what Regulation (EU) 2019/6 art 108 and the British VMR 2013 regs 17 to 19 ask to be written
//! and what American advice adds (reason, route, who gave it), as gathered in the project's rules notes, 1.1.

use crate::phrase;
use crate::terms::speech::{Speech, said};
use std::collections::BTreeSet;

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch, text, who};
use crate::flock::{AnimalFile, Flock, RecordRef, Treatment, natural};
use crate::reckon::clearance::{Clear, clear_after};
use crate::registers::{BATCHES, batches_given, figures, notes_of, prescriber};
use crate::terms::{AnimalId, Day, Withdrawal, counted};
use totals::totals;

const CAUTION: &str = "Each line stands for itself: of several treatments of an animal the latest clear day counts. \
    Struck-out lines stay in the log and are not counted in the totals. Label, vet and local law decide.";

/// How the treatment log is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TreatmentLogOptions {
    /// The sheet; the log lies across it.
    pub sheet: SheetSize,
    /// First day of treatment; none is from the beginning.
    pub from: Option<Day>,
    /// Last day of treatment; none is to the end.
    pub to: Option<Day>,
}

/// Lays out the log of the chosen animals, or of all that the book knows (sold and dead ones too) for `None`. A time
/// without treatments gives a log that says so.
///
/// # Errors
/// [`PaperFailed::Stopped`] when `watch` says so.
pub fn treatment_log(
    flock: &Flock,
    animals: Option<&[AnimalId]>,
    today: Day,
    options: &TreatmentLogOptions,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let _official = Speech::official();
    let lines = lines(flock, animals, options);
    let period = period(options, today);
    let heads = Heads::of(flock.holding(), "Treatment log", &period, options.sheet, Turn::Landscape);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(options.sheet, Turn::Landscape, MARGINS, &head);

    flow.paragraph(Look::new(Face::Sans, 9.0), &heads.more);
    flow.paragraph(Look::new(Face::Sans, 9.0), &summary(&lines));
    if let Some(chosen) = animals {
        let mut tags: Vec<&str> = chosen.iter().map(|id| flock.tag(*id)).collect();
        tags.sort_unstable_by(|a, b| natural(a, b));
        flow.paragraph(
            Look::new(Face::Sans, 8.0).ink(Ink::Grey),
            &phrase!("Chosen animals: {}", tags.join(", ")),
        );
    }
    flow.y += 2.5;
    if !lines.is_empty() {
        let rows = lines.iter().map(|(file, treatment)| row(flock, file, treatment));
        table().flow(&mut flow, rows, watch)?;
        totals(&mut flow, &lines, watch)?;
        batches(&mut flow, flock, &lines, watch)?;
    }
    let law = flock.rules();
    closing(&mut flow, flock, &lines);
    let kept = law.map(|law| rules::keeping(law) + " ").unwrap_or_default();
    let foot = phrase!("Printed {}. {kept}Label, vet and local law decide.", today.words());
    let pages = flow.finish(Look::new(Face::Sans, 7.5).ink(Ink::Grey), &foot);
    Ok(Paper {
        title: phrase!("Treatment log, {period}"),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

type Line<'a> = (&'a AnimalFile, &'a Treatment);

/// The treatments asked for, in order of time, then of tags.
fn lines<'a>(flock: &'a Flock, animals: Option<&[AnimalId]>, options: &TreatmentLogOptions) -> Vec<Line<'a>> {
    let asked = |t: &&Treatment| {
        options.from.is_none_or(|from| t.at.day >= from) && options.to.is_none_or(|to| t.at.day <= to)
    };
    let of = |file: &'a AnimalFile| file.treatments.iter().filter(asked).map(move |t| (file, t));
    let mut all: Vec<Line<'a>> = match animals {
        Some(chosen) => {
            let chosen: BTreeSet<AnimalId> = chosen.iter().copied().collect();
            chosen.into_iter().filter_map(|id| flock.file(id)).flat_map(of).collect()
        }
        None => flock.files().flat_map(of).collect(),
    };
    all.sort_by(|(a, s), (b, t)| s.at.cmp(&t.at).then_with(|| natural(a.animal.tag(), b.animal.tag())));
    all
}

fn period(options: &TreatmentLogOptions, today: Day) -> String {
    match (options.from, options.to) {
        (Some(from), Some(to)) => phrase!("{} to {}", from.words(), to.words()),
        (Some(from), None) => phrase!("from {} to {}", from.words(), today.words()),
        (None, Some(to)) => phrase!("all treatments up to {}", to.words()),
        (None, None) => phrase!("all treatments up to {}", today.words()),
    }
}

fn summary(lines: &[Line<'_>]) -> String {
    let standing: Vec<&Line<'_>> = lines.iter().filter(|(_, t)| t.struck.is_none()).collect();
    let animals: BTreeSet<AnimalId> = standing.iter().map(|(file, _)| file.animal.id).collect();
    let struck = lines.len() - standing.len();
    let mut words = match standing.len() {
        0 => phrase!("No treatment was given in this time"),
        n => phrase!("{} of {}", counted(n, "treatment"), counted(animals.len(), "animal")),
    };
    if struck > 0 {
        words.push_str(&phrase!("; {} struck out", counted(struck, "line")));
    }
    words + "."
}

fn table() -> Table {
    Table {
        columns: vec![
            Column::new("Given on", Width::Mm(18.0)),
            Column::new("Animal", Width::Share(1.25)),
            Column::new("Product", Width::Share(1.55)),
            Column::new("Batch", Width::Share(0.85)),
            Column::new("Quantity", Width::Mm(15.0)),
            Column::new("Route and site", Width::Share(1.15)),
            Column::new("Reason", Width::Share(1.25)),
            Column::new("Given by", Width::Share(0.95)),
            Column::new("Prescribed by", Width::Share(1.05)),
            Column::new("Meat withdrawal", Width::Mm(17.0)),
            Column::new("Milk withdrawal", Width::Mm(17.0)),
            Column::new("Meat clear on", Width::Mm(18.0)),
            Column::new("Milk clear on", Width::Mm(18.0)),
        ],
        size_pt: 7.6,
        between: Between::Hairline,
    }
}

fn row(flock: &Flock, file: &AnimalFile, t: &Treatment) -> Row {
    let amendments = flock.amendments(RecordRef::Treatment(t.id));
    let mut given = Cell::new(text::unbroken(&t.at.day.words()));
    if let Some(time) = t.at.time {
        given = given.under(time.to_string());
    }
    if !amendments.is_empty() {
        given = given.remark("amended");
    }
    if t.struck.is_some() {
        given = given.unstruck("struck out");
    }
    let mut animal = Cell::strong(file.animal.tag());
    for (_, number) in who::numbers(&file.animal) {
        animal = animal.under(number);
    }
    let route = Cell::new(t.route.map_or("–", |r| r.words())).under(t.site.clone().unwrap_or_default());
    Row {
        cells: vec![
            given,
            animal,
            Cell::new(figures(&t.product)),
            or_dash(t.batch.as_deref()),
            Cell::new(t.dose.map_or_else(|| "–".into(), |d| text::unbroken(&d.to_string()))),
            route,
            or_dash(t.reason.as_deref()),
            or_dash(t.given_by.as_deref()).under(if t.more.vet_gave { "the vet gave it" } else { "" }),
            or_dash(prescriber(flock, t).name),
            withdrawal(t.meat),
            withdrawal(t.milk),
            clear(&clear_after(t.at, t.meat)),
            clear(&clear_after(t.at, t.milk)),
        ],
        struck: t.struck.is_some(),
        notes: notes_of(flock, t),
    }
}

/// The batches that were given, from whom they came.
fn batches(
    flow: &mut Flow<'_>,
    flock: &Flock,
    lines: &[Line<'_>],
    watch: Watch<'_>,
) -> Result<(), PaperFailed> {
    let rows = batches_given(flock, lines.iter().map(|(_, t)| *t));
    if rows.is_empty() {
        return Ok(());
    }
    flow.y += 7.0;
    flow.need(30.0);
    flow.paragraph(Look::new(Face::SerifStrong, 12.0), &said("Batches given"));
    flow.y += 1.5;
    let columns = BATCHES.iter().map(|c| Column::new(c.head, Width::Share(c.share))).collect();
    let table = Table { columns, size_pt: 8.2, between: Between::Hairline };
    let cell = |v: &crate::registers::Cell| match v.strong {
        true => Cell::strong(v.shown.as_str()),
        false => Cell::new(v.shown.as_str()),
    };
    let rows = rows.iter().map(|cells| Row { cells: cells.iter().map(cell).collect(), ..Row::default() });
    table.flow(flow, rows, watch)
}

fn or_dash(words: Option<&str>) -> Cell {
    Cell::new(words.filter(|w| !w.trim().is_empty()).unwrap_or("–"))
}

fn withdrawal(period: Withdrawal) -> Cell {
    match period {
        Withdrawal::Unknown => Cell::new("unknown, not clear"),
        known => Cell::new(text::unbroken(&known.to_string())),
    }
}

fn clear(clear: &Clear) -> Cell {
    match clear {
        Clear::From(day) => Cell::strong(text::unbroken(&day.words())),
        Clear::Unknown => Cell::strong("not clear"),
        Clear::Never => Cell::strong("never"),
        Clear::Free => Cell::new("–"),
    }
}

/// Cautions and the line to sign on, kept together.
fn closing(flow: &mut Flow<'_>, flock: &Flock, lines: &[Line<'_>]) {
    let law = flock.rules();
    let look = Look::new(Face::SansItalic, 8.0).ink(Ink::Grey);
    let standing: Vec<&Treatment> = lines.iter().map(|(_, t)| *t).filter(|t| t.struck.is_none()).collect();
    let asked = law.map(|law| rules::asked(law, flock, &standing)).unwrap_or_default();
    let mut words = format!("{} {CAUTION}", rules::counting());
    let odd = odd_letters(&flow.pages);
    if !odd.is_empty() {
        words.push_str(&format!(" {odd}"));
    }
    let tall = |words: &str| look.wrap(words, flow.body().w).len() as f32 * look.leading_mm();
    let tall = tall(&words) + tall(&asked);
    flow.y += 6.0;
    flow.need(tall + 21.5);
    flow.paragraph(look, &words);
    flow.y += 1.5;
    flow.paragraph(look, &asked);
    flow.y += 14.0;
    let (x, y) = (flow.body().x, flow.y);
    let label = Look::new(Face::Sans, 8.5).ink(Ink::Grey);
    let page = flow.page();
    for (at, long, words) in [(0.0, 90.0, "Signed"), (100.0, 60.0, "Name"), (170.0, 40.0, "Date")] {
        page.rule(x + at, y, long, 0.2, Ink::Black);
        page.text(x + at, y + 4.0, label, words);
    }
    flow.y += 5.0;
}

mod rules;
mod totals;

#[cfg(test)]
mod tests;
