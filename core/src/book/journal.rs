//! The journal: TEMP triggers made from the schema catch every changed row; undo is the inverse change.
//!
//! An update stores only the columns that differ, so that undo and amendment trails work field by field.

use super::{Book, Failed};
use crate::flock::{Amendment, Flock, RecordRef, StruckBy};
use crate::terms::{AnimalId, EntryId, Words};
use rapidhash::RapidHashMap;
use rusqlite::{Connection, OptionalExtension as _, params};
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// A line to write.
pub(super) struct Line<'a> {
    pub who: &'a str,
    pub kind: &'a str,
    pub what: &'a str,
    pub reason: Option<&'a str>,
    pub undoes: Option<i64>,
    pub redoes: Option<i64>,
}

/// A line of the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Past {
    /// Its number, counting up.
    pub seq: i64,
    /// When, `2026-04-03 21:10:05`.
    pub at: String,
    /// Who.
    pub who: String,
    /// One plain sentence.
    pub what: String,
    /// The reason given, if any.
    pub reason: Option<String>,
    /// It undoes that line.
    pub undoes: Option<i64>,
    /// It redoes that line.
    pub redoes: Option<i64>,
}

/// A column of a recorded table.
pub(super) struct Column {
    pub name: String,
    pub blob: bool,
}

/// Tables that are recorded: all of ours but the journal's own.
pub(super) fn tables(db: &Connection) -> rusqlite::Result<Vec<String>> {
    db.prepare(
        "select name from main.sqlite_schema where type = 'table' and name not like 'sqlite_%' and name not like 'journal_%' order by name",
    )?
    .query_map([], |r| r.get(0))?
    .collect()
}

pub(super) fn columns(db: &Connection, table: &str) -> rusqlite::Result<(Vec<Column>, String)> {
    let mut key = String::new();
    let mut all = Vec::new();
    let mut statement = db.prepare("select name, type, pk from pragma_table_info(?1) order by cid")?;
    let mut rows = statement.query([table])?;
    while let Some(r) = rows.next()? {
        let name: String = r.get(0)?;
        let kind: String = r.get(1)?;
        if r.get::<_, i64>(2)? == 1 {
            key.clone_from(&name);
        }
        all.push(Column { blob: kind.eq_ignore_ascii_case("blob"), name });
    }
    Ok((all, key))
}

/// `hex(NULL)` is an empty text, so an absent value is kept absent by hand.
fn value(c: &Column, side: &str) -> String {
    if c.blob {
        format!("iif({side}.{0} is null, null, hex({side}.{0}))", c.name)
    } else {
        format!("{side}.{}", c.name)
    }
}

pub(super) fn object(columns: &[Column], side: &str) -> String {
    let parts: Vec<String> = columns.iter().map(|c| format!("'{}', {}", c.name, value(c, side))).collect();
    format!("json_object({})", parts.join(", "))
}

/// Only the columns that differ, as a JSON object. Unchanged ones are marked and patched away, since a
/// merge patch would drop nulls that matter.
fn difference(columns: &[Column], side: &str) -> String {
    let parts: Vec<String> = columns
        .iter()
        .map(|c| format!("iif(old.{0} is not new.{0}, json_array('{0}', {1}), null)", c.name, value(c, side)))
        .collect();
    // json_group_object over the pairs that are there keeps nulls as nulls.
    let rows: Vec<String> = parts.iter().map(|p| format!("select {p} as p")).collect();
    format!(
        "(select json_group_object(p ->> 0, json_extract(p, '$[1]')) from ({}) where p is not null)",
        rows.join(" union all ")
    )
}

/// Makes the triggers. They live with the connection and leave no trace in the file.
pub(super) fn install(db: &Connection) -> rusqlite::Result<()> {
    let mut sql = String::from("create temp table journal_now (entry integer);\n");
    for table in tables(db)? {
        let (cols, key) = columns(db, &table)?;
        let key_of = |side: &str| {
            let blob = cols.iter().any(|c| c.name == key && c.blob);
            if blob { format!("hex({side}.{key})") } else { format!("{side}.{key}") }
        };
        let head = "insert into journal_change (entry, tbl, key, old, new) values ((select entry from temp.journal_now)";
        let differ: Vec<String> = cols.iter().map(|c| format!("old.{0} is not new.{0}", c.name)).collect();
        let _ = write!(
            sql,
            "create temp trigger j_{table}_i after insert on main.{table} begin {head}, '{table}', {kn}, null, {n}); end;\n\
             create temp trigger j_{table}_d after delete on main.{table} begin {head}, '{table}', {ko}, {o}, null); end;\n\
             create temp trigger j_{table}_u after update on main.{table} when {when} begin {head}, '{table}', {kn}, {du_o}, {du_n}); end;\n",
            kn = key_of("new"),
            ko = key_of("old"),
            n = object(&cols, "new"),
            o = object(&cols, "old"),
            when = differ.join(" or "),
            du_o = difference(&cols, "old"),
            du_n = difference(&cols, "new"),
        );
    }
    db.execute_batch(&sql)
}

/// Opens a journal line; all changes until the end of the transaction belong to it.
pub(super) fn begin(
    db: &Connection,
    line: &Line<'_>,
    clock: Option<&str>,
) -> rusqlite::Result<(i64, EntryId)> {
    let id = EntryId::new();
    let now = || chrono::Local::now().format("%Y-%m-%d %H:%M:%S").to_string();
    let at = clock.map_or_else(now, str::to_string);
    db.prepare_cached(
        "insert into journal_entry (id, at, who, kind, what, reason, undoes, redoes, clock)
         values (?, ?, ?, ?, ?, ?, ?, ?, (select coalesce(max(clock), 0) + 1 from journal_entry))",
    )?
    .execute(params![
        id.bytes(),
        at,
        line.who,
        line.kind,
        line.what,
        line.reason,
        line.undoes,
        line.redoes
    ])?;
    let seq = db.last_insert_rowid();
    db.execute("delete from temp.journal_now", [])?;
    db.execute("insert into temp.journal_now values (?)", [seq])?;
    Ok((seq, id))
}

/// Which animals and other things a write moved.
#[derive(Debug, Default)]
pub(super) struct Moved {
    pub animals: BTreeSet<AnimalId>,
    pub products: bool,
    pub settings: bool,
    pub plan: bool,
    pub cupboard: bool,
    pub documents: bool,
    pub daybook: bool,
    pub feedroom: bool,
    pub rules: bool,
    pub pens: bool,
}

impl Moved {
    /// And what another line moved.
    pub(super) fn join(&mut self, other: Self) {
        self.animals.extend(other.animals);
        self.products |= other.products;
        self.settings |= other.settings;
        self.plan |= other.plan;
        self.cupboard |= other.cupboard;
        self.documents |= other.documents;
        self.daybook |= other.daybook;
        self.feedroom |= other.feedroom;
        self.rules |= other.rules;
        self.pens |= other.pens;
    }
}

/// Which columns of which tables name an animal: read from the foreign keys.
pub(super) struct References(Vec<(String, Vec<String>)>);

impl References {
    pub(super) fn read(db: &Connection) -> rusqlite::Result<Self> {
        let mut all = Vec::new();
        for table in tables(db)? {
            let cols: Vec<String> = db
                .prepare("select \"from\" from pragma_foreign_key_list(?1) where \"table\" = 'animal'")?
                .query_map([&table], |r| r.get(0))?
                .collect::<rusqlite::Result<_>>()?;
            all.push((table, cols));
        }
        Ok(Self(all))
    }

    /// Tables and their columns that name an animal.
    pub(super) fn all(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().flat_map(|(t, cols)| cols.iter().map(move |c| (t.as_str(), c.as_str())))
    }

    fn of(&self, table: &str) -> &[String] {
        self.0.iter().find(|(t, _)| t == table).map_or(&[], |(_, c)| c)
    }

    pub(super) fn moved(&self, db: &Connection, seq: i64) -> rusqlite::Result<Moved> {
        let mut moved = Moved::default();
        let mut statement =
            db.prepare_cached("select tbl, key, old, new from journal_change where entry = ?")?;
        let mut rows = statement.query([seq])?;
        while let Some(r) = rows.next()? {
            let table: String = r.get(0)?;
            let key: String = r.get(1)?;
            let old = json(r.get(2)?);
            let new = json(r.get(3)?);
            match table.as_str() {
                "product" => moved.products = true,
                "setting" => moved.settings = true,
                "plan_step" => moved.plan = true,
                "rule_change" => moved.rules = true,
                "pen_place" => moved.pens = true,
                "batch" | "stock_move" | "vet" | "prescription" | "egg_count" => moved.cupboard = true,
                "document" => moved.documents = true,
                "session" | "money" => moved.daybook = true,
                "feed" | "feed_move" | "feed_sheet" | "feed_measure" | "creep" | "ration" | "pen_check" => {
                    moved.feedroom = true;
                }
                _ => {}
            }
            let whole = old.is_none() || new.is_none();
            if table == "animal" || table == "birth" {
                moved.animals.extend(animal_id(&key));
            }
            for col in self.of(&table) {
                for side in [&old, &new].into_iter().flatten() {
                    if let Some(Value::String(hex)) = side.get(col) {
                        moved.animals.extend(animal_id(hex));
                    }
                }
            }
            if table == "birth" {
                // Its lambing's ewe lists the lamb.
                for side in [&old, &new].into_iter().flatten() {
                    if let Some(Value::String(hex)) = side.get("lambing") {
                        moved.animals.extend(ewe_of(db, hex)?);
                    }
                }
            }
            if !whole {
                for col in self.of(&table) {
                    let id = format!("select {col} from {table} where hex(id) = ?1 and {col} is not null");
                    let found: Option<[u8; 16]> = if key.len() == 32 {
                        db.prepare_cached(&id.replace("hex(id) = ?1", "id = unhex(?1)"))?
                            .query_row([&key], |r| r.get(0))
                            .optional()?
                    } else {
                        None
                    };
                    moved.animals.extend(found.map(AnimalId::from_bytes));
                }
            }
        }
        Ok(moved)
    }
}

fn ewe_of(db: &Connection, lambing_hex: &str) -> rusqlite::Result<Option<AnimalId>> {
    let found: Option<[u8; 16]> = db
        .prepare_cached("select ewe from lambing where id = unhex(?1)")?
        .query_row([lambing_hex], |r| r.get(0))
        .optional()?;
    Ok(found.map(AnimalId::from_bytes))
}

fn animal_id(hex: &str) -> Option<AnimalId> {
    (hex.len() == 32)
        .then(|| u128::from_str_radix(hex, 16).ok())
        .flatten()
        .map(|n| AnimalId::from_bytes(n.to_be_bytes()))
}

pub(super) fn json(text: Option<String>) -> Option<Map<String, Value>> {
    text.and_then(|t| serde_json::from_str(&t).ok())
}

impl Book {
    /// The journal's last lines, newest first.
    ///
    /// # Errors
    /// The file could not be read.
    pub fn history(&self, limit: u32) -> Result<Vec<Past>, Failed> {
        self.lines("order by seq desc limit ?1 + ?2", 0, limit)
    }

    /// Lines of the journal after this one, oldest first, at most so many.
    ///
    /// # Errors
    /// The file could not be read.
    pub fn journal_lines(&self, after: i64, most: u32) -> Result<Vec<Past>, Failed> {
        self.lines("where seq > ?1 order by seq limit ?2", after, most)
    }

    fn lines(&self, which: &str, after: i64, most: u32) -> Result<Vec<Past>, Failed> {
        let sql = |e: rusqlite::Error| Failed::sql(&self.path, &e);
        let mut statement = self
            .db
            .prepare_cached(&format!(
                "select seq, at, who, what, reason, undoes, redoes from journal_entry {which}"
            ))
            .map_err(sql)?;
        let all = statement
            .query_map((after, most), |r| {
                Ok(Past {
                    seq: r.get(0)?,
                    at: r.get(1)?,
                    who: r.get(2)?,
                    what: r.get(3)?,
                    reason: r.get(4)?,
                    undoes: r.get(5)?,
                    redoes: r.get(6)?,
                })
            })
            .map_err(sql)?
            .collect::<rusqlite::Result<_>>()
            .map_err(sql)?;
        Ok(all)
    }
}

/// Amendments of records, all or of one journal line, into the flock.
pub(super) fn add_amendments(db: &Connection, flock: &mut Flock, only: i64) -> rusqlite::Result<()> {
    let kind: Option<String> = db
        .prepare_cached("select kind from journal_entry where seq = ?")?
        .query_row([only], |r| r.get(0))
        .optional()?;
    match kind.as_deref() {
        // Undo and redo may take an amendment away; a new tag renames the animal in the trail: read them anew.
        Some(
            "undo" | "redo" | "amend" | "retag" | "product" | "vet" | "strike" | "purge" | "merge" | "part"
            | "unite",
        ) => {
            let trail = amendments(db)?;
            flock.set_amendments(trail.amendments);
            flock.set_strikes(trail.strikes);
            Ok(())
        }
        _ => Ok(()),
    }
}

/// Lines that an undo took back and no redo brought again. Told in one go: a search for each line would take as
/// long as the journal is, each time.
fn undone(db: &Connection) -> rusqlite::Result<BTreeSet<i64>> {
    let (mut undos, mut redone) = (Vec::new(), BTreeSet::new());
    let mut statement = db.prepare_cached(
        "select seq, undoes, redoes from journal_entry where undoes is not null or redoes is not null",
    )?;
    let mut rows = statement.query([])?;
    while let Some(r) = rows.next()? {
        if let Some(line) = r.get::<_, Option<i64>>(1)? {
            undos.push((r.get::<_, i64>(0)?, line));
        }
        redone.extend(r.get::<_, Option<i64>>(2)?);
    }
    Ok(undos.into_iter().filter(|(undo, _)| !redone.contains(undo)).map(|(_, line)| line).collect())
}

/// What became of records after they were written.
#[derive(Default)]
pub(super) struct Trail {
    /// New values, oldest first.
    pub amendments: RapidHashMap<RecordRef, Vec<Amendment>>,
    /// Struck out: by whom, and when.
    pub strikes: RapidHashMap<RecordRef, StruckBy>,
}

/// Every amendment and strike-out that stands. New facts of a product or a vet count as amendments.
pub(super) fn amendments(db: &Connection) -> rusqlite::Result<Trail> {
    let mut trail = Trail::default();
    let undone = undone(db)?;
    // The lines first: the changes of other lines, nearly all of the journal, are never read (`cross` keeps the order).
    let mut statement = db.prepare_cached(
        "select e.id, e.at, e.who, e.reason, c.tbl, c.key, c.old, c.new, e.seq, e.kind = 'strike',
           e.kind in ('merge', 'part'), e.what, e.kind = 'part'
         from journal_entry e cross join journal_change c on c.entry = e.seq
         where e.kind in ('amend', 'product', 'vet', 'strike', 'merge', 'part') and c.old is not null and c.new is not null
         order by e.seq, c.seq",
    )?;
    let mut rows = statement.query([])?;
    let mut at = Words::default();
    while let Some(r) = rows.next()? {
        if undone.contains(&r.get(8)?) {
            continue;
        }
        // All changes of a line have their time in common.
        let minute: String = r.get::<_, String>(1)?.chars().take(16).collect();
        if at != minute {
            at = minute.into();
        }
        let table: String = r.get(4)?;
        let key: String = r.get(5)?;
        let (old, new) = (json(r.get(6)?).unwrap_or_default(), json(r.get(7)?).unwrap_or_default());
        let merged: bool = r.get(10)?;
        // Records that went from one animal to another with it have no new values of their own.
        if merged && table != "animal" {
            if let Some((animal, field)) =
                super::merge::mark_moved(db, (&table, &key), &old, &new, r.get(12)?)?
            {
                let reason: Option<Words> = r.get(3)?;
                let record = RecordRef::Animal(animal);
                let of = trail.amendments.entry(record).or_default();
                let entry = EntryId::from_bytes(r.get(0)?);
                match of.last_mut().filter(|a| a.entry == entry) {
                    Some(last) => last.fields.push(field),
                    None => of.push(Amendment {
                        entry,
                        at: at.clone(),
                        who: r.get(2)?,
                        reason: reason.unwrap_or(r.get(11)?),
                        fields: vec![field],
                    }),
                }
            }
            continue;
        }
        let Some(record) = super::trail::record(&table, &key) else { continue };
        if r.get(9)? {
            if new.get("struck").is_some_and(|s| !s.is_null()) {
                trail.strikes.insert(record, StruckBy { at: at.to_string(), who: r.get(2)? });
            }
            continue;
        }
        let fields: Vec<(String, String, String)> = old
            .iter()
            .filter_map(|(col, before)| {
                let after = new.get(col)?;
                let (b, a) = (super::trail::shown(db, col, before), super::trail::shown(db, col, after));
                Some((super::trail::field_words(col).to_string(), b, a))
            })
            .collect();
        let entry = EntryId::from_bytes(r.get(0)?);
        let of = trail.amendments.entry(record).or_default();
        if let Some(last) = of.last_mut().filter(|a| merged && a.entry == entry) {
            last.fields.extend(fields);
            continue;
        }
        of.push(Amendment {
            entry,
            at: at.clone(),
            who: r.get(2)?,
            reason: r.get::<_, Option<Words>>(3)?.unwrap_or_default(),
            fields,
        });
    }
    trail.amendments.values_mut().for_each(Vec::shrink_to_fit);
    Ok(trail)
}
