//! The program killed at random moments while it writes: nothing acknowledged is lost, nothing half done is kept.

use fastrand::Rng;
use hirsel_core::book::Book;
use hirsel_tests::book::{new_book, room};
use hirsel_tests::journal;
use hirsel_tests::scribe::{Promised, Scribe, command};
use std::path::Path;
use std::time::Duration;

const SCRIBE: &str = env!("CARGO_BIN_EXE_hirsel-scribe");
const KILLS: usize = 200;
/// A book with more lines than this in its journal is begun anew, so that looking it over stays quick.
const LONGEST: i64 = 250;

/// Opens the book as the program does, compares it with what was promised, and looks the file over from outside.
fn look_over(path: &Path, promised: &mut Promised, close: bool) -> i64 {
    let book = Book::open_plain(path).unwrap_or_else(|e| panic!("after a kill: {e}"));
    promised.settle(&book.flock()).unwrap_or_else(|e| panic!("after a kill: {e}"));
    if close {
        book.close().unwrap_or_else(|e| panic!("{e}"));
    } else {
        drop(book);
    }
    let db = rusqlite::Connection::open(path).expect("opens");
    journal::whole(&db).unwrap_or_else(|e| panic!("after a kill: {e}"))
}

#[test]
fn two_hundred_kills_while_writing() {
    let mut rng = Rng::with_seed(200);
    let folder = room();
    let path = folder.path().join("a.hirsel");
    let mut lines = i64::MAX;
    let mut promised = Promised::nothing();
    let (mut acts, mut books) = (0, 0);
    for kill in 0..KILLS {
        if lines > LONGEST {
            let _ = std::fs::remove_file(&path);
            new_book(folder.path()).close().expect("closed");
            acts += promised.acts;
            promised = Promised::nothing();
            books += 1;
        }
        let mut scribe = Scribe::start(command(SCRIBE, &path, promised.next));
        scribe.until_first_ok();
        std::thread::sleep(Duration::from_millis(rng.u64(10..=120)));
        let said = scribe.kill();
        assert_eq!(said.code, None, "kill {kill} came too late: {}", said.error);
        promised.hear(&said.lines);
        lines = look_over(&path, &mut promised, rng.bool());
    }
    acts += promised.acts;
    println!("{KILLS} kills, {acts} acknowledged acts, {books} books");
    assert!(acts > KILLS, "the scribe wrote");
}

#[test]
fn kills_while_a_book_is_being_opened() {
    let mut rng = Rng::with_seed(40);
    let folder = room();
    let path = folder.path().join("a.hirsel");
    new_book(folder.path()).close().expect("closed");
    let mut promised = Promised::nothing();
    for _ in 0..40 {
        // One scribe killed at work leaves a log; the next is killed while it reads that.
        let mut scribe = Scribe::start(command(SCRIBE, &path, promised.next));
        scribe.until_first_ok();
        promised.hear(&scribe.kill().lines);
        let scribe = Scribe::start(command(SCRIBE, &path, promised.next));
        std::thread::sleep(Duration::from_micros(rng.u64(500..20_000)));
        promised.hear(&scribe.kill().lines);
        look_over(&path, &mut promised, rng.bool());
    }
}
