//! What a copy holds, read off its file without changing it.

use super::{APPLICATION_ID, FORMAT, Failed, backup, check, opening};
use crate::terms::Day;
use rusqlite::{Connection, OpenFlags, OptionalExtension as _};
use std::path::{Path, PathBuf};

/// A file beside the book that was kept for it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Copy {
    /// Where it lies.
    pub path: PathBuf,
    /// Its name without the ending: a day, or what it was made before.
    pub name: String,
    /// The day in its name; copies without one are never thinned out.
    pub on: Option<Day>,
}

/// What a copy holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// Animals.
    pub animals: usize,
    /// Lines of its journal.
    pub lines: usize,
    /// When the last of them was written, `2026-04-03 21:10:05`, and what it says.
    pub last: Option<(String, String)>,
    /// Its size in bytes.
    pub size: u64,
    /// The format it is written in.
    pub format: u32,
    pub(super) last_id: Option<[u8; 16]>,
}

/// Every copy kept in a folder, newest first, those without a day in their name last.
pub fn copies(folder: &Path) -> Vec<Copy> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut all: Vec<Copy> = entries
        .flatten()
        .filter_map(|e| {
            let name = e.file_name().into_string().ok()?.strip_suffix(".hirsel")?.to_string();
            let on = name.get(..10).and_then(|d| Day::parse_iso(d).ok());
            Some(Copy { path: e.path(), name, on })
        })
        .collect();
    all.sort_by(|a, b| b.on.cmp(&a.on).then_with(|| a.name.cmp(&b.name)));
    all
}

/// Reads what a copy holds. Its pages are not looked over.
///
/// # Errors
/// It is no book, newer than this program, open, or damaged.
pub fn held(path: &Path) -> Result<Held, Failed> {
    let db = still(path)?;
    let sql = |e: rusqlite::Error| Failed::sql(path, &e);
    let count = |what: &str| -> Result<usize, Failed> {
        let n: i64 = db.query_row(&format!("select count(*) from {what}"), [], |r| r.get(0)).map_err(sql)?;
        Ok(usize::try_from(n).unwrap_or_default())
    };
    let last: Option<([u8; 16], String, String)> = db
        .query_row("select id, at, what from journal_entry order by seq desc limit 1", [], |r| {
            Ok((r.get(0)?, r.get(1)?, r.get(2)?))
        })
        .optional()
        .map_err(sql)?;
    let format = db.pragma_query_value(None, "user_version", |r| r.get(0)).map_err(sql)?;
    Ok(Held {
        animals: count("animal")?,
        lines: count("journal_entry")?,
        last_id: last.as_ref().map(|l| l.0),
        last: last.map(|(_, at, what)| (at, what)),
        size: std::fs::metadata(path).map_err(|e| Failed::io(path, &e))?.len(),
        format,
    })
}

/// Opens a closed book to read it as it lies there, without a lock and without a file beside it.
pub(super) fn still(path: &Path) -> Result<Connection, Failed> {
    let meta = std::fs::metadata(path).map_err(|e| Failed::io(path, &e))?;
    if !meta.is_file() {
        return Err(Failed::NotABook(path.to_path_buf()));
    }
    super::header(path, meta.len())?;
    // What stands in a log only would not be seen.
    if backup::sibling(path, "-wal").metadata().is_ok_and(|m| m.len() > 0) {
        return Err(Failed::Locked(path.to_path_buf()));
    }
    let sql = |e: rusqlite::Error| Failed::sql(path, &e);
    let uri = opening::uri(path).ok_or_else(|| Failed::ReadOnly(path.to_path_buf()))?;
    let flags =
        OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX | OpenFlags::SQLITE_OPEN_URI;
    let db = super::guard::open(Path::new(&uri), flags).map_err(sql)?;
    let id: i32 = db.pragma_query_value(None, "application_id", |r| r.get(0)).map_err(sql)?;
    if id != APPLICATION_ID {
        return Err(Failed::NotABook(path.to_path_buf()));
    }
    let found: u32 = db.pragma_query_value(None, "user_version", |r| r.get(0)).map_err(sql)?;
    if found > FORMAT {
        return Err(Failed::TooNew { path: path.to_path_buf(), found, known: FORMAT });
    }
    super::guard::laid_out(&db, path, found)?;
    check::tables(&db, path)?;
    Ok(db)
}
