//! The treatment form where it is not an everyday one: off the label, far too much, from a bottle of the shelf, as a
//! course, for a group, by a guessed weight.

use egui::{Key, Role};
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, BatchDraft, ProductDraft, VetDraft};
use hirsel_core::flock::{Flock, ProductMore, Treatment};
use hirsel_core::terms::{AnimalId, Dose, DoseRule, ProductClass, Route, Withdrawal};
use hirsel_tests::flocks::{self, ctrl, day, desk_sized, enter, has_keyboard, press, retype, says, type_in};
use hirsel_tests::shot;
use std::sync::Arc;

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, Desk>;

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

fn treatments(h: &Page, id: AnimalId) -> Vec<Treatment> {
    flock(h).file(id).expect("in the book").treatments.to_vec()
}

/// The shed with an antibiotic for cattle, one for sheep with two bottles, and a vet.
fn cupboard(book: &mut Book) {
    let product = |name: &str, whom: &str, more: ProductMore| ProductDraft {
        name: name.into(),
        substance: Some("oxytetracycline".into()),
        form: Some("injection".into()),
        strength: None,
        rule: DoseRule::PerKg(100),
        route: Some(Route::Intramuscular),
        meat: Withdrawal::Days(21),
        milk: Withdrawal::Hours(60),
        licensed_for: Some(whom.into()),
        more,
    };
    let more = ProductMore {
        site_most: Dose::from_ml(3.0),
        most: Dose::from_ml(10.0),
        class: ProductClass::Antibiotic,
        prescription_only: true,
        ..Default::default()
    };
    let drafts = vec![
        product("Cattle tetracycline", "cattle", ProductMore::default()),
        product("Fellcillin", "sheep, cattle", more),
    ];
    let check = entry::products(drafts, &book.flock());
    flocks::write(book, check);
    let batch = |number: &str, expiry: &str, ml: f64| BatchDraft {
        product: "Fellcillin".into(),
        number: number.into(),
        expiry: Some(day(expiry)),
        bought_on: Some(day("2026-01-10")),
        supplier: Some("Dale Farm Supplies".into()),
        supplier_address: Some("2 Mart Road, Kirkby".into()),
        quantity: Dose::from_ml(ml),
        price: None,
        invoice: Some("771".into()),
        opened_on: None,
        note: None,
    };
    let drafts = vec![batch("FC3", "2027-12-31", 100.0), batch("FC2", "2026-11-30", 50.0)];
    let check = entry::batches(drafts, &book.flock(), day(TODAY));
    flocks::write(book, check);
    let vet = VetDraft {
        id: None,
        name: "Orla Brennan".into(),
        practice: None,
        address: None,
        contact: None,
        number: None,
    };
    let check = entry::vets(vec![vet], &book.flock());
    flocks::write(book, check);
}

fn page(folder: &flocks::Folder, size: [f32; 2]) -> (Page, [AnimalId; 4]) {
    let (mut book, ids) = flocks::shed_book(folder);
    cupboard(&mut book);
    let mut h = desk_sized(folder, book, day(TODAY), size);
    ctrl(&mut h, Key::Num6);
    (h, ids)
}

/// Opens the rare fields.
fn more(h: &mut Page) {
    h.get_by_role_and_label(Role::RadioGroup, "More").focus();
    h.run();
    press(h, Key::ArrowRight);
}

#[test]
fn the_bottle_that_expires_first_is_proposed() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = page(&folder, [1240.0, 800.0]);
    enter(&mut h, &["0412", "", "", "", "", "fellc"]);
    assert_eq!(h.get_by_role_and_label(Role::TextInput, "Batch").value().as_deref(), Some("FC2"));
    assert!(says(&h, "expires 30 Nov 2026, 50 ml left"), "what is known of the bottle stands beside it");
    ctrl(&mut h, Key::Enter);
    let t = &treatments(&h, ids[0])[0];
    assert_eq!((t.batch.as_deref(), t.dose), (Some("FC2"), Dose::from_ml(6.0)));
    assert!(says(
        &h,
        "Fellcillin for 0412. The label allows 3 ml at one place: give it as 3 ml and 3 ml. Still open: prescription"
    ));
}

#[test]
fn a_use_off_the_label_is_asked_about_plainly() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = page(&folder, [1240.0, 800.0]);
    enter(&mut h, &["0412", "", "", "", "", "cattle t"]);
    assert!(says(&h, "Cattle tetracycline is labelled for cattle, not for sheep: only a vet may direct it"));
    assert!(says(&h, "Never below: meat: at least 32 days"), "the least is told before it is asked");
    ctrl(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Prescribed by"), "a vet first");
    type_in(&mut h, "Orla Brennan");
    ctrl(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Meat withdrawal"));
    assert!(says(&h, "at least 32 days: 1.5 × 21 days = 31.5, rounded up to 32 days"), "with its sum");
    assert!(treatments(&h, ids[0]).is_empty());
    retype(&mut h, "Meat withdrawal", "32");
    retype(&mut h, "Milk withdrawal", "4");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "Is this right as written?"), "not said to be off-label: asked");
    type_in(&mut h, "she said so");
    press(&mut h, Key::Enter);
    let t = &treatments(&h, ids[0])[0];
    assert_eq!((t.meat, t.prescribed_by.as_deref()), (Withdrawal::Days(32), Some("Orla Brennan")));
    assert_eq!(
        t.more.off_label.as_deref(),
        Some("Cattle tetracycline is labelled for cattle, not for sheep")
    );
}

#[test]
fn a_hundred_times_too_much_is_said_twice() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = page(&folder, [1240.0, 800.0]);
    enter(&mut h, &["0412", "", "", "", "", "leva"]);
    h.get_by_role_and_label(Role::RadioGroup, "Dose").focus();
    h.run();
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::Enter);
    type_in(&mut h, "600");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "600 ml for 0412 is 100 times the 6 ml by the label's rule"));
    type_in(&mut h, "sure of it");
    press(&mut h, Key::Enter);
    assert!(says(&h, "say it twice: if 600 ml was really given"), "the dialog stays");
    assert!(treatments(&h, ids[0]).is_empty());
    assert!(has_keyboard(&h, Role::TextInput, "Why"));
    ctrl(&mut h, Key::A);
    type_in(&mut h, "600 ml, the drum was spilt over her");
    press(&mut h, Key::Enter);
    assert_eq!(treatments(&h, ids[0])[0].dose, Dose::from_ml(600.0));
}

#[test]
fn a_course_for_a_group_is_written_from_the_rare_fields() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = page(&folder, [1240.0, 800.0]);
    enter(&mut h, &["0412", "0417", "", "", "", "", "fellc"]);
    more(&mut h);
    retype(&mut h, "Doses in all", "3");
    ctrl(&mut h, Key::Enter);
    for id in &ids[..2] {
        let all = treatments(&h, *id);
        assert_eq!(all.len(), 1, "the others are ahead");
        assert_eq!(all[0].more.course.map(|c| (c.nth, c.of, c.every_hours)), Some((1, 3, 24)));
    }
    // The rare fields stay open, the next animal of the kind gets the same course.
    assert!(h.query_by_role_and_label(Role::TextInput, "Doses in all").is_some());
    enter(&mut h, &["0412"]);
    retype(&mut h, "Product", "levamisole drench");
    press(&mut h, Key::Enter);
    let doses = h.get_by_role_and_label(Role::TextInput, "Doses in all").value();
    assert_eq!(doses.as_deref(), Some(""), "another product is no course unless it is said");
    // Drench in the water for the pen: each gets its share.
    let all = h.get_by_role_and_label(Role::TextInput, "Or a whole pen");
    all.focus();
    h.run();
    enter(&mut h, &["top"]);
    retype(&mut h, "For all together", "12 l");
    assert!(says(&h, "12000 ml for 3 animals together, some 4000 ml each"));
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "an amount for all together is given in feed, water or a footbath, not by mouth"));
    assert!(has_keyboard(&h, Role::TextInput, "For all together"));
}

/// By the heaviest of each band, so that none gets too little: 48.5 kg is in 45 to 50, 52 kg in 50 to 55, 60 kg in 55
/// to 60; 4.85 ml is drawn up to the mark above.
#[test]
fn a_pen_is_drenched_by_weight_bands() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = page(&folder, [1240.0, 800.0]);
    enter(&mut h, &["", "top", "", "", "leva"]);
    more(&mut h);
    retype(&mut h, "Weight bands", "5");
    assert!(says(&h, "every 5.0 kg, dosed by the heaviest"));
    assert!(says(&h, "3 animals:"), "the pen");
    assert!(says(&h, "up to 50.0 kg: 1 animal, 5 ml each"));
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "levamisole drench for 3 animals, by weight bands"));
    for (id, ml) in ids.iter().zip([6.0, 5.2, 5.0]) {
        assert_eq!(treatments(&h, *id)[0].dose, Dose::from_ml(ml));
    }
}

#[test]
fn a_guessed_weight_makes_a_dose() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = page(&folder, [1240.0, 800.0]);
    enter(&mut h, &["R7", "", "", "", "", "leva"]);
    more(&mut h);
    retype(&mut h, "Guessed weight", "80");
    ctrl(&mut h, Key::Enter);
    assert_eq!(treatments(&h, ids[3])[0].dose, Dose::from_ml(8.0));
    assert!(says(&h, "levamisole drench for R7, by an estimated weight"));
}

/// The form as it stands first, with the rare fields, and for a product of other animals.
fn pictures(size: [f32; 2], name: &str) {
    let folder = flocks::Folder::new();
    let (mut h, _) = page(&folder, size);
    enter(&mut h, &["0412", "0433", "", "", "", "", "fellc"]);
    shot::check(&mut h, &format!("give_{name}"));
    more(&mut h);
    retype(&mut h, "Doses in all", "3");
    press(&mut h, Key::Enter);
    shot::check(&mut h, &format!("give_{name}_more"));
    retype(&mut h, "Product", "Cattle tetracycline");
    press(&mut h, Key::Enter);
    shot::check(&mut h, &format!("give_{name}_off_label"));
}

#[test]
fn the_form_looks_right() {
    pictures([1240.0, 800.0], "wide");
}

#[test]
fn the_form_looks_right_in_a_small_window() {
    pictures([1024.0, 700.0], "small");
}
