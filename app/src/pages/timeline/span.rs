//! The days that are shown: moved and zoomed.

use hirsel_core::reckon::season::{Unit, unit_for, usual_span};
use hirsel_core::terms::Day;

/// Days shown at the steps of + and −.
const LEVELS: [i64; 9] = [14, 28, 56, 91, 168, 365, 730, 1461, 3653];
/// How far back and ahead of today one can go.
const BACK: i64 = 3650;
const AHEAD: i64 = 800;

/// A stretch of days.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Span {
    /// The first day.
    pub start: Day,
    /// How many days.
    pub days: i64,
}

impl Span {
    /// From a day to a day.
    pub(super) fn from_to((start, end): (Day, Day)) -> Self {
        Self { start, days: end.since(start).max(6) + 1 }
    }

    /// The usual season.
    pub(super) fn season(today: Day) -> Self {
        Self::from_to(usual_span(today))
    }

    /// So many days around today: two thirds of them past.
    pub(super) fn around(today: Day, days: i64) -> Self {
        Self { start: today.plus(-days * 2 / 3), days }
    }

    pub(super) fn end(self) -> Day {
        self.start.plus(self.days - 1)
    }

    pub(super) fn unit(self) -> Unit {
        unit_for(self.days)
    }

    /// Days the arrows move by.
    pub(super) fn step(self) -> i64 {
        match self.unit() {
            Unit::Day => 1,
            Unit::Week => 7,
            Unit::Month => 30,
        }
    }

    /// Moves, but not for ever.
    pub(super) fn moved(self, by: i64, today: Day) -> Self {
        let (first, last) = (today.plus(-BACK - self.days), today.plus(AHEAD));
        Self { start: self.start.plus(by).max(first).min(last), ..self }
    }

    /// The next step in (fewer days) or out, with `focus` where it was.
    pub(super) fn zoomed(self, closer: bool, focus: Day) -> Self {
        let days = if closer {
            LEVELS.into_iter().rev().find(|l| *l < self.days)
        } else {
            LEVELS.into_iter().find(|l| *l > self.days)
        };
        self.with_days(days.unwrap_or(self.days), focus)
    }

    /// Other days, with `focus` where it was, or in the middle if it was not shown.
    pub(super) fn with_days(self, days: i64, focus: Day) -> Self {
        let days = days.clamp(LEVELS[0], LEVELS[LEVELS.len() - 1].max(self.days));
        let inside = focus >= self.start && focus <= self.end();
        let part = if inside { focus.since(self.start) as f64 / self.days as f64 } else { 0.5 };
        Self { start: focus.plus(-((days as f64 * part).round() as i64)), days }
    }

    /// Moves as little as shows this day with some air.
    pub(super) fn showing(self, day: Day) -> Self {
        let air = (self.days / 10).max(1);
        let start = if day < self.start.plus(air) {
            day.plus(-air)
        } else if day > self.end().plus(-air) {
            day.plus(air + 1 - self.days)
        } else {
            self.start
        };
        Self { start, ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        Day::parse_iso(text).unwrap()
    }

    #[test]
    fn zooming_keeps_what_one_looks_at_where_it_was() {
        let today = day("2026-04-10");
        let span = Span { start: today.plus(-50), days: 100 };
        let closer = span.zoomed(true, today);
        assert_eq!((closer.days, closer.start), (91, today.plus(-46)), "half way before and after");
        assert_eq!(closer.zoomed(true, today).days, 56);
        let far = (0..20).fold(span, |s, _| s.zoomed(false, today));
        assert_eq!(far.days, 3653);
        let near = (0..20).fold(span, |s, _| s.zoomed(true, today));
        assert_eq!(near.days, 14);
        assert!(near.start <= today && near.end() >= today);
    }

    #[test]
    fn moving_has_an_end_and_a_day_is_shown_with_air() {
        let today = day("2026-04-10");
        let span = Span { start: today, days: 28 };
        assert_eq!(span.moved(-99_999, today).start, today.plus(-BACK - 28));
        assert_eq!(span.moved(99_999, today).start, today.plus(AHEAD));
        assert_eq!(span.showing(today.plus(14)), span, "it is shown already");
        let back = span.showing(today.plus(-100));
        assert_eq!((back.start, back.days), (today.plus(-102), 28));
        assert_eq!(span.showing(today.plus(100)).end(), today.plus(102));
    }
}
