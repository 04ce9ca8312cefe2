//! Two copies of one book in the window: looked at, brought in, decided, taken back, all by keyboard.

use egui::{Key, Role};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, Amended, WeighingDraft};
use hirsel_core::terms::{AnimalId, Moment, Sex, Weight};
use hirsel_tests::flocks::{
    self, add, ctrl, day, desk_sized, empty_book, press, says, type_in, wait_for, write,
};
use hirsel_tests::shot;
use std::path::Path;

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, Desk>;

fn grams(g: i64) -> Weight {
    Weight::from_grams(g).expect("a weight")
}

fn weigh(book: &mut Book, animal: AnimalId, on: &str, g: i64) {
    let draft = WeighingDraft { animal, at: Moment::day(day(on)), weight: grams(g), note: None };
    let check = entry::weighings(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
}

fn reweigh(book: &mut Book, ewe: AnimalId, g: i64) {
    let mut w = book.flock().file(ewe).expect("the ewe").weighings[0].clone();
    w.weight = grams(g);
    let check = entry::amend(Amended::Weighing(w), "misread", &book.flock(), day(TODAY));
    write(book, check);
}

/// His book, hers beside it with a weighing more and the first one amended otherwise than his.
fn pair(folder: &flocks::Folder) -> (Book, AnimalId) {
    let mut book = empty_book(folder);
    book.set_clock(Some("2026-04-10 20:30:00"));
    let ewe = add(&mut book, "0412", Sex::Ewe, "2021-04-02", day(TODAY));
    weigh(&mut book, ewe, "2026-04-01", 60_000);
    let his = book.path().to_path_buf();
    book.close().expect("closed");
    let open = |path: &Path, who: &str, at: &str| {
        let mut book = Book::open_plain(path).unwrap_or_else(|e| panic!("{e}"));
        book.set_who(who);
        book.set_clock(Some(at));
        book
    };
    let hers = folder.path().join("hers.hirsel");
    std::fs::copy(&his, &hers).expect("a copy");
    let mut other = open(&hers, "Siân", "2026-04-10 21:15:00");
    weigh(&mut other, ewe, "2026-04-08", 61_000);
    reweigh(&mut other, ewe, 62_000);
    other.close().expect("closed");
    let mut book = open(&his, "Ida", "2026-04-10 21:05:00");
    reweigh(&mut book, ewe, 58_000);
    // What is written in the window is of today, and can be undone.
    book.set_clock(None);
    (book, ewe)
}

fn weights(h: &Page, ewe: AnimalId) -> Vec<i64> {
    let flock = h.state().flock().cloned().expect("a book");
    flock.file(ewe).map(|f| f.weighings.iter().map(|w| w.weight.grams()).collect()).unwrap_or_default()
}

#[test]
fn another_copy_is_looked_at_brought_in_and_decided() {
    let folder = flocks::Folder::new();
    let (book, ewe) = pair(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), [1240.0, 860.0]);
    ctrl(&mut h, Key::Num0);
    for _ in 0..5 {
        press(&mut h, Key::ArrowRight);
    }
    press(&mut h, Key::Enter);
    assert!(flocks::has_keyboard(&h, Role::TextInput, "Other copy"), "the name has the keyboard");
    press(&mut h, Key::Enter);
    assert!(says(&h, "which copy? Type its name, or choose it"));
    type_in(&mut h, "nowhere.hirsel");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the refusal", |h| says(h, "there is no book at"));
    ctrl(&mut h, Key::A);
    type_in(&mut h, "hers.hirsel");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the copy", |h| says(h, "hers.hirsel: 2 lines by Siân; 1 thing to decide"));
    assert_eq!(weights(&h, ewe), [58_000], "nothing is written by looking");
    assert!(says(&h, "1 line of this copy the other does not have"));
    h.run();
    assert!(flocks::has_keyboard(&h, Role::Button, "Bring it in"));
    press(&mut h, Key::Enter);
    h.run();
    assert_eq!(weights(&h, ewe).len(), 2);
    assert!(says(&h, "To decide (1)") && says(&h, "weighing of 0412, weight"));
    shot::check(&mut h, "copies_decide");
    // One of the two buttons says what it decides, with who and when.
    let label = |h: &Page, start: &str| {
        let all: Vec<String> =
            h.query_all_by_role(Role::Button).filter_map(|n| n.accesskit_node().label()).collect();
        all.into_iter().find(|l| l.starts_with(start)).unwrap_or_else(|| panic!("no {start}"))
    };
    let theirs = label(&h, "weighing of 0412, weight, there: 62.0 kg, Siân on 2026-04-10 21:15");
    let ours = label(&h, "weighing of 0412, weight, here: 58.0 kg, Ida on 2026-04-10 21:05");
    let (pick, g) = if theirs.ends_with("holds for now") { (ours, 58_000) } else { (theirs, 62_000) };
    h.get_by_role_and_label(Role::Button, &pick).focus();
    h.run();
    press(&mut h, Key::Enter);
    h.run();
    assert_eq!(weights(&h, ewe)[0], g);
    assert!(says(&h, "To decide (0)") && says(&h, "Nothing is open; 1 thing decided."));
    // Out of the field first: there Ctrl+Z takes its letters back.
    press(&mut h, Key::Escape);
    ctrl(&mut h, Key::Z);
    h.run();
    assert!(says(&h, "To decide (1)"), "an undone decision is none");
    ctrl(&mut h, Key::Z);
    h.run();
    assert_eq!(weights(&h, ewe), [58_000], "all of the other copy is taken back at once");
    assert!(says(&h, "To decide (0)"));
}
