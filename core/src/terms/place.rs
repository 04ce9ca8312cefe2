//! Where a pen stands on the map of the shed, and how large it is there.

use serde::{Deserialize, Serialize};

/// One step of the map's grid is half a metre of the shed.
pub const STEP_CM: u16 = 50;

/// A pen on the map, in steps of the grid from the upper left corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, Serialize, Deserialize)]
pub struct Place {
    /// Steps from the left.
    pub x: u16,
    /// Steps from the top.
    pub y: u16,
    /// Width in steps.
    pub w: u16,
    /// Depth in steps.
    pub h: u16,
}

impl Place {
    /// No pen begins or ends farther out than so many steps: 300 metres.
    pub const FARTHEST: u16 = 600;
    /// No pen is wider or deeper than so many steps.
    pub const WIDEST: u16 = 120;
    /// A single pen for a ewe and her lambs, 1.5 × 1.5 m (common practice, no source).
    pub const SINGLE: (u16, u16) = (3, 3);

    /// A place from its corner and its size.
    pub const fn new(x: u16, y: u16, w: u16, h: u16) -> Self {
        Self { x, y, w, h }
    }

    /// The step behind its right edge.
    pub const fn right(self) -> u16 {
        self.x.saturating_add(self.w)
    }

    /// The step below its lower edge.
    pub const fn bottom(self) -> u16 {
        self.y.saturating_add(self.h)
    }

    /// It can be drawn: it has a size, and lies within the map.
    pub const fn is_sound(self) -> bool {
        self.w >= 1
            && self.h >= 1
            && self.w <= Self::WIDEST
            && self.h <= Self::WIDEST
            && self.right() <= Self::FARTHEST
            && self.bottom() <= Self::FARTHEST
    }

    /// The two share a part of the floor.
    pub const fn meets(self, other: Self) -> bool {
        self.x < other.right() && other.x < self.right() && self.y < other.bottom() && other.y < self.bottom()
    }

    /// Moved by so many steps, never out of the map.
    #[must_use]
    pub fn moved(self, by: (i32, i32)) -> Self {
        let along = |from: u16, size: u16, by: i32| {
            let most = i32::from(Self::FARTHEST.saturating_sub(size));
            u16::try_from(i32::from(from).saturating_add(by).clamp(0, most)).unwrap_or(from)
        };
        Self { x: along(self.x, self.w, by.0), y: along(self.y, self.h, by.1), ..self }
    }

    /// Wider and deeper by so many steps, never smaller than one step.
    #[must_use]
    pub fn sized(self, by: (i32, i32)) -> Self {
        let grown = |from: u16, size: u16, by: i32| {
            let most = i32::from(Self::WIDEST.min(Self::FARTHEST.saturating_sub(from))).max(1);
            u16::try_from(i32::from(size).saturating_add(by).clamp(1, most)).unwrap_or(size)
        };
        Self { w: grown(self.x, self.w, by.0), h: grown(self.y, self.h, by.1), ..self }
    }

    /// Turned by a quarter about its upper left corner.
    #[must_use]
    pub fn turned(self) -> Self {
        Self { w: self.h, h: self.w, ..self }.moved((0, 0))
    }

    /// `1.5 × 2 m`.
    pub fn size_words(self) -> String {
        let metres = |n: u16| {
            let cm = u32::from(n) * u32::from(STEP_CM);
            if cm % 100 == 0 { format!("{}", cm / 100) } else { format!("{}.{}", cm / 100, cm % 100 / 10) }
        };
        format!("{} × {} m", metres(self.w), metres(self.h))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_stays_on_the_map_however_it_is_moved_and_sized() {
        let jug = Place::new(2, 3, 3, 4);
        assert_eq!(jug.moved((-5, 1)), Place::new(0, 4, 3, 4));
        assert_eq!(jug.moved((i32::MAX, i32::MAX)), Place::new(597, 596, 3, 4));
        assert_eq!(jug.sized((-9, 2)), Place::new(2, 3, 1, 6));
        assert_eq!(jug.sized((i32::MAX, 0)).w, Place::WIDEST);
        assert_eq!(jug.turned(), Place::new(2, 3, 4, 3));
        let edge = Place::new(590, 0, 2, 40).turned();
        assert_eq!(edge, Place::new(560, 0, 40, 2), "turned back into the map");
        for p in [jug, edge, jug.moved((9999, 0)), jug.sized((9999, 9999))] {
            assert!(p.is_sound(), "{p:?}");
        }
        assert!(!Place::new(0, 0, 0, 3).is_sound() && !Place::new(599, 0, 3, 3).is_sound());
    }

    #[test]
    fn pens_side_by_side_do_not_meet() {
        let one = Place::new(0, 0, 3, 3);
        assert!(!one.meets(Place::new(3, 0, 3, 3)) && !one.meets(Place::new(0, 3, 3, 3)));
        assert!(one.meets(Place::new(2, 2, 3, 3)) && one.meets(one));
    }

    #[test]
    fn sizes_are_said_in_metres() {
        assert_eq!(Place::new(0, 0, 3, 4).size_words(), "1.5 × 2 m");
    }
}
