//! The page of the book: tables out, the journal, the keeper, the copies.

use egui::{Key, Role};
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::Book;
use hirsel_core::terms::Sex;
use hirsel_tests::flocks::{self, ctrl, day, desk, press, retype, says, type_in};
use hirsel_tests::shot;

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, Desk>;

/// Waits for a thread's answer to show.
fn wait(h: &mut Page, text: &str) {
    for _ in 0..6_000 {
        if says(h, text) {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
        h.run();
    }
    panic!("'{text}' did not show");
}

#[test]
fn tables_go_out_where_they_came_from() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num0);
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::ArrowRight);
    h.get_by_role_and_label(Role::Button, "All of them").click();
    h.run();
    wait(&mut h, &format!("{} tables taken out", hirsel_core::exchange::Kind::ALL.len()));
    let animals = std::fs::read_to_string(folder.path().join("animals.csv")).expect("animals.csv");
    assert!(animals.starts_with("tag,sex,") && animals.contains("\n0412,ewe,"), "{animals}");
    assert!(folder.path().join("joinings.csv").exists());
    // What lies there already may have been worked on: it is left alone.
    std::fs::write(folder.path().join("animals.csv"), "mine").expect("written");
    h.get_by_role_and_label(Role::Button, "animals").click();
    h.run();
    wait(&mut h, "animals (2).csv taken out to");
    assert_eq!(std::fs::read_to_string(folder.path().join("animals.csv")).expect("there"), "mine");
    retype(&mut h, "Into the folder", "nowhere");
    press(&mut h, Key::Enter);
    wait(&mut h, "there is no folder");
}

#[test]
fn the_book_is_copied_to_a_typed_name_and_never_over_a_file() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let path = book.path().to_path_buf();
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num0);
    h.get_by_role_and_label(Role::RadioButton, "Copies and check").click();
    h.run();
    retype(&mut h, "Copy to", "stick");
    press(&mut h, Key::Enter);
    assert!(says(&h, "Copied to"));
    let copy = Book::open_plain(&folder.path().join("stick.hirsel")).expect("a whole book");
    assert_eq!(copy.flock().len(), 4);
    drop(copy);
    press(&mut h, Key::Enter);
    assert!(says(&h, "is there already: choose another name for the copy"));
    retype(&mut h, "Copy to", &path.display().to_string());
    press(&mut h, Key::Enter);
    assert!(says(&h, "is the open book itself"));
}

#[test]
fn the_form_of_the_keeper_follows_undo_until_something_is_typed() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num0);
    retype(&mut h, "Keeper", "Agnes Thornley");
    shot::check(&mut h, "book");
    assert!(says(&h, "changed, not yet written"));
    ctrl(&mut h, Key::Enter);
    assert!(!says(&h, "changed, not yet written"));
    h.get_by_role_and_label(Role::RadioButton, "A4").click();
    h.run();
    ctrl(&mut h, Key::Z);
    let keeper = h.get_by_role_and_label(Role::TextInput, "Keeper");
    assert_eq!(keeper.value().as_deref(), Some("Maud Thornley"));
}

#[test]
fn the_journal_is_searched_and_read_whole() {
    let folder = flocks::Folder::new();
    let mut book = flocks::empty_book(&folder);
    for n in 0..230 {
        flocks::add(&mut book, &format!("T{n}"), Sex::Ewe, "2024-04-01", day(TODAY));
    }
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num0);
    h.get_by_role_and_label(Role::RadioButton, "Journal").click();
    h.run();
    assert!(says(&h, "200 lines of the last 200"));
    retype(&mut h, "Search", "T7");
    assert!(says(&h, "10 lines of the last 200"), "T70 to T79: T7 is older");
    h.get_by_role_and_label(Role::Button, "The whole journal").click();
    h.run();
    assert!(says(&h, "11 lines"));
    retype(&mut h, "Search", "started");
    assert!(says(&h, "1 line"));
    // A write after that is the first line, and none is lost.
    h.get_by_role_and_label(Role::RadioButton, "Journal").click();
    h.run();
    ctrl(&mut h, Key::Z);
    retype(&mut h, "Search", "");
    assert!(says(&h, "232 lines") && says(&h, "Undid: New ewe T229"));
}

#[test]
fn the_keeper_is_written_and_the_journal_says_so() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num0);
    h.get_by_role_and_label(Role::TextInput, "Holding number").focus();
    h.run();
    ctrl(&mut h, Key::A);
    type_in(&mut h, "55/999/0001");
    ctrl(&mut h, Key::Enter);
    assert_eq!(h.state().flock().map(|f| f.holding().number.clone()).as_deref(), Some("55/999/0001"));
    h.get_by_role_and_label(Role::RadioButton, "Journal").click();
    h.run();
    assert!(says(&h, "Flock and keeper"));
    ctrl(&mut h, Key::Z);
    assert!(says(&h, "Undid: Flock and keeper"));
    assert!(says(&h, "undone"), "the undone line stays and is marked");
}

#[test]
fn the_book_is_checked_and_closed_from_its_page() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let path = book.path().to_path_buf();
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num0);
    h.get_by_role_and_label(Role::RadioButton, "Copies and check").click();
    h.run();
    h.get_by_role_and_label(Role::Button, "Check the whole book").click();
    h.run();
    assert!(says(&h, "The book is whole"));
    h.get_by_role_and_label(Role::Button, "Close this book").click_accesskit();
    h.run();
    h.get_by_role_and_label(Role::Button, "Start my flock");
    assert!(Book::open_plain(&path).is_ok(), "closed, so that it can be opened elsewhere");
}

#[test]
fn a_book_that_is_open_elsewhere_is_said_on_the_first_page() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let path = book.path().to_path_buf();
    let kept = Kept::at(&folder.path().join("kept"));
    let mut h =
        shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), Desk::new(kept, Some(path)));
    h.run();
    assert!(says(&h, "is open in another window or command: close it there first"));
    drop(book);
}
