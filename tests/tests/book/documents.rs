//! Pictures and papers with any record: kept once, followed through merging, undo and two copies, and on the command
//! line.

use hirsel_core::book::{Book, Other};
use hirsel_core::entry::{self, DocumentDraft, MergeDraft, WeighingDraft};
use hirsel_core::flock::{DocumentOf, RecordRef, Sha};
use hirsel_core::terms::{AnimalId, Day, Moment, Sex, Weight};
use hirsel_tests::book::{Laid, read_anew};
use hirsel_tests::cli::{hirsel, run, said};
use hirsel_tests::flocks::{Folder, add, day, empty_book, write};
use hirsel_tests::photo::{TAKEN, holds, photo};
use rusqlite::Connection;
use std::path::Path;

fn today() -> Day {
    day("2026-04-10")
}

fn keep(book: &mut Book, of: impl Into<DocumentOf>, name: &str, bytes: &[u8]) {
    let draft = DocumentDraft { of: of.into(), name: name.into(), bytes: bytes.to_vec().into(), on: None };
    let check = entry::documents(vec![draft], &book.flock(), today());
    write(book, check);
}

fn weigh(book: &mut Book, animal: AnimalId) {
    let weight = Weight::from_grams(60_000).expect("a weight");
    let draft = WeighingDraft { animal, at: Moment::day(today()), weight, note: None };
    let check = entry::weighings(vec![draft], &book.flock(), today());
    write(book, check);
}

fn weighing(book: &Book, animal: AnimalId) -> RecordRef {
    RecordRef::Weighing(book.flock().file(animal).expect("there").weighings[0].id)
}

/// Names of what is kept with something, in order.
fn with(book: &Book, of: impl Into<DocumentOf>) -> Vec<String> {
    book.flock().documents().with(of).map(|d| d.name.clone()).collect()
}

/// How many files lie in the book on the disk.
fn files(path: &Path) -> i64 {
    let room = hirsel_tests::book::room();
    let db = Connection::open(hirsel_tests::book::copy_of(path, room.path())).expect("opens");
    db.query_row("select count(*) from journal_file", [], |r| r.get(0)).expect("a number")
}

const PDF: &[u8] = b"%PDF-1.7\nthe same paper";

#[test]
fn one_file_is_kept_once_with_any_number_of_records() {
    let folder = Folder::new();
    let mut book = empty_book(&folder);
    let ewe = add(&mut book, "0412", Sex::Ewe, "2021-04-02", today());
    let other = add(&mut book, "0413", Sex::Ewe, "2021-04-02", today());
    weigh(&mut book, ewe);
    let weighing = weighing(&book, ewe);
    keep(&mut book, RecordRef::Animal(ewe), "a.pdf", PDF);
    keep(&mut book, RecordRef::Animal(other), "b.pdf", PDF);
    keep(&mut book, weighing, "c.pdf", PDF);
    keep(&mut book, DocumentOf::Holding, "d.pdf", PDF);
    assert_eq!(files(book.path()), 1);
    assert_eq!(book.flock().documents().bytes(), PDF.len() as u64);
    let all = book.flock().documents().all().to_vec();
    assert!(all.iter().all(|d| d.sha == Sha::of(PDF)));
    for d in &all {
        assert_eq!(book.document(d.id).expect("readable").as_deref(), Some(PDF));
    }
    assert_eq!(Laid::out(&book.flock()).difference(&read_anew(book.path())), None);
    let before = Laid::out(&book.flock());
    for _ in 0..4 {
        book.undo().expect("undone").expect("something");
    }
    assert!(book.flock().documents().all().is_empty());
    for _ in 0..4 {
        book.redo().expect("redone").expect("something");
    }
    assert_eq!(before.difference(&Laid::out(&book.flock())), None);
    let report = book.check(&|_| {}).expect("readable");
    assert!(report.whole, "{:?}", report.lines);
    assert!(report.lines.iter().any(|l| l == "Pictures and papers kept: 4"), "{:?}", report.lines);
    assert!(report.lines.iter().any(|l| l.starts_with("Room: ")), "{:?}", report.lines);
}

/// A byte of a kept file changed on the disk, and a file that is gone, are told by name.
#[test]
fn a_damaged_or_lost_file_is_told() {
    let folder = Folder::new();
    let mut book = empty_book(&folder);
    let ewe = add(&mut book, "0412", Sex::Ewe, "2021-04-02", today());
    keep(&mut book, RecordRef::Animal(ewe), "a.pdf", PDF);
    keep(&mut book, RecordRef::Animal(ewe), "b.pdf", b"%PDF-1.7\nanother");
    let path = book.path().to_path_buf();
    book.close().expect("closed");
    let db = Connection::open(&path).expect("opens");
    db.execute(
        "update journal_file set bytes = cast('%PDF-1.7 forged' as blob) where sha = ?1",
        [Sha::of(PDF).0],
    )
    .expect("changed");
    db.execute("delete from journal_file where sha <> ?1", [Sha::of(PDF).0]).expect("deleted");
    drop(db);
    let book = Book::open(&path).expect("opens");
    let report = book.check(&|_| {}).expect("readable");
    assert!(!report.whole);
    for told in [
        "The file of the paper 'a.pdf' is not what was put in: take it from a copy",
        "The paper 'b.pdf' has lost its file: take it from a copy",
    ] {
        assert!(report.lines.iter().any(|l| l == told), "{:?}", report.lines);
    }
}

#[test]
fn papers_follow_two_animals_that_are_made_one() {
    let folder = Folder::new();
    let mut book = empty_book(&folder);
    let ewe = add(&mut book, "0412", Sex::Ewe, "2021-04-02", today());
    let gone = add(&mut book, "K77", Sex::Ewe, "2021-04-02", today());
    weigh(&mut book, gone);
    let weighing = weighing(&book, gone);
    keep(&mut book, RecordRef::Animal(gone), "its own.pdf", PDF);
    keep(&mut book, weighing, "its weight.pdf", PDF);
    let flock = book.flock();
    let animal = |id| flock.animal(id).expect("there");
    let take = entry::merge_usual(animal(ewe), animal(gone), &flock);
    let draft = MergeDraft { keep: ewe, gone, take, reason: "read the chip".into() };
    let merge = entry::merge(draft, &book.flock()).expect("one");
    let written = book.write(merge.despite("seen").expect("a word")).expect("written");
    assert_eq!(with(&book, RecordRef::Animal(ewe)), ["its own.pdf"]);
    assert_eq!(with(&book, weighing), ["its weight.pdf"]);
    assert_eq!(Laid::out(&book.flock()).difference(&read_anew(book.path())), None);
    keep(&mut book, RecordRef::Animal(ewe), "since.pdf", b"%PDF-1.7\nsince");
    book.part_again(written.entry).expect("parted").expect("two");
    assert_eq!(with(&book, RecordRef::Animal(gone)), ["its own.pdf"]);
    assert_eq!(with(&book, RecordRef::Animal(ewe)), ["since.pdf"]);
    assert!(book.check(&|_| {}).expect("readable").whole);
}

/// His and hers of one book with a ewe that was weighed today.
fn pair(folder: &Folder) -> (Book, Book, AnimalId) {
    let mut book = empty_book(folder);
    let ewe = add(&mut book, "0412", Sex::Ewe, "2021-04-02", today());
    weigh(&mut book, ewe);
    let path = book.path().to_path_buf();
    book.close().expect("closed");
    let hers = folder.path().join("hers.hirsel");
    std::fs::copy(&path, &hers).expect("a copy");
    let open = |path: &Path| Book::open_plain(path).unwrap_or_else(|e| panic!("{e}"));
    (open(&path), open(&hers), ewe)
}

#[test]
fn files_come_with_another_copy_once_and_go_with_it() {
    let folder = Folder::new();
    let (mut his, mut hers, ewe) = pair(&folder);
    keep(&mut his, RecordRef::Animal(ewe), "his.pdf", PDF);
    keep(&mut hers, RecordRef::Animal(ewe), "hers.pdf", PDF);
    keep(&mut hers, RecordRef::Animal(ewe), "more.pdf", b"%PDF-1.7\nmore");
    let path = hers.path().to_path_buf();
    hers.close().expect("closed");
    let other = Other::read(his.path(), &path).expect("a copy");
    his.unite(&other).expect("together");
    assert_eq!((his.flock().documents().all().len(), files(his.path())), (3, 2));
    his.undo().expect("undone").expect("something");
    assert_eq!(
        (his.flock().documents().all().len(), files(his.path())),
        (1, 1),
        "only what his own names stays"
    );
    let kept = his.flock().documents().all()[0].id;
    assert_eq!(his.document(kept).expect("readable").as_deref(), Some(PDF));
}

/// What one copy took back and the other keeps a paper with is there again.
#[test]
fn a_record_that_a_paper_is_kept_with_comes_back() {
    let folder = Folder::new();
    let (mut his, mut hers, ewe) = pair(&folder);
    let record = weighing(&his, ewe);
    his.undo().expect("undone").expect("the weighing");
    keep(&mut hers, record, "scale.pdf", PDF);
    let path = hers.path().to_path_buf();
    hers.close().expect("closed");
    let other = Other::read(his.path(), &path).expect("a copy");
    let united = his.unite(&other).expect("together");
    assert_eq!(united.mended.len(), 1, "{united:?}");
    assert_eq!(weighing(&his, ewe), record);
    assert_eq!(with(&his, record), ["scale.pdf"]);
    assert!(his.check(&|_| {}).expect("readable").whole);
}

/// What was brought is undone only after the paper that was kept with it since, and the paper does not come back alone.
#[test]
fn a_paper_goes_before_the_record_it_is_kept_with() {
    let folder = Folder::new();
    let (mut his, mut hers, _) = pair(&folder);
    let second = add(&mut hers, "0413", Sex::Ewe, "2021-04-02", today());
    weigh(&mut hers, second);
    let record = weighing(&hers, second);
    let path = hers.path().to_path_buf();
    hers.close().expect("closed");
    let other = Other::read(his.path(), &path).expect("a copy");
    his.unite(&other).expect("together");
    keep(&mut his, record, "scale.pdf", PDF);
    his.undo().expect("undone").expect("the paper");
    his.redo().expect("redone").expect("the paper");
    assert_eq!(with(&his, record), ["scale.pdf"]);
    his.undo().expect("undone").expect("the paper");
    his.undo().expect("undone").expect("what was brought");
    assert!(his.flock().by_tag("0413").is_none());
    assert_eq!(his.redo().expect("nothing to redo").map(|w| w.sentence), None);
    assert!(his.check(&|_| {}).expect("readable").whole);
}

/// A JPEG whose head claims 65,500 × 65,500 pixels, one that is cut off, and a PDF that is to stand for a ewe.
#[test]
fn what_is_no_picture_for_the_book_is_refused() {
    let folder = Folder::new();
    let mut book = empty_book(&folder);
    let ewe = add(&mut book, "0412", Sex::Ewe, "2021-04-02", today());
    keep(&mut book, RecordRef::Animal(ewe), "a.pdf", PDF);
    let pdf = book.flock().documents().all()[0].id;
    let why = entry::portrait(pdf, &book.flock()).expect_err("no picture")[0].to_string();
    assert_eq!(
        why,
        "'a.pdf' is no picture of the animal itself: keep a picture (PNG or JPEG) with the animal first"
    );
    book.close().expect("closed");
    let whole = photo(60, 40, [40, 90, 40]);
    let mut giant = whole.clone();
    let at = giant.windows(2).position(|w| w == [0xff, 0xc0]).expect("the head of the picture");
    giant[at + 5..at + 9].copy_from_slice(&[0xff, 0xdc, 0xff, 0xdc]);
    std::fs::write(folder.path().join("giant.jpg"), giant).expect("written");
    std::fs::write(folder.path().join("cut.jpg"), &whole[..200]).expect("written");
    for (name, why) in [
        (
            "giant.jpg",
            "'giant.jpg' has 65500 × 65500 pixels, more than the 64 million that are read: make it smaller first",
        ),
        (
            "cut.jpg",
            "the picture 'cut.jpg' is damaged or cut off: open it in a picture program and save it anew",
        ),
    ] {
        let mut call = hirsel(folder.path());
        call.args(["attach", "flock.hirsel", name, "--animal", "0412"]);
        let done = run(call);
        assert_eq!((done.status.code(), said(&done).trim()), (Some(1), format!("hirsel: {why}").as_str()));
    }
}

#[test]
fn the_command_line_keeps_lists_and_gives_back() {
    let folder = Folder::new();
    let mut book = empty_book(&folder);
    let ewe = add(&mut book, "0412", Sex::Ewe, "2021-04-02", today());
    weigh(&mut book, ewe);
    book.close().expect("closed");
    let at = |name: &str| folder.path().join(name);
    std::fs::write(at("ewe.jpg"), photo(2100, 1050, [40, 90, 40])).expect("written");
    std::fs::write(at("letter.pdf"), PDF).expect("written");
    let call = |args: &[&str]| {
        let mut call = hirsel(folder.path());
        call.args(args);
        run(call)
    };
    let done = call(&["attach", "flock.hirsel", "ewe.jpg", "--animal", "0412"]);
    assert!(done.status.success(), "{}", said(&done));
    let text = String::from_utf8_lossy(&done.stdout).into_owned();
    for line in [
        "Picture ewe.jpg kept with 0412",
        "taken 3 Apr 2026: kept under that day",
        "where it was taken is left out",
        "made smaller, 2100 × 1050 to 2000 × 1000 pixels",
    ] {
        assert!(text.lines().any(|l| l == line), "{line} in {text}");
    }
    let to = ["--to", "weighing", "--on", "2026-04-10", "--name", "scale ticket"];
    let done = call(&[&["attach", "flock.hirsel", "letter.pdf", "--animal", "0412"], &to[..]].concat());
    assert!(done.status.success(), "{}", said(&done));
    let done = call(&["attach", "flock.hirsel", "letter.pdf", "--to", "holding"]);
    assert!(done.status.success(), "{}", said(&done));
    // The same file again is asked about, which nobody can answer here.
    let twice = call(&["attach", "flock.hirsel", "letter.pdf", "--to", "holding"]);
    assert_eq!(twice.status.code(), Some(1));
    assert!(said(&twice).contains("letter.pdf is kept there already, byte for byte"), "{}", said(&twice));

    let list = call(&["papers", "flock.hirsel", "--format", "csv"]);
    let text = String::from_utf8_lossy(&list.stdout).into_owned();
    let rows: Vec<&str> = text.lines().collect();
    assert_eq!(rows[0], "number,day,name,kind,bytes,with,struck_out");
    assert!(rows[1].starts_with(&format!("1,{TAKEN},ewe.jpg,jpeg,")), "{text}");
    assert!(
        rows.iter().any(|r| r.contains("scale ticket") && r.contains("\"weighing of 0412, 10 Apr 2026\"")),
        "{text}"
    );
    assert!(rows.iter().any(|r| r.contains("the flock and its keeper")), "{text}");
    let own = call(&["papers", "flock.hirsel", "--animal", "0412", "--format", "csv"]);
    assert_eq!(String::from_utf8_lossy(&own.stdout).lines().count(), 3, "the holding's is not the ewe's");

    let got = call(&["papers", "flock.hirsel", "--get", "1", "-o", "out.jpg"]);
    assert!(got.status.success(), "{}", said(&got));
    let bytes = std::fs::read(at("out.jpg")).expect("written");
    let came = std::fs::read(at("ewe.jpg")).expect("there");
    assert!(holds(&came, b"2026:04:03") && !holds(&bytes, b"2026:04:03") && !holds(&bytes, b"Exif"));
    let pixels = image::load_from_memory(&bytes).expect("a picture");
    assert_eq!((pixels.width(), pixels.height()), (2000, 1000));
    // Kept with its place and its pixels it is the very file.
    let as_it_is =
        ["attach", "flock.hirsel", "ewe.jpg", "--animal", "0412", "--keep-original", "--keep-position"];
    assert!(call(&as_it_is).status.success());
    call(&["papers", "flock.hirsel", "--get", "2", "-o", "same.jpg"]);
    assert_eq!(std::fs::read(at("same.jpg")).expect("written"), came);
    let check = call(&["check", "flock.hirsel"]);
    let text = String::from_utf8_lossy(&check.stdout).into_owned();
    assert!(
        check.status.success() && text.contains("Pictures and papers kept: 4") && text.contains("Room: "),
        "{text}"
    );
}
