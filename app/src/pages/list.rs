//! A prepared list for a record table: rows made once for a version of the flock, with what they sort by.

use super::Intent;
use crate::parts::record_table::{Cell, RecordTable, Rows, TableState, missing_last};
use crate::parts::{Field, Form, FormEvent, take_keyboard};
use hirsel_core::exchange::shown;
use hirsel_core::flock::natural;
use hirsel_core::phrase;
use hirsel_core::terms::Text;
use std::borrow::Cow;
use std::cmp::Ordering;
use std::fmt::Debug;
use std::hash::Hash;

/// What a cell sorts by; nothing comes last.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum By {
    /// Words and tags, figures in them by value.
    Text(String),
    /// Figures, days, ages.
    Number(i64),
    /// Nothing.
    Nothing,
}

impl By {
    /// A number, if there is one.
    pub fn number(n: Option<i64>) -> Self {
        n.map_or(Self::Nothing, Self::Number)
    }

    fn compare(&self, other: &Self) -> Ordering {
        match (self, other) {
            (Self::Text(a), Self::Text(b)) => match (a.is_empty(), b.is_empty()) {
                (false, false) => natural(a, b),
                (a, b) => a.cmp(&b),
            },
            (Self::Number(a), Self::Number(b)) => a.cmp(b),
            (a, b) => missing_last(a.place(), b.place()),
        }
    }

    fn place(&self) -> Option<u8> {
        match self {
            Self::Nothing => None,
            Self::Number(_) => Some(0),
            Self::Text(_) => Some(1),
        }
    }
}

/// One prepared row.
#[derive(Debug, Clone)]
pub struct Row<K> {
    /// Its record.
    pub key: K,
    /// Cell and what it sorts by, for each column.
    pub cells: Vec<(Cell, By)>,
    /// As one sentence; from the cells when empty.
    pub sentence: String,
    /// As plain text for export, in the order of the columns.
    pub plain: Vec<String>,
    /// A line is drawn under it.
    pub line: bool,
    /// What the plain texts are.
    kinds: Vec<shown::Cell>,
    /// Which plain text belongs to each cell.
    places: Vec<usize>,
}

impl<K> Row<K> {
    /// A row; add cells to it.
    pub fn new(key: K) -> Self {
        Self {
            key,
            cells: Vec::new(),
            sentence: String::new(),
            plain: Vec::new(),
            line: false,
            kinds: Vec::new(),
            places: Vec::new(),
        }
    }

    /// A plain cell that sorts by its words.
    #[must_use]
    pub fn text(self, text: impl Into<Text>) -> Self {
        let text = text.into();
        let plain = text.as_str().to_string();
        self.cell(Cell::text(text), By::Text(plain.clone()), plain)
    }

    /// A strong cell: the tag.
    #[must_use]
    pub fn tag(self, text: impl Into<String>) -> Self {
        let text = text.into();
        self.cell(Cell::text(text.clone()).strong(), By::Text(text.clone()), text)
    }

    /// A cell that sorts by a number.
    #[must_use]
    pub fn number(self, text: impl Into<String>, by: Option<i64>) -> Self {
        let text = text.into();
        self.cell(Cell::text(text.clone()), By::number(by), text)
    }

    /// Any cell, what it sorts by, and its words.
    #[must_use]
    pub fn cell(mut self, cell: Cell, by: By, plain: impl Into<String>) -> Self {
        self.kinds.push(match by {
            By::Text(_) => shown::Cell::Words,
            By::Number(_) => shown::Cell::Figures,
            By::Nothing => shown::Cell::Open,
        });
        self.places.push(self.plain.len());
        self.cells.push((cell, by));
        self.plain.push(plain.into());
        self
    }

    /// A column of the exported table that is not shown.
    #[must_use]
    pub fn hidden(mut self, plain: impl Into<String>) -> Self {
        self.plain.push(plain.into());
        self.kinds.push(shown::Cell::Open);
        self
    }

    /// Its plain texts with what each is.
    fn shown(&self) -> Vec<(shown::Cell, String)> {
        self.kinds.iter().copied().zip(self.plain.iter().cloned()).collect()
    }

    /// A line is drawn under it, or none.
    #[must_use]
    pub fn lined(mut self, line: bool) -> Self {
        self.line = line;
        self
    }

    /// The row as one spoken sentence.
    #[must_use]
    pub fn said(mut self, sentence: impl Into<String>) -> Self {
        self.sentence = sentence.into();
        self
    }
}

/// A list of prepared rows and the number that tells it from the one before.
#[derive(Debug, Clone)]
pub struct List<K> {
    /// The rows.
    pub rows: Vec<Row<K>>,
    version: u64,
}

impl<K> Default for List<K> {
    fn default() -> Self {
        Self { rows: Vec::new(), version: 0 }
    }
}

impl<K> List<K> {
    /// Replaces the rows.
    pub fn set(&mut self, rows: Vec<Row<K>>) {
        self.rows = rows;
        self.version += 1;
    }
}

/// Two buttons that take a list out as it stands on the screen, in its order: as a table, and on paper.
pub fn take_out<K: Copy + Eq + Hash + Debug>(
    ui: &mut egui::Ui,
    name: &str,
    heads: &[&str],
    list: &List<K>,
    table: &mut TableState<K>,
    out: &mut Vec<Intent>,
) {
    let some = !list.rows.is_empty();
    let rows = |table: &mut TableState<K>| -> Vec<Vec<String>> {
        table.order(list).iter().filter_map(|i| list.rows.get(*i as usize)).map(|r| r.plain.clone()).collect()
    };
    if ui.add_enabled(some, egui::Button::new(phrase!("Save as a table…"))).clicked() {
        let all = table.order(list).iter().filter_map(|i| list.rows.get(*i as usize));
        out.push(Intent::SaveTable(shown::listed(name, heads, all.map(Row::shown).collect())));
    }
    if ui.add_enabled(some, egui::Button::new(phrase!("Print the list"))).clicked() {
        out.push(Intent::PrintList {
            title: name.into(),
            heads: heads.iter().map(|h| h.replace('_', " ")).collect(),
            rows: rows(table),
        });
    }
}

impl<K: Copy + Eq + Hash + Debug> Rows for List<K> {
    type Key = K;

    fn version(&self) -> u64 {
        self.version
    }

    fn len(&self) -> usize {
        self.rows.len()
    }

    fn key(&self, row: usize) -> K {
        self.rows[row].key
    }

    fn compare(&self, column: usize, a: usize, b: usize) -> Ordering {
        match (self.rows[a].cells.get(column), self.rows[b].cells.get(column)) {
            (Some(a), Some(b)) => a.1.compare(&b.1),
            _ => Ordering::Equal,
        }
    }

    fn cell(&self, column: usize, row: usize) -> Cell {
        self.rows[row].cells.get(column).map_or_else(Cell::empty, |c| c.0.clone())
    }

    fn plain(&self, column: usize, row: usize) -> (shown::Cell, String) {
        let row = &self.rows[row];
        let place = row.places.get(column).copied().unwrap_or(usize::MAX);
        match (row.kinds.get(place), row.plain.get(place)) {
            (Some(kind), Some(text)) => (*kind, text.clone()),
            _ => (shown::Cell::Open, String::new()),
        }
    }

    fn line_under(&self, row: usize) -> bool {
        self.rows[row].line
    }

    fn sentence(&self, row: usize) -> String {
        self.spoken(row, &|text| Cow::Borrowed(text))
    }

    fn spoken(&self, row: usize, say: &dyn Fn(&'static str) -> Cow<'static, str>) -> String {
        let row = &self.rows[row];
        if !row.sentence.is_empty() {
            return row.sentence.clone();
        }
        let fixed = |place: usize, plain: &str| {
            let cell = row.places.iter().position(|p| *p == place).and_then(|n| row.cells.get(n));
            cell.and_then(|(cell, _)| cell.fixed()).filter(|text| *text == plain).map(say)
        };
        row.plain
            .iter()
            .enumerate()
            .take(row.cells.len())
            .filter(|(_, p)| !p.is_empty())
            .map(|(n, p)| fixed(n, p).unwrap_or_else(|| p.clone().into()))
            .collect::<Vec<_>>()
            .join(", ")
    }
}

/// The search field over a table. `into` gives it the keyboard once; tells whether Enter or the down arrow leads on
/// into the table.
pub fn search_field(
    ui: &mut egui::Ui,
    name: &str,
    example: impl Into<Text>,
    into: &mut bool,
    text: &mut String,
) -> bool {
    search_field_of(ui, name, "", example, into, text)
}

/// The same on a page with several: `of` is spoken with its name.
pub fn search_field_of(
    ui: &mut egui::Ui,
    name: &str,
    of: &str,
    example: impl Into<Text>,
    into: &mut bool,
    text: &mut String,
) -> bool {
    let mut form = Form::new(ui, name).label_width(60.0);
    form.set_part(of);
    form.focus_once(ui, into, "Search");
    let field = Field::new("Search").width(300.0).example(example);
    let response = form.field(ui, &field, text).response;
    let down = response.has_focus() && ui.input(|i| i.key_pressed(egui::Key::ArrowDown));
    form.finish(ui) == FormEvent::Submitted || down
}

/// Gives the keyboard to the table of this name, which is drawn in the same `ui`.
pub fn into_table(ui: &egui::Ui, name: impl Into<Text>) {
    take_keyboard(ui, RecordTable::new(name, &[]).id(ui));
}

/// Whether every word of a search stands somewhere in the texts, in any order and case.
pub fn fits<'a>(search: &str, texts: impl IntoIterator<Item = &'a str>) -> bool {
    if search.trim().is_empty() {
        return true;
    }
    let all = texts.into_iter().map(str::to_lowercase).collect::<Vec<_>>().join("\n");
    search.to_lowercase().split_whitespace().all(|word| all.contains(word))
}

/// Height of a table with so many rows, held between `least` and `most` rows seen.
pub fn height(rows: usize, least: usize, most: usize) -> f32 {
    crate::look::space::ROW * (rows.clamp(least, most) as f32) + 38.0
}

#[cfg(test)]
mod tests {
    use super::fits;

    #[test]
    fn every_word_of_a_search_must_stand_somewhere() {
        let texts = ["0412", "Levamisole drench", "foot rot"];
        for yes in ["", "  ", "leva", "rot 0412", "DRENCH 41"] {
            assert!(fits(yes, texts), "{yes}");
        }
        // A word is never found across two texts.
        for no in ["leva 0413", "0412levamisole", "drenchfoot"] {
            assert!(!fits(no, texts), "{no}");
        }
    }
}
