//! The withdrawal declaration that goes with sold animals: which treatments had not run out, and what the buyer is to
//! know. Not an official form.

use super::flow::Flow;
use super::heads::{Heads, MARGINS, odd_letters, sign_lines};
use super::register::{FOOT, foot_words};
use super::sheet::{Face, Ink, Look, Page, Paper, SheetSize, Turn};
use super::table::{Between, Cell, Column, Row, Table, Width};
use super::{PaperFailed, Watch, text};
use crate::flock::{AnimalFile, Flock, Movement, Treatment, natural};
use crate::phrase;
use crate::reckon::clearance::{Clear, Clearance, clear_after, clearance_in};
use crate::registers::{kinds_words, numbers_of};
use crate::terms::speech::Speech;
use crate::terms::speech::said;
use crate::terms::{AnimalId, Day, Sex, Status, counted};

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
        .map(|f| {
            let clearance = clearance_in(flock, f, on);
            Held { file: f, open: open(f, &clearance, on), clearance }
        })
        .collect();
    flow.paragraph(Look::new(Face::SansStrong, 10.5), &summary(&held, on));
    flow.y += 3.0;
    table().flow(&mut flow, held.iter().map(|h| row(h, on)), watch)?;
    told(&mut flow, &held, on);
    closing(&mut flow);
    let pages = flow.finish(FOOT, &foot_words(today));
    Ok(Paper {
        title: format!("{title}, {}", on.words()),
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
        let d = m.details();
        let number = d.number.as_deref().map(|n| phrase!("holding number {n}"));
        let document = d.document.as_deref().map(|n| phrase!("movement document {n}"));
        let parts = [m.other.as_deref(), d.address.as_deref(), number.as_deref(), document.as_deref()];
        let words = text::joined(parts.into_iter().flatten(), ", ").into_owned();
        let words = if words.is_empty() { String::new() } else { phrase!("To {words}.") };
        if !words.is_empty() && !all.contains(&words) {
            all.push(words);
        }
    }
    if all.is_empty() {
        all.push("To (name, address and number of the buyer): ______________________________________".into());
    }
    all
}

/// The periods that count for an animal: milk is asked of ewes.
fn sides(f: &AnimalFile, t: &Treatment) -> [(&'static str, Clear); 2] {
    let milk = if f.animal.sex == Sex::Ewe { clear_after(t.at, t.milk) } else { Clear::Free };
    [("meat", clear_after(t.at, t.meat)), ("milk", milk)]
}

/// An animal that goes, with what had not run out.
struct Held<'a> {
    file: &'a AnimalFile,
    open: Vec<&'a Treatment>,
    clearance: Clearance,
}

/// Treatments up to a day whose period had not run out on it; one of a course that is not ended, too.
fn open<'a>(f: &'a AnimalFile, clearance: &Clearance, on: Day) -> Vec<&'a Treatment> {
    let milk = (f.animal.sex == Sex::Ewe).then_some(&clearance.milk);
    let held = [Some(&clearance.meat), milk, clearance.export_apart.then_some(&clearance.export)];
    let held = held.into_iter().flatten().filter(|s| !s.clear.is_clear(on));
    let because: Vec<_> = held.filter_map(|s| s.because).collect();
    let runs = |t: &&Treatment| {
        let own = sides(f, t).iter().any(|(_, clear)| !clear.is_clear(on));
        own || because.contains(&t.id)
    };
    f.treatments_standing().filter(|t| t.at.day <= on).filter(runs).collect()
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
        Clear::From(day) if *day <= on => "clear".into(),
        Clear::From(day) => text::unbroken(&day.words()),
        Clear::Unknown => "not clear: not known".into(),
        Clear::Never => "never".into(),
        Clear::Free => "–".into(),
    }
}

fn row(held: &Held<'_>, on: Day) -> Row {
    let Held { file: f, open, .. } = held;
    let mut animal = Cell::strong(text::unbroken(f.animal.tag()));
    for number in numbers_of(&f.animal) {
        animal = animal.under(number);
    }
    let kind = if f.animal.is_lamb(on) { f.animal.sex.lamb_words() } else { f.animal.sex.words() };
    if open.is_empty() {
        return Row {
            cells: vec![
                animal,
                Cell::new(kind),
                Cell::strong("none"),
                Cell::new("clear"),
                Cell::new("clear"),
            ],
            ..Row::default()
        };
    }
    let (mut given, mut meat, mut milk) = (Cell::default(), Cell::default(), Cell::default());
    for t in open {
        let batch = t.batch.as_deref().map(|b| phrase!(", batch {b}")).unwrap_or_default();
        let dose = t.dose.map(|d| format!(", {}", text::unbroken(&d.to_string()))).unwrap_or_default();
        let label = |p: crate::terms::Withdrawal| text::unbroken(&p.to_string());
        given = given
            .and_line(phrase!("{}{batch}{dose}, given {}", t.product, text::unbroken(&t.at.words())))
            .under(phrase!("withdrawal: meat {}, milk {}", label(t.meat), label(t.milk)));
        let [(_, m), (_, k)] = sides(f, t);
        meat = meat.and_line(day_words(&m, on)).under("\u{a0}");
        milk = milk.and_line(day_words(&k, on)).under("\u{a0}");
    }
    Row { cells: vec![animal, Cell::new(kind), given, meat, milk], ..Row::default() }
}

/// What the buyer is to know of each animal that is held.
fn told(flow: &mut Flow<'_>, held: &[Held<'_>], on: Day) {
    let look = Look::new(Face::Sans, 9.5);
    flow.y += 5.0;
    flow.need(20.0);
    flow.paragraph(Look::new(Face::SerifStrong, 12.0), &said("What the buyer is to know"));
    flow.y += 1.0;
    let mut any = false;
    for h in held {
        let all = h.clearance.to_be_told(on, h.file.animal.sex == Sex::Ewe);
        if !all.is_empty() {
            any = true;
            flow.paragraph(look, &format!("{}: {}.", h.file.animal.tag(), all.join("; ")));
        }
    }
    if !any {
        flow.paragraph(look, &said("No withdrawal period is running for any of these animals."));
        return;
    }
    flow.paragraph(
        look,
        &said("Until then the animal is not to be slaughtered for food, nor its milk used for people."),
    );
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
