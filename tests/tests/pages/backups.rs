//! Copies in the window: what each holds, compared, made a book beside, put in the book's place; a second place with its
//! reminder; and a damaged book saved from the first page.

use egui::{Key, Role};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::{self, Book};
use hirsel_core::terms::{Day, Sex};
use hirsel_tests::flocks::{
    Folder, add, ctrl, day, desk_sized, empty_book, press, retype, says, type_in, wait_for,
};
use hirsel_tests::shot;
use std::path::PathBuf;

type Page = egui_kittest::Harness<'static, Desk>;

fn today() -> Day {
    day("2026-04-10")
}

/// A book with two kept copies: of one ewe, and of two; it has three.
fn kept(folder: &Folder) -> (Book, PathBuf) {
    let mut book = empty_book(folder);
    book.set_clock(Some("2026-04-03 20:30:00"));
    let copies = book::backup_folder(book.path());
    std::fs::create_dir_all(&copies).expect("a folder");
    for (tag, on) in [("0412", "2026-04-03"), ("0417", "2026-04-09"), ("0433", "")] {
        add(&mut book, tag, Sex::Ewe, "2021-04-02", today());
        if !on.is_empty() {
            book.backup(&copies.join(format!("{on}.hirsel"))).expect("copied");
        }
    }
    std::fs::write(copies.join("2026-04-01.hirsel"), b"a torn page").expect("written");
    book.set_clock(None);
    (book, copies)
}

/// The part of the copies.
fn copies_shown(h: &mut Page) {
    ctrl(h, Key::Num0);
    h.get_by_role_and_label(Role::RadioButton, "Copies and check").click();
    h.run();
    wait_for(h, "the copies", |h| says(h, "Copies kept beside the book (3)"));
}

fn click(h: &mut Page, label: &str) {
    h.get_by_role_and_label(Role::Button, label).click_accesskit();
    h.run();
}

/// Types into a field whose letters are hidden.
fn secret(h: &mut Page, label: &str, text: &str) {
    h.get_by_role_and_label(Role::PasswordInput, label).focus();
    h.run();
    ctrl(h, Key::A);
    press(h, Key::Delete);
    type_in(h, text);
}

/// The row whose sentence begins so gets the keyboard.
fn choose(h: &mut Page, starts: &str) {
    let all: Vec<String> =
        h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect();
    let row = all.iter().find(|l| l.starts_with(starts)).unwrap_or_else(|| panic!("no {starts}: {all:#?}"));
    h.get_by_role_and_label(Role::Row, row).click();
    h.run();
}

fn animals(h: &Page) -> usize {
    h.state().flock().map_or(0, |f| f.len())
}

#[test]
fn a_copy_is_compared_made_a_book_beside_and_put_in_place() {
    let folder = Folder::new();
    let (book, _) = kept(&folder);
    let mut h = desk_sized(&folder, book, today(), [1240.0, 1500.0]);
    copies_shown(&mut h);
    assert!(says(&h, "9 Apr 2026, yesterday, 2 animals, 3 lines, last on 2026-04-03 20:30"));
    assert!(says(&h, "1 Apr 2026, 9 days ago, cannot be read"));
    choose(&mut h, "3 Apr 2026, 7 days ago");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the comparison", |h| says(h, "2026-04-03: 2 lines written since; 4 records differ"));
    assert!(says(&h, "animal, new") && says(&h, "identity, new"));
    retype(&mut h, "Search", "0433");
    h.run();
    click(&mut h, "Done with it");
    click(&mut h, "Restore beside the book");
    wait_for(&mut h, "the book beside", |h| says(h, "flock of 2026-04-03.hirsel lies beside the book"));
    assert_eq!(animals(&h), 3, "the open book is as it was");
    click(&mut h, "Put in the book’s place…");
    assert!(says(&h, "what stands there now is kept beside it"));
    click(&mut h, "Put it in its place");
    wait_for(&mut h, "the copy in its place", |h| h.state().flock().is_some_and(|f| f.len() == 1));
    assert!(folder.path().join("flock.hirsel before restoring").exists());
}

/// The keys of a copy for the second place.
fn second_copy<S>(h: &mut egui_kittest::Harness<'_, S>) {
    h.key_press_modifiers(egui::Modifiers::COMMAND | egui::Modifiers::SHIFT, Key::S);
    h.run();
}

#[test]
fn a_second_place_reminds_and_takes_a_copy_by_one_key() {
    let folder = Folder::new();
    let (book, _) = kept(&folder);
    let path = book.path().to_path_buf();
    let stick = folder.path().join("stick");
    let mut h = desk_sized(&folder, book, today(), [1240.0, 800.0]);
    copies_shown(&mut h);
    retype(&mut h, "Folder", &stick.display().to_string());
    click(&mut h, "Set the second place");
    wait_for(&mut h, "the look", |h| says(h, "The second place for copies is not there"));
    ctrl(&mut h, Key::Num1);
    assert!(says(&h, "plug it in, then put a copy there"));
    shot::check(&mut h, "backups_tonight");
    // Not there: said, and nothing waits for it.
    second_copy(&mut h);
    wait_for(&mut h, "the word", |h| says(h, "plug it in and do it again; nothing is lost"));
    std::fs::create_dir(&stick).expect("a folder");
    second_copy(&mut h);
    wait_for(&mut h, "the copy", |h| says(h, "A copy is in the second place and was read back"));
    wait_for(&mut h, "no reminder", |h| !says(h, "plug it in, then put a copy there"));
    let there = book::copies(&book::place_folder(&stick, &path));
    assert_eq!(there.len(), 1);
    assert_eq!(book::held(&there[0].path).expect("read").animals, 3);
    // It is this machine's, not the book's: another desk of the same folder knows it.
    let set = Kept::at(&folder.path().join("kept")).second(&path).expect("kept");
    assert_eq!((set.folder, set.days), (stick.clone(), 7));
    // Closing puts a copy there, too.
    std::fs::remove_file(&there[0].path).expect("removed");
    copies_shown(&mut h);
    click(&mut h, "Close this book");
    wait_for(&mut h, "the parting copy", |_| there[0].path.exists());
}

#[test]
fn a_copy_is_closed_with_a_passphrase_typed_twice() {
    let folder = Folder::new();
    let (book, _) = kept(&folder);
    let mut h = desk_sized(&folder, book, today(), [1240.0, 1500.0]);
    copies_shown(&mut h);
    secret(&mut h, "Passphrase", "hay barn gate moon");
    secret(&mut h, "Once more", "hay barn gate noon");
    click(&mut h, "Copy and close it");
    assert!(says(&h, "The two passphrases are not the same"));
    secret(&mut h, "Once more", "hay barn gate moon");
    click(&mut h, "Copy and close it");
    wait_for(&mut h, "the copy", |h| says(h, "closed with the passphrase"));
    let sealed = folder.path().join("flock 2026-04-10.age");
    assert!(book::is_sealed(&sealed));
    let back = folder.path().join("back.hirsel");
    book::restore_sealed(&sealed, &back, "hay barn gate moon").expect("restored");
    assert_eq!(Book::open_plain(&back).expect("opens").flock().len(), 3);
    // What was typed is in no draft.
    h.state_mut().save_drafts();
    let kept = folder.path().join("kept");
    let drafts = std::fs::read_dir(kept.join("drafts")).into_iter().flatten().flatten();
    for d in drafts {
        assert!(!std::fs::read_to_string(d.path()).expect("read").contains("hay barn"));
    }
}

#[test]
fn a_damaged_book_is_saved_from_the_first_page() {
    let folder = Folder::new();
    let (book, _) = kept(&folder);
    let path = book.path().to_path_buf();
    book.close().expect("closed");
    let mut bytes = std::fs::read(&path).expect("read");
    let root: i64 = rusqlite::Connection::open(&path)
        .and_then(|db| {
            db.query_row("select rootpage from sqlite_schema where name = 'identity'", [], |r| r.get(0))
        })
        .expect("a root");
    let at = (root as usize - 1) * 4096;
    bytes[at..at + 4096].fill(0xff);
    std::fs::write(&path, bytes).expect("written");
    let desk = Desk::at_start(Kept::at(&folder.path().join("kept")), today());
    let mut h: Page = shot::harness([1240.0, 900.0], |ui, desk: &mut Desk| desk.view(ui), desk);
    h.run();
    h.get_by_role_and_label(Role::TextInput, "File").focus();
    h.run();
    type_in(&mut h, &path.display().to_string());
    press(&mut h, Key::Enter);
    assert!(says(&h, "is damaged or was cut short"));
    click(&mut h, "Save what can be read");
    wait_for(&mut h, "the new book", |h| says(h, "What could be read is in flock saved.hirsel"));
    assert!(says(&h, "3 records made anew from the journal") && says(&h, "Nothing is lost"));
    click(&mut h, "Open the new book");
    assert_eq!(animals(&h), 3);
    assert!(h.state().flock().is_some_and(|f| f.by_tag("0433").is_some()));
}
