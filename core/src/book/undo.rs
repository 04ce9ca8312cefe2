//! Undo and redo: the inverse of a journal line's changes, itself written as a line.

use super::journal::{Line, columns, json};
use super::{Book, Failed, Written, documents};
use crate::terms::Day;
use rusqlite::Connection;
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// State of undo: what a further undo or redo would act on.
struct Stack {
    undo: Option<(i64, String, String)>,
    redo: Option<(i64, i64, String)>,
}

impl Book {
    fn stack(&self) -> rusqlite::Result<Stack> {
        // Walk back: an undo line hides what it undoes, a redo line shows it again and hides the undo.
        let mut hidden: BTreeSet<i64> = BTreeSet::new();
        let mut undo = None;
        let mut redo = None;
        let mut fresh_act = false;
        let mut statement = self
            .db
            .prepare_cached("select seq, what, undoes, redoes, at, brought is not null, kind from journal_entry order by seq desc")?;
        let mut rows = statement.query([])?;
        while let Some(r) = rows.next()? {
            let seq: i64 = r.get(0)?;
            let undoes: Option<i64> = r.get(2)?;
            let redoes: Option<i64> = r.get(3)?;
            let (brought, kind): (bool, String) = (r.get(5)?, r.get(6)?);
            if let Some(u) = redoes {
                // Redoing line `u` (an undo line) takes that undo away.
                hidden.insert(u);
            } else if let Some(u) = undoes {
                if hidden.contains(&seq) {
                    continue;
                }
                hidden.insert(u);
                if kind == "part copies" {
                    // It is brought together again, not redone.
                    fresh_act = true;
                } else if redo.is_none() && !fresh_act && !brought {
                    let what: String =
                        self.db
                            .query_row("select what from journal_entry where seq = ?", [u], |r| r.get(0))?;
                    redo = Some((seq, u, what));
                }
            } else {
                // What another copy wrote is taken back there, or all of it with the line that brought it.
                if hidden.contains(&seq) || brought {
                    continue;
                }
                fresh_act = true;
                if undo.is_none() {
                    undo = Some((seq, r.get::<_, String>(1)?, r.get::<_, String>(4)?));
                }
            }
            if undo.is_some() {
                break;
            }
        }
        Ok(Stack { undo, redo })
    }

    /// The sentence of the write that undo would take back.
    pub fn undoable(&self) -> Option<String> {
        let last = self.stack().ok().and_then(|s| s.undo);
        last.filter(|(seq, _, _)| *seq > 1 && !self.is_purge(*seq)).map(|(_, what, _)| what)
    }

    /// Records were taken out for good: nothing from before it is undone either.
    fn is_purge(&self, seq: i64) -> bool {
        // Nor what was saved from a damaged book: it is as whole as it can be.
        self.is_kind(seq, "purge") || self.is_kind(seq, super::salvage::KIND)
    }

    fn is_kind(&self, seq: i64, kind: &str) -> bool {
        let is = "select 1 from journal_entry where seq = ?1 and kind = ?2";
        let found = self.db.prepare_cached(is).and_then(|mut s| s.exists(rusqlite::params![seq, kind]));
        found.unwrap_or(false)
    }

    /// The sentence of the write that redo would bring back.
    pub fn redoable(&self) -> Option<String> {
        self.stack().ok().and_then(|s| s.redo).map(|(_, _, what)| what)
    }

    /// Takes the last write back; nothing when there is none. It works for what was written today, across a
    /// restart too: older records are amended or struck out, so that an inspector can read what stood there.
    ///
    /// # Errors
    /// The write is of an earlier day, or its rows were changed since, or the file could not be written.
    pub fn undo(&mut self) -> Result<Option<Written>, Failed> {
        let path = self.path.clone();
        let Some((seq, what, at)) = self.stack().map_err(|e| Failed::sql(&path, &e))?.undo else {
            return Ok(None);
        };
        if seq <= 1 {
            return Ok(None);
        }
        if self.is_purge(seq) {
            return Err(Failed::NoWayBack { what });
        }
        let today = chrono::Local::now().format("%Y-%m-%d").to_string();
        // A line later than the clock says is of this sitting: the clock was turned back since.
        if at.get(..10).is_none_or(|on| on < today.as_str()) {
            let on = at.split(' ').next().unwrap_or_default();
            let on = Day::parse_iso(on).map_or_else(|_| on.to_string(), Day::words);
            return Err(Failed::TooOld { what, on });
        }
        if self.is_kind(seq, "unite") {
            return self.part_copies(seq, &what).map(Some);
        }
        let sentence = format!("Undid: {what}");
        self.invert(seq, &sentence, "undo", Some(seq), None, &what)
    }

    /// Brings back what the last undo took; nothing when there is none.
    ///
    /// # Errors
    /// Its rows were changed since, or the file could not be written.
    pub fn redo(&mut self) -> Result<Option<Written>, Failed> {
        let path = self.path.clone();
        let Some((undo_seq, _, what)) = self.stack().map_err(|e| Failed::sql(&path, &e))?.redo else {
            return Ok(None);
        };
        let sentence = format!("Did again: {what}");
        self.invert(undo_seq, &sentence, "redo", None, Some(undo_seq), &what)
    }

    /// Applies the inverse of a line's changes, newest first, refusing where a row is not as the line left it.
    pub(super) fn invert(
        &mut self,
        seq: i64,
        sentence: &str,
        kind: &str,
        undoes: Option<i64>,
        redoes: Option<i64>,
        what: &str,
    ) -> Result<Option<Written>, Failed> {
        let path = self.path.clone();
        let who = self.who.clone();
        let mut clash: Option<String> = None;
        let line = Line { who: &who, kind, what: sentence, reason: None, undoes, redoes };
        let done = self.transact(&line, |db| {
            let astray = documents::astray(db)?.len();
            clash = invert_line(db, seq)?;
            if clash.is_none() && documents::astray(db)?.len() > astray {
                clash = Some(documents::KEPT_WITH.into());
            }
            if clash.is_some() { Err(rusqlite::Error::QueryReturnedNoRows) } else { Ok(()) }
        });
        match (done, clash) {
            (Ok(written), _) => Ok(Some(written)),
            (Err(_), Some(changed)) => Err(Failed::ChangedSince { what: what.to_string(), changed }),
            // A row that others came to rest on cannot be taken away.
            (Err(Failed::Clash(_)), None) => Err(Failed::ChangedSince {
                what: what.to_string(),
                changed: "something that builds on it".into(),
            }),
            (Err(other), None) => {
                let _ = path;
                Err(other)
            }
        }
    }
}

/// A line's changes back, newest first; names what was changed since, where something was.
pub(super) fn invert_line(db: &Connection, seq: i64) -> rusqlite::Result<Option<String>> {
    let mut statement =
        db.prepare_cached("select tbl, key, old, new from journal_change where entry = ? order by seq desc")?;
    let changes: Vec<(String, String, Option<String>, Option<String>)> = statement
        .query_map([seq], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?)))?
        .collect::<rusqlite::Result<_>>()?;
    for (table, key, old, new) in changes {
        if !invert_row(db, &table, &key, json(old), json(new))? {
            return Ok(Some(table.replace('_', " ")));
        }
    }
    Ok(None)
}

/// One row back: false when it is not as the line left it.
fn invert_row(
    db: &Connection,
    table: &str,
    key: &str,
    old: Option<Map<String, Value>>,
    new: Option<Map<String, Value>>,
) -> rusqlite::Result<bool> {
    let (cols, pk) = columns(db, table)?;
    let is_blob = |name: &str| cols.iter().any(|c| c.name == name && c.blob);
    let slot = |name: &str| if is_blob(name) { "unhex(?)" } else { "?" };
    let key_slot = slot(&pk);
    let same = |side: &Map<String, Value>| -> (String, Vec<rusqlite::types::Value>) {
        let mut sql = String::new();
        let mut values = Vec::new();
        for (name, v) in side {
            let _ = write!(sql, " and {name} is {}", slot(name));
            values.push(plain(v));
        }
        (sql, values)
    };
    let text = |k: &str| rusqlite::types::Value::Text(k.to_string());
    let changed = match (old, new) {
        (None, Some(new)) => {
            let (same, values) = same(&new);
            let mut all = vec![text(key)];
            all.extend(values);
            db.prepare_cached(&format!("delete from {table} where {pk} = {key_slot}{same}"))?
                .execute(rusqlite::params_from_iter(all))?
        }
        (Some(old), None) => {
            let names: Vec<&str> = old.keys().map(String::as_str).collect();
            let slots: Vec<&str> = names.iter().map(|n| slot(n)).collect();
            let values: Vec<_> = old.values().map(plain).collect();
            db.prepare_cached(&format!(
                "insert into {table} ({}) values ({})",
                names.join(", "),
                slots.join(", ")
            ))?
            .execute(rusqlite::params_from_iter(values))?
        }
        (Some(old), Some(new)) => {
            let sets: Vec<String> = old.keys().map(|n| format!("{n} = {}", slot(n))).collect();
            let (same, more) = same(&new);
            let mut all: Vec<_> = old.values().map(plain).collect();
            all.push(text(key));
            all.extend(more);
            db.prepare_cached(&format!(
                "update {table} set {} where {pk} = {key_slot}{same}",
                sets.join(", ")
            ))?
            .execute(rusqlite::params_from_iter(all))?
        }
        (None, None) => 1,
    };
    Ok(changed == 1)
}

pub(super) fn plain(v: &Value) -> rusqlite::types::Value {
    use rusqlite::types::Value as V;
    match v {
        Value::Null => V::Null,
        Value::Bool(b) => V::Integer(i64::from(*b)),
        Value::Number(n) => n.as_i64().map_or_else(|| V::Real(n.as_f64().unwrap_or_default()), V::Integer),
        Value::String(s) => V::Text(s.clone()),
        other => V::Text(other.to_string()),
    }
}
