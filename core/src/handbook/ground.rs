//! What a shipped row stands on.

use crate::phrase;
use serde::Deserialize;
use std::fmt;

/// What a row stands on: a text that was read, memory, or common practice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ground {
    /// Read in this source.
    Seen(String),
    /// From memory of this source: shown as such, and never the ground for loosening a check.
    Memory(String),
    /// Common practice, no source.
    Practice,
}

const PRACTICE: &str = "common practice, no source";

impl Ground {
    /// Not read in a text.
    pub fn is_memory(&self) -> bool {
        matches!(self, Self::Memory(_))
    }
}

impl fmt::Display for Ground {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Seen(source) => f.write_str(source),
            Self::Memory(source) => write!(f, "{source} (from memory)"),
            Self::Practice => f.write_str(PRACTICE),
        }
    }
}

/// The source and mark of a row as they are written.
#[derive(Debug)]
pub(crate) struct Marked {
    source: String,
    seen: Option<bool>,
}

impl Marked {
    /// As they are written in one row.
    pub(crate) fn new(source: String, seen: Option<bool>) -> Self {
        Self { source, seen }
    }

    /// The ground, if source and mark are whole.
    pub(crate) fn ground(self) -> Result<Ground, String> {
        match (self.source.trim(), self.seen) {
            ("", _) => Err("a row without a source".into()),
            (PRACTICE, None) => Ok(Ground::Practice),
            (PRACTICE, Some(_)) => Err(phrase!("'{PRACTICE}' takes no mark 'seen'")),
            (source, None) => Err(phrase!("'{source}' needs the mark seen = true or seen = false")),
            (source, Some(true)) => Ok(Ground::Seen(source.into())),
            (source, Some(false)) => Ok(Ground::Memory(source.into())),
        }
    }
}

/// A value to check by, with its ground. One from memory is refused: it may not be the ground of a check.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "Row<T>", bound(deserialize = "T: Deserialize<'de>"))]
pub struct Fact<T> {
    /// The value, in the unit its name ends with.
    pub value: T,
    /// What it stands on.
    pub ground: Ground,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row<T> {
    value: T,
    source: String,
    seen: Option<bool>,
}

impl<T> TryFrom<Row<T>> for Fact<T> {
    type Error = String;

    fn try_from(row: Row<T>) -> Result<Self, String> {
        let ground = Marked::new(row.source, row.seen).ground()?;
        if ground.is_memory() {
            return Err(phrase!("{ground}: a check needs a text that was read, or common practice"));
        }
        Ok(Self { value: row.value, ground })
    }
}
