//! The flock on a day: animals present by sex and age.

use super::present::present_on;
use super::words::{animal_cells, kind};
use super::{Cell, Column, Register, RegisterKind, Row, Span, Totals};
use crate::flock::{AnimalFile, Flock, Link, natural};
use crate::terms::{Day, Sex, Status, counted};

const COLUMNS: [Column; 7] = [
    Column::new("Animal", "animal", 1.4),
    Column::hidden("numbers"),
    Column::new("Name", "name", 1.8),
    Column::new("Sex", "sex", 1.0),
    Column::new("Born", "born", 1.3),
    Column::new("Age", "age", 1.2),
    Column::new("Pen or field", "pen", 1.6),
];

const SUMS: [Column; 5] = [
    Column::new("Age", "age", 2.0),
    Column::figures("Ewes", "ewes", 1.0),
    Column::figures("Rams", "rams", 1.0),
    Column::figures("Wethers", "wethers", 1.0),
    Column::figures("All", "all", 1.0),
];

/// Age classes by whole years, the last one open (own choice: lambs, shearlings, two-year-olds, older).
const CLASSES: [(&str, i64); 5] =
    [("under 1 year", 1), ("1 year", 2), ("2 years", 3), ("3 to 5 years", 6), ("6 years and over", i64::MAX)];

/// In which class an animal is; the last is 'not known'.
fn class(f: &AnimalFile, on: Day) -> usize {
    match f.animal.age_days(on) {
        Some(days) => CLASSES.iter().position(|(_, below)| days / 365 < *below).unwrap_or(CLASSES.len()),
        None => CLASSES.len(),
    }
}

fn totals(files: &[&AnimalFile], on: Day) -> Totals {
    let mut counts = [[0usize; 3]; CLASSES.len() + 1];
    for f in files {
        let sex = match f.animal.sex {
            Sex::Ewe => 0,
            Sex::Ram => 1,
            Sex::Wether => 2,
        };
        counts[class(f, on)][sex] += 1;
    }
    let names = CLASSES.iter().map(|(name, _)| *name).chain(["age not known"]);
    let line = |name: &str, n: [usize; 3]| {
        let mut cells = vec![Cell::words(name)];
        cells.extend(n.iter().map(Cell::number));
        cells.push(Cell::number(n.iter().sum::<usize>()).strong());
        cells
    };
    let mut rows: Vec<Vec<Cell>> = names.zip(counts).map(|(name, n)| line(name, n)).collect();
    let all = counts.iter().fold([0; 3], |sum, n| [sum[0] + n[0], sum[1] + n[1], sum[2] + n[2]]);
    let mut last = line("all", all);
    last.iter_mut().for_each(|c| c.strong = true);
    rows.push(last);
    Totals { title: format!("Count on {}", on.words()), columns: SUMS.to_vec(), rows }
}

/// Animals present at the end of a day.
pub(super) fn count(flock: &Flock, span: Span, on: Day) -> Register {
    let mut register = Register::new(RegisterKind::FlockCount, span, on, &COLUMNS);
    let mut files: Vec<&AnimalFile> = flock.files().filter(|f| present_on(f, on)).collect();
    files.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()).then_with(|| a.animal.id.cmp(&b.animal.id)));
    register.rows = files
        .iter()
        .map(|f| {
            let a = &f.animal;
            let [animal, numbers] = animal_cells(a);
            Row {
                cells: vec![
                    animal,
                    numbers,
                    Cell::opt(a.name.as_deref()),
                    Cell::words(kind(a, on)),
                    Cell::shown_as(
                        super::words::whole(&a.born.words()),
                        a.born.day().map(|d| d.to_string()).unwrap_or_default(),
                    ),
                    Cell::words(super::words::age(a, on)),
                    Cell::words(super::held::pen_on(f, on)),
                ],
                link: Some(Link::Animal(a.id)),
                ..Row::default()
            }
        })
        .collect();
    register.totals.push(totals(&files, on));
    register.about.push(format!(
        "Animals on the holding at the end of {}, lambs among them; lent ones are not counted.",
        on.words()
    ));
    if let Some(rules) = flock.rules()
        && let Some(r) = rules.register()
        && let Some(day) = r.yearly_count_on
    {
        let what = format!(
            "{}: the flock is to be counted each year on {}. Source: {}.",
            rules.name(),
            day.words(),
            r.ground
        );
        register.about.push(what);
    }
    let dayless = flock
        .files()
        .filter(|f| !matches!(f.animal.status, Status::Present | Status::Outside))
        .filter(|f| f.animal.status_on.is_none() && f.movements.iter().all(|m| m.struck.is_some()))
        .filter(|f| f.birth.is_none())
        .count();
    if dayless > 0 {
        let n = counted(dayless, "animal");
        register
            .about
            .push(format!("{n} left on a day that is not written down, and not counted on any day."));
    }
    register
}
