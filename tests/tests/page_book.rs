//! The page of the book: a table read and looked at before it is brought in, the journal, the keeper, the copies.

use egui::{Key, Role};
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::Book;
use hirsel_tests::flocks::{self, ctrl, day, desk, press, says, type_in};
use hirsel_tests::shot;

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, Desk>;

/// Waits for a thread's answer to show.
fn wait(h: &mut Page, text: &str) {
    for _ in 0..300 {
        if says(h, text) {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
        h.run();
    }
    panic!("'{text}' did not show");
}

fn read_table(h: &mut Page, path: &std::path::Path) {
    h.get_by_role_and_label(Role::TextInput, "File").focus();
    h.run();
    ctrl(h, Key::A);
    type_in(h, &path.display().to_string());
    press(h, Key::Enter);
}

#[test]
fn a_table_is_looked_at_and_then_brought_in_as_one_write() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::Enter);
    let table = folder.path().join("more.csv");
    std::fs::write(
        &table,
        "tag,sex,born,dam\n0500,ewe,2024-03-01,0412\n0501,ewe,31/3/2024,0412\n0417,ewe,,\n",
    )
    .expect("a table");
    read_table(&mut h, &table);
    wait(&mut h, "more.csv was refused and nothing was written");
    assert!(says(&h, "line 3, column born: value '31/3/2024'"), "every bad row is named");
    assert!(says(&h, "line 4, column tag: value '0417'"));
    assert_eq!(h.state().flock().map(|f| f.len()), Some(4), "nothing was written");
    std::fs::write(&table, "tag,sex,born,dam\n0500,ewe,2024-03-01,0412\n0501,ewe,2024-03-01,0412\n")
        .expect("a table");
    read_table(&mut h, &table);
    wait(&mut h, "Read and checked: 2 animals from more.csv");
    assert_eq!(h.state().flock().map(|f| f.len()), Some(4), "not yet");
    h.get_by_role_and_label(Role::Button, "Bring them in").click();
    h.run();
    assert_eq!(h.state().flock().map(|f| f.len()), Some(6));
    assert!(says(&h, "Brought in 2 animals from more.csv"));
    ctrl(&mut h, Key::Z);
    assert_eq!(h.state().flock().map(|f| f.len()), Some(4), "one undo takes all of it back");
}

#[test]
fn tables_go_out_where_they_came_from() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    press(&mut h, Key::ArrowRight);
    h.get_by_role_and_label(Role::Button, "All six").click();
    h.run();
    wait(&mut h, "6 tables taken out");
    let animals = std::fs::read_to_string(folder.path().join("animals.csv")).expect("animals.csv");
    assert!(animals.starts_with("tag,sex,") && animals.contains("\n0412,ewe,"), "{animals}");
    assert!(folder.path().join("joinings.csv").exists());
}

#[test]
fn the_keeper_is_written_and_the_journal_says_so() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
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
    ctrl(&mut h, Key::Num7);
    h.get_by_role_and_label(Role::RadioButton, "Copies and check").click();
    h.run();
    h.get_by_role_and_label(Role::Button, "Check the whole book").click();
    h.run();
    assert!(says(&h, "The book is whole"));
    h.get_by_role_and_label(Role::Button, "Close this book").click();
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
