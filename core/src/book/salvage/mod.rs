//! What can be read of a damaged book, saved into a new one. The damaged file is only read.
//!
//! Its pages are read one by one, not through SQLite, which gives up at the first bad one: trees are walked round pages
//! that are no pages, then the pages that no tree leads to any more are looked through. Every row goes through our own
//! schema. Then tables and journal mend one another: a row that its table lost is made anew from the journal's lines
//! about it; what the journal lost and a table holds is written down in one line of its own, which also tells the
//! rows that had to be left out, so that tables and journal agree again. Indexes tell the keys of rows that are lost on
//! both sides, so that each loss is counted, and named where the animal is known.

mod layout;
mod pages;
mod read;
mod rebuild;
mod told;
mod trees;

pub use told::{Loss, Salvaged};

use super::{APPLICATION_ID, Book, FORMAT, Failed, alone, backup, fold, load, migrate};
use layout::Layout;
use pages::Pages;
use rusqlite::Connection;
use std::collections::BTreeMap;
use std::path::Path;
use told::Findings;
use trees::Gaps;

/// Kind of the journal's line that says what was saved.
pub(super) const KIND: &str = "salvage";

/// Every table of a closed file can be read to its end; what else is wrong with it is in its indexes, its list of tables
/// or its pages out of use.
pub(super) fn tables_are_sound(path: &Path) -> bool {
    let Ok(pages) = Pages::open(path) else { return false };
    read::tables_are_sound(&pages)
}

/// Goes when it is dropped.
struct Passing(std::path::PathBuf);

impl Drop for Passing {
    fn drop(&mut self) {
        sweep(&self.0);
    }
}

fn sweep(path: &Path) {
    for end in ["", "-wal", "-shm", "-journal"] {
        let _ = std::fs::remove_file(backup::sibling(path, end));
    }
}

/// The new book while it is filled.
struct Saver {
    db: Connection,
    layout: Layout,
    pages: Pages,
    gaps: BTreeMap<String, Gaps>,
    /// Indexes that could be read to their end.
    whole: Vec<String>,
    found: Findings,
}

/// Reads every readable row of a damaged book into a new one.
///
/// # Errors
/// There is no such file, it holds nothing of a book, it is of a newer program, or the new one cannot be written: then
/// there is none.
pub fn salvage(from: &Path, to: &Path, progress: &dyn Fn(&str)) -> Result<Salvaged, Failed> {
    let meta = std::fs::metadata(from).map_err(|e| Failed::io(from, &e))?;
    if !meta.is_file() {
        return Err(Failed::NotABook(from.to_path_buf()));
    }
    if to.symlink_metadata().is_ok() {
        return Err(Failed::Exists(to.to_path_buf()));
    }
    progress("Copying the damaged file");
    let passing = Passing(backup::sibling(to, ".saving"));
    sweep(&passing.0);
    let log_lost = copy(from, &passing.0).map_err(|e| Failed::io(to, &e))?;
    let pages = Pages::open(&passing.0).map_err(|e| Failed::io(from, &e))?;
    let format = known_format(&pages, from)?;
    std::fs::OpenOptions::new().write(true).create_new(true).open(to).map_err(|e| Failed::io(to, &e))?;
    fill(from, to, pages, format, log_lost, progress)
        .map_err(|e| e.of(&passing.0, from))
        .inspect_err(|_| sweep(to))
}

/// Copies the file, and folds in what a killed program left in its log. True where the log could not be folded in.
fn copy(from: &Path, passing: &Path) -> std::io::Result<bool> {
    std::fs::copy(from, passing)?;
    let mut may = std::fs::metadata(passing)?.permissions();
    if may.readonly() {
        #[allow(clippy::permissions_set_readonly_false)] // our own passing copy
        may.set_readonly(false);
        std::fs::set_permissions(passing, may)?;
    }
    let log = backup::sibling(from, "-wal");
    if !log.metadata().is_ok_and(|m| m.len() > 0) {
        return Ok(false);
    }
    std::fs::copy(&log, backup::sibling(passing, "-wal"))?;
    let folded = || -> rusqlite::Result<bool> {
        let db = super::guard::open(passing, rusqlite::OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        let (busy, log, done): (i64, i64, i64) =
            db.query_row("pragma wal_checkpoint(truncate)", [], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?;
        Ok(busy == 0 && log == done)
    };
    Ok(!folded().unwrap_or(false))
}

/// The format its head tells; none where the head is damaged.
fn known_format(pages: &Pages, from: &Path) -> Result<Option<u32>, Failed> {
    if pages.count() == 0 {
        return Err(Failed::NotABook(from.to_path_buf()));
    }
    let ours = pages.has_head && pages.head_number(68) == APPLICATION_ID.cast_unsigned();
    match pages.head_number(60) {
        found if ours && found > FORMAT => {
            Err(Failed::TooNew { path: from.to_path_buf(), found, known: FORMAT })
        }
        found if ours && found >= 1 => Ok(Some(found)),
        _ => Ok(None),
    }
}

fn fill(
    from: &Path,
    to: &Path,
    pages: Pages,
    format: Option<u32>,
    log_lost: bool,
    progress: &dyn Fn(&str),
) -> Result<Salvaged, Failed> {
    let sql = |e: rusqlite::Error| Failed::sql(to, &e);
    let roots = read::roots(&pages);
    if !roots.is_of_a_book() {
        return Err(Failed::NotABook(from.to_path_buf()));
    }
    let format = match format {
        Some(format) => format,
        None => Layout::format_of(&roots.tables()).map_err(sql)?,
    };
    let db = alone(to)?;
    super::settle(&db).map_err(sql)?;
    migrate::lay_out_as(&db, format).map_err(sql)?;
    let layout = Layout::of(&db, format).map_err(sql)?;
    db.pragma_update(None, "foreign_keys", false).map_err(sql)?;
    let (gaps, whole, mut found) = (BTreeMap::new(), Vec::new(), Findings::default());
    found.log_lost = log_lost;
    let mut saver = Saver { db, layout, pages, gaps, whole, found };
    saver.db.execute_batch("begin immediate").map_err(sql)?;
    saver.read(&roots, progress).map_err(sql)?;
    saver.lines().map_err(sql)?;
    saver.db.execute_batch("commit").map_err(sql)?;
    migrate::raise(&saver.db, format).map_err(sql)?;
    progress("Making rows anew from the journal");
    saver.rebuild().map_err(sql)?;
    progress("Comparing every row with the journal");
    let name = from.file_name().unwrap_or_default().to_string_lossy().into_owned();
    saver.settle(&name).map_err(sql)?;
    let Saver { db, found, .. } = saver;
    let flock = load::everything(&db).map_err(|e| super::unreadable(to, &e))?;
    let told = found.tell(&db, &flock).map_err(sql)?;
    fold(db, to)?;
    progress("Looking the new book over");
    let book = Book::open_plain(to)?;
    book.soundness()?;
    book.close()?;
    Ok(told)
}
