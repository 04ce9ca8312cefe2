//! A file as lines of cells, wherever they came from.

use crate::terms::{Day, Minute};

/// The most bytes of a file.
pub const MOST_BYTES: usize = 32 << 20;
/// The most values of a table.
pub(super) const MOST_CELLS: usize = 2_000_000;
/// The most columns: no spreadsheet has more.
pub(super) const MOST_WIDE: usize = 1_000;

/// A value as it stands in the file.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) enum Cell {
    #[default]
    Empty,
    Text(String),
    /// A number, as it would be typed.
    Number(String),
    Day(Day, Option<Minute>),
    Time(Minute),
}

impl Cell {
    pub(super) fn of_text(text: &str) -> Self {
        let text = text.trim_matches(|c: char| c.is_whitespace() || c == '\u{feff}' || c == '\0');
        if text.is_empty() { Self::Empty } else { Self::Text(text.into()) }
    }

    /// A number without the noise of its binary form: a spreadsheet itself keeps 15 figures.
    pub(super) fn of_number(v: f64) -> Self {
        if !v.is_finite() {
            return Self::Empty;
        }
        if v.fract() == 0.0 && v.abs() < 1e15 {
            return Self::Number(format!("{v:.0}"));
        }
        let short: f64 = format!("{v:.14e}").parse().unwrap_or(v);
        Self::Number(format!("{short}"))
    }

    pub(super) fn is_empty(&self) -> bool {
        matches!(self, Self::Empty)
    }

    /// As a person reads it.
    pub(super) fn text(&self) -> String {
        match self {
            Self::Empty => String::new(),
            Self::Text(t) | Self::Number(t) => t.clone(),
            Self::Day(d, None) => d.to_string(),
            Self::Day(d, Some(t)) => format!("{d} {t}"),
            Self::Time(t) => t.to_string(),
        }
    }
}

/// A line with its number in the file, from 1: a line of text, or a row of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct GridLine {
    pub number: usize,
    pub cells: Vec<Cell>,
}

impl GridLine {
    pub(super) fn cell(&self, at: usize) -> &Cell {
        const EMPTY: &Cell = &Cell::Empty;
        self.cells.get(at).unwrap_or(EMPTY)
    }

    pub(super) fn filled(&self) -> usize {
        self.cells.iter().filter(|c| !c.is_empty()).count()
    }
}

/// All lines of a file or sheet that hold anything, and how they were read.
#[derive(Debug, Default)]
pub(super) struct Grid {
    pub lines: Vec<GridLine>,
    /// For the keeper to check: the sign between values, the letters.
    pub how: Vec<String>,
    /// Names of the sheets, where it has several.
    pub sheets: Vec<String>,
    /// The sheet that was read.
    pub sheet: Option<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_as_they_were_typed() {
        for (v, want) in [
            (12.3, "12.3"),
            (f64::from_bits(12.3_f64.to_bits() + 1), "12.3"),
            (0.1 + 0.2, "0.3"),
            (826012345600123.0, "826012345600123"),
            (412.0, "412"),
            (-0.5, "-0.5"),
            (1e15, "1000000000000000"),
        ] {
            assert_eq!(Cell::of_number(v), Cell::Number(want.into()), "{v}");
        }
        assert_eq!(Cell::of_number(f64::NAN), Cell::Empty);
        assert_eq!(Cell::of_text(" \u{feff} "), Cell::Empty);
    }
}
