//! Due days against the published gestation window. Source: NMSU, Normal breeding habits of sheep.

use hirsel_core::book::Book;
use hirsel_core::entry::{self, JoiningDraft, MarkDraft};
use hirsel_core::reckon::gestation::{self, due, returns};
use hirsel_core::terms::{AnimalId, Day, MarkKind, Sex};
use hirsel_tests::flocks::{Folder, add, day, empty_book, write};
use hirsel_tests::reference::rows;
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Window {
    early: i64,
    usual: i64,
    late: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Due {
    service: String,
    early: String,
    due: String,
    late: String,
}

#[test]
fn the_window_is_the_published_one() {
    for w in rows::<Window>("gestation", "window") {
        assert_eq!((gestation::early(), gestation::usual(), gestation::late()), (w.early, w.usual, w.late));
    }
}

#[test]
fn due_days_of_a_service() {
    for r in rows::<Due>("gestation", "due") {
        let service = day(&r.service);
        let w = due(service, Some(service));
        assert_eq!(w.early, day(&r.early), "{} early", r.service);
        assert_eq!(w.due, day(&r.due), "{} due", r.service);
        assert_eq!(w.late, Some(day(&r.late)), "{} late", r.service);
        assert_eq!(due(service, None).late, None, "no last day while the ram is with her");
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Cycle {
    usual: i64,
    early: i64,
    late: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Litter {
    lambs: u8,
    days: f64,
}

/// A book with one ewe and one ram, the ewe joined from a day on.
fn book(folder: &Folder, from: Day) -> (Book, AnimalId, AnimalId) {
    let mut book = empty_book(folder);
    let ewe = add(&mut book, "0412", Sex::Ewe, "2021-04-01", day(TODAY));
    let ram = add(&mut book, "R1", Sex::Ram, "2021-04-01", day(TODAY));
    let joining = JoiningDraft { ram, ewes: vec![ewe], from, to: None, method: None, group: None };
    let check = entry::joinings(vec![joining], &book.flock(), day(TODAY));
    write(&mut book, check);
    (book, ewe, ram)
}

const TODAY: &str = "2026-02-20";

fn marked(book: &mut Book, ewe: AnimalId, ram: AnimalId, on: Day) {
    let draft = MarkDraft { ewe, ram: Some(ram), on, kind: MarkKind::Seen, colour: None, note: None };
    let check = entry::marks(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
}

/// A ewe that comes back at any day of the published cycle, or of two, has returned; a day either side she has not.
#[test]
fn returns_are_those_of_the_published_cycle() {
    for c in rows::<Cycle>("gestation", "cycle") {
        assert!(c.early < c.usual && c.usual < c.late);
        let cases =
            [(c.early - 1, false), (c.early, true), (c.usual, true), (c.late, true), (c.late + 1, false)];
        let twice =
            [(2 * c.early - 1, false), (2 * c.early, true), (2 * c.late, true), (2 * c.late + 1, false)];
        for (days, returned) in cases.into_iter().chain(twice) {
            let folder = Folder::new();
            let (mut book, ewe, ram) = book(&folder, day("2025-11-01"));
            let first = day("2025-11-02");
            marked(&mut book, ewe, ram, first);
            marked(&mut book, ewe, ram, first.plus(days));
            let all = returns(&book.flock(), day(TODAY));
            assert_eq!(all.ewes.len(), usize::from(returned), "{days} days");
            assert_eq!(all.ewes.iter().map(|r| r.on).next(), returned.then(|| first.plus(days)));
        }
    }
}

/// Due days of the calendar, from a mating that was seen while the ram stayed with her.
#[test]
fn due_days_of_a_mating_seen() {
    let today = day(TODAY);
    for r in rows::<Due>("gestation", "due").into_iter().filter(|r| day(&r.service) > day("2025-10-01")) {
        let folder = Folder::new();
        let service = day(&r.service);
        let (mut book, ewe, ram) = book(&folder, service.plus(-10));
        marked(&mut book, ewe, ram, service);
        let flock = book.flock();
        let e = gestation::expected_of(&flock, flock.file(ewe).expect("her"), today).expect("expected");
        let of = (e.window.early, e.window.due, e.window.late);
        assert_eq!(of, (day(&r.early), day(&r.due), Some(day(&r.late))), "{}", r.service);
        assert_eq!(e.rams, [ram]);
    }
}

/// The litter hardly moves the day: the published means of every litter lie within the window that is used for all.
#[test]
fn the_litter_does_not_leave_the_window() {
    let rows = rows::<Litter>("gestation", "litter");
    assert_eq!(rows.iter().map(|r| r.lambs).collect::<Vec<_>>(), [1, 2, 3]);
    let days = |n: i64| f64::from(i32::try_from(n).expect("few days"));
    for r in rows {
        assert!(days(gestation::early()) <= r.days && r.days <= days(gestation::late()), "{}", r.lambs);
        assert!((r.days - days(gestation::usual())).abs() < 2.0, "{}", r.lambs);
    }
}
