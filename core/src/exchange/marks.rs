//! Crayon marks, matings seen, and crayons as rows.

use super::kind::{Column, may, must};
use super::names::{ADD_FIRST, Names};
use super::sheet::Sheet;
use super::{Taken, Unfit, text};
use crate::entry::{CrayonDraft, Entry, MarkDraft, crayons, marks};
use crate::flock::{Crayon, Flock, MatingMark, natural};
use crate::terms::{Day, MarkKind};

pub(super) const MARKS: &[Column] = &[
    must("ewe", "tag of the ewe"),
    must("on", "day it was seen"),
    may("kind", "crayon (if blank), or seen: the mating itself"),
    may("ram", "tag of the ram, if it is known which"),
    may("colour", "colour of the mark; blank: that of the ram's crayon on the day"),
    may("note", "what else was seen"),
];

pub(super) const CRAYONS: &[Column] = &[
    must("ram", "tag of the ram"),
    must("on", "first day with this crayon"),
    may("colour", "its colour; blank: the crayon was taken off"),
];

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let ewe = c.must("ewe", "the ewe's tag", |t| names.read(t, ADD_FIRST));
        let on = c.day("on");
        let kind = c.may("kind", MarkKind::parse).unwrap_or(MarkKind::Crayon);
        let ram = c.may("ram", |t| names.read(t, ADD_FIRST));
        let (colour, note) = (c.words("colour"), c.words("note"));
        let (Some(ewe), Some(on), true) = (ewe, on, c.good()) else { continue };
        let draft = MarkDraft { ewe, ram, on, kind, colour, note };
        if flock.file(ewe).is_some_and(|f| f.marks.iter().any(|m| is_same(m, &draft))) {
            same.push(line.number);
            continue;
        }
        drafts.push(draft);
        order.push(i);
    }
    let check = (!drafts.is_empty()).then(|| marks(drafts, flock, today));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Marks(all) => all.iter().map(|m| row(flock, names, m)).collect(),
            _ => Vec::new(),
        },
    )
}

/// A colour that was left blank is the crayon's, which the book wrote down.
fn is_same(m: &MatingMark, d: &MarkDraft) -> bool {
    m.struck.is_none()
        && (m.ram, m.on, m.kind) == (d.ram, d.on, d.kind)
        && (d.colour.is_none() || m.colour.as_deref() == d.colour.as_deref())
        && m.note.as_deref() == d.note.as_deref()
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let mut all: Vec<&MatingMark> =
        flock.files().flat_map(|f| &f.marks).filter(|m| m.struck.is_none()).collect();
    all.sort_by(|a, b| {
        a.on.cmp(&b.on).then_with(|| natural(flock.tag(a.ewe), flock.tag(b.ewe))).then(a.id.cmp(&b.id))
    });
    all.into_iter().map(|m| row(flock, names, m)).collect()
}

fn row(flock: &Flock, names: &Names, m: &MatingMark) -> Vec<String> {
    vec![
        names.name_of(flock, Some(m.ewe)),
        m.on.to_string(),
        m.kind.word().to_string(),
        names.name_of(flock, m.ram),
        text(&m.colour),
        text(&m.note),
    ]
}

pub(super) fn read_crayons(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let ram = c.must("ram", "the ram's tag", |t| names.read(t, ADD_FIRST));
        let on = c.day("on");
        let colour = c.words("colour").unwrap_or_default();
        let (Some(ram), Some(on), true) = (ram, on, c.good()) else { continue };
        let worn = |r: &Crayon| r.struck.is_none() && r.on == on && r.colour == colour;
        if flock.file(ram).is_some_and(|f| f.crayons.iter().any(worn)) {
            same.push(line.number);
            continue;
        }
        drafts.push(CrayonDraft { ram, on, colour });
        order.push(i);
    }
    // A crayon comes off only where one is on: by day, whatever the order of the rows.
    let mut by_day: Vec<(CrayonDraft, usize)> = drafts.into_iter().zip(order).collect();
    by_day.sort_by_key(|(d, _)| d.on);
    let (drafts, order): (Vec<_>, Vec<_>) = by_day.into_iter().unzip();
    let check = (!drafts.is_empty()).then(|| crayons(drafts, flock, today));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Crayons(all) => all.iter().map(|r| crayon_row(flock, names, r)).collect(),
            _ => Vec::new(),
        },
    )
}

pub(super) fn crayon_rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let mut all: Vec<&Crayon> = Vec::new();
    for f in flock.files() {
        let mut worn: Vec<&Crayon> = f.crayons.iter().filter(|c| c.struck.is_none()).collect();
        worn.sort_by_key(|c| (c.on, c.id));
        let mut wears = false;
        for c in worn {
            // Taken off what is struck out by now: it says nothing.
            if wears || !c.colour.is_empty() {
                all.push(c);
            }
            wears = !c.colour.is_empty();
        }
    }
    all.sort_by(|a, b| {
        a.on.cmp(&b.on).then_with(|| natural(flock.tag(a.ram), flock.tag(b.ram))).then(a.id.cmp(&b.id))
    });
    all.into_iter().map(|c| crayon_row(flock, names, c)).collect()
}

fn crayon_row(flock: &Flock, names: &Names, c: &Crayon) -> Vec<String> {
    vec![names.name_of(flock, Some(c.ram)), c.on.to_string(), c.colour.clone()]
}
