//! Random sequences of every kind of entry through `Book::write`: undo, redo, reading anew, striking out.

use hirsel_core::book::{Book, Failed};
use hirsel_core::entry::{self, DocumentDraft, Sure};
use hirsel_core::flock::RecordRef;
use hirsel_core::terms::Day;
use hirsel_tests::book::{Laid, Rows, copy_of, new_book, read_anew, records, room, rows, today};
use hirsel_tests::journal;
use hirsel_tests::maker::{Kind, Maker};
use proptest::prelude::*;
use std::collections::BTreeMap;

/// The book on the disk and in memory.
struct State {
    rows: Rows,
    flock: Laid,
}

fn state(book: &Book) -> State {
    State { rows: rows(book.path()), flock: Laid::out(&book.flock()) }
}

fn same(what: &str, a: &State, b: &State) -> Result<(), String> {
    match a.rows.difference(&b.rows).or_else(|| a.flock.difference(&b.flock)) {
        Some(how) => Err(format!("{what}: {how}")),
        None => Ok(()),
    }
}

/// Undo is for what was written today: a run over midnight proves nothing and is left.
fn over_midnight(e: &Failed, began: Day) -> bool {
    matches!(e, Failed::TooOld { .. }) && Day::today() != began
}

/// Writes an entry, takes it back, brings it again; after each the rows and the flock are what they must be.
fn write_undo_redo(book: &mut Book, kind: Kind, sure: Sure, began: Day) -> Result<(), String> {
    let words = |e: Failed| format!("{kind:?}: {e}");
    let before = state(book);
    let sentence = sure.sentence().to_string();
    let version = book.flock().version();
    let written = book.write(sure).map_err(words)?;
    if written.sentence != sentence || book.undoable().as_deref() != Some(&sentence) {
        return Err(format!("{kind:?}: the sentence '{sentence}' is not the one that undo names"));
    }
    if book.flock().version() <= version {
        return Err(format!("{kind:?}: the version did not grow"));
    }
    let after = state(book);
    if let Some(how) = after.flock.difference(&read_anew(book.path())) {
        return Err(format!("{kind:?}: not the same when read anew: {how}"));
    }
    match book.undo() {
        Err(e) if over_midnight(&e, began) => return Ok(()),
        other => other.map_err(words)?.ok_or(format!("{kind:?}: nothing to undo"))?,
    };
    same(&format!("{kind:?} undone"), &before, &state(book))?;
    book.redo().map_err(words)?.ok_or(format!("{kind:?}: nothing to redo"))?;
    same(&format!("{kind:?} done again"), &after, &state(book))
}

fn walk(seed: u64, steps: usize) -> Result<(), String> {
    let began = Day::today();
    let room = room();
    let mut book = new_book(room.path());
    let mut maker = Maker::new(seed, today());
    let mut states = vec![state(&book)];
    for _ in 0..steps {
        let kind = if book.flock().len() < 3 { Kind::Animals } else { maker.kind() };
        let Some(sure) = maker.make(kind, &book.flock()) else { continue };
        write_undo_redo(&mut book, kind, sure, began)?;
        states.push(state(&book));
    }
    let last = states.len() - 1;
    for i in (0..last).rev() {
        match book.undo() {
            Err(e) if over_midnight(&e, began) => return Ok(()),
            other => other.map_err(|e| e.to_string())?.ok_or("nothing to undo on the way back")?,
        };
        same(&format!("on the way back to {i}"), &states[i], &state(&book))?;
    }
    if book.undo().map_err(|e| e.to_string())?.is_some() {
        return Err("undo went past the start".into());
    }
    for (i, there) in states.iter().enumerate().skip(1) {
        book.redo().map_err(|e| e.to_string())?.ok_or(format!("nothing to redo at {i}"))?;
        same(&format!("on the way again to {i}"), there, &state(&book))?;
    }
    if book.redo().map_err(|e| e.to_string())?.is_some() {
        return Err("redo went past the end".into());
    }
    // What the checks let through, the check of the book must find right.
    let report = book.check(&|_| {}).map_err(|e| e.to_string())?;
    if !report.whole {
        return Err(report.lines.join("\n"));
    }
    let copy = copy_of(book.path(), room.path());
    let db = rusqlite::Connection::open(copy).map_err(|e| e.to_string())?;
    journal::whole(&db).map(|_| ())
}

/// So many cases, or `PROPTEST_CASES` for a long run.
fn config(cases: u32) -> ProptestConfig {
    let given = ProptestConfig::default();
    let cases = if std::env::var_os("PROPTEST_CASES").is_some() { given.cases } else { cases };
    ProptestConfig { cases, max_shrink_iters: 100, failure_persistence: None, ..given }
}

proptest! {
    #![proptest_config(config(24))]

    #[test]
    fn every_walk_goes_back_to_the_start_and_forth_again(seed in any::<u64>(), steps in 1usize..14) {
        walk(seed, steps).map_err(TestCaseError::fail)?;
    }
}

/// A walk that once went wrong: the second lambing of an entry gave a lamb put on the first its day of birth.
#[test]
fn a_birth_in_the_same_entry_is_heeded() {
    walk(9_129_425_836_597_624_004, 3).unwrap_or_else(|e| panic!("{e}"));
}

/// Writes, undoes and redoes at will, beside the simplest picture of it: a list of states and a place in it.
fn stroll(seed: u64, acts: &[u8]) -> Result<(), String> {
    let began = Day::today();
    let room = room();
    let mut book = new_book(room.path());
    let mut maker = Maker::new(seed, today());
    let mut states = vec![Laid::out(&book.flock())];
    let mut at = 0;
    for act in acts {
        let moved = match act {
            0 => match book.undo() {
                Err(e) if over_midnight(&e, began) => return Ok(()),
                other => other.map_err(|e| e.to_string())?.map(|_| at -= 1),
            },
            1 => book.redo().map_err(|e| e.to_string())?.map(|_| at += 1),
            _ => {
                let kind = if book.flock().len() < 3 { Kind::Animals } else { maker.kind() };
                let Some(sure) = maker.make(kind, &book.flock()) else { continue };
                let flock = book.write(sure).map_err(|e| e.to_string())?.flock;
                states.truncate(at + 1);
                states.push(Laid::out(&flock));
                at += 1;
                Some(())
            }
        };
        let may = match act {
            0 => moved.is_some() || at == 0,
            1 => moved.is_some() || at + 1 == states.len(),
            _ => true,
        };
        if !may {
            return Err(format!("act {act} did nothing at {at} of {}", states.len()));
        }
        let there = states.get(at).ok_or("past the end")?;
        if let Some(how) = there.difference(&Laid::out(&book.flock())) {
            return Err(format!("after act {act}, at {at}: {how}"));
        }
        if (book.undoable().is_some(), book.redoable().is_some()) != (at > 0, at + 1 < states.len()) {
            return Err(format!("the menu is wrong at {at} of {}", states.len()));
        }
    }
    match read_anew(book.path()).difference(&Laid::out(&book.flock())) {
        Some(how) => Err(how),
        None => Ok(()),
    }
}

proptest! {
    #![proptest_config(config(32))]

    #[test]
    fn undo_and_redo_at_will(seed in any::<u64>(), acts in prop::collection::vec(0u8..5, 1..40)) {
        stroll(seed, &acts).map_err(TestCaseError::fail)?;
    }
}

#[test]
fn every_kind_is_written() {
    let began = Day::today();
    let room = room();
    let mut book = new_book(room.path());
    let mut maker = Maker::new(12, today());
    let mut seen: BTreeMap<Kind, usize> = BTreeMap::new();
    for _ in 0..4 {
        let sure = maker.make(Kind::Animals, &book.flock()).expect("animals can always be made");
        book.write(sure).expect("written");
    }
    for round in 0..60 {
        for kind in Kind::ALL {
            // A portrait waits for a picture of an animal.
            let more = *kind == Kind::Documents && !seen.contains_key(&Kind::Portrait);
            if round > 0 && !more && seen.get(kind).is_some_and(|n| *n > 1) {
                continue;
            }
            let Some(sure) = maker.make(*kind, &book.flock()) else { continue };
            write_undo_redo(&mut book, *kind, sure, began).unwrap_or_else(|e| panic!("{e}"));
            *seen.entry(*kind).or_default() += 1;
        }
    }
    let missing: Vec<_> = Kind::ALL.iter().filter(|k| !seen.contains_key(k)).collect();
    assert!(missing.is_empty(), "no entry of these kinds was made: {missing:?}");
    let copy = copy_of(book.path(), room.path());
    journal::whole(&rusqlite::Connection::open(copy).expect("opens")).unwrap_or_else(|e| panic!("{e}"));
    assert!(book.check(&|_| {}).expect("readable").whole);
}

/// The bytes of a kept paper lie beside the journal: they are there again when the paper is brought back.
#[test]
fn a_paper_keeps_its_bytes_over_undo_and_redo() {
    let room = room();
    let mut book = new_book(room.path());
    let mut maker = Maker::new(7, today());
    for kind in [Kind::Animals, Kind::Products, Kind::Batches, Kind::Vets, Kind::Prescriptions] {
        let sure = maker.make(kind, &book.flock()).expect("made");
        book.write(sure).expect("written");
    }
    let of = RecordRef::Batch(book.flock().cupboard().batches[0].id).into();
    let bytes: Vec<u8> = b"%PDF-1.7\n".iter().copied().chain((0..=255).cycle().take(300_000)).collect();
    let draft = DocumentDraft { of, name: "invoice 12.pdf".into(), bytes: bytes.clone().into(), on: None };
    let check = entry::documents(vec![draft], &book.flock(), today()).expect("a paper");
    book.write(check.sure().expect("no question")).expect("written");
    let kept = book.flock().documents().all()[0].clone();
    assert_eq!((kept.kind.as_str(), kept.size, kept.of), ("pdf", bytes.len() as u64, of));
    assert_eq!(book.document(kept.id).expect("readable").as_ref(), Some(&bytes));
    book.undo().expect("undone").expect("something");
    assert_eq!(book.flock().documents().all(), []);
    book.redo().expect("redone").expect("something");
    assert_eq!(book.flock().documents().all(), std::slice::from_ref(&kept));
    let path = book.path().to_path_buf();
    book.close().expect("closed");
    let book = Book::open(&path).expect("opens");
    assert_eq!(book.document(kept.id).expect("readable").as_ref(), Some(&bytes));
}

/// Facts are changed more often than in life, so that they clash with records written before.
#[test]
fn what_the_checks_let_through_is_found_right() {
    for seed in 0..3 {
        let room = room();
        let mut book = new_book(room.path());
        let mut maker = Maker::new(seed, today());
        for step in 0..150 {
            let kind = match step % 5 {
                _ if book.flock().len() < 6 => Kind::Animals,
                0 => Kind::EditAnimal,
                1 => Kind::AmendLambing,
                _ => maker.kind(),
            };
            let Some(sure) = maker.make(kind, &book.flock()) else { continue };
            let sentence = sure.sentence().to_string();
            book.write(sure).unwrap_or_else(|e| panic!("{sentence}: {e}"));
            if step % 10 == 9 {
                let report = book.check(&|_| {}).expect("readable");
                assert!(report.whole, "after '{sentence}': {:#?}", report.lines);
            }
        }
    }
}

#[test]
fn a_struck_record_stays_readable() {
    let room = room();
    let mut book = new_book(room.path());
    let mut maker = Maker::new(11, today());
    let mut struck = 0;
    for step in 0..400 {
        let kind = if step < 60 { maker.kind() } else { *fastrand::choice(&STRIKES).expect("some") };
        let kind = if book.flock().len() < 3 { Kind::Animals } else { kind };
        let Some(sure) = maker.make(kind, &book.flock()) else { continue };
        let before = book.flock();
        let written = book.write(sure).expect("written");
        if !STRIKES.contains(&kind) {
            continue;
        }
        struck += 1;
        for id in &written.touched {
            let (old, new) = (before.file(*id).expect("there"), written.flock.file(*id).expect("there"));
            assert_eq!(records(old), records(new), "no record goes when one is struck out");
        }
    }
    assert!(struck > 5, "{struck} strike-outs");
}

const STRIKES: [Kind; 8] = [
    Kind::StrikeLambing,
    Kind::StrikeJoining,
    Kind::StrikeWeighing,
    Kind::StrikeTreatment,
    Kind::StrikePenMove,
    Kind::StrikeMovement,
    Kind::StrikeRemark,
    Kind::StrikeTick,
];
