//! The first look over the pages of a large file, before a row of it is kept: each page stands in one place alone. Pages
//! that were strung together so that a small file holds rows without end are refused by it; whatever else may be wrong
//! with them is found by the quick test, which takes three times as long and goes on after the book is open.

use super::{Failed, check};
use rusqlite::Connection;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};

/// The pages met so far, by any thread: a bit each.
pub(super) struct Pages(Vec<AtomicU64>);

impl Pages {
    /// None met yet of this file.
    pub(super) fn of(db: &Connection, path: &Path) -> Result<Self, Failed> {
        let count: u32 =
            db.query_row("pragma page_count", [], |r| r.get(0)).map_err(|e| Failed::sql(path, &e))?;
        // Pages are counted from one.
        Ok(Self((0..=count / u64::BITS).map(|_| AtomicU64::new(0)).collect()))
    }

    /// True when this page is one of the file's and was not met before.
    fn meet(&self, page: u32) -> bool {
        let bit = 1 << (page % u64::BITS);
        let word = self.0.get((page / u64::BITS) as usize);
        word.is_some_and(|word| word.fetch_or(bit, Ordering::Relaxed) & bit == 0)
    }

    /// Meets every page of a table, those of long rows too.
    ///
    /// # Errors
    /// [`Failed::Damaged`] when one was met before.
    pub(super) fn of_table(&self, db: &Connection, path: &Path, table: &str) -> Result<(), Failed> {
        let all = || {
            // A table of SQLite's own, compiled into it: a row a page.
            let mut pages = db.prepare_cached("select pageno from dbstat where name = ?1")?;
            let mut pages = pages.query([table])?;
            while let Some(r) = pages.next()? {
                if !r.get(0).is_ok_and(|page| self.meet(page)) {
                    return Ok(false);
                }
            }
            Ok(true)
        };
        match all().map_err(|e| Failed::sql(path, &e))? {
            true => Ok(()),
            false => Err(check::damaged(path, format!("a page of its table '{table}' stands in two places"))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Text and numbers of more than one page, with a long one.
    fn file(dir: &Path) -> std::path::PathBuf {
        let path = dir.join("t.db");
        let db = Connection::open(&path).unwrap();
        db.execute_batch(
            "pragma page_size = 512;
             create table one (id integer primary key, x text) strict;
             create table two (id blob primary key, x text) strict, without rowid;
             with recursive n (n) as (select 1 union all select n + 1 from n where n < 900)
             insert into one select n, hex(randomblob(20)) from n;
             insert into two select randomblob(16), x from one;
             insert into two values (zeroblob(16), hex(zeroblob(2000)));",
        )
        .unwrap();
        path
    }

    #[test]
    fn pages_of_a_whole_file_are_met_once() {
        let dir = tempfile::tempdir().unwrap();
        let path = file(dir.path());
        let db = Connection::open(&path).unwrap();
        let pages = Pages::of(&db, &path).unwrap();
        for table in ["one", "two", "sqlite_schema"] {
            pages.of_table(&db, &path, table).unwrap();
        }
        let met: u32 = pages.0.iter().map(|w| w.load(Ordering::Relaxed).count_ones()).sum();
        assert_eq!(db.query_row("pragma page_count", [], |r| r.get(0)), Ok(met), "every page of it");
        assert!(matches!(pages.of_table(&db, &path, "two"), Err(Failed::Damaged { .. })), "a second time");
        assert!(!pages.meet(1_000_000), "a page behind the file's end");
    }

    #[test]
    fn a_page_that_stands_for_many_is_refused() {
        let dir = tempfile::tempdir().unwrap();
        let path = file(dir.path());
        for table in ["one", "two"] {
            let db = Connection::open(&path).unwrap();
            let sql =
                "select pageno from dbstat where name = ?1 and pagetype = 'internal' and ncell > 1 limit 1";
            let inner: u32 = db.query_row(sql, [table], |r| r.get(0)).unwrap();
            drop(db);
            let mut bytes = std::fs::read(&path).unwrap();
            // Every child of the page is the first of them: cells begin with the number of a page.
            let inner = inner as usize;
            let page = &mut bytes[(inner - 1) * 512..inner * 512];
            let cells = usize::from(u16::from_be_bytes([page[3], page[4]]));
            let at =
                |page: &[u8], n: usize| usize::from(u16::from_be_bytes([page[12 + 2 * n], page[13 + 2 * n]]));
            let first: [u8; 4] = page[at(page, 0)..][..4].try_into().unwrap();
            for n in 1..cells {
                let at = at(page, n);
                page[at..at + 4].copy_from_slice(&first);
            }
            let strung = dir.path().join(table);
            std::fs::write(&strung, bytes).unwrap();
            let db = Connection::open(&strung).unwrap();
            let pages = Pages::of(&db, &strung).unwrap();
            assert!(matches!(pages.of_table(&db, &strung, table), Err(Failed::Damaged { .. })), "{table}");
        }
    }
}
