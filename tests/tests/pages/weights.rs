//! Weights by the keyboard: the day carried on, what the list of the day counts, growth.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, AnimalDraft, WeighingDraft};
use hirsel_core::flock::RecordRef;
use hirsel_core::terms::{AnimalId, Born, Moment, Sex, Tag, Weight};
use hirsel_tests::flocks::{self, ctrl, day, desk, enter, has_keyboard, press, says, type_in, write};

const TODAY: &str = "2026-04-10";

type Page = Harness<'static, Desk>;

/// Day and grams of an animal's weighings.
fn weights(h: &Page, id: AnimalId) -> Vec<(String, i64)> {
    let flock = h.state().flock().cloned().expect("a book is open");
    let file = flock.file(id).expect("in the book");
    file.weighings.iter().map(|w| (w.at.words(), w.weight.grams())).collect()
}

fn weigh(book: &mut Book, id: AnimalId, on: &str, grams: i64) {
    let weight = Weight::from_grams(grams).expect("a weight");
    let draft = WeighingDraft { animal: id, at: Moment::day(day(on)), weight, note: None };
    let check = entry::weighings(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
}

fn lamb(book: &mut Book, tag: &str, born: &str, grams: i64) -> AnimalId {
    let mut draft = AnimalDraft::new(Tag::parse(tag).expect("a tag"), Sex::Ewe);
    draft.born = Born::parse(born).expect("a day");
    draft.birth_weight = Weight::from_grams(grams);
    let id = draft.id;
    let check = entry::animals(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
    id
}

fn rows(h: &Page) -> Vec<String> {
    h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect()
}

#[test]
fn day_and_time_are_typed_once_and_carried_on() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    assert!(has_keyboard(&h, Role::TextInput, "Animal"), "the tag has the keyboard at once");
    h.get_by_role_and_label(Role::TextInput, "Day").focus();
    h.run();
    enter(&mut h, &["yesterday", "0815"]);
    assert!(has_keyboard(&h, Role::TextInput, "Animal"), "from the time on to the tag");
    enter(&mut h, &["0412", "61", "17", "53"]);
    assert_eq!(weights(&h, ids[0])[1], ("9 Apr 2026, 08:15".into(), 61_000));
    assert_eq!(weights(&h, ids[1])[1], ("9 Apr 2026, 08:15".into(), 53_000));
    assert!(says(&h, "Weighed on 9 Apr 2026"));
    assert!(says(&h, "2 weighings, mean 57.0 kg"));
    ctrl(&mut h, Key::Z);
    assert_eq!(weights(&h, ids[1]).len(), 1, "the last is undone");
    assert!(says(&h, "1 weighing, mean 61.0 kg"));
}

#[test]
fn what_the_animal_was_stands_beside_what_is_typed() {
    let folder = flocks::Folder::new();
    let (mut book, _) = flocks::shed_book(&folder);
    let id = lamb(&mut book, "0601", "2026-02-28", 4_000);
    weigh(&mut book, id, "2026-03-31", 12_500);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    enter(&mut h, &["0601"]);
    assert!(says(&h, "41 days old; weighed 12.5 kg on 31 Mar 2026, 10 days before"));
    type_in(&mut h, "15.5");
    // (15.5 − 4.0) / 41 days and (15.5 − 12.5) / 10 days.
    assert!(says(&h, "280 g a day since birth, 300 g a day over the last 10 days"));
    press(&mut h, Key::Enter);
    let status = "0601: 15.5 kg, 280 g a day since birth, 300 g a day over the last 10 days";
    h.get_by_role_and_label(Role::Status, status);
}

#[test]
fn a_tag_typed_in_full_is_taken_before_longer_ones() {
    let folder = flocks::Folder::new();
    let (mut book, _) = flocks::shed_book(&folder);
    let exact = flocks::add(&mut book, "12", Sex::Ewe, "2023-03-01", day(TODAY));
    flocks::add(&mut book, "120", Sex::Ewe, "2023-03-01", day(TODAY));
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    enter(&mut h, &["12", "50"]);
    assert_eq!(weights(&h, exact), [("10 Apr 2026".into(), 50_000)]);
}

#[test]
fn what_is_wrong_is_told_where_it_stands() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    enter(&mut h, &["0412"]);
    press(&mut h, Key::Enter);
    assert!(says(&h, "what does it weigh?") && has_keyboard(&h, Role::TextInput, "Weight"));
    h.get_by_role_and_label(Role::TextInput, "Day").focus();
    h.run();
    enter(&mut h, &["tomorrow"]);
    h.get_by_role_and_label(Role::TextInput, "Weight").focus();
    h.run();
    enter(&mut h, &["61"]);
    assert!(says(&h, "11 Apr 2026 has not come yet") && has_keyboard(&h, Role::TextInput, "Day"));
    assert_eq!(weights(&h, ids[0]).len(), 1);
}

#[test]
fn the_day_list_counts_only_what_stands() {
    let folder = flocks::Folder::new();
    let (mut book, [a, b, ..]) = flocks::shed_book(&folder);
    weigh(&mut book, a, TODAY, 61_000);
    weigh(&mut book, b, TODAY, 54_000);
    let flock = book.flock();
    let wrong = flock.file(b).expect("ewe").weighings[1].id;
    let check = entry::strike(b, RecordRef::Weighing(wrong), "another ewe", &flock, day(TODAY));
    write(&mut book, check);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    assert!(says(&h, "1 weighing, mean 61.0 kg, 1 struck out"));
    assert!(
        rows(&h)[0].starts_with("0417,") && rows(&h)[0].ends_with("54.0 kg, 1474, struck out"),
        "newest first"
    );
}

#[test]
fn growth_names_the_day_of_a_rough_sixty_day_weight() {
    let folder = flocks::Folder::new();
    let (mut book, _) = flocks::shed_book(&folder);
    let near = lamb(&mut book, "0601", "2026-02-01", 4_000);
    let far = lamb(&mut book, "0602", "2026-01-10", 4_000);
    weigh(&mut book, near, "2026-04-02", 22_000);
    weigh(&mut book, far, "2026-04-10", 31_000);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    ctrl(&mut h, Key::PageDown);
    assert!(has_keyboard(&h, Role::TextInput, "Search"));
    type_in(&mut h, "lamb 060");
    let rows = rows(&h);
    assert_eq!(rows.len(), 2, "every word must fit");
    // 60 days: as weighed. 90 days: 4 + (31 − 4) · 60 / 90.
    assert!(rows[0].starts_with("0601,") && rows[0].ends_with("22.0 kg"), "{}", rows[0]);
    assert!(rows[1].starts_with("0602,") && rows[1].ends_with("22.0 kg, day 90"), "{}", rows[1]);
}

#[test]
fn the_next_evening_begins_on_its_own_day() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let path = book.path().to_path_buf();
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    h.get_by_role_and_label(Role::TextInput, "Day").focus();
    h.run();
    enter(&mut h, &["3 apr", "0815", "0412", "61"]);
    h.run_steps(3);
    drop(h);
    let book = Book::open_plain(&path).expect("the lock went with the program");
    let mut h = desk(&folder, book, day("2026-04-11"));
    assert_eq!(h.get_by_role_and_label(Role::TextInput, "Day").value().as_deref().unwrap_or_default(), "");
    enter(&mut h, &["0417", "54"]);
    assert_eq!(weights(&h, ids[1])[1], ("11 Apr 2026".into(), 54_000));
}
