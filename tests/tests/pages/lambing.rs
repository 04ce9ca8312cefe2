//! The page of lambings: what is odd or wrong shows beside its field, the banner, the shed, past lambings.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, LambDraft, LambingDraft, WeighingDraft};
use hirsel_core::flock::{Flock, Sire};
use hirsel_core::terms::{AnimalId, Moment, Sex, Tag, Weight};
use hirsel_tests::flocks::{self, ctrl, day, desk, enter, has_keyboard, press, says, type_in, write};
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
    last.expect("written").lambs.into_iter().collect()
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

/// The map of pens over the shed: three ewes in the Top shed, one lambed in Jug 4.
fn pen_map() -> (flocks::Folder, Page) {
    let folder = flocks::Folder::new();
    let (mut book, [ewe, ..]) = flocks::shed_book(&folder);
    lambed(&mut book, ewe, "2026-04-09", &[("2601", Sex::Ewe, 4_200), ("2602", Sex::Ram, 4_600)]);
    let all = book
        .flock()
        .files()
        .filter(|f| f.animal.is_lamb(day(TODAY)))
        .map(|f| f.animal.id)
        .collect::<Vec<_>>();
    let animals = all.into_iter().chain([ewe]).collect();
    let draft = entry::PenMoveDraft { animals, on: day("2026-04-09"), pen: Some("Jug 4".into()) };
    let check = entry::pen_move(draft, &book.flock(), day(TODAY));
    write(&mut book, check);
    let mut h = desk(&folder, book, day(TODAY));
    h.run();
    ctrl(&mut h, Key::M);
    flocks::wait_for(&mut h, "the jobs", |h| says(h, "job"));
    (folder, h)
}

fn in_pen(h: &Page, pen: &str) -> Vec<String> {
    let f = flock(h);
    f.in_pen(pen).iter().map(|a| f.tag(*a).to_string()).collect()
}

fn map_has_keyboard(h: &Page) -> bool {
    has_keyboard(h, Role::ListBox, "Pen map, 2 pens")
}

#[test]
fn each_pen_is_one_sentence_and_its_animals_move_by_keys() {
    let (_folder, mut h) = pen_map();
    assert!(map_has_keyboard(&h), "the key of the map leads into it");
    assert!(says(&h, "Jug 4: 0412 with 2 lambs since 9 Apr, lambs 1 day"), "one sentence");
    assert!(says(&h, "Top shed: 0417 and 0433 since 2 Apr"));
    // Enter opens the pen in hand: its animals, of which the ewe is chosen and moved alone.
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::Grid, "In the pen, 3 rows"));
    press(&mut h, Key::Space);
    press(&mut h, Key::M);
    assert!(says(&h, "Move 1 animal: 0412"));
    type_in(&mut h, "top");
    press(&mut h, Key::Enter);
    assert_eq!(in_pen(&h, "Top shed"), ["0412", "0417", "0433"]);
    assert_eq!(in_pen(&h, "Jug 4"), ["2601", "2602"]);
    ctrl(&mut h, Key::Z);
    assert_eq!(in_pen(&h, "Jug 4").len(), 3, "one undo");
    // Without a choice everyone goes; a pen that is not there yet comes to be.
    h.get_by_role_and_label(Role::ListBox, "Pen map, 2 pens").focus();
    h.run();
    press(&mut h, Key::M);
    assert!(says(&h, "Move 3 animals"));
    enter(&mut h, &["Jug 9"]);
    assert_eq!(in_pen(&h, "Jug 9").len(), 3);
    assert!(says(&h, "Jug 4: empty"), "it stays on the map");
}

#[test]
fn a_pen_is_pointed_at_and_animals_are_dragged() {
    let (_folder, mut h) = pen_map();
    press(&mut h, Key::M);
    h.get_by_label_contains("Top shed: 0417").click();
    h.run();
    assert_eq!(in_pen(&h, "Top shed").len(), 5, "pointed at");
    ctrl(&mut h, Key::Z);
    let middle = |h: &Page, label: &str| h.get_by_label_contains(label).rect().center();
    let (from, to) = (middle(&h, "Jug 4: 0412"), middle(&h, "Top shed: 0417"));
    h.drag_at(from);
    h.run();
    h.hover_at(from.lerp(to, 0.5));
    h.run();
    h.hover_at(to);
    h.run();
    h.drop_at(to);
    h.run();
    assert_eq!(in_pen(&h, "Top shed").len(), 5, "dragged");
    assert!(in_pen(&h, "Jug 4").is_empty());
}

#[test]
fn pens_are_laid_out_by_keys_in_one_act_and_never_over_one_another() {
    let (_folder, mut h) = pen_map();
    press(&mut h, Key::L);
    for key in [Key::ArrowRight, Key::ArrowRight, Key::ArrowDown] {
        press(&mut h, key);
    }
    h.key_press_modifiers(egui::Modifiers::SHIFT, Key::ArrowRight);
    h.run();
    assert!(flock(&h).pen_places().is_empty(), "nothing is written yet");
    // It lies over the Top shed beside it; that is said, and refused.
    press(&mut h, Key::Enter);
    assert!(says(&h, "lies over"), "refused by name");
    assert!(flock(&h).pen_places().is_empty());
    for _ in 0..20 {
        press(&mut h, Key::ArrowRight);
    }
    press(&mut h, Key::T);
    press(&mut h, Key::Enter);
    let f = flock(&h);
    let at = |pen: &str| f.pen_places().iter().find(|p| p.pen == pen).map(|p| p.at);
    assert_eq!(at("Jug 4").map(|a| (a.w, a.h)), Some((3, 4)), "wider by a step, then turned");
    assert!(at("Top shed").is_some(), "those that fell by themselves stay where they are from now on");
    // A new pen, named; it is empty and can be taken off again.
    press(&mut h, Key::A);
    enter(&mut h, &["Corner"]);
    press(&mut h, Key::Enter);
    assert!(says(&h, "Corner: empty") && flock(&h).pen_places().len() == 3);
    ctrl(&mut h, Key::Z);
    assert_eq!(flock(&h).pen_places().len(), 2);
    ctrl(&mut h, Key::Z);
    assert!(flock(&h).pen_places().is_empty(), "one act, one undo");
}

#[test]
fn a_pen_is_called_otherwise_and_its_animals_go_along() {
    let (_folder, mut h) = pen_map();
    press(&mut h, Key::N);
    ctrl(&mut h, Key::A);
    type_in(&mut h, "Top shed");
    press(&mut h, Key::Enter);
    assert!(says(&h, "there is a pen called Top shed already"));
    ctrl(&mut h, Key::A);
    type_in(&mut h, "Corner");
    press(&mut h, Key::Enter);
    assert_eq!(in_pen(&h, "Corner").len(), 3);
    assert!(says(&h, "Corner: 0412 with 2 lambs since 10 Apr"));
}

#[test]
fn the_map_is_also_a_list_that_leads_back_to_it() {
    let (_folder, mut h) = pen_map();
    ctrl(&mut h, Key::PageDown);
    assert!(has_keyboard(&h, Role::Grid, "Pens, 3 rows"), "with those in no pen");
    assert!(says(&h, "In no pen: 1, R7"));
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::Grid, "In the pen, 2 rows"));
}

/// The demonstration's shed on a day of lambing, drawn.
#[test]
fn the_shed_of_the_demonstration_looks_like_this() {
    let folder = flocks::Folder::new();
    let spec = hirsel_demo::Spec { ewes: 60, seasons: 2, ..hirsel_demo::Spec::default() };
    let path = folder.path().join("flock.hirsel");
    let mut book = Book::create(&path, hirsel_demo::holding()).expect("made");
    hirsel_demo::make(&mut book, &spec, day(TODAY), &mut |_| {}).expect("a flock");
    assert!(book.flock().pen_places().iter().any(|p| p.pen == "Jug 1"));
    let mut h = desk(&folder, book, day(TODAY));
    h.run();
    ctrl(&mut h, Key::M);
    flocks::wait_for(&mut h, "the jobs", |h| says(h, "job"));
    hirsel_tests::shot::check(&mut h, "pen_map");
    press(&mut h, Key::L);
    press(&mut h, Key::ArrowRight);
    hirsel_tests::shot::check(&mut h, "pen_map_laying");
    ctrl(&mut h, Key::PageDown);
    hirsel_tests::shot::check(&mut h, "pen_list");
}
