//! Breeding values by the keyboard: the question with its ranges, the table, the flock's own shares, an index whose
//! weights stand in the book, and their way into who to whom.

use egui::{Key, Role, Theme};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::Book;
use hirsel_core::exchange::{Kind, read};
use hirsel_core::reckon::evaluation::{Trait, weights};
use hirsel_tests::flocks::{self, ctrl, day, desk_sized, has_keyboard, press, retype, says, wait_for};
use hirsel_tests::shot;

const TODAY: &str = "2026-09-10";

type Page = Harness<'static, Desk>;

/// Numbers from 0 up to 1 that are the same on every machine.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// Six rams, sixteen ewes and their lambs of three springs, heavier or lighter by their parents; only those of the last
/// spring, the ewes and two rams are still there. Few: one spring alone, of two rams.
fn tables(few: bool) -> (String, String) {
    let mut dice = Dice(17);
    let mut animals = String::from("tag,sex,name,born,sire,dam,birth_type,birth_weight_kg,status\n");
    let mut weighings = String::from("tag,on,weight_kg\n");
    let names = ["Thornley Bracken", "Old Merrick", "", "Captain of the Long Fell", "", ""];
    for (i, name) in names.iter().enumerate() {
        let status = if i < 2 { "in the flock" } else { "sold" };
        animals.push_str(&format!("R{i},ram,{name},2021-04-02,,,,,{status}\n"));
    }
    for i in 0..16 {
        animals.push_str(&format!("{:04},ewe,,2021-04-02,,,,,in the flock\n", 100 + i));
    }
    let value = |tag: u64, wide: f64| (Dice(tag * 7919 + 3).roll() - 0.5) * wide;
    for year in if few { 2026..=2026 } else { 2024..=2026 } {
        for ewe in 0..16u64 {
            for n in 0..2u64 {
                let ram = (dice.roll() * if few { 2.0 } else { 6.0 }) as u64;
                let tag = format!("{:02}{:02}", year % 100, 10 + 2 * ewe + n);
                let sex = if n == 0 { "ram" } else { "ewe" };
                let genes = value(ram, 5.0) + value(100 + ewe, 4.0) + (dice.roll() - 0.5) * 3.0;
                let chance = (dice.roll() + dice.roll() - 1.0) * 2.0;
                let birth = 4.2 + 0.15 * genes + 0.2 * chance;
                let late = 19.0 + genes + chance + if n == 0 { 1.0 } else { 0.0 };
                let status = if year == 2026 { "in the flock" } else { "sold" };
                let born = format!("{year}-04-{:02}", 1 + (ewe * 3 + n) % 12);
                animals.push_str(&format!(
                    "{tag},{sex},,{born},R{ram},{:04},2,{birth:.2},{status}\n",
                    100 + ewe
                ));
                weighings.push_str(&format!("{tag},{year}-06-07,{late:.1}\n"));
            }
        }
    }
    (animals, weighings)
}

fn book(folder: &flocks::Folder, few: bool) -> Book {
    let mut book = flocks::empty_book(folder);
    let (animals, weighings) = tables(few);
    for (kind, csv) in [(Kind::Animals, animals), (Kind::Weighings, weighings)] {
        let reading = read(kind, "table.csv", csv.as_bytes(), &book.flock(), day(TODAY))
            .unwrap_or_else(|e| panic!("{e}"));
        let sure = reading.sure("").expect("plain").expect("a sound table");
        book.write(sure).unwrap_or_else(|e| panic!("{e}"));
    }
    book
}

fn open(h: &mut Page) {
    ctrl(h, Key::K);
    for _ in 0..3 {
        ctrl(h, Key::PageDown);
    }
    assert!(says(h, "Reckon the values"), "the part of the page");
}

fn choose(h: &mut Page, word: &str) {
    h.get_by_role_and_label(Role::RadioButton, word).click();
    h.run();
}

fn reckon(h: &mut Page) {
    ctrl(h, Key::Enter);
    wait_for(h, "the values", |h| says(h, "Change the question"));
}

fn rows(h: &Page) -> Vec<String> {
    h.query_all_by_role(Role::Row).filter_map(|r| r.accesskit_node().label()).collect()
}

#[test]
fn from_the_question_to_a_ranked_table() {
    let folder = flocks::Folder::new();
    let mut h = desk_sized(&folder, book(&folder, false), day(TODAY), [1240.0, 800.0]);
    open(&mut h);
    assert!(has_keyboard(&h, Role::RadioGroup, "Values of"));
    // The shares stand with their sources, and what is from memory says so.
    assert!(says(&h, "Published for weight up to weaning, heritability: 0.07 to 0.23."));
    assert!(says(&h, "(from memory)"));
    choose(&mut h, "weight at birth");
    assert!(says(&h, "Konya Merino"), "the range goes with the trait");
    retype(&mut h, "Heritability", "1.4");
    assert!(says(&h, "is no share: type a number from 0 to 1"));
    retype(&mut h, "Heritability", "0.3");
    assert!(says(&h, "30 % of all differences"));
    reckon(&mut h);
    assert!(says(&h, "96 records, heritability 0.30 (shares as you set them)"));
    assert!(says(&h, "half of it is passed on"), "what a value means");
    assert!(says(&h, "In small flocks most accuracies are weak"));
    assert!(has_keyboard(&h, Role::Grid, "Breeding values, 50 rows"), "{:?}", rows(&h).len());
    let first = rows(&h).into_iter().find(|r| r.contains("kg, ")).expect("a row");
    assert!(first.contains('+') && first.contains(", rank 1 "), "the best first: {first}");
    assert!(["weak", "fair", "good"].iter().any(|w| first.contains(w)), "{first}");
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::ArrowDown);
    assert!(says(&h, "truly among the best quarter"), "the animal under the cursor in words");
    assert!(says(&h, "of its own and"));
    // Only rams, then searched.
    choose(&mut h, "rams");
    retype(&mut h, "Search", "bracken");
    assert!(says(&h, "1 animal") && rows(&h).iter().any(|r| r.contains("Thornley Bracken")));
    press(&mut h, Key::Escape);
    press(&mut h, Key::Escape);
    assert!(says(&h, "Reckon the values"), "back to the question");
}

#[test]
fn own_shares_are_offered_by_name() {
    let folder = flocks::Folder::new();
    let mut h = desk_sized(&folder, book(&folder, false), day(TODAY), [1240.0, 900.0]);
    open(&mut h);
    choose(&mut h, "weight at birth");
    h.get_by_role_and_label(Role::Button, "Estimate them from its records").click();
    h.run();
    wait_for(&mut h, "the flock's own shares", |h| says(h, "From 96 records of 96 animals, with 6 sires"));
    assert!(says(&h, "standard error"));
    h.get_by_role_and_label(Role::Button, "Reckon with these").click();
    h.run();
    assert!(says(&h, "These are in the fields"));
    reckon(&mut h);
    assert!(says(&h, "(shares from this flock’s own records)"));
}

#[test]
fn too_few_records_are_refused_with_the_reason() {
    let folder = flocks::Folder::new();
    let mut h = desk_sized(&folder, book(&folder, true), day(TODAY), [1240.0, 900.0]);
    open(&mut h);
    choose(&mut h, "weight at birth");
    h.get_by_role_and_label(Role::Button, "Estimate them from its records").click();
    h.run();
    wait_for(&mut h, "the reason", |h| says(h, "too few for variances of their own"));
    assert!(says(&h, "sires with at least two recorded animals: 2, and at least 5 are needed"));
    assert!(!says(&h, "Reckon with these"));
    // Nothing recorded at all of another trait.
    choose(&mut h, "lambs born");
    ctrl(&mut h, Key::Enter);
    wait_for(&mut h, "the refusal", |h| says(h, "No record can be used"));
}

#[test]
fn an_index_stands_in_the_book_and_goes_to_who_to_whom() {
    let folder = flocks::Folder::new();
    let mut h = desk_sized(&folder, book(&folder, false), day(TODAY), [1240.0, 800.0]);
    open(&mut h);
    choose(&mut h, "several, as an index");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "no trait has a weight"));
    retype(&mut h, "Weight at birth", "-2");
    retype(&mut h, "Weight at the age", "1");
    h.get_by_role_and_label(Role::Button, "Keep these weights in the book").click();
    h.run();
    let kept = h.state().flock().expect("a book").holding().keeping.clone();
    assert_eq!(weights(&kept).expect("weights"), [(Trait::Weight(0), -2.0), (Trait::Weight(60), 1.0)]);
    assert!(says(&h, "These weights stand in the book"));
    reckon(&mut h);
    assert!(says(&h, "Index of 2 traits") && says(&h, "weight at birth × -2 + weight at 60 days × 1"));
    // An entry later the values are shown as old.
    ctrl(&mut h, Key::Z);
    assert!(says(&h, "The book has changed since these were reckoned"));
    h.get_by_role_and_label(Role::Button, "Reckon anew").click();
    h.run();
    wait_for(&mut h, "the values anew", |h| {
        says(h, "Change the question") && !says(h, "The book has changed")
    });
    // Who to whom asks what they count.
    ctrl(&mut h, Key::J);
    h.key_press_modifiers(egui::Modifiers::COMMAND, Key::PageUp);
    h.run();
    assert!(says(&h, "Of index of 2 traits, as reckoned under Keep or part"));
}

fn drawn(theme: Theme, size: [f32; 2]) -> (flocks::Folder, Page) {
    let folder = flocks::Folder::new();
    let desk = Desk::with_book(Kept::at(&folder.path().join("kept")), book(&folder, false), day(TODAY));
    let mut h = shot::themed(theme, size, |ui, desk: &mut Desk| desk.view(ui), desk);
    h.run();
    open(&mut h);
    (folder, h)
}

fn both(theme: Theme, size: [f32; 2], end: &str) {
    let (_folder, mut h) = drawn(theme, size);
    shot::check(&mut h, &format!("values_question{end}"));
    reckon(&mut h);
    press(&mut h, Key::ArrowDown);
    shot::check(&mut h, &format!("values_answer{end}"));
}

#[test]
fn the_page_in_light() {
    both(Theme::Light, [1240.0, 800.0], "");
}

#[test]
fn the_page_in_dark() {
    both(Theme::Dark, [1240.0, 800.0], "_dark");
}

#[test]
fn the_page_in_a_small_window() {
    both(Theme::Light, [980.0, 700.0], "_narrow");
}

#[test]
fn the_index_drawn() {
    let (_folder, mut h) = drawn(Theme::Light, [1240.0, 800.0]);
    choose(&mut h, "several, as an index");
    retype(&mut h, "Weight at birth", "-2");
    retype(&mut h, "Weight at the age", "1");
    shot::check(&mut h, "values_weights");
    reckon(&mut h);
    shot::check(&mut h, "values_index");
}

#[test]
fn own_shares_drawn() {
    let (_folder, mut h) = drawn(Theme::Light, [1240.0, 800.0]);
    choose(&mut h, "weight at birth");
    h.get_by_role_and_label(Role::Button, "Estimate them from its records").click();
    h.run();
    wait_for(&mut h, "the flock's own shares", |h| says(h, "From 96 records of 96 animals"));
    shot::check(&mut h, "values_own");
}
