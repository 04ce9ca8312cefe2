//! A clock that was turned back: lines keep their order, ids go on, undo works, and it is said.

use hirsel_core::book::Book;
use hirsel_core::entry::{RemarkDraft, remark};
use hirsel_core::terms::Day;
use hirsel_tests::acts::entry;
use hirsel_tests::book::{Laid, new_book, read_anew, room, today};

/// A time of a day that many days from now.
fn at(days: i64, time: &str) -> String {
    format!("{} {time}", Day::today().plus(days))
}

#[test]
fn a_clock_turned_back_turns_nothing_over() {
    let folder = room();
    let mut book = new_book(folder.path());
    let mut rng = fastrand::Rng::with_seed(5);
    for (n, when) in [(1, at(0, "09:00:00")), (2, at(40, "08:00:00")), (3, at(-400, "07:00:00"))] {
        book.set_clock(Some(&when));
        let (_, check) = entry(&mut rng, &book.flock(), n);
        book.write(check.expect("an entry").despite("made up").expect("sure")).expect("written");
    }
    let lines = book.history(3).expect("read");
    let times: Vec<&str> = lines.iter().map(|l| l.at.as_str()).collect();
    assert_eq!(
        times,
        [at(-400, "07:00:00"), at(40, "08:00:00"), at(0, "09:00:00")],
        "newest first, as written"
    );
    assert!(lines.windows(2).all(|l| l[0].seq > l[1].seq));

    // What stands a year back is not of this sitting; what the clock has not reached yet is.
    assert!(book.undo().is_err());
    book.set_clock(Some(&at(2, "06:00:00")));
    let before = Laid::out(&book.flock());
    let animal = book.flock().files().next().map(|f| f.animal.id).expect("an animal");
    let draft = RemarkDraft { animals: vec![animal], on: today(), text: "stands well".into() };
    book.write(remark(draft, &book.flock(), today()).expect("a remark").despite("x").expect("sure"))
        .expect("written");
    book.undo().expect("undone").expect("something to undo");
    assert_eq!(before.difference(&Laid::out(&book.flock())), None);
    book.redo().expect("redone").expect("something to redo");
    assert_eq!(Laid::out(&book.flock()).difference(&read_anew(book.path())), None);

    let said = book.ahead_of(Day::today()).expect("the last line is of a later day");
    assert!(said.contains(&format!("written on {}", Day::today().plus(2).words())), "{said}");
    assert!(said.contains("set the clock right"), "{said}");
    assert_eq!(book.ahead_of(Day::today().plus(2)), None);
    let report = book.check(&|_| {}).expect("read");
    assert!(report.whole && report.lines.contains(&said), "{:?}", report.lines);
}

/// Records of one day are shown in order of their ids: those written after the clock went back come last.
#[test]
fn ids_go_on_from_the_last_line_of_the_book() {
    let folder = room();
    let path = folder.path().join("a.hirsel");
    new_book(folder.path()).close().expect("closed");
    let db = rusqlite::Connection::open(&path).expect("opens");
    let last: [u8; 16] = db.query_row("select max(id) from journal_entry", [], |r| r.get(0)).expect("an id");
    // As a program would have written it whose clock was a day ahead.
    let ahead = (u128::from_be_bytes(last) + (86_400_000_u128 << 80)).to_be_bytes();
    db.execute("update journal_entry set id = ?1 where id = ?2", [ahead, last]).expect("changed");
    drop(db);
    let mut book = Book::open_plain(&path).expect("opens");
    for n in 1..4 {
        let (_, check) = entry(&mut fastrand::Rng::with_seed(n), &book.flock(), n);
        book.write(check.expect("an entry").despite("made up").expect("sure")).expect("written");
    }
    book.close().expect("closed");
    let db = rusqlite::Connection::open(&path).expect("opens");
    let turned: i64 = db
        .query_row(
            "select count(*) from journal_entry a join journal_entry b on a.seq < b.seq where a.id >= b.id",
            [],
            |r| r.get(0),
        )
        .expect("counted");
    assert_eq!(turned, 0, "a later line has a later id");
    let early: i64 =
        db.query_row("select count(*) from animal where id <= ?1", [ahead], |r| r.get(0)).expect("counted");
    assert_eq!(early, 0, "so have its records");
}
