//! A book of the first format opens with all its facts, takes ticks and plan changes, and is whole after.

use hirsel_core::book::Book;
use hirsel_core::entry::{JobRef, TickDraft, plan_step, ticks};
use hirsel_core::flock::{Outcome, Sire};
use hirsel_core::reckon::due::{Board, State, of_animal};
use hirsel_core::terms::{Born, Fate, IdentityKind, MeantFor, Moment, Sex, Status};
use hirsel_tests::book::{Laid, day, read_anew, room};
use hirsel_tests::cli::program;
use hirsel_tests::journal;
use hirsel_tests::older::first_format;
use rusqlite::Connection;
use std::process::Command;

#[test]
fn a_book_of_the_first_format_is_whole_here() {
    let room = room();
    let path = room.path().join("Old.hirsel");
    first_format(&path);
    let db = Connection::open(&path).expect("opens");
    assert_eq!(journal::whole(&db), Ok(1), "the old book itself is sound");
    drop(db);

    let mut book = Book::open(&path).expect("brought up");
    let today = day("2026-04-11");
    let flock = book.flock();
    assert_eq!(flock.len(), 4);
    assert_eq!(
        (flock.holding().flock.as_str(), flock.holding().rules.as_str()),
        ("Thornley Fellsides", "gb")
    );
    let by = |tag: &str| flock.by_tag(tag).unwrap_or_else(|| panic!("{tag}"));
    let (ewe, ram, first, second) = (by("0412"), by("R7"), by("0601"), by("0602"));
    assert_eq!(flock.wearing(IdentityKind::Electronic, "826000000000412"), Some(ewe));
    let f = flock.file(ewe).expect("there");
    assert_eq!((f.animal.born, f.animal.meant_for), (Born::On(day("2021-04-02")), MeantFor::Undecided));
    assert_eq!(
        (f.joinings.len(), f.treatments.len(), f.lambings[0].lambs.to_vec()),
        (1, 1, vec![first, second])
    );
    assert_eq!((flock.animal(ram).map(|a| a.status)), Some(Status::Sold));
    let lamb = flock.file(first).expect("there");
    assert_eq!((lamb.animal.dam, lamb.animal.sire.clone()), (Some(ewe), Sire::Known(ram)));
    assert_eq!(lamb.birth.as_ref().map(|b| (b.fate, b.sucked)), Some((Fate::Alive, Some(true))));
    assert_eq!((lamb.weighings[0].weight.grams(), lamb.remarks[0].text.as_str()), (9_100, "stands well"));
    assert!(lamb.ticks.is_empty() && flock.plan().changes().is_empty());

    // Its jobs are there at once, and can be ticked; a castrated ram is a wether.
    let board = Board::new(&flock, today);
    assert!(board.of(first).iter().any(|j| j.step.key == "coccidia" && j.state == State::Due));
    let jobs: Vec<JobRef> = [(first, "dock"), (second, "dock"), (second, "castrate")]
        .into_iter()
        .map(|(animal, step)| JobRef { animal, step: step.into(), anchor: day("2026-03-14"), round: 0 })
        .collect();
    let draft = TickDraft { jobs, outcome: Outcome::Done, at: Moment::day(day("2026-03-17")), note: None };
    book.write(ticks(draft, &flock, today).expect("ticks").sure().expect("no question")).expect("written");
    let mut step = (**flock.plan().step(2026, "coccidia").expect("shipped")).clone();
    step.off = true;
    let changed = plan_step(None, step, &book.flock()).expect("a change").sure().expect("no question");
    book.write(changed).expect("written");
    let flock = book.flock();
    assert_eq!(flock.animal(second).map(|a| a.sex), Some(Sex::Wether));
    let docked = of_animal(&flock, first, today).into_iter().find(|j| j.step.key == "dock");
    assert_eq!(docked.map(|j| j.state), Some(State::Done(Some(day("2026-03-17")))));
    assert!(Board::new(&flock, today).of(first).iter().all(|j| j.step.key != "coccidia"));
    assert_eq!(Laid::out(&flock).difference(&read_anew(book.path())), None, "the same when read anew");
    let after = Laid::out(&flock);
    for _ in 0..2 {
        book.undo().expect("undone").expect("something to undo");
    }
    for _ in 0..2 {
        book.redo().expect("redone").expect("something to redo");
    }
    assert_eq!(after.difference(&Laid::out(&book.flock())), None);
    assert!(book.check(&|_| {}).expect("readable").whole);
    book.close().expect("closed");
    let db = Connection::open(&path).expect("opens");
    journal::whole(&db).unwrap_or_else(|e| panic!("{e}"));

    // The copy kept before is the old book, untouched.
    let copy = std::fs::read_dir(room.path())
        .expect("readable")
        .flatten()
        .filter(|e| e.path().is_dir())
        .flat_map(|e| std::fs::read_dir(e.path()).expect("readable").flatten())
        .find(|e| e.file_name().to_string_lossy().starts_with("before format"))
        .expect("a copy was kept");
    let db = Connection::open(copy.path()).expect("opens");
    let version: i64 = db.pragma_query_value(None, "user_version", |r| r.get(0)).expect("a number");
    let animals: i64 = db.query_row("select count(*) from animal", [], |r| r.get(0)).expect("a number");
    assert_eq!((version, animals), (1, 4));
}

/// The command line brings it up as well, and says nothing of it in what it exports.
#[test]
fn the_command_line_opens_a_book_of_the_first_format() {
    let room = room();
    let path = room.path().join("Old.hirsel");
    first_format(&path);
    let run = |args: &[&str]| {
        let out = Command::new(program()).arg(args[0]).arg(&path).args(&args[1..]).output().expect("started");
        assert!(out.status.success(), "{args:?}: {}", String::from_utf8_lossy(&out.stderr));
        String::from_utf8_lossy(&out.stdout).into_owned()
    };
    let table = run(&["export", "animals"]);
    for tag in ["0412", "R7", "0601", "0602"] {
        assert!(table.contains(tag), "{table}");
    }
    run(&["check"]);
    assert!(run(&["export", "weighings"]).contains("9.1"));
}
