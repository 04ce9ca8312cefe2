//! Tonight: jobs by pen done, put off and left out by the keyboard, each as one act.

use egui::{Key, Role};
use hirsel_core::flock::Outcome;
use hirsel_core::reckon::due;
use hirsel_tests::flocks::{self, ctrl, day, desk, desk_sized, enter, has_keyboard, press, says, type_in};
use hirsel_tests::shot;

type Page = egui_kittest::Harness<'static, hirsel_app::desk::Desk>;

fn flock(h: &Page) -> std::sync::Arc<hirsel_core::flock::Flock> {
    h.state().flock().cloned().expect("a book is open")
}

/// Two ewes with three lambs in Jug 1, born two days ago; a vaccine in the cupboard.
fn lambed(folder: &flocks::Folder) -> (Page, Vec<hirsel_core::terms::AnimalId>) {
    let (mut book, _) = flocks::joined_book(folder);
    let today = day("2026-03-27");
    let mut notes = hirsel_core::book::Evening::of(
        "2026-03-25 0412 twins: ram 4.3, ewe 3.9, both sucked, both dipped\n\
         2026-03-25 0417 single: ram 5.1 sucked, dipped\n\
         0412, 0417, 0412a, 0412b, 0417a to \"Jug 1\"",
    );
    notes.word = "as it was".into();
    if let Err(lines) = book.write_notes(&mut notes, today).expect("the file can be written") {
        panic!("{lines:#?}");
    }
    let f = book.flock();
    let lambs = ["0412/26-1", "0412/26-2", "0417/26-1"].map(|t| f.by_tag(t).expect(t)).to_vec();
    (desk(folder, book, today), lambs)
}

fn open_jobs(h: &Page, step: &str) -> usize {
    let f = flock(h);
    f.present()
        .flat_map(|a| due::of_animal(&f, a.animal.id, day("2026-03-27")))
        .filter(|j| j.step.key == step && j.state.is_now())
        .count()
}

/// Opens the first round that the search finds.
fn round(h: &mut Page, search: &str) {
    let field = h.get_by_role_and_label(Role::TextInput, "Search");
    field.focus();
    h.run();
    h.key_press_modifiers(egui::Modifiers::COMMAND, Key::A);
    type_in(h, search);
    press(h, Key::Enter);
    press(h, Key::Enter);
}

use egui_kittest::kittest::Queryable as _;

#[test]
fn a_round_is_done_for_all_but_one() {
    let folder = flocks::Folder::new();
    let (mut h, lambs) = lambed(&folder);
    assert_eq!(open_jobs(&h, "eyelids"), 3);
    round(&mut h, "eyelids");
    assert!(has_keyboard(&h, Role::TextInput, "All but"), "the form has the keyboard");
    type_in(&mut h, "26-2: scouring");
    ctrl(&mut h, Key::Enter);
    assert_eq!(open_jobs(&h, "eyelids"), 1, "one is left over");
    let f = flock(&h);
    assert!(f.file(lambs[1]).expect("lamb").remarks[0].text.ends_with("not done: scouring"));
    ctrl(&mut h, Key::Z);
    assert_eq!(open_jobs(&h, "eyelids"), 3, "one undo takes back the ticks and the note");
    assert!(flock(&h).file(lambs[1]).expect("lamb").remarks.is_empty());
}

#[test]
fn a_round_is_put_off_and_another_left_out_with_a_word() {
    let folder = flocks::Folder::new();
    let (mut h, lambs) = lambed(&folder);
    round(&mut h, "eyelids");
    // From 'All but' back to what became of them, then on: all but, day, until, why.
    h.key_press_modifiers(egui::Modifiers::SHIFT, Key::Enter);
    h.run();
    type_in(&mut h, "p");
    enter(&mut h, &["", "", "", "+3"]);
    type_in(&mut h, "too wet");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let tick = &f.file(lambs[0]).expect("lamb").ticks[0];
    assert_eq!((tick.outcome, tick.note.as_deref()), (Outcome::PutOff(day("2026-03-30")), Some("too wet")));
    assert_eq!(open_jobs(&h, "eyelids"), 0);
    round(&mut h, "warm");
    h.run();
    assert!(has_keyboard(&h, Role::TextInput, "All but"));
    h.key_press_modifiers(egui::Modifiers::SHIFT, Key::Enter);
    h.run();
    type_in(&mut h, "l");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "a word why it is left out"), "nothing is left out without a word");
}

#[test]
fn the_page_asked_for_once_more_gives_the_keyboard_back() {
    let folder = flocks::Folder::new();
    let (mut h, _) = lambed(&folder);
    press(&mut h, Key::F1);
    press(&mut h, Key::Escape);
    ctrl(&mut h, Key::Num1);
    // Letters over the list are words to search for.
    type_in(&mut h, "eyel");
    press(&mut h, Key::Enter);
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "All but"));
}

#[test]
fn the_first_line_tells_what_to_do_first() {
    let folder = flocks::Folder::new();
    let (h, _) = lambed(&folder);
    assert!(says(&h, "First: "), "the first thing stands on top");
}

#[test]
fn it_looks_as_it_should() {
    let folder = flocks::Folder::new();
    let today = day("2026-03-29");
    let path = folder.path().join("made up.hirsel");
    let mut book = hirsel_core::book::Book::create(&path, hirsel_demo::holding()).expect("made");
    hirsel_demo::make(&mut book, &hirsel_demo::Spec::default(), today, &mut |_| {}).expect("filled");
    let mut h = desk_sized(&folder, book, today, [1240.0, 800.0]);
    h.run();
    shot::check(&mut h, "tonight_jobs");
    press(&mut h, Key::Enter);
    shot::check(&mut h, "tonight_form");
}
