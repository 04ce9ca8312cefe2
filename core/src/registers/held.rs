//! Who is under withdrawal on a day.

use super::present::present_on;
use super::words::{animal_cells, clear, kind};
use super::{Cell, Column, Register, RegisterKind, Row, Span};
use crate::flock::{AnimalFile, Flock, Link, natural};
use crate::reckon::clearance::{Clear, Side, clearance_in};
use crate::terms::{Day, Sex};

const COLUMNS: [Column; 12] = [
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

/// A side that is held; three empty cells when it is clear.
fn side(side: &Side, on: Day, counts: bool) -> [Cell; 3] {
    if !counts || side.clear.is_clear(on) {
        return [Cell::shown_as("clear", "clear"), Cell::words(""), Cell::words("")];
    }
    [clear(&side.clear), Cell::words(side.product.as_str()), Cell::day(side.given)]
}

/// Animals of the flock whose meat or milk may not be used on a day.
pub(super) fn held(flock: &Flock, span: Span, on: Day) -> Register {
    let mut register = Register::new(RegisterKind::WithdrawalNow, span, on, &COLUMNS);
    let mut files: Vec<&AnimalFile> =
        flock.files().filter(|f| !f.treatments.is_empty() && present_on(f, on)).collect();
    files.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()).then(a.animal.id.cmp(&b.animal.id)));
    for f in files {
        let c = clearance_in(flock, f, on);
        // Milk is asked of ewes.
        let ewe = f.animal.sex == Sex::Ewe;
        let (meat, milk) = (!c.meat.clear.is_clear(on), ewe && !c.milk.clear.is_clear(on));
        let export = c.export_apart && !c.export.clear.is_clear(on);
        if !meat && !milk && !export {
            continue;
        }
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
        cells.extend(side(&c.meat, on, true));
        cells.extend(side(&c.milk, on, ewe));
        cells.push(Cell::words(word));
        cells.push(if export { clear(&c.export.clear) } else { Cell::words("") });
        if export && c.export.clear != c.meat.clear {
            remarks.push(format!("Meat for export: {} ({}).", c.export.clear.words(), c.export.because()));
        }
        let planned = c.meat.planned.or(c.milk.planned.filter(|_| ewe));
        remarks.extend(
            planned.map(|d| format!("A course is running: its last dose is planned for {}.", d.words())),
        );
        let because = if meat { c.meat.because } else { c.milk.because };
        let link = because.map_or(Link::Animal(f.animal.id), |t| {
            Link::Record(f.animal.id, crate::flock::RecordRef::Treatment(t))
        });
        register.rows.push(Row { cells, remarks, link: Some(link), ..Row::default() });
    }
    let count = crate::rules::day_count();
    register.about.push(format!("{} Counted by: {}.", count.text, count.ground));
    register.about.push("Milk is asked of ewes alone. The latest clear day of all treatments counts.".into());
    register
}
