//! Treatments by the keyboard: a selection, a product nobody knows, half-typed fields, the log, the products.

use egui::{Key, Modifiers, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::Book;
use hirsel_core::entry::{self, Amended, DoseDraft, TreatmentDraft};
use hirsel_core::flock::{Flock, RecordRef, Treatment};
use hirsel_core::reckon::clearance::{Clear, clearance};
use hirsel_core::terms::{AnimalId, Dose, DoseRule, Moment, Withdrawal};
use hirsel_tests::flocks::{self, ctrl, day, desk, enter, has_keyboard, press, says, type_in, write};
use hirsel_tests::shot;
use std::sync::Arc;

const TODAY: &str = "2026-04-10";

type Page = Harness<'static, Desk>;

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

fn treatments(h: &Page, id: AnimalId) -> Vec<Treatment> {
    flock(h).file(id).expect("in the book").treatments.to_vec()
}

fn clears(clear: &str) -> Clear {
    Clear::From(day(clear))
}

/// The labels of the rows of a table that are seen, from the top.
fn rows(h: &Page) -> Vec<String> {
    h.query_all_by_role(Role::Row)
        .filter_map(|n| egui_kittest::kittest::NodeT::accesskit_node(&n).label())
        .collect()
}

/// A treatment on a day, written into the book.
fn give(book: &mut Book, id: AnimalId, product: &str, on: &str, meat: Withdrawal, milk: Withdrawal) {
    let draft = TreatmentDraft {
        animals: vec![id],
        at: Moment::day(day(on)),
        product: product.into(),
        batch: Some("B-9".into()),
        dose: DoseDraft::Typed(Dose::from_ml(5.0)),
        route: None,
        site: None,
        reason: Some("foot rot".into()),
        given_by: Some("Tam".into()),
        prescribed_by: None,
        meat: Some(meat),
        milk: Some(milk),
        more: Default::default(),
    };
    let check = entry::treatments(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
}

#[test]
fn a_selection_is_treated_and_the_next_keeps_what_repeats() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    enter(&mut h, &["04", ""]);
    press(&mut h, Key::Space);
    h.key_press_modifiers(Modifiers::SHIFT, Key::ArrowDown);
    h.run();
    h.get_by_role_and_label(Role::Button, "Treat").click();
    h.run();
    assert!(says(&h, "2 animals:"));
    assert!(has_keyboard(&h, Role::TextInput, "Product"), "whom is settled");
    enter(&mut h, &["clos", "CV-1"]);
    assert!(says(&h, "To draw up for 2 animals: 4 ml"));
    ctrl(&mut h, Key::Enter);
    for id in &ids[..2] {
        let all = treatments(&h, *id);
        assert_eq!((all.len(), all[0].dose), (1, Dose::from_ml(2.0)));
        let f = flock(&h);
        assert_eq!(clearance(f.file(*id).expect("ewe"), day(TODAY)).meat.clear, clears("2026-04-11"));
    }
    assert!(treatments(&h, ids[2]).is_empty());
    // Another one of the same: only its tag is typed.
    assert!(has_keyboard(&h, Role::TextInput, "Animal"), "ready for the next");
    enter(&mut h, &["0433"]);
    ctrl(&mut h, Key::Enter);
    let last = &treatments(&h, ids[2])[0];
    assert_eq!((last.product.as_str(), last.batch.as_deref()), ("clostridial vaccine 4-in-1", Some("CV-1")));
    assert_eq!(last.given_by.as_deref(), Some("Maud Thornley"), "as the book says who gives");
    ctrl(&mut h, Key::Z);
    assert!(treatments(&h, ids[2]).is_empty(), "undone");
}

#[test]
fn one_of_a_selection_is_taken_out_again() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    enter(&mut h, &["", "top"]);
    h.get_by_role_and_label(Role::Button, "Take 0417 out").click();
    h.run();
    assert!(says(&h, "2 animals:"));
    h.get_by_role_and_label(Role::TextInput, "Product").focus();
    h.run();
    type_in(&mut h, "leva");
    ctrl(&mut h, Key::Enter);
    let many: Vec<usize> = ids[..3].iter().map(|id| treatments(&h, *id).len()).collect();
    assert_eq!(many, [1, 0, 1]);
}

#[test]
fn ctrl_enter_writes_what_the_field_in_hand_would_hold() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    type_in(&mut h, "17");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "1 animal:"), "the only match is taken");
    assert!(has_keyboard(&h, Role::TextInput, "Product"), "the first thing that is missing");
    type_in(&mut h, "leva");
    ctrl(&mut h, Key::Enter);
    let all = treatments(&h, ids[1]);
    assert_eq!(all[0].product, "levamisole drench", "never the three letters typed");
    assert_eq!((all[0].dose, all[0].meat), (Dose::from_ml(5.2), Withdrawal::Days(21)));
}

#[test]
fn a_product_that_is_not_in_the_cupboard_is_unknown_and_not_clear() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    enter(&mut h, &["0412", "", "", "", "", "zinc foot bath"]);
    assert!(has_keyboard(&h, Role::TextInput, "Batch"), "Enter goes on all the same");
    assert!(says(&h, "not in the cupboard"));
    assert!(says(&h, "Meat: unknown, not clear"));
    // Typed in words, the period is known: 3 days from the end of the 10th.
    h.get_by_role_and_label(Role::TextInput, "Meat withdrawal").focus();
    h.run();
    type_in(&mut h, "3 days");
    assert!(says(&h, "Meat: clear 14 Apr 2026"));
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let c = clearance(f.file(ids[0]).expect("ewe"), day(TODAY));
    assert_eq!((c.meat.clear, c.milk.clear), (clears("2026-04-14"), Clear::Unknown));
}

#[test]
fn a_name_that_several_products_fit_is_not_written() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    enter(&mut h, &["0412", "", "", "", ""]);
    type_in(&mut h, "l");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "'l' is not settled: 2 of the cupboard fit"));
    assert!(has_keyboard(&h, Role::TextInput, "Product"));
    assert!(treatments(&h, ids[0]).is_empty());
}

#[test]
fn a_dose_by_weight_needs_a_weight() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    enter(&mut h, &["R7", "0412", "", "", "", "", "leva"]);
    assert!(says(&h, "1 animal has no weight: weigh first, or type the dose"));
    ctrl(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::RadioGroup, "Dose"), "the keyboard stands where it can be mended");
    assert!(treatments(&h, ids[3]).is_empty());
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::Enter);
    type_in(&mut h, "6");
    ctrl(&mut h, Key::Enter);
    assert_eq!(treatments(&h, ids[3])[0].dose, Dose::from_ml(6.0));
}

#[test]
fn a_changed_label_reaches_the_form_that_stands_open() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    enter(&mut h, &["0412", "", "", "", "", "leva"]);
    assert!(says(&h, "Meat: clear 2 May 2026"), "10 April + 21 + 1");
    for _ in 0..3 {
        ctrl(&mut h, Key::PageDown);
    }
    for key in [Key::Home, Key::ArrowDown, Key::Enter] {
        press(&mut h, key);
    }
    assert!(has_keyboard(&h, Role::TextInput, "Name on the label"), "opened by its row");
    h.get_by_role_and_label(Role::TextInput, "Meat withdrawal").focus();
    h.run();
    ctrl(&mut h, Key::A);
    type_in(&mut h, "28");
    ctrl(&mut h, Key::Enter);
    assert_eq!(flock(&h).product("levamisole drench").map(|p| p.meat), Some(Withdrawal::Days(28)));
    for _ in 0..3 {
        ctrl(&mut h, Key::PageUp);
    }
    assert!(says(&h, "Meat: clear 9 May 2026"), "10 April + 28 + 1");
    ctrl(&mut h, Key::Enter);
    assert_eq!(treatments(&h, ids[0])[0].meat, Withdrawal::Days(28));
}

#[test]
fn products_are_written_by_keys_and_a_wrong_dose_is_refused_at_its_field() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    for _ in 0..3 {
        ctrl(&mut h, Key::PageDown);
    }
    h.get_by_role_and_label(Role::Button, "New product").focus();
    h.run();
    press(&mut h, Key::Enter);
    enter(&mut h, &["oxytetracycline 200", "oxytetracycline", "injection", "200", "sheep, cattle"]);
    // What it is, how it is sold, stored and opened, and the most at once stay as they are.
    enter(&mut h, &["", "", "", "", "", "", "1"]);
    assert!(has_keyboard(&h, Role::TextInput, "Dose"));
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "how many ml?") && has_keyboard(&h, Role::TextInput, "Dose"));
    enter(&mut h, &["0.1", "into the m", "28", "never"]);
    let f = flock(&h);
    let p = f.product("oxytetracycline 200").expect("written");
    assert_eq!((p.rule, p.meat, p.milk), (DoseRule::PerKg(100), Withdrawal::Days(28), Withdrawal::Never));
    assert_eq!(p.strength.map(|s| s.mg_per_ml()), Some(200.0));
    assert!(has_keyboard(&h, Role::TextInput, "Name on the label"), "another may follow");
    type_in(&mut h, "levamisole drench");
    assert!(says(&h, "is in the cupboard: this changes it"));
}

#[test]
fn who_is_held_back_stands_by_clear_day_with_what_holds_it() {
    let folder = flocks::Folder::new();
    let (mut book, [a, b, c, ram]) = flocks::shed_book(&folder);
    give(&mut book, a, "wormer A", "2026-04-01", Withdrawal::Days(28), Withdrawal::Never);
    give(&mut book, b, "wormer B", "2026-04-01", Withdrawal::Days(14), Withdrawal::Days(0));
    give(&mut book, c, "drench C", "2026-04-09", Withdrawal::Unknown, Withdrawal::Unknown);
    give(&mut book, ram, "drench D", "2026-03-01", Withdrawal::Days(7), Withdrawal::Days(7));
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    ctrl(&mut h, Key::PageDown);
    assert!(has_keyboard(&h, Role::TextInput, "Search"));
    assert!(says(&h, "3 animals are under withdrawal"));
    assert_eq!(
        rows(&h),
        [
            "0417, meat clear 16 Apr, because of wormer B, 1 Apr 2026",
            "0412, meat clear 30 Apr, milk: never, because of wormer A, 1 Apr 2026",
            "0433, meat and milk: period unknown, because of drench C, 9 Apr 2026",
        ]
    );
    type_in(&mut h, "wormer 12");
    assert_eq!(rows(&h).len(), 1, "every word must fit");
    press(&mut h, Key::Enter);
    press(&mut h, Key::Home);
    press(&mut h, Key::Enter);
    assert_eq!(
        h.state_mut().pages().and_then(|p| p.leaf.open),
        Some(a),
        "from the search to the leaf by keys"
    );
}

#[test]
fn the_log_is_newest_first_and_shows_what_was_struck_and_amended() {
    let folder = flocks::Folder::new();
    let (mut book, [a, b, ..]) = flocks::shed_book(&folder);
    let days = |n| (Withdrawal::Days(n), Withdrawal::Days(n));
    for (id, product, on, (meat, milk)) in [
        (a, "wormer A", "2026-03-01", days(7)),
        (b, "wormer B", "2026-04-02", days(28)),
        (a, "spray C", "2026-04-09", days(0)),
    ] {
        give(&mut book, id, product, on, meat, milk);
    }
    let flock = book.flock();
    let first = flock.file(a).expect("ewe").treatments[0].clone();
    let second = flock.file(b).expect("ewe").treatments[0].clone();
    let check = entry::strike(a, RecordRef::Treatment(first.id), "another ewe", &flock, day(TODAY));
    write(&mut book, check);
    let mut new = second;
    new.batch = Some("B-10".into());
    let check = entry::amend(Amended::Treatment(new), "misread the bottle", &book.flock(), day(TODAY));
    write(&mut book, check);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    ctrl(&mut h, Key::PageDown);
    ctrl(&mut h, Key::PageDown);
    assert!(says(&h, "3 treatments"));
    assert_eq!(
        rows(&h),
        [
            "2026-04-09, 0412, spray C, 5 ml, 2026-04-10, 2026-04-10, foot rot, B-9, Tam",
            "2026-04-02, 0417, wormer B, 5 ml, 2026-05-01, 2026-05-01, amended, foot rot, B-10, Tam",
            "2026-03-01, 0412, wormer A, 5 ml, struck out, foot rot, B-9, Tam",
        ],
        "a struck-out record holds nothing back"
    );
    for key in [Key::Enter, Key::Home, Key::ArrowDown] {
        press(&mut h, key);
    }
    assert!(says(
        &h,
        "0417, 2 Apr 2026: wormer B, batch B-10, 5 ml; reason: foot rot; given by Tam; meat: clear"
    ));
    assert!(says(&h, "amended: misread the bottle"), "the row in hand is told in full");
    press(&mut h, Key::ArrowDown);
    assert!(says(&h, "given by Tam; struck out: another ewe"));
    h.get_by_role_and_label(Role::TextInput, "Search").focus();
    h.run();
    for (search, left) in [("b-10", 1), ("struck", 1), ("0412 mar", 1), ("tam", 3), ("tam b-11", 0)] {
        ctrl(&mut h, Key::A);
        type_in(&mut h, search);
        assert_eq!(rows(&h).len(), left, "{search}");
    }
    assert!(says(&h, "No treatment fits the search"));
}

#[test]
fn a_form_left_overnight_keeps_the_day_it_meant() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let path = book.path().to_path_buf();
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    enter(&mut h, &["0412", "", "", "", "", "leva"]);
    h.run_steps(3);
    drop(h);
    let book = Book::open_plain(&path).expect("the lock went with the program");
    let mut h = desk(&folder, book, day("2026-04-11"));
    assert_eq!(h.get_by_role_and_label(Role::TextInput, "Day").value().as_deref(), Some(TODAY));
    ctrl(&mut h, Key::Enter);
    assert_eq!(treatments(&h, ids[0])[0].at.day, day(TODAY));
}

#[test]
fn pages_look_right() {
    let folder = flocks::Folder::new();
    let (mut book, [a, b, c, _]) = flocks::shed_book(&folder);
    give(&mut book, a, "wormer A", "2026-04-01", Withdrawal::Days(28), Withdrawal::Never);
    give(&mut book, c, "drench C", "2026-04-09", Withdrawal::Unknown, Withdrawal::Days(0));
    give(&mut book, b, "spray D", "2026-01-09", Withdrawal::Days(7), Withdrawal::Days(7));
    let wide = [1240.0, 800.0];
    let state = Desk::with_book(Kept::at(&folder.path().join("kept")), book, day(TODAY));
    let mut h = shot::harness(wide, |ui, desk: &mut Desk| desk.view(ui), state);
    h.run();
    ctrl(&mut h, Key::Num6);
    for name in ["held", "log", "products"] {
        ctrl(&mut h, Key::PageDown);
        shot::check(&mut h, &format!("treatments_{name}"));
    }
}
