//! Egg counts as rows.

use super::kind::{Column, may, must};
use super::names::{ADD_FIRST, Names};
use super::sheet::{Met, Sheet};
use super::{Taken, Unfit, day_text, text};
use crate::entry::{EggCountDraft, Entry, egg_counts};
use crate::flock::{EggCount, Flock};
use crate::terms::{Day, EggCountId, Misread};

pub(super) const COLUMNS: &[Column] = &[
    must("on", "day of the sample"),
    must("epg", "eggs in each gram"),
    may("tag", "tag of the animal, if it was of one"),
    may("group", "the group it belongs to; a tag or a group is needed"),
    may("product", "the product whose work is looked at"),
    may("treated_on", "day it was given"),
    may("note", "note"),
];

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let mut met: Met<EggCountId> = Met::default();
    sheet.records(
        |c| {
            let on = c.day("on");
            let epg = c.must("epg", "a count", |t| {
                let wrong = || Misread::new(format!("'{t}' is not a count of eggs: write a whole number"));
                t.parse().map_err(|_| wrong())
            });
            let animal = c.may("tag", |t| names.read(t, ADD_FIRST));
            let treated_on = c.may("treated_on", Day::parse_iso);
            Some(EggCountDraft {
                animal,
                group: c.words("group"),
                on: on?,
                epg: epg?,
                product: c.words("product"),
                treated_on,
                note: c.words("note"),
            })
        },
        // Several samples of a group may read the same.
        |d| met.one(&flock.cupboard().egg_counts, |e| e.id, |e| is_same(e, d)),
        |drafts| egg_counts(drafts, flock, today),
        |entry| match entry {
            Entry::EggCounts(all) => all.iter().map(|e| row(flock, names, e)).collect(),
            _ => Vec::new(),
        },
    )
}

fn is_same(e: &EggCount, d: &EggCountDraft) -> bool {
    e.struck.is_none()
        && e.animal == d.animal
        && e.group == d.group
        && e.on == d.on
        && e.epg == d.epg
        && e.product == d.product
        && e.treated_on == d.treated_on
        && e.note == d.note
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let standing = flock.cupboard().egg_counts.iter().filter(|e| e.struck.is_none());
    let mut rows: Vec<Vec<String>> = standing.map(|e| row(flock, names, e)).collect();
    rows.sort();
    rows
}

fn row(flock: &Flock, names: &Names, e: &EggCount) -> Vec<String> {
    vec![
        e.on.to_string(),
        e.epg.to_string(),
        names.name_of(flock, e.animal),
        text(&e.group),
        text(&e.product),
        day_text(e.treated_on),
        text(&e.note),
    ]
}
