//! Copies that help: what each holds, compared with the book, beside it, in a second place, under a passphrase; and a book
//! whose indexes are mended. On the command line, and in the core where the line cannot reach.

use hirsel_core::book::{self, Book, Place};
use hirsel_core::entry::{self, WeighingDraft};
use hirsel_core::terms::{Moment, Sex, Weight};
use hirsel_tests::cli::{hirsel, run, said};
use hirsel_tests::flocks::{Folder, add, day, empty_book, write};
use std::path::{Path, PathBuf};
use std::process::Output;

fn call(folder: &Path, words: &[&str]) -> Output {
    let mut call = hirsel(folder);
    call.args(words);
    run(call)
}

fn done(folder: &Path, words: &[&str]) -> String {
    let output = call(folder, words);
    assert_eq!(output.status.code(), Some(0), "{words:?}: {}", said(&output));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn fails(folder: &Path, words: &[&str], code: i32, why: &str) {
    let output = call(folder, words);
    assert_eq!(output.status.code(), Some(code), "{words:?}");
    assert!(said(&output).contains(why), "{words:?}: {}", said(&output));
}

fn weigh(book: &mut Book, tag: &str, on: &str, g: i64) {
    let animal = book.flock().by_tag(tag).expect("an animal");
    let weight = Weight::from_grams(g).expect("a weight");
    let draft = WeighingDraft { animal, at: Moment::day(day(on)), weight, note: None };
    let check = entry::weighings(vec![draft], &book.flock(), day("2026-04-10"));
    write(book, check);
}

/// A closed book with a ewe and a weighing, and a copy of it; then one more weighing in the book.
fn pair(folder: &Folder) -> (PathBuf, PathBuf) {
    let mut book = empty_book(folder);
    add(&mut book, "0412", Sex::Ewe, "2021-04-02", day("2026-04-10"));
    weigh(&mut book, "0412", "2026-04-01", 60_000);
    let copy = folder.path().join("copy.hirsel");
    book.backup(&copy).expect("copied");
    weigh(&mut book, "0412", "2026-04-08", 61_000);
    let path = book.path().to_path_buf();
    book.close().expect("closed");
    (path, copy)
}

#[test]
fn a_copy_is_compared_both_ways() {
    let folder = Folder::new();
    let (path, copy) = pair(&folder);
    let text = done(folder.path(), &["backup", "flock.hirsel", "--compare", "copy.hirsel"]);
    assert!(text.contains("1 line written since; 1 record differs"), "{text}");
    assert!(text.contains("new     weighing of 0412:") && text.contains("weight_g 61000"), "{text}");
    // Hers: a line the book lacks, and a field changed.
    let mut hers = Book::open_plain(&copy).expect("opens");
    let id = hers.flock().by_tag("0412").expect("the ewe");
    let mut w = hers.flock().file(id).expect("the ewe").weighings[0].clone();
    w.weight = Weight::from_grams(60_500).expect("a weight");
    let check = entry::amend(entry::Amended::Weighing(w), "misread", &hers.flock(), day("2026-04-10"));
    write(&mut hers, check);
    hers.close().expect("closed");
    let compared = book::compare_files(&path, &copy).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!((compared.since.len(), compared.only_there.len(), compared.rows.len()), (1, 1, 2));
    assert!(compared.words().ends_with("the copy has 1 line that the book lacks"), "{}", compared.words());
    let changed = compared.rows.iter().find(|r| r.how == "changed").expect("the amended one");
    assert_eq!(changed.words(), "weighing of 0412: weight_g 60500, now 60000");
    let other = Folder::new();
    let strange = empty_book(&other);
    let strange_path = strange.path().to_path_buf();
    strange.close().expect("closed");
    let e = book::compare_files(&path, &strange_path).expect_err("another book");
    assert!(e.to_string().contains("is not a copy of this book"), "{e}");
}

#[test]
fn copies_are_listed_and_restored_beside() {
    let folder = Folder::new();
    let (path, _) = pair(&folder);
    let kept = book::backup_folder(&path);
    std::fs::create_dir_all(&kept).expect("a folder");
    std::fs::copy(&path, kept.join("2026-04-03.hirsel")).expect("copied");
    std::fs::copy(&path, kept.join("before taking out, 2026-04-01.hirsel")).expect("copied");
    std::fs::write(kept.join("2026-04-02.hirsel"), b"a torn page").expect("written");
    let text = done(folder.path(), &["backup", "flock.hirsel", "--list"]);
    let lines: Vec<&str> = text.lines().collect();
    // Opening for an earlier command may have kept one of today besides; here nothing has.
    assert!(lines[0].starts_with("2026-04-03: 1 animal, 4 lines, "), "{text}");
    assert!(
        lines[0].contains(&format!("format {}; last on ", book::FORMAT)) && lines[0].contains("0412"),
        "{text}"
    );
    assert!(lines[1].starts_with("2026-04-02: ") && lines[1].contains("is not a Hirsel book"), "{text}");
    assert!(lines[2].starts_with("before taking out, 2026-04-01: 1 animal"), "{text}");
    let before = std::fs::read(&path).expect("read");
    let made = book::restore_beside(&kept.join("2026-04-03.hirsel"), &path).expect("restored");
    assert_eq!(made, folder.path().join("flock of 2026-04-03.hirsel"));
    let again = book::restore_beside(&kept.join("2026-04-03.hirsel"), &path).expect("restored");
    assert_eq!(again, folder.path().join("flock of 2026-04-03 2.hirsel"));
    assert!(before == std::fs::read(&path).expect("read"), "the book stays as it was");
    assert_eq!(Book::open_plain(&made).expect("opens").flock().len(), 1);
}

#[test]
fn a_second_place_is_written_whole_read_back_and_thinned() {
    let folder = Folder::new();
    let (path, copy) = pair(&folder);
    let stick = folder.path().join("stick");
    assert_eq!(book::place(&stick, &path), Place::NotThere);
    fails(folder.path(), &["backup", "flock.hirsel", "--to", "stick"], 2, "plug the stick in");
    std::fs::create_dir(&stick).expect("a folder");
    assert_eq!(book::place(&stick, &path), Place::There(None));
    let text = done(folder.path(), &["backup", "flock.hirsel", "--to", "stick"]);
    assert!(text.contains("and read it back"), "{text}");
    let opened = Book::open_plain(&path).expect("opens");
    let today = day("2026-11-25");
    for back in (0..60).rev() {
        opened.ready_copy().expect("ready").put(&stick, today.plus(-back)).expect("put");
    }
    assert_eq!(book::place(&stick, &path), Place::There(Some(hirsel_core::terms::Day::today().max(today))));
    let all = book::copies(&book::place_folder(&stick, &path));
    assert!((9..=7 + 4 + 12 + 1).contains(&all.len()), "{}", all.len());
    let held = book::held(&all[0].path).expect("read");
    assert_eq!((held.animals, held.lines), (1, 4));
    // Hers of the same day is not written over.
    let mut hers = Book::open_plain(&copy).expect("opens");
    weigh(&mut hers, "0412", "2026-04-09", 61_500);
    hers.close().expect("closed");
    let day_file = book::place_folder(&stick, &path).join(format!("{today}.hirsel"));
    std::fs::copy(&copy, &day_file).expect("copied");
    let to = opened.ready_copy().expect("ready").put(&stick, today).expect("put");
    assert_eq!(to.file_name().and_then(|n| n.to_str()), Some("2026-11-25 (2).hirsel"));
    assert!(std::fs::read(&copy).expect("read") == std::fs::read(&day_file).expect("read"));
    // No half-written file is left, in either place.
    for place in [folder.path().to_path_buf(), book::place_folder(&stick, &path)] {
        let halves = std::fs::read_dir(place).expect("a folder").flatten();
        assert_eq!(halves.filter(|e| e.file_name().to_string_lossy().contains(".part")).count(), 0);
    }
}

#[test]
fn a_copy_under_a_passphrase_comes_back_with_it_alone() {
    let folder = Folder::new();
    let (path, _) = pair(&folder);
    let at = folder.path();
    std::fs::write(at.join("word"), "hay barn gate moon\n").expect("written");
    std::fs::write(at.join("wrong"), "hay barn gate noon\r\n").expect("written");
    std::fs::write(at.join("short"), "hay\n").expect("written");
    std::fs::write(at.join("empty"), "\n").expect("written");
    fails(at, &["backup", "flock.hirsel", "a.age"], 2, "name a file that holds it with --passphrase-file");
    fails(
        at,
        &["backup", "flock.hirsel", "a.hirsel", "--passphrase-file", "word"],
        2,
        "give it a name that ends in .age",
    );
    fails(
        at,
        &["backup", "flock.hirsel", "a.age", "--passphrase-file", "empty"],
        2,
        "its first line is empty",
    );
    fails(
        at,
        &["backup", "flock.hirsel", "a.age", "--passphrase-file", "short"],
        2,
        "a passphrase needs at least 8 characters",
    );
    assert!(!at.join("a.age").exists());
    let text = done(at, &["backup", "flock.hirsel", "a.age", "--passphrase-file", "word"]);
    assert!(text.contains("closed with the passphrase"), "{text}");
    let sealed = std::fs::read(at.join("a.age")).expect("read");
    assert!(book::is_sealed(&at.join("a.age")) && !sealed.windows(6).any(|w| w == b"SQLite"));
    fails(at, &["backup", "flock.hirsel", "a.age", "--passphrase-file", "word"], 2, "choose another name");
    fails(at, &["restore", "a.age", "new.hirsel"], 2, "is closed with a passphrase");
    fails(
        at,
        &["restore", "a.age", "new.hirsel", "--passphrase-file", "wrong"],
        2,
        "cannot be closed or opened with this passphrase: this is not its passphrase",
    );
    let mut torn = sealed.clone();
    torn.truncate(sealed.len() / 2);
    std::fs::write(at.join("torn.age"), torn).expect("written");
    fails(
        at,
        &["restore", "torn.age", "new.hirsel", "--passphrase-file", "word"],
        2,
        "it is damaged or was cut short",
    );
    assert!(!at.join("new.hirsel").exists());
    done(at, &["restore", "a.age", "new.hirsel", "--passphrase-file", "word"]);
    let animals = done(at, &["export", "flock.hirsel", "animals"]);
    assert_eq!(done(at, &["export", "new.hirsel", "animals"]), animals);
    done(at, &["export", "flock.hirsel", "animals", "-o", "animals.age", "--passphrase-file", "word"]);
    assert!(book::is_sealed(&at.join("animals.age")));
    let left = std::fs::read_dir(at).expect("a folder").flatten();
    assert_eq!(left.filter(|e| e.file_name().to_string_lossy().ends_with(".part")).count(), 0);
    assert!(path.exists());
}

/// The page a tree begins on.
fn root(path: &Path, name: &str) -> usize {
    let db = rusqlite::Connection::open(path).expect("opens");
    db.query_row("select rootpage from sqlite_schema where name = ?1", [name], |r| r.get::<_, i64>(0))
        .expect("a root") as usize
}

#[test]
fn indexes_are_mended_and_records_never_touched() {
    let folder = Folder::new();
    let (path, _) = pair(&folder);
    let at = folder.path();
    let text = done(at, &["check", "flock.hirsel", "--mend"]);
    assert!(
        text.starts_with("There was nothing to mend in the file\n") && text.ends_with("The book is whole\n")
    );
    let animals = done(at, &["export", "flock.hirsel", "weighings"]);
    let whole = std::fs::read(&path).expect("read");
    let strike = |name: &str, with: u8| {
        let page = root(&path, name) - 1;
        let mut bytes = whole.clone();
        bytes[page * 4096..(page + 1) * 4096].fill(with);
        std::fs::write(&path, bytes).expect("written");
    };
    for (name, with) in
        [("weighing_animal", 0xff), ("journal_change_key", 0), ("sqlite_autoindex_journal_entry_1", 7)]
    {
        strike(name, with);
        fails(at, &["check", "flock.hirsel"], 2, "--mend");
        let text = done(at, &["check", "flock.hirsel", "--mend"]);
        assert!(text.starts_with("The indexes were made anew; no record was touched\n"), "{name}: {text}");
        assert!(text.ends_with("The book is whole\n"), "{name}: {text}");
        assert_eq!(done(at, &["export", "flock.hirsel", "weighings"]), animals, "{name}");
        std::fs::write(&path, &whole).expect("as it was");
    }
    let kept = book::copies(&book::backup_folder(&path));
    assert_eq!(
        kept.iter().filter(|c| c.name.starts_with("before mending")).count(),
        3,
        "each time a copy is kept"
    );
    // A table's page is no index: nothing is touched, and what to do is said.
    strike("weighing", 0xff);
    let struck = std::fs::read(&path).expect("read");
    fails(
        at,
        &["check", "flock.hirsel", "--mend"],
        1,
        "records are damaged, nothing was touched: save what can be read",
    );
    assert!(struck == std::fs::read(&path).expect("read"), "not one byte is changed");
    let text = done(at, &["check", "flock.hirsel", "--salvage", "saved.hirsel"]);
    assert!(text.contains("2 records made anew from the journal\nNothing is lost\n"), "{text}");
    assert_eq!(done(at, &["export", "saved.hirsel", "weighings"]), animals);
    fails(at, &["check", "flock.hirsel", "--salvage", "saved.hirsel"], 2, "choose another name");
    assert!(done(at, &["check", "saved.hirsel"]).ends_with("The book is whole\n"));
}
