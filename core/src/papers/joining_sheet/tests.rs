use super::*;
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, letters, picture};
use crate::papers::fixture::{day, joined};

#[test]
fn every_ewe_stands_on_the_sheet_with_what_her_lambs_would_be() {
    let today = day("2026-11-26");
    let (flock, tags) = joined(today);
    for sheet in SheetSize::ALL {
        let options = JoiningSheetOptions { sheet, span: Span::default() };
        let paper = joining_sheet(&flock, None, today, &options, &carry_on).unwrap();
        picture(&format!("joining-sheet-{}", sheet.word()), &paper);
        assert_inside(&paper, 8.0);
        assert_same_bytes(&paper);
        let words: Vec<&str> = paper.words().collect();
        for tag in &tags {
            assert_eq!(words.iter().filter(|w| *w == tag).count(), 1, "{tag}");
        }
        let all = letters(&paper);
        for said in [
            "Bottomfield",
            "RamR17ThornfellDuke,with40ewessince6Nov2026.",
            "Crayonyellowsince14Nov;thenextcolourisdueon1Dec.",
            "R17andR9arebothwith0440,0441,0442from8Nov2026to11Nov2026",
            "17Novyellow",
            "12.5%",
            "Th26",
        ] {
            assert!(all.contains(said), "{said} in {all}");
        }
    }
}

#[test]
fn groups_are_chosen_by_animal_and_by_days() {
    let today = day("2026-11-26");
    let (flock, tags) = joined(today);
    let made = |animals: Option<&[AnimalId]>, from: Option<&str>, to: Option<&str>| {
        let span = Span { from: from.map(day), to: to.map(day) };
        joining_sheet(&flock, animals, today, &JoiningSheetOptions { sheet: SheetSize::A4, span }, &carry_on)
    };
    let one = flock.by_tag("0441").unwrap();
    let all = letters(&made(Some(&[one]), None, None).unwrap());
    assert!(all.contains("0442") && !all.contains("Bottomfield"), "her whole group, and no other");
    // Before the first ram went in there was no group.
    assert!(matches!(made(None, None, Some("2026-10-01")), Err(PaperFailed::Nothing { .. })));
    let all = letters(&made(None, None, Some("2026-10-20")).unwrap());
    assert!(!all.contains(tags[0].as_str()) && all.contains("0440"));
}
