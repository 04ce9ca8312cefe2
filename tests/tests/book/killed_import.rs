//! The command line killed at random moments while it imports: all rows are there, or none.

use fastrand::Rng;
use hirsel_core::book::Book;
use hirsel_tests::book::room;
use hirsel_tests::journal;
use std::fmt::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

const HIRSEL: &str = env!("CARGO_BIN_EXE_hirsel-whole");
const KILLS: usize = 40;
const ROWS: usize = 300;

fn hirsel(args: &[&Path]) -> Command {
    let mut c = Command::new(HIRSEL);
    c.args(args).stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    c
}

fn done(mut c: Command) -> Output {
    let out = c.output().expect("started");
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    out
}

/// Animals and weighings in a book.
fn counts(path: &Path) -> (usize, usize) {
    let book = Book::open_plain(path).unwrap_or_else(|e| panic!("after a kill: {e}"));
    let flock = book.flock();
    book.close().expect("closed");
    (flock.len(), flock.files().map(|f| f.weighings.len()).sum())
}

fn whole(path: &Path) {
    let db = rusqlite::Connection::open(path).expect("opens");
    journal::whole(&db).unwrap_or_else(|e| panic!("after a kill: {e}"));
}

#[test]
fn forty_kills_while_importing() {
    let folder = room();
    let at = |name: &str| folder.path().join(name);
    let (book, animals, more, weighings) =
        (at("a.hirsel"), at("animals.csv"), at("more.csv"), at("weighings.csv"));
    let table = |head: &str, row: &dyn Fn(usize) -> String| {
        (0..ROWS).fold(format!("{head}\n"), |mut text, i| {
            let _ = writeln!(text, "{}", row(i));
            text
        })
    };
    std::fs::write(&animals, table("tag,sex,born", &|i| format!("A{i},ewe,2024-03-01"))).expect("written");
    std::fs::write(&more, table("tag,sex,dam,born", &|i| format!("B{i},ram,A{i},2026-03-01")))
        .expect("written");
    std::fs::write(&weighings, table("tag,on,weight_kg", &|i| format!("A{i},2026-04-01,{}", 50 + i % 20)))
        .expect("written");
    let mut new = hirsel(&[Path::new("new"), &book]);
    new.args(["--flock", "Test flock"]);
    done(new);
    done(hirsel(&[Path::new("import"), &book, Path::new("animals"), &animals]));
    let start = std::fs::read(&book).expect("closed into one file");

    // How long a whole import takes here, so that kills fall all over it.
    let began = Instant::now();
    done(hirsel(&[Path::new("import"), &book, Path::new("animals"), &more]));
    let long = began.elapsed();
    assert_eq!(counts(&book), (2 * ROWS, 0));

    let mut rng = Rng::with_seed(41);
    let (mut none, mut all) = (0, 0);
    for kill in 0..KILLS {
        let (kind, file, after) = if kill % 2 == 0 {
            ("animals", &more, (2 * ROWS, 0))
        } else {
            ("weighings", &weighings, (ROWS, ROWS))
        };
        let _ = std::fs::remove_file(at("a.hirsel-wal"));
        std::fs::write(&book, &start).expect("the book as it was");
        let mut child =
            hirsel(&[Path::new("import"), &book, Path::new(kind), file]).spawn().expect("started");
        std::thread::sleep(long.mul_f64(rng.f64() * 1.1) + Duration::from_micros(rng.u64(..500)));
        let _ = child.kill();
        let out = child.wait_with_output().expect("ended");
        let said = String::from_utf8_lossy(&out.stdout).contains("Wrote");
        let found = counts(&book);
        assert!(found == after || found == (ROWS, 0), "kill {kill}: part of the {kind}: {found:?}");
        assert!(!said || found == after, "kill {kill}: it said so, but the {kind} are not there");
        if found == after {
            all += 1
        } else {
            none += 1
        }
        whole(&book);
        // What was cut short is simply done again.
        if found != after && kill % 8 < 2 {
            done(hirsel(&[Path::new("import"), &book, Path::new(kind), file]));
            assert_eq!(counts(&book), after);
        }
    }
    println!("{KILLS} kills over {long:?}: {none} left nothing, {all} came too late");
    assert!(none >= 5, "kills fell before the end");
}
