//! Tables of any make on their way in: bytes to a grid of cells, columns to their meanings, rows to what they become.
//!
//! [`Incoming::open`] takes a file apart: CSV with any sign between values, `.xlsx`, `.ods`. [`Incoming::preview`] reads
//! it against the flock as the keeper says ([`Choice`]): every row is new, the same, a change, in doubt, or refused with
//! the mend. The rows are put into the words of our own tables, and the checks of those judge them. Nothing is written
//! here, and of what can be read in two ways nothing is guessed.

mod bytes;
mod changed;
mod columns;
mod days;
mod fault;
mod form;
mod grid;
mod held;
mod judge;
mod matching;
mod packed;
mod preview;
mod remembered;
mod text;
mod values;
pub(super) mod words;
mod workbook;

pub use columns::Meaning;
pub use fault::NoTable;
pub use grid::MOST_BYTES;
pub use preview::{CouldBe, Decision, Fate, FieldChange, Preview, Row, SeenColumn};
pub use remembered::Remembered;
pub use words::MassUnit;
#[doc(hidden)]
pub use words::heads_of;

use super::Kind;
use super::scale::DateOrder;
use crate::flock::Flock;
use crate::terms::Day;
use grid::GridLine;
use std::collections::BTreeMap;

/// What the keeper says of a table; nothing said: as it was read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Choice {
    /// What it holds.
    pub kind: Option<Kind>,
    /// What columns are, by their place from 0.
    pub meanings: BTreeMap<usize, Meaning>,
    /// What the figures of columns weigh.
    pub units: BTreeMap<usize, MassUnit>,
    /// How days are written.
    pub order: Option<DateOrder>,
    /// The table may change what the book holds.
    pub change: bool,
    /// Rows to mend and doubtful ones are left out.
    pub skip: bool,
    /// What becomes of rows, by their line.
    pub decisions: BTreeMap<usize, Decision>,
}

/// A file, taken apart.
#[derive(Debug)]
pub struct Incoming {
    name: String,
    sheets: Vec<String>,
    sheet: Option<String>,
    how: Vec<String>,
    heads: Vec<String>,
    has_head: bool,
    lines: Vec<GridLine>,
}

impl Incoming {
    /// Takes a file apart. `name` names it in sentences; of a spreadsheet the sheet asked for is read, or the first that
    /// holds anything.
    ///
    /// # Errors
    /// It is no table.
    pub fn open(name: &str, bytes: &[u8], sheet: Option<&str>, flock: &Flock) -> Result<Self, NoTable> {
        let grid = bytes::read(bytes, sheet)?;
        let mut lines = grid.lines;
        let width = lines.iter().map(|l| l.cells.len()).max().unwrap_or(0);
        let mut how = grid.how;
        let (heads, has_head) = match columns::head_line(&lines, flock) {
            Some((at, over)) => {
                let heads = columns::heads(&lines, at, over, width);
                let number = lines[at].number;
                lines.drain(..=at);
                if at > 0 {
                    how.push(format!("heads in line {number}, what stands before it left out"));
                }
                (heads, true)
            }
            None => (vec![String::new(); width], false),
        };
        if !has_head {
            how.push("no head line: columns are known by what stands in them".into());
        }
        if lines.is_empty() {
            return Err(NoTable::Nothing);
        }
        Ok(Self { name: name.into(), sheets: grid.sheets, sheet: grid.sheet, how, heads, has_head, lines })
    }

    /// The file's name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The head of each column; `column 3` where it has none.
    pub fn heads(&self) -> Vec<String> {
        let named =
            |(i, h): (usize, &String)| if h.is_empty() { format!("column {}", i + 1) } else { h.clone() };
        self.heads.iter().enumerate().map(named).collect()
    }

    /// The place of a column, by its head in any case or its number from 1.
    pub fn column(&self, called: &str) -> Option<usize> {
        let called = called.trim().to_lowercase();
        let heads = self.heads();
        heads.iter().position(|h| h.to_lowercase() == called).or_else(|| {
            let n: usize = called.parse().ok()?;
            (1..=heads.len()).contains(&n).then(|| n - 1)
        })
    }

    /// The kinds it may be of, the likeliest first, each with why.
    pub fn kinds(&self, flock: &Flock, today: Day) -> Vec<(Kind, String)> {
        let names = super::names::Names::of(flock);
        let called = format!("{} {}", self.name, self.sheet.as_deref().unwrap_or_default());
        columns::kinds(&self.seen(&names, today), &called)
    }

    fn seen(&self, names: &super::names::Names, today: Day) -> Vec<columns::Seen> {
        let of = |(at, head): (usize, &String)| columns::Seen::of(head, at, &self.lines, names, today);
        self.heads.iter().enumerate().map(of).collect()
    }

    /// The table read against the flock, as the keeper says; nothing is written.
    pub fn preview(&self, choice: &Choice, flock: &Flock, today: Day) -> Preview {
        judge::preview(self, choice, flock, today)
    }
}

#[cfg(test)]
mod tests;
