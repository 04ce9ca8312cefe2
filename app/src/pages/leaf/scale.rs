//! Scale: which part of a life is shown, and where a day stands in it.

use crate::look::{self, Face, Tokens, space};
use egui::{Align2, FontId, Painter, Pos2, Rect, Stroke};
use hirsel_core::terms::Day;

/// The fewest days shown.
const LEAST: i64 = 14;

/// The part of a life that is shown.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Part {
    /// So many days; none is the whole life.
    pub days: Option<i64>,
    /// Up to this day; none is the end of the life.
    end: Option<Day>,
}

impl Part {
    /// The last so many days, or the whole.
    pub(super) fn last(days: Option<i64>) -> Self {
        Self { days, end: None }
    }

    /// First and last day shown of a life from `first` to `last`.
    pub(super) fn span(self, first: Day, last: Day) -> (Day, Day) {
        match self.days {
            Some(days) if days < last.since(first) => {
                let end = self.end.unwrap_or(last).max(first.plus(days)).min(last);
                (end.plus(-days), end)
            }
            _ => (first, last),
        }
    }

    /// A longer (`by` above 1) or shorter part, with `focus` at the same place of the picture.
    pub(super) fn zoom(&mut self, by: f64, focus: Day, first: Day, last: Day) {
        let (start, end) = self.span(first, last);
        let (now, whole) = (end.since(start).max(1), last.since(first));
        let days = ((now as f64 * by).round() as i64).max(LEAST);
        if days >= whole {
            *self = Self::default();
            return;
        }
        let focus = focus.max(start).min(end);
        let before = focus.since(start) as f64 / now as f64 * days as f64;
        *self = Self { days: Some(days), end: Some(focus.plus(days - before.round() as i64)) };
    }

    /// Moves the part, if need be, so that this day is in it.
    pub(super) fn show(&mut self, day: Day, first: Day, last: Day) {
        let (start, end) = self.span(first, last);
        let days = end.since(start);
        if day < start {
            self.end = Some(day.plus(days - days / 5));
        } else if day > end {
            self.end = Some(day.plus(days / 5));
        }
    }
}

/// Days to points.
pub(super) struct Scale {
    left: f32,
    right: f32,
    pub start: Day,
    pub end: Day,
}

impl Scale {
    pub(super) fn new(left: f32, right: f32, (start, end): (Day, Day)) -> Self {
        Self { left, right, start, end }
    }

    /// Where a day stands, also before and after what is shown.
    pub(super) fn x(&self, day: Day) -> f32 {
        let span = self.end.since(self.start).max(1) as f32;
        self.left + (self.right - self.left) * day.since(self.start) as f32 / span
    }

    /// Whether a day is shown.
    pub(super) fn holds(&self, day: Day) -> bool {
        (self.start..=self.end).contains(&day)
    }

    /// The part of a stretch of days that is shown, in points.
    pub(super) fn stretch(&self, from: Day, until: Day) -> Option<(f32, f32)> {
        (from <= self.end && until >= self.start)
            .then(|| (self.x(from).max(self.left), self.x(until).min(self.right)))
            .filter(|(from, until)| until - from > 1.0)
    }

    /// Lines for years, months, weeks or days, as many as have room, with their names in the foot of `rect`.
    pub(super) fn ticks(&self, painter: &Painter, t: &Tokens, rect: Rect, foot: f32) {
        let font = FontId::new(look::size::SMALL, look::fonts::family(Face::Sans));
        let mut last = f32::MIN;
        let mut named = 0;
        let mut day = first_tick(self.start, self.end);
        // A life has fewer ticks than this; the bound holds whatever the days are.
        for _ in 0..600 {
            if day > self.end {
                break;
            }
            let x = self.x(day);
            let bottom = rect.bottom() - foot;
            if day >= self.start {
                let line = [Pos2::new(x, rect.top()), Pos2::new(x, bottom)];
                painter.line_segment(line, Stroke::new(1.0, t.rule));
                if x - last > 64.0 && x < self.right - space::L {
                    let words = name(day, self.end.since(self.start), named != day.year());
                    named = day.year();
                    let at = Pos2::new(x, bottom + foot / 2.0);
                    painter.text(at, Align2::CENTER_CENTER, words, font.clone(), t.faint);
                    last = x;
                }
            }
            let Some(next) = next_tick(day, self.end.since(self.start)) else { break };
            day = next;
        }
    }
}

fn first_tick(start: Day, end: Day) -> Day {
    match end.since(start) {
        0..=150 => start,
        151..=800 => Day::new(start.year(), start.month(), 1).unwrap_or(start),
        _ => Day::new(start.year(), 1, 1).unwrap_or(start),
    }
}

fn next_tick(day: Day, span: i64) -> Option<Day> {
    match span {
        ..=16 => Some(day.plus(1)),
        17..=150 => Some(day.plus(7)),
        151..=800 if day.month() == 12 => Day::new(day.year() + 1, 1, 1),
        151..=800 => Day::new(day.year(), day.month() + 1, 1),
        _ => Day::new(day.year() + 1, 1, 1),
    }
}

/// `2024`, `Mar 2024` or `Mar`, `3 Mar 2024` or `3 Mar`.
fn name(day: Day, span: i64, with_year: bool) -> String {
    match (span, with_year) {
        (801.., _) => day.year().to_string(),
        (151.., _) => {
            let month = day.short().split(' ').nth(1).unwrap_or_default().to_string();
            if with_year { format!("{month} {}", day.year()) } else { month }
        }
        (_, true) => day.words(),
        (_, false) => day.short(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Day {
        Day::parse_iso(text).unwrap()
    }

    fn life() -> (Day, Day) {
        (day("2020-01-01"), day("2026-01-01"))
    }

    #[test]
    fn a_shorter_part_keeps_what_one_looks_at_in_its_place() {
        let (first, last) = life();
        let mut part = Part::default();
        let focus = day("2023-01-01"); // half way
        part.zoom(0.5, focus, first, last);
        let (start, end) = part.span(first, last);
        assert_eq!(end.since(start), 1096, "half of 2192 days");
        assert!((focus.since(start) - end.since(focus)).abs() <= 2, "still half way: {start} {end}");
        part.zoom(2.0, focus, first, last);
        assert_eq!(part.span(first, last), life());
        for _ in 0..20 {
            part.zoom(0.5, focus, first, last);
        }
        let (start, end) = part.span(first, last);
        assert_eq!(end.since(start), LEAST);
        assert!(start <= focus && focus <= end);
    }

    #[test]
    fn a_part_never_leaves_the_life_and_follows_the_event_in_hand() {
        let (first, last) = life();
        let mut part = Part::last(Some(60));
        assert_eq!(part.span(first, last), (last.plus(-60), last));
        part.show(day("2020-02-01"), first, last);
        let (start, end) = part.span(first, last);
        assert!(start <= day("2020-02-01") && day("2020-02-01") <= end);
        assert_eq!(end.since(start), 60);
        part.show(first, first, last);
        assert_eq!(part.span(first, last).0, first);
        part.show(last, first, last);
        assert_eq!(part.span(first, last).1, last);
        let short = (first, first.plus(10));
        assert_eq!(Part::last(Some(60)).span(short.0, short.1), short, "a short life is shown whole");
    }

    #[test]
    fn days_stand_to_scale_and_bars_are_cut_at_the_edges() {
        let scale = Scale::new(100.0, 300.0, (day("2026-01-01"), day("2026-01-11")));
        assert_eq!(scale.x(day("2026-01-06")), 200.0);
        assert!(scale.holds(day("2026-01-11")) && !scale.holds(day("2026-01-12")));
        assert_eq!(scale.stretch(day("2025-12-01"), day("2026-01-06")), Some((100.0, 200.0)));
        assert_eq!(scale.stretch(day("2026-01-06"), day("2026-02-06")), Some((200.0, 300.0)));
        assert_eq!(scale.stretch(day("2025-12-01"), day("2025-12-31")), None);
    }
}
