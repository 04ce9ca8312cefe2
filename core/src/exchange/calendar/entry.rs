//! Entries of the calendar: things one by one, or put together by pen and day.

use super::gather::Thing;
use super::{Ask, Kind};
use crate::flock::Stamp;
use crate::terms::{Day, counted};
use sha2::{Digest as _, Sha256};
use std::collections::BTreeMap;

/// One entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    pub kind: Kind,
    /// Its identity.
    pub uid: String,
    pub day: Day,
    pub title: String,
    /// Its text, a line each.
    pub lines: Vec<String>,
    /// Where; empty for what is of no pen.
    pub place: String,
    /// It withdraws an earlier one.
    pub withdrawn: bool,
}

/// The entries asked for; things come in their order.
pub(super) fn entries(things: &[Thing], ask: &Ask, stamp: &Stamp) -> Vec<Entry> {
    // In one entry what is late and what is of the day stand apart: the late ones move on with the days.
    let mut groups: BTreeMap<usize, Vec<&Thing>> = BTreeMap::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for thing in things {
        let of = identity(thing, ask.each);
        let next = known.len();
        let place = *known.entry(of).or_insert(next);
        groups.entry(place).or_default().push(thing);
    }
    let made = groups.into_values().filter_map(|all| {
        let open: Vec<&Thing> = all.iter().copied().filter(|t| !t.gone).collect();
        let withdrawn = open.is_empty();
        let shown = if withdrawn { all } else { open };
        let first = *shown.first()?;
        let alone = ask.each || first.alone;
        let (title, lines) = if alone { single(first) } else { together(&shown) };
        Some(Entry {
            kind: first.kind,
            uid: uid(stamp, &identity(first, ask.each)),
            day: first.day,
            title: if withdrawn { format!("No longer due: {title}") } else { title },
            lines,
            place: first.pen.clone().unwrap_or_default(),
            withdrawn,
        })
    });
    made.collect()
}

/// What an entry is of.
fn identity(t: &Thing, each: bool) -> String {
    if each || t.alone {
        return t.of.clone();
    }
    let pen = t.pen.as_deref().unwrap_or_default().trim().to_lowercase();
    match t.late {
        true => format!("pen/{}/{pen}/late", t.kind.word()),
        false => format!("pen/{}/{pen}/{}", t.kind.word(), t.day),
    }
}

/// Half of a hash of what it is of: as long as an id of ours, and no name can be read from it.
fn uid(stamp: &Stamp, of: &str) -> String {
    let mut hash = Sha256::new();
    hash.update(stamp.book.bytes());
    hash.update(of.as_bytes());
    let half: String = hash.finalize().iter().take(16).map(|b| format!("{b:02x}")).collect();
    format!("{half}@hirsel")
}

fn single(t: &Thing) -> (String, Vec<String>) {
    let late = match (t.late, t.kind) {
        (false, _) => "",
        (true, Kind::Lambings) => ", past her usual day",
        (true, _) => ", late",
    };
    let title = if t.whom.is_empty() { t.short.clone() } else { format!("{}: {}", t.short, t.whom) };
    let pen = t.pen.as_ref().map(|p| format!("In {p}"));
    (format!("{title}{late}"), t.more.iter().cloned().chain(pen).collect())
}

/// So many different jobs are named in a title.
const NAMED: usize = 3;

fn together(all: &[&Thing]) -> (String, Vec<String>) {
    // What is to be done, in its order, with those it is for.
    let mut by: Vec<(&str, Vec<&Thing>)> = Vec::new();
    for t in all {
        match by.iter_mut().find(|(short, _)| *short == t.short) {
            Some((_, of)) => of.push(t),
            None => by.push((&t.short, vec![t])),
        }
    }
    let Some(first) = all.first() else { return Default::default() };
    let pen = first.pen.clone().unwrap_or_else(|| "No pen".into());
    let ewes = |n| counted(n, "ewe");
    let (title, lines) = match first.kind {
        Kind::Lambings => {
            let said = if first.late { "past the usual day" } else { "due to lamb" };
            let line = |t: &&Thing| format!("{}: {}", t.whom, t.more.join(". "));
            (format!("{pen}: {} {said}", ewes(all.len())), all.iter().map(line).collect())
        }
        _ => {
            let named = by.iter().take(NAMED).map(|(short, of)| format!("{short} ({})", of.len()));
            let mut title = format!("{pen}{}: ", if first.late { ", late" } else { "" });
            title.push_str(&named.collect::<Vec<_>>().join("; "));
            if by.len() > NAMED {
                title.push_str(&format!(" and {} more", counted(by.len() - NAMED, "job")));
            }
            let line = |(short, of): &(&str, Vec<&Thing>)| {
                let tags: Vec<&str> = of.iter().map(|t| t.tag.as_str()).collect();
                format!("{short} ({}): {}", of.len(), tags.join(", "))
            };
            (title, by.iter().map(line).collect::<Vec<String>>())
        }
    };
    (title, lines)
}
