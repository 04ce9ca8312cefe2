//! Marks, crayons, scans and tests to rows and back.

use super::put::{put, struck as struck_columns};
use super::rows::{animal_id, animal_opt, day, id, odd, read, struck};
use crate::flock::{Crayon, GeneTest, MatingMark, Scan, Tested};
use crate::terms::{AnimalId, CrayonId, GeneStatus, GeneTestId, MarkId, MarkKind, ScanId, Scanned, Scrapie};
use rusqlite::{Connection, Row, params};

type Result<T> = rusqlite::Result<T>;

fn columns(list: &str) -> Vec<&str> {
    list.split(", ").collect()
}

pub(super) const MATING_MARK: &str = "id, ewe, ram, on_day, kind, colour, note, struck, struck_on";

pub(super) fn mating_mark(r: &Row<'_>) -> Result<(AnimalId, MatingMark)> {
    let ewe = animal_id(r, 1)?;
    let mark = MatingMark {
        id: MarkId::from_bytes(id(r, 0)?),
        ewe,
        ram: animal_opt(r, 2)?,
        on: day(r, 3)?,
        kind: read(r, 4, MarkKind::parse)?,
        colour: r.get(5)?,
        note: r.get(6)?,
        struck: struck(r, 7)?,
    };
    Ok((ewe, mark))
}

pub(super) fn put_mating_mark(db: &Connection, m: &MatingMark, new: bool) -> Result<()> {
    let (why, when) = struck_columns(&m.struck);
    let values = params![
        m.id.bytes(),
        m.ewe.bytes(),
        m.ram.map(|r| r.bytes()),
        m.on.to_string(),
        m.kind.word(),
        m.colour,
        m.note,
        why,
        when
    ];
    put(db, "mating_mark", &columns(MATING_MARK), new, values)
}

pub(super) const CRAYON: &str = "id, ram, on_day, colour, struck, struck_on";

pub(super) fn crayon(r: &Row<'_>) -> Result<(AnimalId, Crayon)> {
    let ram = animal_id(r, 1)?;
    let crayon = Crayon {
        id: CrayonId::from_bytes(id(r, 0)?),
        ram,
        on: day(r, 2)?,
        colour: r.get(3)?,
        struck: struck(r, 4)?,
    };
    Ok((ram, crayon))
}

pub(super) fn put_crayon(db: &Connection, c: &Crayon, new: bool) -> Result<()> {
    let (why, when) = struck_columns(&c.struck);
    let values = params![c.id.bytes(), c.ram.bytes(), c.on.to_string(), c.colour, why, when];
    put(db, "crayon", &columns(CRAYON), new, values)
}

pub(super) const SCAN: &str = "id, ewe, on_day, found, age_days, note, struck, struck_on";

pub(super) fn scan(r: &Row<'_>) -> Result<(AnimalId, Scan)> {
    let ewe = animal_id(r, 1)?;
    let scan = Scan {
        id: ScanId::from_bytes(id(r, 0)?),
        ewe,
        on: day(r, 2)?,
        found: read(r, 3, Scanned::parse)?,
        age_days: r.get(4)?,
        note: r.get(5)?,
        struck: struck(r, 6)?,
    };
    Ok((ewe, scan))
}

pub(super) fn put_scan(db: &Connection, s: &Scan, new: bool) -> Result<()> {
    let (why, when) = struck_columns(&s.struck);
    let values =
        params![s.id.bytes(), s.ewe.bytes(), s.on.to_string(), s.found.word(), s.age_days, s.note, why, when];
    put(db, "scan", &columns(SCAN), new, values)
}

pub(super) const GENE_TEST: &str =
    "id, animal, on_day, kind, what, result, parent, lab, number, note, struck, struck_on";

pub(super) fn gene_test(r: &Row<'_>) -> Result<(AnimalId, GeneTest)> {
    let animal = animal_id(r, 1)?;
    let what: Option<String> = r.get(4)?;
    let result: String = r.get(5)?;
    let misread = |e: crate::terms::Misread| odd(5, e.0);
    let found = match (r.get_ref(3)?.as_str()?, animal_opt(r, 6)?) {
        ("scrapie", _) => Tested::Scrapie(Scrapie::parse(&result).map_err(misread)?),
        ("recessive", _) => Tested::Recessive {
            gene: what.unwrap_or_default(),
            status: GeneStatus::parse(&result).map_err(misread)?,
        },
        ("parentage", Some(parent)) => Tested::Parentage { parent, is: result == "yes" },
        _ => Tested::Other { what: what.unwrap_or_default(), result },
    };
    let test = GeneTest {
        id: GeneTestId::from_bytes(id(r, 0)?),
        animal,
        on: day(r, 2)?,
        found,
        lab: r.get(7)?,
        number: r.get(8)?,
        note: r.get(9)?,
        struck: struck(r, 10)?,
    };
    Ok((animal, test))
}

pub(super) fn put_gene_test(db: &Connection, t: &GeneTest, new: bool) -> Result<()> {
    let (why, when) = struck_columns(&t.struck);
    let (what, result, parent) = match &t.found {
        Tested::Scrapie(g) => (None, g.to_string(), None),
        Tested::Recessive { gene, status } => (Some(gene.as_str()), status.word().to_string(), None),
        Tested::Parentage { parent, is } => {
            (None, if *is { "yes" } else { "no" }.to_string(), Some(parent.bytes()))
        }
        Tested::Other { what, result } => (Some(what.as_str()), result.clone(), None),
    };
    let values = params![
        t.id.bytes(),
        t.animal.bytes(),
        t.on.to_string(),
        t.found.kind(),
        what,
        result,
        parent,
        t.lab,
        t.number,
        t.note,
        why,
        when
    ];
    put(db, "gene_test", &columns(GENE_TEST), new, values)
}
