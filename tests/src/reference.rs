//! Published values: `tests/reference/NAME.toml`, every row with its source and how the value was come by.

use serde::de::DeserializeOwned;
use std::path::Path;

/// How a value was come by: seen in the source's own text; from memory; computed here; common practice, no source.
const MARKS: [&str; 4] = ["S", "M", "C", "P"];

/// The rows of one table of one file. `source` and `mark` are read and checked here, so a row names only its values.
///
/// # Panics
/// When the file, the table, a source or a mark is missing, or a row does not fit: a test cannot go on without.
pub fn rows<T: DeserializeOwned>(file: &str, table: &str) -> Vec<T> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("reference").join(format!("{file}.toml"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let all: toml::Table = text.parse().unwrap_or_else(|e| panic!("{file}.toml: {e}"));
    let found = all.get(table).and_then(|t| t.as_array()).filter(|t| !t.is_empty());
    let found = found.unwrap_or_else(|| panic!("{file}.toml has no rows [[{table}]]"));
    found
        .iter()
        .map(|row| {
            let mut row =
                row.as_table().cloned().unwrap_or_else(|| panic!("{file}.toml, {table}: not a table"));
            let mut text = |key: &str| match row.remove(key) {
                Some(toml::Value::String(s)) if !s.trim().is_empty() => s,
                _ => panic!("{file}.toml, {table}: a row without its {key}"),
            };
            let (mark, _source) = (text("mark"), text("source"));
            assert!(MARKS.contains(&mark.as_str()), "{file}.toml, {table}: the mark '{mark}'");
            row.try_into().unwrap_or_else(|e| panic!("{file}.toml, {table}: {e}"))
        })
        .collect()
}
