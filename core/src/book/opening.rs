//! Opening a book: its tables are looked over, then read, on as many threads as the machine runs
//! at once.
//!
//! The book's own connection holds the lock that keeps every other program out. While it writes nothing, the file
//! cannot change, so that connections which take no lock of their own (`immutable`) may read it beside one another.
//! They read the file alone and not the log beside it; so the log is folded in first.

use super::gather::{At, Gathered, Part, STEPS, animals, offspring};
use super::look::Look;
use super::strung::Pages;
use super::{Failed, check, load};
use crate::flock::{Flock, Shelf};
use rusqlite::{Connection, OpenFlags};
use std::path::Path;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Barrier, mpsc};

/// More threads than this gain nothing: the longest steps take as long as all the others on three more.
const MOST: usize = 4;

/// What is looked for in a table before it is read.
type First<'a> = &'a (dyn Fn(&Connection, &str) -> Result<(), Failed> + Sync);

/// Reads the whole flock and looks over every table; with `later`, wholly only after this returns. `meanwhile` is done with
/// the book's own connection, which is not needed for the reading; it writes nothing to the file.
///
/// # Errors
/// The file is damaged or could not be read.
pub(super) fn read_and_check<T: Send>(
    db: &mut Connection,
    path: &Path,
    later: bool,
    meanwhile: impl FnOnce(&mut Connection) -> rusqlite::Result<T> + Send,
) -> Result<(Flock, Look, T), Failed> {
    let sql = |e: rusqlite::Error| Failed::sql(path, &e);
    let tables = check::tables(db, path)?;
    let threads = std::thread::available_parallelism().map_or(1, usize::from).clamp(2, MOST);
    let Some(mut readers) = readers(db, path, threads) else {
        check::every_table(db, path)?;
        let flock = load::everything(db).map_err(sql)?;
        return Ok((flock, Look::default(), meanwhile(db).map_err(sql)?));
    };
    let pages = Pages::of(db, path)?;
    std::thread::scope(|scope| {
        let other = scope.spawn(move || meanwhile(db));
        let (flock, look) = if later {
            let of_flock: Vec<String> = tables.iter().filter(|t| !check::is_journal(t)).cloned().collect();
            let once = |db: &Connection, table: &str| pages.of_table(db, path, table);
            let flock = beside_one_another(&mut readers, path, &of_flock, &once)?;
            (flock, readers.pop().map_or_else(Look::default, |reader| Look::start(reader, path, tables)))
        } else {
            let quick = |db: &Connection, table: &str| check::quick(db, path, table);
            (beside_one_another(&mut readers, path, &tables, &quick)?, Look::default())
        };
        let other = other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        Ok((flock, look, other.map_err(sql)?))
    })
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
fn beside_one_another(
    readers: &mut [Connection],
    path: &Path,
    tables: &[String],
    first: First<'_>,
) -> Result<Flock, Failed> {
    let (looks, steps) = (Next::of(tables), Next::of(&STEPS));
    let (sender, parts) = mpsc::channel();
    let all_looked = Barrier::new(readers.len());
    let bad = AtomicBool::new(false);
    let at = At::default();
    let look = |db: &Connection| {
        let looked = looks.each(|t| first(db, t));
        if looked.is_err() {
            bad.store(true, Ordering::Relaxed);
        }
        all_looked.wait();
        looked
    };
    let read = |db: &Connection, sender: &mpsc::Sender<rusqlite::Result<Part>>| {
        steps.each(|step| {
            let _ = sender.send(step(db, &at));
            Ok(())
        })
    };
    let Some((own, helpers)) = readers.split_first_mut() else { return Ok(Flock::default()) };
    std::thread::scope(|scope| {
        let helpers: Vec<_> = helpers
            .iter_mut()
            .map(|db| {
                let (sender, look, read, bad) = (sender.clone(), &look, &read, &bad);
                scope.spawn(move || {
                    let looked = look(db);
                    if !bad.load(Ordering::Relaxed) {
                        read(db, &sender)?;
                    }
                    looked
                })
            })
            .collect();
        let mut looked = look(own);
        let (mut files, mut lambs, mut done) = (Shelf::default(), Vec::new(), Ok(()));
        if !bad.load(Ordering::Relaxed) {
            // The others read on meanwhile, and wait for the places of the animals where they need them.
            match at.tell(|| animals(own)) {
                Ok(all) => {
                    lambs = offspring(&all, &at.told());
                    files = all;
                }
                Err(e) => done = Err(Failed::sql(path, &e)),
            }
            done = done.and(read(own, &sender));
        }
        drop(sender);
        let mut all = Gathered::default();
        for part in parts {
            match part {
                Ok(part) => all.take(part),
                Err(e) => done = done.and(Err(Failed::sql(path, &e))),
            }
        }
        // What the look finds in a damaged file comes before what the reading stumbled over.
        for helper in helpers {
            looked = looked.and(helper.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        }
        looked.and(done)?;
        Ok(all.flock(files, lambs, at.told()))
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
