//! A damaged book: `check` tells, and what can be read is saved into a new one, with every loss named. The undamaged book
//! stands beside it: what is missing is counted row by row.

use hirsel_core::book::{Book, Salvaged, salvage};
use hirsel_core::entry;
use hirsel_core::terms::{AnimalId, Moment, Sex, Weight};
use hirsel_tests::book::{Rows, new_book, room};
use hirsel_tests::flocks::{add, day, write};
use proptest::prelude::*;
use rusqlite::Connection;
use rusqlite::types::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

const PAGE: usize = 4096;

/// A closed book with animals, weighings, a long note, and pages that are out of use.
fn book(folder: &Path) -> PathBuf {
    let mut book = new_book(folder);
    let today = day("2026-04-10");
    let ewes: Vec<AnimalId> =
        (0..60).map(|n| add(&mut book, &format!("{:04}", 400 + n), Sex::Ewe, "2021-04-02", today)).collect();
    for on in ["2026-01-05", "2026-02-05", "2026-03-05", "2026-04-05"] {
        let drafts = ewes
            .iter()
            .enumerate()
            .map(|(n, id)| entry::WeighingDraft {
                animal: *id,
                at: Moment::day(day(on)),
                weight: Weight::from_grams(50_000 + 10 * n as i64).expect("a weight"),
                note: (n % 20 == 0).then(|| "wet fleece, ".repeat(400)),
            })
            .collect();
        let check = entry::weighings(drafts, &book.flock(), today);
        write(&mut book, check);
    }
    // Written and taken back: its pages are out of use.
    let drafts = ewes
        .iter()
        .map(|id| entry::WeighingDraft {
            animal: *id,
            at: Moment::day(day("2026-04-09")),
            weight: Weight::from_grams(51_000).expect("a weight"),
            note: Some("taken back, ".repeat(100)),
        })
        .collect();
    let check = entry::weighings(drafts, &book.flock(), today);
    write(&mut book, check);
    book.undo().expect("undone");
    let path = book.path().to_path_buf();
    book.close().expect("closed");
    path
}

/// Every row of every table by its key, the journal's too.
type All = BTreeMap<(String, String), Vec<Value>>;

fn all(path: &Path) -> All {
    let db = Connection::open(path).expect("opens");
    let mut found = All::new();
    let tables: Vec<String> = db
        .prepare("select name from sqlite_schema where type = 'table' and name not like 'sqlite_%'")
        .expect("a statement")
        .query_map([], |r| r.get(0))
        .expect("rows")
        .collect::<Result<_, _>>()
        .expect("read");
    for table in tables {
        let mut s = db.prepare(&format!("select * from {table}")).expect("a statement");
        let n = s.column_count();
        let mut rows = s.query([]).expect("rows");
        while let Some(r) = rows.next().expect("a row") {
            let row: Vec<Value> = (0..n).map(|i| r.get(i).expect("a value")).collect();
            found.insert((table.clone(), format!("{:?}", row[0])), row);
        }
    }
    found
}

/// Saves a damaged copy and compares with the undamaged book: what is told to be lost is what is lost, and nothing is
/// there that was not.
fn saved(whole: &All, damaged: &Path, to: &Path) -> Salvaged {
    let before = std::fs::read(damaged).expect("read");
    let told = salvage(damaged, to, &|_| {}).unwrap_or_else(|e| panic!("{e}"));
    assert!(before == std::fs::read(damaged).expect("read"), "the damaged file is as it was");
    let got = all(to);
    let mut lost: BTreeMap<&str, usize> = BTreeMap::new();
    for (key, row) in whole {
        match got.get(key) {
            Some(is) if is == row => {}
            Some(is) if key.0 == "journal_entry" => {
                assert_eq!(is[5], Value::Text("This line of the journal was lost".into()));
                *lost.entry("lines").or_default() += 1;
            }
            Some(is) if key.0 == "animal" && is[16] != row[16] => *lost.entry("animal").or_default() += 1,
            Some(is) => {
                assert!(!told.doubts.is_empty(), "{key:?} differs and nobody says so: {row:?} {is:?}")
            }
            None if key.0 == "journal_entry" => *lost.entry("lines").or_default() += 1,
            None => *lost.entry(&key.0).or_default() += 1,
        }
    }
    let last = got.keys().filter(|k| k.0 == "journal_entry").count();
    for key in got.keys().filter(|k| !whole.contains_key(k)) {
        // The line that says what was saved, and what it changed.
        let told = key.0.starts_with("journal_") || !told.doubts.is_empty();
        assert!(told, "{key:?} was never in the book ({last} lines)");
    }
    assert!(told.lines_lost <= lost.get("lines").copied().unwrap_or_default());
    for (table, n) in &lost {
        let (rows, more) = match *table {
            "lines" => {
                (told.lines_lost, told.losses.iter().any(|l| l.table == "journal_entry" && l.maybe_more))
            }
            t => told.losses.iter().find(|l| l.table == t).map_or((0, false), |l| (l.rows, l.maybe_more)),
        };
        assert!(
            rows == *n || (more && rows <= *n),
            "{n} of {table} are lost, {rows} are told: {:#?}",
            told.words()
        );
    }
    for loss in &told.losses {
        assert!(
            loss.maybe_more || lost.contains_key(loss.table.as_str()),
            "nothing is lost of {}: {:#?}",
            loss.table,
            told.words()
        );
    }
    told
}

fn damage(bytes: &[u8], pages: &[usize], with: u8) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    for page in pages {
        let end = bytes.len().min((page + 1) * PAGE);
        for (i, b) in bytes[page * PAGE..end].iter_mut().enumerate() {
            *b = if with == 1 { (i * 37 + page * 11) as u8 } else { with };
        }
    }
    bytes
}

#[test]
fn a_whole_book_is_saved_whole() {
    let folder = room();
    let path = book(folder.path());
    let told = saved(&all(&path), &path, &folder.path().join("new.hirsel"));
    assert!(told.is_whole(), "{:#?}", told.words());
    assert_eq!((told.animals, told.rebuilt), (60, 0));
    let again = salvage(&path, &folder.path().join("new.hirsel"), &|_| {});
    assert!(again.is_err_and(|e| e.to_string().contains("choose another name")));
}

/// Whichever one page is lost, table and journal mend one another: no record is lost.
#[test]
fn no_single_page_costs_a_record() {
    let folder = room();
    let path = book(folder.path());
    let (whole, bytes) = (all(&path), std::fs::read(&path).expect("read"));
    let rows = Rows::of(&Connection::open(&path).expect("opens")).expect("rows");
    let pages = bytes.len() / PAGE;
    let (mut refused, mut rebuilt) = (0, 0);
    let step = if std::env::var_os("HIRSEL_WHOLE").is_some() { 1 } else { 17 };
    for page in (0..12).chain((12..pages).step_by(step)) {
        let (bad, new) = (folder.path().join("bad.hirsel"), folder.path().join("new.hirsel"));
        let _ = std::fs::remove_file(&new);
        std::fs::write(&bad, damage(&bytes, &[page], if page % 2 == 0 { 1 } else { 0xff })).expect("written");
        let told = saved(&whole, &bad, &new);
        let got = Rows::of(&Connection::open(&new).expect("opens")).expect("rows");
        assert_eq!(rows.difference(&got), None, "page {page}");
        assert!(
            told.losses.iter().all(|l| l.rows == 0 || l.table.starts_with("journal_")),
            "page {page}: {:#?}",
            told.words()
        );
        rebuilt += told.rebuilt;
        // The damage itself is told, whatever it struck.
        let bad_copy = folder.path().join("look.hirsel");
        std::fs::copy(&bad, &bad_copy).expect("copied");
        let whole = Book::open_plain(&bad_copy).and_then(|b| b.check(&|_| {})).is_ok_and(|r| r.whole);
        refused += usize::from(!whole);
        assert!(!whole || is_unused(&path, page), "page {page} is damaged and check says the book is whole");
    }
    println!("{pages} pages, {refused} damages told, {rebuilt} records made anew");
    assert!(rebuilt > 20);
}

/// Out of use: nothing of the book is on it.
fn is_unused(path: &Path, page: usize) -> bool {
    let bytes = std::fs::read(path).expect("read");
    let number = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().expect("four")) as usize;
    let mut trunk = number(32);
    while trunk != 0 {
        let at = (trunk - 1) * PAGE;
        let leaves = number(at + 4);
        if (0..leaves).any(|i| number(at + 8 + 4 * i) == page + 1) {
            return true;
        }
        trunk = number(at);
    }
    false
}

#[test]
fn a_book_cut_short_is_saved_as_far_as_it_goes() {
    let folder = room();
    let path = book(folder.path());
    let (whole, bytes) = (all(&path), std::fs::read(&path).expect("read"));
    for part in [99, 95, 80, 60, 40] {
        let (bad, new) = (folder.path().join("bad.hirsel"), folder.path().join("new.hirsel"));
        let _ = std::fs::remove_file(&new);
        std::fs::write(&bad, &bytes[..bytes.len() * part / 100]).expect("written");
        assert!(Book::open_plain(&bad).is_err());
        let told = saved(&whole, &bad, &new);
        println!("{part} %: {:?}", told.words());
    }
    for junk in [&b""[..], b"not a book", &[0; 9000]] {
        let (bad, new) = (folder.path().join("bad.hirsel"), folder.path().join("new.hirsel"));
        let _ = std::fs::remove_file(&new);
        std::fs::write(&bad, junk).expect("written");
        assert!(salvage(&bad, &new, &|_| {}).is_err_and(|e| e.to_string().contains("is not a Hirsel book")));
        assert!(!new.exists(), "nothing is left behind");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10, ..ProptestConfig::default() })]

    /// Several pages, or a run of bytes anywhere: what is told to be lost is lost, what differs is told.
    #[test]
    fn what_is_lost_is_told(
        pages in proptest::collection::vec(any::<prop::sample::Index>(), 1..6),
        with in prop::sample::select(vec![0u8, 1, 0xff]),
        runs in proptest::collection::vec((any::<prop::sample::Index>(), 1usize..200, any::<u8>()), 0..3),
    ) {
        thread_local! {
            static MADE: (tempfile::TempDir, All, Vec<u8>) = {
                let folder = room();
                let path = book(folder.path());
                let (whole, bytes) = (all(&path), std::fs::read(&path).expect("read"));
                (folder, whole, bytes)
            };
        }
        MADE.with(|(folder, whole, bytes)| {
            let n = bytes.len() / PAGE;
            let struck: Vec<usize> = pages.iter().map(|p| p.index(n)).collect();
            let mut bad_bytes = damage(bytes, &struck, with);
            for (at, len, value) in &runs {
                let at = at.index(bad_bytes.len());
                let end = (at + len).min(bad_bytes.len());
                bad_bytes[at..end].fill(*value);
            }
            let (bad, new) = (folder.path().join("bad.hirsel"), folder.path().join("new.hirsel"));
            let _ = std::fs::remove_file(&new);
            std::fs::write(&bad, &bad_bytes).expect("written");
            if runs.is_empty() {
                saved(whole, &bad, &new);
            } else {
                // Bytes changed within a row: it may be told as a doubt; it must never panic, nor be silent.
                let told = salvage(&bad, &new, &|_| {});
                if let Ok(told) = told {
                    let same = all(&new);
                    let silent = told.is_whole()
                        && whole.iter().any(|(k, row)| !k.0.starts_with("journal_") && same.get(k) != Some(row));
                    assert!(!silent, "something differs and nothing is told");
                }
            }
        });
    }
}
