//! What belongs to one pregnancy of a ewe, or to one try at it: joinings and marks that follow each other.

use super::usual;
use crate::flock::{AnimalFile, Joining, MatingMark, Scan};
use crate::terms::{Day, Scanned};

/// A lambing so soon after the first day with the ram is of the pregnancy before.
const BEFORE_DAYS: i64 = 60;

/// The longest a scan can lie after the first day with the ram and still tell of it: 200 days, a ram's season and the
/// time to the last days of counting (common practice, no source).
pub(super) const SCAN_DAYS: i64 = 200;

/// Joinings, marks and scans of one pregnancy, oldest first.
#[derive(Debug)]
pub(crate) struct Breeding<'a> {
    /// Its joinings.
    pub joinings: Vec<&'a Joining>,
    /// Its marks and matings seen.
    pub marks: Vec<&'a MatingMark>,
    /// Scans that tell of it.
    pub scans: Vec<&'a Scan>,
    /// The first day of a joining or mark.
    pub first: Day,
    /// The last first day of a joining or day of a mark.
    pub last: Day,
    /// Lambings after this day are of the next breeding.
    pub until: Option<Day>,
}

impl Breeding<'_> {
    /// The day she lambed to it, if she has by this day.
    pub fn lambed(&self, ewe: &AnimalFile, day: Day) -> Option<Day> {
        let lambed = ewe.lambings_standing().map(|l| l.at.day);
        let mine = |l: &Day| l.since(self.first) > BEFORE_DAYS && self.until.is_none_or(|u| *l <= u);
        lambed.filter(|l| mine(l) && *l <= day).min()
    }

    /// The scan that says how she stands: the last one.
    pub fn scan(&self) -> Option<&Scan> {
        self.scans.last().copied()
    }

    /// The day she was found empty, if that is the last word.
    pub fn empty(&self) -> Option<Day> {
        self.scan().filter(|s| s.found == Scanned::Empty).map(|s| s.on)
    }
}

/// What begins or goes on with a breeding.
#[derive(Clone, Copy)]
enum Event<'a> {
    Joined(&'a Joining),
    Marked(&'a MatingMark),
}

impl Event<'_> {
    fn day(&self) -> Day {
        match self {
            Self::Joined(j) => j.from,
            Self::Marked(m) => m.on,
        }
    }

    /// To sort by: what came first does not hang on the order of writing.
    fn place(&self) -> (Day, u8, [u8; 16]) {
        match self {
            Self::Joined(j) => (j.from, 0, j.id.bytes()),
            Self::Marked(m) => (m.on, 1, m.id.bytes()),
        }
    }
}

/// The breedings of a ewe by what the book knows up to a day, oldest first. One ends with a lambing, with a scan that
/// found her empty, or with the usual length of gestation from its first day.
pub(crate) fn breedings(ewe: &AnimalFile, day: Day) -> Vec<Breeding<'_>> {
    let joinings = ewe.joinings.iter().filter(|j| j.struck.is_none() && j.from <= day).map(Event::Joined);
    let marks = ewe.marks.iter().filter(|m| m.struck.is_none() && m.on <= day).map(Event::Marked);
    let mut events: Vec<Event<'_>> = joinings.chain(marks).collect();
    if events.is_empty() {
        return Vec::new();
    }
    events.sort_by_key(Event::place);
    let mut scans: Vec<&Scan> = ewe.scans.iter().filter(|s| s.struck.is_none() && s.on <= day).collect();
    scans.sort_by_key(|s| (s.on, s.id));
    let mut all: Vec<Breeding<'_>> = Vec::new();
    for e in events {
        let on = e.day();
        let goes_on = |b: &Breeding<'_>| {
            let between = |d: Day| d > b.first && d <= on;
            let lambed = ewe.lambings_standing().any(|l| between(l.at.day));
            // The last scan before this day has the say; the day of the scan itself was before it.
            let scanned = scans.iter().rfind(|s| s.on >= b.first && s.on < on);
            on.since(b.first) < usual() && !lambed && scanned.is_none_or(|s| s.found != Scanned::Empty)
        };
        if !all.last().is_some_and(goes_on) {
            let (joinings, marks, scans) = (Vec::new(), Vec::new(), Vec::new());
            all.push(Breeding { joinings, marks, scans, first: on, last: on, until: None });
        }
        let Some(b) = all.last_mut() else { continue };
        b.last = b.last.max(on);
        match e {
            Event::Joined(j) => b.joinings.push(j),
            Event::Marked(m) => b.marks.push(m),
        }
    }
    for n in 1..all.len() {
        all[n - 1].until = Some(all[n].first.plus(BEFORE_DAYS));
    }
    for s in scans {
        // Lambed in between, she was scanned for nothing that came before.
        let of = |b: &&mut Breeding<'_>| {
            b.first <= s.on && s.on.since(b.first) <= SCAN_DAYS && b.lambed(ewe, s.on).is_none()
        };
        if let Some(b) = all.iter_mut().rev().find(|b| b.first <= s.on).filter(of) {
            b.scans.push(s);
        }
    }
    all
}
