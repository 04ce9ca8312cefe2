//! The power cut at any moment: everything acknowledged is there, and nothing half done.
//!
//! What a disk may hold after a cut is made by `hirsel_power` from a record of every write and sync; what SQLite promises
//! with `synchronous=extra` is described at <https://www.sqlite.org/atomiccommit.html> and <https://www.sqlite.org/psow.html>.

use super::{many, sound};
use fastrand::Rng;
use hirsel_core::book::{Book, Other};
use hirsel_power::{Disk, Lasting, Record, begin, end, mark};
use hirsel_tests::acts::entry;
use hirsel_tests::book::{new_book, room};
use hirsel_tests::older::first_format;
use hirsel_tests::scribe::Promised;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// One recording at a time: tests of one program run beside one another.
static ONE: Mutex<()> = Mutex::new(());

/// Lays a disk's files into a fresh folder; the book's path there.
fn lay(disk: &Disk, book: &Path, folder: &Path) -> PathBuf {
    for (path, bytes) in disk {
        let name = path.file_name().expect("a name");
        std::fs::write(folder.join(name), bytes).expect("written");
    }
    folder.join(book.file_name().expect("a name"))
}

/// Cuts the power at moments all over a record, and looks at each book that is left. Gives how many were looked at.
fn cuts(record: &Record, book: &Path, most: usize, look: &mut dyn FnMut(&Path, usize, &str)) -> usize {
    let mut rng = Rng::with_seed(512);
    let every = (record.ops.len() * 3 / most).max(1);
    let mut done = 0;
    for at in 0..=record.ops.len() {
        for lasting in [Lasting::Nothing, Lasting::Some, Lasting::All] {
            if rng.usize(..every) != 0 {
                continue;
            }
            let folder = room();
            let path = lay(&record.cut(at, lasting, &mut rng), book, folder.path());
            look(
                &path,
                record.mark_before(at),
                &format!("cut before {at} of {}, {lasting:?}", record.ops.len()),
            );
            done += 1;
        }
    }
    done
}

#[test]
fn whatever_was_acknowledged_outlives_a_power_cut() {
    let _one = ONE.lock();
    let folder = room();
    let path = folder.path().join("a.hirsel");
    new_book(folder.path()).close().expect("closed");
    let mut rng = Rng::with_seed(1);
    let mut words: Vec<String> = Vec::new();
    begin(&path).expect("recorded");
    {
        let mut say = |line: String| {
            words.push(line);
            mark(words.len());
        };
        let mut n = 1;
        for _sitting in 0..3 {
            let mut book = Book::open_plain(&path).expect("opens");
            for act in 0..8 {
                if act == 5 {
                    say(format!("do {n} undo {}", n - 1));
                    book.undo().expect("undone").expect("something to undo");
                } else {
                    let (records, check) = entry(&mut rng, &book.flock(), n);
                    let sure = check.expect("an entry").despite("a made-up record").expect("sure");
                    say(format!("do {n} write {records}"));
                    book.write(sure).expect("written");
                }
                say(format!("ok {n}"));
                n += 1;
            }
            book.close().expect("closed");
        }
    }
    let record = end();
    let syncs = record.ops.iter().filter(|o| matches!(o, hirsel_power::Op::Sync(_))).count();
    assert!(syncs > 24, "every write is synced: {syncs}");
    let done = cuts(&record, &path, many(90, 3000), &mut |path, heard, when| {
        let mut promised = Promised::nothing();
        promised.hear(&words[..heard]);
        let book = Book::open_plain(path).unwrap_or_else(|e| panic!("{when}: {e}"));
        promised.settle(&book.flock()).unwrap_or_else(|e| panic!("{when}: {e}"));
        book.close().unwrap_or_else(|e| panic!("{when}: {e}"));
        sound(path, when);
    });
    println!(
        "{done} power cuts in {} writes and syncs ({syncs} syncs): nothing lost, nothing half",
        record.ops.len()
    );
    assert!(done > 40);
}

/// The model would show a loss: with the syncs taken out of the record, something acknowledged is gone.
#[test]
fn without_syncs_something_is_lost() {
    let _one = ONE.lock();
    let folder = room();
    new_book(folder.path()).close().expect("closed");
    let path = folder.path().join("a.hirsel");
    begin(&path).expect("recorded");
    let mut book = Book::open_plain(&path).expect("opens");
    let (records, check) = entry(&mut Rng::with_seed(3), &book.flock(), 1);
    book.write(check.expect("an entry").despite("made up").expect("sure")).expect("written");
    mark(1);
    let mut record = end();
    drop(book);
    record.ops.retain(|o| !matches!(o, hirsel_power::Op::Sync(_)));
    let fresh = room();
    let cut = record.cut(record.ops.len(), Lasting::Nothing, &mut Rng::with_seed(4));
    let left = Book::open_plain(&lay(&cut, &path, fresh.path())).expect("opens");
    assert!(records > 0 && left.flock().is_empty(), "the write was not on the disk");
}

#[test]
fn an_old_book_is_old_or_brought_up_whole() {
    let _one = ONE.lock();
    let folder = room();
    let path = folder.path().join("a.hirsel");
    first_format(&path);
    begin(&path).expect("recorded");
    Book::open_plain(&path).expect("brought up").close().expect("closed");
    let record = end();
    let done = cuts(&record, &path, many(25, 400), &mut |path, _, when| {
        let book = Book::open_plain(path).unwrap_or_else(|e| panic!("{when}: {e}"));
        assert_eq!(book.flock().len(), 4, "{when}");
        book.close().unwrap_or_else(|e| panic!("{when}: {e}"));
        sound(path, when);
    });
    println!("{done} power cuts while an old book is brought up");
}

#[test]
fn another_copy_is_brought_in_whole_or_not_at_all() {
    let _one = ONE.lock();
    let folder = room();
    let mut book = new_book(folder.path());
    let path = book.path().to_path_buf();
    let hers = folder.path().join("hers.hirsel");
    book.backup(&hers).expect("copied");
    let mut rng = Rng::with_seed(9);
    let mut write = |book: &mut Book, n| {
        let (_, check) = entry(&mut rng, &book.flock(), n);
        book.write(check.expect("an entry").despite("made up").expect("sure")).expect("written");
    };
    write(&mut book, 1);
    book.close().expect("closed");
    let mut other = Book::open_plain(&hers).expect("opens");
    (10..14).for_each(|n| write(&mut other, n));
    other.close().expect("closed");
    begin(&path).expect("recorded");
    let mut book = Book::open_plain(&path).expect("opens");
    let before = book.flock().len();
    let other = Other::read(&path, &hers).expect("a copy");
    book.unite(&other).expect("brought together");
    mark(1);
    let after = book.flock().len();
    book.close().expect("closed");
    let record = end();
    assert!(after > before);
    let done = cuts(&record, &path, many(25, 600), &mut |path, heard, when| {
        let book = Book::open_plain(path).unwrap_or_else(|e| panic!("{when}: {e}"));
        let n = book.flock().len();
        assert!(n == after || (heard == 0 && n == before), "{when}: {n} animals");
        let report = book.check(&|_| {}).unwrap_or_else(|e| panic!("{when}: {e}"));
        assert!(report.whole, "{when}: {:?}", report.lines);
    });
    println!("{done} power cuts while another copy is brought in");
}
