//! Creeps, daily rations and checks of the pens as rows.

use super::super::kind::{Column, may, must};
use super::super::sheet::{Cells, Met, Sheet};
use super::super::{Taken, Unfit, day_text, text};
use super::{feed, is_feed, kg, kg_text};
use crate::entry::{CreepDraft, Entry, PenCheckDraft, RationDraft, creeps, pen_checks, rations};
use crate::flock::{Creep, Flock, Measure, PenCheck, Ration};
use crate::terms::{CheckKind, Day, Eaters, FeedId, MeasureId, Minute, Misread, PenCheckId, RationId, norm};

pub(in crate::exchange) const CREEPS: &[Column] = &[
    must("pen", "the pen"),
    must("from", "first day; a creep of the book with this pen and day takes the new facts"),
    may("to", "last day; blank while it is open"),
    may("feed", "name of the feed in it at first"),
    may("holds_kg", "how much the trough holds when full"),
    may("note", "note"),
];

pub(in crate::exchange) const RATIONS: &[Column] = &[
    must(
        "eaters",
        "dry ewes, joined ewes, ewes in lamb, late ewes, nursing one, nursing two, nursing three, young ewes, rams, creep lambs, milk lambs, weaned lambs",
    ),
    must("feed", "name of the feed"),
    must("from", "from this day on"),
    must("each_kg", "a head a day, as fed; 0 ends it"),
    may("pen", "in this pen alone; blank: wherever the group is"),
    may("measure", "the measure it was typed in, with its day: flake 2026-01-12"),
    may("note", "note"),
];

pub(in crate::exchange) const CHECKS: &[Column] = &[
    must("pen", "the pen"),
    must("on", "day"),
    must("what", "trough, gate, lamp, water"),
    may("time", "06:40"),
    may("fault", "what was wrong; blank: it is in order"),
    may("note", "note"),
];

fn pen(c: &mut Cells<'_>) -> Option<String> {
    c.must("pen", "a pen", |t| Ok(t.to_string()))
}

pub(in crate::exchange) fn read_creeps(sheet: &Sheet, flock: &Flock, today: Day) -> Result<Taken, Unfit> {
    let of = |pen: &str, from: Day| {
        let is = |c: &&Creep| c.struck.is_none() && c.from == from && norm(&c.pen) == norm(pen);
        flock.feedroom().creeps.iter().find(is)
    };
    let name = |id: Option<FeedId>| id.map(|id| flock.feedroom().name(id).to_string());
    sheet.records(
        |c| {
            let (pen, from) = (pen(c), c.day("from"));
            let (to, holds) = (c.may("to", Day::parse_iso), c.may("holds_kg", kg));
            let (pen, from) = (pen?, from?);
            let known = of(&pen, from);
            let or =
                |has: &str, new: Option<String>, old: Option<String>| if sheet.has(has) { new } else { old };
            Some(CreepDraft {
                id: known.map(|c| c.id),
                from,
                to: if sheet.has("to") { to } else { known.and_then(|c| c.to) },
                feed: or("feed", c.words("feed"), name(known.and_then(|c| c.feed))),
                holds: if sheet.has("holds_kg") { holds } else { known.and_then(|c| c.holds) },
                note: or("note", c.words("note"), known.and_then(|c| c.note.clone())),
                pen,
            })
        },
        |d| {
            of(&d.pen, d.from).is_some_and(|c| {
                let fed = name(c.feed).map(|f| norm(&f)) == d.feed.as_deref().map(norm);
                fed && (c.to, c.holds, &c.note) == (d.to, d.holds, &d.note)
            })
        },
        |drafts| creeps(drafts, flock, today),
        |entry| match entry {
            Entry::Creeps(all) => all.iter().map(|c| creep_row(flock, c)).collect(),
            _ => Vec::new(),
        },
    )
}

pub(in crate::exchange) fn creep_rows(flock: &Flock) -> Vec<Vec<String>> {
    flock.feedroom().creeps.iter().filter(|c| c.struck.is_none()).map(|c| creep_row(flock, c)).collect()
}

fn creep_row(flock: &Flock, c: &Creep) -> Vec<String> {
    vec![
        c.pen.clone(),
        c.from.to_string(),
        day_text(c.to),
        c.feed.map(|f| flock.feedroom().name(f).to_string()).unwrap_or_default(),
        kg_text(c.holds),
        text(&c.note),
    ]
}

/// Measures of a feed that were weighed out on this day under this name, in the order of the book.
fn measures_of<'a>(flock: &'a Flock, feed: FeedId, name: &str, on: Day) -> impl Iterator<Item = &'a Measure> {
    let name = norm(name);
    let is = move |m: &&Measure| m.struck.is_none() && m.feed == feed && m.on == on && norm(&m.name) == name;
    flock.feedroom().measures.iter().filter(is)
}

/// `flake 2026-01-12`, `flake 2026-01-12 2` of several that day; nothing for one that is struck out or of another feed.
fn measure_name(flock: &Flock, r: &Ration) -> String {
    let held = r.measure.and_then(|id| flock.feedroom().measure(id));
    let Some(m) = held.filter(|m| m.struck.is_none() && m.feed == r.feed) else { return String::new() };
    match measures_of(flock, m.feed, &m.name, m.on).position(|o| o.id == m.id) {
        Some(0) | None => format!("{} {}", m.name, m.on),
        Some(n) => format!("{} {} {}", m.name, m.on, n + 1),
    }
}

/// The measure of this name, as [`measure_name`] writes it.
fn measure(flock: &Flock, feed: &str, text: &str) -> Result<MeasureId, Misread> {
    let wrong = || {
        Misread::new(format!(
            "'{text}' is no measure of {feed}: import measures first, and write its name and day such as flake 2026-01-12"
        ))
    };
    let feed = flock.feedroom().by_name(feed).ok_or_else(wrong)?.id;
    let (head, last) = text.rsplit_once(' ').ok_or_else(wrong)?;
    let found = match Day::parse_iso(last) {
        Ok(on) => measures_of(flock, feed, head, on).next(),
        Err(_) => {
            let nth: usize = last.parse().ok().filter(|n| *n > 0).ok_or_else(wrong)?;
            let (name, on) = head.rsplit_once(' ').ok_or_else(wrong)?;
            let on = Day::parse_iso(on).map_err(|_| wrong())?;
            measures_of(flock, feed, name, on).nth(nth - 1)
        }
    };
    found.map(|m| m.id).ok_or_else(wrong)
}

pub(in crate::exchange) fn read_rations(sheet: &Sheet, flock: &Flock) -> Result<Taken, Unfit> {
    let mut met: Met<RationId> = Met::default();
    sheet.records(
        |c| {
            let eaters = c.must("eaters", "who eats it", Eaters::parse);
            let (feed, from) = (feed(c), c.day("from"));
            let each = c.must("each_kg", "an amount a head", kg);
            let named = feed.clone().filter(|f| flock.feedroom().by_name(f).is_some());
            let measure = named.and_then(|f| c.may("measure", |t| measure(flock, &f, t)));
            Some(RationDraft {
                eaters: eaters?,
                pen: c.words("pen"),
                feed: feed?,
                from: from?,
                each: each?,
                measure,
                note: c.words("note"),
            })
        },
        |d| {
            met.one(
                &flock.feedroom().rations,
                |r| r.id,
                |r| {
                    r.struck.is_none()
                        && (r.eaters, r.from, r.each) == (d.eaters, d.from, d.each)
                        && r.pen.as_deref().map(norm) == d.pen.as_deref().map(norm)
                        && r.measure.filter(|_| !measure_name(flock, r).is_empty()) == d.measure
                        && r.note == d.note
                        && is_feed(flock, r.feed, &d.feed)
                },
            )
        },
        |drafts| rations(drafts, flock),
        |entry| match entry {
            Entry::Rations(all) => all.iter().map(|r| ration_row(flock, r)).collect(),
            _ => Vec::new(),
        },
    )
}

pub(in crate::exchange) fn ration_rows(flock: &Flock) -> Vec<Vec<String>> {
    flock.feedroom().rations.iter().filter(|r| r.struck.is_none()).map(|r| ration_row(flock, r)).collect()
}

fn ration_row(flock: &Flock, r: &Ration) -> Vec<String> {
    vec![
        r.eaters.word().to_string(),
        flock.feedroom().name(r.feed).to_string(),
        r.from.to_string(),
        r.each.kg_text(),
        text(&r.pen),
        measure_name(flock, r),
        text(&r.note),
    ]
}

pub(in crate::exchange) fn read_checks(sheet: &Sheet, flock: &Flock, today: Day) -> Result<Taken, Unfit> {
    let mut met: Met<PenCheckId> = Met::default();
    sheet.records(
        |c| {
            let (pen, on) = (pen(c), c.day("on"));
            let what = c.must("what", "what was looked at", CheckKind::parse);
            let time = c.may("time", Minute::parse);
            Some(PenCheckDraft {
                pen: pen?,
                on: on?,
                time,
                what: what?,
                fault: c.words("fault"),
                note: c.words("note"),
            })
        },
        |d| {
            met.one(
                &flock.feedroom().checks,
                |k| k.id,
                |k| {
                    k.struck.is_none()
                        && (k.on, k.time, k.what) == (d.on, d.time, d.what)
                        && (&k.fault, &k.note) == (&d.fault, &d.note)
                        && norm(&k.pen) == norm(&d.pen)
                },
            )
        },
        |drafts| pen_checks(drafts, flock, today),
        |entry| match entry {
            Entry::PenChecks(all) => all.iter().map(check_row).collect(),
            _ => Vec::new(),
        },
    )
}

pub(in crate::exchange) fn check_rows(flock: &Flock) -> Vec<Vec<String>> {
    flock.feedroom().checks.iter().filter(|k| k.struck.is_none()).map(check_row).collect()
}

fn check_row(k: &PenCheck) -> Vec<String> {
    vec![
        k.pen.clone(),
        k.on.to_string(),
        k.what.word().to_string(),
        k.time.map(|t| t.to_string()).unwrap_or_default(),
        text(&k.fault),
        text(&k.note),
    ]
}
