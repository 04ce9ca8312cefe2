//! The leaf: found at the gate, read, walked by keys; records opened, amended, struck out; tags, standing, drafts.

use egui::{Key, Modifiers, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::flock::{Ended, Flock, RecordRef};
use hirsel_core::reckon::clearance::{Clear, clearance};
use hirsel_core::terms::{AnimalId, Dose, Rearing, Status};
use hirsel_tests::flocks::{self, ctrl, day, desk, has_keyboard, press, says, type_in};
use hirsel_tests::life::{self, Ids, TODAY};
use hirsel_tests::shot;
use std::sync::Arc;

type Page = Harness<'static, Desk>;

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

fn open(h: &mut Page) -> Option<AnimalId> {
    h.state_mut().pages().and_then(|p| p.leaf.open)
}

/// The desk with this animal's leaf found by part of its tag.
fn leaf(folder: &flocks::Folder, find: &str) -> (Page, Ids) {
    let (b, ids) = life::book(folder);
    let mut h = desk(folder, b, day(TODAY));
    ctrl(&mut h, Key::F);
    type_in(&mut h, find);
    press(&mut h, Key::Enter);
    (h, ids)
}

fn go<S>(h: &mut Harness<'_, S>, role: Role, label: &str) {
    h.get_by_role_and_label(role, label).click();
    h.run();
}

/// Presses a letter as a window tells it: the key and the text it makes, in one frame.
fn letter(h: &mut Page, key: Key) {
    let pressed = egui::Event::Key {
        key,
        physical_key: None,
        pressed: true,
        repeat: false,
        modifiers: Modifiers::NONE,
    };
    h.input_mut().events.extend([pressed, egui::Event::Text(key.name().to_lowercase())]);
    h.run();
}

/// Types over a field.
fn over(h: &mut Page, label: &str, text: &str) {
    h.get_by_role_and_label(Role::TextInput, label).focus();
    h.run();
    ctrl(h, Key::A);
    type_in(h, text);
}

#[test]
fn a_ewe_is_found_by_part_of_her_tag_and_read() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = leaf(&folder, "412");
    assert_eq!(open(&mut h), Some(ids.ewe));
    assert!(says(&h, "ewe, 5 years old, in Long Acre"));
    assert!(says(&h, "under withdrawal: meat clear 30 Apr, milk clear 12 Apr"));
    assert!(says(&h, "levamisole drench, given 8 Apr 2026"), "what decides");
    assert!(says(&h, "Past lambings (3)"));
    for line in [
        "1 Apr 2026: 2 born, 2 alive, 0 reared, 2 still young",
        "28 Mar 2025: 2 born, 1 alive, 1 reared; 0561 born dead",
        "30 Mar 2024: 1 born, 1 alive, 1 reared",
    ] {
        h.get_by_role_and_label(Role::Row, line);
    }
    // Figures with the number behind them, beside the flock's.
    assert!(says(&h, "5 (1.67 a lambing)"));
    // By hand: (4500 + 4100 + 3300 + 4200 + 3900) / 5 = 4000 g; the flock of those years are her lambs alone.
    assert!(says(&h, "4.0 kg (5 lambs)"));
    assert!(says(&h, "flock 4.0 kg; the same"));
    // Pedigree: each ancestor by name, the unknown said to be so.
    for (role, name) in [
        (Role::Button, "sire: R4"),
        (Role::Button, "dam: 0207 Fern"),
        (Role::Button, "grandsire: R2"),
        (Role::Button, "granddam: 0105"),
    ] {
        h.get_by_role_and_label(role, name);
    }
    assert_eq!(h.query_all_by_label("great-granddam: not known").count(), 2, "of the two known grandparents");
    go(&mut h, Role::Button, "dam: 0207 Fern");
    assert_eq!(flock(&h).tag(open(&mut h).expect("open")), "0207");
    press(&mut h, Key::Escape);
    assert_eq!(open(&mut h), Some(ids.ewe), "Esc leads back to where one came from");
    press(&mut h, Key::Backspace);
    assert_eq!(open(&mut h), None, "and then to the list");
}

#[test]
fn a_lambing_is_opened_and_from_it_a_lamb() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = leaf(&folder, "412");
    h.get_by_role_and_label(Role::Row, "28 Mar 2025: 2 born, 1 alive, 1 reared; 0561 born dead").click();
    h.run();
    press(&mut h, Key::Enter);
    assert!(says(&h, "Lambing of 0412"));
    h.get_by_role_and_label(Role::Button, "0561 ewe, 3.3 kg, born dead");
    go(&mut h, Role::Button, "0560 ram, 4.1 kg");
    assert_eq!(open(&mut h), Some(ids.lamb));
    // By hand: 4.1 + (20.5 − 4.1) · 60 / 60; (20500 − 4100) / 60 = 273 g; (32500 − 20500) / 60 = 200 g.
    assert!(says(&h, "20.5 kg at 60 days (weighed at 60 days)"));
    h.get_by_role_and_label(Role::Row, "27 May 2025, 20.5 kg, 60, 273 g a day, 273 g a day");
    h.get_by_role_and_label(Role::Row, "26 Jul 2025, 32.5 kg, 120, 237 g a day, 200 g a day");
}

#[test]
fn a_doubtful_sire_a_ram_and_an_unknown_animal() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = leaf(&folder, "577");
    assert_eq!(open(&mut h), Some(ids.doubtful));
    h.get_by_role_and_label(Role::Label, "sire: one of R7, R9");
    assert!(says(&h, "clear: no treatment is written down"));
    ctrl(&mut h, Key::F);
    type_in(&mut h, "R7");
    press(&mut h, Key::Enter);
    assert_eq!(open(&mut h), Some(ids.ram));
    assert!(says(&h, "2026: 2 lambs"));
    assert!(says(&h, "2025: 2 lambs, 1 more in doubt"));
    ctrl(&mut h, Key::F);
    type_in(&mut h, "X1");
    press(&mut h, Key::Enter);
    assert_eq!(open(&mut h), Some(ids.stranger));
    assert!(says(&h, "age not known"));
    assert!(says(&h, "Nothing is written down yet"));
}

#[test]
fn letters_open_the_forms_and_are_not_typed_into_them() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = leaf(&folder, "412");
    letter(&mut h, Key::N);
    assert!(has_keyboard(&h, Role::TextInput, "Note"));
    assert_eq!(h.get_by_role_and_label(Role::TextInput, "Note").value().as_deref().unwrap_or(""), "");
    type_in(&mut h, "twin of 0413, new shoes");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let notes = &f.file(ids.ewe).expect("ewe").remarks;
    assert_eq!(notes.last().map(|r| r.text.as_str()), Some("twin of 0413, new shoes"));
    letter(&mut h, Key::W);
    assert!(has_keyboard(&h, Role::TextInput, "Weight"));
    type_in(&mut h, "40");
    ctrl(&mut h, Key::Enter);
    assert_eq!(flock(&h).file(ids.ewe).map(|f| f.weighings.len()), Some(2), "no question: 68 days on");
    letter(&mut h, Key::P);
    assert!(has_keyboard(&h, Role::TextInput, "Pen"));
    type_in(&mut h, "Jug 3");
    ctrl(&mut h, Key::Enter);
    assert_eq!(flock(&h).animal(ids.ewe).and_then(|a| a.pen.clone()).as_deref(), Some("Jug 3"));
    press(&mut h, Key::Escape);
    assert_eq!(open(&mut h), None, "no form is left open: Esc leads to the list");
}

#[test]
fn esc_closes_the_form_first_and_what_is_typed_stays_with_its_animal() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = leaf(&folder, "412");
    letter(&mut h, Key::N);
    type_in(&mut h, "half a note");
    press(&mut h, Key::Escape);
    assert_eq!(open(&mut h), Some(ids.ewe), "only the form is closed");
    assert!(h.query_by_role_and_label(Role::TextInput, "Note").is_none());
    h.key_press_modifiers(Modifiers::COMMAND, Key::PageDown);
    h.run();
    let next = open(&mut h).expect("open");
    assert_eq!(flock(&h).tag(next), "0501", "the next by tag");
    letter(&mut h, Key::N);
    let field = h.get_by_role_and_label(Role::TextInput, "Note");
    assert_eq!(field.value().as_deref().unwrap_or(""), "", "another animal, another note");
    press(&mut h, Key::Escape);
    h.key_press_modifiers(Modifiers::COMMAND, Key::PageUp);
    h.run();
    assert_eq!(open(&mut h), Some(ids.ewe));
    letter(&mut h, Key::N);
    let field = h.get_by_role_and_label(Role::TextInput, "Note");
    assert_eq!(field.value().as_deref(), Some("half a note"));
}

#[test]
fn the_life_is_walked_by_keys() {
    let folder = flocks::Folder::new();
    let (mut h, _) = leaf(&folder, "412");
    let said = |h: &Page| h.get_by_role(Role::Slider).accesskit_node().label().unwrap_or_default();
    assert_eq!(said(&h), "Life, 8 events");
    press(&mut h, Key::ArrowRight);
    assert_eq!(said(&h), "Life, 8 events; 2 Apr 2021: Born 2 Apr 2021");
    press(&mut h, Key::ArrowRight);
    assert!(said(&h).contains("30 Mar 2024: Lambed a single: 0501 ewe 4.5 kg"), "{}", said(&h));
    press(&mut h, Key::End);
    assert!(said(&h).contains("8 Apr 2026: levamisole drench, 6 ml for worms"), "{}", said(&h));
    press(&mut h, Key::Plus);
    press(&mut h, Key::Plus);
    press(&mut h, Key::ArrowLeft);
    assert!(said(&h).contains("1 Apr 2026: Lambed twins"), "{}", said(&h));
    press(&mut h, Key::Enter);
    assert!(says(&h, "Lambing of 0412"));
    assert!(h.query_by_role_and_label(Role::Button, "0602 ram, 3.9 kg").is_some());
}

#[test]
fn a_treatment_is_amended_and_the_clear_day_follows() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = leaf(&folder, "412");
    press(&mut h, Key::ArrowLeft);
    press(&mut h, Key::Enter);
    assert!(says(&h, "Treatment of 0412"));
    letter(&mut h, Key::A);
    assert!(has_keyboard(&h, Role::TextInput, "Day"));
    over(&mut h, "Meat withdrawal", "28 days");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "a reason is needed"));
    over(&mut h, "Reason", "label read again");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let file = f.file(ids.ewe).expect("ewe");
    // By hand: 8 April + 28 days + 1.
    assert_eq!(clearance(file, day(TODAY)).meat.clear, Clear::From(day("2026-05-07")));
    assert!(says(&h, "under withdrawal: meat clear 7 May, milk clear 12 Apr"));
    let trail = f.amendments(RecordRef::Treatment(file.treatments[1].id));
    assert_eq!(trail.len(), 1);
    assert!(says(&h, "label read again"), "the reason is read where the record is");
    let [(field, old, new)] = trail[0].fields.as_slice() else { panic!("{:?}", trail[0].fields) };
    assert!(says(&h, old) && says(&h, new), "{field}: old and new value stay readable");
    h.get_by_role_and_label(Role::Row, "8 Apr 2026, treatment, levamisole drench, 6 ml for worms, amended");
}

#[test]
fn a_treatment_is_struck_out_and_stays_readable() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = leaf(&folder, "412");
    press(&mut h, Key::ArrowLeft);
    press(&mut h, Key::Enter);
    letter(&mut h, Key::K);
    assert!(has_keyboard(&h, Role::TextInput, "Reason"));
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "a reason is needed"));
    type_in(&mut h, "given to 0421");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "struck out 10 Apr 2026: given to 0421"));
    assert!(h.query_by_role_and_label(Role::Button, "Amend").is_none(), "what is struck out is not amended");
    let f = flock(&h);
    let file = f.file(ids.ewe).expect("ewe");
    assert!(file.treatments[1].struck.is_some());
    assert!(says(&h, "clear: meat since 10 Oct 2025, milk since 2 Oct 2025"));
    h.get_by_role_and_label(
        Role::Row,
        "8 Apr 2026, treatment, levamisole drench, 6 ml for worms, struck out",
    );
    press(&mut h, Key::Escape);
    press(&mut h, Key::ArrowLeft);
    press(&mut h, Key::End);
    assert!(says(&h, "8 Apr 2026: levamisole drench, 6 ml for worms (struck out)"));
}

#[test]
fn the_details_of_a_birth_are_amended() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = leaf(&folder, "560");
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::Enter);
    assert!(says(&h, "Birth of 0560"));
    letter(&mut h, Key::A);
    over(&mut h, "Sucked", "perhaps");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "neither yes nor no"));
    over(&mut h, "Sucked", "yes");
    over(&mut h, "Colostrum", "150 ml");
    over(&mut h, "Reason", "told by the night shift");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let birth = f.file(ids.lamb).and_then(|x| x.birth.clone()).expect("birth");
    assert_eq!((birth.sucked, birth.colostrum), (Some(true), Dose::from_ml(150.0)));
    assert!(says(&h, "told by the night shift"));
    go(&mut h, Role::Button, "of ewe 0412");
    assert_eq!(open(&mut h), Some(ids.ewe));
}

#[test]
fn a_lost_tag_is_replaced_and_remembered() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = leaf(&folder, "412");
    letter(&mut h, Key::G);
    assert!(says(&h, "Tags of 0412"));
    over(&mut h, "New one", "0207");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "the tag 0207 is worn by"), "a tag in use is refused");
    over(&mut h, "New one", "0712");
    over(&mut h, "Day", "9 apr");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let a = f.animal(ids.ewe).expect("ewe");
    assert_eq!(a.tag(), "0712");
    let old = a.identities.iter().find(|i| i.tag.as_str() == "0412").expect("kept");
    assert_eq!((old.ended, old.to), (Some(Ended::Replaced), Some(day("2026-04-09"))));
    assert!(says(&h, "0412 (replaced 9 Apr 2026)"));
    ctrl(&mut h, Key::F);
    type_in(&mut h, "0412");
    press(&mut h, Key::Enter);
    assert_eq!(open(&mut h), Some(ids.ewe), "still found by the old one");
}

#[test]
fn leaving_under_withdrawal_is_asked_about_and_esc_leads_back_to_the_form() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = leaf(&folder, "412");
    letter(&mut h, Key::S);
    letter(&mut h, Key::S); // sold
    press(&mut h, Key::Enter);
    type_in(&mut h, "Dale market");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "0412 is under withdrawal for meat because of levamisole drench: clear 30 Apr 2026"));
    press(&mut h, Key::Escape);
    h.run();
    assert_eq!(flock(&h).animal(ids.ewe).map(|a| a.status), Some(Status::Present), "not written");
    assert_eq!(open(&mut h), Some(ids.ewe));
    let place = h.get_by_role_and_label(Role::TextInput, "To or from");
    assert_eq!(place.value().as_deref(), Some("Dale market"), "the form stands as it was");
    place.focus();
    h.run();
    ctrl(&mut h, Key::Enter);
    type_in(&mut h, "buyer told, for breeding");
    press(&mut h, Key::Enter);
    assert_eq!(flock(&h).animal(ids.ewe).map(|a| a.status), Some(Status::Sold));
    assert!(says(&h, "sold 10 Apr 2026"));
}

#[test]
fn new_facts_are_written_and_their_old_values_kept() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = leaf(&folder, "560");
    letter(&mut h, Key::F);
    assert!(has_keyboard(&h, Role::TextInput, "Name"));
    type_in(&mut h, "Merlin");
    over(&mut h, "Colour", "black, white sock");
    over(&mut h, "Why", "seen by daylight");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let a = f.animal(ids.lamb).expect("lamb");
    assert_eq!((a.name.as_deref(), a.colour.as_deref()), (Some("Merlin"), Some("black, white sock")));
    assert_eq!(a.rearing, Rearing::Dam);
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::Enter);
    assert!(says(&h, "seen by daylight"), "the trail stands with the animal's own record");
}

#[test]
fn the_leaf_of_a_ewe_looks_right() {
    let folder = flocks::Folder::new();
    let (mut h, _) = leaf(&folder, "412");
    shot::check(&mut h, "leaf_ewe");
}

#[test]
fn the_leaf_of_a_ram_looks_right() {
    let folder = flocks::Folder::new();
    let (mut h, _) = leaf(&folder, "R7");
    shot::check(&mut h, "leaf_ram");
}

#[test]
fn the_leaf_of_a_lamb_looks_right() {
    let folder = flocks::Folder::new();
    let (mut h, _) = leaf(&folder, "560");
    shot::check(&mut h, "leaf_lamb");
    // Three weights: a chart, that is reached and read by keys.
    h.get_by_role_and_label(Role::Figure, "Growth of 0560").focus();
    h.run();
    press(&mut h, Key::End);
    assert!(says(&h, "32.5 kg at 120 days"), "the last weight is read");
    press(&mut h, Key::ArrowLeft);
    assert!(says(&h, "20.5 kg at 60 days, 27 May 2025"), "and the one before");
}

#[test]
fn the_leaf_of_an_animal_of_which_nothing_is_known_looks_right() {
    let folder = flocks::Folder::new();
    let (mut h, _) = leaf(&folder, "X1");
    shot::check(&mut h, "leaf_unknown");
    assert_eq!(h.query_all_by_role(Role::Figure).count(), 0, "no weights, no chart");
}
