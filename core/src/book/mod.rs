//! The book: one SQLite file, its journal, and the one place that writes.
//!
//! [`Book::write`] takes a checked entry, applies it in one transaction in which triggers record every changed
//! row, and hands back the sentence, what moved, and the new [`Flock`]. Undo, redo and the amendment trail are
//! all read from that journal. Knows no window, and reckons nothing: what the rows mean is for `reckon` to say.

mod apply;
mod backup;
mod blood;
mod check;
mod compare;
mod cupboard;
mod documents;
mod failed;
mod feed;
mod gather;
mod guard;
mod held;
mod journal;
mod load;
mod look;
mod mend;
mod merge;
mod migrate;
mod notes;
mod opening;
mod order;
mod pens;
mod places;
mod purge;
mod put;
mod replayed;
mod rows;
mod salvage;
mod sealed;
mod shared;
mod stamp;
mod stamps;
mod strung;
mod trail;
mod turn;
mod undo;
mod unite;
mod weights;

pub use backup::{BackupFile, backups, folder as backup_folder, restore, restore_beside};
pub use check::Report;
pub use compare::{Compared, Differs, LineSeen, compare_files};
pub use documents::{Room, size_words};
pub use failed::Failed;
pub use held::{Copy, Held, copies, held};
pub use journal::Past;
pub use mend::{Mend, mend};
pub use merge::Merged;
pub use notes::{Evening, Line as NoteLine, Piece as NotePiece, Stands};
pub use places::{PLACE_DAYS, Place, Ready, place, place_folder};
pub use purge::Purged;
pub use salvage::{Loss, Salvaged, salvage};
pub use sealed::{is_sealed, restore_sealed, save_sealed};
pub use turn::Turn;
pub use unite::{BROUGHT, Conflict, Other, Side, United, Value as ConflictValue};

use crate::entry::Sure;
use crate::flock::{Flock, Holding};
use crate::terms::{AnimalId, Day, EntryId};
use rusqlite::{Connection, OpenFlags};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// `Hrsl` in the file's header: this is a book of ours.
const APPLICATION_ID: i32 = 0x4872_736c;
/// The format of the books this program writes; older ones are brought to it, newer ones are left alone.
pub const FORMAT: u32 = 9;
/// In bytes: the journal of a book larger than this is looked over after it is open. A book of 6,000 animals is not.
const LARGE: u64 = 64 << 20;

/// What a write did.
#[derive(Debug, Clone)]
pub struct Written {
    /// One plain sentence.
    pub sentence: String,
    /// Its line in the journal.
    pub entry: EntryId,
    /// Animals whose files moved; none of them listed when everything was read anew.
    pub touched: Vec<AnimalId>,
    /// The flock as it stands now.
    pub flock: Arc<Flock>,
}

/// An open book. Only one program has it open at a time.
pub struct Book {
    // Before the connection: the look must end while the file is still locked.
    look: look::Look,
    db: Connection,
    path: PathBuf,
    flock: Arc<Flock>,
    who: String,
    /// A time that stands still, for pictures.
    clock: Option<String>,
    refs: journal::References,
}

impl std::fmt::Debug for Book {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Book({})", self.path.display())
    }
}

impl Book {
    /// Makes a new book with who keeps the flock. An existing file is never overwritten.
    ///
    /// # Errors
    /// [`Failed::Exists`], or the folder cannot be written.
    pub fn create(path: &Path, holding: Holding) -> Result<Self, Failed> {
        // Reserve the name first: two programs cannot both make it.
        std::fs::OpenOptions::new().write(true).create_new(true).open(path).map_err(|e| match e.kind() {
            std::io::ErrorKind::NotFound | std::io::ErrorKind::NotADirectory => {
                Failed::ReadOnly(path.to_path_buf())
            }
            _ => Failed::io(path, &e),
        })?;
        Self::fill(path, holding).inspect_err(|_| {
            let _ = std::fs::remove_file(path);
        })
    }

    fn fill(path: &Path, holding: Holding) -> Result<Self, Failed> {
        let sql = |e: rusqlite::Error| Failed::sql(path, &e);
        let mut db = alone(path)?;
        settle(&db).and_then(|()| migrate::lay_out(&db)).map_err(sql)?;
        let flock = load::everything(&db).map_err(sql)?;
        let refs = prepared(&mut db).map_err(sql)?;
        let mut book = Self::ready(db, path, flock, look::Look::default(), refs)?;
        book.write(Sure {
            entry: crate::entry::Entry::Holding(Box::new(holding)),
            sentence: "Started the book".into(),
            reason: None,
            cautions: Vec::new(),
        })?;
        Ok(book)
    }

    /// Opens a book: checks that it is one, whole and of a known format, and that nobody else has it open.
    /// A dated copy is kept beside it when something changed since the last one.
    ///
    /// # Errors
    /// Every way in which a file is not a usable book, told apart.
    pub fn open(path: &Path) -> Result<Self, Failed> {
        let book = Self::open_plain(path)?;
        if backup::is_due(&book.db, path) {
            book.soundness()?;
            backup::keep_on_opening(&book.db, path, Day::today());
        }
        Ok(book)
    }

    /// Opens without keeping a copy: for tests and for copies themselves.
    ///
    /// # Errors
    /// As [`Book::open`].
    pub fn open_plain(path: &Path) -> Result<Self, Failed> {
        Self::open_sized(path, LARGE)
    }

    fn open_sized(path: &Path, large: u64) -> Result<Self, Failed> {
        let (mut db, found) = ours(path)?;
        if found < FORMAT {
            check::every_table(&db, path)?;
            migrate::bring_up(&db, path, found)?;
        }
        let size = std::fs::metadata(path).map_err(|e| Failed::io(path, &e))?.len();
        let (flock, look, refs) = opening::read_and_check(&mut db, path, size > large, prepared)?;
        Self::ready(db, path, flock, look, refs)
    }

    fn ready(
        db: Connection,
        path: &Path,
        mut flock: Flock,
        look: look::Look,
        refs: journal::References,
    ) -> Result<Self, Failed> {
        let sql = |e: rusqlite::Error| Failed::sql(path, &e);
        let last: Option<[u8; 16]> =
            db.query_row("select max(id) from journal_entry", [], |r| r.get(0)).map_err(sql)?;
        crate::terms::ids_after(last.unwrap_or_default());
        flock.set_version(1);
        let who =
            std::env::var("USER").or_else(|_| std::env::var("USERNAME")).unwrap_or_else(|_| "keeper".into());
        Ok(Self { look, db, path: path.to_path_buf(), flock: Arc::new(flock), who, clock: None, refs })
    }

    /// The book is still being looked over: a write would wait for it. Only a large book is opened before that is done.
    pub fn is_being_looked_over(&self) -> bool {
        self.look.is_going()
    }

    /// Waits until the whole book is looked over. Every write and copy asks this first.
    ///
    /// # Errors
    /// [`Failed::Damaged`]: nothing can be written to it.
    pub fn soundness(&self) -> Result<(), Failed> {
        self.look.end(&self.path)
    }

    /// Waits until the records that were read are looked over, which takes less long: for those who only read.
    ///
    /// # Errors
    /// [`Failed::Damaged`]: what was read of it cannot be relied on.
    pub fn soundness_of_records(&self) -> Result<(), Failed> {
        self.look.end_of_records(&self.path)
    }

    /// The book's last line is later than this day: what to say of it, if so. A clock turned back, or one that was wrong
    /// before.
    pub fn ahead_of(&self, today: Day) -> Option<String> {
        check::ahead_of(&self.db, today)
    }

    /// Where the book lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The flock as it stands.
    pub fn flock(&self) -> Arc<Flock> {
        Arc::clone(&self.flock)
    }

    /// Forgets what was reckoned of the flock, and with it how it was said: to be called when it is to be said otherwise.
    /// Whoever prepared something of the flock sees another version and prepares it anew.
    pub fn say_anew(&mut self) {
        self.flock = Arc::new(self.flock.anew());
    }

    /// Every line from now on is written as of this time, `2026-04-10 21:05:00`, for pictures that must not change;
    /// nothing lets the clock go again.
    pub fn set_clock(&mut self, at: Option<&str>) {
        self.clock = at.map(str::to_string);
    }

    /// Who writes, for the journal.
    pub fn set_who(&mut self, who: impl Into<String>) {
        self.who = who.into();
    }

    /// Writes one entry: one transaction, one line in the journal. It is on the disk when this returns.
    ///
    /// # Errors
    /// The file could not be written; nothing of the entry is kept.
    pub fn write(&mut self, sure: Sure) -> Result<Written, Failed> {
        let what = sure.sentence.clone();
        self.write_many(&what, vec![sure])
    }

    /// Writes several entries as one: one transaction, one line in the journal, one undo.
    ///
    /// # Errors
    /// The file could not be written; nothing of them is kept.
    pub fn write_many(&mut self, what: &str, all: Vec<Sure>) -> Result<Written, Failed> {
        let mut reasons: Vec<&str> = all.iter().filter_map(|s| s.reason.as_deref()).collect();
        reasons.dedup();
        let reason = (!reasons.is_empty()).then(|| reasons.join("; "));
        let who = self.who.clone();
        // One amendment among others makes the line an amendment, or its trail would be lost.
        let kinds = || all.iter().map(|s| apply::kind(&s.entry));
        let kind = kinds().find(|k| *k == "amend").or_else(|| kinds().next()).unwrap_or("none");
        let line =
            journal::Line { who: &who, kind, what, reason: reason.as_deref(), undoes: None, redoes: None };
        self.transact(&line, |db| {
            for sure in &all {
                apply::apply(db, &sure.entry)?;
            }
            Ok(())
        })
    }

    /// Runs one change as a transaction with its journal line, then brings the flock up to it.
    fn transact(
        &mut self,
        line: &journal::Line<'_>,
        change: impl FnOnce(&Connection) -> rusqlite::Result<()>,
    ) -> Result<Written, Failed> {
        self.soundness()?;
        let path = self.path.clone();
        let sql = |e: rusqlite::Error| Failed::sql(&path, &e);
        let tx = self.db.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate).map_err(sql)?;
        tx.pragma_update(None, "defer_foreign_keys", true).map_err(sql)?;
        let (seq, entry) = journal::begin(&tx, line, self.clock.as_deref()).map_err(sql)?;
        change(&tx).map_err(sql)?;
        let moved = self.refs.moved(&tx, seq).map_err(sql)?;
        // Read back before it is kept: what could not be read again must not get into a book.
        let (flock, touched) = refreshed(&tx, &self.flock, &moved, seq).map_err(|e| unreadable(&path, &e))?;
        tx.commit().map_err(sql)?;
        self.flock = Arc::new(flock);
        Ok(Written { sentence: line.what.to_string(), entry, touched, flock: self.flock() })
    }

    /// Looks the whole book over: the file's pages, keys between rows, and what the entries' checks would refuse.
    ///
    /// # Errors
    /// The file could not be read.
    pub fn check(&self, progress: &dyn Fn(&str)) -> Result<Report, Failed> {
        check::full(&self.db, &self.path, &self.flock, progress)
    }

    /// A whole copy of the book as it stands, by SQLite's backup interface.
    ///
    /// # Errors
    /// The copy could not be written.
    pub fn backup(&self, to: &Path) -> Result<(), Failed> {
        self.soundness()?;
        backup::copy(&self.db, to)
    }

    /// Folds everything into the one file and closes it: it can be copied safely then.
    ///
    /// # Errors
    /// The last fold could not be written; the book is whole all the same.
    pub fn close(self) -> Result<(), Failed> {
        drop(self.look);
        fold(self.db, &self.path)
    }
}

/// A file that is a book of ours, of a known format, with its format. Whether it is whole is not looked at.
fn ours(path: &Path) -> Result<(Connection, u32), Failed> {
    let meta = std::fs::metadata(path).map_err(|e| Failed::io(path, &e))?;
    if !meta.is_file() {
        return Err(Failed::NotABook(path.to_path_buf()));
    }
    header(path, meta.len())?;
    let db = alone(path)?;
    let sql = |e: rusqlite::Error| Failed::sql(path, &e);
    let id: i32 = db.pragma_query_value(None, "application_id", |r| r.get(0)).map_err(sql)?;
    if id != APPLICATION_ID {
        return Err(Failed::NotABook(path.to_path_buf()));
    }
    let found: u32 = db.pragma_query_value(None, "user_version", |r| r.get(0)).map_err(sql)?;
    if found > FORMAT {
        return Err(Failed::TooNew { path: path.to_path_buf(), found, known: FORMAT });
    }
    // Before a row is read or the file's mode is changed.
    guard::laid_out(&db, path, found)?;
    settle(&db).map_err(sql)?;
    Ok((db, found))
}

/// Makes a connection ready to write: every change from now on is caught for the journal. Nothing of it is in the file.
fn prepared(db: &mut Connection) -> rusqlite::Result<journal::References> {
    db.set_prepared_statement_cache_capacity(128);
    journal::install(db)?;
    journal::References::read(db)
}

/// Folds the log into the one file and closes it.
fn fold(db: Connection, path: &Path) -> Result<(), Failed> {
    let sql = |e: rusqlite::Error| Failed::sql(path, &e);
    db.pragma_update(None, "wal_checkpoint", "truncate").map_err(sql)?;
    db.pragma_update(None, "journal_mode", "delete").map_err(sql)?;
    db.close().map_err(|(_, e)| Failed::sql(path, &e))
}

/// The flock with what a write moved read anew. Many moved animals are read with the whole book, which is quicker.
fn refreshed(
    db: &Connection,
    before: &Flock,
    moved: &journal::Moved,
    seq: i64,
) -> rusqlite::Result<(Flock, Vec<AnimalId>)> {
    let version = before.version() + 1;
    if moved.animals.len() > 400 + before.len() / 20 {
        let mut flock = load::everything(db)?;
        flock.set_version(version);
        return Ok((flock, Vec::new()));
    }
    let mut flock = before.clone();
    for id in &moved.animals {
        match load::one(db, *id)? {
            Some(file) => flock.put(file),
            None => flock.remove(*id),
        }
    }
    if moved.products {
        flock.set_products(cupboard::products(db)?);
    }
    if moved.settings {
        flock.set_holding(load::holding(db)?);
    }
    if moved.plan {
        flock.set_plan(load::plan(db)?);
    }
    if moved.cupboard {
        flock.set_cupboard(cupboard::read(db)?);
    }
    if moved.documents {
        flock.set_documents(documents::read(db)?);
    }
    if moved.feedroom {
        flock.set_feedroom(feed::read_room(db)?);
    }
    if moved.daybook {
        flock.set_daybook(weights::read_daybook(db)?);
    }
    if moved.rules {
        flock.set_rule_changes(cupboard::rule_changes(db)?);
    }
    if moved.pens {
        flock.set_pen_places(pens::read_places(db)?);
    }
    journal::add_amendments(db, &mut flock, seq)?;
    flock.set_version(version);
    Ok((flock, moved.animals.iter().copied().collect()))
}

/// Rows of a write that cannot be read back: the write is dropped, the book is as it was.
fn unreadable(path: &Path, error: &rusqlite::Error) -> Failed {
    match error.sqlite_error_code() {
        Some(_) => Failed::sql(path, error),
        None => Failed::Other {
            path: path.to_path_buf(),
            what: format!("what was to be written could not be read back, so nothing was written ({error})"),
        },
    }
}

/// Opens the file for us alone, within the bounds of a stranger's file.
fn alone(path: &Path) -> Result<Connection, Failed> {
    let sql = |e: rusqlite::Error| Failed::sql(path, &e);
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let db = guard::open(path, flags).map_err(sql)?;
    if db.is_readonly(rusqlite::MAIN_DB).map_err(sql)? {
        return Err(Failed::ReadOnly(path.to_path_buf()));
    }
    db.busy_timeout(Duration::from_millis(300)).map_err(sql)?;
    // Exclusive before the log is opened: no shared-memory file, and a second program is told at once.
    db.pragma_update(None, "locking_mode", "exclusive").map_err(sql)?;
    Ok(db)
}

/// Sets everything so that a confirmed write outlives a power cut.
fn settle(db: &Connection) -> rusqlite::Result<()> {
    // `extra` is `full` for the log. Turning to it and back goes through a rollback journal, and a cut that brought a
    // deleted journal back would roll back what was written since: so the folder is made lasting, too.
    db.pragma_update(None, "synchronous", "extra")?;
    db.pragma_update(None, "journal_mode", "wal")?;
    db.pragma_update(None, "foreign_keys", true)?;
    db.pragma_update(None, "temp_store", "memory")?;
    db.pragma_update(None, "cache_size", -65_536)?;
    // Plans never hang on the values bound, so that a prepared statement is not prepared anew for each.
    db.set_db_config(rusqlite::config::DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)?;
    // Take the lock now rather than at the first write.
    db.execute_batch("begin immediate; commit;")
}

/// Tells a file that is no database, and one that was cut short, before SQLite makes a journal beside it.
fn header(path: &Path, len: u64) -> Result<(), Failed> {
    use std::io::Read as _;
    let mut head = [0u8; 32];
    let mut file = std::fs::File::open(path).map_err(|e| Failed::io(path, &e))?;
    let read = file.read(&mut head).map_err(|e| Failed::io(path, &e))?;
    if read < 32 || &head[..16] != b"SQLite format 3\0" {
        return Err(Failed::NotABook(path.to_path_buf()));
    }
    let page = match u16::from_be_bytes([head[16], head[17]]) {
        1 => 65_536,
        n => u64::from(n),
    };
    let pages = u64::from(u32::from_be_bytes([head[28], head[29], head[30], head[31]]));
    // With a write-ahead log beside it the count in the header may run behind or ahead of the file.
    let has_log = backup::sibling(path, "-wal").metadata().is_ok_and(|m| m.len() > 0);
    if !has_log && page * pages > len {
        return Err(Failed::Damaged {
            path: path.to_path_buf(),
            what: format!("{} bytes are missing at its end", page * pages - len),
            backups: backup::folder(path),
        });
    }
    Ok(())
}

#[cfg(test)]
mod tests;
