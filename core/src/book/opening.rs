//! Opening a book: its tables are looked over, then read, on as many threads as the machine runs
//! at once.
//!
//! The book's own connection holds the lock that keeps every other program out. While it writes nothing, the file
//! cannot change, so that connections which take no lock of their own (`immutable`) may read it beside one another.
//! They read the file alone and not the log beside it; so the log is folded in first.

use super::gather::{Gathered, Part, STEPS, animals};
use super::look::Look;
use super::{Failed, check, load};
use crate::flock::{Flock, Places, Shelf};
use rusqlite::{Connection, OpenFlags};
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Barrier, OnceLock, mpsc};

/// More threads than this gain nothing: the longest steps take as long as all the others on three more.
const MOST: usize = 4;
/// The table that is read before all others.
const ANIMALS: &str = "animal";

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
    (0..n).map(|_| super::guard::open(Path::new(&uri), flags).ok()).collect()
}

/// The file's name as SQLite takes it with a wish behind it; none if it cannot be written so.
pub(super) fn uri(path: &Path) -> Option<String> {
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

/// First every table is looked over, then it is read: pages that a stranger strung together so that a small file holds
/// rows without end are found before anything of them is kept.
fn beside_one_another(readers: &mut [Connection], path: &Path, tables: &[String]) -> Result<Flock, Failed> {
    let others: Vec<&String> = tables.iter().filter(|t| *t != ANIMALS).collect();
    let (steps, checks) = (Next::of(&STEPS), Next::of(&others));
    let (sender, parts) = mpsc::channel();
    let all_looked = Barrier::new(readers.len());
    let bad = AtomicBool::new(false);
    let Some((own, helpers)) = readers.split_first_mut() else { return Ok(Flock::default()) };
    let at: OnceLock<Option<Arc<Places>>> = OnceLock::new();
    let look = |db: &Connection| {
        let looked = checks.each(|t| check::quick(db, path, t));
        if looked.is_err() {
            bad.store(true, Ordering::Relaxed);
        }
        looked
    };
    let read = |db: &Connection, sender: &mpsc::Sender<rusqlite::Result<Part>>| {
        all_looked.wait();
        let Some(at) = at.get().and_then(Option::as_ref).filter(|_| !bad.load(Ordering::Relaxed)) else {
            return Ok(());
        };
        steps.each(|step| {
            let _ = sender.send(step(db, at));
            Ok(())
        })
    };
    std::thread::scope(|scope| {
        let helpers: Vec<_> = helpers
            .iter_mut()
            .map(|db| {
                let (sender, look, read) = (sender.clone(), &look, &read);
                scope.spawn(move || {
                    let looked = look(db);
                    read(db, &sender)?;
                    looked
                })
            })
            .collect();
        let first = check::quick(own, path, ANIMALS);
        let first = first.and_then(|()| animals(own).map_err(|e| Failed::sql(path, &e)));
        let (files, begun) = match first {
            Ok((files, places)) => {
                at.get_or_init(|| Some(Arc::new(places)));
                (files, Ok(()))
            }
            Err(e) => {
                at.get_or_init(|| None);
                (Shelf::default(), Err(e))
            }
        };
        let looked = look(own);
        let mut done = read(own, &sender);
        drop(sender);
        let mut all = Gathered::default();
        for part in parts {
            match part {
                Ok(part) => all.take(part),
                Err(e) => done = Err(Failed::sql(path, &e)),
            }
        }
        // What the look finds in a damaged file comes before what the reading stumbled over.
        let mut looked = begun.and(looked);
        for helper in helpers {
            looked = looked.and(helper.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        }
        looked.and(done)?;
        Ok(all.flock(files, at.get().cloned().flatten().unwrap_or_default()))
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

    /// Does all that are left.
    fn each(&self, mut work: impl FnMut(&T) -> Result<(), Failed>) -> Result<(), Failed> {
        while let Some(one) = self.all.get(self.at.fetch_add(1, Ordering::Relaxed)) {
            work(one)?;
        }
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
