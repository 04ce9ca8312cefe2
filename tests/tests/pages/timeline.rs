//! The timeline: walked by keys, filtered, opened, printed; the season of the flock and the life of one.

use egui::{Key, Modifiers, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_app::pages::PageId;
use hirsel_core::book::Book;
use hirsel_tests::flocks::{self, ctrl, day, desk_sized, has_keyboard, press, says, type_in, wait_for};
use hirsel_tests::life::{self, TODAY};
use hirsel_tests::shot;

type Page = Harness<'static, Desk>;

fn page(folder: &flocks::Folder, size: [f32; 2]) -> Page {
    let (book, _) = life::book(folder);
    let mut h = desk_sized(folder, book, day(TODAY), size);
    ctrl(&mut h, Key::Num4);
    wait_for(&mut h, "the jobs", |h| !says(h, "the jobs are being reckoned"));
    h
}

fn shift(h: &mut Page, key: Key) {
    h.key_press_modifiers(Modifiers::SHIFT, key);
    h.run();
}

/// What the drawing says of the animal and the event in hand.
fn said(h: &Page, name: &str) -> String {
    let node = h.get_by_role_and_label(Role::Figure, name);
    node.accesskit_node().description().unwrap_or_default()
}

fn at(h: &mut Page) -> PageId {
    h.state_mut().pages().expect("open").at
}

#[test]
fn keys_walk_rows_and_events_and_open_the_leaf() {
    let folder = flocks::Folder::new();
    let mut h = page(&folder, [1240.0, 800.0]);
    assert!(has_keyboard(&h, Role::Figure, "Season"), "the drawing has the keyboard at once");
    assert!(says(&h, "1 animal under withdrawal"));
    press(&mut h, Key::ArrowDown);
    assert!(said(&h, "Season").starts_with("0207 Fern"), "{}", said(&h, "Season"));
    press(&mut h, Key::ArrowDown);
    assert!(said(&h, "Season").starts_with("0412 Bracken"), "by tag: {}", said(&h, "Season"));
    // The drench of the eighth is nearest to today; a step back is the lambing, a step forward nothing recorded.
    let events: Vec<String> = (0..30)
        .map(|_| {
            shift(&mut h, Key::ArrowLeft);
            said(&h, "Season")
        })
        .collect();
    assert!(events.iter().any(|e| e.contains("1 Apr 2026: Lambed twins")), "{events:?}");
    assert!(events.last().is_some_and(|e| e.contains("Born 2 Apr 2021")), "{events:?}");
    shift(&mut h, Key::ArrowRight);
    assert!(!said(&h, "Season").contains("Born"));
    press(&mut h, Key::ArrowUp);
    assert!(said(&h, "Season").starts_with("0207 Fern"));
    press(&mut h, Key::Enter);
    assert_eq!(at(&mut h), PageId::Flock);
    assert!(says(&h, "0207"), "her leaf is open");
}

#[test]
fn a_treatment_says_until_when_the_meat_is_held() {
    let folder = flocks::Folder::new();
    let mut h = page(&folder, [1240.0, 800.0]);
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::ArrowDown);
    for _ in 0..30 {
        if said(&h, "Season").contains("levamisole") {
            break;
        }
        shift(&mut h, Key::ArrowLeft);
    }
    // 8 April and 21 whole days after it.
    let want = "8 Apr 2026: levamisole drench, 6 ml for worms; meat clear 30 Apr 2026";
    assert!(said(&h, "Season").contains(want), "{}", said(&h, "Season"));
    h.get_by_role_and_label(Role::CheckBox, "Treatments").click();
    h.run();
    let node = h.get_by_role_and_label(Role::CheckBox, "Treatments");
    assert_eq!(node.accesskit_node().toggled(), Some(egui::accesskit::Toggled::False));
}

#[test]
fn filters_keep_rows_and_the_count_follows() {
    let folder = flocks::Folder::new();
    let mut h = page(&folder, [1240.0, 800.0]);
    assert!(says(&h, "13 animals"), "all but those gone long ago");
    h.get_by_role_and_label(Role::RadioButton, "Withdrawal").click();
    h.run();
    assert!(says(&h, "1 animal"));
    h.get_by_role_and_label(Role::RadioButton, "All").click();
    h.run();
    h.get_by_role_and_label(Role::TextInput, "Tag").focus();
    h.run();
    type_in(&mut h, "60");
    assert!(says(&h, "3 animals"), "0560, 0601 and 0602");
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::Figure, "Season"), "from the field into the drawing");
    press(&mut h, Key::ArrowDown);
    assert!(said(&h, "Season").contains("0601"), "{}", said(&h, "Season"));
}

#[test]
fn one_life_and_the_way_back() {
    let folder = flocks::Folder::new();
    let mut h = page(&folder, [1240.0, 800.0]);
    h.get_by_role_and_label(Role::TextInput, "Life of").focus();
    h.run();
    type_in(&mut h, "0412");
    press(&mut h, Key::Enter);
    assert!(says(&h, "Life of 0412 Bracken"));
    assert!(has_keyboard(&h, Role::Figure, "Life"));
    shift(&mut h, Key::ArrowRight);
    assert!(said(&h, "Life").starts_with("0412 Bracken, "), "{}", said(&h, "Life"));
    press(&mut h, Key::Plus);
    press(&mut h, Key::Minus);
    press(&mut h, Key::Home);
    press(&mut h, Key::Escape);
    assert!(!says(&h, "Life of 0412"));
    assert!(said(&h, "Season").starts_with("0412 Bracken"), "one finds the row one came from");
    press(&mut h, Key::L);
    assert!(says(&h, "Life of 0412 Bracken"));
}

#[test]
fn the_leaf_leads_to_the_life_and_print_to_paper() {
    let folder = flocks::Folder::new();
    let mut h = page(&folder, [1240.0, 800.0]);
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::Enter);
    // The first of this name leads to the page, in the rail.
    h.query_all_by_role_and_label(Role::Button, "Timeline").last().expect("on the leaf").click();
    h.run();
    assert_eq!(at(&mut h), PageId::Timeline);
    assert!(says(&h, "Life of 0207 Fern"));
    h.get_by_role_and_label(Role::Button, "Print").click();
    wait_for(&mut h, "the page", |h| says(h, "Page 1 of 1"));
    let node = h.get_by_role_and_label(Role::Image, "Page 1 of 1: Life of 0207 Fern");
    let words = node.accesskit_node().description().unwrap_or_default();
    assert!(words.contains("ewe, born 3 Apr 2018"), "{words}");
}

#[test]
fn the_season_as_it_looks() {
    let folder = flocks::Folder::new();
    let mut h = page(&folder, [1000.0, 700.0]);
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::ArrowDown);
    shot::check(&mut h, "timeline_season");
}

#[test]
fn a_life_as_it_looks() {
    let folder = flocks::Folder::new();
    let mut h = page(&folder, [1000.0, 700.0]);
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::L);
    shot::check(&mut h, "timeline_life");
}

#[test]
fn an_empty_book_teaches() {
    let folder = flocks::Folder::new();
    let book: Book = flocks::empty_book(&folder);
    let mut h = desk_sized(&folder, book, day(TODAY), [1024.0, 700.0]);
    ctrl(&mut h, Key::Num4);
    assert!(says(&h, "a row for each animal"));
}
