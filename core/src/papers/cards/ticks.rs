//! Jobs to tick in the barn, each with room for a pencil date.

use super::stack::Block;
use crate::papers::sheet::{Area, Face, Ink, Look, Page};
use crate::terms::speech::said;

/// One job.
#[derive(Debug, Clone, Default)]
pub(crate) struct Tick {
    /// What is to be done, in a few words.
    pub label: String,
    /// When, in a few words; shown where there is a column for it.
    pub when: String,
    /// Already in the book: the box is ticked and these words stand where the date would.
    pub done: Option<String>,
    /// A figure is written too, with this unit.
    pub unit: Option<&'static str>,
    /// A second box: the other choice.
    pub other: Option<&'static str>,
}

/// How the jobs are set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Setting {
    /// A table: box, job, when, done on, and remarks where the width allows.
    Table,
    /// So many columns of box, job and a short line.
    Columns(usize),
}

/// The jobs of a card.
pub(crate) struct Ticks {
    /// The jobs in order.
    pub ticks: Vec<Tick>,
    /// How they are set.
    pub setting: Setting,
    /// Type size in points.
    pub size_pt: f32,
}

/// Where the parts of a row stand, from the left edge of the row.
struct Rail {
    /// The words of the job.
    job: f32,
    /// When.
    when: f32,
    /// The line for the date.
    date: f32,
    /// Where that line ends.
    end: f32,
    /// The line for remarks, if there is one.
    remarks: Option<f32>,
}

impl Ticks {
    fn look(&self, scale: f32) -> Look {
        Look::new(Face::Sans, self.size_pt * scale)
    }

    fn small(&self, scale: f32) -> Look {
        Look::new(Face::Sans, self.size_pt * scale * 0.84).ink(Ink::Grey)
    }

    fn box_side(&self, scale: f32) -> f32 {
        self.size_pt * scale * 0.42
    }

    /// Rows as (height in lines) for a column of this width; labels may wrap.
    fn rail(&self, width: f32, scale: f32) -> Rail {
        let look = self.look(scale);
        let em = look.size_pt * 0.3528;
        let job = self.box_side(scale) + em * 0.55;
        let widest = |f: &dyn Fn(&Tick) -> f32| self.ticks.iter().map(f).fold(0.0, f32::max);
        let labels = widest(&|t| look.width_mm(&t.label) + self.beside(t, scale));
        match self.setting {
            Setting::Table => {
                let whens = widest(&|t| self.small(scale).width_mm(&t.when));
                let when = job + labels.min(width * 0.46) + em;
                let date = when + whens.min(width * 0.24) + em;
                let left = width - date;
                // Remarks only where the date keeps 24 mm.
                let remarks = (left > 56.0).then_some(date + (left * 0.36).max(26.0) + em);
                Rail { job, when, date, end: remarks.map_or(width, |r| r - em), remarks }
            }
            Setting::Columns(_) => {
                let date = job + labels.min(width * 0.62) + em * 0.6;
                Rail { job, when: 0.0, date, end: width, remarks: None }
            }
        }
    }

    fn columns(&self) -> usize {
        match self.setting {
            Setting::Table => 1,
            Setting::Columns(n) => n.max(1),
        }
    }

    fn gutter(&self, scale: f32) -> f32 {
        self.size_pt * scale * 0.55
    }

    fn column_width(&self, width: f32, scale: f32) -> f32 {
        let n = self.columns() as f32;
        (width - (n - 1.0) * self.gutter(scale)) / n
    }

    fn rows(&self) -> usize {
        self.ticks.len().div_ceil(self.columns())
    }

    fn head_height(&self, scale: f32) -> f32 {
        if self.setting == Setting::Table { self.small(scale).leading_mm() * 1.15 } else { 0.0 }
    }

    /// Width of the second box and its words where they stand beside the job.
    fn beside(&self, tick: &Tick, scale: f32) -> f32 {
        match (self.setting, tick.other) {
            (Setting::Table, Some(other)) if tick.done.is_none() => {
                let look = self.look(scale);
                look.width_mm(other) + self.box_side(scale) + look.size_pt * 0.3528 * 1.4
            }
            _ => 0.0,
        }
    }

    fn label_room(&self, rail: &Rail, width: f32) -> f32 {
        match self.setting {
            Setting::Table => rail.when - rail.job - 1.0,
            Setting::Columns(_) => (rail.date - rail.job - self.size_pt * 0.15).min(width),
        }
    }

    /// Height of the rows: as tall as the job with the most lines needs, all alike.
    fn row_height(&self, width: f32, scale: f32) -> f32 {
        let look = self.look(scale);
        let rail = self.rail(width, scale);
        let room = self.label_room(&rail, width);
        let lines = self
            .ticks
            .iter()
            .map(|t| look.wrap(&t.label, room - self.beside(t, scale)).len())
            .max()
            .unwrap_or(1);
        (lines as f32 * look.leading_mm()).max(self.box_side(scale)) + look.size_pt * 0.085
    }

    fn paint_row(&self, page: &mut Page, tick: &Tick, area: Area, rail: &Rail, scale: f32) {
        let (look, small, side) = (self.look(scale), self.small(scale), self.box_side(scale));
        let middle = area.y + area.h / 2.0;
        let baseline = middle + look.cap_mm() / 2.0;
        let tick_box = |page: &mut Page, x: f32, done: bool| {
            page.outline(Area::new(x, middle - side / 2.0, side, side), side * 0.14, Ink::Black, 0.3);
            if done {
                let sign = Look::new(Face::SansStrong, look.size_pt * 1.2);
                page.text_middle(x + side / 2.0, middle + sign.cap_mm() * 0.48, sign, "✓");
            }
        };
        tick_box(page, area.x, tick.done.is_some());
        let beside = self.beside(tick, scale);
        let lines = look.wrap(&tick.label, self.label_room(rail, area.w) - beside);
        if beside > 0.0 {
            let x = area.x + rail.job + look.width_mm(&tick.label) + look.size_pt * 0.3528;
            tick_box(page, x, false);
            page.text(x + side + look.size_pt * 0.14, baseline, look, tick.other.unwrap_or_default());
        }
        let up = (lines.len().saturating_sub(1)) as f32 * look.leading_mm() / 2.0;
        for (i, line) in lines.iter().enumerate() {
            page.text(area.x + rail.job, baseline - up + i as f32 * look.leading_mm(), look, line);
        }
        if self.setting == Setting::Table {
            let lines = small.wrap(&tick.when, rail.date - rail.when - 0.5);
            let up = (lines.len().saturating_sub(1)) as f32 * small.leading_mm() / 2.0;
            for (i, line) in lines.iter().enumerate() {
                page.text(area.x + rail.when, baseline - up + i as f32 * small.leading_mm(), small, line);
            }
        }
        let mut end = area.x + rail.end;
        let start = area.x + rail.date;
        let line_y = baseline + look.size_pt * 0.05;
        if let Some(words) = &tick.done {
            // What the book says is shown, not asked again.
            let fitted = fitted(small, words, end - start);
            page.text(start, baseline, fitted, words);
            return;
        }
        if let Some(other) = tick.other.filter(|_| beside == 0.0) {
            let wide = side + 0.9 + look.width_mm(other);
            end -= wide;
            tick_box(page, end, false);
            page.text(end + side + 0.9, baseline, look, other);
            end -= 2.0;
        }
        if let Some(unit) = tick.unit {
            // Two short lines: the figure before the unit, the date after it.
            let half = (end - start - small.width_mm(unit) - 2.0) * 0.45;
            page.rule(start, line_y, half, 0.18, Ink::Rule);
            let after = page.text(start + half + 0.7, baseline, small, unit) + 1.3;
            page.rule(after, line_y, (end - after).max(0.0), 0.18, Ink::Rule);
        } else {
            page.rule(start, line_y, (end - start).max(0.0), 0.18, Ink::Rule);
        }
        if let Some(remarks) = rail.remarks {
            page.rule(area.x + remarks, line_y, area.w - remarks, 0.18, Ink::Rule);
        }
    }
}

/// The look shrunk until the words fit the width.
fn fitted(look: Look, words: &str, width: f32) -> Look {
    let wide = look.width_mm(words);
    if wide > width && width > 0.0 { look.size(look.size_pt * width / wide) } else { look }
}

impl Block for Ticks {
    fn height(&self, width: f32, scale: f32) -> f32 {
        if self.ticks.is_empty() {
            return 0.0;
        }
        let row = self.row_height(self.column_width(width, scale), scale);
        self.head_height(scale) + self.rows() as f32 * row
    }

    fn stretch(&self, width: f32, scale: f32) -> f32 {
        if self.ticks.is_empty() {
            return 0.0;
        }
        self.rows() as f32 * self.row_height(self.column_width(width, scale), scale) * 0.55
    }

    fn paint(&self, page: &mut Page, area: Area, scale: f32) {
        if self.ticks.is_empty() {
            return;
        }
        let wide = self.column_width(area.w, scale);
        let rail = self.rail(wide, scale);
        let head = self.head_height(scale);
        let row = (area.h - head) / self.rows() as f32;
        page.rule(area.x, area.y, area.w, 0.35, Ink::Black);
        if self.setting == Setting::Table {
            let small = self.small(scale);
            let baseline = area.y + head * 0.86;
            page.text(area.x, baseline, small, &said("Job"));
            page.text(area.x + rail.when, baseline, small, &said("When"));
            page.text(area.x + rail.date, baseline, small, &said("Done on"));
            if let Some(remarks) = rail.remarks {
                page.text(area.x + remarks, baseline, small, &said("Remarks"));
            }
        }
        for (i, tick) in self.ticks.iter().enumerate() {
            let (column, line) = (i / self.rows(), i % self.rows());
            let x = area.x + column as f32 * (wide + self.gutter(scale));
            let place = Area::new(x, area.y + head + line as f32 * row, wide, row);
            self.paint_row(page, tick, place, &rail, scale);
        }
    }
}
