//! The page of lambings: what is odd or wrong shows beside its field, the banner, the shed, past lambings.

use egui::{Key, Role};
use egui_kittest::Harness;
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, LambDraft, LambingDraft, WeighingDraft};
use hirsel_core::flock::{Flock, Sire};
use hirsel_core::terms::{AnimalId, Moment, Sex, Tag, Weight};
use hirsel_tests::flocks::{self, ctrl, day, desk, enter, has_keyboard, says, type_in, write};
use std::sync::Arc;

const TODAY: &str = "2026-04-10";

type Page = Harness<'static, Desk>;

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

fn weight(grams: i64) -> Weight {
    Weight::from_grams(grams).expect("a weight")
}

/// A lambing written into the book; gives the lambs.
fn lambed(book: &mut Book, ewe: AnimalId, on: &str, lambs: &[(&str, Sex, i64)]) -> Vec<AnimalId> {
    let lambs = lambs.iter().map(|(tag, sex, grams)| {
        let mut lamb = LambDraft::new(*sex);
        lamb.tag = Some(Tag::parse(tag).expect("a tag"));
        lamb.weight = Weight::from_grams(*grams);
        lamb
    });
    let draft = LambingDraft {
        ewe,
        at: Moment::day(day(on)),
        sire: Sire::Unknown,
        ease: None,
        help: None,
        note: None,
        pen: None,
        lambs: lambs.collect(),
        foster_on: Vec::new(),
    };
    let check = entry::lambing(draft, &book.flock(), day(TODAY));
    write(book, check);
    let flock = book.flock();
    let last = flock.file(ewe).and_then(|f| f.lambings.iter().max_by_key(|l| l.id).cloned());
    last.expect("written").lambs
}

fn weighed(book: &mut Book, animal: AnimalId, on: &str, grams: i64) {
    let draft = WeighingDraft { animal, at: Moment::day(day(on)), weight: weight(grams), note: None };
    let check = entry::weighings(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
}

/// The page of lambings of a small flock.
fn page(folder: &flocks::Folder, book: Book) -> Page {
    let mut h = desk(folder, book, day(TODAY));
    h.run();
    ctrl(&mut h, Key::Num5);
    h
}

#[test]
fn a_ram_as_the_ewe_is_refused_by_name_beside_the_field() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = page(&folder, book);
    enter(&mut h, &["R7", "3 apr"]);
    assert!(says(&h, "R7 is a ram"), "said as soon as the field is left");
}

#[test]
fn what_is_odd_shows_when_the_field_is_left() {
    let folder = flocks::Folder::new();
    let (mut book, [ewe, ..]) = flocks::shed_book(&folder);
    lambed(&mut book, ewe, "2026-03-20", &[("2601", Sex::Ewe, 4_200)]);
    let mut h = page(&folder, book);
    type_in(&mut h, "0412");
    assert!(!says(&h, "is this the same lambing"), "nothing is said while it is typed");
    enter(&mut h, &["", "3 apr"]);
    assert!(says(&h, "is this the same lambing"));
}

#[test]
fn the_banner_goes_when_the_lambing_is_undone() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::shed_book(&folder);
    let mut h = page(&folder, book);
    enter(&mut h, &["0412", "3 apr", "0640", "n", "", "", "e", "4.2"]);
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "Written: lambing of 0412"));
    assert_eq!(flock(&h).file(ewe).expect("there").lambings.len(), 1);
    ctrl(&mut h, Key::Z);
    assert_eq!(flock(&h).file(ewe).expect("there").lambings.len(), 0);
    assert!(!says(&h, "Written: lambing of 0412"));
}

#[test]
fn the_shed_and_her_past_lambings_stand_beside_the_form() {
    let folder = flocks::Folder::new();
    let (mut book, [ewe, other, ..]) = flocks::shed_book(&folder);
    let lambs = lambed(&mut book, ewe, "2025-03-30", &[("2501", Sex::Ewe, 4_200), ("2502", Sex::Ram, 3_900)]);
    weighed(&mut book, lambs[0], "2025-05-28", 19_400);
    lambed(&mut book, other, "2026-04-07", &[("2601", Sex::Ewe, 4_400)]);
    let mut h = page(&folder, book);
    assert!(says(&h, "Lambed within a week (1)"));
    enter(&mut h, &["0412"]);
    assert!(says(&h, "Past lambings (1)"));
    assert!(says(&h, "19.7"), "the weight carried to 60 days stands in her row");
}

#[test]
fn coming_back_to_the_page_gives_the_keyboard_to_the_ewe() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = page(&folder, book);
    enter(&mut h, &["0412"]);
    ctrl(&mut h, Key::Num1);
    ctrl(&mut h, Key::Num5);
    assert!(has_keyboard(&h, Role::TextInput, "Ewe"));
}
