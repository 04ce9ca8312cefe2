//! Looks at a pen: what was looked at today, what is due, and which fault is open until a later look finds it in order.

use crate::flock::{FeedRoom, PenCheck};
use crate::phrase;
use crate::terms::{CheckKind, Day, norm};

/// What is wrong, since when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// In the keeper's words.
    pub words: String,
    /// Seen first on this day.
    pub since: Day,
}

/// One thing of a pen that is looked at each day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Check {
    /// What.
    pub what: CheckKind,
    /// It is to be looked at on this day; else only a fault of it is open.
    pub asked: bool,
    /// The day of the last look.
    pub last: Option<Day>,
    /// It was looked at on the day.
    pub done: bool,
    /// A fault that no later look found mended.
    pub fault: Option<Fault>,
}

impl Check {
    /// Something is to be done: a look, or the mending of a fault.
    pub fn is_open(&self) -> bool {
        self.fault.is_some() || (self.asked && !self.done)
    }
}

/// The checks of a pen by the end of a day, those asked for and those with an open fault.
pub(super) fn checks(room: &FeedRoom, pen: &str, on: Day, asked: impl Fn(CheckKind) -> bool) -> Vec<Check> {
    let pen = norm(pen);
    let mine = |c: &&PenCheck| c.struck.is_none() && c.on <= on && norm(&c.pen) == pen;
    let mut looks: Vec<&PenCheck> = room.checks.iter().filter(mine).collect();
    looks.sort_by_key(|c| (c.on, c.time, c.id));
    let one = |what: CheckKind| {
        let mut of = looks.iter().filter(|c| c.what == what);
        let mut fault: Option<Fault> = None;
        for look in of.clone() {
            fault = match (&look.fault, fault) {
                (None, _) => None,
                (Some(words), Some(f)) => Some(Fault { words: words.clone(), since: f.since }),
                (Some(words), None) => Some(Fault { words: words.clone(), since: look.on }),
            };
        }
        let last = of.next_back().map(|c| c.on);
        let asked = asked(what);
        let check = Check { what, asked, last, done: last == Some(on), fault };
        (asked || check.fault.is_some()).then_some(check)
    };
    CheckKind::ALL.iter().filter_map(|what| one(*what)).collect()
}

/// A lamp hangs in a pen where one was looked at within so many days.
const HANGS_DAYS: i64 = 14;

/// A lamp was looked at in a pen of late.
pub(super) fn has_lamp(room: &FeedRoom, pen: &str, on: Day) -> bool {
    let pen = norm(pen);
    let of_late = |c: &PenCheck| (0..=HANGS_DAYS).contains(&on.since(c.on));
    room.checks
        .iter()
        .rev()
        .any(|c| c.struck.is_none() && c.what == CheckKind::Lamp && of_late(c) && norm(&c.pen) == pen)
}

/// What a check says, in words: `looked at`, `to be looked at`, `bent bar, since 3 May`.
pub fn check_words(check: &Check) -> String {
    match (&check.fault, check.done) {
        (Some(f), _) => phrase!("{}, since {}", f.words, f.since.short()),
        (None, true) => phrase!("in order"),
        (None, false) if check.last.is_some() => phrase!("not looked at yet"),
        (None, false) => phrase!("never looked at"),
    }
}
