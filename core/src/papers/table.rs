//! A table that flows over pages: wrapped cells, repeated headings, rows kept whole.
//!
//! Invariant: every word of every cell lands on a page. A row goes to the next page rather than be split; only one
//! that is taller than a whole page is split between lines.

use crate::terms::speech::said;
use std::borrow::Cow;

use super::flow::Flow;
use super::sheet::{Face, Ink, Look};
use super::{PaperFailed, Watch, text};

/// How wide a column is.
#[derive(Debug, Clone, Copy)]
pub enum Width {
    /// Fixed, in millimetres.
    Mm(f32),
    /// A share of what the fixed columns leave.
    Share(f32),
}

/// Where a cell's text stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// At the left edge.
    Left,
    /// At the right edge, for figures.
    Right,
}

/// One column.
#[derive(Debug, Clone)]
pub struct Column {
    /// Its heading, repeated on every page.
    pub heading: Cow<'static, str>,
    /// How wide it is.
    pub width: Width,
    /// Where its text stands.
    pub align: Align,
    /// A line down its left side, on every row: something is written into it by hand.
    pub ruled: bool,
}

impl Column {
    /// A column of words.
    pub fn new(heading: impl Into<Cow<'static, str>>, width: Width) -> Self {
        Column { heading: heading.into(), width, align: Align::Left, ruled: false }
    }

    /// A column of figures.
    pub fn figures(heading: impl Into<Cow<'static, str>>, width: Width) -> Self {
        Column { heading: heading.into(), width, align: Align::Right, ruled: false }
    }

    /// The same with a line down its left side.
    #[must_use]
    pub fn ruled(self) -> Self {
        Column { ruled: true, ..self }
    }
}

/// A piece of a cell with its own look, on lines of its own.
#[derive(Debug, Clone)]
pub struct Part {
    face: Face,
    ink: Ink,
    /// Share of the table's type size.
    scale: f32,
    words: String,
    struck: bool,
    never_struck: bool,
    boxed: bool,
}

/// One cell: parts, one under another.
#[derive(Debug, Clone, Default)]
pub struct Cell(Vec<Part>);

impl Cell {
    /// Plain words.
    pub fn new(words: impl Into<String>) -> Self {
        Cell::default().and(Face::Sans, Ink::Black, 1.0, words)
    }

    /// Words that are looked for first.
    pub fn strong(words: impl Into<String>) -> Self {
        Cell::default().and(Face::SansStrong, Ink::Black, 1.0, words)
    }

    /// Adds plain words below.
    pub fn and_line(self, words: impl Into<String>) -> Self {
        self.and(Face::Sans, Ink::Black, 1.0, words)
    }

    /// Adds a smaller, grey line below.
    pub fn under(self, words: impl Into<String>) -> Self {
        self.and(Face::Sans, Ink::Grey, 0.88, words)
    }

    /// Adds a remark in italics below.
    pub fn remark(self, words: impl Into<String>) -> Self {
        self.and(Face::SansItalic, Ink::Grey, 0.92, words)
    }

    /// Adds an old value, struck through and readable.
    pub fn was(mut self, words: impl Into<String>) -> Self {
        self = self.and(Face::Sans, Ink::Grey, 0.92, words);
        if let Some(part) = self.0.last_mut() {
            part.struck = true;
        }
        self
    }

    /// Adds words with an empty box before them, to be ticked by hand.
    pub fn boxed(mut self, words: impl Into<String>) -> Self {
        self = self.and(Face::Sans, Ink::Black, 1.0, words);
        if let Some(part) = self.0.last_mut() {
            part.boxed = true;
        }
        self
    }

    /// The same for what is overdue: it stands out by its weight as well.
    pub fn boxed_strong(mut self, words: impl Into<String>) -> Self {
        self = self.boxed(words);
        if let Some(part) = self.0.last_mut() {
            part.face = Face::SansStrong;
        }
        self
    }

    /// Adds a remark that is never struck through, even when its row is.
    pub fn unstruck(mut self, words: impl Into<String>) -> Self {
        self = self.remark(words);
        if let Some(part) = self.0.last_mut() {
            part.never_struck = true;
        }
        self
    }

    fn and(mut self, face: Face, ink: Ink, scale: f32, words: impl Into<String>) -> Self {
        let words = words.into();
        if !words.trim().is_empty() {
            self.0.push(Part { face, ink, scale, words, struck: false, never_struck: false, boxed: false });
        }
        self
    }
}

/// One row.
#[derive(Debug, Clone, Default)]
pub struct Row {
    /// A cell for each column, in order.
    pub cells: Vec<Cell>,
    /// Struck out: all its words carry a line through them (its notes do not).
    pub struck: bool,
    /// Remarks over the whole width below the cells.
    pub notes: Vec<String>,
}

/// What parts the rows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Between {
    /// A hairline below each row.
    Hairline,
    /// Every other row on a ground.
    Zebra,
}

/// A table's columns and type.
#[derive(Debug, Clone)]
pub struct Table {
    /// The columns, left to right.
    pub columns: Vec<Column>,
    /// Type size in points.
    pub size_pt: f32,
    /// What parts the rows.
    pub between: Between,
}

/// Room above and below the text of a row.
const PAD_Y: f32 = 0.9;
/// Room left and right of the text of a cell.
const PAD_X: f32 = 1.1;

struct Line {
    look: Look,
    words: String,
    struck: bool,
    /// Set in from the left, for a box.
    indent: f32,
    /// The box stands before this line.
    boxed: bool,
}

impl Line {
    /// Its height; a box needs room for a pencil.
    fn tall(&self) -> f32 {
        self.look.leading_mm() * if self.boxed { BOX_LEADING } else { 1.0 }
    }
}

/// How much taller a line with a box is.
const BOX_LEADING: f32 = 1.22;
/// Side of a box, as a share of the distance of baselines, and the room it takes with the gap after it.
const BOX_SIDE: f32 = 0.84;
const BOX_ROOM: f32 = 1.3;

/// A row broken into lines: one list for each column, the last one over the whole width.
struct Broken {
    columns: Vec<Vec<Line>>,
    notes: Vec<Line>,
}

impl Table {
    /// Paints the headings and all rows, turning pages as needed. `watch` is asked every hundred rows.
    ///
    /// # Errors
    /// [`PaperFailed::Stopped`] when `watch` says so.
    pub fn flow(
        &self,
        flow: &mut Flow<'_>,
        rows: impl ExactSizeIterator<Item = Row>,
        watch: Watch<'_>,
    ) -> Result<(), PaperFailed> {
        self.lay(flow, rows, watch, false)
    }

    /// The same where a long row may begin on one page and go on on the next: lists of animals would else leave half
    /// a page empty.
    ///
    /// # Errors
    /// [`PaperFailed::Stopped`] when `watch` says so.
    pub fn flow_split(
        &self,
        flow: &mut Flow<'_>,
        rows: impl ExactSizeIterator<Item = Row>,
        watch: Watch<'_>,
    ) -> Result<(), PaperFailed> {
        self.lay(flow, rows, watch, true)
    }

    fn lay(
        &self,
        flow: &mut Flow<'_>,
        rows: impl ExactSizeIterator<Item = Row>,
        watch: Watch<'_>,
        split: bool,
    ) -> Result<(), PaperFailed> {
        let total = rows.len();
        let spans = self.spans(flow.body().x, flow.body().w);
        let headings = self.headings(&spans);
        let mut rows = rows.enumerate().peekable();
        // A heading never stands alone at the foot of a page: the first row stands below it, whole if a page can hold it.
        let first = rows.peek().map_or(8.0, |(_, row)| height_of(&self.broken(flow.body().w, &spans, row)));
        let first = if split || height_of(&headings) + first > flow.body().h - HEAD { 8.0 } else { first };
        flow.need_with_heading(height_of(&headings) + first);
        self.paint_headings(flow, &spans, &headings);
        for (i, row) in rows {
            if i % 100 == 0 && !watch(i, total) {
                return Err(PaperFailed::Stopped);
            }
            self.row(flow, (&spans, &headings), &row, i, split);
        }
        Ok(())
    }

    /// Left edge and width of every column.
    fn spans(&self, x: f32, width: f32) -> Vec<(f32, f32)> {
        let (mut fixed, mut shares) = (0.0, 0.0);
        for column in &self.columns {
            match column.width {
                Width::Mm(mm) => fixed += mm,
                Width::Share(share) => shares += share,
            }
        }
        // Fixed columns wider than the page give way together.
        let squeeze = if fixed > width { width / fixed } else { 1.0 };
        let rest = (width - fixed * squeeze).max(0.0);
        let mut at = x;
        self.columns
            .iter()
            .map(|column| {
                let wide = match column.width {
                    Width::Mm(mm) => mm * squeeze,
                    Width::Share(share) => rest * share / shares,
                };
                at += wide;
                (at - wide, wide)
            })
            .collect()
    }

    fn headings(&self, spans: &[(f32, f32)]) -> Broken {
        let look = Look::new(Face::SansStrong, self.size_pt * 0.92);
        let columns = self
            .columns
            .iter()
            .zip(spans)
            .map(|(column, (_, wide))| {
                let heading = match &column.heading {
                    Cow::Borrowed(fixed) => said(fixed),
                    Cow::Owned(given) => Cow::Owned(given.clone()),
                };
                lines(look, &heading, wide - 2.0 * PAD_X, false)
            })
            .collect();
        Broken { columns, notes: Vec::new() }
    }

    fn paint_headings(&self, flow: &mut Flow<'_>, spans: &[(f32, f32)], headings: &Broken) {
        let (body, y, tall) = (flow.body(), flow.y, height_of(headings));
        let page = flow.page();
        page.fill(super::Area::new(body.x, y, body.w, tall), 0.0, Ink::Wash);
        page.rule(body.x, y + tall, body.w, 0.3, Ink::Black);
        let deepest = headings.columns.iter().map(|l| stack_of(l)).fold(0.0, f32::max);
        for ((column, lines), (x, wide)) in self.columns.iter().zip(&headings.columns).zip(spans) {
            // Headings stand on the rule, however many lines their neighbours have.
            let mut top = y + PAD_Y + deepest - stack_of(lines);
            for line in lines {
                paint_line(page, line, (*x, *wide), top, column.align);
                top += line.tall();
            }
        }
        flow.y += tall;
    }

    fn row(
        &self,
        flow: &mut Flow<'_>,
        (spans, headings): (&[(f32, f32)], &Broken),
        row: &Row,
        number: usize,
        split: bool,
    ) {
        let mut rest = self.broken(flow.body().w, spans, row);
        let tall = height_of(&rest);
        if tall > flow.left() {
            let whole_page = flow.body().h - height_of(headings);
            // A row that no page can hold starts where it is if there is room for a few lines.
            let long = split && tall > LONG && flow.left() > LONG / 2.0;
            if !long && tall <= whole_page || flow.left() < 4.0 * self.size_pt * super::sheet::MM_PER_PT {
                flow.turn_page();
                self.paint_headings(flow, spans, headings);
            }
        }
        loop {
            let before = rest.columns.iter().map(Vec::len).sum::<usize>() + rest.notes.len();
            self.paint_fragment(flow, spans, &mut rest, number);
            let after = rest.columns.iter().map(Vec::len).sum::<usize>() + rest.notes.len();
            if after == 0 {
                return;
            }
            flow.turn_page();
            self.paint_headings(flow, spans, headings);
            if after == before && flow.left() < 2.0 * PAD_Y + 20.0 {
                // No page has room for one line (absurd margins): rather too low than lost or endless.
                debug_assert!(false, "the page's body is lower than one line");
                return;
            }
        }
    }

    fn broken(&self, width: f32, spans: &[(f32, f32)], row: &Row) -> Broken {
        let columns = spans
            .iter()
            .enumerate()
            .map(|(i, (_, wide))| {
                let Some(cell) = row.cells.get(i) else { return Vec::new() };
                cell.0
                    .iter()
                    .flat_map(|part| {
                        let ink = if row.struck { Ink::Grey } else { part.ink };
                        let look = Look::new(part.face, self.size_pt * part.scale).ink(ink);
                        let indent = if part.boxed { look.leading_mm() * BOX_ROOM } else { 0.0 };
                        let struck = part.struck || row.struck && !part.never_struck;
                        let mut all = lines(look, &part.words, wide - 2.0 * PAD_X - indent, struck);
                        for (i, line) in all.iter_mut().enumerate() {
                            line.indent = indent;
                            line.boxed = part.boxed && i == 0;
                        }
                        all
                    })
                    .collect()
            })
            .collect();
        let look = Look::new(Face::SansItalic, self.size_pt);
        let notes = row
            .notes
            .iter()
            .flat_map(|note| lines(look, note, width - 2.0 * PAD_X - NOTE_INDENT, false))
            .collect();
        Broken { columns, notes }
    }

    /// Paints as many lines as this page takes and removes them from `rest`.
    fn paint_fragment(&self, flow: &mut Flow<'_>, spans: &[(f32, f32)], rest: &mut Broken, number: usize) {
        let (top, bottom, body) = (flow.y, flow.body().bottom(), flow.body());
        let fits = |lines: &[Line], from: f32| -> usize {
            let mut y = from;
            lines
                .iter()
                .take_while(|line| {
                    y += line.tall();
                    y <= bottom - PAD_Y + 0.01
                })
                .count()
        };
        let counts: Vec<usize> = rest.columns.iter().map(|lines| fits(lines, top + PAD_Y)).collect();
        let taken: Vec<Vec<Line>> =
            rest.columns.iter_mut().zip(&counts).map(|(lines, n)| lines.drain(..*n).collect()).collect();
        let deepest = taken.iter().map(|lines| stack_of(lines)).fold(0.0, f32::max);
        // Notes come after all cells are through.
        let done = rest.columns.iter().all(Vec::is_empty);
        let notes_top = top + PAD_Y + deepest;
        let n = if done { fits(&rest.notes, notes_top) } else { 0 };
        let notes: Vec<Line> = rest.notes.drain(..n).collect();
        let tall = 2.0 * PAD_Y + deepest + stack_of(&notes);

        let page = flow.page();
        if self.between == Between::Zebra && number % 2 == 1 {
            page.fill(super::Area::new(body.x, top, body.w, tall), 0.0, Ink::Wash);
        }
        for ((column, lines), span) in self.columns.iter().zip(&taken).zip(spans) {
            let mut y = top + PAD_Y;
            for line in lines {
                paint_line(page, line, *span, y, column.align);
                y += line.tall();
            }
        }
        for (column, (x, _)) in self.columns.iter().zip(spans) {
            if column.ruled {
                page.line((*x, top), (*x, top + tall), 0.15, Ink::Rule);
            }
        }
        let mut y = notes_top;
        for line in &notes {
            paint_line(page, line, (body.x + NOTE_INDENT, body.w - NOTE_INDENT), y, Align::Left);
            y += line.look.leading_mm();
        }
        if !notes.is_empty() {
            let x = body.x + NOTE_INDENT - 0.4;
            page.line((x, notes_top + 0.6), (x, y - 0.4), 0.5, Ink::Rule);
        }
        if self.between == Between::Hairline {
            page.rule(body.x, top + tall, body.w, 0.12, Ink::Pale);
        }
        flow.y = top + tall;
    }
}

/// A row as tall as this may be split where its table allows it, if half of that is left on the page.
const LONG: f32 = 40.0;
/// Room the small head of a page takes at most.
const HEAD: f32 = 12.0;

/// How far the notes of a row are set in.
const NOTE_INDENT: f32 = 3.0;

fn lines(look: Look, words: &str, width: f32, struck: bool) -> Vec<Line> {
    look.wrap(words, width)
        .into_iter()
        .map(|words| Line { look, words, struck, indent: 0.0, boxed: false })
        .collect()
}

fn stack_of(lines: &[Line]) -> f32 {
    lines.iter().map(Line::tall).sum()
}

fn height_of(row: &Broken) -> f32 {
    2.0 * PAD_Y + row.columns.iter().map(|l| stack_of(l)).fold(0.0, f32::max) + stack_of(&row.notes)
}

fn paint_line(page: &mut super::Page, line: &Line, (x, wide): (f32, f32), top: f32, align: Align) {
    let baseline = top + line.tall() - line.look.leading_mm() * 0.22;
    if line.boxed {
        let side = line.look.leading_mm() * BOX_SIDE;
        let middle = baseline - line.look.cap_mm() / 2.0;
        let at = super::Area::new(x + PAD_X, middle - side / 2.0, side, side);
        page.outline(at, 0.0, Ink::Black, 0.22);
    }
    let from = match align {
        Align::Left => x + PAD_X + line.indent,
        Align::Right => x + wide - PAD_X - line.look.width_mm(&line.words),
    };
    let to = page.text(from, baseline, line.look, &line.words);
    if line.struck {
        let y = baseline - text::x_height_mm(line.look.face, line.look.size_pt) * 0.5;
        page.rule(from, y, to - from, 0.22, Ink::Black);
    }
}

#[cfg(test)]
mod tests;
