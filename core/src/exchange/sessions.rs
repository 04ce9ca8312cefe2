//! Sessions at the scale as rows. Other tables name a session by its day and which of the day it is: `2026-04-08 1`.

use super::kind::{Column, may, must};
use super::sheet::{Cells, Sheet};
use super::{Taken, Unfit, text};
use crate::entry::{Entry, SessionDraft, sessions};
use crate::flock::{Flock, Session};
use crate::terms::{Day, Gut, Minute, Misread, SessionId};
use std::collections::{HashMap, HashSet};

pub(super) const COLUMNS: &[Column] = &[
    must(
        "on",
        "day; the first session of a day is called 2026-04-08 1 in other tables, the next 2026-04-08 2",
    ),
    may("time", "when it began: 06:40"),
    may("scale", "which scale"),
    may("group", "who was to be weighed: a pen, a field, a kind of animals"),
    may("gut", "fasted or full"),
    may("note", "note"),
];

/// Sessions by their names.
#[derive(Debug, Default)]
pub(super) struct Keys {
    ids: HashMap<String, SessionId>,
    names: HashMap<SessionId, (Day, usize)>,
}

impl Keys {
    pub(super) fn of(flock: &Flock) -> Self {
        let mut keys = Self::default();
        let mut last: Option<(Day, usize)> = None;
        for s in &flock.daybook().sessions {
            let nth = last.filter(|(day, _)| *day == s.on).map_or(1, |(_, n)| n + 1);
            last = Some((s.on, nth));
            keys.ids.insert(format!("{} {nth}", s.on), s.id);
            keys.names.insert(s.id, (s.on, nth));
        }
        keys
    }

    /// The name of a session; nothing for none.
    pub(super) fn name(&self, id: Option<SessionId>) -> String {
        id.and_then(|id| self.names.get(&id)).map(|(on, n)| format!("{on} {n}")).unwrap_or_default()
    }

    /// Which session of its day it is, none first.
    pub(super) fn place(&self, id: Option<SessionId>) -> usize {
        id.and_then(|id| self.names.get(&id)).map_or(0, |(_, n)| *n)
    }

    /// The session of a row, if it names one.
    pub(super) fn read(&self, c: &mut Cells<'_>) -> Option<SessionId> {
        c.may("session", |t| {
            let key = t.split_whitespace().collect::<Vec<_>>().join(" ");
            self.ids.get(&key).copied().ok_or_else(|| {
                Misread::new(format!(
                    "the book has no session '{key}': import the sessions first, or leave the value blank"
                ))
            })
        })
    }
}

pub(super) fn read(sheet: &Sheet, flock: &Flock, today: Day) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    // Two sessions of a day may be alike: each row meets one of them.
    let mut met: HashSet<SessionId> = HashSet::new();
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let on = c.day("on");
        let draft = SessionDraft {
            time: c.may("time", Minute::parse),
            scale: c.words("scale"),
            group: c.words("group"),
            gut: c.may("gut", Gut::parse),
            note: c.words("note"),
        };
        let (Some(on), true) = (on, c.good()) else { continue };
        let held = flock.daybook().sessions.iter().find(|s| !met.contains(&s.id) && is_same(s, on, &draft));
        if let Some(s) = held {
            met.insert(s.id);
            same.push(line.number);
            continue;
        }
        drafts.push((on, draft));
        order.push(i);
    }
    let check = (!drafts.is_empty()).then(|| sessions(drafts, today));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Sessions(all) => all.iter().map(row).collect(),
            _ => Vec::new(),
        },
    )
}

fn is_same(s: &Session, on: Day, d: &SessionDraft) -> bool {
    s.on == on && (s.time, &s.scale, &s.group, s.gut, &s.note) == (d.time, &d.scale, &d.group, d.gut, &d.note)
}

pub(super) fn rows(flock: &Flock) -> Vec<Vec<String>> {
    flock.daybook().sessions.iter().map(row).collect()
}

fn row(s: &Session) -> Vec<String> {
    vec![
        s.on.to_string(),
        s.time.map(|t| t.to_string()).unwrap_or_default(),
        text(&s.scale),
        text(&s.group),
        s.gut.map(|g| g.word().to_string()).unwrap_or_default(),
        text(&s.note),
    ]
}
