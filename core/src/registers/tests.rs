//! Registers of a small flock made by hand.

use super::*;
use crate::flock::{Holding, Struck};
use crate::papers::fixture::{self, day};
use crate::terms::{Moment, MovementId, Sex, Status, Withdrawal};

fn moved(f: &mut crate::flock::AnimalFile, on: &str, to: Status, other: Option<&str>) {
    f.movements.push(crate::flock::Movement {
        id: MovementId::new(),
        animal: f.animal.id,
        on: day(on),
        to,
        other: other.map(Into::into),
        reason: None,
        details: None,
        struck: None,
    });
    (f.animal.status, f.animal.status_on) = (to, Some(day(on)));
}

/// Two ewes sold together, one dead, one that stays; one treatment struck out.
fn flock() -> Flock {
    let mut flock = Flock::default();
    let mut files: Vec<_> = ["1", "2", "3", "4"].map(|t| fixture::animal(t, "", Sex::Ewe)).into();
    moved(&mut files[0], "2026-03-05", Status::Sold, Some("M. Birkett"));
    moved(&mut files[1], "2026-03-05", Status::Sold, Some("M. Birkett"));
    moved(&mut files[2], "2026-03-07", Status::Dead, None);
    let id = files[3].animal.id;
    let at = Moment::day(day("2026-03-01"));
    files[3].treatments.push(fixture::treatment(id, "drench", at, Withdrawal::Days(14), Withdrawal::Never));
    let mut struck = fixture::treatment(id, "drench", at, Withdrawal::Days(90), Withdrawal::Days(90));
    struck.struck = Some(Box::new(Struck { on: day("2026-03-02"), reason: "written twice".into() }));
    files[3].treatments.push(struck);
    files.into_iter().for_each(|f| flock.put(f));
    flock.set_holding(Holding { flock: "Thornfell".into(), ..Holding::default() });
    flock
}

fn made(kind: RegisterKind, from: Option<&str>, to: Option<&str>) -> Register {
    kind.make(&flock(), Span::new(from.map(day), to.map(day)).unwrap(), day("2026-04-01"))
}

fn csv(register: &Register, row: usize, column: &str) -> String {
    let i = register.heads().iter().position(|h| *h == column).unwrap();
    register.values()[row][i].clone()
}

#[test]
fn animals_of_one_move_stand_together() {
    let r = made(RegisterKind::Movements, None, None);
    assert_eq!(r.rows.len(), 1);
    assert_eq!((csv(&r, 0, "count"), csv(&r, 0, "identities")), ("2".into(), "1; 2".into()));
    assert_eq!((csv(&r, 0, "direction"), csv(&r, 0, "other_place")), ("off".into(), "M. Birkett".into()));
    let deaths = made(RegisterKind::Deaths, None, None);
    assert_eq!((deaths.rows.len(), csv(&deaths, 0, "animal")), (1, "3".into()));
}

#[test]
fn the_first_and_the_last_day_of_a_span_are_in_it() {
    for (from, to, n) in [
        (Some("2026-03-05"), Some("2026-03-05"), 1),
        (Some("2026-03-06"), None, 0),
        (None, Some("2026-03-04"), 0),
    ] {
        assert_eq!(made(RegisterKind::Movements, from, to).rows.len(), n, "{from:?} {to:?}");
    }
    let empty = made(RegisterKind::Movements, Some("2020-01-01"), Some("2020-12-31"));
    assert_eq!(empty.empty, "No entries from 1 Jan 2020 to 31 Dec 2020.");
    assert!(Span::new(Some(day("2026-02-01")), Some(day("2026-01-01"))).is_err());
}

#[test]
fn struck_lines_stay_and_count_nowhere() {
    let r = made(RegisterKind::TreatmentLog, None, None);
    assert_eq!(r.rows.iter().filter(|r| r.struck).count(), 1);
    assert_eq!(r.counted(), "1 entry, 1 struck out");
    let struck = r.rows.iter().find(|r| r.struck).unwrap();
    assert_eq!(struck.remarks, ["Struck out on 2 Mar 2026: written twice"]);
    let held = made(RegisterKind::WithdrawalNow, None, Some("2026-03-10"));
    assert_eq!((held.rows.len(), csv(&held, 0, "meat_clear_on")), (1, "2026-03-16".into()));
    assert_eq!(csv(&held, 0, "milk_clear_on"), "never");
}

#[test]
fn who_was_there_on_a_day() {
    for (on, n) in [("2026-03-04", 4), ("2026-03-05", 2), ("2026-03-07", 1)] {
        assert_eq!(made(RegisterKind::FlockCount, None, Some(on)).rows.len(), n, "{on}");
    }
}

#[test]
fn every_row_has_a_cell_for_each_column_and_every_word_is_read_back() {
    let (shed, _, _) = fixture::lambing_shed();
    for kind in RegisterKind::ALL {
        assert_eq!(RegisterKind::parse(kind.word()), Ok(kind));
        for flock in [&flock(), &shed] {
            let r = kind.make(flock, Span::default(), day("2026-04-20"));
            assert!(r.rows.iter().all(|row| row.cells.len() == r.columns.len()), "{kind:?}");
            assert!(!r.about.is_empty(), "{kind:?} says how it was made");
        }
    }
    assert!(RegisterKind::parse("moves").unwrap_err().0.contains("movement-register"));
}
