//! Who is under withdrawal on a day.

use super::present::present_on;
use super::words::{animal_cells, clear, joined, kind, product_cell, whole};
use super::{Cell, Column, Doses, Register, RegisterKind, Row, Span};
use crate::flock::{AnimalFile, Flock, Link, Treatment, natural};
use crate::reckon::clearance::{Clear, Clearance, Side, clearance_in};
use crate::terms::{Day, Sex, Withdrawal};

const COLUMNS: [Column; 20] = [
    Column::new("Animal", "animal", 1.3),
    Column::hidden("numbers"),
    Column::new("Kind", "kind", 0.9),
    Column::new("Pen or field", "pen", 1.1),
    Column::new("Meat clear on", "meat_clear_on", 1.1),
    Column::new("Because of", "meat_because", 1.8),
    Column::new("Given on", "meat_given_on", 1.1),
    Column::new("Milk clear on", "milk_clear_on", 1.1),
    Column::new("Because of", "milk_because", 1.8),
    Column::new("Given on", "milk_given_on", 1.1),
    Column::hidden("held"),
    Column::hidden("export_clear_on"),
    Column::hidden("meat_last_dose_on"),
    Column::hidden("meat_batch"),
    Column::hidden("meat_quantity"),
    Column::hidden("meat_withdrawal"),
    Column::hidden("milk_last_dose_on"),
    Column::hidden("milk_batch"),
    Column::hidden("milk_quantity"),
    Column::hidden("milk_withdrawal"),
];

/// The pen an animal was in at the end of a day; where it is now if no move is written.
pub(super) fn pen_on(f: &AnimalFile, on: Day) -> String {
    let standing = || f.pen_moves.iter().filter(|m| m.struck.is_none());
    match standing().rfind(|m| m.on <= on) {
        Some(m) => m.pen.as_deref().unwrap_or_default().to_string(),
        None if standing().next().is_some() => String::new(),
        None => f.animal.pen.as_deref().unwrap_or_default().to_string(),
    }
}

/// An animal whose meat or milk may not be used on a day.
pub struct Held<'a> {
    /// The animal.
    pub file: &'a AnimalFile,
    /// Its clearance.
    pub clearance: Clearance,
    /// Its meat is withheld.
    pub meat: bool,
    /// Its milk is withheld: asked of every ewe, a lamb or not; never again is withheld too.
    pub milk: bool,
    /// Its meat is withheld for export, where the place counts that apart.
    pub export: bool,
}

/// An animal of the flock that is under withdrawal on a day; nothing of another. Whatever counts such animals asks this,
/// so that an inspector finds the same number in the register, on the timeline and in every list.
pub fn held_of<'a>(flock: &Flock, file: &'a AnimalFile, on: Day) -> Option<Held<'a>> {
    if file.treatments.is_empty() || !present_on(file, on) {
        return None;
    }
    let clearance = clearance_in(flock, file, on);
    let meat = !clearance.meat.clear.is_clear(on);
    let milk = file.animal.sex == Sex::Ewe && !clearance.milk.clear.is_clear(on);
    let export = clearance.export_apart && !clearance.export.clear.is_clear(on);
    (meat || milk || export).then_some(Held { file, clearance, meat, milk, export })
}

/// Animals of the flock that are under withdrawal on a day, by their tags.
pub fn held_on(flock: &Flock, on: Day) -> Vec<Held<'_>> {
    let mut all: Vec<Held<'_>> = flock.files().filter_map(|f| held_of(flock, f, on)).collect();
    all.sort_by(|a, b| {
        let (a, b) = (&a.file.animal, &b.file.animal);
        natural(a.tag(), b.tag()).then(a.id.cmp(&b.id))
    });
    all
}

/// The treatment behind a side, with the other doses of its course.
fn doses<'a>(f: &'a AnimalFile, side: &Side, on: Day) -> Option<Doses<'a>> {
    Doses::of(f, side.because?, on)
}

/// The three cells that are shown of a side; of one that is not asked of the animal, dashes.
fn shown(f: &AnimalFile, s: &Side, on: Day, asked: bool, period: fn(&Treatment) -> Withdrawal) -> [Cell; 3] {
    if !asked {
        // The table has said 'clear' here from the first.
        return [Cell::shown_as("", "clear"), Cell::words(""), Cell::words("")];
    }
    if s.clear.is_clear(on) {
        return [Cell::shown_as("clear", "clear"), Cell::words(""), Cell::words("")];
    }
    let (mut product, mut given) = (product_cell(&s.product), Cell::day(s.given));
    if let Some(d) = doses(f, s, on) {
        let batch = d.each(|t| t.batch.as_deref().map(whole)).join(", ");
        let batch = if batch.is_empty() { batch } else { format!("batch {batch}") };
        let parts = [batch, quantity(&d), periods(&d, period)];
        product = product.under(joined(parts.iter().map(|p| Some(p.as_str())), ", "));
        let planned = |day: Day| whole(&day.words());
        if let Some((first, last)) = d.days() {
            given.shown = whole(&first.words());
            given = given.under(match s.planned {
                Some(day) if !d.is_complete() && day < on => {
                    format!("last dose planned {}, not written", planned(day))
                }
                Some(day) if !d.is_complete() => format!("last dose planned {}", planned(day)),
                // Given early it brings nothing forward.
                Some(day) if day > last => {
                    format!("last dose {}, counted from {}", planned(last), planned(day))
                }
                _ if last > first => format!("last dose {}", planned(last)),
                _ => String::new(),
            });
        }
    }
    [clear(&s.clear), product, given]
}

/// `3 doses of 2.5 ml`.
fn quantity(d: &Doses<'_>) -> String {
    let each = d.each(|t| t.dose.map(|x| whole(&x.to_string()))).join(", ");
    match d.all().len() {
        n if n > 1 && !each.is_empty() => format!("{n} doses of {each}"),
        _ => each,
    }
}

fn periods(d: &Doses<'_>, period: fn(&Treatment) -> Withdrawal) -> String {
    d.each(|t| Some(whole(&period(t).to_string()))).join(", ")
}

/// The four cells of a side that are in CSV alone.
fn told(f: &AnimalFile, s: &Side, on: Day, held: bool, period: fn(&Treatment) -> Withdrawal) -> [Cell; 4] {
    let d = if held { doses(f, s, on) } else { None };
    let Some(d) = d else { return [const { "" }; 4].map(Cell::words) };
    [
        Cell::day(d.days().map(|(_, last)| last)),
        Cell::words(d.each(|t| t.batch.as_deref().map(str::to_owned)).join("; ")),
        Cell::words(d.each(|t| t.dose.map(|x| x.to_string())).join("; ")),
        Cell::words(d.each(|t| Some(period(t).text())).join("; ")),
    ]
}

/// What is said of a course below the row.
fn of_course(f: &AnimalFile, side: &Side, on: Day) -> Option<String> {
    let planned = side.planned?;
    let d = doses(f, side, on).filter(|d| !d.is_complete())?;
    let written = d.all().len();
    Some(if planned < on {
        format!(
            "A course of which {} written: its last dose was planned for {} and is counted as given then.",
            if written == 1 { "1 dose is".to_string() } else { format!("{written} doses are") },
            planned.words()
        )
    } else {
        format!("A course is running: its last dose is planned for {}.", planned.words())
    })
}

/// Animals of the flock whose meat or milk may not be used on a day.
pub(super) fn held(flock: &Flock, span: Span, on: Day) -> Register {
    let mut register = Register::new(RegisterKind::WithdrawalNow, span, on, &COLUMNS);
    for Held { file: f, clearance: c, meat, milk, export } in held_on(flock, on) {
        // Milk is asked of ewes.
        let ewe = f.animal.sex == Sex::Ewe;
        let [animal, numbers] = animal_cells(&f.animal);
        let word = match (meat, milk) {
            (true, true) => "meat and milk",
            (true, false) => "meat",
            (false, true) => "milk",
            (false, false) => "meat for export",
        };
        let unknown = |s: &Side| matches!(s.clear, Clear::Unknown);
        let mut remarks = Vec::new();
        if unknown(&c.meat) || ewe && unknown(&c.milk) {
            remarks.push("A period was not written down: not clear until it is.".to_string());
        }
        let mut cells = vec![animal, numbers, Cell::words(kind(&f.animal, on)), Cell::words(pen_on(f, on))];
        cells.extend(shown(f, &c.meat, on, true, |t| t.meat));
        cells.extend(shown(f, &c.milk, on, ewe, |t| t.milk));
        cells.push(Cell::words(word));
        cells.push(if export { clear(&c.export.clear) } else { Cell::words("") });
        cells.extend(told(f, &c.meat, on, meat, |t| t.meat));
        cells.extend(told(f, &c.milk, on, milk, |t| t.milk));
        if export && c.export.clear != c.meat.clear {
            remarks.push(format!("Meat for export: {} ({}).", c.export.clear.words(), c.export.because()));
        }
        let course = meat.then(|| of_course(f, &c.meat, on)).flatten();
        remarks.extend(course.or_else(|| milk.then(|| of_course(f, &c.milk, on)).flatten()));
        let because = if meat { c.meat.because } else { c.milk.because };
        let link = because.map_or(Link::Animal(f.animal.id), |t| {
            Link::Record(f.animal.id, crate::flock::RecordRef::Treatment(t))
        });
        register.rows.push(Row { cells, remarks, link: Some(link), ..Row::default() });
    }
    let count = crate::rules::day_count();
    register.about.push(format!("{} Counted by: {}.", count.text, count.ground));
    register.about.push(
        "Milk is asked of ewes and ewe lambs alone. The latest clear day of all treatments counts; of a course each \
         period runs from its last dose."
            .into(),
    );
    register
}
