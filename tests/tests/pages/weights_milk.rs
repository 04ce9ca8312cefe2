//! What each ewe's milk makes of her lambs.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, LambDraft, LambingDraft, ScoringDraft, WeighingDraft};
use hirsel_core::flock::Sire;
use hirsel_core::terms::{AnimalId, Moment, Score, ScoreKind, Sex, Tag, Weight};
use hirsel_tests::flocks::{self, ctrl, day, desk, enter, says, type_in, write};
use hirsel_tests::shot;

const TODAY: &str = "2026-05-20";

type Page = Harness<'static, Desk>;

fn rows(h: &Page) -> Vec<String> {
    h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect()
}

fn weigh(book: &mut Book, animal: AnimalId, on: &str, grams: i64) {
    let weight = Weight::from_grams(grams).expect("a weight");
    let draft = WeighingDraft { animal, at: Moment::day(day(on)), weight, note: None };
    let check = entry::weighings(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
}

fn score(book: &mut Book, animal: AnimalId, on: &str, quarters: u8) {
    let score = Score::new(ScoreKind::Condition, quarters).expect("a score");
    let draft = ScoringDraft { animal, at: Moment::day(day(on)), score, note: None };
    let check = entry::scorings(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
}

/// Writes a lambing of a ewe whose joining nobody wrote down.
fn write_sure(book: &mut Book, check: entry::Check) {
    let checked = check.unwrap_or_else(|r| panic!("{}", r[0]));
    let sure = checked.despite("made up").unwrap_or_else(|e| panic!("{e}"));
    book.write(sure).unwrap_or_else(|e| panic!("{e}"));
}

fn book(folder: &flocks::Folder) -> Book {
    let (mut book, _) = flocks::shed_book(folder);
    for i in 0..8u32 {
        let ewe = flocks::add(&mut book, &format!("E{i:02}"), Sex::Ewe, "2022-03-10", day(TODAY));
        let tag = |j: u32| format!("{:04}", 700 + i * 2 + j);
        let lamb = |j: u32| {
            let mut lamb = LambDraft::new(Sex::Ewe);
            lamb.tag = Tag::parse(&tag(j)).ok();
            lamb.weight = Weight::from_grams(4_500);
            lamb
        };
        let lambs = (0..=(i % 2)).map(lamb).collect();
        let at = Moment::day(day("2026-03-10"));
        let draft = LambingDraft {
            ewe,
            at,
            sire: Sire::Unknown,
            ease: None,
            help: None,
            note: None,
            pen: None,
            lambs,
            foster_on: Vec::new(),
        };
        let check = entry::lambing(draft, &book.flock(), day(TODAY));
        write_sure(&mut book, check);
        let lambs: Vec<AnimalId> = (0..=(i % 2)).filter_map(|j| book.flock().by_tag(&tag(j))).collect();
        for lamb in lambs {
            weigh(&mut book, lamb, "2026-04-09", 13_500 + i64::from(i) * 100);
            weigh(&mut book, lamb, "2026-05-09", 22_500 + i64::from(i) * 150);
        }
        weigh(&mut book, ewe, "2026-05-09", 60_000 + i64::from(i) * 1_000);
        if i != 5 {
            score(&mut book, ewe, "2026-03-12", 12);
            score(&mut book, ewe, "2026-05-09", 10);
        }
    }
    book
}

#[test]
fn ewes_stand_with_their_place_and_what_they_weaned() {
    let folder = flocks::Folder::new();
    let mut h = desk(&folder, book(&folder), day(TODAY));
    ctrl(&mut h, Key::Num7);
    for _ in 0..4 {
        ctrl(&mut h, Key::PageDown);
    }
    assert!(says(&h, "8 ewes and crops"));
    let first = rows(&h)[0].clone();
    // 9 kg in 30 days, 18 kg in 60; 60 kg at score 2.5 is 63.6 kg at 3; 22.5 / 63.6 = 0.35.
    assert!(first.starts_with("E00, 2026, 1, 300 g, 300 g"), "{first}");
    assert!(first.contains("8 of 8") && first.contains("63.6 kg, 0.35, 3 to 2.5"), "{first}");
    shot::check(&mut h, "weights_milk");
    type_in(&mut h, "E05");
    enter(&mut h, &[]);
    let one = rows(&h);
    assert_eq!(one.len(), 1, "{one:?}");
    assert!(!one[0].contains("to 2.5"), "no score, no weight at a score: {}", one[0]);
}

#[test]
fn a_book_without_lambs_says_so() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    for _ in 0..4 {
        ctrl(&mut h, Key::PageDown);
    }
    assert!(says(&h, "0 ewes and crops"));
}
