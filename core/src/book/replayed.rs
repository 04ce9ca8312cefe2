//! Every row compared with the journal. Each fact stands in a book twice: in its table, and in the changes that brought it
//! there. SQLite keeps no sums of its pages, so a bit that turned over in a weight shows nowhere else than here.
//!
//! Table and journal are walked beside one another in order of the rows' keys; what a row was written as in one piece
//! and never changed since is compared as text, letter by letter, and only the others are played back.

use super::journal::{self, Column};
use super::trail;
use super::unite::replay::{self, Change, Fields};
use crate::terms::Day;
use rusqlite::types::ValueRef;
use rusqlite::{Connection, Row, Rows};
use serde_json::Value;

/// No more faults are told one by one.
const MOST: usize = 20;

/// What was found, in sentences: the first ones, and how many there are besides.
#[derive(Default)]
struct Found {
    told: Vec<String>,
    more: usize,
}

impl Found {
    fn tell(&mut self, what: impl FnOnce() -> String) {
        if self.told.len() < MOST { self.told.push(what()) } else { self.more += 1 }
    }
}

/// Where tables and journal differ, in plain sentences.
///
/// # Errors
/// The file could not be read.
pub(super) fn compare(db: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut found = Found::default();
    let tables = journal::tables(db)?;
    let two = "select exists (select 1 from journal_entry where brought is not null or kind in ('unite', 'part copies'))";
    let united = db.query_row(two, [], |r| r.get(0))?;
    for name in &tables {
        Table::of(db, name, united)?.compare(db, &mut found)?;
    }
    let mut others = db.prepare("select tbl, count(*) from journal_change group by tbl")?;
    let mut rows = others.query([])?;
    while let Some(r) = rows.next()? {
        let (name, n) = (text(r, 0)?.unwrap_or_default(), r.get::<_, i64>(1)?);
        if !tables.contains(&name) {
            found.tell(|| {
                format!("{n} changes in the journal are of a table that there is not: '{}'", short(&name))
            });
        }
    }
    if found.more > 0 {
        let n = found.more;
        found.told.push(format!("And {n} more differences between tables and journal"));
    }
    Ok(found.told)
}

/// What a line says, part by part.
type Said = Vec<Option<String>>;

/// Lines of the journal beside those of a copy kept earlier: a line is never changed once it is written.
///
/// # Errors
/// Either could not be read.
pub(super) fn beside(db: &Connection, copy: &Connection, on: Day) -> rusqlite::Result<Vec<String>> {
    let sql = "select id, at, who, kind, what, reason, iif(brought is null, undoes, null),
                 iif(brought is null, redoes, null) from journal_entry order by id";
    let (mut ours, mut theirs) = (db.prepare(sql)?, copy.prepare(sql)?);
    let (mut ours, mut theirs) = (ours.query([])?, theirs.query([])?);
    let line = |rows: &mut Rows<'_>| -> rusqlite::Result<Option<(Vec<u8>, Said)>> {
        let Some(r) = rows.next()? else { return Ok(None) };
        let parts = (1..=7).map(|i| text(r, i)).collect::<rusqlite::Result<_>>()?;
        Ok(Some((r.get(0)?, parts)))
    };
    let mut found = Found::default();
    let (mut a, mut b) = (line(&mut ours)?, line(&mut theirs)?);
    while let (Some(x), Some(y)) = (&a, &b) {
        match x.0.cmp(&y.0) {
            std::cmp::Ordering::Less => a = line(&mut ours)?,
            std::cmp::Ordering::Greater => b = line(&mut theirs)?,
            std::cmp::Ordering::Equal => {
                if let Some((here, there)) = x.1.iter().zip(&y.1).find(|(x, y)| x != y) {
                    let at = x.1[0].clone().unwrap_or_default();
                    let say = |t: &Option<String>| short(t.as_deref().unwrap_or("nothing"));
                    found.tell(|| {
                        format!(
                            "A line of the journal of {} says '{}', and '{}' in the copy kept on {}",
                            short(&at),
                            say(here),
                            say(there),
                            on.words()
                        )
                    });
                }
                (a, b) = (line(&mut ours)?, line(&mut theirs)?);
            }
        }
    }
    if found.more > 0 {
        found.told.push(format!("And {} more lines differ from that copy", found.more));
    }
    Ok(found.told)
}

struct Table<'a> {
    name: &'a str,
    columns: Vec<Column>,
    key: String,
    /// Columns that came with a later format hold this in older rows.
    defaults: Fields,
    /// Lines of another copy stand in this journal: rows are then in order of the lines' clocks.
    united: bool,
}

/// A key with the row's columns as JSON.
type Laid = Option<(String, String)>;

impl<'a> Table<'a> {
    fn of(db: &Connection, name: &'a str, united: bool) -> rusqlite::Result<Self> {
        let (columns, key) = journal::columns(db, name)?;
        let mut defaults = Fields::new();
        let mut statement =
            db.prepare("select name, dflt_value from pragma_table_info(?1) where dflt_value is not null")?;
        let mut rows = statement.query([name])?;
        while let Some(r) = rows.next()? {
            let written: String = r.get(1)?;
            let value = match written.strip_prefix('\'').and_then(|t| t.strip_suffix('\'')) {
                Some(text) => Value::from(text.replace("''", "'")),
                None => serde_json::from_str(&written).unwrap_or(Value::Null),
            };
            defaults.insert(r.get(0)?, value);
        }
        Ok(Self { name, columns, key, defaults, united })
    }

    fn compare(&self, db: &Connection, found: &mut Found) -> rusqlite::Result<()> {
        let blob = self.columns.iter().any(|c| c.name == self.key && c.blob);
        let key = if blob { format!("hex(t.{})", self.key) } else { format!("t.{}", self.key) };
        let mut rows = db.prepare(&format!(
            "select {key}, {} from {} t order by t.{}",
            journal::object(&self.columns, "t"),
            self.name,
            self.key
        ))?;
        let mut rows = rows.query([])?;
        let mut changes = db.prepare(
            "select c.key, c.old, c.new, c.seq, e.clock, e.id, e.kind, e.brought is not null
             from journal_change c left join journal_entry e on e.seq = c.entry
             where c.tbl = ?1 order by c.key, c.seq",
        )?;
        let mut changes = Groups { rows: changes.query([self.name])?, next: None, started: false };
        let mut row = laid(&mut rows)?;
        while let Some((key, lines)) = changes.take()? {
            while let Some((k, there)) = row.take_if(|(k, _)| *k < key) {
                self.unwritten(db, &k, &there, found);
                row = laid(&mut rows)?;
            }
            let there = row.take_if(|(k, _)| *k == key);
            self.judge(db, &key, there.as_ref().map(|(_, t)| t.as_str()), lines, found);
            if there.is_some() {
                row = laid(&mut rows)?;
            }
        }
        while let Some((k, there)) = row {
            self.unwritten(db, &k, &there, found);
            row = laid(&mut rows)?;
        }
        Ok(())
    }

    fn unwritten(&self, db: &Connection, key: &str, there: &str, found: &mut Found) {
        found.tell(|| format!("{}: no line of the journal wrote it", self.record(db, key, &parsed(there))));
    }

    fn judge(
        &self,
        db: &Connection,
        key: &str,
        there: Option<&str>,
        mut lines: Vec<Written>,
        found: &mut Found,
    ) {
        if let ([one], Some(there)) = (lines.as_slice(), there)
            && one.old.is_none()
            && one.new.as_deref() == Some(there)
        {
            return;
        }
        if let Some(bad) = lines.iter().find(|l| !l.is_readable()) {
            let (record, seq) = (self.record(db, key, &Fields::new()), bad.seq);
            found.tell(|| format!("{record}: change {seq} in the journal cannot be read"));
            return;
        }
        let before = (!self.united).then(|| self.broken(&lines)).flatten();
        let by_number = self
            .united
            .then(|| replay::played(lines.iter().filter(|l| l.was_done_here()).map(Written::change)));
        lines.sort_by(|a, b| (a.clock, &a.id, a.seq).cmp(&(b.clock, &b.id, b.seq)));
        let facts = lines.iter().filter(|l| !replay::writes_no_facts(&l.kind));
        let by_clock = replay::played(facts.map(Written::change));
        let may = [Some(&by_clock), by_number.as_ref()];
        let here = there.map(parsed).unwrap_or_default();
        let record = || self.record(db, key, if there.is_some() { &here } else { &by_clock.fields });
        if !may.iter().flatten().any(|r| r.is_there == there.is_some()) {
            found.tell(|| match there {
                Some(_) => format!("{}: it is in its table, but the journal took it away", record()),
                None => format!("{}: the journal wrote it, but it is not in its table", record()),
            });
            return;
        }
        if there.is_some() {
            for c in &self.columns {
                let value = here.get(&c.name).unwrap_or(&Value::Null);
                if !may.iter().flatten().any(|r| self.fits(value, r.fields.get(&c.name), &c.name)) {
                    let written = by_clock.fields.get(&c.name).unwrap_or(&Value::Null);
                    found.tell(|| self.differs(db, &record(), &c.name, value, written, ""));
                }
            }
        }
        if let Some((column, was, says)) = before {
            found
                .tell(|| self.differs(db, &record(), &column, &was, &says, " (what it was before a change)"));
        }
    }

    /// A column the journal has no word of holds nothing, or what it was given when it was added.
    fn fits(&self, value: &Value, written: Option<&Value>, column: &str) -> bool {
        match written {
            Some(written) => value == written,
            None => value.is_null() || self.defaults.get(column) == Some(value),
        }
    }

    /// The first change that says a column was something else than the changes before it left: column, what they left,
    /// what it says.
    fn broken(&self, lines: &[Written]) -> Option<(String, Value, Value)> {
        let mut now = Fields::new();
        for line in lines {
            let (old, new) = line.sides();
            for (column, says) in old.iter().flatten() {
                if !self.fits(says, now.get(column), column) {
                    return Some((
                        column.clone(),
                        now.get(column).cloned().unwrap_or(Value::Null),
                        says.clone(),
                    ));
                }
            }
            now.extend(new.into_iter().flatten());
        }
        None
    }

    fn differs(
        &self,
        db: &Connection,
        record: &str,
        column: &str,
        here: &Value,
        written: &Value,
        more: &str,
    ) -> String {
        let (mut a, mut b) = (trail::shown(db, column, here), trail::shown(db, column, written));
        if a == b {
            (a, b) = (format!("{a} ({here})"), format!("{b} ({written})"));
        }
        let (a, b) = (short(&a), short(&b));
        format!(
            "{record}: {} is '{a}' in its table and '{b}' in the journal{more}",
            trail::field_words(column)
        )
    }

    /// Which record this is, as a person would find it.
    fn record(&self, db: &Connection, key: &str, row: &Fields) -> String {
        let hex = Value::from(key);
        let animal = match self.name {
            "animal" | "birth" => Some(&hex),
            _ => ["animal", "ewe", "ram"].iter().find_map(|c| row.get(*c).filter(|v| v.is_string())),
        };
        let mut text =
            if self.name == "setting" { format!("Setting '{}'", short(key)) } else { capital(self.name) };
        if let Some(animal) = animal {
            text.push_str(" of ");
            text.push_str(&short(&trail::shown(db, "animal", animal)));
        }
        if let Some(day) = ["on_day", "from_on"].iter().find_map(|c| row.get(*c).filter(|v| v.is_string())) {
            text.push_str(", ");
            text.push_str(&short(&trail::shown(db, "on_day", day)));
        }
        text
    }
}

/// One change of a row with the line it belongs to.
struct Written {
    seq: i64,
    old: Option<String>,
    new: Option<String>,
    clock: i64,
    id: Vec<u8>,
    kind: String,
    brought: bool,
}

impl Written {
    fn is_readable(&self) -> bool {
        let reads = |side: &Option<String>| side.is_none() || journal::json(side.clone()).is_some();
        (self.old.is_some() || self.new.is_some()) && reads(&self.old) && reads(&self.new)
    }

    /// It was written into the tables as it stands; lines that were brought were played first.
    fn was_done_here(&self) -> bool {
        !self.brought || self.kind == "mended"
    }

    fn sides(&self) -> Change {
        (journal::json(self.old.clone()), journal::json(self.new.clone()))
    }

    fn change(line: &Self) -> Change {
        line.sides()
    }
}

/// Changes of one row after another.
struct Groups<'s> {
    rows: Rows<'s>,
    next: Option<(String, Written)>,
    started: bool,
}

impl Groups<'_> {
    fn read(&mut self) -> rusqlite::Result<()> {
        self.next = match self.rows.next()? {
            None => None,
            Some(r) => {
                let line = Written {
                    seq: r.get(3)?,
                    old: text(r, 1)?,
                    new: text(r, 2)?,
                    clock: r.get::<_, Option<i64>>(4)?.unwrap_or_default(),
                    id: r.get::<_, Option<Vec<u8>>>(5)?.unwrap_or_default(),
                    kind: text(r, 6)?.unwrap_or_default(),
                    brought: r.get(7)?,
                };
                Some((text(r, 0)?.unwrap_or_default(), line))
            }
        };
        Ok(())
    }

    fn take(&mut self) -> rusqlite::Result<Option<(String, Vec<Written>)>> {
        if !std::mem::replace(&mut self.started, true) {
            self.read()?;
        }
        let Some((key, first)) = self.next.take() else { return Ok(None) };
        let mut lines = vec![first];
        self.read()?;
        while let Some((_, line)) = self.next.take_if(|(k, _)| *k == key) {
            lines.push(line);
            self.read()?;
        }
        Ok(Some((key, lines)))
    }
}

fn laid(rows: &mut Rows<'_>) -> rusqlite::Result<Laid> {
    let Some(r) = rows.next()? else { return Ok(None) };
    Ok(Some((text(r, 0)?.unwrap_or_default(), text(r, 1)?.unwrap_or_default())))
}

/// A text as it lies there: one that is no UTF-8 is a fault to be told, not the end of the look.
fn text(r: &Row<'_>, i: usize) -> rusqlite::Result<Option<String>> {
    Ok(match r.get_ref(i)? {
        ValueRef::Null => None,
        ValueRef::Text(t) | ValueRef::Blob(t) => Some(String::from_utf8_lossy(t).into_owned()),
        ValueRef::Integer(n) => Some(n.to_string()),
        ValueRef::Real(x) => Some(x.to_string()),
    })
}

fn parsed(text: &str) -> Fields {
    serde_json::from_str(text).unwrap_or_default()
}

/// `pen_move` as `Pen move`.
fn capital(name: &str) -> String {
    let mut chars = name.chars();
    let first = chars.next().map(|c| c.to_ascii_uppercase());
    first.into_iter().chain(chars).collect::<String>().replace('_', " ")
}

/// On one line, and not longer than a line.
fn short(text: &str) -> String {
    let mut out: String = text.chars().map(|c| if c.is_control() { '?' } else { c }).take(60).collect();
    if text.chars().nth(60).is_some() {
        out.push('…');
    }
    out
}

#[cfg(test)]
mod tests;
