//! Tests.

use super::*;
use crate::papers::{carry_on, fixture};

#[test]
fn without_a_vaccine_there_is_no_certificate() {
    let (flock, _, _) = fixture::lambing_shed();
    let today = fixture::day("2026-04-20");
    let made = vaccination_certificate(&flock, None, Span::default(), today, SheetSize::A4, &carry_on);
    assert!(matches!(made, Err(PaperFailed::Nothing { .. })));
}
