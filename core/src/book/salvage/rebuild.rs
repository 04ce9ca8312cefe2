//! Tables and journal mend one another.

use super::super::journal::{self, Line, json};
use super::super::unite::replay;
use super::super::unite::write::Table;
use super::{KIND, Saver};
use crate::terms::EntryId;
use rusqlite::{Connection, OptionalExtension as _, params};
use serde_json::{Map, Value};

/// What stands for a line of the journal that is lost.
const LOST_LINE: &str = "This line of the journal was lost";
/// What an animal says of itself whose own row is lost.
const LOST_ANIMAL: &str =
    "Its own particulars were lost with a damaged book: sex, birth and parents are to be written anew";

impl Saver {
    /// Lines of the journal that are lost but known of keep their place, so that what they changed stays readable.
    pub(super) fn lines(&mut self) -> rusqlite::Result<()> {
        let db = &self.db;
        let clocked =
            self.layout.table("journal_entry").is_some_and(|t| t.columns.iter().any(|c| c.name == "clock"));
        let lost: Vec<(i64, Option<String>, Option<i64>)> = db
            .prepare(
                "select cast(key as integer), extra, cast(of as integer) from temp.known where tbl = 'journal_entry'
                 union select entry, null, null from journal_change
                   where entry not in (select seq from journal_entry)
                   and entry not in (select cast(key as integer) from temp.known where tbl = 'journal_entry')
                 order by 1",
            )?
            .query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?
            .collect::<rusqlite::Result<_>>()?;
        for (seq, id, clock) in lost {
            // Under its own id another copy of the book would not be asked for it again; the first line's tells of
            // which book this is a copy.
            let id = id.filter(|_| seq == 1).unwrap_or_else(|| EntryId::new().0.simple().to_string());
            let at: Option<String> = db
                .prepare_cached("select at from journal_entry order by abs(seq - ?1), seq limit 1")?
                .query_row([seq], |r| r.get(0))
                .optional()?;
            let at = at.unwrap_or_else(|| "2000-01-01 00:00:00".into());
            db.prepare_cached(
                "insert into journal_entry (seq, id, at, who, kind, what) values (?1, unhex(?2), ?3, '', 'lost', ?4)",
            )?
            .execute(params![seq, id, at, LOST_LINE])?;
            if clocked {
                db.prepare_cached("update journal_entry set clock = ?2 where seq = ?1")?
                    .execute(params![seq, clock.unwrap_or(seq)])?;
            }
            self.found.lines_lost += 1;
        }
        db.execute("delete from temp.known where tbl = 'journal_entry'", [])?;
        Ok(())
    }

    /// Rows that their table lost, made anew from the journal.
    pub(super) fn rebuild(&mut self) -> rusqlite::Result<()> {
        self.db.execute_batch("begin immediate")?;
        // A row is missing too that was read but refused, or whose lines were lost with it.
        self.db.execute_batch(
            "insert or ignore into temp.known (tbl, key)
               select tbl, key from temp.refused where key is not null and tbl not like 'journal_%';
             create temp table unsure as select distinct substr(extra, 1, instr(extra, ' ') - 1) as tbl,
               substr(extra, instr(extra, ' ') + 1) as key from temp.known where tbl = 'journal_change' and extra is not null;
             create index temp.unsure_key on unsure (tbl, key);",
        )?;
        let db = &self.db;
        let journal_whole = !self.is_damaged("journal_change") || self.has_whole_index("journal_change");
        for shape in self.layout.tables.iter().filter(|t| !t.name.starts_with("journal_")) {
            if !self.is_damaged(&shape.name) {
                continue;
            }
            let table = Table::of(db, &shape.name)?;
            let keys: Vec<String> = db
                .prepare("select distinct key from journal_change where tbl = ?1 order by key")?
                .query_map([&shape.name], |r| r.get(0))?
                .collect::<rusqlite::Result<_>>()?;
            for key in keys {
                if shape.has(db, &Some(key.clone()))? {
                    continue;
                }
                let row = replay::row(db, &shape.name, &key)?;
                let unsure = "select 1 from temp.unsure where tbl = ?1 and key = ?2";
                let unsure = !journal_whole || db.prepare_cached(unsure)?.exists([&shape.name, &key])?;
                // A line that took it back may be lost: an index tells whether it was there.
                let indexed = "select 1 from temp.known where tbl = ?1 and key = ?2";
                let gone = unsure
                    && self.has_whole_index(&shape.name)
                    && !db.prepare_cached(indexed)?.exists([&shape.name, &key])?;
                if !row.is_there || gone {
                    continue;
                }
                let made = match table.put(db, &key, &row) {
                    Ok(_) => true,
                    Err(e) if e.sqlite_error_code() == Some(rusqlite::ErrorCode::ConstraintViolation) => {
                        false
                    }
                    Err(e) => return Err(e),
                };
                if made {
                    self.found.rebuilt += 1;
                    if unsure {
                        self.found.older.push((shape.name.clone(), key));
                    }
                } else {
                    db.execute(
                        "insert or ignore into temp.known (tbl, key) values (?1, ?2)",
                        [&shape.name, &key],
                    )?;
                }
            }
        }
        for shape in &self.layout.tables {
            let blob = shape.columns.iter().any(|c| c.name == shape.key && c.blob);
            let key =
                if blob { format!("hex({})", shape.key) } else { format!("cast({} as text)", shape.key) };
            db.execute(
                &format!(
                    "delete from temp.known where tbl = ?1 and key in (select {key} from {})",
                    shape.name
                ),
                [&shape.name],
            )?;
        }
        for shape in &self.layout.tables {
            if !self.is_damaged(&shape.name) || self.has_whole_index(&shape.name) {
                continue;
            }
            // Rows of which both the row and lines are lost: they may have been taken back long ago.
            let mut any = shape.name.starts_with("journal_") || !journal_whole;
            for (_, key) in
                pairs(db, "select tbl, key from temp.unsure")?.into_iter().filter(|(t, _)| *t == shape.name)
            {
                any |= !shape.has(db, &Some(key))?;
            }
            if any {
                self.found.uncounted.push(shape.name.clone());
            }
        }
        self.db.execute_batch("commit")
    }

    /// An index in which every row of this table stands could be read to its end.
    fn has_whole_index(&self, table: &str) -> bool {
        self.layout.indexes.iter().any(|i| i.table == table && self.whole.contains(&i.name))
    }

    /// Writes down, in a line of its own, where tables and journal do not agree, and what points to rows that are gone.
    pub(super) fn settle(&mut self, name: &str) -> rusqlite::Result<()> {
        let differs = self.differences()?;
        let db = &self.db;
        journal::install(db)?;
        db.execute_batch("begin immediate")?;
        let what = format!("Saved what could be read of {name}, which was damaged");
        let who =
            std::env::var("USER").or_else(|_| std::env::var("USERNAME")).unwrap_or_else(|_| "keeper".into());
        let line = Line { who: &who, kind: KIND, what: &what, reason: None, undoes: None, redoes: None };
        let (seq, _) = journal::begin(db, &line, None)?;
        // Above every number that a lost change had: none of them is given again.
        let mut number: i64 = db.query_row(
            "select max(coalesce((select max(seq) from journal_change), 0),
               coalesce((select max(cast(key as integer)) from temp.known where tbl = 'journal_change'), 0))",
            [],
            |r| r.get(0),
        )?;
        let mut put = db.prepare(
            "insert into journal_change (seq, entry, tbl, key, old, new) values (?1, ?2, ?3, ?4, ?5, ?6)",
        )?;
        for d in differs {
            number += 1;
            put.execute(params![number, seq, d.table, d.key, text(d.old), text(d.new)])?;
        }
        drop(put);
        self.loose_ends()?;
        // Of a book that was whole after all there is nothing to say.
        let nothing = "select not exists (select 1 from journal_change where entry = ?1)
                         and not exists (select 1 from temp.known)";
        let db = &self.db;
        if self.found.is_nothing() && db.query_row(nothing, [seq], |r| r.get(0))? {
            db.execute("delete from journal_entry where seq = ?1", [seq])?;
        }
        db.execute_batch("commit")
    }

    /// Rows whose table and journal tell different things.
    fn differences(&mut self) -> rusqlite::Result<Vec<Differs>> {
        let mut all = Vec::new();
        let db = &self.db;
        let journal_whole = !self.is_damaged("journal_change") || self.has_whole_index("journal_change");
        let tables: Vec<String> = db
            .prepare("select name from sqlite_schema where type = 'table' and name not like 'sqlite_%' and name not like 'journal_%' order by name")?
            .query_map([], |r| r.get(0))?
            .collect::<rusqlite::Result<_>>()?;
        for name in tables {
            let (columns, key) = journal::columns(db, &name)?;
            let blob = columns.iter().any(|c| c.name == key && c.blob);
            let spelled = if blob { format!("hex({key})") } else { key.clone() };
            let table = Table::of(db, &name)?;
            let mut keys = db.prepare(&format!(
                "select {spelled} from {name} union select key from journal_change where tbl = ?1"
            ))?;
            let mut keys = keys.query([&name])?;
            while let Some(r) = keys.next()? {
                let key: String = r.get(0)?;
                let (now, told) = (table.now(db, &key)?, replay::row(db, &name, &key)?);
                let at = |old, new| Differs { table: name.clone(), key: key.clone(), old, new };
                match now {
                    None if told.is_there => all.push(at(Some(told.fields), None)),
                    None => {}
                    Some(now) if !told.is_there => all.push(at(None, Some(now))),
                    Some(now) => {
                        let (mut old, mut new) = (Map::new(), Map::new());
                        for (column, was) in &told.fields {
                            if let Some(is) = now.get(column)
                                && is != was
                            {
                                old.insert(column.clone(), was.clone());
                                new.insert(column.clone(), is.clone());
                            }
                        }
                        if !new.is_empty() {
                            let unsure = "select 1 from temp.unsure where tbl = ?1 and key = ?2";
                            if journal_whole && !db.prepare_cached(unsure)?.exists([&name, &key])? {
                                self.found.differ.push((name.clone(), key.clone(), old.clone(), new.clone()));
                            }
                            all.push(at(Some(old), Some(new)));
                        }
                    }
                }
            }
        }
        Ok(all)
    }

    /// Rows that name others which are gone: animals get a row that says so, what may be empty is emptied, the rest is
    /// left out. Each is told.
    fn loose_ends(&mut self) -> rusqlite::Result<()> {
        let db = &self.db;
        // A row left out may be one that others name.
        for _ in 0..6 {
            let mut any = false;
            for end in ends(db)? {
                let keys: Vec<String> = db
                    .prepare(&format!(
                        "select hex({key}) from {table} where {from} is not null and {from} not in (select id from {parent})",
                        key = end.key, table = end.table, from = end.from, parent = end.parent
                    ))?
                    .query_map([], |r| r.get(0))?
                    .collect::<rusqlite::Result<_>>()?;
                for key in keys {
                    any = true;
                    let named: String = db.query_row(
                        &format!("select hex({}) from {} where {} = unhex(?1)", end.from, end.table, end.key),
                        [&key],
                        |r| r.get(0),
                    )?;
                    if end.parent == "animal" {
                        stand_in(db, &named)?;
                        self.found.stand_ins.insert(named);
                    } else if end.needed {
                        db.execute(
                            &format!("delete from {} where {} = unhex(?1)", end.table, end.key),
                            [&key],
                        )?;
                        db.execute(
                            "insert or ignore into temp.known (tbl, key) values (?1, ?2)",
                            [&end.table, &key],
                        )?;
                    } else {
                        db.execute(
                            &format!(
                                "update {} set {} = null where {} = unhex(?1)",
                                end.table, end.from, end.key
                            ),
                            [&key],
                        )?;
                        self.found.emptied.push((end.table.clone(), end.from.clone(), key));
                    }
                }
            }
            if !any {
                break;
            }
        }
        Ok(())
    }
}

struct Differs {
    table: String,
    key: String,
    old: Option<Map<String, Value>>,
    new: Option<Map<String, Value>>,
}

fn text(object: Option<Map<String, Value>>) -> Option<String> {
    object.map(|o| Value::Object(o).to_string())
}

/// A column that names a row of another table.
struct End {
    table: String,
    key: String,
    from: String,
    parent: String,
    needed: bool,
}

fn ends(db: &Connection) -> rusqlite::Result<Vec<End>> {
    db.prepare(
        "select m.name, f.\"from\", f.\"table\", (select p.\"notnull\" from pragma_table_info(m.name) p where p.name = f.\"from\"),
           (select p.name from pragma_table_info(m.name) p where p.pk = 1)
         from sqlite_schema m join pragma_foreign_key_list(m.name) f
         where m.type = 'table' and m.name not like 'journal_%' order by f.\"table\" <> 'animal', 1, 2",
    )?
    .query_map([], |r| {
        Ok(End { table: r.get(0)?, from: r.get(1)?, parent: r.get(2)?, needed: r.get(3)?, key: r.get(4)? })
    })?
    .collect()
}

/// A row for an animal whose own is lost, so that its records stay. What it was is read off them where they tell.
fn stand_in(db: &Connection, id: &str) -> rusqlite::Result<()> {
    let is = |sql: &str| db.prepare(sql)?.exists([id]);
    let ram = is("select 1 from animal where sire = unhex(?1) union all select 1 from joining where ram = unhex(?1)
                  union all select 1 from crayon where ram = unhex(?1) union all select 1 from possible_sire where ram = unhex(?1)")?;
    let standing: Option<String> = db
        .prepare("select status from movement where animal = unhex(?1) and struck is null order by on_day desc limit 1")?
        .query_row([id], |r| r.get(0))
        .optional()?;
    db.execute(
        "insert or ignore into animal (id, sex, status, note) values (unhex(?1), ?2, ?3, ?4)",
        params![
            id,
            if ram { "ram" } else { "ewe" },
            standing.unwrap_or_else(|| "in the flock".into()),
            LOST_ANIMAL
        ],
    )?;
    Ok(())
}

fn pairs(db: &Connection, sql: &str) -> rusqlite::Result<Vec<(String, String)>> {
    db.prepare(sql)?.query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?.collect()
}

/// An animal that a lost or doubtful row is of, by what the journal or the row says.
pub(super) fn animal_of(db: &Connection, table: &str, key: &str) -> rusqlite::Result<Option<String>> {
    if table == "animal" || table == "birth" {
        return Ok(Some(key.to_string()));
    }
    let mut lines = db.prepare_cached(
        "select coalesce(new, old) from journal_change where tbl = ?1 and key = ?2 order by seq",
    )?;
    let mut lines = lines.query([table, key])?;
    while let Some(r) = lines.next()? {
        let fields = json(r.get(0)?).unwrap_or_default();
        let named = ["animal", "ewe", "ram"].iter().find_map(|c| fields.get(*c).and_then(Value::as_str));
        if let Some(id) = named {
            return Ok(Some(id.to_string()));
        }
    }
    Ok(None)
}
