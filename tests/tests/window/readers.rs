//! A reader that types, in the fields of the window and outside of them.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_app::pages::PageId;
use hirsel_core::flock::AnimalFile;
use hirsel_core::terms::AnimalId;
use hirsel_tests::flocks::{self, ctrl, day, desk, has_keyboard, press, says, type_in};
use hirsel_tests::reader::{numbered_book, scan, type_slowly};

const TODAY: &str = "2026-04-10";

type Page = Harness<'static, Desk>;

fn opened(folder: &flocks::Folder) -> (Page, [AnimalId; 4]) {
    let (book, ids) = numbered_book(folder);
    (desk(folder, book, day(TODAY)), ids)
}

fn file(h: &Page, id: AnimalId) -> AnimalFile {
    h.state().flock().and_then(|f| f.file(id).cloned()).expect("in the book")
}

fn leaf(h: &mut Page) -> Option<AnimalId> {
    let pages = h.state_mut().pages().expect("a book is open");
    pages.leaf.open.filter(|_| pages.at == PageId::Flock)
}

fn value(h: &Page, label: &str) -> String {
    h.get_by_role_and_label(Role::TextInput, label).accesskit_node().value().unwrap_or_default()
}

#[test]
fn in_a_treatment_one_after_the_other_and_an_unknown_one_is_told() {
    let folder = flocks::Folder::new();
    let (mut h, _) = opened(&folder);
    ctrl(&mut h, Key::Num6);
    assert!(has_keyboard(&h, Role::TextInput, "Animal"));
    scan(&mut h, "826 012345600412");
    assert!(h.query_by_role_and_label(Role::Button, "Take 0412 out").is_some(), "taken at once");
    assert!(has_keyboard(&h, Role::TextInput, "Animal"), "ready for the next");
    scan(&mut h, "826012345600777");
    assert!(says(&h, "no animal wears 826 012345600777: read it again, or give it to its animal"));
    assert_eq!(value(&h, "Animal"), "826012345600777", "what was read is kept");
    // A figure lost on the way is nobody, though two numbers begin so.
    scan(&mut h, "82601234560041");
    assert!(says(&h, "has 14 figures"));
    scan(&mut h, "LA 826 012345600417");
    assert!(h.query_by_role_and_label(Role::Button, "Take 0417 out").is_some(), "the next takes its place");
    assert!(h.query_by_role_and_label(Role::Button, "Take 0433 out").is_none());
    // The same once more is the same animal.
    scan(&mut h, "826012345600417");
    assert!(says(&h, "2 animals:"));
}

#[test]
fn in_a_lambing_and_at_the_scale_the_keyboard_goes_on() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = opened(&folder);
    ctrl(&mut h, Key::Num5);
    assert!(has_keyboard(&h, Role::TextInput, "Ewe"));
    // As the word of 64 bits (ISO 11784).
    scan(&mut h, "8000CE82DFDAE99C");
    assert!(has_keyboard(&h, Role::TextInput, "Day"), "on to the day");
    assert!(value(&h, "Ewe").starts_with("0412"), "{}", value(&h, "Ewe"));
    ctrl(&mut h, Key::Num7);
    assert!(has_keyboard(&h, Role::TextInput, "Animal"));
    scan(&mut h, "826-0123456-00417");
    assert!(has_keyboard(&h, Role::TextInput, "Weight"));
    type_in(&mut h, "53");
    press(&mut h, Key::Enter);
    assert_eq!(file(&h, ids[1]).weighings.last().map(|w| w.weight.grams()), Some(53_000));
    // A ram's number where a ewe is asked for is told, not taken for another.
    ctrl(&mut h, Key::Num5);
    flocks::retype(&mut h, "Ewe", "");
    scan(&mut h, "826012345600007");
    assert!(!has_keyboard(&h, Role::TextInput, "Ewe") || says(&h, "R7"));
}

#[test]
fn in_the_note_line_a_number_is_the_animals_name() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = opened(&folder);
    ctrl(&mut h, Key::N);
    scan(&mut h, "826012345600412");
    assert!(file(&h, ids[0]).remarks.is_empty(), "the reader's Enter writes nothing");
    assert!(has_keyboard(&h, Role::MultilineTextInput, "Barn note"));
    type_in(&mut h, "lame left fore");
    assert!(says(&h, "0412: lame left fore") || says(&h, "lame left fore"));
    press(&mut h, Key::Enter);
    assert_eq!(file(&h, ids[0]).remarks.last().map(|r| r.text.clone()).as_deref(), Some("lame left fore"));
    // Typed or pasted into the middle it is understood as it stands.
    type_in(&mut h, "826 012345600433 48.9");
    press(&mut h, Key::Enter);
    assert_eq!(file(&h, ids[2]).weighings.last().map(|w| w.weight.grams()), Some(48_900));
    scan(&mut h, "826012345600777");
    assert!(says(&h, "no animal wears 826 012345600777"));
    assert!(has_keyboard(&h, Role::MultilineTextInput, "Barn note"), "and kept");
}

#[test]
fn in_the_field_of_the_head_it_opens_the_leaf() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = opened(&folder);
    ctrl(&mut h, Key::F);
    scan(&mut h, "826012345600433");
    assert_eq!(leaf(&mut h), Some(ids[2]));
}

#[test]
fn in_the_search_of_the_flock_its_row_is_the_one_in_hand() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = opened(&folder);
    ctrl(&mut h, Key::Num3);
    assert!(has_keyboard(&h, Role::TextInput, "Search"));
    scan(&mut h, "UK 0123456 00433");
    h.run();
    press(&mut h, Key::Enter);
    assert_eq!(leaf(&mut h), Some(ids[2]), "Enter on the row opens it");
}

#[test]
fn where_no_field_has_the_keyboard_it_opens_the_leaf() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = opened(&folder);
    ctrl(&mut h, Key::Num3);
    // Into the table: its blanks would choose rows, its Enter open the row in hand.
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::ArrowDown);
    scan(&mut h, "826 012345600433");
    assert_eq!(leaf(&mut h), Some(ids[2]));
    h.state_mut().pages().expect("open").leaf.open = None;
    h.run();
    assert!(!says(&h, "1 chosen"), "no row was chosen by a blank of the number");
    // A number nobody wears is told, and kept where one finds animals.
    press(&mut h, Key::ArrowDown);
    scan(&mut h, "826012345600777");
    assert!(says(&h, "no animal wears 826 012345600777"));
    assert_eq!(value(&h, "Find"), "826012345600777");
}

#[test]
fn a_person_opens_nothing_so_and_the_keeper_may_turn_it_off() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = opened(&folder);
    ctrl(&mut h, Key::Num3);
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::ArrowDown);
    type_slowly(&mut h, "826012345600433");
    assert_ne!(leaf(&mut h), Some(ids[2]), "typed slowly it is no reader");
    h.state_mut().pages().expect("open").leaf.open = None;
    h.run();
    h.get_by_role_and_label(Role::Button, "Read a list…").click();
    h.run();
    h.get_by_label("does nothing").click();
    h.run();
    let kept = Kept::at(&folder.path().join("kept"));
    assert!(kept.settings().scan_rests, "the setting is kept");
    h.get_by_role_and_label(Role::Button, "Back to the flock").click();
    h.run();
    press(&mut h, Key::ArrowDown);
    scan(&mut h, "826012345600412");
    assert_ne!(leaf(&mut h), Some(ids[0]));
}
