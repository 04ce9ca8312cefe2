//! The whole desk by the keyboard: pages, finding, a new animal, undo and redo, drafts that outlive the window.

use egui::{Key, Modifiers, Role};
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::Book;
use hirsel_core::terms::Sex;
use hirsel_tests::flocks::{self, ctrl, day, desk, has_keyboard, press, says, type_in};
use hirsel_tests::shot;

const TODAY: &str = "2026-04-10";

#[test]
fn the_first_page_offers_two_choices_and_a_book() {
    let folder = flocks::Folder::new();
    let start = Desk::at_start(Kept::at(folder.path()), day(TODAY));
    let mut h = shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), start);
    h.run();
    h.get_by_role_and_label(Role::Button, "Look round with a made-up flock");
    assert!(has_keyboard(&h, Role::Button, "Start my flock"));
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Name of the flock"));
    type_in(&mut h, "Thornley flock");
    let book = folder.path().join("Thornley flock.hirsel");
    h.get_by_role_and_label(Role::TextInput, "Keep the book at").focus();
    h.run();
    ctrl(&mut h, Key::A);
    type_in(&mut h, &book.display().to_string());
    ctrl(&mut h, Key::Enter);
    assert_eq!(h.state().flock().map(|f| f.holding().flock.clone()).as_deref(), Some("Thornley flock"));
    assert!(book.exists());
    assert!(says(&h, "The book is empty"));
}

#[test]
fn an_animal_is_added_found_and_undone_by_keys() {
    let folder = flocks::Folder::new();
    let mut book = flocks::empty_book(&folder);
    flocks::add(&mut book, "0412", Sex::Ewe, "2021-04-02", day(TODAY));
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    assert!(has_keyboard(&h, Role::TextInput, "Search"));
    h.get_by_role_and_label(Role::Button, "New animal").click();
    h.run();
    assert!(has_keyboard(&h, Role::TextInput, "Tag"));
    type_in(&mut h, "0412");
    press(&mut h, Key::Enter);
    type_in(&mut h, "e");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "the tag 0412 is worn by ewe 0412"), "a tag in use is refused beside its field");
    h.get_by_role_and_label(Role::TextInput, "Tag").focus();
    h.run();
    ctrl(&mut h, Key::A);
    type_in(&mut h, "0499");
    ctrl(&mut h, Key::Enter);
    let id = h.state().flock().and_then(|f| f.by_tag("0499")).expect("written");
    assert_eq!(h.state_mut().pages().and_then(|p| p.leaf.open), Some(id), "its leaf opens");
    assert!(says(&h, "Undo new ewe 0499"));
    ctrl(&mut h, Key::Z);
    assert_eq!(h.state().flock().map(|f| f.len()), Some(1));
    assert!(says(&h, "Redo new ewe 0499"));
    h.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    h.run();
    assert_eq!(h.state().flock().map(|f| f.len()), Some(2));
}

#[test]
fn ctrl_f_finds_by_any_part_of_a_tag() {
    let folder = flocks::Folder::new();
    let (book, [_, ewe, ..]) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::F);
    assert!(has_keyboard(&h, Role::TextInput, "Find"));
    type_in(&mut h, "17");
    press(&mut h, Key::Enter);
    assert_eq!(h.state_mut().pages().and_then(|p| p.leaf.open), Some(ewe));
}

#[test]
fn ctrl_z_in_a_field_takes_back_typing_and_not_the_last_write() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    type_in(&mut h, "04");
    ctrl(&mut h, Key::Z);
    let flock = h.state().flock().cloned().expect("open");
    assert!(flock.files().any(|f| !f.joinings.is_empty()), "the joining stands");
    ctrl(&mut h, Key::Num1);
    ctrl(&mut h, Key::Z);
    let flock = h.state().flock().cloned().expect("open");
    assert!(flock.files().all(|f| f.joinings.is_empty()), "outside a field the last write is undone");
}

#[test]
fn half_typed_forms_outlive_the_window_and_a_crash() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let path = book.path().to_path_buf();
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    h.get_by_role_and_label(Role::Button, "New animal").click();
    h.run();
    type_in(&mut h, "0777 half");
    h.run_steps(3);
    // Gone without a goodbye: nothing is closed.
    drop(h);
    let book = Book::open_plain(&path).expect("the lock went with the program");
    let again = desk(&folder, book, day(TODAY));
    let tag = again.get_by_role_and_label(Role::TextInput, "Tag");
    assert_eq!(tag.value().as_deref(), Some("0777 half"));
}

#[test]
fn tonight_and_flock_look_right() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    shot::check(&mut h, "tonight");
    ctrl(&mut h, Key::Num3);
    shot::check(&mut h, "flock");
}

#[test]
fn the_panel_of_speed_is_shown_by_its_key_and_asks_for_no_frame() {
    let folder = flocks::Folder::new();
    let mut book = flocks::empty_book(&folder);
    flocks::add(&mut book, "0412", Sex::Ewe, "2021-04-02", day(TODAY));
    let mut h = desk(&folder, book, day(TODAY));
    assert!(h.query_by_label("How fast is it?").is_none(), "hidden until it is asked for");
    let key = |h: &mut egui_kittest::Harness<'_, Desk>| {
        h.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::F);
        h.run();
    };
    key(&mut h);
    for label in
        ["How fast is it?", "Last frame", "Worst frame", "Median of the last 600", "99 in 100 within"]
    {
        h.get_by_label(label);
    }
    for figure in ["Animals", "Events"] {
        h.get_by_label(figure);
    }
    #[cfg(target_os = "linux")]
    h.get_by_label("Memory");
    // Half a second passes so that drafts are kept; then nothing asks for anything.
    h.run();
    let delay = h.output().viewport_output.values().map(|v| v.repaint_delay).min();
    assert_eq!(delay, Some(std::time::Duration::MAX), "the panel asks for no frame of its own");
    key(&mut h);
    assert!(h.query_by_label("How fast is it?").is_none(), "the same key hides it");
}
