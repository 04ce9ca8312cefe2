//! Two copies of one book: what each wrote comes together, what both changed differently is decided by a person.

use hirsel_core::book::{Book, Failed, Other, Side, United};
use hirsel_core::entry::{self, Amended, AnimalDraft, WeighingDraft};
use hirsel_core::flock::Holding;
use hirsel_core::terms::{AnimalId, Moment, Sex, Tag, Weight};
use hirsel_tests::cli::{hirsel, run};
use hirsel_tests::flocks::{Folder, add, day, empty_book, write};
use std::path::{Path, PathBuf};

fn today() -> hirsel_core::terms::Day {
    day("2026-04-10")
}

fn grams(g: i64) -> Weight {
    Weight::from_grams(g).expect("a weight")
}

/// His and hers: a ewe with one weighing in both.
fn pair(folder: &Folder) -> (PathBuf, PathBuf, AnimalId) {
    let mut book = empty_book(folder);
    let ewe = add(&mut book, "0412", Sex::Ewe, "2021-04-02", today());
    weigh(&mut book, ewe, "2026-04-01", 60_000);
    let his = book.path().to_path_buf();
    book.close().expect("closed");
    let hers = folder.path().join("hers.hirsel");
    std::fs::copy(&his, &hers).expect("a copy");
    (his, hers, ewe)
}

fn open(path: &Path, who: &str) -> Book {
    let mut book = Book::open_plain(path).unwrap_or_else(|e| panic!("{e}"));
    book.set_who(who);
    book
}

fn weigh(book: &mut Book, animal: AnimalId, on: &str, g: i64) {
    let draft = WeighingDraft { animal, at: Moment::day(day(on)), weight: grams(g), note: None };
    let check = entry::weighings(vec![draft], &book.flock(), today());
    write(book, check);
}

/// The first weighing of the ewe is changed.
fn reweigh(book: &mut Book, ewe: AnimalId, change: impl Fn(&mut hirsel_core::flock::Weighing)) {
    let mut w = book.flock().file(ewe).expect("the ewe").weighings[0].clone();
    change(&mut w);
    let check = entry::amend(Amended::Weighing(w), "misread", &book.flock(), today());
    write(book, check);
}

fn unite(book: &mut Book, other: &Path) -> Result<United, Failed> {
    let other = Other::read(book.path(), other)?;
    book.unite(&other)
}

fn would(book: &mut Book, other: &Path) -> Result<United, Failed> {
    let other = Other::read(book.path(), other)?;
    book.would_unite(&other)
}

fn tag(text: &str) -> Tag {
    Tag::parse(text).expect("a tag")
}

#[test]
fn both_days_come_together_and_are_parted_again() {
    let folder = Folder::new();
    let (his, hers, ewe) = pair(&folder);
    let mut hers_book = open(&hers, "Siân");
    weigh(&mut hers_book, ewe, "2026-04-08", 61_000);
    reweigh(&mut hers_book, ewe, |w| w.note = Some("wet fleece".into()));
    hers_book.close().expect("closed");
    let mut book = open(&his, "Ida");
    weigh(&mut book, ewe, "2026-04-09", 61_500);
    reweigh(&mut book, ewe, |w| w.weight = grams(59_500));
    let united = unite(&mut book, &hers).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!((united.by.clone(), united.conflicts, united.only_here), (vec![("Siân".into(), 2)], 0, 2));
    let flock = book.flock();
    let f = flock.file(ewe).expect("the ewe");
    let all: Vec<(String, i64)> =
        f.weighings.iter().map(|w| (w.at.day.to_string(), w.weight.grams())).collect();
    let expected = [("2026-04-01", 59_500), ("2026-04-08", 61_000), ("2026-04-09", 61_500)];
    assert_eq!(all, expected.map(|(d, g)| (d.to_string(), g)));
    assert_eq!(f.weighings[0].note.as_deref(), Some("wet fleece"), "different fields are both kept");
    assert_eq!(flock.amendments(hirsel_core::flock::RecordRef::Weighing(f.weighings[0].id)).len(), 2);
    assert_eq!(book.undoable().as_deref(), Some("Brought together with hers.hirsel: 2 lines by Siân"));
    assert_eq!(unite(&mut book, &hers).map(|u| u.lines()).ok(), Some(0), "a second time brings nothing");
    book.undo().expect("undone").expect("something");
    assert_eq!(book.flock().file(ewe).map(|f| f.weighings.len()), Some(2));
    assert_eq!(book.redoable(), None, "it is brought together again, not redone");
    unite(&mut book, &hers).expect("again");
    assert_eq!(book.flock().file(ewe).map(|f| f.weighings.len()), Some(3));
}

#[test]
fn what_both_changed_is_shown_and_decided() {
    let folder = Folder::new();
    let (his, hers, ewe) = pair(&folder);
    let mut hers_book = open(&hers, "Siân");
    reweigh(&mut hers_book, ewe, |w| w.weight = grams(62_000));
    hers_book.close().expect("closed");
    let mut book = open(&his, "Ida");
    reweigh(&mut book, ewe, |w| w.weight = grams(58_000));
    assert_eq!(would(&mut book, &hers).map(|u| u.conflicts).ok(), Some(1));
    assert!(book.conflicts().expect("read").is_empty(), "nothing is written by looking");
    unite(&mut book, &hers).expect("together");
    let all = book.conflicts().expect("read");
    let [one] = all.as_slice() else { panic!("{all:?}") };
    assert_eq!((one.what.as_str(), one.field.as_str()), ("weighing of 0412", "weight"));
    let side = |v: &hirsel_core::book::ConflictValue| (v.words.clone(), v.who.clone());
    assert_eq!(side(&one.ours), ("58.0 kg".into(), "Ida".into()));
    assert_eq!(side(&one.theirs), ("62.0 kg".into(), "Siân".into()));
    let weight = |book: &Book| book.flock().file(ewe).map(|f| f.weighings[0].weight.grams());
    let (other, g) = match one.stands {
        Side::Ours => (Side::Theirs, 62_000),
        Side::Theirs => (Side::Ours, 58_000),
    };
    book.decide(one.id, other, "looked at the slip").expect("decided");
    assert_eq!(weight(&book), Some(g));
    assert!(book.conflicts().expect("read")[0].decided);
    book.undo().expect("undone");
    assert!(!book.conflicts().expect("read")[0].decided, "an undone decision is none");
    book.redo().expect("redone");
    book.close().expect("closed");
    // The decision goes to the other copy and is not asked there again.
    let mut hers_book = open(&hers, "Siân");
    assert_eq!(
        unite(&mut hers_book, &his).map(|u| u.conflicts).ok(),
        Some(0),
        "he knew of hers when he decided"
    );
    assert_eq!(weight(&hers_book), Some(g));
}

#[test]
fn one_tag_on_two_animals_and_a_record_of_one_taken_back() {
    let folder = Folder::new();
    let (his, hers, _) = pair(&folder);
    let lamb = |book: &mut Book| {
        let draft = AnimalDraft::new(tag("2601"), Sex::Ram);
        let id = draft.id;
        let check = entry::animals(vec![draft], &book.flock(), today());
        write(book, check);
        id
    };
    let mut hers_book = open(&hers, "Siân");
    lamb(&mut hers_book);
    hers_book.close().expect("closed");
    let mut book = open(&his, "Ida");
    lamb(&mut book);
    let united = unite(&mut book, &hers).expect("together");
    assert_eq!(united.mended.len(), 1);
    assert!(united.mended[0].starts_with("two animals wear the tag 2601: one is written 2601 (2) now"));
    let flock = book.flock();
    assert!(flock.by_tag("2601").is_some() && flock.by_tag("2601 (2)").is_some());
    book.close().expect("closed");

    // She takes her lamb back; he has weighed it meanwhile.
    let mut book = open(&his, "Ida");
    let theirs = ["2601", "2601 (2)"].map(|t| book.flock().by_tag(t).expect("worn"));
    for id in theirs {
        weigh(&mut book, id, "2026-04-09", 4_200);
    }
    book.close().expect("closed");
    let mut hers_book = open(&hers, "Siân");
    hers_book.undo().expect("undone");
    hers_book.close().expect("closed");
    let mut book = open(&his, "Ida");
    let united = unite(&mut book, &hers).expect("together");
    assert!(united.mended.iter().any(|m| m.contains("it is there again")), "{:?}", united.mended);
    let flock = book.flock();
    assert!(
        theirs.iter().all(|id| flock.file(*id).is_some_and(|f| f.weighings.len() == 1)),
        "nothing is lost"
    );
}

#[test]
fn what_is_no_copy_is_refused() {
    let folder = Folder::new();
    let (his, hers, _) = pair(&folder);
    let other = folder.path().join("other.hirsel");
    let holding = Holding { flock: "Another".into(), ..Holding::default() };
    Book::create(&other, holding).expect("made").close().expect("closed");
    let mut book = open(&his, "Ida");
    assert!(matches!(unite(&mut book, &other), Err(Failed::NotACopy { .. })));
    let own = book.path().to_path_buf();
    assert!(matches!(unite(&mut book, &own), Err(Failed::NotACopy { .. })));
    // A copy that is being written in is not read; closed, it is.
    let open_there = open(&hers, "Siân");
    assert!(matches!(unite(&mut book, &hers), Err(Failed::Locked(p)) if p == hers));
    open_there.close().expect("closed");
    assert_eq!(unite(&mut book, &hers).map(|u| u.lines()).ok(), Some(0));
    // Records taken out for good do not come back by the other copy.
    let db = rusqlite::Connection::open(&hers).expect("opens");
    db.execute(
        "insert into journal_entry (id, at, who, kind, what, clock) values (randomblob(16), '2026-04-10', 'x', 'purge', 'y', 9)",
        [],
    )
    .expect("a line");
    drop(db);
    let e = unite(&mut book, &hers).expect_err("refused").to_string();
    assert!(e.starts_with("records were taken out for good in one of the copies and not in "), "{e}");
    let mend = ": bringing them together would bring them back. Take the same out there first, by the same day, or make that copy anew from this one";
    assert!(e.ends_with(mend), "{e}");
    // A damaged file is told by the name the keeper knows.
    let len = std::fs::metadata(&hers).expect("there").len();
    std::fs::OpenOptions::new().write(true).open(&hers).and_then(|f| f.set_len(len / 2)).expect("cut");
    let e = unite(&mut book, &hers).expect_err("refused").to_string();
    assert!(e.contains("hers.hirsel is damaged or was cut short"), "{e}");
}

#[test]
fn on_the_command_line() {
    let folder = Folder::new();
    let (his, hers, ewe) = pair(&folder);
    for (path, who, g) in [(&hers, "Siân", 62_000), (&his, "Ida", 58_000)] {
        let mut book = open(path, who);
        book.set_clock(Some("2026-04-10 21:05:00"));
        reweigh(&mut book, ewe, |w| w.weight = grams(g));
        book.close().expect("closed");
    }
    let his = his.file_name().expect("a name").to_string_lossy().into_owned();
    let said = |args: &[&str]| {
        let mut call = hirsel(folder.path());
        call.args(["merge", &his]).args(args);
        let done = run(call);
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        String::from_utf8_lossy(&done.stdout).into_owned()
    };
    let would = said(&["hers.hirsel", "--dry-run"]);
    let line = "  2026-04-10 21:05  Amended weighing of 0412\n";
    let here = "1 line of this copy the other does not have: bring this one in there as well\n";
    assert_eq!(would, format!("Would bring: 1 line by Siân; 1 thing to decide\n{line}{here}"));
    let done = said(&["hers.hirsel", "--who", "Ida"]);
    assert!(
        done.starts_with(&format!(
            "Brought: 1 line by Siân; 1 thing to decide\n{line}{here}1 thing to decide:\n"
        )),
        "{done}"
    );
    let list = said(&["--list"]);
    assert!(list.contains("  1  weighing of 0412, weight\n") && list.contains("(holds for now)"), "{list}");
    assert!(list.contains("       ours    58.0 kg, by Ida on 2026-04-10 21:05"), "{list}");
    assert_eq!(
        said(&["--decide", "1 theirs", "--reason", "the slip says so"]),
        "Decided for weighing of 0412, weight: 62.0 kg\n"
    );
    assert_eq!(said(&["--list"]), "Nothing is to be decided\n");
}
