//! Where pens fall that nobody laid out yet: below those that were, single pens in rows with an alley between every two,
//! larger ones under them, those outside last.

use super::Pen;
use crate::flock::PenSort;
use crate::terms::Place;

/// Single pens in a row.
const IN_A_ROW: u16 = 10;
/// The alley between two rows that face each other.
const ALLEY: u16 = 2;
/// A pen with more ewes, or other animals, than this is no single pen.
const FEW: usize = 2;
/// Larger pens are so deep.
const DEEP: u16 = 6;
/// A name with one of these words in it is taken for a place outside until the keeper says otherwise (a guess, no
/// source).
const OUTSIDE: [&str; 12] = [
    "field", "paddock", "meadow", "pasture", "orchard", "hill", "park", "croft", "common", "moor", "marsh",
    "lane",
];

/// Inside or outside, by the name alone.
pub(super) fn guess(name: &str) -> PenSort {
    let low = name.to_lowercase();
    if OUTSIDE.iter().any(|w| low.contains(w)) { PenSort::Outside } else { PenSort::Shed }
}

/// Gives each pen without a place one, and tells which of the laid out lie over one another. Pens come in barn order.
pub(super) fn lay(pens: &mut [Pen]) {
    let laid: Vec<(usize, Place)> =
        pens.iter().enumerate().filter(|(_, p)| p.laid).map(|(i, p)| (i, p.at)).collect();
    for (n, (i, at)) in laid.iter().enumerate() {
        let other = laid[..n].iter().find(|(_, o)| o.meets(*at)).map(|(o, _)| *o);
        pens[*i].over = other.map(|o| pens[o].name.clone());
    }
    let bottom = laid.iter().map(|(_, at)| at.bottom()).max();
    let mut rows = Rows::from(bottom.map_or(0, |b| b + ALLEY));
    let free = |wanted: fn(&Pen) -> bool| move |p: &&mut Pen| !p.laid && wanted(p);
    let (w, h) = Place::SINGLE;
    for (n, p) in pens.iter_mut().filter(free(is_single)).enumerate() {
        if n > 0 && n % usize::from(IN_A_ROW) == 0 {
            // Two rows back on to one another, or face each other over the alley.
            let faces = (n / usize::from(IN_A_ROW)) % 2 == 1;
            rows.turn(if faces { ALLEY } else { 0 });
        }
        p.at = rows.put(w, h);
    }
    for outside in [false, true] {
        rows.turn(ALLEY);
        let sort = if outside { PenSort::Outside } else { PenSort::Shed };
        for p in pens.iter_mut().filter(|p| !p.laid && p.sort == sort && !is_single(p)) {
            let wide = 6 + u16::try_from(p.heads.all() / 8).unwrap_or(u16::MAX).min(6);
            rows.make_room(wide, IN_A_ROW * w);
            p.at = rows.put(wide, DEEP);
        }
    }
}

fn is_single(p: &Pen) -> bool {
    p.sort == PenSort::Shed && p.families.len() <= FEW
}

/// Rows that are filled from the left, one below the other.
struct Rows {
    x: u16,
    y: u16,
    deep: u16,
}

impl Rows {
    fn from(y: u16) -> Self {
        Self { x: 0, y, deep: 0 }
    }

    fn put(&mut self, w: u16, h: u16) -> Place {
        let at = Place::new(self.x, self.y, w, h).moved((0, 0));
        self.x = self.x.saturating_add(w);
        self.deep = self.deep.max(h);
        at
    }

    /// A new row, if something stands in this one.
    fn turn(&mut self, alley: u16) {
        if self.x > 0 {
            *self = Self::from(self.y.saturating_add(self.deep).saturating_add(alley));
        }
    }

    fn make_room(&mut self, w: u16, most: u16) {
        if self.x > 0 {
            self.x += 1;
        }
        if self.x.saturating_add(w) > most {
            self.turn(1);
        }
    }
}

/// Steps that the pens take, wide and deep; never none.
pub(super) fn size(pens: &[Pen]) -> (u16, u16) {
    let wide = pens.iter().map(|p| p.at.right()).max().unwrap_or(0);
    let deep = pens.iter().map(|p| p.at.bottom()).max().unwrap_or(0);
    (wide.max(IN_A_ROW * Place::SINGLE.0), deep.max(DEEP))
}

/// The first place of this size that is free, row by row; below everything where there is none.
pub(super) fn free(pens: &[Pen], (w, h): (u16, u16)) -> Place {
    let (wide, deep) = size(pens);
    let clear = |at: Place| pens.iter().all(|p| !p.at.meets(at));
    let across = wide.saturating_sub(w);
    let spots = (0..deep).flat_map(|y| (0..=across).map(move |x| Place::new(x, y, w, h)));
    spots
        .into_iter()
        .find(|at| at.bottom() <= deep && clear(*at))
        .unwrap_or(Place::new(0, deep, w, h).moved((0, 0)))
}
