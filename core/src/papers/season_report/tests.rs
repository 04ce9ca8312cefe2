use super::*;
use crate::papers::carry_on;

#[test]
fn an_empty_book_has_no_season_to_report() {
    let day = Day::new(2026, 6, 1).unwrap();
    let failed = season_report(&Flock::default(), None, day, SheetSize::A4, &carry_on).unwrap_err();
    assert!(failed.to_string().contains("write joinings or lambings first"), "{failed}");
}

#[test]
fn a_range_in_few_signs() {
    let r = |from, to| Range { from, to, ..crate::reckon::flock_figures::Settings::shipped().ranges[0].clone() };
    assert_eq!(bounds(&r(Some(96.0), None)), "96 or more");
    assert_eq!(bounds(&r(None, Some(6.8))), "6.8 or less");
    assert_eq!(bounds(&r(Some(96.0), Some(100.0))), "96 to 100");
}
