//! Large made-up books for the benches, made once and kept in the target folder until a bench is built anew.

use hirsel_core::book::Book;
use hirsel_core::terms::Day;
use hirsel_demo::{Spec, holding, make};
use std::path::{Path, PathBuf};

/// What the program takes its memory from.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Ewes over five seasons that come to about 2,000 animals.
#[allow(dead_code)] // the frames need a large one alone
pub const SMALL: u32 = 190;

/// The day the books end on.
pub fn today() -> Day {
    Day::parse_iso("2026-04-03").expect("a day")
}

/// Ewes for a large book; a small one when benches are only tried out (`cargo test --benches`).
pub fn unless_tried(ewes: u32) -> u32 {
    if std::env::args().any(|a| a == "--bench") { ewes } else { 12 }
}

fn folder() -> &'static Path {
    Path::new(env!("CARGO_TARGET_TMPDIR"))
}

/// The book of a flock of so many ewes over five seasons.
pub fn book(ewes: u32) -> PathBuf {
    let path = folder().join(format!("made-{ewes}.hirsel"));
    let changed = |p: &Path| p.metadata().and_then(|m| m.modified()).ok();
    let built = std::env::current_exe().ok().and_then(|p| changed(&p));
    if changed(&path).is_some_and(|at| built.is_none_or(|b| b < at)) {
        return path;
    }
    let half = path.with_extension("half");
    for old in [&half, &path] {
        let _ = std::fs::remove_file(old);
    }
    eprintln!("Making a flock of {ewes} ewes");
    let mut book = Book::create(&half, holding()).expect("a new book");
    let spec = Spec { ewes, seasons: 5, ..Spec::default() };
    make(&mut book, &spec, today(), &mut |_| {}).expect("a made-up flock");
    eprintln!("{} animals", book.flock().len());
    book.close().expect("a closed book");
    std::fs::rename(&half, &path).expect("a name for the book");
    path
}

/// A fresh copy of a book to write in, looked over whole: the first write of a large book would wait for that.
#[allow(dead_code)] // the papers only read
pub fn copy(of: &Path) -> Book {
    let path = of.with_extension("copy");
    for end in ["", "-wal", "-shm"] {
        let _ = std::fs::remove_file(format!("{}{end}", path.display()));
    }
    std::fs::copy(of, &path).expect("a copy");
    let book = Book::open_plain(&path).expect("a book");
    book.soundness().expect("a whole book");
    book
}
