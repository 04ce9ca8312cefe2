//! The words of the region: what the pages say, and what they never touch.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_app::pages::PageId;
use hirsel_core::book::Book;
use hirsel_core::entry;
use hirsel_core::flock::Holding;
use hirsel_core::handbook::trade::Trade;
use hirsel_tests::flocks::{self, ctrl, day, desk, press, says, type_in};
use hirsel_tests::life::{self, TODAY};
use hirsel_tests::shot;

type Page = Harness<'static, Desk>;

/// A book that says it so.
fn speaking(mut book: Book, words: &str) -> Book {
    let holding = Holding { words: words.into(), ..book.flock().holding().clone() };
    let sure = entry::holding(holding, &book.flock()).expect("checked").sure().expect("no question");
    book.write(sure).expect("written");
    book
}

/// Every name, label and value on the page.
fn all(h: &Page) -> Vec<String> {
    let mut all = Vec::new();
    for node in h.root().children_recursive() {
        let node = node.accesskit_node();
        all.extend(node.label());
        all.extend(node.value());
    }
    all
}

/// Whether one of these words stands on the page by itself.
fn words_on(h: &Page, words: &[&str]) -> Vec<String> {
    let is = |w: &str| words.iter().any(|x| x.eq_ignore_ascii_case(w));
    all(h).into_iter().filter(|t| t.split(|c: char| !c.is_alphabetic()).any(is)).collect()
}

#[test]
fn northern_pages_say_tup_and_tupping() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, speaking(book, "gb-north"), day("2026-04-10"));
    ctrl(&mut h, Key::J);
    assert!(says(&h, "Tuppings"), "{:?}", all(&h));
    let plain = words_on(&h, &["ram", "rams", "joining", "joinings", "joined"]);
    assert!(plain.is_empty(), "{plain:?}");
    shot::check(&mut h, "words_north_joinings");
    ctrl(&mut h, Key::Num3);
    assert!(says(&h, "Tups"));
    let plain = words_on(&h, &["ram", "rams", "joining", "joinings"]);
    assert!(plain.is_empty(), "{plain:?}");
    // One undo brings the plain words back.
    ctrl(&mut h, Key::Z);
    ctrl(&mut h, Key::J);
    assert!(says(&h, "Joinings") && !says(&h, "Tuppings"));
}

#[test]
fn what_the_keeper_wrote_stays_as_it_is() {
    let folder = flocks::Folder::new();
    let (mut book, ids) = life::book(&folder);
    let text = "the ram broke the gate at joining";
    let draft = entry::RemarkDraft { animals: vec![ids.ewe], on: day(TODAY), text: text.into() };
    let flock = book.flock();
    let sure = entry::remark(draft, &flock, day(TODAY)).expect("checked").sure().expect("no question");
    book.write(sure).expect("written");
    let mut h = desk(&folder, speaking(book, "gb-north"), day(TODAY));
    ctrl(&mut h, Key::F);
    type_in(&mut h, "0412");
    press(&mut h, Key::Enter);
    let said = all(&h).into_iter().filter(|t| t.contains("broke the gate")).collect::<Vec<_>>();
    assert!(!said.is_empty() && said.iter().all(|t| t.contains(text)), "{said:?}");
    assert!(all(&h).iter().any(|t| t.contains("0602 tup")), "the leaf speaks of tups: {:?}", all(&h));
}

#[test]
fn the_words_are_chosen_on_the_page_of_the_book() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = flocks::desk_sized(&folder, book, day("2026-04-10"), [1240.0, 1400.0]);
    ctrl(&mut h, Key::Num0);
    h.get_by_role_and_label(Role::RadioButton, "American").click();
    h.run();
    h.get_by_role_and_label(Role::Button, "Write it in").click();
    h.run();
    h.run();
    let trade = h.state().flock().expect("open").holding().trade();
    assert_eq!(trade, Trade::of("us"));
    assert!(says(&h, "Breedings"), "{:?}", all(&h));
    ctrl(&mut h, Key::Z);
    h.run();
    assert!(says(&h, "Joinings") && !says(&h, "Breedings"));
}

#[test]
fn the_help_and_the_finder_speak_likewise_and_know_every_word() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, speaking(book, "gb-north"), day("2026-04-10"));
    ctrl(&mut h, Key::J);
    press(&mut h, Key::F1);
    h.run();
    assert!(says(&h, "Tuppings") && all(&h).iter().any(|t| t.contains("the tup")), "{:?}", all(&h));
    press(&mut h, Key::Escape);
    for typed in ["joinings", "tuppings"] {
        ctrl(&mut h, Key::Num1);
        press(&mut h, Key::F10);
        h.run_steps(4);
        type_in(&mut h, typed);
        press(&mut h, Key::Enter);
        h.run_steps(10);
        h.run();
        assert_eq!(h.state_mut().pages().map(|p| p.at), Some(PageId::Joining), "{typed}");
    }
}

#[test]
fn a_plain_book_finds_joinings_by_tup() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::joined_book(&folder);
    let mut h = desk(&folder, book, day("2026-04-10"));
    for typed in ["tup", "breed", "mating"] {
        press(&mut h, Key::F10);
        h.run_steps(4);
        type_in(&mut h, typed);
        let entries: Vec<String> =
            h.query_all_by_role(Role::ListBoxOption).filter_map(|n| n.accesskit_node().label()).collect();
        assert!(entries.iter().any(|e| e.starts_with("Joinings, page")), "{typed}: {entries:?}");
        press(&mut h, Key::Escape);
        h.run();
    }
}
