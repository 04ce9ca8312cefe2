//! Two copies of one book brought together: his and hers, each written in by itself.
//!
//! Every line of the other's journal that this copy does not know is taken in, and each row they wrote is made anew from
//! all lines of both (see `replay`): so both copies come to the same, in whichever order they are brought together, and
//! bringing them together twice changes nothing. Changes of different fields are both kept. Where both changed the same
//! field differently the later holds until a person decides; both values stay readable.

mod decide;
mod mend;
pub(super) mod replay;
#[cfg(test)]
mod tests;
pub(super) mod write;

pub use decide::{Conflict, Side, Value};
pub(super) use replay::NO_FACTS;

use super::journal::{self, Line};
use super::{Book, Failed, backup, documents, fold, load, ours, refreshed};
use crate::flock::{Flock, Sha};
use crate::terms::counted;
use mend::Mended;
use rusqlite::{Connection, params};
use std::collections::{BTreeMap, HashSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// How a line begins that brought another copy in; taken back, its lines go with it.
pub const BROUGHT: &str = "Brought together with";

/// What bringing together brought, or would bring.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct United {
    /// Lines that came, by who wrote them.
    pub by: Vec<(String, usize)>,
    /// The last of them, newest first, as sentences with their time.
    pub last: Vec<(String, String)>,
    /// What was mended, in words.
    pub mended: Vec<String>,
    /// What both changed differently.
    pub conflicts: usize,
    /// Lines of this copy that the other does not have.
    pub only_here: usize,
}

impl United {
    /// How many lines came.
    pub fn lines(&self) -> usize {
        self.by.iter().map(|(_, n)| n).sum()
    }

    /// One plain sentence.
    pub fn words(&self) -> String {
        if self.lines() == 0 {
            return "nothing new: this copy has everything of the other".into();
        }
        let by: Vec<String> =
            self.by.iter().map(|(who, n)| format!("{} by {who}", counted(*n, "line"))).collect();
        let mut text = by.join(", ");
        if self.conflicts > 0 {
            text.push_str(&format!("; {} to decide", counted(self.conflicts, "thing")));
        }
        text
    }
}

/// The other copy, looked over and ready to be brought in: a copy of its file, gone when dropped. Making it reads the
/// whole file and may take a while; it can be made on a thread of its own.
#[derive(Debug)]
pub struct Other {
    book: Book,
    // After the book: its file is open until then.
    _beside: Beside,
    path: PathBuf,
}

#[derive(Debug)]
struct Beside {
    path: PathBuf,
}

impl Beside {
    fn sweep(path: &Path) {
        for end in ["", "-wal", "-shm", "-journal"] {
            let _ = std::fs::remove_file(backup::sibling(path, end));
        }
        let _ = std::fs::remove_dir_all(backup::folder(path));
    }

    /// A copy of the other book beside ours. Its lock is asked for first: one that is being written in is not read.
    fn of(own: &Path, other: &Path) -> Result<Self, Failed> {
        let beside = Self { path: backup::sibling(own, " other copy.part") };
        Self::sweep(&beside.path);
        match ours(other) {
            Ok((db, _)) => {
                backup::copy(&db, &beside.path)?;
                fold(db, other)?;
            }
            // On a stick that cannot be written the file alone is taken: nobody writes in it there.
            Err(Failed::ReadOnly(_)) => {
                let io = |e: std::io::Error| Failed::io(other, &e);
                std::fs::copy(other, &beside.path).map_err(io)?;
                let mut may = std::fs::metadata(&beside.path).map_err(io)?.permissions();
                #[allow(clippy::permissions_set_readonly_false)] // our own passing copy
                may.set_readonly(false);
                std::fs::set_permissions(&beside.path, may).map_err(io)?;
            }
            Err(e) => return Err(e),
        }
        Ok(beside)
    }
}

impl Drop for Beside {
    fn drop(&mut self) {
        Self::sweep(&self.path);
    }
}

impl Other {
    /// Reads the other copy of the book at `own`. The other file is only read.
    ///
    /// # Errors
    /// It is no book, this very book, open elsewhere, newer or damaged.
    pub fn read(own: &Path, other: &Path) -> Result<Self, Failed> {
        let same = match (own.canonicalize(), other.canonicalize()) {
            (Ok(a), Ok(b)) => a == b,
            _ => own == other,
        };
        if same {
            return Err(Failed::NotACopy { path: other.to_path_buf(), why: "it is this very book" });
        }
        let beside = Beside::of(own, other)?;
        // Opened as any book: looked over, and brought up to this program's format.
        let book = Book::open_plain(&beside.path).map_err(|e| e.of(&beside.path, other))?;
        book.soundness().map_err(|e| e.of(&beside.path, other))?;
        Ok(Self { book, _beside: beside, path: other.to_path_buf() })
    }

    /// Where the other copy lies.
    pub fn path(&self) -> &Path {
        &self.path
    }
}

impl Book {
    /// What bringing another copy in would bring; nothing is changed.
    ///
    /// # Errors
    /// As [`Book::unite`].
    pub fn would_unite(&mut self, other: &Other) -> Result<United, Failed> {
        self.bring(other, false)
    }

    /// Brings another copy of this book in: one line of this journal, one undo.
    ///
    /// # Errors
    /// It is no copy of this one, or records were taken out for good in one of them: [`Failed::NotACopy`],
    /// [`Failed::TakenOut`]. Nothing is changed then.
    pub fn unite(&mut self, other: &Other) -> Result<United, Failed> {
        self.bring(other, true)
    }

    fn bring(&mut self, other: &Other, keep: bool) -> Result<United, Failed> {
        self.soundness()?;
        let theirs = &other.book;
        self.fits(theirs, &other.path)?;
        let (path, name) = (self.path.clone(), file_name(&other.path));
        let sql = |e: rusqlite::Error| Failed::sql(&path, &e);
        let known = ids(&self.db).map_err(sql)?;
        let new = Lines::new_in(&theirs.db, &known).map_err(|e| Failed::sql(&other.path, &e))?;
        let only_here = self.only_here(theirs).map_err(sql)?;
        let mut united = United { only_here: only_here.len(), ..United::default() };
        new.tell(&mut united);
        if new.is_empty() {
            return Ok(united);
        }
        let what = format!("{BROUGHT} {name}: {}", united.words());
        let (who, clock) = (self.who.clone(), self.clock.clone());
        let line = Line { who: &who, kind: "unite", what: &what, reason: None, undoes: None, redoes: None };
        let tx = self.db.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate).map_err(sql)?;
        let done = || -> rusqlite::Result<(usize, Vec<Mended>, Flock)> {
            tx.pragma_update(None, "defer_foreign_keys", true)?;
            mend::set_aside(&tx)?;
            let (seq, _) = journal::begin(&tx, &line, clock.as_deref())?;
            new.take_in(&theirs.db, &tx, seq)?;
            for (table, key) in touched(&tx, seq)? {
                let row = replay::row(&tx, &table, &key)?;
                write::Table::of(&tx, &table)?.put(&tx, &key, &row)?;
            }
            let conflicts = decide::find(&tx, seq, &only_here)?;
            let (mended, mending) = mended_line(&tx, seq, &who, clock.as_deref())?;
            mend::put_back(&tx)?;
            tx.execute("delete from temp.journal_now", [])?;
            tx.execute("insert into temp.journal_now values (?)", [seq])?;
            mend::settle(&tx, seq, mending)?;
            let mut moved = self.refs.moved(&tx, seq)?;
            moved.join(self.refs.moved(&tx, mending)?);
            // Read back before it is kept: what could not be read again must not get into a book.
            let (flock, _) = refreshed(&tx, &self.flock, &moved, seq)?;
            Ok((conflicts, mended, flock))
        };
        let (conflicts, mended, flock) = done().map_err(|e| super::unreadable(&path, &e))?;
        united.conflicts = conflicts;
        united.mended = mended.iter().map(Mended::words).collect();
        if !keep {
            tx.rollback().map_err(sql)?;
            return Ok(united);
        }
        tx.commit().map_err(sql)?;
        self.flock = Arc::new(flock);
        Ok(united)
    }

    /// Both grew from one book, and what was taken out of one for good is not brought back by the other.
    fn fits(&self, theirs: &Self, other: &Path) -> Result<(), Failed> {
        let first = |db: &Connection| -> rusqlite::Result<Vec<u8>> {
            db.query_row("select id from journal_entry order by seq limit 1", [], |r| r.get(0))
        };
        let path = other.to_path_buf();
        let sql = |e: rusqlite::Error| Failed::sql(&self.path, &e);
        if first(&self.db).map_err(sql)? != first(&theirs.db).map_err(sql)? {
            return Err(Failed::NotACopy { path, why: "it was started as a book of its own" });
        }
        let purged = |db: &Connection| -> rusqlite::Result<HashSet<[u8; 16]>> {
            let mut s = db.prepare("select id from journal_entry where kind = 'purge'")?;
            s.query_map([], |r| r.get(0))?.collect()
        };
        if purged(&self.db).map_err(sql)? != purged(&theirs.db).map_err(sql)? {
            return Err(Failed::TakenOut(path));
        }
        Ok(())
    }

    /// Numbers of the lines of this copy that the other does not know.
    fn only_here(&self, theirs: &Self) -> rusqlite::Result<HashSet<i64>> {
        let known = ids(&theirs.db)?;
        let mut s = self
            .db
            .prepare(&format!("select seq, id from journal_entry where kind not in {}", replay::NO_FACTS))?;
        let all = s.query_map([], |r| Ok((r.get::<_, i64>(0)?, r.get::<_, [u8; 16]>(1)?)))?;
        let all: Vec<(i64, [u8; 16])> = all.collect::<rusqlite::Result<_>>()?;
        Ok(all.into_iter().filter(|(_, id)| !known.contains(id)).map(|(seq, _)| seq).collect())
    }

    /// Takes back what was brought in by a line: rows as they were before, and the lines that came with it.
    pub(super) fn part_copies(&mut self, seq: i64, what: &str) -> Result<super::Written, Failed> {
        let (path, who, clock) = (self.path.clone(), self.who.clone(), self.clock.clone());
        let sql = |e: rusqlite::Error| Failed::sql(&path, &e);
        let sentence = format!("Undid: {what}");
        let line = Line {
            who: &who,
            kind: "part copies",
            what: &sentence,
            reason: None,
            undoes: Some(seq),
            redoes: None,
        };
        let tx = self.db.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate).map_err(sql)?;
        tx.pragma_update(None, "defer_foreign_keys", true).map_err(sql)?;
        let (_, entry) = journal::begin(&tx, &line, clock.as_deref()).map_err(sql)?;
        mend::set_aside(&tx).map_err(sql)?;
        let astray = documents::astray(&tx).map_err(sql)?.len();
        // The line that mended comes after the one that brought.
        let mut lines: Vec<i64> = tx
            .prepare("select seq from journal_entry where brought = ?1 and kind = 'mended' order by seq desc")
            .and_then(|mut s| s.query_map([seq], |r| r.get(0))?.collect())
            .map_err(sql)?;
        lines.push(seq);
        for line in lines {
            if let Some(changed) = super::undo::invert_line(&tx, line).map_err(sql)? {
                return Err(Failed::ChangedSince { what: what.to_string(), changed });
            }
        }
        if documents::astray(&tx).map_err(sql)?.len() > astray {
            return Err(Failed::ChangedSince {
                what: what.to_string(),
                changed: documents::KEPT_WITH.into(),
            });
        }
        let forget = || -> rusqlite::Result<()> {
            let came: Vec<Sha> = tx
                .prepare(
                    "select distinct unhex(c.new ->> '$.sha') from journal_change c join journal_entry e on e.seq = c.entry
                     where e.brought = ?1 and c.tbl = 'document' and json_type(c.new, '$.sha') is not null",
                )?
                .query_map([seq], |r| r.get(0).map(Sha))?
                .collect::<rusqlite::Result<_>>()?;
            tx.execute(
                "delete from journal_change where entry in (select seq from journal_entry where brought = ?1)",
                [seq],
            )?;
            tx.execute("delete from journal_entry where brought = ?1", [seq])?;
            tx.execute("delete from journal_conflict where line = ?1", [seq])?;
            documents::drop_unused(&tx, &came)?;
            mend::put_back(&tx)
        };
        forget().map_err(sql)?;
        let mut flock = load::everything(&tx).map_err(|e| super::unreadable(&path, &e))?;
        tx.commit().map_err(sql)?;
        flock.set_version(self.flock.version() + 1);
        self.flock = Arc::new(flock);
        Ok(super::Written { sentence, entry, touched: Vec::new(), flock: self.flock() })
    }
}

impl Mended {
    fn words(&self) -> String {
        match self {
            Self::TagTwice { tag, now } => format!(
                "two animals wear the tag {tag}: one is written {now} now; if they are one animal, make them one under Blood, else give it its own tag"
            ),
            Self::Twice { table, .. } => {
                let what = if *table == "plan_step" { "step of the care plan" } else { "rule" };
                format!("both copies changed the same {what}: the later holds")
            }
            Self::Back { table } => format!(
                "a {} was taken back on one copy and used on the other: it is there again",
                table.replace('_', " ")
            ),
        }
    }
}

/// Everything that is mended is one line of its own, which goes to the other copies like any other.
fn mended_line(
    db: &Connection,
    brought: i64,
    who: &str,
    clock: Option<&str>,
) -> rusqlite::Result<(Vec<Mended>, i64)> {
    let what = "Mended what two copies could not both have";
    let line = Line { who, kind: "mended", what, reason: None, undoes: None, redoes: None };
    let (seq, _) = journal::begin(db, &line, clock)?;
    let done = mend::mend(db)?;
    if done.is_empty() {
        db.execute("delete from journal_entry where seq = ?1", [seq])?;
    } else {
        db.execute("update journal_entry set brought = ?2 where seq = ?1", params![seq, brought])?;
        decide::mended(db, brought, &done)?;
    }
    Ok((done, seq))
}

fn file_name(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned())
}

fn ids(db: &Connection) -> rusqlite::Result<HashSet<[u8; 16]>> {
    db.prepare("select id from journal_entry")?.query_map([], |r| r.get(0))?.collect()
}

/// Rows that the lines brought by this one wrote.
fn touched(db: &Connection, brought: i64) -> rusqlite::Result<Vec<(String, String)>> {
    db.prepare(
        "select distinct c.tbl, c.key from journal_change c join journal_entry e on e.seq = c.entry
         where e.brought = ?1 order by 1, 2",
    )?
    .query_map([brought], |r| Ok((r.get(0)?, r.get(1)?)))?
    .collect()
}

/// A line of the other copy that this one does not know.
struct Came {
    seq: i64,
    id: [u8; 16],
    at: String,
    who: String,
    what: String,
}

struct Lines(Vec<Came>);

impl Lines {
    fn new_in(theirs: &Connection, known: &HashSet<[u8; 16]>) -> rusqlite::Result<Self> {
        let mut s = theirs.prepare(&format!(
            "select seq, id, at, who, what from journal_entry where kind not in {} order by seq",
            replay::NO_FACTS
        ))?;
        let all = s.query_map([], |r| {
            Ok(Came { seq: r.get(0)?, id: r.get(1)?, at: r.get(2)?, who: r.get(3)?, what: r.get(4)? })
        })?;
        let all: Vec<Came> = all.collect::<rusqlite::Result<_>>()?;
        Ok(Self(all.into_iter().filter(|l| !known.contains(&l.id)).collect()))
    }

    fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    fn tell(&self, united: &mut United) {
        let mut by: BTreeMap<&str, usize> = BTreeMap::new();
        for l in &self.0 {
            *by.entry(&l.who).or_default() += 1;
        }
        united.by = by.into_iter().map(|(who, n)| (who.to_string(), n)).collect();
        united.last = self.0.iter().rev().take(20).map(|l| (l.at.clone(), l.what.clone())).collect();
    }

    /// Takes the lines with their changes and kept papers into this journal, as brought by line `by`.
    fn take_in(&self, theirs: &Connection, db: &Connection, by: i64) -> rusqlite::Result<()> {
        let mut head =
            theirs.prepare("select kind, reason, undoes, redoes, clock from journal_entry where seq = ?1")?;
        let mut their_id = theirs.prepare("select id from journal_entry where seq = ?1")?;
        let mut changes =
            theirs.prepare("select tbl, key, old, new from journal_change where entry = ?1 order by seq")?;
        let mut our_seq = db.prepare("select seq from journal_entry where id = ?1")?;
        let mut put = db.prepare(
            "insert into journal_entry (id, at, who, kind, what, reason, undoes, redoes, clock, brought)
             values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
        )?;
        let mut put_change =
            db.prepare("insert into journal_change (entry, tbl, key, old, new) values (?1, ?2, ?3, ?4, ?5)")?;
        for l in &self.0 {
            type Head = (String, Option<String>, Option<i64>, Option<i64>, i64);
            let (kind, reason, undoes, redoes, clock): Head =
                head.query_row([l.seq], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?, r.get(4)?)))?;
            // Numbers of lines are each copy's own; ids are not. A line that is not here is one that brings lines.
            let mut ours = |seq: Option<i64>| -> rusqlite::Result<Option<i64>> {
                let Some(seq) = seq else { return Ok(None) };
                let id: [u8; 16] = their_id.query_row([seq], |r| r.get(0))?;
                use rusqlite::OptionalExtension as _;
                our_seq.query_row([id], |r| r.get(0)).optional()
            };
            let (undoes, redoes) = (ours(undoes)?, ours(redoes)?);
            put.execute(params![l.id, l.at, l.who, kind, l.what, reason, undoes, redoes, clock, by])?;
            let seq = db.last_insert_rowid();
            let mut rows = changes.query([l.seq])?;
            while let Some(r) = rows.next()? {
                put_change.execute(params![
                    seq,
                    r.get::<_, String>(0)?,
                    r.get::<_, String>(1)?,
                    r.get::<_, Option<String>>(2)?,
                    r.get::<_, Option<String>>(3)?
                ])?;
            }
        }
        let mut known = db.prepare("select 1 from journal_file where sha = ?1")?;
        let mut put_file = db.prepare("insert into journal_file (sha, bytes) values (?1, ?2)")?;
        let mut bytes = theirs.prepare("select bytes from journal_file where sha = ?1")?;
        let all: Vec<[u8; 32]> = theirs
            .prepare("select sha from journal_file")?
            .query_map([], |r| r.get(0))?
            .collect::<rusqlite::Result<_>>()?;
        for sha in all {
            if !known.exists([sha])? {
                bytes.query_row([sha], |r| put_file.execute(params![sha, r.get_ref(0)?.as_blob()?]))?;
            }
        }
        Ok(())
    }
}
