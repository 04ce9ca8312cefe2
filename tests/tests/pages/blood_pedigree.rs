//! The pedigree: drawn, walked by keys, turned to another animal and back, listed, printed.

use egui::{Key, Role, Theme};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_app::pages::PageId;
use hirsel_tests::flocks::{self, ctrl, day, desk_sized, has_keyboard, press, says, type_in, wait_for};
use hirsel_tests::kin::{self, Ids, TODAY};
use hirsel_tests::shot;

type Page = Harness<'static, Desk>;

fn page(folder: &flocks::Folder, size: [f32; 2]) -> (Page, Ids) {
    let (book, ids) = kin::book(folder);
    let mut h = desk_sized(folder, book, day(TODAY), size);
    ctrl(&mut h, Key::B);
    (h, ids)
}

/// The page with the pedigree of this animal.
fn of(folder: &flocks::Folder, tag: &str) -> Page {
    let (mut h, _) = page(folder, [1240.0, 800.0]);
    assert!(has_keyboard(&h, Role::TextInput, "Animal"), "one types at once whose it is");
    type_in(&mut h, tag);
    press(&mut h, Key::Enter);
    h
}

/// The sentence of the box in hand.
fn hand(h: &Page) -> String {
    let node = h.query_all_by_role(Role::Figure).next().expect("a drawing");
    node.accesskit_node().description().unwrap_or_default()
}

fn drawn(h: &Page) -> String {
    let node = h.query_all_by_role(Role::Figure).next().expect("a drawing");
    node.accesskit_node().label().unwrap_or_default()
}

#[test]
fn keys_walk_to_sire_dam_and_offspring() {
    let folder = flocks::Folder::new();
    let mut h = of(&folder, "0412");
    assert!(has_keyboard(&h, Role::Figure, "Pedigree of 0412 Bracken"), "from the field into the drawing");
    assert!(hand(&h).starts_with("0412 Bracken, ewe, born"), "{}", hand(&h));
    press(&mut h, Key::ArrowLeft);
    assert!(hand(&h).starts_with("Sire: R31 Thornley Regent"), "{}", hand(&h));
    press(&mut h, Key::ArrowDown);
    assert!(hand(&h).starts_with("Dam: 0311 Clover"), "{}", hand(&h));
    press(&mut h, Key::S);
    assert!(hand(&h).starts_with("Dam's sire: R21 Thornley Major"), "{}", hand(&h));
    assert!(hand(&h).contains("stands in 2 places, sign 1"), "{}", hand(&h));
    press(&mut h, Key::ArrowUp);
    assert!(hand(&h).starts_with("Sire's dam: 0207 Burnet"), "{}", hand(&h));
    press(&mut h, Key::D);
    assert!(hand(&h).starts_with("Sire's dam's dam: 0106 Rowan"), "{}", hand(&h));
    press(&mut h, Key::PageUp);
    assert!(hand(&h).starts_with("Sire's sire's sire: R11"), "{}", hand(&h));
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::ArrowRight);
    assert!(hand(&h).starts_with("0412 Bracken"), "towards the middle: {}", hand(&h));
    press(&mut h, Key::ArrowRight);
    assert!(hand(&h).starts_with("Offspring: 050"), "{}", hand(&h));
    press(&mut h, Key::ArrowLeft);
    press(&mut h, Key::ArrowUp);
    assert!(hand(&h).starts_with("Sire: "), "from the middle up to the sire: {}", hand(&h));
    press(&mut h, Key::Home);
    press(&mut h, Key::ArrowDown);
    assert!(hand(&h).starts_with("Dam: "), "{}", hand(&h));
}

#[test]
fn enter_makes_it_the_middle_and_backspace_leads_back() {
    let folder = flocks::Folder::new();
    let mut h = of(&folder, "0412");
    press(&mut h, Key::ArrowLeft);
    press(&mut h, Key::Enter);
    assert_eq!(drawn(&h), "Pedigree of R31 Thornley Regent");
    assert!(hand(&h).starts_with("R31"), "{}", hand(&h));
    press(&mut h, Key::ArrowLeft);
    press(&mut h, Key::Enter);
    assert_eq!(drawn(&h), "Pedigree of R21 Thornley Major");
    press(&mut h, Key::Backspace);
    press(&mut h, Key::Backspace);
    assert_eq!(drawn(&h), "Pedigree of 0412 Bracken");
    press(&mut h, Key::Backspace);
    assert!(says(&h, "there is none before it"));
    press(&mut h, Key::O);
    assert_eq!(h.state_mut().pages().expect("open").at, PageId::Flock);
    press(&mut h, Key::D);
    assert_eq!(h.state_mut().pages().expect("open").at, PageId::Blood, "D on the leaf draws its pedigree");
    assert_eq!(drawn(&h), "Pedigree of 0412 Bracken");
}

#[test]
fn blanks_doubt_and_strangers_are_said() {
    let folder = flocks::Folder::new();
    let mut h = of(&folder, "0503");
    assert!(says(&h, "Sire: one of R41, R31; which one is not known"));
    press(&mut h, Key::ArrowLeft);
    assert!(hand(&h).starts_with("Dam: 0413 Sedge"), "the dam is known, the sire is not: {}", hand(&h));
    press(&mut h, Key::ArrowUp);
    assert!(hand(&h).starts_with("Sire: one of"), "{}", hand(&h));
    press(&mut h, Key::Enter);
    assert_eq!(drawn(&h), "Pedigree of 0503 Campion", "nobody certain to turn to");
    let h = of(&flocks::Folder::new(), "0031");
    assert!(hand(&h).contains("outside the flock"), "{}", hand(&h));
    let h = of(&flocks::Folder::new(), "X1");
    assert!(says(&h, "Sire: not known") && says(&h, "Dam: not known"));
    assert!(says(&h, "No parent is known, so inbreeding is not known either."));
}

#[test]
fn inbreeding_is_said_of_each_and_how_deep_it_is_known() {
    let folder = flocks::Folder::new();
    let mut h = of(&folder, "0412");
    // R21 is the sire of both parents; through him alone 1/8 of (1 + his own 12.5 %).
    let said = hand(&h);
    let percent: f64 = said
        .split(" % inbred")
        .next()
        .and_then(|s| s.rsplit(' ').next())
        .and_then(|p| p.parse().ok())
        .expect("a figure");
    assert!((14.0..30.0).contains(&percent), "{said}");
    assert!(says(&h, "complete generations"));
    assert!(says(&h, "Lines meet in (1) R21 Thornley Major"));
    press(&mut h, Key::ArrowLeft);
    assert!(hand(&h).contains("% inbred"), "{}", hand(&h));
}

#[test]
fn six_generations_zoom_and_offspring() {
    let folder = flocks::Folder::new();
    let mut h = of(&folder, "0601");
    let boxes = |h: &Page| h.query_all_by_role(Role::TreeItem).count();
    let four = boxes(&h);
    h.get_by_role_and_label(Role::RadioButton, "6").click();
    h.run();
    assert!(boxes(&h) > four, "{} after {four}", boxes(&h));
    h.get_by_role_and_label(Role::Figure, "Pedigree of 0601").focus();
    h.run();
    let wide = |h: &Page| {
        let node = h.query_all_by_role(Role::TreeItem).next().expect("a box");
        node.rect().width()
    };
    let plain = wide(&h);
    press(&mut h, Key::Plus);
    assert!(wide(&h) > plain * 1.1, "{} after {plain}", wide(&h));
    press(&mut h, Key::Minus);
    assert!((wide(&h) - plain).abs() < 0.5);
    for _ in 0..6 {
        press(&mut h, Key::ArrowLeft);
    }
    assert!(hand(&h).starts_with("Sire's sire's sire's sire"), "{}", hand(&h));
}

#[test]
fn relations_are_those_of_the_animal_drawn() {
    let folder = flocks::Folder::new();
    let mut h = of(&folder, "R21");
    ctrl(&mut h, Key::PageDown);
    assert!(says(&h, "descendants of R21 known"));
    let rows: Vec<String> =
        h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect();
    assert!(rows[0].starts_with("R31 Thornley Regent") && rows[0].contains("offspring"), "{rows:?}");
    assert!(rows.iter().any(|r| r.contains("0503") && r.contains("grand-offspring")), "{rows:?}");
    for (list, row) in [
        ("full sibs", "none"),
        ("half sibs", "0208 Thyme"),
        ("line of dams", "0032 Tansy"),
        ("line of sires", "R01 Threlkeld Duke"),
        ("ram families", "R01"),
        ("dam families", "0012"),
        ("breed parts", "0412"),
    ] {
        h.get_by_role_and_label(Role::RadioButton, list).click();
        h.run();
        let rows: Vec<String> =
            h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect();
        if row == "none" {
            assert!(
                rows.is_empty() && says(&h, "No animal in the book has the same dam"),
                "{list}: {rows:?}"
            );
        } else {
            assert!(rows.iter().any(|r| r.contains(row)), "{list}: {rows:?}");
        }
    }
}

#[test]
fn the_certificate_and_the_drawing_go_to_paper() {
    let folder = flocks::Folder::new();
    let mut h = of(&folder, "0412");
    h.get_by_role_and_label(Role::Button, "Certificate").click();
    wait_for(&mut h, "the page", |h| says(h, "Page 1 of 1: Pedigree of 0412 Bracken"));
    let node = h.get_by_role_and_label(Role::Image, "Page 1 of 1: Pedigree of 0412 Bracken");
    let words = node.accesskit_node().description().unwrap_or_default();
    for tag in [
        "R31", "0311", "R21", "0207", "0208", "R11", "0105", "R12", "0106", "R03", "0031", "0032", "R02",
        "R01", "0033",
    ] {
        assert!(words.contains(tag), "{tag} in {words}");
    }
    assert!(words.contains("not a certificate of a breed registry"), "{words}");
    h.get_by_role_and_label(Role::RadioButton, "drawing").click();
    wait_for(&mut h, "the drawing", |h| says(h, "Page 1 of 1: Ancestors of 0412 Bracken"));
}

#[test]
fn an_empty_book_teaches() {
    let folder = flocks::Folder::new();
    let book = flocks::empty_book(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), [1024.0, 700.0]);
    ctrl(&mut h, Key::B);
    assert!(says(&h, "once the first animal is written up"));
}

fn picture(theme: Theme, name: &str) {
    let folder = flocks::Folder::new();
    let (book, _) = kin::book(&folder);
    let desk = Desk::with_book(Kept::at(&folder.path().join("kept")), book, day(TODAY));
    let mut h = shot::themed(theme, [1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), desk);
    h.run();
    ctrl(&mut h, Key::B);
    type_in(&mut h, "0412");
    press(&mut h, Key::Enter);
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::S);
    shot::check(&mut h, name);
}

#[test]
fn as_it_looks_by_daylight() {
    picture(Theme::Light, "blood_pedigree_light");
}

#[test]
fn as_it_looks_by_lamplight() {
    picture(Theme::Dark, "blood_pedigree_dark");
}
