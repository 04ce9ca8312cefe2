//! Bits that turn over, one in each of many copies of a book, in every kind of page: found on opening, found by the whole
//! test, or of no consequence. Never a panic, never another answer without a word.

use super::many;
use fastrand::Rng;
use hirsel_core::book::{Book, backup_folder};
use hirsel_core::exchange::{Kind, export};
use hirsel_core::terms::Day;
use hirsel_tests::book::{Laid, room};
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

/// Pages by what they belong to, as SQLite itself tells.
fn pages(path: &Path) -> BTreeMap<String, Vec<usize>> {
    let db = rusqlite::Connection::open(path).expect("opens");
    let count = db.pragma_query_value(None, "page_count", |r| r.get::<_, i64>(0)).expect("a number") as usize;
    let mut all: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    let mut statement = db.prepare("select name || ' ' || pagetype, pageno from dbstat").expect("dbstat");
    let mut rows = statement.query([]).expect("rows");
    let mut seen = vec![false; count + 1];
    while let Some(r) = rows.next().expect("a row") {
        let page = r.get::<_, i64>(1).expect("a page") as usize;
        seen[page] = true;
        all.entry(r.get(0).expect("a name")).or_default().push(page);
    }
    let free: Vec<usize> = (1..=count).filter(|p| !seen[*p]).collect();
    if !free.is_empty() {
        all.insert("free pages".into(), free);
    }
    all
}

/// Everything a keeper can read in a book.
fn told(book: &Book) -> (Vec<String>, String) {
    let flock = book.flock();
    let tables = Kind::ALL.iter().map(|k| export(*k, &flock)).collect();
    (tables, format!("{:?}", book.history(u32::MAX).expect("read")))
}

#[derive(Debug, PartialEq, Eq, PartialOrd, Ord, Clone, Copy)]
enum Outcome {
    OnOpening,
    ByTheWholeTest,
    Harmless,
    Silent,
    Panicked,
}

#[test]
fn a_bit_that_turned_over_is_told_or_harmless() {
    let folder = room();
    let path = folder.path().join("a.hirsel");
    let today = Day::parse_iso("2026-04-10").expect("a day");
    let mut book = Book::create(&path, hirsel_demo::holding()).expect("made");
    let spec = hirsel_demo::Spec { ewes: 5, seasons: 2, seed: 11 };
    hirsel_demo::make(&mut book, &spec, today, &mut |_| {}).expect("a flock");
    book.close().expect("closed");
    let (laid, said) = {
        let book = Book::open(&path).expect("opens, and keeps a copy");
        let both = (Laid::out(&book.flock()), told(&book));
        let report = book.check(&|_| {}).expect("read");
        assert!(report.whole, "{:?}", report.lines);
        book.close().expect("closed");
        both
    };
    assert!(backup_folder(&path).is_dir());
    let bytes = std::fs::read(&path).expect("read");
    let size = 4096;
    let kinds: Vec<(String, Vec<usize>)> = pages(&path).into_iter().collect();
    let mut rng = Rng::with_seed(77);
    let times = many(60, 500);
    let mut outcomes: BTreeMap<Outcome, usize> = BTreeMap::new();
    let mut bad: Vec<String> = Vec::new();
    std::panic::set_hook(Box::new(|_| {}));
    for n in 0..times {
        let (kind, of) = &kinds[n % kinds.len()];
        let page = of[rng.usize(..of.len())];
        let mut at = (page - 1) * size + rng.usize(..size);
        // Most of a small book's pages is room yet to be used, where nothing can go wrong: three in four fall elsewhere.
        for _ in 0..if n % 4 == 0 { 0 } else { 200 } {
            if bytes[at] == 0 {
                at = (page - 1) * size + rng.usize(..size);
            }
        }
        let bit = rng.u32(..8);
        let mut spoilt = bytes.clone();
        spoilt[at] ^= 1 << bit;
        std::fs::write(&path, &spoilt).expect("written");
        let outcome = catch_unwind(AssertUnwindSafe(|| {
            let Ok(book) = Book::open_plain(&path) else { return Outcome::OnOpening };
            match book.check(&|_| {}) {
                Err(_) => return Outcome::ByTheWholeTest,
                Ok(report) if !report.whole => return Outcome::ByTheWholeTest,
                Ok(_) => {}
            }
            let same = told(&book) == said && Laid::out(&book.flock()).difference(&laid).is_none();
            if same { Outcome::Harmless } else { Outcome::Silent }
        }))
        .unwrap_or(Outcome::Panicked);
        if matches!(outcome, Outcome::Silent | Outcome::Panicked) {
            bad.push(format!("{outcome:?}: bit {bit} of byte {at}, page {page}, {kind}"));
        }
        *outcomes.entry(outcome).or_default() += 1;
        let _ = std::fs::remove_file(path.with_extension("hirsel-wal"));
    }
    let _ = std::panic::take_hook();
    println!("{times} bits over {} kinds of pages: {outcomes:?}", kinds.len());
    assert!(bad.is_empty(), "{}", bad.join("\n"));
    let found =
        [Outcome::OnOpening, Outcome::ByTheWholeTest].map(|o| outcomes.get(&o).copied().unwrap_or_default());
    assert!(found.iter().all(|n| *n > times / 20), "both looks find something: {outcomes:?}");
}
