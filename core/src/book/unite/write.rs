//! Rows as they are to be, written over those that are there; only what differs is touched.

use super::super::journal::{Column, columns};
use super::replay::{Fields, Row};
use rusqlite::types::Value as Sql;
use rusqlite::{Connection, OptionalExtension as _, params_from_iter};
use serde_json::Value;

/// A table with its columns and its key, as far as rows are written here.
pub(in crate::book) struct Table {
    name: String,
    all: Vec<Column>,
    key: String,
}

impl Table {
    pub(in crate::book) fn of(db: &Connection, name: &str) -> rusqlite::Result<Self> {
        let (all, key) = columns(db, name)?;
        Ok(Self { name: name.to_string(), all, key })
    }

    fn is_blob(&self, column: &str) -> bool {
        self.all.iter().any(|c| c.name == column && c.blob)
    }

    fn slot(&self, column: &str) -> &'static str {
        if self.is_blob(column) { "unhex(?)" } else { "?" }
    }

    /// The row of this key as it is now, ids in hex.
    pub(in crate::book) fn now(&self, db: &Connection, key: &str) -> rusqlite::Result<Option<Fields>> {
        let list: Vec<String> = self
            .all
            .iter()
            .map(|c| match c.blob {
                true => format!("'{0}', iif({0} is null, null, hex({0}))", c.name),
                false => format!("'{0}', {0}", c.name),
            })
            .collect();
        let sql = format!(
            "select json_object({}) from {} where {} = {}",
            list.join(", "),
            self.name,
            self.key,
            self.slot(&self.key)
        );
        let text: Option<String> = db.prepare_cached(&sql)?.query_row([key], |r| r.get(0)).optional()?;
        Ok(text.and_then(|t| serde_json::from_str(&t).ok()))
    }

    /// Writes a row as it is to be; true where something changed.
    pub(in crate::book) fn put(&self, db: &Connection, key: &str, row: &Row) -> rusqlite::Result<bool> {
        let now = self.now(db, key)?;
        let known = |name: &str| self.all.iter().any(|c| c.name == name);
        let changed = match (now, row.is_there) {
            (None, false) => 0,
            (Some(_), false) => {
                let sql = format!("delete from {} where {} = {}", self.name, self.key, self.slot(&self.key));
                db.prepare_cached(&sql)?.execute([key])?
            }
            (None, true) => {
                let mut fields: Vec<(&str, Sql)> = row
                    .fields
                    .iter()
                    .filter(|(n, _)| known(n))
                    .map(|(n, v)| (n.as_str(), plain(v)))
                    .collect();
                if !fields.iter().any(|(n, _)| *n == self.key) {
                    fields.push((&self.key, Sql::Text(key.to_string())));
                }
                let names: Vec<&str> = fields.iter().map(|(n, _)| *n).collect();
                let slots: Vec<&str> = names.iter().map(|n| self.slot(n)).collect();
                let sql =
                    format!("insert into {} ({}) values ({})", self.name, names.join(", "), slots.join(", "));
                db.prepare_cached(&sql)?.execute(params_from_iter(fields.into_iter().map(|f| f.1)))?
            }
            (Some(now), true) => {
                let differ: Vec<(&String, &Value)> = row
                    .fields
                    .iter()
                    .filter(|(n, v)| known(n) && **n != self.key && now.get(*n) != Some(*v))
                    .collect();
                if differ.is_empty() {
                    return Ok(false);
                }
                let sets: Vec<String> =
                    differ.iter().map(|(n, _)| format!("{n} = {}", self.slot(n))).collect();
                let sql = format!(
                    "update {} set {} where {} = {}",
                    self.name,
                    sets.join(", "),
                    self.key,
                    self.slot(&self.key)
                );
                let mut values: Vec<Sql> = differ.into_iter().map(|(_, v)| plain(v)).collect();
                values.push(Sql::Text(key.to_string()));
                db.prepare_cached(&sql)?.execute(params_from_iter(values))?
            }
        };
        Ok(changed > 0)
    }
}

fn plain(v: &Value) -> Sql {
    super::super::undo::plain(v)
}
