//! Scans as rows.

use super::kind::{Column, may, must};
use super::names::{ADD_FIRST, Names};
use super::sheet::Sheet;
use super::{Taken, Unfit, text};
use crate::entry::{Entry, ScanDraft, scans};
use crate::flock::{Flock, Scan, natural};
use crate::terms::{Day, Misread, Scanned};

pub(super) const COLUMNS: &[Column] = &[
    must("ewe", "tag of the ewe"),
    must("on", "day of the scan"),
    must("found", "empty, 1, 2, 3 (three or more), or in lamb where they were not counted"),
    may("age_days", "age of the lambs in days since service, as the scanner put it"),
    may("note", "note"),
];

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    sheet.records(
        |c| {
            let ewe = c.must("ewe", "the ewe's tag", |t| names.read(t, ADD_FIRST));
            let on = c.day("on");
            let found = c.must("found", "what was found", Scanned::parse);
            let age_days = c.may("age_days", |t| {
                let wrong = || Misread::new(format!("'{t}' is not an age in days: write a whole number"));
                t.parse().map_err(|_| wrong())
            });
            Some(ScanDraft { ewe: ewe?, on: on?, found: found?, age_days, note: c.words("note") })
        },
        |d| flock.file(d.ewe).is_some_and(|f| f.scans.iter().any(|s| is_same(s, d))),
        |drafts| scans(drafts, flock, today),
        |entry| match entry {
            Entry::Scans(all) => all.iter().map(|s| row(flock, names, s)).collect(),
            _ => Vec::new(),
        },
    )
}

fn is_same(s: &Scan, d: &ScanDraft) -> bool {
    s.struck.is_none()
        && (s.on, s.found, s.age_days, s.note.as_deref()) == (d.on, d.found, d.age_days, d.note.as_deref())
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let mut all: Vec<&Scan> = flock.files().flat_map(|f| &f.scans).filter(|s| s.struck.is_none()).collect();
    all.sort_by(|a, b| {
        a.on.cmp(&b.on).then_with(|| natural(flock.tag(a.ewe), flock.tag(b.ewe))).then(a.id.cmp(&b.id))
    });
    all.into_iter().map(|s| row(flock, names, s)).collect()
}

fn row(flock: &Flock, names: &Names, s: &Scan) -> Vec<String> {
    vec![
        names.name_of(flock, Some(s.ewe)),
        s.on.to_string(),
        s.found.word().to_string(),
        s.age_days.map(|a| a.to_string()).unwrap_or_default(),
        text(&s.note),
    ]
}
