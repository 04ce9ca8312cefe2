//! Cells and columns: what a row shows, as data. Only the table draws.

use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{Align2, Color32, CornerRadius, FontId, Painter, Rect, Stroke, Vec2};

use hirsel_core::terms::{DayOrder, Text, speech};

use crate::look::fonts::family;
use crate::look::{self, Face, Kind, Tokens, size, space};

/// A column: its head, how wide it is, and how its cells stand.
#[derive(Clone, Debug)]
pub struct Column {
    pub(super) title: Text,
    pub(super) width: f32,
    pub(super) takes_rest: bool,
    pub(super) right: bool,
    pub(super) sortable: bool,
}

/// How wide columns are that hold a day.
const OF_DAYS: std::ops::RangeInclusive<f32> = 86.0..=104.0;

impl Column {
    /// A column so many points wide. A day with its month first is a comma longer: where days are written so, columns
    /// as wide as a day grow by that.
    pub fn new(title: impl Into<Text>, width: f32) -> Self {
        let grows = OF_DAYS.contains(&width) && speech::days() == DayOrder::MonthFirst;
        let width = if grows { width + 8.0 } else { width };
        Self { title: title.into(), width, takes_rest: false, right: false, sortable: true }
    }

    /// It takes a share of the width that is left over, besides its own.
    #[must_use]
    pub fn rest(mut self) -> Self {
        self.takes_rest = true;
        self
    }

    /// For figures: they stand to the right.
    #[must_use]
    pub fn right(mut self) -> Self {
        self.right = true;
        self
    }

    /// Its order means nothing.
    #[must_use]
    pub fn unsorted(mut self) -> Self {
        self.sortable = false;
        self
    }
}

/// One cell: a text and how it is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cell {
    text: Text,
    strong: bool,
    faint: bool,
    struck: bool,
    kind: Option<Kind>,
}

impl Cell {
    /// Plain text.
    pub fn text(text: impl Into<Text>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }

    /// Nothing to show.
    pub fn empty() -> Self {
        Self::default()
    }

    /// A word on its own ground, with its mark.
    pub fn chip(kind: Kind, text: impl Into<Text>) -> Self {
        Self { kind: Some(kind), ..Self::text(text) }
    }

    /// For the tag or name one looks for.
    #[must_use]
    pub fn strong(mut self) -> Self {
        self.strong = true;
        self
    }

    /// For what may be overlooked.
    #[must_use]
    pub fn faint(mut self) -> Self {
        self.faint = true;
        self
    }

    /// Struck out: kept to be read, no longer valid.
    #[must_use]
    pub fn struck(mut self) -> Self {
        self.struck = true;
        self
    }

    /// Its words as they are written, for what is saved.
    pub fn words(&self) -> &str {
        self.text.as_str()
    }

    /// The text of the program that it is, if it is one.
    pub fn fixed(&self) -> Option<&'static str> {
        match self.text {
            Text::Fixed(text) => Some(text),
            Text::Given(_) => None,
        }
    }

    /// Draws the cell; returns its whole text if it had to be cut.
    pub(super) fn paint(&self, painter: &Painter, rect: Rect, right: bool, t: &Tokens) -> Option<String> {
        if self.text.is_empty() {
            return None;
        }
        let words = look::speech::shown(&self.text);
        let painter = painter.with_clip_rect(rect.intersect(painter.clip_rect()));
        let face = if self.strong || self.kind.is_some() { Face::Strong } else { Face::Sans };
        let points = if self.kind.is_some() { size::SMALL } else { size::BODY };
        let (ink, text) = match self.kind {
            Some(kind) => (kind.colours(t).0, format!("{}{words}", kind.mark())),
            None => (if self.faint { t.faint } else { t.ink }, words.to_string()),
        };
        let pad = if self.kind.is_some() { 7.0 } else { 0.0 };
        let strike = if self.struck { Stroke::new(1.5, ink) } else { Stroke::NONE };
        let galley = painter.layout_job(line(text, face, points, ink, strike, rect.width() - 2.0 * pad));
        let align = if right { Align2::RIGHT_CENTER } else { Align2::LEFT_CENTER };
        let place = align.align_size_within_rect(galley.size() + Vec2::new(2.0 * pad, 0.0), rect);
        if let Some(kind) = self.kind {
            painter.rect_filled(place.expand2(Vec2::new(0.0, 2.0)), CornerRadius::same(9), kind.colours(t).1);
        }
        let cut = galley.elided;
        painter.galley(place.min + Vec2::new(pad, 0.0), galley, ink);
        cut.then(|| words.into_owned())
    }
}

/// One line of text that is cut with an ellipsis where it does not fit.
pub(super) fn line(
    text: String,
    face: Face,
    points: f32,
    ink: Color32,
    strike: Stroke,
    width: f32,
) -> LayoutJob {
    let format = TextFormat {
        font_id: FontId::new(points, family(face)),
        color: ink,
        strikethrough: strike,
        ..TextFormat::default()
    };
    let mut job = LayoutJob::single_section(text, format);
    job.wrap = TextWrapping {
        max_width: width.max(1.0),
        max_rows: 1,
        break_anywhere: true,
        ..TextWrapping::default()
    };
    job
}

/// The left and right side of each column, `from` on, sharing what is left of `width`.
pub(super) fn spread(columns: &[Column], from: f32, width: f32) -> Vec<(f32, f32)> {
    let own: f32 = columns.iter().map(|c| c.width).sum();
    let sharers = columns.iter().filter(|c| c.takes_rest).count();
    let share = if sharers == 0 { 0.0 } else { ((width - own) / sharers as f32).max(0.0) };
    let mut left = from;
    columns
        .iter()
        .map(|column| {
            let right = left + column.width + if column.takes_rest { share } else { 0.0 };
            let inner = (left + space::S, right - space::S);
            left = right;
            inner
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rest_is_shared() {
        let columns = [Column::new("Tag", 80.0), Column::new("Name", 100.0).rest()];
        assert_eq!(spread(&columns, 10.0, 400.0), [(18.0, 82.0), (98.0, 402.0)]);
        // Too narrow: every column keeps its own width.
        assert_eq!(spread(&columns, 0.0, 50.0), [(8.0, 72.0), (88.0, 172.0)]);
    }
}
