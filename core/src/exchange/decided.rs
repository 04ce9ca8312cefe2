//! Decisions, and groups mended by hand, as rows.

use super::kind::{Column, may, must};
use super::names::{ADD_FIRST, Names};
use super::sheet::Sheet;
use super::{Taken, Unfit, text};
use crate::entry::{Checked, DecisionDraft, Entry, GroupingDraft, groupings, past_decisions};
use crate::flock::{Decision, Flock, Grouping, natural};
use crate::terms::{Day, Decided, MeantFor, Misread};

pub(super) const DECISIONS: &[Column] = &[
    must("tag", "tag of the animal"),
    must("on", "day"),
    must("decision", "entire, castrate, breed, show, sell, market, stay, cull, later"),
    may("reason", "why"),
];

pub(super) const GROUPS: &[Column] = &[
    must("tag", "tag of the animal"),
    must("age_days", "the age its weights are compared at: 30, 60, 90, 120"),
    must("group", "name of the group it is compared in"),
];

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let animal = c.must("tag", "a tag", |t| names.read(t, ADD_FIRST));
        let on = c.day("on");
        let what = c.must("decision", "a decision", Decided::parse);
        let reason = c.words("reason");
        let (Some(animal), Some(on), Some(what), true) = (animal, on, what, c.good()) else { continue };
        let draft = DecisionDraft { animal, on, what, reason };
        if flock.file(animal).is_some_and(|f| f.decisions.iter().any(|d| is_same(d, &draft))) {
            same.push(line.number);
            continue;
        }
        drafts.push(draft);
        order.push(i);
    }
    let check = (!drafts.is_empty()).then(|| {
        past_decisions(drafts, flock, today).map(|c| {
            let Entry::Decisions { decisions, mut animals } = c.entry().clone() else { return c };
            // What an animal is meant for by the table of animals, or by the keeper since, stands.
            animals.retain(|a| flock.animal(a.id).is_some_and(|a| a.meant_for == MeantFor::Undecided));
            let entry = Entry::Decisions { decisions, animals };
            Checked::new(entry, c.sentence().to_string(), c.questions().to_vec())
        })
    });
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Decisions { decisions, .. } => decisions.iter().map(|d| row(flock, names, d)).collect(),
            _ => Vec::new(),
        },
    )
}

fn is_same(d: &Decision, draft: &DecisionDraft) -> bool {
    d.struck.is_none()
        && (d.on, d.what, d.reason.as_deref()) == (draft.on, draft.what, draft.reason.as_deref())
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let mut all: Vec<&Decision> =
        flock.files().flat_map(|f| &f.decisions).filter(|d| d.struck.is_none()).collect();
    all.sort_by(|a, b| {
        let tags = || natural(flock.tag(a.animal), flock.tag(b.animal));
        a.on.cmp(&b.on).then_with(tags).then(a.id.cmp(&b.id))
    });
    all.into_iter().map(|d| row(flock, names, d)).collect()
}

fn row(flock: &Flock, names: &Names, d: &Decision) -> Vec<String> {
    let word = d.what.word().to_string();
    vec![names.name_of(flock, Some(d.animal)), d.on.to_string(), word, text(&d.reason)]
}

/// An age of weights: at most three years.
fn age(text: &str) -> Result<u16, Misread> {
    text.trim().parse::<u16>().ok().filter(|a| (1..=1_100).contains(a)).ok_or_else(|| {
        Misread::new(format!("'{}' is not an age in days: write a whole number such as 60", text.trim()))
    })
}

pub(super) fn read_groups(sheet: &Sheet, flock: &Flock, names: &Names) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) =
        (Vec::new(), Vec::<GroupingDraft>::new(), Vec::new(), Vec::new());
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let animal = c.must("tag", "a tag", |t| names.read(t, ADD_FIRST));
        let age_days = c.must("age_days", "an age", age);
        let group = c.must("group", "the group's name", |t| Ok(t.to_string()));
        let (Some(animal), Some(age_days), Some(group), true) = (animal, age_days, group, c.good()) else {
            continue;
        };
        if drafts.iter().any(|d| d.animal == animal && d.age_days == age_days) {
            c.wrong("tag", format!("it is in a group for {age_days} days on another line: take one out"));
            continue;
        }
        let held = |g: &Grouping| g.age_days == age_days && g.group == group;
        if flock.file(animal).is_some_and(|f| f.groups.iter().any(held)) {
            same.push(line.number);
            continue;
        }
        drafts.push(GroupingDraft { animal, age_days, group: Some(group) });
        order.push(i);
    }
    let check = (!drafts.is_empty()).then(|| groupings(drafts, flock));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Groupings { put, .. } => put.iter().map(|g| group_row(flock, names, g)).collect(),
            _ => Vec::new(),
        },
    )
}

pub(super) fn group_rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let mut all: Vec<&Grouping> = flock.files().flat_map(|f| &f.groups).collect();
    all.sort_by(|a, b| {
        let tags = || natural(flock.tag(a.animal), flock.tag(b.animal));
        a.age_days.cmp(&b.age_days).then_with(tags).then(a.id.cmp(&b.id))
    });
    all.into_iter().map(|g| group_row(flock, names, g)).collect()
}

fn group_row(flock: &Flock, names: &Names, g: &Grouping) -> Vec<String> {
    vec![names.name_of(flock, Some(g.animal)), g.age_days.to_string(), g.group.clone()]
}
