//! Papers: what is previewed, what is saved, and what is refused.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_app::pages::papers::PaperKind;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, DoseDraft, TreatmentDraft};
use hirsel_core::terms::{AnimalId, Dose, Moment, Sex, Withdrawal};
use hirsel_tests::flocks::{self, add, ctrl, day, desk, press, retype, says, wait_for, write};
use hirsel_tests::shot;

const TODAY: &str = "2026-04-10";

/// Two ewes; lambs 0501 to 0503 of this spring, 0450 of last autumn.
fn book(folder: &flocks::Folder) -> (Book, Vec<AnimalId>) {
    let mut book = flocks::empty_book(folder);
    let today = day(TODAY);
    let animals = [
        ("0412", Sex::Ewe, "2021-04-02"),
        ("0417", Sex::Ewe, "2022-03-28"),
        ("0501", Sex::Ewe, "2026-04-03"),
        ("0502", Sex::Ram, "2026-04-03"),
        ("0503", Sex::Ram, "2026-04-08"),
        ("0450", Sex::Ewe, "2025-09-20"),
    ];
    let ids = animals.map(|(tag, sex, born)| add(&mut book, tag, sex, born, today));
    (book, ids.to_vec())
}

fn treat(book: &mut Book, animal: AnimalId, on: &str, product: &str) {
    let draft = TreatmentDraft {
        animals: vec![animal],
        at: Moment { day: day(on), time: None },
        product: product.into(),
        batch: Some("B7".into()),
        dose: DoseDraft::Typed(Dose::parse("2 ml").ok()),
        route: None,
        site: None,
        reason: Some("worms".into()),
        given_by: Some("Maud Thornley".into()),
        prescribed_by: None,
        meat: Some(Withdrawal::Days(0)),
        milk: Some(Withdrawal::Days(0)),
        more: Default::default(),
    };
    let check = entry::treatments(vec![draft], &book.flock(), day(TODAY));
    write(book, check);
}

fn show(h: &mut Harness<'_, Desk>, kind: PaperKind, animals: Vec<AnimalId>) {
    h.state_mut().pages().expect("open").papers.show(kind, animals);
    ctrl(h, Key::Num8);
    wait_for(h, "the pages", |h| says(h, "Page 1 of"));
}

/// The words of a page of the preview, as those hear them who do not see.
fn words(h: &Harness<'_, Desk>, page: &str) -> String {
    let node = h.get_by_role_and_label(Role::Image, page);
    node.accesskit_node().description().unwrap_or_default()
}

fn text_of(pdf: &std::path::Path) -> String {
    let doc = lopdf::Document::load(pdf).expect("a PDF");
    let pages: Vec<u32> = doc.get_pages().into_keys().collect();
    doc.extract_text(&pages).expect("text")
}

#[test]
fn cards_of_the_chosen_lambs_and_the_way_back_to_all() {
    let folder = flocks::Folder::new();
    let (book, ids) = book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    show(&mut h, PaperKind::LambCards, vec![ids[2], ids[3], ids[0]]);
    let page = words(&h, "Page 1 of 1: Lamb cards");
    assert!(page.contains("0501") && page.contains("0502") && !page.contains("0503"), "{page}");
    assert!(page.contains("Ewe lamb") && page.contains("Fri 3 Apr 2026"), "{page}");
    assert!(says(&h, "1 of them is left out: the cards are for lambs"), "a grown ewe has no lamb card");
    h.get_by_role_and_label(Role::RadioButton, "1").click();
    wait_for(&mut h, "a sheet for each", |h| says(h, "Page 1 of 2: Lamb cards"));
    press(&mut h, Key::PageDown);
    h.run();
    assert!(says(&h, "Page 2 of 2") && words(&h, "Page 2 of 2: Lamb cards").contains("0502"));
    h.get_by_role_and_label(Role::Button, "All young lambs instead").click();
    wait_for(&mut h, "all young lambs", |h| says(h, "Page 1 of 3: Lamb cards"));
    assert!(says(&h, "3 lambs"), "0450 is older than thirty days");
    retype(&mut h, "Born since", "1 sep 2025");
    wait_for(&mut h, "the older one too", |h| says(h, "Page 1 of 4: Lamb cards"));
}

#[test]
fn a_typed_name_leads_to_the_folder_of_the_book() {
    let folder = flocks::Folder::new();
    let (book, ids) = book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    show(&mut h, PaperKind::LambCards, vec![ids[2]]);
    retype(&mut h, "Save as", "cards for the shed");
    ctrl(&mut h, Key::Enter);
    wait_for(&mut h, "saved", |h| says(h, "1 page saved as cards for the shed.pdf in"));
    let pdf = folder.path().join("cards for the shed.pdf");
    let text = text_of(&pdf);
    assert!(text.contains("0501") && text.contains("Navel dipped"), "{text}");
    assert!(!text.contains("0502"), "{text}");
    // The same name again is the same paper made anew; what is no PDF is never written over.
    ctrl(&mut h, Key::Enter);
    wait_for(&mut h, "saved again", |h| says(h, "in place of the one that was there"));
    std::fs::write(folder.path().join("letter.pdf"), "Dear vet").expect("written");
    retype(&mut h, "Save as", "letter");
    ctrl(&mut h, Key::Enter);
    wait_for(&mut h, "refused", |h| says(h, "is there already and is no PDF: choose another name"));
    assert_eq!(std::fs::read(folder.path().join("letter.pdf")).expect("there"), b"Dear vet");
    retype(&mut h, "Save as", "nowhere/cards");
    ctrl(&mut h, Key::Enter);
    wait_for(&mut h, "no folder", |h| says(h, "there is no folder"));
    retype(&mut h, "Save as", "");
    ctrl(&mut h, Key::Enter);
    wait_for(&mut h, "no name", |h| says(h, "a name is needed for the file"));
}

#[test]
fn the_log_from_one_day_to_another() {
    let folder = flocks::Folder::new();
    let (mut book, ids) = book(&folder);
    treat(&mut book, ids[0], "2026-01-05", "Winter drench");
    treat(&mut book, ids[1], "2026-03-05", "Spring drench");
    treat(&mut book, ids[0], "2026-04-05", "Late drench");
    let mut h = desk(&folder, book, day(TODAY));
    show(&mut h, PaperKind::TreatmentLog, Vec::new());
    let all = words(&h, "Page 1 of 1: Treatment log, from the beginning to 10 Apr 2026");
    assert!(all.contains("Winter drench") && all.contains("Late drench"), "{all}");
    retype(&mut h, "From", "1 feb");
    retype(&mut h, "To", "31 mar");
    let name = "Page 1 of 1: Treatment log, 1 Feb 2026 to 31 Mar 2026";
    wait_for(&mut h, "the part asked for", |h| says(h, name));
    let part = words(&h, name);
    assert!(part.contains("Spring drench") && part.contains("Thornley Fellsides"), "{part}");
    assert!(!part.contains("Winter drench") && !part.contains("Late drench"), "{part}");
    retype(&mut h, "Save as", "log");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "saved", |h| says(h, "1 page saved as log.pdf"));
    let text = text_of(&folder.path().join("log.pdf"));
    assert!(text.contains("Spring drench") && !text.contains("Winter drench"), "{text}");
    retype(&mut h, "To", "1 jan");
    ctrl(&mut h, Key::Enter);
    wait_for(&mut h, "refused", |h| {
        h.get_by_role(Role::Status)
            .accesskit_node()
            .label()
            .is_some_and(|l| l.contains("is before the first"))
    });
    // One animal's log alone.
    retype(&mut h, "From", "");
    retype(&mut h, "To", "");
    h.get_by_role_and_label(Role::RadioButton, "one animal").click();
    h.run();
    assert!(says(&h, "Which animal?"));
    retype(&mut h, "Animal", "0417");
    press(&mut h, Key::Enter);
    let name = "Page 1 of 1: Treatment log, from the beginning to 10 Apr 2026";
    wait_for(&mut h, "her log", |h| says(h, name) && !words(h, name).contains("Winter drench"));
    assert!(words(&h, name).contains("Spring drench"));
}

#[test]
fn the_preview_follows_the_flock_and_the_keys() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    show(&mut h, PaperKind::LambCards, Vec::new());
    assert!(words(&h, "Page 1 of 1: Lamb cards").contains("0503"));
    // The last write was the one of 0450: gone, and the one before it too.
    ctrl(&mut h, Key::Z);
    ctrl(&mut h, Key::Z);
    wait_for(&mut h, "laid out anew", |h| says(h, "2 cards"));
    assert!(!words(&h, "Page 1 of 1: Lamb cards").contains("0503"));
    let before = h.get_by_role_and_label(Role::Image, "Page 1 of 1: Lamb cards").rect().width();
    h.get_by_role_and_label(Role::Document, "Preview").focus();
    h.run();
    flocks::type_in(&mut h, "+");
    let after = h.get_by_role_and_label(Role::Image, "Page 1 of 1: Lamb cards").rect().width();
    assert!((after / before - 1.25).abs() < 0.01, "{before} {after}");
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::ArrowDown);
    let top = h.get_by_role_and_label(Role::Image, "Page 1 of 1: Lamb cards").rect().top();
    press(&mut h, Key::Home);
    h.run();
    let home = h.get_by_role_and_label(Role::Image, "Page 1 of 1: Lamb cards").rect().top();
    assert!((home - top - 120.0).abs() < 2.0, "two arrows of sixty points: {top} {home}");
    flocks::type_in(&mut h, "0");
    let whole = h.get_by_role_and_label(Role::Image, "Page 1 of 1: Lamb cards").rect().width();
    assert!((whole - before).abs() < 0.5);
}

#[test]
fn the_log_looks_right() {
    let folder = flocks::Folder::new();
    let (mut book, ids) = book(&folder);
    for (i, on) in ["2026-01-05", "2026-02-05", "2026-03-05", "2026-04-05"].iter().enumerate() {
        treat(&mut book, ids[i % 2], on, "Drench of a very long name that must be wrapped and never cut off");
    }
    let mut h = desk(&folder, book, day(TODAY));
    show(&mut h, PaperKind::TreatmentLog, Vec::new());
    shot::check(&mut h, "papers_log");
}

#[test]
fn the_list_of_weights_stands_under_the_season() {
    let folder = flocks::Folder::new();
    let path = folder.path().join("made.hirsel");
    let spec = hirsel_demo::Spec { ewes: 24, seasons: 2, ..hirsel_demo::Spec::default() };
    let mut book = Book::create(&path, hirsel_demo::holding()).unwrap_or_else(|e| panic!("{e}"));
    let today = day("2026-07-10");
    hirsel_demo::make(&mut book, &spec, today, &mut |_| {}).expect("made");
    let mut h = desk(&folder, book, today);
    show(&mut h, PaperKind::SeasonReport, Vec::new());
    h.get_by_role_and_label(Role::RadioButton, "weights").click();
    wait_for(&mut h, "the list", |h| says(h, "Weights at 60 days"));
    let page = h.query_all_by_role(Role::Image).next().expect("a page").accesskit_node().description();
    let page = page.unwrap_or_default();
    assert!(page.contains("2026") && page.contains("Ratio") && page.contains("At birth"), "{page}");
    shot::check(&mut h, "papers_weights");
    // Another age, the flock's own factors, the season before.
    retype(&mut h, "At, days", "5");
    assert!(says(&h, "is no age of lambs: write a number of days from 7 to 400"));
    retype(&mut h, "At, days", "45");
    h.get_by_role_and_label(Role::RadioButton, "flock's own").click();
    retype(&mut h, "Born from", "1 jan 2025");
    retype(&mut h, "Born to", "31 dec 2025");
    wait_for(&mut h, "the other list", |h| says(h, "Weights at 45 days"));
    retype(&mut h, "Born from", "1 jan 2010");
    retype(&mut h, "Born to", "31 dec 2010");
    wait_for(&mut h, "nobody", |h| says(h, "No lamb was weighed near that age"));
}
