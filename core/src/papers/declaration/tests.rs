//! Tests.

use super::*;
use crate::papers::{carry_on, check, fixture};

#[test]
fn what_runs_is_told_and_none_is_said_plainly() {
    let (flock, ewes, lambs) = fixture::lambing_shed();
    let on = fixture::day("2026-04-20");
    let chosen = [ewes[0], lambs[1]];
    let paper = withdrawal_declaration(&flock, Some(&chosen), on, on, SheetSize::A4, &carry_on).unwrap();
    check::assert_inside(&paper, 8.0);
    let letters = check::letters(&paper);
    assert!(letters.contains("1isunderwithdrawal") && letters.contains("none"), "{letters}");
    assert!(letters.contains("notbefore14May2026"), "28 days from 15 April, the first whole day after");
    let nothing = withdrawal_declaration(&flock, None, on, on, SheetSize::A4, &carry_on);
    assert!(matches!(nothing, Err(PaperFailed::Nothing { .. })), "none was sold that day");
}
