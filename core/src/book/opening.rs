//! Opening a book: its tables are read and looked over at the same time, on as many threads as the machine runs
//! at once.
//!
//! The book's own connection holds the lock that keeps every other program out. While it writes nothing, the file
//! cannot change, so that connections which take no lock of their own (`immutable`) may read it beside one another.
//! They read the file alone and not the log beside it; so the log is folded in first.

use super::gather::{Gathered, STEPS, animals};
use super::look::Look;
use super::{Failed, check, load};
use crate::flock::{Flock, Places, Shelf};
use rusqlite::{Connection, OpenFlags};
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock, mpsc};

/// More threads than this gain nothing: the longest steps take as long as all the others on three more.
const MOST: usize = 4;

/// Reads the whole flock and looks over every table; with `later`, over the journal's only after this returns.
///
/// # Errors
/// The file is damaged or could not be read.
pub(super) fn read_and_check(db: &Connection, path: &Path, later: bool) -> Result<(Flock, Look), Failed> {
    let tables = check::tables(db, path)?;
    let threads = std::thread::available_parallelism().map_or(1, usize::from).clamp(2, MOST);
    let Some(mut readers) = readers(db, path, threads) else {
        check::every_table(db, path)?;
        return Ok((load::everything(db).map_err(|e| Failed::sql(path, &e))?, Look::default()));
    };
    let (journal, now): (Vec<_>, Vec<_>) =
        tables.into_iter().partition(|t| later && t.starts_with("journal_"));
    let flock = beside_one_another(&mut readers, path, &now)?;
    let look = match readers.pop() {
        Some(reader) if later => Look::start(reader, path, journal),
        _ => Look::default(),
    };
    Ok((flock, look))
}

/// Connections that read the file without a lock; none if some of the book is still in its log.
fn readers(db: &Connection, path: &Path, n: usize) -> Option<Vec<Connection>> {
    let (busy, log, folded): (i64, i64, i64) =
        db.query_row("pragma wal_checkpoint(passive)", [], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?))).ok()?;
    if busy != 0 || log != folded {
        return None;
    }
    let uri = uri(path)?;
    let flags =
        OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX | OpenFlags::SQLITE_OPEN_URI;
    (0..n).map(|_| Connection::open_with_flags(&uri, flags).ok()).collect()
}

/// The file's name as SQLite takes it with a wish behind it; none if it cannot be written so.
fn uri(path: &Path) -> Option<String> {
    let path = path.to_str()?;
    let mut uri = String::from(if path.starts_with('/') { "file://" } else { "file:" });
    for c in path.chars() {
        match c {
            '%' => uri.push_str("%25"),
            '?' => uri.push_str("%3f"),
            '#' => uri.push_str("%23"),
            // A drive's letter, `C:\`, is a path of its own there.
            '\\' if cfg!(windows) => uri.push('/'),
            c => uri.push(c),
        }
    }
    uri.push_str("?immutable=1");
    Some(uri)
}

fn beside_one_another(readers: &mut [Connection], path: &Path, tables: &[String]) -> Result<Flock, Failed> {
    let (steps, checks) = (Next::of(&STEPS), Next::of(tables));
    let (sender, parts) = mpsc::channel();
    let Some((own, others)) = readers.split_first_mut() else { return Ok(Flock::default()) };
    let at: OnceLock<Option<Arc<Places>>> = OnceLock::new();
    std::thread::scope(|scope| {
        let helpers: Vec<_> = others
            .iter_mut()
            .map(|db| {
                let (sender, steps, checks, at) = (sender.clone(), &steps, &checks, &at);
                scope.spawn(move || {
                    // What the steps need is not there yet: time to look.
                    while at.get().is_none() && checks.one(|t| check::quick(db, path, t))? {}
                    if let Some(at) = at.wait() {
                        steps.each(|step| {
                            let _ = sender.send(step(db, at));
                            Ok(())
                        })?;
                    }
                    drop(sender);
                    checks.each(|t| check::quick(db, path, t))
                })
            })
            .collect();
        let (files, mut read) = match animals(own) {
            Ok((files, places)) => {
                let places = at.get_or_init(|| Some(Arc::new(places)));
                if let Some(at) = places {
                    steps.each(|step| {
                        let _ = sender.send(step(own, at));
                        Ok(())
                    })?;
                }
                (files, Ok(()))
            }
            Err(e) => {
                at.get_or_init(|| None);
                (Shelf::default(), Err(Failed::sql(path, &e)))
            }
        };
        drop(sender);
        let mut all = Gathered::default();
        for part in parts {
            match part {
                Ok(part) => all.take(part),
                Err(e) => read = Err(Failed::sql(path, &e)),
            }
        }
        let flock = read.map(|()| all.flock(files, at.get().cloned().flatten().unwrap_or_default()));
        // What the look finds in a damaged file comes before what the reading stumbled over.
        checks.each(|t| check::quick(own, path, t))?;
        for helper in helpers {
            helper.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))?;
        }
        flock
    })
}

/// A list from which several threads take in turn.
struct Next<'a, T> {
    all: &'a [T],
    at: AtomicUsize,
}

impl<'a, T> Next<'a, T> {
    fn of(all: &'a [T]) -> Self {
        Self { all, at: AtomicUsize::new(0) }
    }

    /// Does the next; false if there is none.
    fn one(&self, work: impl FnOnce(&T) -> Result<(), Failed>) -> Result<bool, Failed> {
        match self.all.get(self.at.fetch_add(1, Ordering::Relaxed)) {
            Some(one) => work(one).map(|()| true),
            None => Ok(false),
        }
    }

    /// Does all that are left.
    fn each(&self, mut work: impl FnMut(&T) -> Result<(), Failed>) -> Result<(), Failed> {
        while self.one(&mut work)? {}
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_with_marks_of_their_own_are_read() {
        let dir = tempfile::tempdir().unwrap();
        for name in ["plain.db", "50% of the flock?.db", "two #1 a&b=c.db", "Schäfer Ünal.db"] {
            let path = dir.path().join(name);
            let db = Connection::open(&path).unwrap();
            db.execute_batch("create table t (x); insert into t values (7);").unwrap();
            let reader = readers(&db, &path, 1).unwrap().pop().unwrap();
            assert_eq!(reader.query_row("select x from t", [], |r| r.get::<_, i64>(0)), Ok(7), "{name}");
        }
    }
}
