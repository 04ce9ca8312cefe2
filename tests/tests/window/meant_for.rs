//! What an animal is meant for: in its forms, on its leaf, in the search, and in the jobs of the plan.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::Desk;
use hirsel_core::flock::Flock;
use hirsel_core::reckon::due::of_animal;
use hirsel_core::terms::MeantFor;
use hirsel_tests::flocks::{self, ctrl, day, desk, press, retype, says, type_in};
use std::sync::Arc;

const TODAY: &str = "2026-04-10";

type Page = Harness<'static, Desk>;

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

fn choose(h: &mut Page, label: &str, letter: &str) {
    h.get_by_role_and_label(Role::RadioGroup, label).focus();
    h.run();
    type_in(h, letter);
}

#[test]
fn a_ram_lamb_meant_for_breeding_is_not_asked_to_be_castrated() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    h.get_by_role_and_label(Role::Button, "New animal").click();
    h.run();
    retype(&mut h, "Tag", "0777");
    choose(&mut h, "Sex", "r");
    retype(&mut h, "Born", "5 apr");
    choose(&mut h, "Meant for", "b");
    ctrl(&mut h, Key::Enter);
    let id = flock(&h).by_tag("0777").expect("written");
    let meant = |h: &Page| flock(h).animal(id).map(|a| a.meant_for);
    let castrated = |h: &Page| of_animal(&flock(h), id, day(TODAY)).iter().any(|j| j.step.key == "castrate");
    assert_eq!(meant(&h), Some(MeantFor::Breeding));
    assert!(!castrated(&h));
    assert!(says(&h, "Meant for"), "its leaf tells");
    // Another mind: for the market.
    h.get_by_role_and_label(Role::Button, "Facts").click();
    h.run();
    choose(&mut h, "Meant for", "t");
    ctrl(&mut h, Key::Enter);
    assert_eq!(meant(&h), Some(MeantFor::Market));
    assert!(castrated(&h));
    assert!(says(&h, "the market"));
    ctrl(&mut h, Key::Z);
    assert_eq!(meant(&h), Some(MeantFor::Breeding));
}

#[test]
fn the_list_finds_animals_by_what_they_are_meant_for() {
    let folder = flocks::Folder::new();
    let (mut book, [ewe, ..]) = flocks::joined_book(&folder);
    let mut a = book.flock().animal(ewe).expect("in the book").clone();
    a.meant_for = MeantFor::Market;
    let check = hirsel_core::entry::edit_animal(a, None, &book.flock(), day(TODAY));
    flocks::write(&mut book, check);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    type_in(&mut h, "market");
    assert!(says(&h, "1 shown"));
    retype(&mut h, "Search", "breeding");
    assert!(says(&h, "No animal fits"));
    press(&mut h, Key::Escape);
}
