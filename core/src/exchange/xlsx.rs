//! Lists as a spreadsheet (XLSX): numbers as numbers, days as days, words always as words.
//!
//! Text goes in as strings, never as formulas or links, in cells of the format 'text', so that a tag keeps its leading
//! zeros when it is typed over. The same lists on the same day make the same bytes.

use super::listed::{Listed, Value};
use crate::terms::Day;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, FormatAlign, Workbook, Worksheet, XlsxError};
use std::collections::HashSet;

/// Why lists cannot be a spreadsheet.
#[derive(Debug, thiserror::Error, PartialEq, Eq)]
pub enum Unsaved {
    /// More rows than a sheet holds.
    #[error("{name} has {rows} rows, more than the {most} a sheet holds: save it as CSV", most = MOST_ROWS)]
    Rows {
        /// The list.
        name: String,
        /// Its rows.
        rows: usize,
    },
    /// More columns than a sheet holds.
    #[error("{name} has {columns} columns, more than the {most} a sheet holds: save it as CSV", most = MOST_COLUMNS)]
    Columns {
        /// The list.
        name: String,
        /// Its columns.
        columns: usize,
    },
    /// A text longer than a cell holds.
    #[error(
        "{name}, row {row}, {column}: a text of {signs} signs is more than the {most} a cell holds: save it as CSV",
        most = MOST_SIGNS
    )]
    Long {
        /// The list.
        name: String,
        /// Its row, the first below the heads is 1.
        row: usize,
        /// The column's head.
        column: String,
        /// How many signs.
        signs: usize,
    },
    /// What the writer says.
    #[error("the spreadsheet could not be made ({0}): save it as CSV")]
    Writer(String),
}

impl From<XlsxError> for Unsaved {
    fn from(e: XlsxError) -> Self {
        Self::Writer(e.to_string())
    }
}

/// Rows below the heads: a sheet has 2^20 lines.
const MOST_ROWS: usize = 1_048_575;
const MOST_COLUMNS: usize = 16_384;
/// Signs a cell holds, counted as UTF-16.
const MOST_SIGNS: usize = 32_767;
/// A sheet's name is at most so long, counted as UTF-16.
const MOST_NAME: usize = 31;
/// Widths of columns, in figures of the usual type.
const WIDTHS: (usize, usize) = (6, 60);
/// Rows that are looked at for the width of a column.
const LOOKED_AT: usize = 2_000;

/// Lists as one spreadsheet, a sheet each; `today` is written down as the day it was made.
///
/// # Errors
/// A list is too large for a sheet, or a text for a cell: which, and what to do.
pub fn workbook(lists: &[Listed], today: Day) -> Result<Vec<u8>, Unsaved> {
    let mut book = Workbook::new();
    let made = ExcelDateTime::from_ymd(year(today), month(today), day_of_month(today))?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&made));
    let mut taken = HashSet::new();
    for list in lists {
        let mut sheet = Worksheet::new();
        sheet.set_name(sheet_name(&list.name, &mut taken))?;
        fill(&mut sheet, list)?;
        book.push_worksheet(sheet);
    }
    Ok(book.save_to_buffer()?)
}

fn year(day: Day) -> u16 {
    u16::try_from(day.year()).unwrap_or(0)
}

fn month(day: Day) -> u8 {
    u8::try_from(day.month()).unwrap_or(1)
}

fn day_of_month(day: Day) -> u8 {
    u8::try_from(day.day()).unwrap_or(1)
}

impl Listed {
    /// As a spreadsheet of one sheet.
    ///
    /// # Errors
    /// As [`workbook`].
    pub fn xlsx(&self, today: Day) -> Result<Vec<u8>, Unsaved> {
        workbook(std::slice::from_ref(self), today)
    }
}

/// A name a sheet may have: without the signs that are not allowed, short enough, no other sheet's.
fn sheet_name(name: &str, taken: &mut HashSet<String>) -> String {
    let signs = |c: char| if "[]:*?/\\".contains(c) || c.is_control() { ' ' } else { c };
    let clean: String = name.chars().map(signs).collect();
    let clean = clean.split_whitespace().collect::<Vec<_>>().join(" ");
    let clean = clean.trim_matches('\'').trim();
    // 'History' is kept by spreadsheets for themselves.
    let clean = match clean.to_lowercase().as_str() {
        "" => "List".to_string(),
        "history" => format!("{clean} list"),
        _ => clean.to_string(),
    };
    for n in 1.. {
        let end = if n == 1 { String::new() } else { format!(" {n}") };
        let room = MOST_NAME - end.len();
        let mut units = 0;
        let short: String = clean
            .chars()
            .take_while(|c| {
                units += c.len_utf16();
                units <= room
            })
            .collect();
        let whole = format!("{}{end}", short.trim_end().trim_end_matches('\''));
        if taken.insert(whole.to_lowercase()) {
            return whole;
        }
    }
    clean
}

fn fill(sheet: &mut Worksheet, list: &Listed) -> Result<(), Unsaved> {
    let (rows, columns) = (list.rows.len(), list.heads.len());
    let name = || list.name.clone();
    if rows > MOST_ROWS {
        return Err(Unsaved::Rows { name: name(), rows });
    }
    if columns > MOST_COLUMNS {
        return Err(Unsaved::Columns { name: name(), columns });
    }
    let words = Format::new().set_num_format("@");
    let day = Format::new().set_num_format("yyyy-mm-dd").set_align(FormatAlign::Left);
    for (c, head) in list.heads.iter().enumerate() {
        let place = u16::try_from(c).unwrap_or(u16::MAX);
        let values = || list.rows.iter().filter_map(|row| row.get(c));
        let figures = values().any(|v| matches!(v, Value::Number(_)));
        let bold = Format::new().set_bold();
        let bold = if figures { bold.set_align(FormatAlign::Right) } else { bold };
        check(list, 0, c, head)?;
        sheet.write_string_with_format(0, place, head, &bold)?;
        let number = number_format(values());
        let mut wide = head.chars().count() + 3; // room for the button of the filter
        for (r, value) in values().enumerate() {
            let line = u32::try_from(r + 1).unwrap_or(u32::MAX);
            match value {
                Value::Nothing => {}
                Value::Text(text) => {
                    check(list, r + 1, c, text)?;
                    sheet.write_string_with_format(line, place, text, &words)?;
                }
                Value::Number(text) => match text.parse::<f64>() {
                    Ok(n) => drop(sheet.write_number_with_format(line, place, n, &number)?),
                    Err(_) => drop(sheet.write_string_with_format(line, place, text, &words)?),
                },
                Value::Day(d) if is_counted(*d) => {
                    let when = ExcelDateTime::from_ymd(year(*d), month(*d), day_of_month(*d))?;
                    sheet.write_datetime_with_format(line, place, &when, &day)?;
                }
                Value::Day(d) => drop(sheet.write_string_with_format(line, place, d.to_string(), &words)?),
            }
            if r < LOOKED_AT {
                let longest = value.plain().lines().map(|l| l.chars().count()).max().unwrap_or(0);
                wide = wide.max(longest + 1);
            }
        }
        sheet.set_column_width(place, wide.clamp(WIDTHS.0, WIDTHS.1) as f64)?;
    }
    if columns > 0 {
        sheet.set_freeze_panes(1, 0)?;
        let last = u16::try_from(columns - 1).unwrap_or(u16::MAX);
        sheet.autofilter(0, 0, u32::try_from(rows).unwrap_or(u32::MAX), last)?;
    }
    Ok(())
}

/// Spreadsheets count days from 1900 and hold 1900 for a leap year: before March of it their days are wrong.
fn is_counted(day: Day) -> bool {
    Day::new(1900, 3, 1).is_some_and(|first| day >= first) && day.year() <= 9999
}

/// As many decimals as the value of the column that has the most, up to six are shown.
fn number_format<'a>(values: impl Iterator<Item = &'a Value>) -> Format {
    let decimals = |v: &Value| match v {
        Value::Number(text) => text.split_once('.').map(|(_, d)| d.len()),
        _ => None,
    };
    let most = values.filter_map(decimals).max().unwrap_or(0).min(6);
    let format = if most == 0 { "0".to_string() } else { format!("0.{}", "0".repeat(most)) };
    Format::new().set_num_format(format).set_align(FormatAlign::Right)
}

fn check(list: &Listed, row: usize, column: usize, text: &str) -> Result<(), Unsaved> {
    let signs = text.encode_utf16().count();
    if signs <= MOST_SIGNS {
        return Ok(());
    }
    let column = if row == 0 { format!("column {}", column + 1) } else { list.heads[column].clone() };
    Err(Unsaved::Long { name: list.name.clone(), row, column, signs })
}

#[cfg(test)]
#[path = "xlsx_tests.rs"]
pub(super) mod tests;
