//! Books from strangers: files that look like a book and hold something else besides. Each is refused by name before a row
//! of it is read, nothing of it is run, and nothing else is written; or what is wrong with it is told.
//!
//! What SQLite itself advises for files from outside: <https://www.sqlite.org/security.html>, section 'Untrusted SQLite
//! Database Files'.

use hirsel_core::book::{Book, Failed};
use hirsel_tests::acts::entry;
use hirsel_tests::book::{new_book, room};
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use tempfile::TempDir;

const HIRSEL: &str = env!("CARGO_BIN_EXE_hirsel-whole");

/// A closed book with some animals and records in it.
fn written() -> (TempDir, PathBuf) {
    let folder = room();
    let mut book = new_book(folder.path());
    let mut rng = fastrand::Rng::with_seed(21);
    for n in 1..40 {
        let (_, check) = entry(&mut rng, &book.flock(), n);
        book.write(check.expect("an entry").despite("made up").expect("sure")).expect("written");
    }
    let path = book.path().to_path_buf();
    book.close().expect("closed");
    (folder, path)
}

/// Statements run on the file by somebody who may do anything to it.
fn altered(path: &Path, sql: &str) {
    let db = Connection::open(path).expect("opens");
    db.pragma_update(None, "foreign_keys", false).expect("set");
    db.execute_batch(sql).unwrap_or_else(|e| panic!("{sql}: {e}"));
    assert!(!sql.starts_with("update") || db.changes() == 1, "{sql} met no row");
}

/// The same to the words of its layout.
fn relaid(path: &Path, table: &str, from: &str, to: &str) {
    let db = Connection::open(path).expect("opens");
    db.execute_batch("pragma writable_schema = on").expect("set");
    let sql = "update sqlite_schema set sql = replace(sql, ?1, ?2) where name = ?3";
    let before: String = db
        .query_row("select sql from sqlite_schema where name = ?1", [table], |r| r.get(0))
        .expect("a table");
    db.execute(sql, [from, to, table]).expect("changed");
    assert!(before.contains(from), "{before}");
}

fn refused(path: &Path, says: &str) {
    let bytes = std::fs::read(path).expect("read");
    let told = Book::open_plain(path).expect_err(says);
    assert!(matches!(told, Failed::Foreign { .. }), "{says}: {told}");
    let text = told.to_string();
    assert!(text.contains(says) && text.lines().count() == 1, "{says}: {text}");
    assert_eq!(std::fs::read(path).expect("read"), bytes, "{says}: untouched");
}

#[test]
fn what_is_not_ours_in_a_layout_is_refused_by_name() {
    for (sql, says) in [
        (
            "create trigger sneak after insert on weighing begin delete from treatment; end",
            "the trigger 'sneak'",
        ),
        ("drop table remark; create view remark as select * from animal", "the view 'remark'"),
        ("create view all_of_it as select * from animal", "the view 'all_of_it'"),
        ("create virtual table words using fts5(x)", "the virtual table 'words'"),
        ("create virtual table pages using dbstat", "the virtual table 'pages'"),
        ("create table more (x)", "the table 'more'"),
        ("create index by_pen on animal (pen)", "the index 'by_pen'"),
        ("alter table remark add column mood text", "its table 'remark'"),
        ("alter table remark rename column text to words", "its table 'remark'"),
        (
            "drop index identity_worn; create index identity_worn on identity (kind, norm)",
            "its index 'identity_worn'",
        ),
        ("analyze", "the table 'sqlite_stat1'"),
        ("create table \"a\nb\u{1b}[2J\" (x)", "the table 'a?b?[2J'"),
    ] {
        let (_folder, path) = written();
        altered(&path, sql);
        refused(&path, says);
    }
}

#[test]
fn what_a_layout_would_run_is_never_run() {
    for (table, from, to) in [
        (
            "remark",
            "struck_on text",
            "struck_on text, x text generated always as (load_extension('evil')) virtual",
        ),
        ("remark", "struck_on text", "struck_on text, check (load_extension('evil') is null)"),
        ("remark", "text text not null", "text text not null default (hex(zeroblob(900000000)))"),
        ("animal", "status text not null", "status text not null collate rtrim"),
        ("weighing", "check (weight_g > 0)", "check (weight_g > 0 or 1)"),
        ("weighing", "references animal (id)", "references animal (id) on delete cascade"),
        ("weighing", ") strict, without rowid", ") without rowid"),
        ("animal_dam", "where dam is not null", "where zeroblob(900000000) is not null"),
    ] {
        let (_folder, path) = written();
        relaid(&path, table, from, to);
        let bytes = std::fs::read(&path).expect("read");
        // Some of it SQLite itself will not even take up into a layout.
        let told = Book::open_plain(&path).expect_err(to);
        assert!(matches!(told, Failed::Foreign { .. } | Failed::Damaged { .. }), "{to}: {told:?}");
        assert!(told.to_string().contains(table), "{to}: {told}");
        assert_eq!(std::fs::read(&path).expect("read"), bytes, "{to}: untouched");
    }
}

#[test]
fn a_layout_with_something_missing_is_damaged() {
    for (sql, says) in [
        ("drop index weighing_animal", "its index 'weighing_animal' is missing"),
        ("drop table remark", "its index 'remark_animal' is missing"),
        ("drop table pen_check", "its table 'pen_check' is missing"),
        ("drop table pen_place", "its table 'pen_place' is missing"),
        ("pragma user_version = 3", "none of its own"),
        ("pragma user_version = 0", "is not a Hirsel book"),
        ("pragma user_version = -5", "damaged"),
    ] {
        let (_folder, path) = written();
        altered(&path, sql);
        let told = Book::open_plain(&path).expect_err(says).to_string();
        assert!(told.contains(says), "{sql}: {told}");
    }
}

/// Refused on opening, or the whole test tells it. Gives the words.
fn told(path: &Path) -> Vec<String> {
    match Book::open_plain(path) {
        Err(e) => vec![e.to_string()],
        Ok(book) => {
            let report = book.check(&|_| {}).unwrap_or_else(|e| panic!("{e}"));
            assert!(!report.whole, "{:?}", report.lines);
            report.lines
        }
    }
}

#[test]
fn values_that_cannot_be_are_told() {
    let mut untold = Vec::new();
    let first = "where id = (select min(id) from";
    for (sql, says) in [
        (format!("update remark set text = cast(x'41ff42' as text) {first} remark)"), "utf-8"),
        (format!("update remark set text = cast(x'410042' as text) {first} remark)"), "Remark"),
        (format!("update weighing set on_day = '2026-02-31' {first} weighing)"), "2026-02-31"),
        (format!("update weighing set on_day = '99999-01-01' {first} weighing)"), "99999-01-01"),
        (format!("update weighing set on_day = '' {first} weighing)"), "weighing"),
        (
            format!("update weighing set weight_g = 9223372036854775807 {first} weighing)"),
            "weight of a weighing",
        ),
        (format!("update animal set birth_weight_g = -5 {first} animal)"), "Animal"),
        (format!("update animal set birth_weight_g = -9223372036854775808 {first} animal)"), "Animal"),
        (format!("update animal set birth_type = 40000000000 {first} animal)"), "40000000000"),
        (format!("update animal set status = 'eaten' {first} animal)"), "eaten"),
        (format!("update animal set dam = id {first} animal)"), "nimal"),
        (format!("update treatment set meat = 'soon' {first} treatment)"), "soon"),
    ] {
        let (_folder, path) = written();
        altered(&path, &sql);
        let lines = told(&path);
        if !lines.iter().any(|l| l.contains(says)) {
            untold.push(format!("{sql}: {lines:?}"));
        }
    }
    assert!(untold.is_empty(), "{}", untold.join("\n"));
}

#[test]
fn values_of_another_kind_than_their_column_are_told() {
    for (column, value) in [
        ("weight_g", "'heavy'"),
        ("weight_g", "12.5"),
        ("on_day", "20260401"),
        ("animal", "'0412'"),
        ("note", "x'00'"),
    ] {
        let (_folder, path) = written();
        let strict = [(") strict, without rowid", ") without rowid")];
        for (from, to) in strict {
            relaid(&path, "weighing", from, to);
            altered(
                &path,
                &format!("update weighing set {column} = {value} where id = (select min(id) from weighing)"),
            );
            relaid(&path, "weighing", to, from);
        }
        let lines = told(&path);
        assert!(lines.iter().any(|l| l.contains("weighing")), "{column} {value}: {lines:?}");
    }
}

/// What a program of its own says of a file, within a bound of memory: exit code and words. The kernel ends what goes
/// beyond.
fn within(path: &Path, megabytes: usize) -> (Option<i32>, String) {
    let script = format!("ulimit -v {}; exec \"$0\" check \"$1\"", megabytes * 1024);
    let mut child = Command::new("sh");
    child.args(["-c", &script, HIRSEL]).arg(path).stdin(Stdio::null());
    child.env("HIRSEL_HOME", path.with_file_name("home"));
    let out = child.output().expect("started");
    (out.status.code(), String::from_utf8_lossy(&[out.stdout, out.stderr].concat()).into_owned())
}

/// Address space, of which the threads' stacks and the program itself take the most.
const MEGABYTES: usize = 1024;

#[test]
fn giant_claims_are_refused_in_bounded_memory() {
    let (_folder, path) = written();
    let whole = within(&path, MEGABYTES);
    assert_eq!(whole.0, Some(0), "the bound leaves room for a book: {}", whole.1);
    let size = std::fs::metadata(&path).expect("there").len();

    // A text longer than any of ours.
    let (_folder, path) = written();
    altered(
        &path,
        "update remark set text = hex(zeroblob(50000000)) where id = (select min(id) from remark)",
    );
    let (code, text) = within(&path, MEGABYTES);
    assert_eq!(code, Some(2), "{text}");
    assert!(text.contains("longer than any that Hirsel writes"), "{text}");

    // More pages than there are, with a log beside it or without.
    let (_folder, path) = written();
    let bytes = std::fs::read(&path).expect("read");
    let mut many = bytes.clone();
    many[28..32].copy_from_slice(&u32::MAX.to_be_bytes());
    std::fs::write(&path, &many).expect("written");
    let (code, text) = within(&path, MEGABYTES);
    assert!(code == Some(2) && text.contains("bytes are missing at its end"), "{text}");
    let log = path.with_file_name("a.hirsel-wal");
    std::fs::write(&log, vec![0x37; 100_000]).expect("written");
    let (code, text) = within(&path, MEGABYTES);
    assert!(matches!(code, Some(0..=2)), "{code:?} {text}");
    assert!(std::fs::metadata(&path).expect("there").len() < size * 4, "it did not grow");

    // Every table's pages strung to one: rows without end.
    let (_folder, path) = written();
    let db = Connection::open(&path).expect("opens");
    let roots: Vec<usize> = db
        .prepare("select rootpage from sqlite_schema where rootpage > 0")
        .and_then(|mut s| s.query_map([], |r| r.get::<_, i64>(0).map(|n| n as usize))?.collect())
        .expect("roots");
    drop(db);
    let bytes = std::fs::read(&path).expect("read");
    for root in roots {
        let mut strung = bytes.clone();
        let page = &mut strung[(root - 1) * 4096..root * 4096];
        // An inner page whose 300 children are all the next page, and that one the same again.
        page.fill(0);
        page[0] = 5;
        page[3..5].copy_from_slice(&300u16.to_be_bytes());
        page[8..12].copy_from_slice(&(root as u32 % 20 + 2).to_be_bytes());
        for i in 0..300usize {
            let at = 1000 + i * 5;
            page[12 + i * 2..14 + i * 2].copy_from_slice(&(at as u16).to_be_bytes());
            page[at..at + 4].copy_from_slice(&(root as u32 % 20 + 2).to_be_bytes());
            page[at + 4] = 1;
        }
        std::fs::write(&path, &strung).expect("written");
        match Book::open_plain(&path) {
            Err(e) => assert!(matches!(e, Failed::Damaged { .. }), "page {root}: {e}"),
            Ok(book) => assert!(!book.check(&|_| {}).is_ok_and(|r| r.whole), "page {root}"),
        }
    }
}
