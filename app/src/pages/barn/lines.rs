//! Where everything of the grid stands: lines of different heights, laid out once for a sheet, a width and a search.

use super::super::list;
use super::shown::{Row, Shown};
use super::write::Note;
use crate::look::fonts::family;
use crate::look::{Face, size};
use egui::{FontId, Ui};

/// What a line shows: the pen's head, a row, the ewes due to lamb.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum What {
    Pen(usize),
    Row(usize, usize),
    Due(usize),
}

/// One line of the grid.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub what: What,
    pub top: f32,
    pub height: f32,
    /// Of a row, its jobs; of a pen, its rounds: left edge and width, from the left of the flow, and line from 0.
    pub places: Vec<(f32, f32, usize)>,
    /// Height without the note below.
    pub body: f32,
}

/// Left edges of the columns, from the left of the grid.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Columns {
    pub animal: f32,
    pub jobs: f32,
    pub weight: f32,
    pub remark: f32,
    pub right: f32,
}

impl Columns {
    fn of(width: f32) -> Self {
        let remark = if width > 1000.0 { 230.0 } else { 150.0 };
        let animal = 40.0;
        let right = width - 14.0;
        let weight = right - remark - 92.0;
        let jobs = animal + if width > 1000.0 { 170.0 } else { 140.0 };
        Self { animal, jobs, weight, remark: right - remark, right }
    }
}

/// Height of one line of boxes.
pub(super) const BOX_LINE: f32 = 28.0;
type Key = (u64, u32, String, u64);

/// All lines.
#[derive(Debug, Default)]
pub(super) struct Lines {
    made_for: Option<Key>,
    pub all: Vec<Line>,
    /// The rows that are seen, in order.
    pub rows: Vec<(usize, usize)>,
    pub columns: Columns,
    pub height: f32,
}

impl Lines {
    /// Lays the lines out anew where the sheet, the width, the search or the notes have changed.
    pub(super) fn keep_up(
        &mut self,
        ui: &Ui,
        shown: &Shown,
        width: f32,
        search: &str,
        notes: &[Note],
        notes_version: u64,
    ) {
        let key = (shown.version, width.round() as u32, search.to_string(), notes_version);
        if self.made_for.as_ref() == Some(&key) {
            return;
        }
        self.made_for = Some(key);
        self.columns = Columns::of(width);
        self.all.clear();
        self.rows.clear();
        let mut top = 0.0;
        let wide = |text: &str, pt: f32, face: Face| {
            let font = FontId::new(pt, family(face));
            ui.painter().layout_no_wrap(text.to_owned(), font, egui::Color32::PLACEHOLDER).size().x
        };
        for (p, pen) in shown.pens.iter().enumerate() {
            let fits = |r: &Row| {
                let jobs = r.jobs.iter().map(|j| j.step.short.as_str());
                list::fits(search, [r.tag.as_str(), &pen.name, &r.what].into_iter().chain(jobs))
            };
            let rows: Vec<usize> = (0..pen.rows.len()).filter(|r| fits(&pen.rows[*r])).collect();
            let searched = !search.trim().is_empty();
            if searched && rows.is_empty() {
                continue;
            }
            let head = wide(&pen.title, size::SUBHEADING, Face::Serif) + 40.0;
            let rounds = pen.rounds.iter().map(|(_, words)| wide(words, size::SMALL, Face::Sans) + 40.0);
            let places = flow(rounds, head, width - 14.0);
            let body = 14.0 + 30.0 * lines(&places);
            self.push(What::Pen(p), &mut top, body, body, places);
            for r in rows {
                let row = &pen.rows[r];
                let boxes = row.jobs.iter().map(|j| wide(&j.words(), size::BODY, Face::Sans) + 42.0);
                let room = self.columns.weight - self.columns.jobs - 8.0;
                let places = flow(boxes, 0.0, room);
                let held = || held(ui, &row.held, self.columns, egui::Color32::PLACEHOLDER).size().y + 46.0;
                let told = if row.held.is_empty() { 44.0 } else { held() };
                let body = (BOX_LINE * lines(&places) + 8.0_f32).max(told);
                let mine = notes.iter().filter(|n| n.animal == row.animal);
                let ink = egui::Color32::PLACEHOLDER;
                let noted: f32 = mine.map(|n| note(ui, n, self.columns, ink).size().y + 4.0).sum();
                self.push(What::Row(p, r), &mut top, body + noted, body, places);
                self.rows.push((p, r));
            }
            if !pen.due.is_empty() && !searched {
                let font = FontId::new(size::BODY, family(Face::Sans));
                let ink = egui::Color32::PLACEHOLDER;
                let tall = ui.painter().layout(pen.due.clone(), font, ink, width - 60.0).size().y + 14.0;
                self.push(What::Due(p), &mut top, tall, tall, Vec::new());
            }
        }
        self.height = top;
    }

    fn push(&mut self, what: What, top: &mut f32, height: f32, body: f32, places: Vec<(f32, f32, usize)>) {
        self.all.push(Line { what, top: *top, height, places, body });
        *top += height;
    }

    /// The lines seen between two heights.
    pub(super) fn between(&self, from: f32, to: f32) -> std::ops::Range<usize> {
        let first = self.all.partition_point(|l| l.top + l.height < from);
        let last = self.all.partition_point(|l| l.top < to);
        first..last.max(first)
    }

    /// The line of a row.
    pub(super) fn line(&self, row: (usize, usize)) -> Option<&Line> {
        self.all.iter().find(|l| l.what == What::Row(row.0, row.1))
    }
}

/// Until when an animal is held back, wrapped into the column of the animals.
pub(super) fn held(
    ui: &Ui,
    words: &str,
    columns: Columns,
    ink: egui::Color32,
) -> std::sync::Arc<egui::Galley> {
    let font = FontId::new(size::SMALL, family(Face::Sans));
    ui.painter().layout(words.to_owned(), font, ink, columns.jobs - columns.animal - 8.0)
}

/// What is wrong or unlikely, wrapped below its row.
pub(super) fn note(
    ui: &Ui,
    note: &Note,
    columns: Columns,
    ink: egui::Color32,
) -> std::sync::Arc<egui::Galley> {
    let font = FontId::new(size::SMALL, family(Face::Sans));
    let words = format!("{}{}", note.kind.mark(), note.text);
    ui.painter().layout(words, font, ink, columns.right - columns.animal)
}

/// Sets things of these widths one beside the other, a new line where there is no room.
fn flow(widths: impl Iterator<Item = f32>, from: f32, room: f32) -> Vec<(f32, f32, usize)> {
    let (mut x, mut line) = (from, 0);
    widths
        .map(|w| {
            let w = w.min(room);
            if x > 0.0 && x + w > room {
                x = 0.0;
                line += 1;
            }
            x += w;
            (x - w, w, line)
        })
        .collect()
}

fn lines(places: &[(f32, f32, usize)]) -> f32 {
    places.last().map_or(1.0, |(_, _, line)| *line as f32 + 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_flow_to_the_next_line() {
        let places = flow([60.0, 60.0, 60.0].into_iter(), 0.0, 130.0);
        assert_eq!(places, [(0.0, 60.0, 0), (60.0, 60.0, 0), (0.0, 60.0, 1)]);
        // One wider than the room is held to it and never leaves an empty line behind.
        assert_eq!(flow([500.0].into_iter(), 0.0, 130.0), [(0.0, 130.0, 0)]);
        assert!((lines(&places) - 2.0).abs() < f32::EPSILON && (lines(&[]) - 1.0).abs() < f32::EPSILON);
    }
}
