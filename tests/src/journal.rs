//! The journal played back: from an empty book, change by change, to what the tables must hold now.

use rusqlite::Connection;
use rusqlite::types::ValueRef;
use serde_json::{Map, Value};
use std::collections::BTreeMap;

type Row = Map<String, Value>;

/// Rows by table and key.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Played(BTreeMap<(String, String), Row>);

impl Played {
    /// What the journal says the tables hold. Every change must fit what stood there before.
    ///
    /// # Errors
    /// The first change that does not, or what the database says.
    pub fn from_journal(db: &Connection) -> Result<Self, String> {
        let sql = |e: rusqlite::Error| e.to_string();
        let mut all = Self::default();
        let mut statement =
            db.prepare("select seq, tbl, key, old, new from journal_change order by seq").map_err(sql)?;
        let mut rows = statement.query([]).map_err(sql)?;
        while let Some(r) = rows.next().map_err(sql)? {
            let seq: i64 = r.get(0).map_err(sql)?;
            let at: (String, String) = (r.get(1).map_err(sql)?, r.get(2).map_err(sql)?);
            let side = |i: usize| -> Result<Option<Row>, String> {
                let text: Option<String> = r.get(i).map_err(sql)?;
                text.map(|t| serde_json::from_str(&t).map_err(|e| format!("change {seq}: {e}"))).transpose()
            };
            all.step(at, side(3)?, side(4)?).map_err(|e| format!("change {seq}: {e}"))?;
        }
        Ok(all)
    }

    /// A column that came with a later format is not in the lines written before: empty and not there are the same.
    fn step(&mut self, at: (String, String), old: Option<Row>, new: Option<Row>) -> Result<(), String> {
        let filled = |mut row: Row| {
            row.retain(|_, v| !v.is_null());
            row
        };
        let name = format!("{} {}", at.0, at.1);
        match (old, new) {
            (None, Some(new)) => match self.0.insert(at, filled(new)) {
                Some(_) => Err(format!("{name} came although it was there")),
                None => Ok(()),
            },
            (Some(old), None) => match self.0.remove(&at) {
                Some(was) if was == filled(old.clone()) => Ok(()),
                other => Err(format!("{name} went, but was {other:?} and not {old:?}")),
            },
            (Some(old), Some(new)) => {
                let row = self.0.get_mut(&at).ok_or_else(|| format!("{name} changed but is not there"))?;
                if !old.keys().eq(new.keys()) {
                    return Err(format!("{name}: old and new name different columns"));
                }
                for (col, was) in old {
                    let here = row.get(&col).unwrap_or(&Value::Null);
                    if *here != was {
                        return Err(format!("{name}: {col} was {here:?} and not {was}"));
                    }
                }
                row.extend(new);
                row.retain(|_, v| !v.is_null());
                Ok(())
            }
            (None, None) => Err(format!("{name}: an empty change")),
        }
    }

    /// What the tables hold.
    ///
    /// # Errors
    /// What the database says.
    pub fn from_tables(db: &Connection) -> rusqlite::Result<Self> {
        let names: Vec<String> = db
            .prepare(
                "select name from sqlite_schema where type = 'table' and name not like 'sqlite_%' and name not like 'journal_%'",
            )?
            .query_map([], |r| r.get(0))?
            .collect::<rusqlite::Result<_>>()?;
        let mut all = Self::default();
        for name in names {
            let mut statement = db.prepare(&format!("select * from {name}"))?;
            let cols: Vec<String> = statement.column_names().map(String::from).collect();
            let mut rows = statement.query([])?;
            while let Some(r) = rows.next()? {
                let mut row = Row::new();
                for (i, col) in cols.iter().enumerate() {
                    let value = value(r.get_ref(i)?);
                    if !value.is_null() {
                        row.insert(col.clone(), value);
                    }
                }
                // The key is the first column of every table.
                let key = row.get(&cols[0]).and_then(Value::as_str).unwrap_or_default().to_string();
                all.0.insert((name.clone(), key), row);
            }
        }
        Ok(all)
    }

    /// Rows written before a column was added hold what a migration gave them: its default.
    fn grow(&mut self, db: &Connection) -> rusqlite::Result<()> {
        let mut statement = db.prepare(
            "select m.name, c.name, c.dflt_value from sqlite_schema m join pragma_table_info(m.name) c
             where m.type = 'table' and c.\"notnull\" and c.dflt_value is not null",
        )?;
        let mut rows = statement.query([])?;
        while let Some(r) = rows.next()? {
            let (table, column, text): (String, String, String) = (r.get(0)?, r.get(1)?, r.get(2)?);
            let value: Value = db.query_row(&format!("select {text}"), [], |r| Ok(value(r.get_ref(0)?)))?;
            for ((name, _), row) in &mut self.0 {
                if *name == table {
                    row.entry(column.clone()).or_insert_with(|| value.clone());
                }
            }
        }
        Ok(())
    }

    /// How many rows.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// No row.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The first row in which they differ; none when equal.
    pub fn difference(&self, other: &Self) -> Option<String> {
        self.0.keys().chain(other.0.keys()).find_map(|k| {
            let (a, b) = (self.0.get(k), other.0.get(k));
            (a != b).then(|| format!("{} {}\n  first: {a:?}\n  second: {b:?}", k.0, k.1))
        })
    }
}

fn value(v: ValueRef<'_>) -> Value {
    match v {
        ValueRef::Null => Value::Null,
        ValueRef::Integer(n) => n.into(),
        ValueRef::Real(x) => x.into(),
        ValueRef::Text(t) => String::from_utf8_lossy(t).into(),
        ValueRef::Blob(b) => b.iter().map(|x| format!("{x:02X}")).collect::<String>().into(),
    }
}

/// Looks a book's file over from outside: pages, keys between rows, and the journal against the tables.
/// Gives the number of journal lines.
///
/// # Errors
/// The first thing wrong.
pub fn whole(db: &Connection) -> Result<i64, String> {
    let sql = |e: rusqlite::Error| e.to_string();
    let said: String = db.query_row("pragma integrity_check", [], |r| r.get(0)).map_err(sql)?;
    if said != "ok" {
        return Err(format!("integrity: {said}"));
    }
    let orphans: i64 =
        db.query_row("select count(*) from pragma_foreign_key_check", [], |r| r.get(0)).map_err(sql)?;
    if orphans > 0 {
        return Err(format!("{orphans} rows point to rows that are not there"));
    }
    let lines: i64 = db.query_row("select count(*) from journal_entry", [], |r| r.get(0)).map_err(sql)?;
    let last: i64 =
        db.query_row("select coalesce(max(seq), 0) from journal_entry", [], |r| r.get(0)).map_err(sql)?;
    if last != lines {
        return Err(format!("{lines} lines, but the last is numbered {last}"));
    }
    let mut played = Played::from_journal(db)?;
    played.grow(db).map_err(sql)?;
    if let Some(what) = played.difference(&Played::from_tables(db).map_err(sql)?) {
        return Err(format!("journal and tables differ: {what}"));
    }
    Ok(lines)
}
