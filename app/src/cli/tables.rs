//! An answer as rows, printed as a table, as CSV or as JSON.

use super::line::TableFormat;
use super::out::Out;
use super::{Done, Format, Trouble};
use hirsel_core::exchange::{Listed, Value};
use hirsel_core::terms::Day;
use std::path::Path;

/// One value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    /// Words; nothing when empty.
    Words(String),
    /// A number as it is printed.
    Number(String),
}

impl Cell {
    pub fn words(text: impl Into<String>) -> Self {
        Self::Words(text.into())
    }

    pub fn number(n: impl ToString) -> Self {
        // A sum of nothing is a nought with a sign.
        let text = n.to_string();
        Self::Number(if text == "-0" { "0".into() } else { text })
    }

    pub fn none() -> Self {
        Self::Words(String::new())
    }

    fn text(&self) -> &str {
        match self {
            Self::Words(t) | Self::Number(t) => t,
        }
    }
}

/// Rows under columns.
#[derive(Debug)]
pub struct Table {
    pub columns: &'static [&'static str],
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    pub fn text(&self, format: Format) -> String {
        text(self.columns, &self.rows, format)
    }

    /// Its heads and rows.
    pub fn parts(self) -> (Vec<String>, Vec<Vec<Cell>>) {
        (self.columns.iter().map(ToString::to_string).collect(), self.rows)
    }
}

/// Rows under columns as a list to be taken out.
pub fn listed(name: &str, heads: Vec<String>, rows: &[Vec<Cell>]) -> Listed {
    // What animals are called is never a day.
    let tags: Vec<bool> = heads.iter().map(|h| ["tag", "ewe", "ram"].contains(&h.as_str())).collect();
    let value = |(i, cell): (usize, &Cell)| match cell {
        Cell::Words(text) if tags.get(i) == Some(&true) => Value::text(text),
        Cell::Words(text) => Value::day(text),
        Cell::Number(text) => Value::Number(text.clone()),
    };
    let rows = rows.iter().map(|row| row.iter().enumerate().map(value).collect()).collect();
    Listed { name: name.into(), heads, rows }
}

/// How an answer is printed or written: what was asked for, and what the ending of the file asks for.
pub fn dress(format: TableFormat, to: Option<&Path>) -> Result<Dress, Trouble> {
    let ending = to.is_some_and(super::export::is_xlsx);
    match (format, to) {
        (TableFormat::Xlsx, None) => Err(Trouble::World(
            "a spreadsheet is a file: name it with -o FILE.xlsx, or -o - to hand it on".into(),
        )),
        (TableFormat::Xlsx, Some(_)) => Ok(Dress::Xlsx),
        (TableFormat::Table, _) if ending => Ok(Dress::Xlsx),
        (TableFormat::Csv | TableFormat::Json, Some(to)) if ending => Err(Trouble::World(format!(
            "{} is the name of a spreadsheet: leave --format out, or give the file another ending",
            to.display()
        ))),
        (TableFormat::Table, _) => Ok(Dress::Text(Format::Table)),
        (TableFormat::Csv, _) => Ok(Dress::Text(Format::Csv)),
        (TableFormat::Json, _) => Ok(Dress::Text(Format::Json)),
    }
}

/// Text, or a spreadsheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dress {
    /// As text.
    Text(Format),
    /// As a spreadsheet.
    Xlsx,
}

/// Prints an answer or writes it to a file.
pub fn write(
    out: &mut Out,
    name: &str,
    (heads, rows): (Vec<String>, Vec<Vec<Cell>>),
    dress: Dress,
    to: Option<&Path>,
    today: Day,
) -> Done {
    let bytes = match dress {
        Dress::Xlsx => super::export::xlsx(&listed(name, heads, &rows), today)?,
        Dress::Text(format) => {
            let columns: Vec<&str> = heads.iter().map(String::as_str).collect();
            text(&columns, &rows, format).into_bytes()
        }
    };
    let Some(to) = to else { return out.bytes(&bytes) };
    if super::out::save(out, to, &bytes)? {
        let n = if rows.len() == 1 { "1 row".to_string() } else { format!("{} rows", rows.len()) };
        out.line(&format!("Wrote {n} of {name} to {}", to.display()))?;
    }
    Ok(())
}

/// Rows under columns as text.
pub fn text(columns: &[&str], rows: &[Vec<Cell>], format: Format) -> String {
    let table = Lines { columns, rows };
    match format {
        Format::Table => table.lined_up(),
        Format::Csv => {
            let columns: Vec<String> = columns.iter().map(ToString::to_string).collect();
            listed("", columns, rows).csv()
        }
        Format::Json => table.json(),
    }
}

struct Lines<'a> {
    columns: &'a [&'a str],
    rows: &'a [Vec<Cell>],
}

impl Lines<'_> {
    fn lined_up(&self) -> String {
        let heads: Vec<String> = self.columns.iter().map(|c| c.replace('_', " ")).collect();
        let wide = |text: &str| text.chars().count();
        let widths: Vec<usize> = heads
            .iter()
            .enumerate()
            .map(|(i, h)| {
                self.rows.iter().filter_map(|r| r.get(i)).map(|c| wide(c.text())).fold(wide(h), usize::max)
            })
            .collect();
        // A column of figures only stands to the right.
        let right: Vec<bool> = (0..heads.len())
            .map(|i| {
                let mut cells = self.rows.iter().filter_map(|r| r.get(i)).filter(|c| !c.text().is_empty());
                let first = cells.next();
                matches!(first, Some(Cell::Number(_))) && cells.all(|c| matches!(c, Cell::Number(_)))
            })
            .collect();
        let line = |cells: Vec<&str>| {
            let mut text = String::new();
            for ((cell, width), right) in cells.iter().zip(&widths).zip(&right) {
                let blanks = " ".repeat(width - wide(cell));
                text.push_str(&if *right {
                    format!("{blanks}{cell}  ")
                } else {
                    format!("{cell}{blanks}  ")
                });
            }
            format!("{}\n", text.trim_end())
        };
        let mut text = line(heads.iter().map(String::as_str).collect());
        for row in self.rows {
            text.push_str(&line(row.iter().map(Cell::text).collect()));
        }
        text
    }

    fn json(&self) -> String {
        let value = |c: &Cell| match c {
            Cell::Words(t) if t.is_empty() => "null".to_string(),
            Cell::Words(t) => serde_json::Value::from(t.as_str()).to_string(),
            Cell::Number(n) => n.clone(),
        };
        let rows: Vec<String> = self
            .rows
            .iter()
            .map(|row| {
                let pairs: Vec<String> = self
                    .columns
                    .iter()
                    .zip(row)
                    .map(|(name, c)| format!("\"{name}\": {}", value(c)))
                    .collect();
                format!("  {{{}}}", pairs.join(", "))
            })
            .collect();
        if rows.is_empty() { "[]\n".into() } else { format!("[\n{}\n]\n", rows.join(",\n")) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> Table {
        Table {
            columns: &["tag", "gain_g_per_day", "why"],
            rows: vec![
                vec![Cell::words("é\"1"), Cell::number(-12), Cell::none()],
                vec![Cell::words("=2"), Cell::number(300), Cell::words("a, b")],
            ],
        }
    }

    #[test]
    fn three_ways_to_print_a_table() {
        assert_eq!(
            table().text(Format::Table),
            "tag  gain g per day  why\né\"1             -12\n=2              300  a, b\n"
        );
        assert_eq!(table().text(Format::Csv), "tag,gain_g_per_day,why\n\"é\"\"1\",-12,\n'=2,300,\"a, b\"\n");
        let json: serde_json::Value = serde_json::from_str(&table().text(Format::Json)).unwrap();
        assert_eq!(json[0]["tag"], "é\"1");
        assert_eq!(json[0]["gain_g_per_day"], -12);
        assert!(json[0]["why"].is_null());
        assert_eq!(Table { columns: &["a"], rows: vec![] }.text(Format::Json), "[]\n");
    }
}
