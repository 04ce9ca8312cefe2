use super::*;
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, letters, picture};
use crate::papers::fixture::day;
use crate::papers::keep_sheet::tests::season;

#[test]
fn every_ewe_named_stands_with_her_reasons_and_her_cost() {
    let (flock, today) = (season(), day("2026-04-30"));
    for sheet in SheetSize::ALL {
        let paper = cull_list(&flock, today, sheet, &carry_on).unwrap();
        picture(&format!("cull-list-{}", sheet.word()), &paper);
        assert_inside(&paper, 8.0);
        assert_same_bytes(&paper);
        let all = letters(&paper);
        // Born from 2015 on, 200 days apart: six are eight years old or more; one has a bad udder.
        for said in [
            "0401",
            "0405",
            "Udder4on7Apr2026",
            "yearsold,born",
            "genediversity",
            "cull",
            "stays",
            "Rulesitgoesby",
        ] {
            assert!(all.contains(said), "{said} in {all}");
        }
        assert!(!all.contains("0412"), "no rule names her");
    }
    let none = cull_list(&Flock::default(), today, SheetSize::A4, &carry_on);
    assert!(matches!(none, Err(PaperFailed::Nothing { .. })));
}
