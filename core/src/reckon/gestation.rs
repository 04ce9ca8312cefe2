//! Gestation: due days from a joining, and which joinings fit a lambing.
//! The usual 147 days and the window of 144 to 152 stand in the handbook with their source.

use crate::flock::{AnimalFile, Flock, Joining};
use crate::handbook;
use crate::terms::{AnimalId, Day};

/// Usual days from service to lambing.
pub fn usual() -> i64 {
    handbook::gestation::usual_days()
}

/// Shortest of the usual window.
pub fn early() -> i64 {
    handbook::gestation::early_days()
}

/// Longest of the usual window.
pub fn late() -> i64 {
    handbook::gestation::late_days()
}

/// A window in which a ewe may lamb.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DueWindow {
    /// First day she may lamb.
    pub early: Day,
    /// The usual day, from the first day of joining.
    pub due: Day,
    /// Last day she may lamb; none while the ram is still with her.
    pub late: Option<Day>,
}

/// When a ewe joined from one day to another may lamb.
pub fn due(from: Day, to: Option<Day>) -> DueWindow {
    DueWindow { early: from.plus(early()), due: from.plus(usual()), late: to.map(|t| t.plus(late())) }
}

/// How a joining explains a lambing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fit {
    /// The ram.
    pub ram: AnimalId,
    /// Days by which the lambing lies outside the window of 144 to 152 days (0: fits).
    pub off: i64,
}

/// Rams whose joining with the ewe fits a lambing on `on`, best first, each ram once: those inside the window,
/// then those up to ten days outside it.
pub fn fits(ewe: &AnimalFile, on: Day) -> Vec<Fit> {
    let mut all: Vec<Fit> = Vec::new();
    for j in ewe.joinings.iter().filter(|j| j.struck.is_none()) {
        let off = off(j, on);
        if off > 10 {
            continue;
        }
        match all.iter_mut().find(|f| f.ram == j.ram) {
            Some(f) => f.off = f.off.min(off),
            None => all.push(Fit { ram: j.ram, off }),
        }
    }
    all.sort_by_key(|f| f.off);
    all
}

fn off(j: &Joining, on: Day) -> i64 {
    let w = due(j.from, Some(j.to.unwrap_or(on)));
    let late = w.late.unwrap_or(on);
    if on < w.early {
        w.early.since(on)
    } else if on > late {
        on.since(late)
    } else {
        0
    }
}

/// A ewe that is joined and has not lambed since: the next to lamb.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Expected {
    /// The ewe.
    pub ewe: AnimalId,
    /// The ram.
    pub ram: AnimalId,
    /// When.
    pub window: DueWindow,
}

/// When a ewe is expected to lamb: her last joining, unless she has lambed since or its window is long past (30 days).
pub fn expected_of(ewe: &AnimalFile, today: Day) -> Option<Expected> {
    let j = ewe.joinings.iter().filter(|j| j.struck.is_none() && j.from <= today).max_by_key(|j| j.from)?;
    let window = due(j.from, j.to);
    let lambed = ewe.lambings_standing().any(|l| l.at.day.since(j.from) > 60);
    let past = window.late.is_some_and(|l| today.since(l) > 30);
    (!lambed && !past).then_some(Expected { ewe: ewe.animal.id, ram: j.ram, window })
}

/// Ewes of the flock that are joined, have not lambed since, and whose window is not long past (30 days), by due day.
pub fn expected(flock: &Flock, today: Day) -> Vec<Expected> {
    let mut all: Vec<Expected> = flock.present().filter_map(|f| expected_of(f, today)).collect();
    all.sort_by_key(|e| (e.window.due, e.ewe));
    all
}
