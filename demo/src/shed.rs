//! The lambing shed: jugs along both walls with an alley between, the large pens at the far end, fields outside.

use crate::maker::Maker;
use hirsel_core::book::Failed;
use hirsel_core::entry;
use hirsel_core::flock::{PenPlace, PenSort, natural};
use hirsel_core::reckon::pen_map::PenMap;
use hirsel_core::terms::Place;

/// No more jugs than this along one wall.
const ALONG: u16 = 8;
/// The alley between the walls.
const ALLEY: u16 = 2;

impl Maker<'_> {
    /// Lays the pens out as they stand on the last day; a few jugs that were not needed stand ready.
    pub(crate) fn shed(&mut self) -> Result<(), Failed> {
        if self.is_lean() {
            return Ok(());
        }
        let flock = self.flock();
        let map = PenMap::of(&flock, None, self.today, None);
        let mut jugs: Vec<String> =
            map.pens.iter().map(|p| p.name.clone()).filter(|n| n.starts_with("Jug ")).collect();
        let last = jugs.iter().filter_map(|n| n[4..].parse::<u16>().ok()).max().unwrap_or(0);
        for n in 1..=last.max(6) + 2 {
            let name = format!("Jug {n}");
            if !jugs.contains(&name) {
                jugs.push(name);
            }
        }
        jugs.sort_by(|a, b| natural(a, b));
        let (w, h) = Place::SINGLE;
        // The same along both walls.
        let along = u16::try_from(jugs.len().div_ceil(2)).unwrap_or(ALONG).clamp(1, ALONG);
        let row = |n: u16| n / along;
        let jug = |(n, pen): (u16, String)| {
            // Two rows face each other over the alley, then the next two stand behind them.
            let y = row(n) / 2 * (2 * h + ALLEY) + if row(n) % 2 == 1 { h + ALLEY } else { 0 };
            PenPlace { pen, at: Place::new(n % along * w, y, w, h), sort: PenSort::Shed }
        };
        let mut all: Vec<PenPlace> = (0u16..).zip(jugs).map(jug).collect();
        let end = all.iter().map(|p| p.at.right()).max().unwrap_or(0);
        let deep = all.iter().map(|p| p.at.bottom()).max().unwrap_or(0).max(9);
        let (mut large, mut field) = ((end + 1, 0), (0, deep + 1));
        for p in map.pens.iter().filter(|p| !p.name.starts_with("Jug ")) {
            let outside = !["Top shed", "Lambing shed", "Bottle pen"].contains(&p.name.as_str());
            let at = if outside {
                if field.0 + 8 > end + 10 {
                    field = (0, field.1 + 6);
                }
                let at = Place::new(field.0, field.1, 8, 5);
                field.0 += 9;
                at
            } else {
                let at = Place::new(large.0, large.1, 8, 4);
                large.1 += 4;
                at
            };
            let sort = if outside { PenSort::Outside } else { PenSort::Shed };
            all.push(PenPlace { pen: p.name.clone(), at, sort });
        }
        // Large pens that reach below the jugs stay clear of the fields.
        let below = large.1.saturating_sub(deep);
        for p in all.iter_mut().filter(|p| p.sort == PenSort::Outside) {
            p.at = p.at.moved((0, i32::from(below)));
        }
        self.push(entry::pens_laid(all, Vec::new(), &flock), "the demonstration shed");
        self.flush("The lambing shed laid out")
    }
}
