//! Cards to cut from a sheet: how many on a sheet, where they lie, where to cut.
//!
//! Knows pages only. What stands on a card is a [`Stack`] of blocks; lamb cards and pen cards build theirs.

mod blocks;
mod facts;
mod rows;
mod stack;
mod ticks;

pub(super) use blocks::{Alert, Caution, Head, Notes, Title};
pub(super) use facts::{Fact, Facts};
pub(super) use rows::{LambRow, LambRows};
pub(super) use stack::{Side, Stack};
pub(super) use ticks::{Setting, Tick, Ticks};

use super::sheet::{Area, Ink, Mark, Page, SheetSize, Turn};

/// How many cards on one sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum PerSheet {
    /// One, the whole sheet.
    One,
    /// Two, one above the other.
    Two,
    /// Four, two by two.
    #[default]
    Four,
    /// Eight, two by four.
    Eight,
}

impl PerSheet {
    /// All, from the largest card to the smallest.
    pub const ALL: [PerSheet; 4] = [PerSheet::One, PerSheet::Two, PerSheet::Four, PerSheet::Eight];

    /// The number.
    pub fn count(self) -> usize {
        let (columns, rows) = self.grid();
        columns * rows
    }

    /// From the number: 1, 2, 4 or 8.
    pub fn from_count(count: usize) -> Option<Self> {
        Self::ALL.into_iter().find(|per| per.count() == count)
    }

    fn grid(self) -> (usize, usize) {
        match self {
            PerSheet::One => (1, 1),
            PerSheet::Two => (1, 2),
            PerSheet::Four => (2, 2),
            PerSheet::Eight => (2, 4),
        }
    }

    /// Type and sizes for a card of this size.
    pub(super) fn form(self) -> Form {
        match self {
            PerSheet::One => Form {
                pad: (14.0, 14.0),
                tag_cap: 40.0,
                code: 32.0,
                title_pt: 20.0,
                fact_pt: 13.5,
                tick_pt: 12.5,
                small_pt: 9.5,
                gap: 5.5,
            },
            PerSheet::Two => Form {
                pad: (11.0, 9.5),
                tag_cap: 27.0,
                code: 24.0,
                title_pt: 15.0,
                fact_pt: 11.0,
                tick_pt: 10.0,
                small_pt: 8.0,
                gap: 4.4,
            },
            PerSheet::Four => Form {
                pad: (8.0, 8.0),
                tag_cap: 20.0,
                code: 18.0,
                title_pt: 12.0,
                fact_pt: 9.6,
                tick_pt: 9.2,
                small_pt: 6.8,
                gap: 2.8,
            },
            PerSheet::Eight => Form {
                pad: (7.0, 6.0),
                tag_cap: 13.5,
                code: 12.5,
                title_pt: 9.6,
                fact_pt: 8.4,
                tick_pt: 8.0,
                small_pt: 6.2,
                gap: 1.5,
            },
        }
    }
}

/// Type and sizes of a card; millimetres and points.
#[derive(Debug, Clone, Copy)]
pub(super) struct Form {
    /// Room to the card's edge, across and down. Never under 5 mm: printers leave that much white.
    pub pad: (f32, f32),
    /// The tag's capitals and figures are at most this high.
    pub tag_cap: f32,
    /// Side of the QR code.
    pub code: f32,
    /// Sex and birth type.
    pub title_pt: f32,
    /// Facts.
    pub fact_pt: f32,
    /// Jobs to tick.
    pub tick_pt: f32,
    /// Labels, cautions.
    pub small_pt: f32,
    /// Between blocks.
    pub gap: f32,
}

/// The sheets being filled with cards, left to right and top to bottom.
pub(super) struct Sheets {
    sheet: SheetSize,
    per: PerSheet,
    pages: Vec<Page>,
    used: usize,
}

impl Sheets {
    pub fn new(sheet: SheetSize, per: PerSheet) -> Self {
        Sheets { sheet, per, pages: Vec::new(), used: 0 }
    }

    /// The inside of a card placed at the origin, to measure against.
    pub fn inside(&self) -> Area {
        self.area(0)
    }

    fn area(&self, place: usize) -> Area {
        let (w, h) = self.sheet.size_mm(Turn::Portrait);
        let (columns, rows) = self.per.grid();
        let (cw, ch) = (w / columns as f32, h / rows as f32);
        let (px, py) = self.per.form().pad;
        Area::new((place % columns) as f32 * cw, (place / columns) as f32 * ch, cw, ch).inside(px, py, px, py)
    }

    /// The next card's page and place.
    pub fn next(&mut self) -> (&mut Page, Area) {
        let place = self.used % self.per.count();
        if place == 0 {
            let mut page = Page::new(self.sheet, Turn::Portrait);
            self.cut_marks(&mut page);
            self.pages.push(page);
        }
        self.used += 1;
        let area = self.area(place);
        let last = self.pages.len() - 1;
        (&mut self.pages[last], area)
    }

    pub fn finish(self) -> Vec<Page> {
        self.pages
    }

    /// Short strokes at the sheet's edges and crosses where cuts meet, joined by faint dots for scissors.
    fn cut_marks(&self, page: &mut Page) {
        const STROKE: f32 = 6.0;
        let (w, h) = (page.width_mm, page.height_mm);
        let (columns, rows) = self.per.grid();
        let across: Vec<f32> = (1..rows).map(|r| h * r as f32 / rows as f32).collect();
        let down: Vec<f32> = (1..columns).map(|c| w * c as f32 / columns as f32).collect();
        let mut dots = |from, to| {
            page.marks.push(Mark::Line { from, to, width_mm: 0.15, dash: Some((0.5, 1.5)), ink: Ink::Pale });
        };
        for y in &across {
            dots((STROKE, *y), (w - STROKE, *y));
        }
        for x in &down {
            dots((*x, STROKE), (*x, h - STROKE));
        }
        for y in &across {
            page.line((0.0, *y), (STROKE, *y), 0.2, Ink::Black);
            page.line((w - STROKE, *y), (w, *y), 0.2, Ink::Black);
        }
        for x in &down {
            page.line((*x, 0.0), (*x, STROKE), 0.2, Ink::Black);
            page.line((*x, h - STROKE), (*x, h), 0.2, Ink::Black);
            for y in &across {
                page.line((x - 2.5, *y), (x + 2.5, *y), 0.2, Ink::Black);
                page.line((*x, y - 2.5), (*x, y + 2.5), 0.2, Ink::Black);
            }
        }
    }
}

/// Lays out one animal's card: all on one card if any type size allows, else what is left over goes to following
/// cards. `build` makes the blocks for the items it is given; its last argument says that this card continues one.
pub(super) fn lay<T: Clone>(sheets: &mut Sheets, items: &[T], build: &dyn Fn(&[T], bool) -> Stack) {
    let room = sheets.inside();
    let mut rest = items;
    let mut continued = false;
    loop {
        // The first card keeps all items if it can; otherwise as many as fit, but a following card at least one.
        let fewest = usize::from(continued).min(rest.len());
        let fitting = (fewest..=rest.len()).rev().find_map(|n| {
            let stack = build(&rest[..n], continued);
            stack.scale_for(room.w, room.h).map(|scale| (n, stack, scale))
        });
        let (n, stack, scale) =
            fitting.unwrap_or_else(|| (fewest, build(&rest[..fewest], continued), stack::SMALLEST));
        let (page, area) = sheets.next();
        stack.paint_spread(page, area, scale);
        rest = &rest[n..];
        continued = true;
        if rest.is_empty() {
            return;
        }
    }
}
