use super::*;
use crate::flock::Scan;
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, letters, picture};
use crate::papers::fixture::{day, joined};
use crate::terms::{ScanId, Scanned};

#[test]
fn every_ewe_is_on_the_list_with_her_window_and_ram() {
    let began = day("2026-11-26");
    let (mut flock, tags) = joined(began);
    let mut scanned = flock.file(flock.by_tag("0402").unwrap()).unwrap().clone();
    scanned.scans.push(Scan {
        id: ScanId::new(),
        ewe: scanned.animal.id,
        on: day("2027-01-20"),
        found: Scanned::Two,
        age_days: Some(64),
        note: None,
        struck: None,
    });
    flock.put(scanned);
    let today = day("2027-03-20");
    for sheet in SheetSize::ALL {
        let options = DueListOptions { sheet, span: Span::default() };
        let paper = due_list(&flock, None, today, &options, &carry_on).unwrap();
        picture(&format!("due-list-{}", sheet.word()), &paper);
        assert_inside(&paper, 8.0);
        assert_same_bytes(&paper);
        let words: Vec<&str> = paper.words().collect();
        for tag in &tags {
            assert!(words.contains(&tag.as_str()), "{tag}");
        }
        let all = letters(&paper);
        for said in ["43ewesareexpected", "Whathappened", "twins,64daysgone", "inTopshed"] {
            assert!(all.contains(said), "{said} in {all}");
        }
    }
}

#[test]
fn a_ram_brings_his_ewes_and_days_narrow_the_list() {
    let (flock, _) = joined(day("2026-11-26"));
    let today = day("2027-03-20");
    let made = |animals: Option<&[AnimalId]>, to: Option<&str>| {
        let span = Span { from: None, to: to.map(day) };
        due_list(&flock, animals, today, &DueListOptions { sheet: SheetSize::A4, span }, &carry_on)
    };
    let nine = flock.by_tag("R9").unwrap();
    let all = letters(&made(Some(&[nine]), None).unwrap());
    assert!(all.contains("0441") && !all.contains("0401"));
    assert!(matches!(made(None, Some("2026-12-01")), Err(PaperFailed::Nothing { .. })));
}
