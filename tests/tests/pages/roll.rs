//! A list of who was read, on the page of the flock: looked at, marked, treated, moved, its unknown numbers given.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::terms::{AnimalId, IdentityKind};
use hirsel_tests::flocks::{self, ctrl, day, desk, has_keyboard, press, says, type_in, wait_for};
use hirsel_tests::reader::numbered_book;
use hirsel_tests::shot;

const TODAY: &str = "2026-04-10";

type Page = Harness<'static, Desk>;

fn click(h: &mut Page, name: &str) {
    h.get_by_role_and_label(Role::Button, name).click();
    h.run();
}

fn rows(h: &Harness<'_, Desk>) -> Vec<String> {
    h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect()
}

fn worn(h: &Harness<'_, Desk>, id: AnimalId) -> Option<String> {
    let flock = h.state().flock().cloned().expect("a book");
    flock.animal(id).and_then(|a| a.worn(IdentityKind::Electronic)).map(|i| i.tag.to_string())
}

/// The page with a list pasted and read.
fn opened(folder: &flocks::Folder, text: &str) -> (Page, [AnimalId; 4]) {
    let (book, ids) = numbered_book(folder);
    let mut h = desk(folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    ctrl(&mut h, Key::R);
    h.run();
    assert!(has_keyboard(&h, Role::MultilineTextInput, "List"), "the list has the keyboard");
    h.event(egui::Event::Paste(text.into()));
    h.run();
    ctrl(&mut h, Key::Enter);
    wait_for(&mut h, "the list", |h| says(h, "reading"));
    h.run();
    (h, ids)
}

const LIST: &str =
    "826 012345600412\n826 012345600777\n0417\n826012345600412\n82601234560043\nR7\n826012345600423\n";

#[test]
fn it_is_shown_and_the_missing_are_told() {
    let folder = flocks::Folder::new();
    let (mut h, _) = opened(&folder, LIST);
    assert!(says(
        &h,
        "7 readings: 3 animals in the flock, 2 not in the book, 1 that cannot be told, 1 read again"
    ));
    assert!(has_keyboard(&h, Role::Button, "Mark these in the list"));
    flocks::retype(&mut h, "Should be", "Top shed");
    h.run();
    assert!(says(&h, "Of Top shed not read: 0433"));
    assert!(says(&h, "Read, but not of Top shed: R7"));
    let all = rows(&h);
    assert!(all.iter().any(|r| r.contains("read again") && r.contains("first on line 1")), "{all:?}");
    assert!(all.iter().any(|r| r.contains("has 14 figures")), "{all:?}");
    assert!(all.iter().any(|r| r.contains("not read") && r.contains("0433")), "{all:?}");
    assert!(
        all.iter().any(|r| r.contains("one sign off 826012345600433 of 0433") || r.contains("of 0433")),
        "{all:?}"
    );
    shot::check(&mut h, "flock_roll");
    flocks::retype(&mut h, "Search", "0433");
    h.run();
    assert!(rows(&h).iter().all(|r| r.contains("0433")), "{:?}", rows(&h));
}

#[test]
fn its_animals_are_marked_treated_and_moved() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = opened(&folder, LIST);
    press(&mut h, Key::Enter);
    assert!(says(&h, "3 chosen"), "marked in the list with one key");
    ctrl(&mut h, Key::R);
    h.run();
    click(&mut h, "Move these to a pen");
    assert!(says(&h, "Move to pen: "), "{:?}", rows(&h));
    assert!(has_keyboard(&h, Role::TextInput, "Pen"));
    type_in(&mut h, "Jug 3");
    press(&mut h, Key::Enter);
    press(&mut h, Key::Enter);
    let flock = h.state().flock().cloned().expect("a book");
    for id in [ids[0], ids[1], ids[3]] {
        assert_eq!(flock.animal(id).and_then(|a| a.pen.clone()).as_deref(), Some("Jug 3"));
    }
    assert_eq!(flock.animal(ids[2]).and_then(|a| a.pen.clone()).as_deref(), Some("Top shed"));
    ctrl(&mut h, Key::R);
    wait_for(&mut h, "the list", |h| says(h, "reading"));
    click(&mut h, "Treat these");
    assert!(says(&h, "3 animals:"), "in the form of a treatment");
    assert!(h.query_by_role_and_label(Role::Button, "Take 0417 out").is_some());
    click(&mut h, "Take all out");
    click(&mut h, "Read a list…");
    assert!(says(&h, "Read a list"), "and back to the list");
}

#[test]
fn an_unknown_number_is_given_to_its_animal_or_to_a_new_one() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = opened(&folder, "826012345600778\n826012345600779\n");
    assert_eq!(worn(&h, ids[0]).as_deref(), Some("826012345600412"));
    // From the search into the list, to its first row, Enter: whose is it?
    h.get_by_role_and_label(Role::TextInput, "Search").focus();
    h.run();
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::Home);
    press(&mut h, Key::Enter);
    h.run();
    assert!(has_keyboard(&h, Role::TextInput, "Whose"), "{:?}", rows(&h));
    type_in(&mut h, "0412");
    assert!(says(&h, "no animal of the book wears 826 012345600778"));
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the number", |h| worn(h, ids[0]).as_deref() == Some("826012345600778"));
    wait_for(&mut h, "the list read again", |h| says(h, "1 animal in the flock, 1 not in the book"));
    h.get_by_role_and_label(Role::TextInput, "Search").focus();
    h.run();
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::Home);
    click(&mut h, "A new animal with it");
    assert!(has_keyboard(&h, Role::TextInput, "Tag"));
    type_in(&mut h, "0450");
    press(&mut h, Key::Enter);
    type_in(&mut h, "e");
    ctrl(&mut h, Key::Enter);
    let flock = h.state().flock().cloned().expect("a book");
    let new = flock.by_tag("0450").expect("written");
    assert_eq!(worn(&h, new).as_deref(), Some("826012345600779"));
    wait_for(&mut h, "back at the list", |h| says(h, "2 animals in the flock"));
    ctrl(&mut h, Key::Z);
    ctrl(&mut h, Key::Z);
    assert_eq!(worn(&h, ids[0]).as_deref(), Some("826012345600412"), "taken back");
}

#[test]
fn a_file_with_weights_goes_on_to_the_scale() {
    let folder = flocks::Folder::new();
    let (book, _) = numbered_book(&folder);
    let text = "EID;Weight (kg);Date;Time\n826012345600412;61,0;2026-04-09;09:41\n826012345600417;53,5;2026-04-09;09:42\n";
    std::fs::write(folder.path().join("yard.txt"), text).expect("a file");
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    ctrl(&mut h, Key::R);
    h.run();
    h.get_by_role_and_label(Role::TextInput, "Or a file").focus();
    h.run();
    type_in(&mut h, "yard.txt");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the list", |h| says(h, "2 readings"));
    click(&mut h, "Weights to a session");
    wait_for(&mut h, "the weights", |h| says(h, "2 lines: 2 weights"));
    assert!(h.query_by_role_and_label(Role::Button, "Write 2 animals as a session").is_some());
}

#[test]
fn what_is_no_list_is_told_and_kept() {
    let folder = flocks::Folder::new();
    let (book, _) = numbered_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    ctrl(&mut h, Key::R);
    h.run();
    type_in(&mut h, "good morning");
    ctrl(&mut h, Key::Enter);
    wait_for(&mut h, "the refusal", |h| says(h, "there is no tag and no number in it"));
    assert!(says(&h, "A reading"), "with the setting of the reader below");
    let node = h.get_by_role_and_label(Role::MultilineTextInput, "List");
    assert_eq!(node.accesskit_node().value().as_deref(), Some("good morning"));
    shot::check(&mut h, "flock_roll_asked");
}
