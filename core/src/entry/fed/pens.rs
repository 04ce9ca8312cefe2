//! Creeps opened and closed, daily rations, and looks at the pens.

use super::{FedRefused, FedUnusual, named};
use crate::entry::{Check, Entry, Faults, Field, Refused, words};
use crate::flock::{Creep, Flock, PenCheck, Ration};
use crate::terms::{
    CheckKind, CreepId, Day, Eaters, Mass, MeasureId, Minute, PenCheckId, RationId, counted, norm,
};

/// A creep as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CreepDraft {
    /// The creep of the book that is meant; none opens a new one.
    pub id: Option<CreepId>,
    /// The pen.
    pub pen: String,
    /// Open from this day.
    pub from: Day,
    /// Last day, if it is closed.
    pub to: Option<Day>,
    /// Name of the feed in it at first.
    pub feed: Option<String>,
    /// How much the trough holds.
    pub holds: Option<Mass>,
    /// Note.
    pub note: Option<String>,
}

/// Checks creeps, new or with new facts; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn creeps(drafts: Vec<CreepDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("pen"), FedRefused::NoPen.into());
    }
    let room = flock.feedroom();
    let mut all: Vec<Creep> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        let field = |name| Field::row(name, row);
        faults.not_ahead(field("from"), d.from, today);
        if let Some(to) = d.to {
            faults.not_ahead(field("to"), to, today);
            if to < d.from {
                faults.refuse(field("to"), Refused::EndsBeforeStart { from: d.from, to });
            }
        }
        let pen = flock.pen_called(&d.pen);
        if pen.is_empty() {
            faults.refuse(field("pen"), FedRefused::NoPen.into());
        }
        if d.id.is_some_and(|id| !room.creeps.iter().any(|c| c.id == id)) {
            faults.refuse(field("pen"), Refused::Gone);
        }
        let feed = words::<String>(&d.feed).and_then(|name| named(&mut faults, field("feed"), &name, flock));
        let new = Creep {
            id: d.id.unwrap_or_else(CreepId::new),
            pen,
            from: d.from,
            to: d.to,
            feed: feed.map(|f| f.id),
            holds: d.holds.filter(|h| !h.is_none()),
            note: words(&d.note),
            struck: None,
        };
        // Two creeps of one pen never stand open on the same day.
        let meets = |c: &&Creep| {
            c.struck.is_none()
                && c.id != new.id
                && norm(&c.pen) == norm(&new.pen)
                && new.to.is_none_or(|to| c.from <= to)
                && c.to.is_none_or(|to| new.from <= to)
        };
        if let Some(c) = room.creeps.iter().chain(&all).find(meets) {
            let why = FedRefused::CreepOpen { pen: c.pen.clone(), since: c.from };
            faults.refuse(field("pen"), why.into());
        }
        if room.creeps.contains(&new) {
            faults.refuse(field("pen"), Refused::NothingChanged);
        }
        all.push(new);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] if one.to.is_some() => format!("Creep in {} closed", one.pen),
            [one] => format!("Creep in {} open", one.pen),
            many => counted(many.len(), "creep"),
        };
        (Entry::Creeps(all), sentence)
    })
}

/// Checks that the creep of a pen is closed after this day.
///
/// # Errors
/// No creep is open there, or the day is before it was opened or yet to come.
pub fn close_creep(id: CreepId, on: Day, flock: &Flock, today: Day) -> Check {
    let room = flock.feedroom();
    let Some(c) = room.creeps.iter().find(|c| c.id == id && c.struck.is_none()) else {
        let mut faults = Faults::default();
        faults.refuse(Field::of("pen"), Refused::Gone);
        return faults.or(|| (Entry::Creeps(Vec::new()), String::new()));
    };
    let draft = CreepDraft {
        id: Some(id),
        pen: c.pen.clone(),
        from: c.from,
        to: Some(on),
        feed: c.feed.map(|f| room.name(f).to_string()),
        holds: c.holds,
        note: c.note.clone(),
    };
    creeps(vec![draft], flock, today)
}

/// A line of a ration as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RationDraft {
    /// Who eats it.
    pub eaters: Eaters,
    /// In this pen alone.
    pub pen: Option<String>,
    /// Name of the feed.
    pub feed: String,
    /// From this day; a day ahead is planned.
    pub from: Day,
    /// A head a day, as fed; nothing ends it.
    pub each: Mass,
    /// The measure it was typed in.
    pub measure: Option<MeasureId>,
    /// Note.
    pub note: Option<String>,
}

/// Checks rations; rows of faults count the drafts. Days ahead are allowed: feed is planned.
///
/// # Errors
/// Every refusal with its row.
pub fn rations(drafts: Vec<RationDraft>, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("feed"), Refused::Missing("a feed"));
    }
    let mut all: Vec<Ration> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        let Some(feed) = named(&mut faults, Field::row("feed", row), &d.feed, flock) else { continue };
        let new = Ration {
            id: RationId::new(),
            eaters: d.eaters,
            pen: words::<String>(&d.pen).map(|p| flock.pen_called(&p)),
            feed: feed.id,
            from: d.from,
            each: d.each,
            measure: d.measure,
            note: words(&d.note),
            struck: None,
        };
        check_ration(&mut faults, row, &new, flock);
        all.push(new);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => {
                let each = one.each.show(flock.holding().units);
                let name = flock.feedroom().name(one.feed);
                let place = one.pen.as_ref().map(|p| format!(" in {p}")).unwrap_or_default();
                match one.each.is_none() {
                    true => format!("No more {name} to {}{place}", one.eaters.words()),
                    false => format!("{each} of {name} a head to {}{place}", one.eaters.words()),
                }
            }
            many => format!("{} of rations", counted(many.len(), "line")),
        };
        (Entry::Rations(all), sentence)
    })
}

/// More than this a head a day is asked about: of forage, and of other feed (common practice, no source).
const MUCH: (u64, u64) = (12_000, 3_000);

pub(super) fn check_ration(faults: &mut Faults, row: usize, r: &Ration, flock: &Flock) {
    let Some(feed) = flock.feedroom().feed(r.feed) else {
        faults.refuse(Field::row("feed", row), Refused::Gone);
        return;
    };
    let most = if feed.kind.is_forage() { MUCH.0 } else { MUCH.1 };
    if r.each.grams() > most {
        let each = r.each.show(flock.holding().units);
        let what = FedUnusual::MuchEach { each, name: feed.name.clone() };
        faults.question(Field::row("each", row), what.into());
    }
}

/// A look at a pen as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PenCheckDraft {
    /// The pen.
    pub pen: String,
    /// The day.
    pub on: Day,
    /// When.
    pub time: Option<Minute>,
    /// What was looked at.
    pub what: CheckKind,
    /// What was wrong; none: it is in order.
    pub fault: Option<String>,
    /// Note.
    pub note: Option<String>,
}

/// Checks looks at pens; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn pen_checks(drafts: Vec<PenCheckDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("pen"), FedRefused::NoPen.into());
    }
    let mut all: Vec<PenCheck> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let pen = flock.pen_called(&d.pen);
        if pen.is_empty() {
            faults.refuse(Field::row("pen", row), FedRefused::NoPen.into());
        }
        let fault = words(&d.fault);
        if d.what == CheckKind::Lamp && fault.is_some() {
            let words = "a faulty heat lamp can set the shed on fire: take it out of use until it is mended";
            faults.caution(Field::row("fault", row), words);
        }
        all.push(PenCheck {
            id: PenCheckId::new(),
            pen,
            on: d.on,
            time: d.time,
            what: d.what,
            fault,
            note: words(&d.note),
            struck: None,
        });
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => {
                let state = one.fault.as_ref().map_or("in order", |f| f.as_str());
                format!("{} in {}: {state}", capital(one.what.words()), one.pen)
            }
            many => format!("{} of pens", counted(many.len(), "check")),
        };
        (Entry::PenChecks(all), sentence)
    })
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
