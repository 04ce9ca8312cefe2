//! The note line: barn notes typed at the foot of a page, shown as understood, written with Enter, undone in one.

use egui::{Key, Modifiers, Role};
use hirsel_core::terms::Status;
use hirsel_tests::flocks::{self, ctrl, day, desk, desk_sized, has_keyboard, press, says, type_in};
use hirsel_tests::shot;

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, hirsel_app::desk::Desk>;

fn flock(h: &Page) -> std::sync::Arc<hirsel_core::flock::Flock> {
    h.state().flock().cloned().expect("a book is open")
}

fn note(h: &mut Page, text: &str) {
    ctrl(h, Key::N);
    assert!(has_keyboard(h, Role::MultilineTextInput, "Barn note"), "Ctrl+N gives it the keyboard");
    type_in(h, text);
}

#[test]
fn a_note_is_shown_as_a_sentence_and_written_with_enter() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    note(&mut h, "0412 twins: ram 4.3, ewe 3.9, both sucked");
    assert!(says(&h, "0412 lambed: ram 4.3 kg, sucked, ewe 3.9 kg, sucked"));
    press(&mut h, Key::Enter);
    let f = flock(&h);
    assert_eq!(f.file(ewe).expect("ewe").lambings.len(), 1);
    assert!(says(&h, "Lambing of 0412: twins"), "the status line says so");
    assert!(has_keyboard(&h, Role::MultilineTextInput, "Barn note"), "ready for the next");
    // The lambs are known at once.
    type_in(&mut h, "0412a on the bottle");
    assert!(says(&h, "0412/26-1 on the bottle"));
    press(&mut h, Key::Enter);
    ctrl(&mut h, Key::Z);
    ctrl(&mut h, Key::Z);
    assert!(flock(&h).file(ewe).expect("ewe").lambings.is_empty(), "undone one by one");
}

#[test]
fn an_evening_of_lines_is_one_act() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    let before = flock(&h).len();
    ctrl(&mut h, Key::N);
    h.event(egui::Event::Paste(
        "0412 twins: ram 4.3, ewe 3.9\nyesterday 0412b dead (chilled)\n0412 to jug 4".into(),
    ));
    h.run();
    assert!(says(&h, "No animal of the book wears the tag 0412b"), "yesterday it was not born");
    assert!(says(&h, "0412 to \"jug 4\""), "a new pen is one of two readings");
    press(&mut h, Key::Enter);
    assert_eq!(flock(&h).len(), before, "nothing is written while a line is refused");
    // The line is mended: back to its beginning.
    h.key_press_modifiers(Modifiers::COMMAND, Key::A);
    h.event(egui::Event::Paste(
        "0412 twins: ram 4.3, ewe 3.9\n0412b dead (chilled)\n0412 to \"Jug 4\"".into(),
    ));
    h.run();
    press(&mut h, Key::Enter);
    let f = flock(&h);
    let file = f.file(ewe).expect("ewe");
    assert_eq!((file.lambings.len(), file.animal.pen.as_deref()), (1, Some("Jug 4")));
    let second = f.animal(file.lambings[0].lambs[1]).expect("the second lamb");
    assert_eq!(second.status, Status::Dead);
    ctrl(&mut h, Key::Z);
    assert_eq!(flock(&h).len(), before, "one undo takes all of it back");
}

#[test]
fn what_can_mean_several_things_is_chosen_by_its_number() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    note(&mut h, "0412 to top shed");
    assert!(says(&h, "This can mean several things. Which?"));
    press(&mut h, Key::Enter);
    assert!(flock(&h).file(ewe).expect("ewe").pen_moves.iter().all(|p| p.pen.as_deref() != Some("top shed")));
    h.key_press_modifiers(Modifiers::ALT, Key::Num2);
    h.run();
    press(&mut h, Key::Enter);
    let f = flock(&h);
    assert_eq!(f.file(ewe).expect("ewe").remarks[0].text, "to top shed");
}

#[test]
fn what_looks_unlikely_asks_for_a_word() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    note(&mut h, "0412 weighed 61");
    press(&mut h, Key::Enter);
    note(&mut h, "0412 weighed 31");
    press(&mut h, Key::Enter);
    assert_eq!(flock(&h).file(ewe).expect("ewe").weighings.len(), 1, "asked about");
    assert!(has_keyboard(&h, Role::TextInput, "Why"));
    type_in(&mut h, "shorn and empty");
    press(&mut h, Key::Enter);
    assert_eq!(flock(&h).file(ewe).expect("ewe").weighings.len(), 2);
}

#[test]
fn tab_makes_a_word_of_the_book_whole() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    note(&mut h, "0412 to \"Long field\"");
    press(&mut h, Key::Enter);
    note(&mut h, "0412 out of the pen");
    press(&mut h, Key::Enter);
    note(&mut h, "0412 to lon");
    press(&mut h, Key::Tab);
    assert!(says(&h, "0412 to Long field") || says(&h, "0412 to \"Long field\""));
    press(&mut h, Key::Enter);
    assert_eq!(flock(&h).file(ewe).expect("ewe").animal.pen.as_deref(), Some("Long field"));
}

#[test]
fn it_looks_as_it_should() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), [1240.0, 800.0]);
    ctrl(&mut h, Key::N);
    h.event(egui::Event::Paste(
        "0412 twins: ram 4.3, ewe 3.9, both up and sucked\n0412a to pen 9, lame near fore\n0413 to top shed\n9999 lame".into(),
    ));
    h.run();
    shot::check(&mut h, "note_line");
}
