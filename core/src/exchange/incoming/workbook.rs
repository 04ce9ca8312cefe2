//! Sheets of a spreadsheet as lines of cells. The file was looked into before: see `packed`.

use super::fault::NoTable;
use super::grid::{Cell, Grid, GridLine, MOST_CELLS, MOST_WIDE};
use crate::terms::{Day, Minute};
use calamine::{Data, DataRef, ExcelDateTime, Ods, Reader, Xlsx};
use std::collections::BTreeMap;
use std::io::Cursor;

/// The most letters that the cells of a sheet may hold together: a text that many cells share is written once in the
/// file.
const MOST_TEXT: usize = 64 << 20;

fn damaged(e: &dyn std::fmt::Display) -> NoTable {
    NoTable::Damaged(e.to_string().chars().take(120).collect())
}

/// Cells by line, in whatever order they come; bounded.
#[derive(Default)]
struct Lines {
    lines: BTreeMap<usize, Vec<Cell>>,
    cells: usize,
    text: usize,
}

impl Lines {
    fn put(&mut self, row: u32, column: u32, cell: Cell) -> Result<(), NoTable> {
        let (number, at) = (row as usize + 1, column as usize);
        if cell.is_empty() || at >= MOST_WIDE {
            return Ok(());
        }
        if let Cell::Text(t) = &cell {
            self.text += t.len();
        }
        let line = self.lines.entry(number).or_default();
        self.cells += (at + 1).saturating_sub(line.len());
        if self.cells > MOST_CELLS || self.text > MOST_TEXT {
            return Err(NoTable::TooMany(MOST_CELLS));
        }
        if line.len() <= at {
            line.resize(at + 1, Cell::Empty);
        }
        line[at] = cell;
        Ok(())
    }

    fn done(self) -> Vec<GridLine> {
        self.lines.into_iter().map(|(number, cells)| GridLine { number, cells }).collect()
    }
}

/// The sheet asked for, or the first that holds anything.
fn chosen(
    names: Vec<String>,
    sheet: Option<&str>,
    mut read: impl FnMut(&str) -> Result<Vec<GridLine>, NoTable>,
) -> Result<Grid, NoTable> {
    let tried: Vec<String> = match sheet {
        None => names.clone(),
        Some(name) => {
            let low = name.trim().to_lowercase();
            let found = names.iter().find(|n| n.trim().to_lowercase() == low);
            let none = || NoTable::NoSheet { name: name.trim().into(), has: names.clone() };
            vec![found.ok_or_else(none)?.clone()]
        }
    };
    for name in tried {
        let lines = read(&name)?;
        if lines.is_empty() {
            continue;
        }
        let mut how = Vec::new();
        if names.len() > 1 {
            how.push(format!("the sheet '{name}' of {}", names.len()));
        }
        return Ok(Grid { lines, how, sheet: Some(name), sheets: names });
    }
    Err(NoTable::Nothing)
}

pub(super) fn xlsx(bytes: &[u8], sheet: Option<&str>) -> Result<Grid, NoTable> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|e| damaged(&e))?;
    let names = book.sheet_names();
    chosen(names, sheet, |name| {
        let mut lines = Lines::default();
        // A sheet of charts alone has no cells.
        let Ok(mut cells) = book.worksheet_cells_reader(name) else { return Ok(Vec::new()) };
        while let Some(cell) = cells.next_cell().map_err(|e| damaged(&e))? {
            let (row, column) = cell.get_position();
            let value = match cell.get_value() {
                DataRef::Int(n) => Cell::of_number(*n as f64),
                DataRef::Float(n) => Cell::of_number(*n),
                DataRef::String(t) => Cell::of_text(t),
                DataRef::SharedString(t) => Cell::of_text(t),
                DataRef::Bool(b) => Cell::Text(if *b { "yes" } else { "no" }.into()),
                DataRef::DateTime(d) => moment(d),
                DataRef::DateTimeIso(t) | DataRef::DurationIso(t) => iso(t),
                DataRef::Error(e) => Cell::Text(e.to_string()),
                DataRef::Empty => Cell::Empty,
            };
            lines.put(row, column, value)?;
        }
        Ok(lines.done())
    })
}

pub(super) fn ods(bytes: &[u8], sheet: Option<&str>) -> Result<Grid, NoTable> {
    let mut book: Ods<_> = Ods::new(Cursor::new(bytes)).map_err(|e| damaged(&e))?;
    let names = book.sheet_names();
    chosen(names, sheet, |name| {
        let range = book.worksheet_range(name).map_err(|e| damaged(&e))?;
        let (top, left) = range.start().unwrap_or_default();
        let mut lines = Lines::default();
        for (row, column, value) in range.used_cells() {
            let value = match value {
                Data::Int(n) => Cell::of_number(*n as f64),
                Data::Float(n) => Cell::of_number(*n),
                Data::String(t) => Cell::of_text(t),
                Data::Bool(b) => Cell::Text(if *b { "yes" } else { "no" }.into()),
                Data::DateTime(d) => moment(d),
                Data::DateTimeIso(t) | Data::DurationIso(t) => iso(t),
                Data::Error(e) => Cell::Text(e.to_string()),
                Data::Empty => Cell::Empty,
            };
            lines.put(top + row as u32, left + column as u32, value)?;
        }
        Ok(lines.done())
    })
}

/// A day, a day with a time, or a time alone as a spreadsheet counts them.
fn moment(d: &ExcelDateTime) -> Cell {
    let v = d.as_f64();
    if !(0.0..2_958_466.0).contains(&v) {
        return Cell::of_number(v);
    }
    let minutes = (v.fract() * 1440.0).round() as u32;
    let time = Minute::new((minutes / 60).min(23), if minutes >= 1440 { 59 } else { minutes % 60 });
    if v < 1.0 || d.is_duration() {
        return time.map_or(Cell::Empty, Cell::Time);
    }
    let (year, month, day, ..) = d.to_ymd_hms_milli();
    match Day::new(i32::from(year), u32::from(month), u32::from(day)) {
        Some(day) => Cell::Day(day, time.filter(|_| minutes > 0)),
        None => Cell::of_number(v),
    }
}

/// `2026-04-03`, `2026-04-03T06:40:00`, `PT06H40M00S`, as open spreadsheets write them.
fn iso(text: &str) -> Cell {
    if let Some(t) = text.strip_prefix("PT") {
        let figures = |from: &str, to: char| -> Option<(u32, String)> {
            let (n, rest) = from.split_once(to)?;
            Some((n.parse().ok()?, rest.to_string()))
        };
        let time =
            figures(t, 'H').and_then(|(h, rest)| Minute::new(h, figures(&rest, 'M').map_or(0, |(m, _)| m)));
        return time.map_or_else(|| Cell::of_text(text), Cell::Time);
    }
    let (day, time) = text.split_once('T').map_or((text, None), |(d, t)| (d, t.get(..5)));
    match Day::parse_iso(day) {
        Ok(day) => {
            let midnight = Minute::new(0, 0);
            Cell::Day(day, time.and_then(|t| Minute::parse(t).ok()).filter(|t| Some(*t) != midnight))
        }
        Err(_) => Cell::of_text(text),
    }
}
