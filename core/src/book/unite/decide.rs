//! What both copies changed differently, side by side, until a person decides.

use super::super::journal::Line;
use super::super::{Book, Failed, Written, trail};
use super::mend::Mended;
use super::replay::{Row, last_touch, row};
use super::write::Table;
use crate::flock::RecordRef;
use rusqlite::{Connection, params};
use serde_json::Value as Json;
use std::collections::{BTreeSet, HashSet};
use uuid::Uuid;

/// Which copy's value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// This copy's.
    Ours,
    /// The other copy's.
    Theirs,
}

impl Side {
    /// As stored.
    fn word(self) -> &'static str {
        match self {
            Self::Ours => "ours",
            Self::Theirs => "theirs",
        }
    }
}

/// One copy's value of a field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Value {
    /// In words.
    pub words: String,
    /// Who wrote it.
    pub who: String,
    /// When, `2026-04-03 21:10`.
    pub at: String,
    /// The line that wrote it, as a sentence.
    pub line: String,
}

/// A field that both copies changed differently.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// Its id.
    pub id: [u8; 16],
    /// The record it is of, where it can be opened.
    pub record: Option<RecordRef>,
    /// What it is of, in words: `weighing of 0412`.
    pub what: String,
    /// The field in words; empty where the whole record is meant.
    pub field: String,
    /// This copy's value.
    pub ours: Value,
    /// The other's.
    pub theirs: Value,
    /// Which holds for now, or was decided for.
    pub stands: Side,
    /// A person decided.
    pub decided: bool,
}

/// The whole row.
const WHOLE: &str = "*";
/// Fields that follow from other records, by table.
const FOLLOWS: [(&str, &str); 4] =
    [("animal", "pen"), ("animal", "status"), ("animal", "status_on"), ("animal", "status_reason")];

/// Writes down what lines of both copies changed differently, and says how many there are.
pub(super) fn find(db: &Connection, brought: i64, only_here: &HashSet<i64>) -> rusqlite::Result<usize> {
    db.execute_batch(
        "create temp table if not exists only_here (seq integer primary key); delete from temp.only_here;",
    )?;
    {
        let mut put = db.prepare("insert into temp.only_here values (?1)")?;
        only_here.iter().try_for_each(|seq| put.execute([seq]).map(|_| ()))?;
    }
    let rows: Vec<(String, String)> = db
        .prepare(
            "select distinct c.tbl, c.key from journal_change c join journal_entry e on e.seq = c.entry
             where e.brought = ?1 and exists (select 1 from journal_change o
               where o.tbl = c.tbl and o.key = c.key and o.entry in (select seq from temp.only_here))
             order by 1, 2",
        )?
        .query_map([brought], |r| Ok((r.get(0)?, r.get(1)?)))?
        .collect::<rusqlite::Result<_>>()?;
    let theirs_are = format!("e.brought = {brought}");
    let ours_are = "e.seq in (select seq from temp.only_here)";
    let mut n = 0;
    for (table, key) in rows {
        let at = (table.as_str(), key.as_str());
        let (gone_here, gone_there) = (taken_back(db, at, ours_are)?, taken_back(db, at, &theirs_are)?);
        if gone_here.is_some() != gone_there.is_some() {
            let stands = row(db, &table, &key)?;
            let kept = stands.is_there.then(|| Json::Object(stands.fields.clone()).to_string());
            let whole = Some(Json::Object(stands.fields).to_string());
            let last = |among: &str| last_line(db, at, among);
            let (our_line, their_line) = (last(ours_are)?, last(&theirs_are)?);
            let here_holds = kept.is_some() == gone_here.is_none();
            let (ours, theirs) = if gone_here.is_some() { (None, whole) } else { (whole, None) };
            let side = if here_holds { Side::Ours } else { Side::Theirs };
            put(db, brought, at, WHOLE, (ours, theirs), (our_line, their_line), side)?;
            n += 1;
            continue;
        }
        if gone_here.is_some() {
            continue;
        }
        for column in columns_of(db, at, &theirs_are)? {
            if FOLLOWS.contains(&(table.as_str(), column.as_str())) {
                continue;
            }
            let ours = last_touch(db, at, &column, ours_are)?;
            let theirs = last_touch(db, at, &column, &theirs_are)?;
            let (Some((our_line, ours)), Some((their_line, theirs))) = (ours, theirs) else { continue };
            if ours == theirs {
                continue;
            }
            let holds = row(db, &table, &key)?.fields.get(&column).cloned().unwrap_or(Json::Null);
            let side = if holds == ours { Side::Ours } else { Side::Theirs };
            let values = (Some(ours.to_string()), Some(theirs.to_string()));
            put(db, brought, at, &column, values, (our_line, their_line), side)?;
            n += 1;
        }
    }
    Ok(n)
}

/// What was mended by letting one of two rows go is to be decided as well.
pub(super) fn mended(db: &Connection, brought: i64, done: &[Mended]) -> rusqlite::Result<()> {
    for m in done {
        let Mended::Twice { table, stays, went } = m else { continue };
        let of = |key: &str| -> rusqlite::Result<(Option<String>, i64)> {
            let fields = row(db, table, key)?.fields;
            Ok((Some(Json::Object(fields).to_string()), last_line(db, (table, key), "true")?))
        };
        let ((kept, kept_line), (gone, gone_line)) = (of(stays)?, of(went)?);
        let brought_it: bool = db
            .prepare_cached("select brought is not null from journal_entry where seq = ?1")?
            .query_row([kept_line], |r| r.get(0))?;
        let (values, lines, side) = if brought_it {
            ((gone, kept), (gone_line, kept_line), Side::Theirs)
        } else {
            ((kept, gone), (kept_line, gone_line), Side::Ours)
        };
        put(db, brought, (table, stays), WHOLE, values, lines, side)?;
    }
    Ok(())
}

fn put(
    db: &Connection,
    line: i64,
    (table, key): (&str, &str),
    column: &str,
    (ours, theirs): (Option<String>, Option<String>),
    (our_line, their_line): (i64, i64),
    stands: Side,
) -> rusqlite::Result<()> {
    db.prepare_cached(
        "insert into journal_conflict (id, line, tbl, key, col, ours, theirs, our_line, their_line, stands)
         values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
    )?
    .execute(params![
        Uuid::now_v7().as_bytes(),
        line,
        table,
        key,
        column,
        ours,
        theirs,
        our_line,
        their_line,
        stands.word()
    ])?;
    Ok(())
}

/// The line among these that took the row back and was not followed by another of them.
fn taken_back(db: &Connection, at: (&str, &str), among: &str) -> rusqlite::Result<Option<i64>> {
    let mut s = db.prepare_cached(&format!(
        "select e.seq, c.new is null from journal_change c join journal_entry e on e.seq = c.entry
         where c.tbl = ?1 and c.key = ?2 and {among} order by e.clock desc, e.id desc, c.seq desc limit 1"
    ))?;
    let mut rows = s.query(params![at.0, at.1])?;
    let Some(r) = rows.next()? else { return Ok(None) };
    let (seq, gone): (i64, bool) = (r.get(0)?, r.get(1)?);
    Ok(gone.then_some(seq))
}

fn last_line(db: &Connection, at: (&str, &str), among: &str) -> rusqlite::Result<i64> {
    db.prepare_cached(&format!(
        "select e.seq from journal_change c join journal_entry e on e.seq = c.entry
         where c.tbl = ?1 and c.key = ?2 and {among} order by e.clock desc, e.id desc, c.seq desc limit 1"
    ))?
    .query_row(params![at.0, at.1], |r| r.get(0))
}

fn columns_of(db: &Connection, at: (&str, &str), among: &str) -> rusqlite::Result<BTreeSet<String>> {
    db.prepare_cached(&format!(
        "select distinct j.key from journal_change c join journal_entry e on e.seq = c.entry, json_each(c.new) j
         where c.tbl = ?1 and c.key = ?2 and {among}"
    ))?
    .query_map(params![at.0, at.1], |r| r.get(0))?
    .collect()
}

/// A conflict as it is stored.
#[derive(Clone)]
struct Stored {
    id: [u8; 16],
    table: String,
    key: String,
    column: String,
    sides: [(Option<String>, i64); 2],
    stands: Side,
    decided: bool,
}

fn stored(db: &Connection) -> rusqlite::Result<Vec<Stored>> {
    // A decision that was undone is none.
    db.prepare(
        "select c.id, c.tbl, c.key, c.col, c.ours, c.our_line, c.theirs, c.their_line, c.stands,
           c.decided is not null and not exists (select 1 from journal_entry u where u.undoes = c.decided
             and not exists (select 1 from journal_entry r where r.redoes = u.seq))
         from journal_conflict c order by c.line desc, c.id",
    )?
    .query_map([], |r| {
        let stands: String = r.get(8)?;
        Ok(Stored {
            id: r.get(0)?,
            table: r.get(1)?,
            key: r.get(2)?,
            column: r.get(3)?,
            sides: [(r.get(4)?, r.get(5)?), (r.get(6)?, r.get(7)?)],
            stands: if stands == "ours" { Side::Ours } else { Side::Theirs },
            decided: r.get(9)?,
        })
    })?
    .collect()
}

impl Book {
    /// What both copies changed differently, newest first, also what was decided.
    ///
    /// # Errors
    /// The file could not be read.
    pub fn conflicts(&self) -> Result<Vec<Conflict>, Failed> {
        let all = || -> rusqlite::Result<Vec<Conflict>> {
            stored(&self.db)?.into_iter().map(|s| self.in_words(s)).collect()
        };
        all().map_err(|e| Failed::sql(&self.path, &e))
    }

    fn in_words(&self, s: Stored) -> rusqlite::Result<Conflict> {
        let db = &self.db;
        let value = |(json, line): &(Option<String>, i64)| -> rusqlite::Result<Value> {
            let (who, at, sentence): (String, String, String) = db
                .prepare_cached("select who, at, what from journal_entry where seq = ?1")?
                .query_row([line], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?;
            let read: Option<Json> = json.as_ref().and_then(|t| serde_json::from_str(t).ok());
            let words = match (s.column.as_str(), read) {
                (WHOLE, None) => "taken back".to_string(),
                (WHOLE, Some(Json::Object(fields))) => {
                    let told = fields
                        .iter()
                        .filter(|(n, v)| !matches!(n.as_str(), "id" | "of_id" | "sha") && !v.is_null())
                        .map(|(n, v)| format!("{} {}", trail::field_words(n), trail::shown(db, n, v)));
                    told.collect::<Vec<_>>().join(", ")
                }
                (column, read) => trail::shown(db, column, &read.unwrap_or(Json::Null)),
            };
            Ok(Value { words, who, at: at.chars().take(16).collect(), line: sentence })
        };
        let record = trail::record(&s.table, &s.key);
        let what = match record {
            Some(RecordRef::Animal(id)) => self.flock.tag(id).to_string(),
            Some(record) => {
                let kept = crate::reckon::trail::kept_words(&self.flock, record);
                kept.unwrap_or_else(|| self.owner(&s).unwrap_or_else(|| s.table.replace('_', " ")))
            }
            None if s.table == "setting" => "the flock and its keeper".into(),
            None if s.table == "pen_place" => format!("the pen map: {}", s.key),
            None => s.table.replace('_', " "),
        };
        let field = match (s.column.as_str(), s.table.as_str()) {
            (WHOLE, _) => String::new(),
            // A setting's name is its field.
            ("value", "setting") => s.key.replace('_', " "),
            (column, _) => trail::field_words(column).to_string(),
        };
        Ok(Conflict {
            id: s.id,
            record,
            what,
            field,
            ours: value(&s.sides[0])?,
            theirs: value(&s.sides[1])?,
            stands: s.stands,
            decided: s.decided,
        })
    }

    /// `weighing of 0412`: whose record it is.
    fn owner(&self, s: &Stored) -> Option<String> {
        let fields = row(&self.db, &s.table, &s.key).ok()?.fields;
        let hex = ["animal", "ewe"].iter().find_map(|c| fields.get(*c)?.as_str())?;
        let id = trail::record("animal", hex)?;
        let RecordRef::Animal(id) = id else { return None };
        Some(format!("{} of {}", s.table.replace('_', " "), self.flock.tag(id)))
    }

    /// Decides for one side: an amendment with its reason, one undo. Where that value holds already it is only marked.
    ///
    /// # Errors
    /// The conflict is gone, or the file could not be written.
    pub fn decide(&mut self, id: [u8; 16], side: Side, reason: &str) -> Result<Written, Failed> {
        let path = self.path.clone();
        let sql = |e: rusqlite::Error| Failed::sql(&path, &e);
        let found = stored(&self.db).map_err(sql)?.into_iter().find(|s| s.id == id);
        let Some(s) = found else {
            return Err(Failed::Other { path, what: "what was to be decided is not there any more".into() });
        };
        let words = self.in_words(s.clone()).map_err(sql)?;
        let chosen = if side == Side::Ours { &words.ours } else { &words.theirs };
        let field = if words.field.is_empty() { String::new() } else { format!(", {}", words.field) };
        let what = format!("Decided for {}{field}: {}", words.what, chosen.words);
        let reason = reason.trim();
        let reason = (!reason.is_empty()).then_some(reason);
        let who = self.who.clone();
        let line = Line { who: &who, kind: "amend", what: &what, reason, undoes: None, redoes: None };
        let json = s.sides[usize::from(side == Side::Theirs)].0.clone();
        self.transact(&line, |db| {
            let value: Option<Json> = json.as_ref().and_then(|t| serde_json::from_str(t).ok());
            let to_be = match (s.column.as_str(), value) {
                (WHOLE, None) => Row { is_there: false, ..Row::default() },
                (WHOLE, Some(Json::Object(mut fields))) => {
                    // Of two rows that said the same the one that stayed takes the other's words.
                    fields.remove("id");
                    Row { fields, is_there: true }
                }
                (column, value) => {
                    let fields = [(column.to_string(), value.unwrap_or(Json::Null))].into_iter().collect();
                    Row { fields, is_there: true }
                }
            };
            Table::of(db, &s.table)?.put(db, &s.key, &to_be)?;
            let now: i64 = db.query_row("select entry from temp.journal_now", [], |r| r.get(0))?;
            db.prepare_cached("update journal_conflict set decided = ?2, stands = ?3 where id = ?1")?
                .execute(params![s.id, now, side.word()])?;
            Ok(())
        })
    }
}
