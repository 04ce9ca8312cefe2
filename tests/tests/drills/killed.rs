//! The command line killed at random moments of everything that writes: what was there before is there, or what was
//! to be. (Writes and undo in the window's way are killed in `killed.rs`, imports in `killed_import.rs`.)

use super::{many, sound};
use fastrand::Rng;
use hirsel_core::book::Book;
use hirsel_tests::acts::entry;
use hirsel_tests::book::{new_book, room};
use hirsel_tests::older::first_format;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const HIRSEL: &str = env!("CARGO_BIN_EXE_hirsel-whole");

/// Runs the command once to see how long it takes, then kills it again and again from the same start. `look` is told
/// whether the command had ended before it was killed. Gives how many kills fell before the end.
fn drill(
    what: &str,
    times: usize,
    args: &[&str],
    start: &dyn Fn(&Path),
    look: &dyn Fn(&Path, bool, &str),
) -> usize {
    let mut rng = Rng::with_seed(what.len() as u64);
    let command = |folder: &Path| {
        let mut c = Command::new(HIRSEL);
        c.args(args).current_dir(folder).env("HIRSEL_HOME", folder.join("home"));
        c.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped());
        c
    };
    let mut long = Duration::ZERO;
    let mut early = 0;
    for n in 0..=times {
        let folder = room();
        start(folder.path());
        let began = Instant::now();
        let mut child = command(folder.path()).spawn().expect("started");
        if n > 0 {
            std::thread::sleep(long.mul_f64(rng.f64() * 1.05));
            let _ = child.kill();
        }
        let out = child.wait_with_output().expect("ended");
        if n == 0 {
            long = began.elapsed();
            assert!(out.status.success(), "{what}: {}", String::from_utf8_lossy(&out.stderr));
        }
        early += usize::from(!out.status.success());
        look(folder.path(), out.status.success(), &format!("{what}, kill {n}"));
    }
    println!("{what}: {times} kills over {long:?}, {early} before the end");
    early
}

fn written(folder: &Path, acts: std::ops::Range<u64>, book: Option<Book>) {
    let mut book = book.unwrap_or_else(|| new_book(folder));
    let mut rng = Rng::with_seed(acts.start);
    for n in acts {
        let (_, check) = entry(&mut rng, &book.flock(), n);
        book.write(check.expect("an entry").despite("made up").expect("sure")).expect("written");
    }
    book.close().expect("closed");
}

fn animals(path: &Path, when: &str) -> usize {
    let book = Book::open_plain(path).unwrap_or_else(|e| panic!("{when}: {e}"));
    let n = book.flock().len();
    book.close().unwrap_or_else(|e| panic!("{when}: {e}"));
    sound(path, when);
    n
}

#[test]
fn killed_while_copying() {
    let room = room();
    written(room.path(), 1..40, None);
    let start = room.path().join("a.hirsel");
    let n = animals(&start, "at the start");
    let begin = |folder: &Path| {
        std::fs::copy(&start, folder.join("a.hirsel")).expect("copied");
    };
    drill("a copy", many(6, 150), &["backup", "a.hirsel", "copy.hirsel"], &begin, &|folder, done, when| {
        let copy = folder.join("copy.hirsel");
        assert_eq!(animals(&folder.join("a.hirsel"), when), n);
        assert!(copy.exists() || !done, "{when}: it said so, but there is no copy");
        if copy.exists() {
            assert_eq!(animals(&copy, when), n, "{when}: the copy is whole");
        }
    });
}

#[test]
fn killed_while_a_copy_is_put_back() {
    let room = room();
    written(room.path(), 1..40, None);
    let start = room.path().join("a.hirsel");
    let n = animals(&start, "at the start");
    let begin = |folder: &Path| {
        std::fs::copy(&start, folder.join("copy.hirsel")).expect("copied");
        drop(new_book(folder));
    };
    drill(
        "put back",
        many(6, 150),
        &["restore", "copy.hirsel", "a.hirsel"],
        &begin,
        &|folder, done, when| {
            assert_eq!(animals(&folder.join("copy.hirsel"), when), n);
            let (book, aside) = (folder.join("a.hirsel"), folder.join("a.hirsel before restoring"));
            // Between two renames the book has no name for a moment: what stood there lies beside it then.
            let found = if book.exists() { animals(&book, when) } else { animals(&aside, when) };
            assert!(found == n || (!done && found == 0), "{when}: {found} animals");
        },
    );
}

#[test]
fn killed_while_another_copy_is_brought_in() {
    let room = room();
    written(room.path(), 1..10, None);
    let (start, hers) = (room.path().join("a.hirsel"), room.path().join("hers.hirsel"));
    std::fs::copy(&start, &hers).expect("copied");
    written(room.path(), 100..120, Some(Book::open_plain(&hers).expect("opens")));
    let (before, after) = (animals(&start, "before"), animals(&hers, "after"));
    assert!(after > before);
    let begin = |folder: &Path| {
        std::fs::copy(&start, folder.join("a.hirsel")).expect("copied");
        std::fs::copy(&hers, folder.join("hers.hirsel")).expect("copied");
    };
    let args = ["merge", "a.hirsel", "hers.hirsel"];
    drill("brought together", many(6, 200), &args, &begin, &|folder, done, when| {
        let book = Book::open_plain(&folder.join("a.hirsel")).unwrap_or_else(|e| panic!("{when}: {e}"));
        let found = book.flock().len();
        assert!(found == after || (!done && found == before), "{when}: {found} animals");
        let report = book.check(&|_| {}).unwrap_or_else(|e| panic!("{when}: {e}"));
        assert!(report.whole, "{when}: {:?}", report.lines);
        assert_eq!(animals(&folder.join("hers.hirsel"), when), after);
    });
}

#[test]
fn killed_while_an_old_book_is_brought_up() {
    let begin = |folder: &Path| first_format(&folder.join("a.hirsel"));
    drill("brought up", many(6, 200), &["check", "a.hirsel"], &begin, &|folder, _, when| {
        assert_eq!(animals(&folder.join("a.hirsel"), when), 4, "{when}");
    });
}

#[test]
fn killed_while_opening_and_closing() {
    let room = room();
    written(room.path(), 1..40, None);
    let start = room.path().join("a.hirsel");
    let n = animals(&start, "at the start");
    let begin = |folder: &Path| {
        std::fs::copy(&start, folder.join("a.hirsel")).expect("copied");
    };
    drill(
        "opened and closed",
        many(6, 100),
        &["export", "a.hirsel", "animals"],
        &begin,
        &|folder, _, when| {
            assert_eq!(animals(&folder.join("a.hirsel"), when), n, "{when}");
        },
    );
}
