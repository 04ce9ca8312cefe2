//! Opening a book: its tables are read and looked over at the same time, on as many threads as the machine runs
//! at once.
//!
//! The book's own connection holds the lock that keeps every other program out. While it does and writes
//! nothing, the file cannot change, so that connections which take no lock of their own (`immutable`) may read it
//! beside one another. They read the file alone and not the log beside it; so the log is folded in first.

use super::gather::{Gathered, STEPS};
use super::{Failed, check, load};
use crate::flock::Flock;
use rusqlite::{Connection, OpenFlags};
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;

/// More threads than this gain nothing: the longest step takes as long as all the others on two more.
const MOST: usize = 4;

/// Reads the whole flock and looks over the tables.
///
/// # Errors
/// The file is damaged or could not be read.
pub(super) fn read_and_check(db: &Connection, path: &Path) -> Result<Flock, Failed> {
    let tables = check::tables(db, path)?;
    let threads = std::thread::available_parallelism().map_or(1, usize::from).clamp(2, MOST);
    match readers(db, path, threads) {
        Some(readers) => beside_one_another(readers, path, &tables),
        None => {
            tables.iter().try_for_each(|t| check::quick(db, path, t))?;
            load::everything(db).map_err(|e| Failed::sql(path, &e))
        }
    }
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

fn uri(path: &Path) -> Option<String> {
    let mut uri = String::from(if path.is_absolute() { "file://" } else { "file:" });
    for c in path.to_str()?.chars() {
        match c {
            '%' => uri.push_str("%25"),
            '?' => uri.push_str("%3f"),
            '#' => uri.push_str("%23"),
            c => uri.push(c),
        }
    }
    uri.push_str("?immutable=1");
    Some(uri)
}

fn beside_one_another(mut readers: Vec<Connection>, path: &Path, tables: &[String]) -> Result<Flock, Failed> {
    let Some(own) = readers.pop() else { return Ok(Flock::default()) };
    let (steps, checks) = (Next::of(&STEPS), Next::of(tables));
    let (sender, parts) = mpsc::channel();
    std::thread::scope(|scope| {
        let helpers: Vec<_> = readers
            .into_iter()
            .map(|db| {
                let (sender, steps, checks) = (sender.clone(), &steps, &checks);
                scope.spawn(move || {
                    checks.each(|t| check::quick(&db, path, t))?;
                    steps.each(|step| {
                        let _ = sender.send(step(&db));
                        Ok(())
                    })
                })
            })
            .collect();
        let read = steps.each(|step| {
            let _ = sender.send(step(&own));
            Ok(())
        });
        drop(sender);
        let read = read.and_then(|()| {
            let mut all = Gathered::default();
            for part in parts.iter().take(STEPS.len()) {
                all.take(part.map_err(|e| Failed::sql(path, &e))?);
            }
            Ok(all.flock())
        });
        // What the check says of a damaged file comes before what the reading stumbled over.
        checks.each(|t| check::quick(&own, path, t))?;
        for helper in helpers {
            helper.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))?;
        }
        read
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

    fn each(&self, mut work: impl FnMut(&T) -> Result<(), Failed>) -> Result<(), Failed> {
        while let Some(one) = self.all.get(self.at.fetch_add(1, Ordering::Relaxed)) {
            work(one)?;
        }
        Ok(())
    }
}
