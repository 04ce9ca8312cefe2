//! The withdrawal declaration that goes with sold animals: which treatments had not run out, and what the buyer is to
//! know. Not an official form.

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters, sign_lines};
use super::register::{FOOT, foot_words};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch, text};
use crate::flock::{AnimalFile, Flock, Identity, Movement, natural};
use crate::phrase;
use crate::reckon::clearance::{Clear, Clearance, Side, clearance_in};
use crate::registers::{Doses, figures, kinds_words, numbers_of};
use crate::terms::speech::Speech;
use crate::terms::speech::said;
use crate::terms::{AnimalId, Day, IdentityKind, Sex, Status, counted};
use std::borrow::Cow;

/// Lays out the declaration for these animals as of the day they go, or for those sold on that day when none is
/// chosen.
///
/// # Errors
/// [`PaperFailed::Nothing`] without an animal; [`PaperFailed::Stopped`] when `watch` says so.
pub fn withdrawal_declaration(
    flock: &Flock,
    animals: Option<&[AnimalId]>,
    on: Day,
    today: Day,
    sheet: SheetSize,
    watch: Watch<'_>,
) -> Result<Paper, PaperFailed> {
    let _official = Speech::official();
    let mut files: Vec<&AnimalFile> = match animals {
        Some(all) => all.iter().filter_map(|id| flock.file(*id)).collect(),
        None => flock.files().filter(|f| sale(f, on).is_some()).collect(),
    };
    if files.is_empty() {
        let mend = "choose the animals, or a day on which animals were sold";
        return Err(PaperFailed::Nothing { paper: "withdrawal declaration", mend });
    }
    files.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()).then(a.animal.id.cmp(&b.animal.id)));
    files.dedup_by_key(|f| f.animal.id);

    let title = "Withdrawal declaration";
    let days = phrase!("as of {}", on.words());
    let heads = Heads::of(flock.holding(), title, &days, sheet, Turn::Portrait);
    let head = |page: &mut Page, number: usize| heads.paint(page, number);
    let mut flow = Flow::new(sheet, Turn::Portrait, MARGINS, &head);
    let plain = Look::new(Face::Sans, 9.5);
    flow.paragraph(plain, &heads.more);
    for words in buyers(&files, on) {
        flow.paragraph(plain, &words);
    }
    flow.y += 1.5;
    let held: Vec<Held<'_>> = files
        .iter()
        .map(|f| Held { file: f, open: open(flock, f, on), clearance: clearance_in(flock, f, on) })
        .collect();
    flow.paragraph(Look::new(Face::SansStrong, 10.5), &summary(&held, on));
    flow.y += 3.0;
    let rows: Vec<Row> = held.iter().flat_map(|h| rows(h, on)).collect();
    table().flow(&mut flow, rows.into_iter(), watch)?;
    told(&mut flow, &held, on);
    closing(&mut flow);
    let pages = flow.finish(FOOT, &foot_words(today));
    Ok(Paper {
        title: phrase!("{title}, {}", on.words()),
        author: flock.holding().flock.clone(),
        printed: Some(today),
        pages,
    })
}

/// The sale of an animal on a day, or its going to slaughter.
fn sale(f: &AnimalFile, on: Day) -> Option<&Movement> {
    let sold = |m: &&Movement| {
        m.struck.is_none()
            && m.on == on
            && (m.to == Status::Sold || m.to == Status::Culled && m.other.is_some())
    };
    f.movements.iter().find(sold)
}

/// To whom, as written with the sale, each once.
fn buyers(files: &[&AnimalFile], on: Day) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for m in files.iter().filter_map(|f| sale(f, on)) {
        let d = &m.details;
        let number = d.number.as_deref().map(|n| phrase!("holding number {n}", n = &n));
        let document = d.document.as_deref().map(|n| phrase!("movement document {n}", n = &n));
        let parts = [m.other.as_deref(), d.address.as_deref(), number.as_deref(), document.as_deref()];
        let words = text::joined(parts.into_iter().flatten(), ", ").into_owned();
        let words = if words.is_empty() { String::new() } else { phrase!("To {words}.") };
        if !words.is_empty() && !all.contains(&words) {
            all.push(words);
        }
    }
    if all.is_empty() {
        all.push(phrase!(
            "To (name, address and number of the buyer): ______________________________________"
        ));
    }
    all
}

/// What had not run out of an animal: one treatment, or the doses of a course, with the clear days of it alone.
struct Open<'a> {
    doses: Doses<'a>,
    clearance: Clearance,
}

/// An animal that goes, with what had not run out.
struct Held<'a> {
    file: &'a AnimalFile,
    open: Vec<Open<'a>>,
    clearance: Clearance,
}

/// Milk is asked of ewes.
fn milks(f: &AnimalFile) -> bool {
    f.animal.sex == Sex::Ewe
}

/// Whether anything that is asked of an animal had not run out.
fn is_held(f: &AnimalFile, c: &Clearance, on: Day) -> bool {
    let export = c.export_apart && !c.export.clear.is_clear(on);
    !c.meat.clear.is_clear(on) || milks(f) && !c.milk.clear.is_clear(on) || export
}

/// Treatments up to a day whose period had not run out on it, a course as one: its periods run from its last dose.
fn open<'a>(flock: &Flock, f: &'a AnimalFile, on: Day) -> Vec<Open<'a>> {
    let mut all: Vec<Open<'a>> = Vec::new();
    for t in f.treatments_standing().filter(|t| t.at.day <= on) {
        if all.iter().any(|o| o.doses.all().iter().any(|d| d.id == t.id)) {
            continue;
        }
        let Some(doses) = Doses::of(f, t.id, on) else { continue };
        let mut alone = AnimalFile::of(f.animal.clone());
        alone.treatments = doses.all().iter().map(|t| (*t).clone()).collect();
        let clearance = clearance_in(flock, &alone, on);
        all.push(Open { doses, clearance });
    }
    all.retain(|o| is_held(f, &o.clearance, on));
    all
}

fn summary(held: &[Held<'_>], on: Day) -> String {
    let kinds = kinds_words(held.iter().map(|h| &h.file.animal), on);
    let n = held.iter().filter(|h| !h.open.is_empty()).count();
    let are = match n {
        0 => phrase!("none is under withdrawal"),
        1 => phrase!("1 is under withdrawal"),
        n => phrase!("{n} are under withdrawal"),
    };
    phrase!(
        "{} ({kinds}): by the records of this flock {are} on {}.",
        counted(held.len(), "animal"),
        on.words()
    )
}

fn table() -> Table {
    Table {
        columns: vec![
            Column::new("Animal", Width::Mm(41.0)),
            Column::new("Kind", Width::Mm(17.0)),
            Column::new("Treatments whose withdrawal has not run out", Width::Share(1.0)),
            Column::new("Meat clear on", Width::Mm(25.0)),
            Column::new("Milk clear on", Width::Mm(25.0)),
        ],
        size_pt: 8.6,
        between: Between::Hairline,
    }
}

fn day_words(clear: &Clear, on: Day) -> String {
    match clear {
        Clear::From(day) if *day <= on => phrase!("clear"),
        Clear::From(day) => text::unbroken(&day.words()),
        Clear::Unknown => phrase!("not clear: not known"),
        Clear::Never => phrase!("never"),
        Clear::Free => "–".into(),
    }
}

/// A row for each treatment, so that its clear days stand beside it. The numbers stand once, the tag on every row,
/// which may be the first of a page.
fn rows(held: &Held<'_>, on: Day) -> Vec<Row> {
    let Held { file: f, open, .. } = held;
    let mut animal = Cell::strong(text::unbroken(f.animal.tag()));
    for number in numbers_of(&f.animal) {
        animal = animal.under(number);
    }
    let numbered = |i: &Identity| matches!(i.kind, IdentityKind::Official | IdentityKind::Electronic);
    if !f.animal.identities.iter().any(numbered) {
        animal = animal.under(said("no official number in the book"));
    }
    let kind = if f.animal.is_lamb(on) { f.animal.sex.lamb_words() } else { f.animal.sex.words() };
    let day = |clear: &Clear| match clear {
        Clear::From(_) | Clear::Free => Cell::new(day_words(clear, on)),
        Clear::Unknown | Clear::Never => Cell::strong(day_words(clear, on)),
    };
    let milk = |c: &Clearance| if milks(f) { day(&c.milk.clear) } else { Cell::new("–") };
    if open.is_empty() {
        let cells = vec![
            animal,
            Cell::new(kind),
            Cell::strong(said("none")),
            Cell::new(said("clear")),
            Cell::new(if milks(f) { said("clear") } else { "–".into() }),
        ];
        return vec![Row { cells, ..Row::default() }];
    }
    let row = |(i, o): (usize, &Open<'_>)| {
        let (animal, kind) = match i {
            0 => (animal.clone(), Cell::new(kind)),
            _ => (Cell::default().under(text::unbroken(f.animal.tag())), Cell::default()),
        };
        let given = given(&o.doses, &o.clearance, on);
        Row {
            cells: vec![animal, kind, given, day(&o.clearance.meat.clear), milk(&o.clearance)],
            ..Row::default()
        }
    };
    open.iter().enumerate().map(row).collect()
}

/// Product, batch, dose, days and periods of a treatment or a course.
fn given(doses: &Doses<'_>, clearance: &Clearance, on: Day) -> Cell {
    let product = doses.each(|t| Some(figures(&t.product))).join(", ");
    let batch = doses.each(|t| t.batch.as_deref().map(text::unbroken)).join(", ");
    let batch = if batch.is_empty() { batch } else { phrase!("batch {batch}") };
    let dose = doses.each(|t| t.dose.map(|d| text::unbroken(&d.to_string()))).join(", ");
    let n = doses.all().len();
    let dose = if n > 1 && !dose.is_empty() { phrase!("{n} doses of {dose}") } else { dose };
    let days = doses.each(|t| Some(text::unbroken(&t.at.words()))).join(", ");
    let parts = [product, batch, dose, phrase!("given {days}"), to_come(doses, &clearance.meat, on)];
    let label = |p: crate::terms::Withdrawal| text::unbroken(&p.to_string());
    let mut cell = Cell::new(text::joined(parts.iter().map(String::as_str), ", ").into_owned());
    for (meat, milk) in doses
        .each(|t| Some(format!("{}\n{}", label(t.meat), label(t.milk))))
        .iter()
        .filter_map(|x| x.split_once('\n'))
    {
        cell = cell.under(phrase!("withdrawal: meat {meat}, milk {milk}", meat = &meat, milk = &milk));
    }
    cell
}

/// What is said of a course whose doses are not all written, or that is counted from a later day than its last dose;
/// else nothing.
fn to_come(doses: &Doses<'_>, side: &Side, on: Day) -> String {
    let Some((planned, (_, last))) = side.planned.zip(doses.days()) else { return String::new() };
    let day = text::unbroken(&planned.words());
    match doses.is_complete() {
        false if planned < on => phrase!("last dose planned {day}, not written"),
        false => phrase!("last dose planned {day}"),
        true if planned > last => phrase!("counted from {day}, the planned day of the last dose"),
        true => String::new(),
    }
}

/// What the buyer is to know of each animal that is held.
fn told(flow: &mut Flow<'_>, held: &[Held<'_>], on: Day) {
    let look = Look::new(Face::Sans, 9.5);
    flow.y += 5.0;
    flow.need(20.0);
    flow.paragraph(Look::new(Face::SerifStrong, 12.0), &said("What the buyer is to know"));
    flow.y += 1.0;
    let mut any = false;
    for h in held.iter().filter(|h| is_held(h.file, &h.clearance, on)) {
        any = true;
        flow.paragraph(look, &of_animal(h, on));
    }
    if !any {
        flow.paragraph(look, &said("No withdrawal period is running for any of these animals."));
    }
}

/// What is said of one animal: each side with its treatment, and what may not be done until when.
fn of_animal(held: &Held<'_>, on: Day) -> String {
    let Held { file: f, clearance: c, .. } = held;
    let side = |name: &str, s: &Side| {
        let until = match &s.clear {
            clear if clear.is_clear(on) => return None,
            Clear::From(day) => phrase!("not before {}", text::unbroken(&day.words())),
            Clear::Unknown => phrase!("not until the period is known"),
            Clear::Never => phrase!("never"),
            Clear::Free => return None,
        };
        let because = s.because.and_then(|id| Doses::of(f, id, on)).map(|doses| {
            let days = doses.days().map(|(first, last)| {
                let given = phrase!("given {}", text::unbroken(&first.words()));
                let last = if last > first {
                    phrase!("last dose {}", text::unbroken(&last.words()))
                } else {
                    String::new()
                };
                text::joined([given.as_str(), last.as_str()], ", ").into_owned()
            });
            let to_come = to_come(&doses, s, on);
            let product = figures(&s.product);
            let parts = [product.as_str(), days.as_deref().unwrap_or_default(), to_come.as_str()];
            text::joined(parts, ", ").into_owned()
        });
        Some(format!("{name}: {until} ({})", because.unwrap_or_else(|| s.product.clone())))
    };
    let export = c.export_apart && c.export.clear != c.meat.clear;
    let sides = [
        side(&said("meat"), &c.meat),
        side(&said("milk"), &c.milk).filter(|_| milks(f)),
        side(&said("meat for export"), &c.export).filter(|_| export),
    ];
    let sides: Vec<String> = sides.into_iter().flatten().collect();
    format!("{}: {}. {}", f.animal.tag(), sides.join("; "), forbidden(f, c, on)).trim_end().to_owned()
}

/// What may not be done: until a day, or ever.
fn forbidden(f: &AnimalFile, c: &Clearance, on: Day) -> String {
    let waits = |s: &Side| !s.clear.is_clear(on) && s.clear != Clear::Never;
    let (meat, milk) = (waits(&c.meat), milks(f) && waits(&c.milk));
    let mut all: Vec<Cow<'static, str>> = Vec::new();
    match (meat, milk) {
        (true, true) => {
            all.push(said("Until then she is not to be slaughtered for food, nor her milk used for people."))
        }
        (true, false) => all.push(said("Until then the animal is not to be slaughtered for food.")),
        (false, true) => all.push(said("Until then her milk is not to be used for people.")),
        (false, false) => {}
    }
    if c.meat.clear == Clear::Never {
        all.push(said("The animal is never to be slaughtered for food."));
    }
    if milks(f) && c.milk.clear == Clear::Never {
        all.push(said("Her milk is never to be used for people."));
    }
    if c.export_apart && !c.export.clear.is_clear(on) && c.export.clear != c.meat.clear {
        all.push(match c.export.clear {
            Clear::Never => said("The meat is never for export."),
            _ => said("Until its day the meat is not for export."),
        });
    }
    all.join(" ")
}

fn closing(flow: &mut Flow<'_>) {
    let look = Look::new(Face::SansItalic, 8.5).ink(Ink::Grey);
    let odd = odd_letters(&flow.pages);
    let words = phrase!(
        "Reckoned from the flock's own treatment log: each period from its dose, the first clear day being the first \
         that lies wholly after it. This is the seller's own statement and not an official form; where a form is \
         prescribed, that one is to be used. Label, vet and local law decide. {odd}"
    );
    let tall = look.wrap(&words, flow.body().w).len() as f32 * look.leading_mm();
    flow.y += 4.0;
    flow.need(tall + 34.0);
    flow.paragraph(look, words.trim());
    let body = flow.body();
    for who in ["Signed by the seller", "Read by the buyer"] {
        flow.y += 14.0;
        let y = flow.y;
        sign_lines(flow.page(), body, y, &[(3.0, who), (2.5, "Name"), (1.4, "Date")]);
    }
    flow.y += 5.0;
}

#[cfg(test)]
mod tests;
