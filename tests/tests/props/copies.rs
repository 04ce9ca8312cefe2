//! Two to four copies of one book, each written in by chance and brought together by chance: they come to the same.

use hirsel_core::book::{Book, Other};
use hirsel_tests::book::{Laid, new_book, read_anew, room, rows, today};
use hirsel_tests::maker::{Kind, Maker};
use proptest::prelude::*;
use rusqlite::Connection;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn write(path: &Path, maker: &mut Maker, n: usize, who: &str) -> Result<(), String> {
    let mut book = Book::open_plain(path).map_err(|e| e.to_string())?;
    book.set_who(who);
    for _ in 0..n {
        let kind = if book.flock().len() < 3 { Kind::Animals } else { maker.kind() };
        let Some(sure) = maker.make(kind, &book.flock()) else { continue };
        book.write(sure).map_err(|e| format!("{kind:?}: {e}"))?;
        if maker.one_in(6) {
            // What cannot be undone any more is left.
            let _ = book.undo();
        }
    }
    book.close().map_err(|e| e.to_string())
}

/// Tables and journal that do not agree; other faults may come about where two copies meet.
fn unlike_the_journal(book: &Book) -> Result<(), String> {
    let report = book.check(&|_| {}).map_err(|e| e.to_string())?;
    let says = ["its table", "no line of the journal", "cannot be read", "more differences"];
    let found: Vec<_> = report.lines.iter().filter(|l| says.iter().any(|s| l.contains(s))).collect();
    if found.is_empty() { Ok(()) } else { Err(format!("tables and journal differ: {found:#?}")) }
}

fn unite(at: &Path, other: &Path) -> Result<usize, String> {
    let mut book = Book::open_plain(at).map_err(|e| e.to_string())?;
    let other = Other::read(at, other).map_err(|e| e.to_string())?;
    let would = book.would_unite(&other).map_err(|e| format!("would: {e}"))?;
    let done = book.unite(&other).map_err(|e| e.to_string())?;
    if would != done {
        return Err(format!("what would be brought is not what was: {would:?} and {done:?}"));
    }
    if let Some(how) = Laid::out(&book.flock()).difference(&read_anew(at)) {
        return Err(format!("not the same when read anew: {how}"));
    }
    let report = book.check(&|_| {}).map_err(|e| e.to_string())?;
    // Checks of one copy cannot know of the other: what they would have refused may come about, and is told.
    let broken: Vec<_> =
        report.lines.iter().filter(|l| l.contains("damaged") || l.contains("points to")).collect();
    if !broken.is_empty() {
        return Err(format!("{broken:?}"));
    }
    unlike_the_journal(&book)?;
    book.close().map_err(|e| e.to_string())?;
    Ok(done.lines())
}

/// Ids of the lines that wrote facts.
fn lines(path: &Path) -> BTreeSet<Vec<u8>> {
    let db = Connection::open(path).expect("opens");
    let mut s = db
        .prepare("select id from journal_entry where kind not in ('unite', 'part copies')")
        .expect("a statement");
    let all = s.query_map([], |r| r.get(0)).expect("rows");
    all.collect::<rusqlite::Result<_>>().expect("read")
}

fn same(what: &str, a: &Path, b: &Path) -> Result<(), String> {
    if lines(a) != lines(b) {
        return Err(format!("{what}: other lines"));
    }
    rows(a).difference(&rows(b)).map_or(Ok(()), |how| Err(format!("{what}: {how}")))
}

/// Copies written in and brought together in the given pairs, then all with all until nothing is new.
fn together(seed: u64, copies: usize, meetings: &[(u8, u8)]) -> Result<(), String> {
    let room = room();
    let mut maker = Maker::new(seed, today());
    let first = new_book(room.path());
    let path = first.path().to_path_buf();
    first.close().map_err(|e| e.to_string())?;
    write(&path, &mut maker, 6, "both")?;
    let all: Vec<PathBuf> = (0..copies).map(|n| room.path().join(format!("Copy {n}.hirsel"))).collect();
    for p in &all {
        std::fs::copy(&path, p).map_err(|e| e.to_string())?;
    }
    let mut makers: Vec<Maker> =
        (0..copies).map(|n| Maker::new(seed ^ ((n as u64 + 1) * 7919), today())).collect();
    let mut known: BTreeSet<Vec<u8>> = BTreeSet::new();
    for (a, b) in meetings {
        let (a, b) = (usize::from(*a) % copies, usize::from(*b) % copies);
        for n in [a, b] {
            write(&all[n], &mut makers[n], 2, &format!("keeper {n}"))?;
        }
        if a != b {
            unite(&all[a], &all[b])?;
            if unite(&all[a], &all[b])? != 0 {
                return Err("bringing together twice brings something the second time".into());
            }
        }
        all.iter().for_each(|p| known.extend(lines(p)));
    }
    for n in 0..copies {
        write(&all[n], &mut makers[n], 2, &format!("keeper {n}"))?;
        known.extend(lines(&all[n]));
    }
    for round in 0.. {
        let mut new = 0;
        for a in 0..copies {
            for b in (0..copies).filter(|b| *b != a) {
                new += unite(&all[a], &all[b])?;
            }
        }
        if new == 0 {
            break;
        }
        if round > 6 {
            return Err("they never come to an end".into());
        }
    }
    for p in &all[1..] {
        same("after all met", &all[0], p)?;
    }
    if !known.is_subset(&lines(&all[0])) {
        return Err("a line is lost".into());
    }
    Ok(())
}

/// Two copies that meet once: whichever takes the other in first, both come to the same rows.
fn either_way(seed: u64, n: usize) -> Result<(), String> {
    let room = room();
    let mut maker = Maker::new(seed, today());
    let first = new_book(room.path());
    let path = first.path().to_path_buf();
    first.close().map_err(|e| e.to_string())?;
    write(&path, &mut maker, 8, "both")?;
    let at = |name: &str| room.path().join(format!("{name}.hirsel"));
    std::fs::copy(&path, at("his")).map_err(|e| e.to_string())?;
    std::fs::copy(&path, at("hers")).map_err(|e| e.to_string())?;
    write(&at("his"), &mut Maker::new(seed + 1, today()), n, "he")?;
    write(&at("hers"), &mut Maker::new(seed + 2, today()), n, "she")?;
    for (from, to) in [("his", "his before"), ("hers", "hers before")] {
        std::fs::copy(at(from), at(to)).map_err(|e| e.to_string())?;
    }
    unite(&at("his"), &at("hers before"))?;
    unite(&at("hers"), &at("his before"))?;
    // Lines that mend are each copy's own until they meet again; the rows are the same.
    let one = rows(&at("his"));
    if let Some(how) = one.difference(&rows(&at("hers"))) {
        return Err(how);
    }
    // Taken back, everything is as it was.
    let mut book = Book::open_plain(&at("his")).map_err(|e| e.to_string())?;
    if book.undoable().is_some_and(|w| w.starts_with("Brought together")) {
        book.undo().map_err(|e| e.to_string())?;
        let laid = Laid::out(&book.flock());
        unlike_the_journal(&book).map_err(|e| format!("taking it back: {e}"))?;
        book.close().map_err(|e| e.to_string())?;
        if let Some(how) = rows(&at("his before")).difference(&rows(&at("his"))) {
            return Err(format!("taking it back: {how}"));
        }
        if let Some(how) = laid.difference(&read_anew(&at("his before"))) {
            return Err(format!("the flock after taking it back: {how}"));
        }
        unite(&at("his"), &at("hers before"))?;
        if let Some(how) = one.difference(&rows(&at("his"))) {
            return Err(format!("brought together again: {how}"));
        }
    }
    Ok(())
}

fn config(cases: u32) -> ProptestConfig {
    let given = ProptestConfig::default();
    let cases = if std::env::var_os("PROPTEST_CASES").is_some() { given.cases } else { cases };
    ProptestConfig { cases, max_shrink_iters: 30, failure_persistence: None, ..given }
}

proptest! {
    #![proptest_config(config(6))]

    #[test]
    fn whichever_takes_the_other_in(seed in any::<u32>(), n in 1usize..8) {
        either_way(u64::from(seed), n).map_err(TestCaseError::fail)?;
    }

    #[test]
    fn copies_that_all_meet_are_one_book(
        seed in any::<u32>(),
        copies in 2usize..5,
        meetings in prop::collection::vec((any::<u8>(), any::<u8>()), 1..4),
    ) {
        together(u64::from(seed), copies, &meetings).map_err(TestCaseError::fail)?;
    }
}

/// Meetings that once went wrong: two animals made one on one copy, their standing settled on the other.
#[test]
fn animals_made_one_on_one_copy() {
    either_way(2_207_584_102, 1).unwrap_or_else(|e| panic!("{e}"));
}

/// Meetings of four copies that once came apart: a lamb born dead kept its pen on the copies that took it in.
#[test]
fn a_lamb_born_dead_is_in_no_pen() {
    together(1_566_621_261, 4, &[(250, 174)]).unwrap_or_else(|e| panic!("{e}"));
}
