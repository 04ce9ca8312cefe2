//! Mixing: the square of two feeds, the cheapest mix of more, writing either, and the sheet for the barn.

use egui::{Key, Modifiers, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, FeedDraft, MeasureDraft};
use hirsel_core::flock::{Feed, Flock};
use hirsel_core::terms::{Analysis, FeedChange, FeedKind, MadeFor, Mass, Nutrient, Price};
use hirsel_tests::flocks::{
    self, ctrl, day, desk, enter, has_keyboard, press, retype, says, wait_for, write,
};
use hirsel_tests::shot;
use std::sync::Arc;

const TODAY: &str = "2026-04-10";

type Page = Harness<'static, Desk>;

fn feed(name: &str, kind: FeedKind, figures: &[(Nutrient, f64)], tonne: u32) -> FeedDraft {
    let mut draft = FeedDraft::called(name, kind);
    draft.own = figures.iter().fold(Analysis::default(), |a, (n, x)| a.with(*n, *x).expect("a figure"));
    draft.made_for = MadeFor::Plain;
    draft.price = Some(Price::from_cents(tonne * 100));
    draft
}

/// Barley, beans, lupins and oats with prices of a tonne; barley has a scoop.
fn book(folder: &flocks::Folder) -> Book {
    use Nutrient::{Calcium, Copper, DryMatter, Energy, Fibre, Phosphorus, Protein};
    let (mut book, _) = flocks::shed_book(folder);
    let all = |protein, energy, fibre, copper| {
        [
            (DryMatter, 87.0),
            (Protein, protein),
            (Energy, energy),
            (Calcium, 1.0),
            (Phosphorus, 4.0),
            (Copper, copper),
            (Fibre, fibre),
        ]
    };
    let drafts = vec![
        feed("Barley", FeedKind::Grain, &all(12.0, 13.2, 5.0, 5.0), 210),
        feed("Beans", FeedKind::Protein, &all(29.0, 13.4, 9.0, 12.0), 320),
        feed("Lupins", FeedKind::Protein, &all(34.0, 14.0, 16.0, 5.0), 420),
        feed("Oats", FeedKind::Grain, &all(11.0, 12.0, 11.0, 4.0), 230),
    ];
    let check = entry::feeds(drafts, &book.flock());
    write(&mut book, check);
    let scoop = MeasureDraft {
        feed: "Barley".into(),
        name: "scoop".into(),
        on: day("2026-03-01"),
        weighed: vec![Mass::from_kg(1.2).expect("a mass")],
    };
    let check = entry::measures(vec![scoop], &book.flock(), day(TODAY));
    write(&mut book, check);
    book
}

fn mixing(folder: &flocks::Folder) -> Page {
    let mut h = desk(folder, book(folder), day(TODAY));
    ctrl(&mut h, Key::D);
    for _ in 0..3 {
        ctrl(&mut h, Key::PageDown);
    }
    h
}

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

/// The parts of a mix: name and share in hundred-thousandths.
fn parts(flock: &Flock, mix: &Feed) -> Vec<(String, u32)> {
    mix.parts.iter().map(|p| (flock.feedroom().name(p.feed).to_string(), p.share)).collect()
}

fn picture(h: &Page, starts: &str) -> String {
    let all = h.query_all_by_role(Role::Image).filter_map(|n| n.accesskit_node().label());
    let all: Vec<String> = all.collect();
    all.iter().find(|l| l.starts_with(starts)).cloned().unwrap_or_else(|| panic!("{starts}: {all:?}"))
}

fn rows(h: &Page) -> Vec<String> {
    h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect()
}

/// PIRSA, Managing Livestock in Dry Times, Pearson flyer: barley 12 and lupins 30 to 15 is 83.3 and 16.7 %.
#[test]
fn the_square_is_drawn_and_written_by_keyboard_alone() {
    let folder = flocks::Folder::new();
    let mut h = mixing(&folder);
    assert!(has_keyboard(&h, Role::TextInput, "Feed, first feed"), "the first field has the keyboard");
    assert!(says(&h, "Which is the first feed?"));
    enter(&mut h, &["barl", "12", "lup", "30", "", "", "15", "500 kg", "Creep 15"]);
    let said = picture(&h, "Barley 12 %");
    assert!(said.contains("15 parts and 3 parts; 83.3 % Barley and 16.7 % Lupins as fed"), "{said}");
    assert!(said.contains("of dry matter; of 500 kg 417 kg Barley and 83.33 kg Lupins"), "{said}");
    assert!(says(&h, "Sheep bear less copper"), "copper is always said");
    shot::check(&mut h, "feed_mixing_square");
    press(&mut h, Key::Enter);
    let now = flock(&h);
    let mix = now.feedroom().by_name("creep 15").expect("written").clone();
    let want = [("Barley".to_string(), 83_333), ("Lupins".to_string(), 16_667)];
    assert_eq!((mix.kind, parts(&now, &mix).as_slice()), (FeedKind::Mix, want.as_slice()));
    assert_eq!(mix.made_for, MadeFor::Sheep);
    ctrl(&mut h, Key::Z);
    assert!(flock(&h).feedroom().by_name("creep 15").is_none(), "Ctrl+Z takes back the mix, not a letter");
    // Written and mixed at once, with one undo.
    h.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Enter);
    h.run();
    let now = flock(&h);
    assert_eq!(now.feedroom().moves.len(), 1);
    let moved = &now.feedroom().moves[0];
    assert_eq!((moved.change, moved.amount.map(Mass::grams)), (FeedChange::Mixed, Some(500_000)));
    let taken: Vec<(&str, u64)> =
        moved.parts.iter().map(|(f, m)| (now.feedroom().name(*f), m.grams())).collect();
    assert_eq!(taken, [("Barley", 416_665), ("Lupins", 83_335)]);
    // The mix stands as it is: only that it was mixed once more.
    h.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Enter);
    h.run();
    assert_eq!(flock(&h).feedroom().moves.len(), 2);
    ctrl(&mut h, Key::Z);
    ctrl(&mut h, Key::Z);
    let now = flock(&h);
    assert!(now.feedroom().moves.is_empty() && now.feedroom().by_name("creep 15").is_none());
}

#[test]
fn what_no_square_can_be_is_refused_in_words() {
    let folder = flocks::Folder::new();
    let mut h = mixing(&folder);
    enter(&mut h, &["barley", "12", "lupins", "30", "", "", "35", "", "Strong", ""]);
    assert!(says(&h, "Lupins is the richer of the two and holds 30 %"));
    assert!(flock(&h).feedroom().by_name("Strong").is_none());
    assert!(has_keyboard(&h, Role::TextInput, "Wanted"), "the keyboard is where it is to be mended");
    retype(&mut h, "Wanted", "20");
    assert!(says(&h, "10 parts and 8 parts"), "live while typing");
    retype(&mut h, "Name of the mix", "Barley");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "Barley is a feed of its own in the book"));
    // A feed of the handbook comes into the book with the mix.
    retype(&mut h, "Name of the mix", "With meal");
    let common = hirsel_core::handbook::feeds::by_key("hay early").expect("a common feed");
    h.get_by_role_and_label(Role::TextInput, "Feed, first feed").focus();
    h.run();
    ctrl(&mut h, Key::A);
    enter(&mut h, &["cut early", ""]);
    assert!(says(&h, "Common figures"));
    ctrl(&mut h, Key::Enter);
    let now = flock(&h);
    let hay = now.feedroom().by_name(&common.name).expect("it came in");
    assert_eq!((hay.like.as_deref(), hay.parts.len()), (Some("hay early"), 0));
    assert_eq!(now.feedroom().by_name("With meal").map(|m| m.parts.len()), Some(2));
}

fn least(h: &mut Page) {
    h.get_by_role_and_label(Role::RadioButton, "least cost").click();
    h.run();
    for (i, name) in ["Barley", "Beans", "Oats"].into_iter().enumerate() {
        retype(h, &format!("Feed, feed {}", i + 1), name);
        press(h, Key::Enter);
    }
    h.get_by_role_and_label(Role::Button, "Crude protein is reckoned as fed").click();
    h.run();
    retype(h, "At least, Crude protein", "16");
    press(h, Key::Enter);
}

#[test]
fn the_cheapest_mix_is_found_told_and_written() {
    let folder = flocks::Folder::new();
    let mut h = mixing(&folder);
    least(&mut h);
    // Beans 4/17, as all have the same dry matter: 210 + 110 · 4/17 a tonne; a point is 110/17.
    wait_for(&mut h, "the mix", |h| says(h, "117.94 for 500 kg, 235.88 a tonne, 0.24 a kg"));
    assert!(says(
        &h,
        "At least 16 % crude protein of dry matter is just met: one point less would save 6.47 a tonne"
    ));
    assert!(says(&h, "Oats stays out at 0.23 a kg: it comes in when it costs less than 0.20"));
    assert!(rows(&h).iter().any(|r| r.starts_with("Beans, 23.5 %, 118 kg")), "{:?}", rows(&h));
    let protein = rows(&h).into_iter().find(|r| r.starts_with("Protein %")).expect("a row");
    assert_eq!(protein, "Protein %, 13.9, 16.0, at least 16 % dry matter, met");
    assert!(says(&h, "Calcium to phosphorus is 0.25 to 1"), "grain for whoever gets it");
    retype(&mut h, "Name of the mix", "Creep 16");
    shot::check(&mut h, "feed_mixing_least");
    // Whole scoops of barley, bags of beans.
    retype(&mut h, "Goes in by, feed 1", "scoop");
    retype(&mut h, "Goes in by, feed 2", "25 kg");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "whole bags", |h| says(h, "In whole bags and scoops it comes to"));
    assert!(rows(&h).iter().any(|r| r.starts_with("Beans") && r.contains("5 bags")), "{:?}", rows(&h));
    shot::check(&mut h, "feed_mixing_rounded");
    h.get_by_role_and_label(Role::TextInput, "Name of the mix").focus();
    h.run();
    ctrl(&mut h, Key::Enter);
    let now = flock(&h);
    let mix = now.feedroom().by_name("Creep 16").expect("written");
    assert_eq!(mix.parts.len(), 2);
    assert!(says(&h, "as written costs"), "it is compared with what is written");
    // Its sheet, for the barn.
    h.get_by_role_and_label(Role::Button, "Print the mix sheet").click();
    wait_for(&mut h, "the sheet", |h| says(h, "Page 1 of 1: Mix sheet"));
    shot::check(&mut h, "feed_mixing_paper");
}

#[test]
fn demands_that_quarrel_are_named_and_what_would_just_do() {
    let folder = flocks::Folder::new();
    let mut h = mixing(&folder);
    least(&mut h);
    retype(&mut h, "At least, Crude protein", "24");
    retype(&mut h, "At most, Crude fibre", "6");
    press(&mut h, Key::Enter);
    wait_for(&mut h, "no mix", |h| says(h, "These feeds cannot meet all of it"));
    assert!(says(&h, "quarrels with at most 6 % crude fibre as fed: each can be met alone, not both"));
    assert!(says(&h, "What would just do:"));
    shot::check(&mut h, "feed_mixing_cannot");
}

#[test]
fn a_group_puts_its_wants_into_the_demands() {
    let folder = flocks::Folder::new();
    let mut h = mixing(&folder);
    h.get_by_role_and_label(Role::RadioButton, "least cost").click();
    h.run();
    retype(&mut h, "Who gets it", "creep");
    press(&mut h, Key::Enter);
    assert!(says(&h, "Creep from 7 days of age: 20 % protein as fed"));
    let value = |h: &Page, label: &str| {
        h.get_by_role_and_label(Role::TextInput, label).accesskit_node().value().unwrap_or_default()
    };
    assert_eq!(value(&h, "At least, Crude protein"), "20");
    assert_eq!(value(&h, "At least, Ca to P"), "2");
    retype(&mut h, "Age", "60");
    assert_eq!(value(&h, "At least, Crude protein"), "16", "the step of that age");
    // What the keeper typed stays.
    retype(&mut h, "At least, Crude protein", "17");
    retype(&mut h, "Age", "10");
    assert_eq!(value(&h, "At least, Crude protein"), "17");
    retype(&mut h, "Who gets it", "rams");
    press(&mut h, Key::Enter);
    assert!(says(&h, "type your own target into the row"));
}

#[test]
fn the_sheet_is_printed_from_the_command_line() {
    let folder = flocks::Folder::new();
    let mut book = book(&folder);
    let mut beans = FeedDraft::of(book.flock().feedroom().by_name("Beans").expect("beans"), &book.flock());
    beans.bag = Mass::from_kg(25.0);
    let mut mix = FeedDraft::called("Creep 16", FeedKind::Mix);
    mix.parts = vec![("Barley".into(), 75.0), ("Beans".into(), 25.0)];
    let check = entry::feeds(vec![beans, mix], &book.flock());
    write(&mut book, check);
    drop(book);
    let call = |words: &[&str]| {
        let mut c = hirsel_tests::cli::hirsel(folder.path());
        c.args(["print", "flock.hirsel", "mix-sheet", "-o", "mix.pdf", "--on", TODAY]).args(words);
        let out = hirsel_tests::cli::run(c);
        (out.status.code(), hirsel_tests::cli::said(&out))
    };
    let (code, said) = call(&[]);
    assert_eq!(code, Some(2));
    assert!(said.contains("which mix? Name it with --feed; the book's mixes are Creep 16"), "{said}");
    let (code, said) = call(&["--feed", "barley"]);
    assert_eq!(code, Some(1));
    assert!(said.contains("Barley is no mix"), "{said}");
    let (code, said) = call(&["--feed", "creep"]);
    assert_eq!(code, Some(1));
    assert!(said.contains("no feed is called 'creep'"), "{said}");
    let (code, said) = call(&["--feed", "creep 16", "--total", "300"]);
    assert_eq!((code, said.as_str()), (Some(0), ""));
    let doc = lopdf::Document::load(folder.path().join("mix.pdf")).expect("a PDF");
    let text = doc.extract_text(&[1]).expect("text");
    for words in ["Creep 16", "Mix sheet for 300 kg", "225 kg", "75 kg", "= 3 bags of 25 kg"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    if let Some(to) = std::env::var_os("KEEP_PAPER") {
        std::fs::copy(folder.path().join("mix.pdf"), to).expect("kept");
    }
}
