//! An evening's work by the keyboard alone: flock before, keys, flock after.

use egui::{Key, Modifiers, Role};
use egui_kittest::kittest::Queryable as _;
use hirsel_core::flock::{RecordRef, Sire};
use hirsel_core::reckon::clearance::{Clear, clearance};
use hirsel_core::terms::{Dose, Fate, Rearing, Status, Weight, Withdrawal};
use hirsel_tests::flocks::{self, ctrl, day, desk, enter, has_keyboard, press, says, type_in, wait_for};
use hirsel_tests::shot;

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, hirsel_app::desk::Desk>;

fn flock(h: &Page) -> std::sync::Arc<hirsel_core::flock::Flock> {
    h.state().flock().cloned().expect("a book is open")
}

#[test]
fn twins_are_written_with_the_keyboard_alone() {
    let folder = flocks::Folder::new();
    let (book, [ewe, _, _, ram]) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num5);
    assert!(has_keyboard(&h, Role::TextInput, "Ewe"));
    // Ewe, day, time, ease, sire as proposed, pen.
    enter(&mut h, &["12", "3 apr", "0640", "n", "", "Jug 4"]);
    // Sex, weight, tag, alive, navel, sucked, colostrum, colour, reared by.
    enter(&mut h, &["e", "4.2", "0501", "", "y", "y", "", "white", ""]);
    enter(&mut h, &["r", "9 lb 4 oz", "", "", "y", "n", "150", "", ""]);
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let file = f.file(ewe).expect("ewe");
    assert_eq!(file.lambings.len(), 1, "written");
    let l = &file.lambings[0];
    assert_eq!((l.at.words().as_str(), l.ram), ("3 Apr 2026, 06:40", Some(ram)));
    let lambs: Vec<_> = l.lambs.iter().map(|id| f.file(*id).expect("lamb")).collect();
    assert_eq!(lambs[0].animal.tag(), "0501");
    assert_eq!(lambs[0].animal.birth_weight.map(Weight::grams), Some(4200));
    assert_eq!(lambs[0].animal.colour.as_deref(), Some("white"));
    assert_eq!(lambs[1].animal.tag(), "0412/26-2", "a working tag stands in");
    assert_eq!(lambs[1].animal.birth_weight.map(Weight::grams), Some(4196));
    let birth = lambs[1].birth.as_ref().expect("birth");
    assert_eq!((birth.navel_dipped, birth.sucked), (Some(true), Some(false)));
    assert_eq!(birth.colostrum.map(|d| d.to_string()).as_deref(), Some("150 ml"));
    assert!(lambs.iter().all(|x| x.animal.sire == Sire::Known(ram) && x.animal.dam == Some(ewe)));
    assert!(lambs.iter().all(|x| x.animal.pen.as_deref() == Some("Jug 4")));
    assert!(says(&h, "Cards for the 2 lambs"));
    assert!(has_keyboard(&h, Role::TextInput, "Ewe"), "ready for the next");
    ctrl(&mut h, Key::Z);
    assert!(flock(&h).file(ewe).is_some_and(|f| f.lambings.is_empty()), "undone");
}

#[test]
fn triplets_with_a_dead_one_and_one_on_the_bottle() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num5);
    enter(&mut h, &["0412", "", "", "h", "leg back", "", ""]);
    enter(&mut h, &["e", "3.9", "0511", "", "y", "y", "", "", ""]);
    // Born dead: no navel, no colostrum, a reason.
    enter(&mut h, &["r", "3.1", "", "b", "long labour", ""]);
    enter(&mut h, &["r", "2.8", "0512", "", "y", "", "140", "", "b"]);
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let l = &f.file(ewe).expect("ewe").lambings[0];
    assert_eq!(l.help.as_deref(), Some("leg back"));
    let lambs: Vec<_> = l.lambs.iter().map(|id| f.file(*id).expect("lamb")).collect();
    assert_eq!(lambs.len(), 3);
    assert_eq!(lambs[1].birth.as_ref().map(|b| b.fate), Some(Fate::BornDead));
    assert_eq!(lambs[1].animal.status, Status::Dead);
    assert_eq!(lambs[1].animal.status_reason.as_deref(), Some("long labour"));
    assert_eq!(lambs[2].animal.rearing, Rearing::Bottle);
    assert!(lambs.iter().all(|x| x.animal.birth_type.map(|b| b.count()) == Some(3)));
}

#[test]
fn what_cannot_be_is_refused_beside_its_field_and_what_is_unlikely_is_asked() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num5);
    enter(&mut h, &["0412", "tomorrow", "", "", "", ""]);
    enter(&mut h, &["e", "12", "0417"]);
    ctrl(&mut h, Key::Enter);
    assert!(flock(&h).file(ewe).is_some_and(|f| f.lambings.is_empty()));
    assert!(says(&h, "11 Apr 2026 has not come yet"));
    assert!(says(&h, "the tag 0417 is worn by ewe 0417"));
    assert!(has_keyboard(&h, Role::TextInput, "Day"), "the first wrong field has the keyboard");
    ctrl(&mut h, Key::A);
    type_in(&mut h, "today");
    h.get_by_role_and_label(Role::TextInput, "Tag").focus();
    h.run();
    ctrl(&mut h, Key::A);
    type_in(&mut h, "0520");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "very heavy for a lamb"), "questioned");
    assert!(flock(&h).file(ewe).is_some_and(|f| f.lambings.is_empty()), "not yet written");
    press(&mut h, Key::Enter);
    assert!(says(&h, "A word is needed"));
    enter(&mut h, &["weighed twice"]);
    assert_eq!(flock(&h).file(ewe).map(|f| f.lambings.len()), Some(1));
}

#[test]
fn a_half_typed_lambing_is_put_aside_and_offered_again() {
    let folder = flocks::Folder::new();
    let (book, [_, other, ..]) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num5);
    enter(&mut h, &["0412", "", "", "", "", "", "e"]);
    type_in(&mut h, "4.4");
    let today = day(TODAY);
    let flock = flock(&h);
    assert!(flock.file(other).is_some());
    // From the other ewe's leaf.
    ctrl(&mut h, Key::F);
    enter(&mut h, &["0417"]);
    h.get_by_role_and_label(Role::Button, "Write up a lambing").click();
    h.run();
    assert!(says(&h, "A half-typed lambing of 0412 was put aside"), "{today:?}");
    h.get_by_role_and_label(Role::Button, "Take it up again").click();
    h.run();
    let weight = h.get_by_role_and_label(Role::TextInput, "Weight");
    assert_eq!(weight.value().as_deref(), Some("4.4"));
}

#[test]
fn a_pen_is_treated_with_doses_by_weight() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    assert!(has_keyboard(&h, Role::TextInput, "Animal"));
    // No single animal; the pen; day, time; product; batch.
    enter(&mut h, &["", "top", "", "", "leva", "B-77"]);
    assert!(says(&h, "3 animals:"));
    assert!(says(&h, "To draw up for 3 animals: 16 ml"));
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let doses: Vec<Option<String>> = ids[..3]
        .iter()
        .map(|id| f.file(*id).and_then(|x| x.treatments.first()).and_then(|t| t.dose).map(|d| d.to_string()))
        .collect();
    assert_eq!(doses, [Some("6 ml".into()), Some("5.2 ml".into()), Some("4.8 ml".into())]);
    let c = clearance(f.file(ids[0]).expect("ewe"), day(TODAY));
    assert_eq!(c.meat.clear, Clear::From(day("2026-05-02")), "10 April + 21 + 1");
    assert_eq!(
        c.milk.clear,
        Clear::From(day("2026-04-14")),
        "60 hours from midnight, the first whole day after"
    );
    assert_eq!(f.file(ids[0]).map(|x| x.treatments[0].batch.clone()), Some(Some("B-77".into())));
    // Held back everywhere it is shown, and questioned when it leaves.
    ctrl(&mut h, Key::Num1);
    assert!(says(&h, "Under withdrawal (3)"));
}

#[test]
fn a_dose_far_above_the_label_and_an_unknown_withdrawal() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    // One animal, an empty Enter goes on; no pen; product.
    enter(&mut h, &["0417", "", "", "", "", "leva", ""]);
    press(&mut h, Key::ArrowRight); // the dose as I type it
    press(&mut h, Key::Enter);
    type_in(&mut h, "20");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "3.8 times the 5.2 ml by the label"));
    press(&mut h, Key::Escape);
    assert!(flock(&h).file(ids[1]).is_some_and(|f| f.treatments.is_empty()));
    ctrl(&mut h, Key::A);
    type_in(&mut h, "5");
    h.get_by_role_and_label(Role::TextInput, "Meat withdrawal").focus();
    h.run();
    ctrl(&mut h, Key::A);
    press(&mut h, Key::Backspace);
    assert!(says(&h, "Meat: unknown, not clear"));
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let t = &f.file(ids[1]).expect("ewe").treatments[0];
    assert_eq!((t.dose, t.meat), (Dose::from_ml(5.0), Withdrawal::Unknown));
    assert_eq!(clearance(f.file(ids[1]).expect("ewe"), day(TODAY)).meat.clear, Clear::Unknown);
}

#[test]
fn weights_as_fast_as_the_scale() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num7);
    enter(&mut h, &["0412", "61", "0417", "53.5", "0433", "49"]);
    let f = flock(&h);
    let last: Vec<i64> =
        ids[..3].iter().map(|id| f.file(*id).map_or(0, |x| x.weighings[1].weight.grams())).collect();
    assert_eq!(last, [61_000, 53_500, 49_000]);
    assert!(says(&h, "0433: 49.0 kg, 56 g a day over the last 9 days"), "the gain appears at once");
    enter(&mut h, &["0412", "16"]);
    assert!(has_keyboard(&h, Role::TextInput, "Why"));
    assert!(says(&h, "more than a fifth"), "questioned");
    enter(&mut h, &["typed in stone"]);
    assert_eq!(flock(&h).file(ids[0]).map(|x| x.weighings.len()), Some(3));
    ctrl(&mut h, Key::Z);
    assert_eq!(flock(&h).file(ids[0]).map(|x| x.weighings.len()), Some(2));
}

#[test]
fn a_ewe_at_the_gate_her_past_lambings_and_an_amendment() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num5);
    enter(&mut h, &["0412", "3 apr", "", "", "", ""]);
    enter(&mut h, &["e", "4.2", "0501", "", "", "", "", "", ""]);
    ctrl(&mut h, Key::Enter);
    ctrl(&mut h, Key::F);
    enter(&mut h, &["412"]);
    assert!(says(&h, "Past lambings (1)"));
    assert!(says(&h, "3 Apr 2026: 1 born, 1 alive, 0 reared, 1 still young"));
    assert!(says(&h, "sire: not known"), "her pedigree is drawn");
    // Open the weighing of 1 April from the list of records, amend it with a reason.
    let f = flock(&h);
    let w = f.file(ewe).expect("ewe").weighings[0].clone();
    h.get_by_role_and_label(Role::Grid, "Every record, 5 rows").focus();
    h.run();
    for key in [Key::Home, Key::ArrowDown, Key::ArrowDown] {
        press(&mut h, key);
    }
    h.get_by_role_and_label(Role::Row, "1 Apr 2026, weighing, Weighed 60.0 kg");
    press(&mut h, Key::Enter);
    h.get_by_role_and_label(Role::Button, "Amend").click();
    h.run();
    h.get_by_role_and_label(Role::TextInput, "Weight").focus();
    h.run();
    ctrl(&mut h, Key::A);
    type_in(&mut h, "66");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "a reason is needed"), "no amendment without a reason");
    h.get_by_role_and_label(Role::TextInput, "Reason").focus();
    h.run();
    type_in(&mut h, "misread the scale");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    assert_eq!(f.file(ewe).map(|x| x.weighings[0].weight.grams()), Some(66_000));
    assert_eq!(f.amendments(RecordRef::Weighing(w.id))[0].reason, "misread the scale");
    assert!(says(&h, "60.0 kg") && says(&h, "misread the scale"), "the old value stays readable");
}

#[test]
fn an_animal_under_withdrawal_is_questioned_when_it_is_sold() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num6);
    enter(&mut h, &["0412", "", "", "", "", "leva"]);
    ctrl(&mut h, Key::Enter);
    ctrl(&mut h, Key::F);
    enter(&mut h, &["0412"]);
    assert!(says(&h, "under withdrawal: meat clear 2 May, milk clear 14 Apr"));
    h.get_by_role_and_label(Role::Button, "Change standing").click();
    h.run();
    type_in(&mut h, "s");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "0412 is under withdrawal for meat because of levamisole drench: clear 2 May 2026"));
    enter(&mut h, &["for breeding, buyer told"]);
    let f = flock(&h);
    let a = f.animal(ewe).expect("ewe");
    assert_eq!((a.status, a.pen.as_deref()), (Status::Sold, None));
}

#[test]
fn lamb_cards_are_previewed_and_saved() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num5);
    enter(&mut h, &["0412", "3 apr", "", "", "", "Jug 1"]);
    enter(&mut h, &["e", "4.2", "0501", "", "", "", "", "", ""]);
    enter(&mut h, &["r", "4.6", "0502"]);
    ctrl(&mut h, Key::Enter);
    h.get_by_role_and_label(Role::Button, "Cards for the 2 lambs").click();
    h.run();
    wait_for(&mut h, "the pages", |h| says(h, "Page 1 of 1: "));
    shot::check(&mut h, "papers");
    let pdf = folder.path().join("cards.pdf");
    h.get_by_role_and_label(Role::TextInput, "Save as").focus();
    h.run();
    ctrl(&mut h, Key::A);
    type_in(&mut h, &pdf.display().to_string());
    press(&mut h, Key::Enter);
    wait_for(&mut h, "the file", |h| pdf.exists() && says(h, "1 page saved"));
    let doc = lopdf::Document::load(&pdf).expect("a PDF");
    assert_eq!(doc.get_pages().len(), 1);
    let text = doc.extract_text(&[1]).expect("text");
    assert!(text.contains("0501") && text.contains("0502"), "{text}");
}

#[test]
fn selected_animals_go_to_a_pen_together() {
    let folder = flocks::Folder::new();
    let (book, ids) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num3);
    enter(&mut h, &["04", ""]);
    press(&mut h, Key::Space);
    h.key_press_modifiers(Modifiers::SHIFT, Key::ArrowDown);
    h.run();
    assert!(says(&h, "2 chosen"));
    h.get_by_role_and_label(Role::Button, "Move to pen").click();
    h.run();
    enter(&mut h, &["Orchard", ""]);
    let f = flock(&h);
    let pens: Vec<Option<&str>> =
        ids[..3].iter().map(|id| f.animal(*id).and_then(|a| a.pen.as_deref())).collect();
    assert_eq!(pens, [Some("Orchard"), Some("Orchard"), None]);
}

#[test]
fn pages_look_right() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num5);
    enter(&mut h, &["0412", "3 apr", "0640", "n", "", "Jug 4", "e", "4.2", "0501"]);
    shot::check(&mut h, "lambing");
    ctrl(&mut h, Key::Num6);
    enter(&mut h, &["", "top", "", "", "leva"]);
    shot::check(&mut h, "treatments");
    ctrl(&mut h, Key::Num7);
    enter(&mut h, &["0412", "61"]);
    shot::check(&mut h, "weights");
    ctrl(&mut h, Key::F);
    enter(&mut h, &["0412"]);
    shot::check(&mut h, "leaf");
}

/// Two half-typed lambings put aside are both offered again, the last one first.
#[test]
fn no_lambing_put_aside_is_lost() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    for (ewe, weight) in [("0412", "4.1"), ("0417", "4.7"), ("0433", "")] {
        ctrl(&mut h, Key::F);
        enter(&mut h, &[ewe]);
        h.get_by_role_and_label(Role::Button, "Write up a lambing").click();
        h.run();
        enter(&mut h, &["", "", "", "", "", "e"]);
        type_in(&mut h, weight);
    }
    for weight in ["4.7", "4.1"] {
        h.get_by_role_and_label(Role::Button, "Take it up again").click();
        h.run();
        let field = h.get_by_role_and_label(Role::TextInput, "Weight");
        assert_eq!(field.value().as_deref(), Some(weight));
    }
}
