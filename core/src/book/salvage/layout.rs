//! What tables and indexes a book of ours has, so that rows are known for what they are.

use super::super::journal::{Column, columns};
use super::super::{FORMAT, migrate};
use rusqlite::types::Value;
use rusqlite::{Connection, params_from_iter};
use std::collections::BTreeMap;

/// A table.
pub(super) struct Shape {
    pub name: String,
    pub columns: Vec<Column>,
    pub key: String,
    /// Its rows are numbered, and its key may be that number.
    pub numbered: bool,
    /// The fewest values a row may hold: those of an older format are shorter.
    pub least: usize,
}

/// An index: its last value is the key of the row.
pub(super) struct Index {
    pub name: String,
    pub table: String,
    /// Its first value names an animal.
    pub of_animal: bool,
    /// Every row of its table stands in it.
    pub whole: bool,
}

/// All of them.
pub(super) struct Layout {
    pub tables: Vec<Shape>,
    pub indexes: Vec<Index>,
}

impl Layout {
    /// Of a book just laid out.
    pub(super) fn of(db: &Connection, format: u32) -> rusqlite::Result<Self> {
        let mut least: BTreeMap<String, usize> = BTreeMap::new();
        for f in 1..=format {
            let old = Connection::open_in_memory()?;
            migrate::lay_out_as(&old, f)?;
            for (name, _) in named(&old, "table")? {
                let n = columns(&old, &name)?.0.len();
                least.entry(name).and_modify(|l| *l = n.min(*l)).or_insert(n);
            }
        }
        let mut tables = Vec::new();
        for (name, sql) in named(db, "table")? {
            let (all, key) = columns(db, &name)?;
            let numbered = !sql.to_lowercase().contains("without rowid");
            let least = least.get(&name).copied().unwrap_or(all.len());
            tables.push(Shape { columns: all, key, numbered, least, name });
        }
        let mut indexes = Vec::new();
        let all: Vec<(String, String, Option<String>)> = db
            .prepare("select name, tbl_name, sql from sqlite_schema where type = 'index'")?
            .query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?
            .collect::<rusqlite::Result<_>>()?;
        for (name, table, sql) in all {
            let of_animal: bool = db.query_row(
                "select exists (select 1 from pragma_index_info(?1) i join pragma_foreign_key_list(?2) f on f.\"from\" = i.name
                   where i.seqno = 0 and f.\"table\" = 'animal')",
                [&name, &table],
                |r| r.get(0),
            )?;
            let whole = !sql.is_some_and(|s| s.to_lowercase().contains(" where "));
            indexes.push(Index { name, table, of_animal, whole });
        }
        Ok(Self { tables, indexes })
    }

    pub(super) fn table(&self, name: &str) -> Option<&Shape> {
        self.tables.iter().find(|t| t.name == name)
    }

    /// The newest format whose tables are all among these.
    pub(super) fn format_of(names: &[String]) -> rusqlite::Result<u32> {
        for f in (1..=FORMAT).rev() {
            let db = Connection::open_in_memory()?;
            migrate::lay_out_as(&db, f)?;
            if named(&db, "table")?.iter().all(|(t, _)| names.contains(t)) {
                return Ok(f);
            }
        }
        Ok(FORMAT)
    }
}

fn named(db: &Connection, kind: &str) -> rusqlite::Result<Vec<(String, String)>> {
    db.prepare(
        "select name, sql from sqlite_schema where type = ?1 and name not like 'sqlite_%' order by name",
    )?
    .query_map([kind], |r| Ok((r.get(0)?, r.get(1)?)))?
    .collect()
}

impl Shape {
    /// Its place in the columns.
    fn key_at(&self) -> Option<usize> {
        self.columns.iter().position(|c| c.name == self.key)
    }

    /// The key of a row as the journal writes it.
    pub(super) fn key_of(&self, rowid: Option<i64>, values: &[Value]) -> Option<String> {
        match values.get(self.key_at()?)? {
            Value::Null => rowid.map(|n| n.to_string()),
            other => spelled(other),
        }
    }

    /// As many values as a row of it may have.
    pub(super) fn fits(&self, values: &[Value]) -> bool {
        (self.least..=self.columns.len()).contains(&values.len()) && (!self.is_change() || readable(values))
    }

    fn is_change(&self) -> bool {
        self.name == "journal_change"
    }

    /// Puts a row in as it was read; false where a row of this key is there.
    pub(super) fn put(&self, db: &Connection, found: &super::trees::Found) -> rusqlite::Result<bool> {
        let names: Vec<&str> =
            self.columns.iter().take(found.values.len()).map(|c| c.name.as_str()).collect();
        let mut values = found.values.clone();
        if self.numbered
            && let Some(at) = self.key_at()
            && let Some(value @ Value::Null) = values.get_mut(at)
            && let Some(n) = found.rowid
        {
            *value = Value::Integer(n);
        }
        let slots = vec!["?"; names.len()].join(", ");
        let sql = format!("insert into {} ({}) values ({slots})", self.name, names.join(", "));
        match db.prepare_cached(&sql)?.execute(params_from_iter(values)) {
            Ok(_) => Ok(true),
            Err(e) if self.has(db, &self.key_of(found.rowid, &found.values))? => {
                let _ = e; // the same row from another page
                Ok(false)
            }
            Err(e) => Err(e),
        }
    }

    /// A row of this key is there.
    pub(super) fn has(&self, db: &Connection, key: &Option<String>) -> rusqlite::Result<bool> {
        let Some(key) = key else { return Ok(false) };
        let blob = self.columns.iter().any(|c| c.name == self.key && c.blob);
        let slot = if blob { "unhex(?1)" } else { "?1" };
        db.prepare_cached(&format!("select 1 from {} where {} = {slot}", self.name, self.key))?.exists([key])
    }
}

/// What a change of the journal says can be read: else the row would be made anew without it.
fn readable(values: &[Value]) -> bool {
    values.iter().skip(4).all(|v| match v {
        Value::Text(t) => serde_json::from_str::<serde_json::Map<String, serde_json::Value>>(t).is_ok(),
        _ => true,
    })
}

/// A key as the journal writes it: bytes in hex.
pub(super) fn spelled(value: &Value) -> Option<String> {
    match value {
        Value::Integer(n) => Some(n.to_string()),
        Value::Text(t) => Some(t.clone()),
        Value::Blob(b) => Some(b.iter().map(|b| format!("{b:02X}")).collect()),
        _ => None,
    }
}
