//! What the scanner found of the ewes of this season, counted.

use crate::flock::Flock;
use crate::reckon::gestation::of_ewe;
use crate::terms::{Day, Scanned};

/// Ewes by what their last scan showed. A scan count is never the number born.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ScanTally {
    /// Ewes that are joined and expected, or were scanned empty.
    pub joined: usize,
    /// Scanned empty.
    pub empty: usize,
    /// With one lamb.
    pub one: usize,
    /// With two.
    pub two: usize,
    /// With three or more.
    pub three: usize,
    /// In lamb, not counted.
    pub uncounted: usize,
}

impl ScanTally {
    /// How many are scanned.
    pub fn scanned(&self) -> usize {
        self.empty + self.one + self.two + self.three + self.uncounted
    }

    /// A count as a whole percentage of those scanned.
    pub fn share(&self, n: usize) -> usize {
        let all = self.scanned();
        (n * 100 + all / 2).checked_div(all).unwrap_or(0)
    }

    /// Lambs seen for a hundred ewes scanned and counted, empty ones included; three or more is taken as three.
    pub fn per_hundred(&self) -> Option<usize> {
        let ewes = self.empty + self.one + self.two + self.three;
        let lambs = self.one + 2 * self.two + 3 * self.three;
        (ewes > 0).then(|| (lambs * 100 + ewes / 2) / ewes)
    }

    fn add(&mut self, found: Scanned) {
        match found {
            Scanned::Empty => self.empty += 1,
            Scanned::One => self.one += 1,
            Scanned::Two => self.two += 1,
            Scanned::Three => self.three += 1,
            Scanned::InLamb => self.uncounted += 1,
        }
    }
}

/// Joinings that begin within so many days of the last one are of its season.
const SEASON_DAYS: i64 = 150;

/// Counts the ewes of the last joining season by their last scan, those that have lambed since as well.
pub fn tally(flock: &Flock, today: Day) -> ScanTally {
    let mut t = ScanTally::default();
    let all: Vec<_> = flock.present().filter_map(|f| of_ewe(flock, f, today)).collect();
    let Some(last) = all.iter().map(|p| p.first).max() else { return t };
    for p in all.iter().filter(|p| last.since(p.first) <= SEASON_DAYS) {
        t.joined += 1;
        if let Some((_, found)) = p.scan {
            t.add(found);
        }
    }
    t
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_and_lambs_for_a_hundred_ewes() {
        let mut t = ScanTally { joined: 12, ..ScanTally::default() };
        assert_eq!((t.share(0), t.per_hundred()), (0, None));
        for found in [Scanned::Empty, Scanned::One, Scanned::One, Scanned::Two, Scanned::Two, Scanned::Three]
        {
            t.add(found);
        }
        // 0 + 1 + 1 + 2 + 2 + 3 lambs in 6 ewes; the ewe that was not counted is left out of it.
        t.add(Scanned::InLamb);
        assert_eq!((t.scanned(), t.share(t.one), t.per_hundred()), (7, 29, Some(150)));
    }
}
