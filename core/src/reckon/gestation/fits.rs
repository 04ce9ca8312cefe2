//! Which rams explain a lambing.

use super::known::known;
use super::service::{of_hand, of_mark};
use crate::flock::{AnimalFile, Flock};
use crate::terms::{AnimalId, Day};

/// How a ram's time with a ewe, or his mark on her, explains a lambing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fit {
    /// The ram.
    pub ram: AnimalId,
    /// Days by which the lambing lies outside her window (0: fits).
    pub off: i64,
    /// A mark, a mating seen or a service by hand on its day fits, not only the time together.
    pub marked: bool,
}

/// Days outside the window for which a ram is still offered.
const NEAR_DAYS: i64 = 10;

/// Rams whose marks on the ewe or joining with her fit a lambing on `on`, each ram once: those inside the window, marked
/// ones first, then those up to ten days outside it.
pub fn fits(flock: &Flock, ewe: &AnimalFile, on: Day) -> Vec<Fit> {
    let known = known(flock);
    let (shortest, longest) = known.lengths.of_ewe(&ewe.animal).widest();
    let off = |from: Day, to: Day| {
        let (early, late) = (from.plus(shortest), to.plus(longest));
        if on < early { early.since(on) } else { on.since(late).max(0) }
    };
    let marks = ewe.marks.iter().filter(|m| m.struck.is_none() && m.on <= on);
    let marks = marks.map(|m| of_mark(flock, ewe, m, &known.looks));
    let standing = || ewe.joinings.iter().filter(|j| j.struck.is_none());
    let mut all: Vec<Fit> = Vec::new();
    let mut add = |ram: AnimalId, off: i64, marked: bool| {
        if off > NEAR_DAYS {
            return;
        }
        match all.iter_mut().find(|f| f.ram == ram) {
            Some(f) => {
                // What lies outside the window marks nobody as the sire.
                f.marked |= marked && off == 0;
                f.off = f.off.min(off);
            }
            None => all.push(Fit { ram, off, marked: marked && off == 0 }),
        }
    };
    for s in marks.chain(standing().filter_map(|j| of_hand(ewe, j))) {
        let off = off(s.from, s.to.unwrap_or(on));
        s.rams.iter().for_each(|r| add(*r, off, true));
    }
    standing().for_each(|j| add(j.ram, off(j.from, j.to.unwrap_or(on)), false));
    all.sort_by_key(|f| (f.off, !f.marked, f.ram));
    all
}

/// The rams that are taken for the sire: those inside the window, and of them only the marked ones where there are any.
pub fn likely(fits: &[Fit]) -> Vec<AnimalId> {
    let inside = || fits.iter().filter(|f| f.off == 0);
    let marked = inside().any(|f| f.marked);
    inside().filter(|f| f.marked || !marked).map(|f| f.ram).collect()
}
