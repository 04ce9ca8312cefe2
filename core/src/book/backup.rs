//! Copies of the book beside it: one a day for the last 7 days it was opened, one a week for 4 weeks, one a month
//! for 12 months; and restoring one.

use super::{APPLICATION_ID, Failed};
use crate::terms::Day;
use rusqlite::Connection;
use std::path::{Path, PathBuf};

/// A file beside another with something put after its name.
pub(super) fn sibling(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_os_string();
    name.push(end);
    PathBuf::from(name)
}

/// Where the copies of a book are kept: a folder beside it, `NAME.hirsel copies`.
pub fn folder(book: &Path) -> PathBuf {
    sibling(book, " copies")
}

/// A kept copy.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct BackupFile {
    /// The day it was made.
    pub on: Day,
    /// Where it lies.
    pub path: PathBuf,
}

/// Kept copies of a book, newest first.
pub fn backups(book: &Path) -> Vec<BackupFile> {
    let Ok(entries) = std::fs::read_dir(folder(book)) else { return Vec::new() };
    let mut all: Vec<BackupFile> = entries
        .flatten()
        .filter_map(|e| {
            let name = e.file_name().into_string().ok()?;
            let on = Day::parse_iso(name.strip_suffix(".hirsel")?).ok()?;
            Some(BackupFile { on, path: e.path() })
        })
        .collect();
    all.sort_by(|a, b| b.cmp(a));
    all
}

/// Copies an open book to a file, whole or not at all.
pub(super) fn copy(db: &Connection, to: &Path) -> Result<(), Failed> {
    copy_for(db, to, to)
}

/// As [`copy`]; faults name the file the copy is made for.
fn copy_for(db: &Connection, to: &Path, named: &Path) -> Result<(), Failed> {
    let half = sibling(to, ".part");
    let _ = std::fs::remove_file(&half);
    let done = db
        .backup(rusqlite::MAIN_DB, &half, None::<fn(rusqlite::backup::Progress)>)
        .and_then(|()| {
            // The copy is one plain file, without a log beside it.
            let c = Connection::open(&half)?;
            c.pragma_update(None, "journal_mode", "delete")?;
            c.close().map_err(|(_, e)| e)
        })
        .map_err(|e| Failed::sql(named, &e))
        .and_then(|()| std::fs::rename(&half, to).map_err(|e| Failed::io(named, &e)));
    if done.is_err() {
        for end in ["", "-journal", "-wal", "-shm"] {
            let _ = std::fs::remove_file(sibling(&half, end));
        }
    }
    done
}

/// Keeps a copy under a name of its own before the book is changed for good. It is never thinned out.
///
/// # Errors
/// The copy could not be written.
pub(super) fn keep_before(db: &Connection, book: &Path, what: &str) -> Result<PathBuf, Failed> {
    let folder = folder(book);
    std::fs::create_dir_all(&folder).map_err(|e| Failed::io(&folder, &e))?;
    let name = |n: u32| if n == 1 { format!("{what}.hirsel") } else { format!("{what} {n}.hirsel") };
    let mut n = 1;
    while folder.join(name(n)).exists() {
        n += 1;
    }
    let to = folder.join(name(n));
    copy(db, &to)?;
    Ok(to)
}

/// Something was written since the last copy was kept.
pub(super) fn is_due(db: &Connection, book: &Path) -> bool {
    let last = |db: &Connection| {
        db.query_row("select coalesce(max(seq), 0) from journal_entry", [], |r| r.get::<_, i64>(0))
    };
    let now = last(db).unwrap_or(0);
    let kept = || {
        let newest = backups(book).into_iter().next()?;
        let flags = rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY;
        super::guard::open(&newest.path, flags).and_then(|c| last(&c)).ok()
    };
    // The first line is nothing but the flock's name.
    now > 1 && kept() != Some(now)
}

/// Keeps today's copy, and thins the old ones. A copy that cannot be made does not keep the keeper from the book:
/// the page of copies tells how old the last one is.
pub(super) fn keep_on_opening(db: &Connection, book: &Path, today: Day) {
    let folder = folder(book);
    if std::fs::create_dir_all(&folder).is_err() {
        return;
    }
    if copy(db, &folder.join(format!("{today}.hirsel"))).is_ok() {
        for old in thinned(&backups(book), today) {
            let _ = std::fs::remove_file(&old.path);
        }
    }
}

/// Which copies, newest first, are no longer needed.
pub(super) fn thinned(all: &[BackupFile], today: Day) -> Vec<BackupFile> {
    let mut weeks: Vec<i64> = Vec::new();
    let mut months: Vec<(i32, u32)> = Vec::new();
    let mut drop = Vec::new();
    for (i, b) in all.iter().enumerate() {
        let week = b.on.since(Day::new(2000, 1, 3).unwrap_or(b.on)).div_euclid(7); // a Monday
        let month = (b.on.year(), b.on.month());
        let by_day = i < 7;
        let by_week = !weeks.contains(&week) && weeks.len() < 4;
        let by_month = !months.contains(&month) && months.len() < 12;
        if !by_day && !by_week && !by_month && b.on < today {
            drop.push(b.clone());
            continue;
        }
        // The newest of a week or month stands for it.
        if !by_day && by_week {
            weeks.push(week);
        }
        if !months.contains(&month) {
            months.push(month);
        }
    }
    drop
}

/// Puts a copy in the place of a book. What stood there is kept beside it as `NAME.hirsel before restoring`.
///
/// # Errors
/// The copy is no whole book, the book is open elsewhere, or a file could not be written.
pub fn restore(from: &Path, to: &Path) -> Result<(), Failed> {
    let (copy_of, _) = super::ours(from)?; // not newer; an older one stays as it is
    super::check::every_table(&copy_of, from)?;
    if to.exists() {
        refuse_if_open(to)?;
    }
    // The new book is whole before the old one leaves its place: a full disk must not cost the book.
    let fresh = sibling(to, ".restoring");
    copy_for(&copy_of, &fresh, to)?;
    let placed = put_in_place(&fresh, to).map_err(|e| Failed::io(to, &e));
    if placed.is_err() {
        let _ = std::fs::remove_file(&fresh);
    }
    placed?;
    super::fold(copy_of, from)
}

/// Makes a kept copy a book of its own beside the book, `NAME of 2026-04-03.hirsel`; the book stays as it is.
///
/// # Errors
/// The copy is no whole book, or the new file could not be written.
pub fn restore_beside(from: &Path, book: &Path) -> Result<PathBuf, Failed> {
    let stem = book.file_stem().unwrap_or_default().to_string_lossy();
    let of = from.file_stem().unwrap_or_default().to_string_lossy();
    let name = |n: u32| match n {
        1 => book.with_file_name(format!("{stem} of {of}.hirsel")),
        n => book.with_file_name(format!("{stem} of {of} {n}.hirsel")),
    };
    let mut n = 1;
    while name(n).symlink_metadata().is_ok() {
        n += 1;
    }
    let to = name(n);
    restore(from, &to)?;
    Ok(to)
}

fn put_in_place(fresh: &Path, to: &Path) -> std::io::Result<()> {
    if !to.exists() {
        return std::fs::rename(fresh, to);
    }
    let mut aside = sibling(to, " before restoring");
    let mut n = 2;
    while aside.exists() {
        aside = sibling(to, &format!(" before restoring {n}"));
        n += 1;
    }
    std::fs::rename(to, &aside)?;
    for end in ["-wal", "-shm"] {
        let log = sibling(to, end);
        if log.exists() {
            let _ = std::fs::rename(&log, sibling(&aside, end));
        }
    }
    std::fs::rename(fresh, to).inspect_err(|_| {
        let _ = std::fs::rename(&aside, to);
    })
}

/// A book that another program has open is not replaced; a damaged one may be put aside all the same.
fn refuse_if_open(to: &Path) -> Result<(), Failed> {
    let tried = Connection::open(to).and_then(|db| {
        super::guard::bound(&db)?;
        db.busy_timeout(std::time::Duration::from_millis(200))?;
        let id: i32 = db.pragma_query_value(None, "application_id", |r| r.get(0))?;
        if id == APPLICATION_ID { db.execute_batch("begin immediate; rollback;") } else { Ok(()) }
    });
    match tried.map_err(|e| Failed::sql(to, &e)) {
        Err(locked @ Failed::Locked(_)) => Err(locked),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn copies_are_thinned_to_days_weeks_and_months() {
        let today = Day::parse_iso("2026-11-25").unwrap();
        // A book opened every day for two years, thinned every day.
        let mut kept: Vec<BackupFile> = Vec::new();
        for back in (0..730).rev() {
            let on = today.plus(-back);
            kept.insert(0, BackupFile { on, path: PathBuf::from(on.to_string()) });
            let gone = thinned(&kept, on);
            kept.retain(|b| !gone.contains(b));
        }
        let days: Vec<i64> = kept.iter().map(|b| today.since(b.on)).collect();
        assert_eq!(&days[..7], &[0, 1, 2, 3, 4, 5, 6], "{days:?}");
        assert!(days.len() <= 7 + 4 + 12, "{days:?}");
        assert!(days.iter().any(|d| (7..35).contains(d)), "{days:?}");
        assert!(days.last().is_some_and(|d| *d > 250), "{days:?}");
    }
}
