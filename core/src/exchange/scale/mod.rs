//! Text files as electronic readers and scale heads write them: any sign between values, with or without a head line,
//! tags, weights, days in any dress. Read into a preview first; the keeper may say which column is what; then written
//! as one session at the scale. Columns are known by their heads and by what stands in them, not by who made the device.
//!
//! A file of tags alone tells who was there and in which order they came.

mod columns;
mod days;
mod fault;
pub(in crate::exchange) mod number;
mod preview;
mod rows;
mod text;
mod weight;

pub use super::days::DateOrder;
pub use fault::ScaleUnfit;
pub(super) use number::{find as find_tag, is_cut_short};
pub use preview::{DateAsk, DaySession, NewNumber, Preview};
pub use rows::{ScaleRow, Who};
pub(super) use text::plain_lines;

use super::names::Names;
use crate::flock::Flock;
use crate::terms::{Day, Misread, ScoreKind, Units};
use std::collections::BTreeSet;
use text::{Line, Sign};

/// Bytes of the largest file that is read: a season at the scale takes far less.
pub const MOST_BYTES: usize = 8 << 20;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Role {
    /// Nothing that is wanted.
    Skip,
    /// A tag that can be read by eye.
    Tag,
    /// The electronic number.
    Electronic,
    /// The weight.
    Weight,
    /// The day.
    Day,
    /// The time.
    Time,
    /// Day and time in one.
    DayTime,
    /// A remark.
    Note,
    /// A score.
    Score(ScoreKind),
}

impl Role {
    /// All of them, in the order of a choice.
    pub fn all() -> Vec<Self> {
        let mut all = vec![
            Self::Skip,
            Self::Tag,
            Self::Electronic,
            Self::Weight,
            Self::Day,
            Self::Time,
            Self::DayTime,
            Self::Note,
        ];
        all.extend(ScoreKind::ALL.into_iter().map(Self::Score));
        all
    }

    /// As people read it.
    pub fn words(self) -> String {
        match self {
            Self::Skip => "left out".into(),
            Self::Tag => "tag".into(),
            Self::Electronic => "electronic number".into(),
            Self::Weight => "weight".into(),
            Self::Day => "day".into(),
            Self::Time => "time".into(),
            Self::DayTime => "day and time".into(),
            Self::Note => "remark".into(),
            Self::Score(kind) => format!("score of {}", kind.word()),
        }
    }
}

/// What a figure without a unit weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Kilograms.
    Kg,
    /// Pounds.
    Lb,
}

impl Unit {
    /// `kg` or `lb`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Kg => "kg",
            Self::Lb => "lb",
        }
    }

    /// From the word.
    ///
    /// # Errors
    /// Names the two.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        match text.trim().to_lowercase().as_str() {
            "kg" => Ok(Self::Kg),
            "lb" => Ok(Self::Lb),
            other => Err(Misread::new(format!("'{other}' is no unit of a scale: write kg or lb"))),
        }
    }
}

/// A column as it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeenColumn {
    /// Its head; nothing where the file has none.
    pub head: String,
    /// Its first values.
    pub sample: String,
    /// What it was taken for.
    pub role: Role,
}

/// What the keeper says of a file; nothing said: as it was read.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Choice {
    /// What each column holds.
    pub roles: Option<Vec<Role>>,
    /// How days are written.
    pub order: Option<DateOrder>,
    /// What figures without a unit are.
    pub unit: Option<Unit>,
    /// The day, where the file does not say; of a file with several days only this one.
    pub on: Option<Day>,
    /// Lines that are to be taken or left otherwise than proposed.
    pub turned: BTreeSet<usize>,
}

/// A file, taken apart.
#[derive(Debug)]
pub struct ScaleFile {
    name: String,
    head: Option<Line>,
    lines: Vec<Line>,
    sign: Sign,
    comments: usize,
    is_latin: bool,
    width: usize,
    roles: Vec<Role>,
}

impl ScaleFile {
    /// Takes a file apart and finds out which column is what. `name` names it in sentences.
    ///
    /// # Errors
    /// Nothing can be made of it.
    pub fn read(name: &str, bytes: &[u8], flock: &Flock) -> Result<Self, ScaleUnfit> {
        let names = Names::of(flock);
        let text::Lines { mut lines, sign, mut comments, is_latin } = text::read(bytes)?;
        // What a device says of itself before the table has another number of values.
        let width = common_width(&lines);
        let first = lines.iter().position(|l| l.cells.len() == width).unwrap_or(0);
        let before = lines.iter().take(first).all(|l| l.cells.len() < width);
        if first > 0 && before && lines.len() > first {
            lines.drain(..first);
            comments += first;
        }
        let head = lines.first().filter(|l| columns::is_head(l, &names)).cloned();
        if head.is_some() {
            lines.remove(0);
        }
        if lines.is_empty() {
            return Err(ScaleUnfit::NothingThere);
        }
        let widest = |l: &Line| l.cells.len();
        let width = lines.iter().chain(&head).map(widest).max().unwrap_or(0).min(60);
        let roles = columns::roles(head.as_ref(), &lines, width, &names);
        if !roles.iter().any(|r| matches!(r, Role::Tag | Role::Electronic)) {
            let seen: Vec<String> = lines.iter().take(2).map(|l| l.cells.join(" ")).collect();
            return Err(ScaleUnfit::NoTags(format!("the file begins with '{}'", seen.join("', '"))));
        }
        Ok(Self { name: name.into(), head, lines, sign, comments, is_latin, width, roles })
    }

    /// Whether it has a head line, and how many lines.
    pub(super) fn shape(&self) -> (bool, usize) {
        (self.head.is_some(), self.lines.len())
    }

    /// The file's name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its columns as they were read.
    pub fn columns(&self) -> Vec<SeenColumn> {
        (0..self.width)
            .map(|at| {
                let head = self.head.as_ref().and_then(|h| h.cells.get(at)).cloned().unwrap_or_default();
                let some = self.lines.iter().filter_map(|l| l.cells.get(at)).filter(|c| !c.is_empty());
                let sample: Vec<&str> = some.take(3).map(String::as_str).collect();
                SeenColumn { head, sample: sample.join(", "), role: self.roles[at] }
            })
            .collect()
    }

    /// The unit of figures without one: by the head, else the book's.
    pub fn unit(&self, roles: &[Role], units: Units) -> (Unit, bool) {
        let at = roles.iter().position(|r| *r == Role::Weight);
        let head = at.and_then(|at| self.head.as_ref()?.cells.get(at));
        match head.and_then(|h| columns::unit(h)) {
            Some(unit) => (unit, true),
            None if units == Units::Imperial => (Unit::Lb, false),
            None => (Unit::Kg, false),
        }
    }

    /// The file read against the flock, as the keeper says; nothing is written.
    pub fn preview(&self, choice: &Choice, flock: &Flock, today: Day) -> Preview {
        preview::make(self, choice, flock, &Names::of(flock), today)
    }
}

/// The number of values most lines have.
fn common_width(lines: &[Line]) -> usize {
    let mut counts = std::collections::BTreeMap::new();
    for l in lines.iter().take(300) {
        *counts.entry(l.cells.len()).or_insert(0usize) += 1;
    }
    counts.into_iter().max_by_key(|(n, c)| (*c, *n)).map_or(0, |(n, _)| n)
}

#[cfg(test)]
mod layouts;
#[cfg(test)]
mod tests;
