//! A scribe for the tests that kill it: opens a book and writes without end, saying on standard output what it is
//! about to do (`do 12 write 3`: three records marked 12; `do 13 undo 12`) and, once it is done, `ok 12`.
//!
//! `hirsel-scribe BOOK FIRST-NUMBER [HOW-MANY]`. On a failure it prints the program's own message and exits 2.

use fastrand::Rng;
use hirsel_core::book::{Book, Failed};
use hirsel_tests::acts::entry;
use std::io::Write as _;
use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [path, first, rest @ ..] = args.as_slice() else {
        eprintln!("hirsel-scribe BOOK FIRST-NUMBER [HOW-MANY]");
        return ExitCode::from(2);
    };
    let (Ok(first), Ok(many)) =
        (first.parse::<u64>(), rest.first().map_or(Ok(u64::MAX), |n| n.parse::<u64>()))
    else {
        eprintln!("numbers are needed");
        return ExitCode::from(2);
    };
    match write_on(Path::new(path), first, many) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("{e}");
            ExitCode::from(2)
        }
    }
}

fn say(line: &str) {
    let mut out = std::io::stdout().lock();
    // Nobody listens any more: the test is over.
    if writeln!(out, "{line}").and_then(|()| out.flush()).is_err() {
        std::process::exit(0);
    }
}

fn write_on(path: &Path, first: u64, many: u64) -> Result<(), Failed> {
    let mut book = Book::open_plain(path)?;
    let mut rng = Rng::with_seed(first);
    let mut last_write = None;
    for n in (first..).take(usize::try_from(many).unwrap_or(usize::MAX)) {
        if let Some(m) = last_write.filter(|_| rng.u32(..9) == 0) {
            say(&format!("do {n} undo {m}"));
            book.undo()?;
            last_write = None;
        } else {
            let (records, check) = entry(&mut rng, &book.flock(), n);
            let sure = check
                .unwrap_or_else(|r| panic!("{n}: {}", r[0]))
                .despite("a made-up record")
                .unwrap_or_else(|e| panic!("{e}"));
            say(&format!("do {n} write {records}"));
            book.write(sure)?;
            last_write = Some(n);
        }
        say(&format!("ok {n}"));
    }
    book.close()
}
