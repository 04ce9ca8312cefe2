//! The birth register.

use super::words::{animal_cells, link, mark, remarks_of, whole};
use super::{Cell, Column, Register, RegisterKind, Row, Span, dayless_words};
use crate::flock::{AnimalFile, Flock, Lambing, Link, RecordRef, Sire, natural};
use crate::terms::{BirthType, Day, Fate, Status};

const COLUMNS: [Column; 12] = [
    Column::new("Born on", "born_on", 1.0),
    Column::new("Lamb", "lamb", 2.4),
    Column::hidden("numbers"),
    Column::new("Sex", "sex", 0.8),
    Column::new("Dam", "dam", 2.4),
    Column::new("Sire", "sire", 2.4),
    Column::new("Born as", "born_as", 0.8),
    Column::figures("Weight", "birth_weight_kg", 0.7),
    Column::new("Fate", "fate", 0.9),
    Column::new("Marked on", "marked_on", 1.0),
    Column::new("Colour and marks", "marks", 1.3),
    Column::new("Now", "now", 1.2),
];

fn lambing<'a>(flock: &'a Flock, f: &AnimalFile) -> Option<&'a Lambing> {
    let birth = f.birth.as_ref()?;
    flock.file(birth.ewe)?.lambings.iter().find(|l| l.id == birth.lambing)
}

/// Born in the flock: its lambing is in the book, or it has a dam here and never came from elsewhere.
fn born_here(flock: &Flock, f: &AnimalFile) -> bool {
    let came = f
        .movements
        .iter()
        .any(|m| m.struck.is_none() && m.to == Status::Present && f.animal.born.exact() != Some(m.on));
    let dam = f.animal.dam.and_then(|d| flock.animal(d)).is_some_and(|d| d.status != Status::Outside);
    f.birth.is_some() || dam && !came && f.animal.status != Status::Outside
}

fn parent(flock: &Flock, id: Option<crate::terms::AnimalId>) -> Cell {
    id.and_then(|id| flock.animal(id)).map_or_else(|| Cell::words(""), |a| animal_cells(a)[0].clone())
}

fn sire(flock: &Flock, sire: &Sire) -> Cell {
    match sire {
        Sire::Unknown => Cell::words(""),
        Sire::Known(id) => parent(flock, Some(*id)),
        Sire::OneOf(all) => {
            let tags: Vec<String> = all.iter().map(|id| whole(flock.tag(*id))).collect();
            let plain: Vec<&str> = all.iter().map(|id| flock.tag(*id)).collect();
            Cell::shown_as(format!("one of {}", tags.join(", ")), format!("one of {}", plain.join("; ")))
        }
    }
}

fn row(flock: &Flock, f: &AnimalFile) -> Row {
    let a = &f.animal;
    let lambing = lambing(flock, f);
    let day = lambing.map(|l| l.at.day).or(a.born.day());
    let time = lambing.and_then(|l| l.at.time).map(|t| t.to_string()).unwrap_or_default();
    let [animal, numbers] = animal_cells(a);
    let born_as = a
        .birth_type
        .or_else(|| lambing.and_then(|l| u32::try_from(l.lambs.len()).ok()).and_then(BirthType::new));
    let marked = a.identities.iter().filter_map(|i| i.from.map(|d| (d, i))).min_by_key(|(d, _)| *d);
    let marked = marked.map_or_else(
        || Cell::words(""),
        |(d, i)| Cell::day(Some(d)).under(whole(&mark(i.kind, i.tag.as_str()))),
    );
    let kg = a.birth_weight;
    let now = match (a.status, a.status_on) {
        (Status::Present, _) => Cell::words(a.status.words()),
        (s, Some(on)) => {
            Cell::shown_as(format!("{} {}", s.words(), whole(&on.words())), format!("{} {on}", s.words()))
        }
        (s, None) => Cell::words(s.words()),
    };
    let struck = lambing.and_then(|l| l.struck.as_deref());
    let mut remarks: Vec<String> = remarks_of(flock, RecordRef::Animal(a.id), None);
    if let Some(l) = lambing {
        remarks.extend(remarks_of(flock, RecordRef::Lambing(l.id), struck));
    }
    let link_to = match (f.birth.as_ref(), lambing) {
        (Some(b), Some(l)) => Some(Link::Record(b.ewe, RecordRef::Lambing(l.id))),
        _ => link(f, RecordRef::Animal(a.id)).map(|_| Link::Animal(a.id)),
    };
    Row {
        cells: vec![
            Cell { under: time, ..Cell::day(day) },
            animal,
            numbers,
            Cell::words(a.sex.lamb_words()),
            parent(flock, a.dam.or(f.birth.as_ref().map(|b| b.ewe))),
            sire(flock, &a.sire),
            Cell::words(born_as.map(BirthType::words).unwrap_or_default()),
            kg.map_or_else(|| Cell::words(""), |w| Cell::shown_as(whole(&w.to_string()), w.kg_text())),
            Cell::words(f.birth.as_ref().map_or(Fate::Alive.words(), |b| b.fate.words())),
            marked,
            Cell::words(super::words::joined([a.colour.as_deref(), a.marks.as_deref()], ", ")),
            now,
        ],
        struck: struck.is_some(),
        remarks,
        link: link_to,
    }
}

/// Lambs born in the flock.
pub(super) fn births(flock: &Flock, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::Births, span, today, &COLUMNS);
    let mut dayless = 0;
    let mut all: Vec<(Option<Day>, &AnimalFile)> = flock
        .files()
        .filter(|f| born_here(flock, f))
        .map(|f| (lambing(flock, f).map(|l| l.at.day).or(f.animal.born.day()), f))
        .filter(|(day, _)| span.takes(*day, &mut dayless))
        .collect();
    let place = |f: &AnimalFile| f.birth.as_ref().map(|b| (b.lambing, b.order));
    all.sort_by(|(a, f), (b, g)| {
        a.cmp(b).then_with(|| place(f).cmp(&place(g))).then_with(|| natural(f.animal.tag(), g.animal.tag()))
    });
    register.rows = all.into_iter().map(|(_, f)| row(flock, f)).collect();
    register.about.push(
        "Lambs whose lambing is in the book, and animals with a dam of this flock that did not come from elsewhere; \
         lambs born dead too. Marked on: the first day a mark is known to have been worn."
            .into(),
    );
    register.about.extend(dayless_words(dayless, "birth"));
    register
}
