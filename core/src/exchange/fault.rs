//! What can be wrong with a file, and what looks unlikely in it.

use super::Kind;
use std::fmt;

/// A value that cannot be, with its place and the mend.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadRow {
    /// Line of the file, from 1.
    pub line: usize,
    /// Column.
    pub column: String,
    /// The value as written.
    pub value: String,
    /// What is wrong and what to do.
    pub why: String,
}

impl BadRow {
    pub(super) fn new(line: usize, column: &str, value: &str, why: impl fmt::Display) -> Self {
        let why = why.to_string();
        // Most sentences begin with the value, which is said already.
        let said = format!("'{}' ", value.trim());
        let why =
            why.strip_prefix(&said).map_or(why.as_str(), |rest| rest.strip_prefix("is ").unwrap_or(rest));
        Self { line, column: column.into(), value: value.into(), why: why.into() }
    }
}

impl fmt::Display for BadRow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { line, column, value, why } = self;
        if column.is_empty() {
            return write!(f, "line {line}: {why}");
        }
        write!(f, "line {line}, column {column}: value '{value}': {why}")
    }
}

/// A value that is unlikely, with its place: the import goes through, the keeper looks once more.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution(pub BadRow);

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// What is wrong with the header line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ColumnFault {
    /// No such column.
    #[error("the column '{name}' is not known: {} have the columns {}", .kind.word(), .kind.names().join(", "))]
    Unknown {
        /// As written.
        name: String,
        /// Of this kind.
        kind: Kind,
    },
    /// A column that must be there.
    #[error("the column '{0}' is missing: add it to the first line")]
    Missing(&'static str),
    /// The same column again.
    #[error("the column '{0}' is given twice: take one out")]
    Twice(String),
    /// Values under no name.
    #[error("column {0} has values but no name in the first line: name it or take it out")]
    Unnamed(usize),
}

/// Why a file is not taken. Nothing of it is written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unfit {
    /// Not UTF-8.
    #[error(
        "line {line} is not UTF-8 text ({seen}): open the file in the program that made it and save it as 'CSV UTF-8'"
    )]
    NotUtf8 {
        /// The first such line.
        line: usize,
        /// What stands there.
        seen: String,
    },
    /// A spreadsheet's own file.
    #[error("it is a spreadsheet or a packed file, not CSV text: open it and save it as 'CSV UTF-8'")]
    Spreadsheet,
    /// Not even a header.
    #[error("the file is empty: its first line must name the columns; {} need {}", .0.word(), needed(*.0))]
    Empty(Kind),
    /// Faults of the header line.
    #[error("{}", lines(.0))]
    Columns(Vec<ColumnFault>),
    /// A quote without its end.
    #[error("the quote (\") opened in line {line} is never closed: close it, or write two quotes for one")]
    OpenQuote {
        /// Where it opens.
        line: usize,
    },
    /// Text after a quoted value.
    #[error("line {line} has text after a closing quote (\"): write two quotes for one within a value")]
    AfterQuote {
        /// Where.
        line: usize,
    },
    /// Rows that cannot be, by line.
    #[error("{}", lines(.0))]
    Rows(Vec<BadRow>),
}

impl Unfit {
    /// How many places there are to mend.
    pub fn places(&self) -> usize {
        match self {
            Self::Columns(all) => all.len(),
            Self::Rows(all) => all.len(),
            _ => 1,
        }
    }
}

fn needed(kind: Kind) -> String {
    let names: Vec<_> = kind.columns().iter().filter(|c| c.needed).map(|c| c.name).collect();
    names.join(", ")
}

fn lines<T: fmt::Display>(all: &[T]) -> String {
    all.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}
