//! A copy beside the book as it is now: which lines of the journal came since, and which rows differ for it.

use super::held::still;
use super::journal::columns;
use super::unite::replay::Fields;
use super::unite::write::Table;
use super::{Book, Failed};
use crate::terms::counted;
use rusqlite::{Connection, OptionalExtension as _};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::path::Path;

/// A line of the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineSeen {
    /// When, `2026-04-03 21:10:05`.
    pub at: String,
    /// Who wrote it.
    pub who: String,
    /// What.
    pub what: String,
}

/// A row that is not the same in both.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Differs {
    /// Its table, as the file names it.
    pub table: String,
    /// The tag of the animal it is of, if it is of one.
    pub of: Option<String>,
    /// `new`, `gone` or `changed`, seen from the book.
    pub how: &'static str,
    /// Its columns that differ: name, value in the copy, value in the book.
    pub columns: Vec<(String, String, String)>,
}

impl Differs {
    /// `weighing of 0412: weight_g 60000, now 61000`.
    pub fn words(&self) -> String {
        let mut text = self.table.replace('_', " ");
        if let Some(tag) = &self.of {
            text.push_str(&format!(" of {tag}"));
        }
        text.push_str(": ");
        text.push_str(&self.what());
        text
    }

    /// Its columns: `weight_g 60000, now 61000`.
    pub fn what(&self) -> String {
        let columns = self.columns.iter().filter_map(|(name, was, is)| match self.how {
            "changed" => {
                let [was, is] = [was, is].map(|v| if v.is_empty() { "nothing" } else { v.as_str() });
                Some(format!("{name} {was}, now {is}"))
            }
            _ => Some(if is.is_empty() { was } else { is })
                .filter(|v| *v != "…")
                .map(|v| format!("{name} {v}")),
        });
        columns.collect::<Vec<_>>().join("; ")
    }
}

/// What is not the same in the book and in a copy.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Compared {
    /// Lines of the book that the copy does not have, oldest first.
    pub since: Vec<LineSeen>,
    /// Lines of the copy that the book does not have.
    pub only_there: Vec<LineSeen>,
    /// Rows that differ.
    pub rows: Vec<Differs>,
}

impl Compared {
    /// One plain sentence.
    pub fn words(&self) -> String {
        if self.since.is_empty() && self.only_there.is_empty() {
            return "the same: every line of the journal is in both".into();
        }
        let mut text = match self.since.len() {
            0 => "nothing was written since".to_string(),
            n => format!("{} written since", counted(n, "line")),
        };
        text.push_str(&match self.rows.len() {
            1 => "; 1 record differs".into(),
            n => format!("; {n} records differ"),
        });
        if !self.only_there.is_empty() {
            text.push_str(&format!(
                "; the copy has {} that the book lacks",
                counted(self.only_there.len(), "line")
            ));
        }
        text
    }
}

impl Book {
    /// Compares a copy with the book. Neither is changed.
    ///
    /// # Errors
    /// The copy cannot be read, or is a copy of another book.
    pub fn compare(&self, copy: &Path) -> Result<Compared, Failed> {
        compared(&self.db, &still(copy)?, copy)
    }
}

/// As [`Book::compare`], for two files of which none is open: for a thread of its own.
///
/// # Errors
/// As [`Book::compare`].
pub fn compare_files(now: &Path, copy: &Path) -> Result<Compared, Failed> {
    compared(&still(now)?, &still(copy)?, copy)
}

fn compared(now: &Connection, then: &Connection, copy: &Path) -> Result<Compared, Failed> {
    let sql = |e: rusqlite::Error| Failed::sql(copy, &e);
    let first = |db: &Connection| -> rusqlite::Result<Option<Vec<u8>>> {
        db.query_row("select id from journal_entry order by seq limit 1", [], |r| r.get(0)).optional()
    };
    if first(now).map_err(sql)? != first(then).map_err(sql)? {
        return Err(Failed::NotACopy {
            path: copy.to_path_buf(),
            why: "it was started as a book of its own",
        });
    }
    let mut keys = BTreeSet::new();
    let since = lines(now, &ids(then).map_err(sql)?, &mut keys).map_err(sql)?;
    let only_there = lines(then, &ids(now).map_err(sql)?, &mut keys).map_err(sql)?;
    let rows = rows(now, then, keys).map_err(sql)?;
    Ok(Compared { since, only_there, rows })
}

fn ids(db: &Connection) -> rusqlite::Result<HashSet<[u8; 16]>> {
    db.prepare("select id from journal_entry")?.query_map([], |r| r.get(0))?.collect()
}

/// Lines that the other does not know; the rows they wrote are added to `keys`.
fn lines(
    db: &Connection,
    known: &HashSet<[u8; 16]>,
    keys: &mut BTreeSet<(String, String)>,
) -> rusqlite::Result<Vec<LineSeen>> {
    let mut all = Vec::new();
    let mut written = db.prepare("select tbl, key from journal_change where entry = ?1")?;
    let mut statement = db.prepare("select seq, id, at, who, what from journal_entry order by seq")?;
    let mut rows = statement.query([])?;
    while let Some(r) = rows.next()? {
        if known.contains(&r.get::<_, [u8; 16]>(1)?) {
            continue;
        }
        all.push(LineSeen { at: r.get(2)?, who: r.get(3)?, what: r.get(4)? });
        let seq: i64 = r.get(0)?;
        for key in written.query_map([seq], |r| Ok((r.get(0)?, r.get(1)?)))? {
            keys.insert(key?);
        }
    }
    Ok(all)
}

fn rows(
    now: &Connection,
    then: &Connection,
    keys: BTreeSet<(String, String)>,
) -> rusqlite::Result<Vec<Differs>> {
    let mut all = Vec::new();
    let mut tables: BTreeMap<String, [Option<Table>; 2]> = BTreeMap::new();
    for (name, key) in keys {
        if !tables.contains_key(&name) {
            // A copy of an older format may not have the table yet.
            let table = |db: &Connection| -> rusqlite::Result<Option<Table>> {
                let there = !columns(db, &name)?.0.is_empty();
                there.then(|| Table::of(db, &name)).transpose()
            };
            tables.insert(name.clone(), [table(now)?, table(then)?]);
        }
        let Some([here, there]) = tables.get(&name) else { continue };
        let row = |table: &Option<Table>, db: &Connection| match table {
            Some(table) => table.now(db, &key),
            None => Ok(None),
        };
        let (is, was) = (row(here, now)?, row(there, then)?);
        let (how, differ) = match (&was, &is) {
            (None, None) => continue,
            (None, Some(is)) => ("new", fields(&Fields::new(), is)),
            (Some(was), None) => ("gone", fields(was, &Fields::new())),
            (Some(was), Some(is)) => {
                // A column that the older format did not have is no difference.
                let both: Fields = is
                    .iter()
                    .filter(|(c, _)| was.contains_key(*c))
                    .map(|(c, v)| (c.clone(), v.clone()))
                    .collect();
                ("changed", fields(was, &both))
            }
        };
        if differ.is_empty() {
            continue;
        }
        let of = [(&is, now), (&was, then)]
            .into_iter()
            .find_map(|(row, db)| animal(&name, &key, row.as_ref()?).map(|id| tag(db, &id)));
        all.push(Differs { of: of.transpose()?.flatten(), table: name, how, columns: differ });
    }
    Ok(all)
}

/// Columns that are not the same; ids say nothing to a person.
fn fields(was: &Fields, is: &Fields) -> Vec<(String, String, String)> {
    let names: BTreeSet<&String> = was.keys().chain(is.keys()).collect();
    names
        .into_iter()
        .filter(|n| was.get(*n).unwrap_or(&Value::Null) != is.get(*n).unwrap_or(&Value::Null))
        .map(|n| (n.clone(), plain(was.get(n)), plain(is.get(n))))
        .collect()
}

fn plain(value: Option<&Value>) -> String {
    match value {
        None | Some(Value::Null) => String::new(),
        Some(Value::String(s)) if s.len() == 32 && s.bytes().all(|b| b.is_ascii_hexdigit()) => "…".into(),
        Some(Value::String(s)) => s.clone(),
        Some(other) => other.to_string(),
    }
}

fn animal(table: &str, key: &str, row: &Fields) -> Option<String> {
    if table == "animal" || table == "birth" {
        return Some(key.to_string());
    }
    let named = ["animal", "ewe", "ram"].iter().find_map(|c| row.get(*c)?.as_str());
    named.map(str::to_string)
}

fn tag(db: &Connection, id: &str) -> rusqlite::Result<Option<String>> {
    db.prepare_cached(
        "select tag from identity where animal = unhex(?1) order by ended is not null, place limit 1",
    )?
    .query_row([id], |r| r.get(0))
    .optional()
}
