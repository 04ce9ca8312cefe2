//! A book of the first format opens with all its facts, takes ticks and plan changes, and is whole after.

use hirsel_core::book::Book;
use hirsel_core::entry::{JobRef, TickDraft, plan_step, ticks};
use hirsel_core::flock::{Outcome, Sire};
use hirsel_core::reckon::due::{Board, State, of_animal};
use hirsel_core::terms::{Born, Fate, IdentityKind, MeantFor, Moment, Sex, Status};
use hirsel_tests::book::{Laid, day, read_anew, room};
use hirsel_tests::cli::{program, workspace};
use hirsel_tests::journal;
use rusqlite::{Connection, params};
use std::path::Path;
use std::process::Command;

/// An id of one repeated byte.
fn id(n: u8) -> [u8; 16] {
    [n; 16]
}

/// The number every book carries in its head.
const APPLICATION_ID: i64 = 0x4872_736c;

/// Lays out a book with the statements of the first format alone and writes into it as a program of that time did: rows,
/// each with its line in the journal.
fn first_format(path: &Path) {
    let schema =
        std::fs::read_to_string(workspace().join("core/src/book/schema.sql")).expect("the first schema");
    let db = Connection::open(path).expect("a new file");
    db.execute_batch(&schema).expect("the first schema");
    db.pragma_update(None, "application_id", APPLICATION_ID).expect("marked");
    db.pragma_update(None, "user_version", 1).expect("marked");
    let done = |sql: &str, p: &[&dyn rusqlite::ToSql]| {
        db.execute(sql, p).unwrap_or_else(|e| panic!("{sql}: {e}"));
    };
    for (name, value) in [("flock", "Thornley Fellsides"), ("keeper", "Maud Thornley"), ("rules", "gb")] {
        done("insert into setting (name, value) values (?1, ?2)", params![name, value]);
    }
    for (n, sex, born, dam, sire, grams, pen, status) in [
        (1, "ewe", "2021-04-02", None, None, None, Some("Top shed"), "in the flock"),
        (2, "ram", "2020-03-20", None, None, None, None, "sold"),
        (3, "ewe", "2026-03-14", Some(1), Some(2), Some(4200), Some("Top shed"), "in the flock"),
        (4, "ram", "2026-03-14", Some(1), Some(2), Some(4500), Some("Top shed"), "in the flock"),
    ] {
        done(
            "insert into animal (id, sex, born, dam, sire, birth_weight_g, pen, status, status_on)
             values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
            params![
                id(n),
                sex,
                born,
                dam.map(id),
                sire.map(id),
                grams,
                pen,
                status,
                (status == "sold").then_some("2025-12-20")
            ],
        );
    }
    for (n, animal, kind, tag, norm) in [
        (11, 1, "flock", "0412", "0412"),
        (12, 2, "flock", "R7", "R7"),
        (13, 3, "flock", "0601", "0601"),
        (14, 4, "flock", "0602", "0602"),
        (15, 1, "electronic", "826000000000412", "826000000000412"),
    ] {
        done(
            "insert into identity (id, animal, place, kind, tag, norm) values (?1, ?2, ?3, ?4, ?5, ?6)",
            params![id(n), id(animal), i64::from(n == 15), kind, tag, norm],
        );
    }
    done(
        "insert into joining (id, ewe, ram, from_on, to_on) values (?1, ?2, ?3, '2025-10-18', '2025-11-22')",
        params![id(21), id(1), id(2)],
    );
    done(
        "insert into lambing (id, ewe, on_day, at_time, ram) values (?1, ?2, '2026-03-14', '06:30', ?3)",
        params![id(22), id(1), id(2)],
    );
    for (n, place) in [(3, 0), (4, 1)] {
        done(
            "insert into birth (id, lambing, place, fate, sucked, navel_dipped) values (?1, ?2, ?3, 'alive', 1, 1)",
            params![id(n), id(22), place],
        );
    }
    done(
        "insert into weighing (id, animal, on_day, weight_g) values (?1, ?2, '2026-04-01', 9100)",
        params![id(23), id(3)],
    );
    done(
        "insert into treatment (id, animal, on_day, product, dose_kind, dose, meat) values (?1, ?2, '2026-02-14', 'Clostridial vaccine', 'ul', 2000, '28')",
        params![id(24), id(1)],
    );
    done(
        "insert into movement (id, animal, on_day, status) values (?1, ?2, '2025-12-20', 'sold')",
        params![id(25), id(2)],
    );
    done(
        "insert into remark (id, animal, on_day, text) values (?1, ?2, '2026-03-20', 'stands well')",
        params![id(26), id(3)],
    );
    write_journal(&db);
}

/// One line that brought every row.
fn write_journal(db: &Connection) {
    let done = |sql: &str, p: &[&dyn rusqlite::ToSql]| {
        db.execute(sql, p).unwrap_or_else(|e| panic!("{sql}: {e}"));
    };
    done(
        "insert into journal_entry (seq, id, at, who, kind, what) values (1, ?1, '2026-04-02 21:10', 'Maud', 'animals', '4 new animals')",
        params![id(99)],
    );
    let names: Vec<String> = db
        .prepare("select name from sqlite_schema where type = 'table' and name not like 'sqlite_%' and name not like 'journal_%'")
        .and_then(|mut s| s.query_map([], |r| r.get(0))?.collect())
        .expect("tables");
    for table in names {
        let columns: Vec<String> = db
            .prepare("select name from pragma_table_info(?1) order by cid")
            .and_then(|mut s| s.query_map([&table], |r| r.get(0))?.collect())
            .expect("columns");
        let key = &columns[0];
        let value = |c: &String| format!("'{c}', iif(typeof({c}) = 'blob', hex({c}), {c})");
        let object = columns.iter().map(value).collect::<Vec<_>>().join(", ");
        let key = format!("iif(typeof({key}) = 'blob', hex({key}), {key})");
        let sql = format!(
            "insert into journal_change (entry, tbl, key, old, new) select 1, '{table}', {key}, null, json_object({object}) from {table}"
        );
        db.execute(&sql, []).unwrap_or_else(|e| panic!("{sql}: {e}"));
    }
}

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
        (f.joinings.len(), f.treatments.len(), f.lambings[0].lambs.clone()),
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
