//! The death register: deaths, culls and losses, with cause, disposal and receipt; born dead too.

use super::movements::kind_and_age;
use super::words::{animal_cells, link, remarks_of};
use super::{Cell, Column, Register, RegisterKind, Row, Span, dayless_words};
use crate::flock::{AnimalFile, Flock, Link, Movement, RecordRef, natural};
use crate::terms::{Day, Fate, Status};

const COLUMNS: [Column; 10] = [
    Column::new("Day", "on", 1.0),
    Column::new("Animal", "animal", 1.4),
    Column::hidden("numbers"),
    Column::new("Sex and age", "sex_and_age", 1.4),
    Column::new("What", "what", 0.9),
    Column::new("Cause", "cause", 1.8),
    Column::new("Disposal", "disposal", 1.8),
    Column::new("Receipt", "receipt", 1.1),
    Column::new("Where to", "other_place", 1.4),
    Column::new("Document", "document", 1.0),
];

fn what(f: &AnimalFile, m: &Movement) -> Option<&'static str> {
    let born_dead = f.birth.as_ref().is_some_and(|b| b.fate == Fate::BornDead);
    match m.to {
        Status::Dead if born_dead => Some("born dead"),
        Status::Dead => Some("died"),
        Status::Culled => Some("culled"),
        Status::Missing => Some("missing"),
        Status::Present | Status::Lent | Status::Sold | Status::Outside => None,
    }
}

fn row(flock: &Flock, f: &AnimalFile, m: &Movement, what: &str) -> Row {
    let d = &m.details;
    let [animal, numbers] = animal_cells(&f.animal);
    Row {
        cells: vec![
            Cell::day(Some(m.on)),
            animal,
            numbers,
            Cell::words(kind_and_age(f, m.on)),
            Cell::words(what),
            Cell::opt(d.cause.as_deref().or(m.reason.as_deref())),
            Cell::opt(d.disposal.as_deref()),
            Cell::opt(d.receipt.as_deref()),
            Cell::opt(m.other.as_deref()),
            Cell::opt(d.document.as_deref()),
        ],
        struck: m.struck.is_some(),
        remarks: remarks_of(flock, RecordRef::Movement(m.id), m.struck.as_deref()),
        link: link(f, RecordRef::Movement(m.id)),
    }
}

/// A death of which no day's record is in the book: from the animal's own standing, or its birth.
fn unmoved(f: &AnimalFile, what: &str, day: Option<Day>) -> Row {
    let [animal, numbers] = animal_cells(&f.animal);
    let age = day.map(|d| kind_and_age(f, d)).unwrap_or_else(|| f.animal.sex.words().into());
    let mut cells = vec![
        Cell::day(day),
        animal,
        numbers,
        Cell::words(age),
        Cell::words(what),
        Cell::opt(f.animal.status_reason.as_deref()),
    ];
    cells.resize_with(COLUMNS.len(), || Cell::words(""));
    Row { cells, link: Some(Link::Animal(f.animal.id)), ..Row::default() }
}

/// Deaths, culls and losses.
pub(super) fn deaths(flock: &Flock, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::Deaths, span, today, &COLUMNS);
    let mut dayless = 0;
    let mut all: Vec<(Option<Day>, &AnimalFile, Row)> = Vec::new();
    for f in flock.files() {
        for m in f.movements.iter().filter(|m| span.holds(m.on)) {
            if let Some(what) = what(f, m) {
                all.push((Some(m.on), f, row(flock, f, m, what)));
            }
        }
        let told = f.movements.iter().any(|m| m.struck.is_none() && what(f, m).is_some());
        let born_dead = f.birth.as_ref().is_some_and(|b| b.fate == Fate::BornDead);
        let gone = match f.animal.status {
            _ if told => None,
            Status::Dead if born_dead => Some("born dead"),
            Status::Dead => Some("died"),
            Status::Culled => Some("culled"),
            Status::Missing => Some("missing"),
            _ if born_dead => Some("born dead"),
            _ => None,
        };
        if let Some(what) = gone {
            let day = f.animal.status_on.or(f.animal.born.exact().filter(|_| born_dead));
            if span.takes(day, &mut dayless) {
                all.push((day, f, unmoved(f, what, day)));
            }
        }
    }
    all.sort_by(|(a, f, _), (b, g, _)| {
        (a.is_none(), a).cmp(&(b.is_none(), b)).then_with(|| natural(f.animal.tag(), g.animal.tag()))
    });
    register.rows = all.into_iter().map(|(_, _, row)| row).collect();
    register
        .about
        .push("Deaths, animals culled or sent to slaughter, and animals lost; lambs born dead too.".into());
    register.about.extend(dayless_words(dayless, "death"));
    register
}
