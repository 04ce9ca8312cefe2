//! A book made, written, closed, opened, undone and redone.

use super::*;
use crate::entry::{
    AnimalDraft, LambDraft, LambingDraft, StandingDraft, WeighingDraft, animals, lambing, standing, strike,
    weighings,
};
use crate::flock::{RecordRef, Sire};
use crate::terms::{Born, Moment, Sex, Status, Tag, Weight};

fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

const TODAY: &str = "2026-04-10";

fn holding() -> Holding {
    Holding { flock: "Test flock".into(), ..Holding::default() }
}

fn started(dir: &tempfile::TempDir) -> (Book, AnimalId, AnimalId) {
    let mut book = Book::create(&dir.path().join("a.hirsel"), holding()).unwrap();
    let mut ewe = AnimalDraft::new(Tag::parse("0412").unwrap(), Sex::Ewe);
    ewe.born = Born::On(day("2022-03-01"));
    let mut ram = AnimalDraft::new(Tag::parse("R7").unwrap(), Sex::Ram);
    ram.born = Born::On(day("2021-03-01"));
    let ids = (ewe.id, ram.id);
    let sure = animals(vec![ewe, ram], &book.flock(), day(TODAY)).unwrap().sure().unwrap();
    book.write(sure).unwrap();
    (book, ids.0, ids.1)
}

fn twins(book: &Book, ewe: AnimalId, ram: AnimalId) -> Sure {
    let mut a = LambDraft::new(Sex::Ewe);
    a.tag = Some(Tag::parse("0501").unwrap());
    a.weight = Weight::from_grams(4200);
    let draft = LambingDraft {
        ewe,
        at: Moment::day(day("2026-04-03")),
        sire: Sire::Known(ram),
        ease: None,
        help: None,
        note: None,
        pen: Some("Jug 1".into()),
        lambs: vec![a, LambDraft::new(Sex::Ram)],
        foster_on: Vec::new(),
    };
    lambing(draft, &book.flock(), day(TODAY)).unwrap().sure().unwrap()
}

#[test]
fn a_lambing_is_written_read_again_undone_and_redone() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, ewe, ram) = started(&dir);
    let before = book.flock();
    let sure = twins(&book, ewe, ram);
    let written = book.write(sure).unwrap();
    assert_eq!(written.sentence, "Lambing of 0412: twins");
    let after = book.flock();
    assert_eq!(after.len(), 4);
    let file = after.file(ewe).unwrap();
    assert_eq!(file.lambings[0].lambs.len(), 2);
    assert_eq!(file.offspring.len(), 2);
    assert_eq!(file.animal.pen.as_deref(), Some("Jug 1"));
    assert_eq!(after.animal(file.lambings[0].lambs[1]).unwrap().tag(), "0412/26-2");
    assert_eq!(after.file(ram).unwrap().offspring.len(), 2);

    assert_eq!(book.undoable().as_deref(), Some("Lambing of 0412: twins"));
    book.undo().unwrap().unwrap();
    let back = book.flock();
    assert_eq!(back.file(ewe), before.file(ewe));
    assert_eq!(back.file(ram), before.file(ram));
    assert_eq!(back.len(), 2);
    assert_eq!(book.redoable().as_deref(), Some("Lambing of 0412: twins"));
    book.redo().unwrap().unwrap();
    assert_eq!(book.flock().file(ewe), after.file(ewe));
    assert!(book.redo().unwrap().is_none());

    let path = book.path().to_path_buf();
    book.close().unwrap();
    assert!(!backup::sibling(&path, "-wal").exists(), "closed into one file");
    let again = Book::open_plain(&path).unwrap();
    for f in after.files() {
        assert_eq!(again.flock().file(f.animal.id), Some(f), "the same when read anew");
    }
    assert!(again.check(&|_| {}).unwrap().whole);
}

#[test]
fn undo_walks_back_and_a_new_write_ends_redo() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, ewe, _) = started(&dir);
    let weigh = |book: &mut Book, on: &str, kg: i64| {
        let draft = WeighingDraft {
            animal: ewe,
            at: Moment::day(day(on)),
            weight: Weight::from_grams(kg * 1000).unwrap(),
            note: None,
        };
        let sure = weighings(vec![draft], &book.flock(), day(TODAY)).unwrap().despite("right").unwrap();
        book.write(sure).unwrap()
    };
    weigh(&mut book, "2026-01-01", 60);
    weigh(&mut book, "2026-02-01", 61);
    weigh(&mut book, "2026-03-01", 62);
    let count = |b: &Book| b.flock().file(ewe).unwrap().weighings.len();
    book.undo().unwrap().unwrap();
    book.undo().unwrap().unwrap();
    assert_eq!(count(&book), 1);
    book.redo().unwrap().unwrap();
    assert_eq!(count(&book), 2);
    book.undo().unwrap().unwrap();
    assert_eq!(count(&book), 1);
    book.redo().unwrap().unwrap();
    book.redo().unwrap().unwrap();
    assert_eq!(count(&book), 3);
    book.undo().unwrap().unwrap();
    weigh(&mut book, "2026-03-02", 63);
    assert!(book.redo().unwrap().is_none(), "a new write ends redo");
    // Undo goes back to the very start, but not past the book's own first line.
    while book.undo().unwrap().is_some() {}
    assert!(book.flock().is_empty());
    assert_eq!(book.flock().holding().flock, "Test flock");
}

#[test]
fn amending_keeps_the_old_value_and_striking_keeps_the_line() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, ewe, _) = started(&dir);
    let draft = WeighingDraft {
        animal: ewe,
        at: Moment::day(day("2026-01-01")),
        weight: Weight::from_grams(60_000).unwrap(),
        note: None,
    };
    let sure = weighings(vec![draft], &book.flock(), day(TODAY)).unwrap().sure().unwrap();
    book.write(sure).unwrap();
    let mut w = book.flock().file(ewe).unwrap().weighings[0].clone();
    w.weight = Weight::from_grams(66_000).unwrap();
    let new = crate::entry::Amended::Weighing(w.clone());
    assert!(crate::entry::amend(new.clone(), " ", &book.flock(), day(TODAY)).is_err());
    let sure =
        crate::entry::amend(new, "misread the scale", &book.flock(), day(TODAY)).unwrap().sure().unwrap();
    book.write(sure).unwrap();
    let flock = book.flock();
    let trail = flock.amendments(RecordRef::Weighing(w.id));
    assert_eq!(trail.len(), 1);
    assert_eq!(trail[0].reason, "misread the scale");
    assert_eq!(trail[0].fields, vec![("weight".into(), "60.0 kg".into(), "66.0 kg".into())]);

    let sure =
        strike(ewe, RecordRef::Weighing(w.id), "wrong ewe", &flock, day(TODAY)).unwrap().sure().unwrap();
    book.write(sure).unwrap();
    let flock = book.flock();
    let file = flock.file(ewe).unwrap();
    assert_eq!(file.weighings[0].struck.as_deref().unwrap().reason, "wrong ewe");
    assert!(file.weights().is_empty());
    book.undo().unwrap();
    book.undo().unwrap();
    assert!(book.flock().amendments(RecordRef::Weighing(w.id)).is_empty(), "an undone amendment is none");
}

#[test]
fn standing_follows_its_last_movement() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, ewe, _) = started(&dir);
    let go = |book: &mut Book, to, on: &str| {
        let draft = StandingDraft {
            animals: vec![ewe],
            to,
            on: day(on),
            other: None,
            reason: Some("test".into()),
            details: Default::default(),
        };
        let sure = standing(draft, &book.flock(), day(TODAY)).unwrap().despite("yes").unwrap();
        book.write(sure).unwrap();
    };
    go(&mut book, Status::Lent, "2026-01-01");
    go(&mut book, Status::Present, "2026-02-01");
    go(&mut book, Status::Sold, "2026-03-01");
    let m = book.flock().file(ewe).unwrap().movements[2].id;
    assert_eq!(book.flock().animal(ewe).unwrap().status, Status::Sold);
    let sure =
        strike(ewe, RecordRef::Movement(m), "not sold", &book.flock(), day(TODAY)).unwrap().sure().unwrap();
    book.write(sure).unwrap();
    let flock = book.flock();
    let a = flock.animal(ewe).unwrap();
    assert_eq!((a.status, a.status_on), (Status::Present, Some(day("2026-02-01"))));
}

#[test]
fn what_an_animal_came_with_stands_again_when_all_since_is_struck_out() {
    let dir = tempfile::tempdir().unwrap();
    let mut book = Book::create(&dir.path().join("a.hirsel"), holding()).unwrap();
    let mut ram = AnimalDraft::new(Tag::parse("R1").unwrap(), Sex::Ram);
    ram.status = Status::Outside;
    let mut ewe = AnimalDraft::new(Tag::parse("0412").unwrap(), Sex::Ewe);
    ewe.pen = Some("Far field".into());
    let (ram_id, ewe_id) = (ram.id, ewe.id);
    book.write(animals(vec![ram, ewe], &book.flock(), day(TODAY)).unwrap().sure().unwrap()).unwrap();
    let draft = StandingDraft {
        animals: vec![ram_id],
        to: Status::Present,
        on: day(TODAY),
        other: None,
        reason: None,
        details: Default::default(),
    };
    book.write(standing(draft, &book.flock(), day(TODAY)).unwrap().despite("bought").unwrap()).unwrap();
    let draft =
        crate::entry::PenMoveDraft { animals: vec![ewe_id], on: day(TODAY), pen: Some("Jug 1".into()) };
    book.write(crate::entry::pen_move(draft, &book.flock(), day(TODAY)).unwrap().sure().unwrap()).unwrap();
    let flock = book.flock();
    assert_eq!(flock.animal(ram_id).unwrap().status, Status::Present);
    assert_eq!(flock.animal(ewe_id).unwrap().pen.as_deref(), Some("Jug 1"));
    for (id, record) in [
        (ram_id, RecordRef::Movement(flock.file(ram_id).unwrap().movements[0].id)),
        (ewe_id, RecordRef::PenMove(flock.file(ewe_id).unwrap().pen_moves[0].id)),
    ] {
        let sure = strike(id, record, "wrong animal", &book.flock(), day(TODAY)).unwrap().sure().unwrap();
        book.write(sure).unwrap();
    }
    let flock = book.flock();
    assert_eq!(flock.animal(ram_id).unwrap().status, Status::Outside);
    assert_eq!(flock.animal(ewe_id).unwrap().pen.as_deref(), Some("Far field"));
}

#[test]
fn what_could_not_be_read_back_is_not_written() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, ewe, _) = started(&dir);
    let draft = crate::entry::TreatmentDraft {
        animals: vec![ewe],
        at: Moment::day(day(TODAY)),
        product: "Fellmectin".into(),
        batch: None,
        dose: crate::entry::DoseDraft::Typed(None),
        route: None,
        site: None,
        reason: None,
        given_by: None,
        prescribed_by: None,
        meat: Some(crate::terms::Withdrawal::Days(60_000)), // no label says so, and no parser takes it
        milk: None,
        more: Default::default(),
    };
    let before = book.flock();
    let sure = crate::entry::treatments(vec![draft], &before, day(TODAY)).unwrap().sure().unwrap();
    let said = book.write(sure).unwrap_err().to_string();
    assert!(said.contains("nothing was written"), "{said}");
    assert_eq!(book.flock().file(ewe), before.file(ewe));
    let path = book.path().to_path_buf();
    book.close().unwrap();
    assert_eq!(Book::open_plain(&path).unwrap().flock().file(ewe), before.file(ewe));
}

#[test]
fn an_amendment_among_other_entries_keeps_its_trail() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, ewe, _) = started(&dir);
    let weigh = |book: &Book, on: &str| {
        let weight = Weight::from_grams(60_000).unwrap();
        let draft = WeighingDraft { animal: ewe, at: Moment::day(day(on)), weight, note: None };
        weighings(vec![draft], &book.flock(), day(TODAY)).unwrap().sure().unwrap()
    };
    let sure = weigh(&book, "2026-01-01");
    book.write(sure).unwrap();
    let mut w = book.flock().file(ewe).unwrap().weighings[0].clone();
    w.note = Some("wet fleece".into());
    let new = crate::entry::Amended::Weighing(w.clone());
    let amended = crate::entry::amend(new, "forgotten", &book.flock(), day(TODAY)).unwrap().sure().unwrap();
    let sure = weigh(&book, "2026-02-01");
    let written = book.write_many("Two at once", vec![sure, amended]).unwrap();
    assert_eq!(written.flock.amendments(RecordRef::Weighing(w.id)).len(), 1);
}

#[test]
fn every_table_but_the_journals_own_is_recorded() {
    let dir = tempfile::tempdir().unwrap();
    let (book, ..) = started(&dir);
    let tables: Vec<String> = book
        .db
        .prepare("select name from sqlite_schema where type = 'table' and name not like 'sqlite_%'")
        .unwrap()
        .query_map([], |r| r.get(0))
        .unwrap()
        .collect::<rusqlite::Result<_>>()
        .unwrap();
    for t in tables.iter().filter(|t| !t.starts_with("journal_")) {
        let n: i64 = book
            .db
            .query_row(
                "select count(*) from temp.sqlite_schema where type = 'trigger' and name in (?1, ?2, ?3)",
                [format!("j_{t}_i"), format!("j_{t}_u"), format!("j_{t}_d")],
                |r| r.get(0),
            )
            .unwrap();
        assert_eq!(n, 3, "{t} is caught");
        let strict: (i64, i64) = book
            .db
            .query_row(
                "select strict, wr from pragma_table_list where name = ?1 and schema = 'main'",
                [t],
                |r| Ok((r.get(0)?, r.get(1)?)),
            )
            .unwrap();
        assert_eq!(strict, (1, 1), "{t} is strict and without rowid");
    }
}

#[test]
fn files_that_are_no_usable_book_are_told_apart() {
    let dir = tempfile::tempdir().unwrap();
    let (book, ..) = started(&dir);
    let path = book.path().to_path_buf();
    assert!(matches!(Book::open_plain(&path), Err(Failed::Locked(_))));
    book.close().unwrap();
    assert!(matches!(Book::create(&path, holding()), Err(Failed::Exists(_))));
    assert!(matches!(Book::open_plain(&dir.path().join("none.hirsel")), Err(Failed::NotThere(_))));
    let text = dir.path().join("text.hirsel");
    std::fs::write(&text, "a shopping list, long enough to be read as a header").unwrap();
    assert!(matches!(Book::open_plain(&text), Err(Failed::NotABook(_))));
    let bytes = std::fs::read(&path).unwrap();
    let short = dir.path().join("short.hirsel");
    std::fs::write(&short, &bytes[..bytes.len() / 2]).unwrap();
    assert!(matches!(Book::open_plain(&short), Err(Failed::Damaged { .. })));
    let newer = dir.path().join("newer.hirsel");
    std::fs::write(&newer, &bytes).unwrap();
    let c = Connection::open(&newer).unwrap();
    c.pragma_update(None, "user_version", 99).unwrap();
    drop(c);
    assert!(matches!(Book::open_plain(&newer), Err(Failed::TooNew { found: 99, .. })));
    let other = dir.path().join("other.hirsel");
    Connection::open(&other).unwrap().execute_batch("create table t (x); pragma user_version = 0;").unwrap();
    assert!(matches!(Book::open_plain(&other), Err(Failed::NotABook(_))));
}

#[test]
fn a_copy_is_restored_and_what_stood_there_is_kept() {
    let dir = tempfile::tempdir().unwrap();
    let (mut book, ewe, ram) = started(&dir);
    let path = book.path().to_path_buf();
    let copy = dir.path().join("copy.hirsel");
    book.backup(&copy).unwrap();
    let sure = twins(&book, ewe, ram);
    book.write(sure).unwrap();
    assert!(matches!(restore(&copy, &path), Err(Failed::Locked(_))));
    book.close().unwrap();
    restore(&copy, &path).unwrap();
    assert_eq!(Book::open_plain(&path).unwrap().flock().len(), 2);
    assert_eq!(Book::open_plain(&backup::sibling(&path, " before restoring")).unwrap().flock().len(), 4);
}

/// A book of a long journal, closed, and one with a page of that journal spoilt.
fn long_and_spoilt(dir: &tempfile::TempDir) -> (std::path::PathBuf, std::path::PathBuf) {
    let (mut book, ewe, _) = started(dir);
    for n in 0..200 {
        let weight = Weight::from_grams(60_000 + n).unwrap();
        let at = Moment::day(day("2026-01-01").plus(n / 4));
        let draft = WeighingDraft { animal: ewe, at, weight, note: None };
        let sure = weighings(vec![draft], &book.flock(), day(TODAY)).unwrap().despite("right").unwrap();
        book.write(sure).unwrap();
    }
    let whole = book.path().to_path_buf();
    book.close().unwrap();
    let db = Connection::open(&whole).unwrap();
    let sql = "select pageno, pgsize from dbstat where name = 'journal_change' and pagetype = 'leaf' limit 1";
    let (page, size) =
        db.query_row(sql, [], |r| Ok((r.get::<_, u32>(0)? as usize, r.get::<_, u32>(1)? as usize))).unwrap();
    let mut bytes = std::fs::read(&whole).unwrap();
    bytes[(page - 1) * size..page * size].fill(0x5a);
    let spoilt = dir.path().join("spoilt.hirsel");
    std::fs::write(&spoilt, bytes).unwrap();
    (whole, spoilt)
}

#[test]
fn a_large_book_whose_journal_is_damaged_shows_its_flock_and_takes_no_write() {
    let dir = tempfile::tempdir().unwrap();
    let (_, spoilt) = long_and_spoilt(&dir);
    assert!(matches!(Book::open_plain(&spoilt), Err(Failed::Damaged { .. })), "a small one is refused");
    let mut book = Book::open_sized(&spoilt, 0).unwrap();
    let flock = book.flock();
    assert_eq!(flock.len(), 2);
    let sure = || {
        let draft = crate::entry::PenMoveDraft {
            animals: flock.files().map(|f| f.animal.id).collect(),
            on: day(TODAY),
            pen: Some("Jug 1".into()),
        };
        crate::entry::pen_move(draft, &flock, day(TODAY)).unwrap().sure().unwrap()
    };
    for _ in 0..2 {
        assert!(matches!(book.write(sure()), Err(Failed::Damaged { .. })), "refused each time");
    }
    assert!(!book.is_being_looked_over());
    assert!(matches!(book.soundness(), Err(Failed::Damaged { .. })));
    let copy = dir.path().join("copy.hirsel");
    assert!(matches!(book.backup(&copy), Err(Failed::Damaged { .. })), "no copy of a damaged book");
    assert!(!copy.exists());
    drop(book);
    assert!(matches!(Book::open_sized(&spoilt, 0).unwrap().undo(), Err(Failed::Damaged { .. })));
}

/// Rows that can be read one by one, on a page that is not as it says it is.
#[test]
fn a_large_book_whose_records_are_damaged_says_so_to_those_who_only_read() {
    let dir = tempfile::tempdir().unwrap();
    let (whole, _) = long_and_spoilt(&dir);
    let db = Connection::open(&whole).unwrap();
    let sql = "select pageno, pgsize from dbstat where name = 'weighing' and pagetype = 'leaf' limit 1";
    let (page, size) =
        db.query_row(sql, [], |r| Ok((r.get::<_, u32>(0)? as usize, r.get::<_, u32>(1)? as usize))).unwrap();
    drop(db);
    let mut bytes = std::fs::read(&whole).unwrap();
    // The eighth byte of a leaf tells how much of its room is in pieces.
    bytes[(page - 1) * size + 7] += 9;
    let spoilt = dir.path().join("pieces.hirsel");
    std::fs::write(&spoilt, bytes).unwrap();
    assert!(matches!(Book::open_plain(&spoilt), Err(Failed::Damaged { .. })), "a small one is refused");
    let book = Book::open_sized(&spoilt, 0).unwrap();
    assert_eq!(book.flock().files().map(|f| f.weighings.len()).sum::<usize>(), 200);
    for _ in 0..2 {
        assert!(matches!(book.soundness_of_records(), Err(Failed::Damaged { .. })));
    }
    assert!(matches!(book.soundness(), Err(Failed::Damaged { .. })));
    assert!(matches!(book.soundness_of_records(), Err(Failed::Damaged { .. })), "told afterwards, too");
    let whole = Book::open_sized(&whole, 0).unwrap();
    whole.soundness_of_records().unwrap();
    whole.soundness().unwrap();
    whole.soundness_of_records().unwrap();
}

#[test]
fn a_large_book_is_written_copied_and_closed_like_any_other() {
    let dir = tempfile::tempdir().unwrap();
    let (whole, _) = long_and_spoilt(&dir);
    let mut book = Book::open_sized(&whole, 0).unwrap();
    let ewe = book.flock().by_tag("0412").unwrap();
    let draft = crate::entry::PenMoveDraft { animals: vec![ewe], on: day(TODAY), pen: Some("Jug 1".into()) };
    let sure = crate::entry::pen_move(draft, &book.flock(), day(TODAY)).unwrap().sure().unwrap();
    book.write(sure).unwrap();
    book.soundness().unwrap();
    let after = book.flock();
    book.close().unwrap();
    // Closed at once, while it may still be looked over.
    Book::open_sized(&whole, 0).unwrap().close().unwrap();
    drop(Book::open_sized(&whole, 0).unwrap());
    let again = Book::open_sized(&whole, 0).unwrap();
    assert_eq!(again.flock().file(ewe), after.file(ewe));
    assert!(matches!(Book::open_plain(&whole), Err(Failed::Locked(_))), "the readers left the lock alone");
}
