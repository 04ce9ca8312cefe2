//! The part Curves of the page Weights: a chart of one animal and of a sort, read by keys, and who falls behind.

use egui::{Key, Role, Theme};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::Book;
use hirsel_core::exchange::{Kind, read};
use hirsel_tests::flocks::{
    self, ctrl, day, desk_sized, enter, has_keyboard, press, retype, says, type_in, wait_for,
};
use hirsel_tests::shot;

const TODAY: &str = "2026-07-02";

type Page = Harness<'static, Desk>;

/// Gompertz with A 62 kg, 4.2 kg at birth.
fn usual(age: i64) -> f64 {
    62.0 * (-(62.0_f64 / 4.2).ln() * (-0.0135 * age as f64).exp()).exp()
}

/// 24 twin ewe lambs of March, weighed five times; 0301 does poorly since May.
fn tables() -> (String, String) {
    let mut animals = String::from("tag,sex,born,birth_type,rear_type,birth_weight_kg,pen\n");
    let mut weights = String::from("tag,on,weight_kg\n");
    for i in 0..24_i64 {
        let born = day("2026-03-01").plus(i % 9);
        // From 0.85 to 1.15 of what is usual, in an order of no meaning.
        let factor = 0.85 + 0.3 * ((i * 7 % 24) as f64) / 23.0;
        animals.push_str(&format!("{:04},ewe,{born},2,2,{:.2},Bank field\n", 301 + i, 4.2 * factor));
        for on in ["2026-03-29", "2026-04-20", "2026-05-14", "2026-06-08", "2026-06-30"].map(day) {
            let age = on.since(born);
            let poor = if i == 0 && age > 70 { 0.76 } else { 1.0 };
            let wobble = 1.0 + 0.015 * (((i * 5 + age) % 7) as f64 - 3.0) / 3.0;
            weights.push_str(&format!("{:04},{on},{:.1}\n", 301 + i, usual(age) * factor * poor * wobble));
        }
    }
    animals.push_str("0399,ram,2026-06-10,1,1,4.9,Jug 2\n");
    (animals, weights)
}

fn book(folder: &flocks::Folder) -> Book {
    let mut book = flocks::empty_book(folder);
    let (animals, weights) = tables();
    for (kind, text) in [(Kind::Animals, animals), (Kind::Weighings, weights)] {
        let reading =
            read(kind, "t.csv", text.as_bytes(), &book.flock(), day(TODAY)).unwrap_or_else(|e| panic!("{e}"));
        let sure = reading.sure("as it was").expect("a word").expect("rows");
        book.write(sure).unwrap_or_else(|e| panic!("{e}"));
    }
    book
}

fn open(h: &mut Page) {
    ctrl(h, Key::Num7);
    for _ in 0..3 {
        ctrl(h, Key::PageDown);
    }
}

fn shown(folder: &flocks::Folder, size: [f32; 2]) -> Page {
    let mut h = desk_sized(folder, book(folder), day(TODAY), size);
    open(&mut h);
    h
}

fn heard(h: &Page) -> String {
    h.get_by_role(Role::Figure).accesskit_node().description().unwrap_or_default()
}

#[test]
fn one_animal_its_curve_and_the_day_of_a_weight() {
    let folder = flocks::Folder::new();
    let mut h = shown(&folder, [1240.0, 860.0]);
    assert!(has_keyboard(&h, Role::RadioGroup, "Look at"));
    press(&mut h, Key::Enter);
    enter(&mut h, &["0308"]);
    retype(&mut h, "Weight", "36");
    press(&mut h, Key::Enter);
    assert!(says(&h, "36.0 kg: expected ") && says(&h, " 2026, "), "the day and its span");
    assert!(says(&h, "of this flock at 1") && says(&h, "Among its like"));
    assert!(says(&h, "Gompertz curve through 6 weights"));
    // The chart has the keyboard, is heard as words and read weight by weight.
    assert!(has_keyboard(&h, Role::Figure, "Growth of 0308"));
    assert!(heard(&h).starts_with("6 weights of 0308 by age, from "), "{}", heard(&h));
    press(&mut h, Key::ArrowRight);
    assert!(heard(&h).contains(" kg at birth; at 0 days: "), "{}", heard(&h));
    press(&mut h, Key::End);
    assert!(says(&h, "; twin ewe lambs "), "its like are read as well");
    shot::check(&mut h, "weights_curves_animal");
    retype(&mut h, "Weight", "90");
    assert!(says(&h, "90.0 kg: not within the next "));
}

#[test]
fn without_weights_it_says_what_is_missing() {
    let folder = flocks::Folder::new();
    let mut book = book(&folder);
    let text = "tag,on,weight_kg\n0399,2026-06-24,9.1\n";
    let reading = read(Kind::Weighings, "t.csv", text.as_bytes(), &book.flock(), day(TODAY))
        .unwrap_or_else(|e| panic!("{e}"));
    book.write(reading.sure("").expect("plain").expect("plain")).unwrap_or_else(|e| panic!("{e}"));
    let mut h = desk_sized(&folder, book, day(TODAY), [1240.0, 800.0]);
    open(&mut h);
    press(&mut h, Key::Enter);
    enter(&mut h, &["0399"]);
    assert!(says(&h, "No curve: only weighed on 2 days: a curve needs 4"));
}

#[test]
fn a_sort_and_who_falls_behind() {
    let folder = flocks::Folder::new();
    let mut h = shown(&folder, [1240.0, 800.0]);
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::Enter);
    type_in(&mut h, "twin");
    press(&mut h, Key::Enter);
    assert!(says(&h, "At 60 days") && says(&h, "144 weights of 24 animals, the newest"));
    shot::check(&mut h, "weights_curves_sort");
    h.get_by_role_and_label(Role::RadioGroup, "Look at").focus();
    h.run();
    press(&mut h, Key::ArrowRight);
    let why = "days; twin ewe lambs of this flock are ";
    assert!(says(&h, "0301") && says(&h, why));
    // Enter leads into the list; there it shows the chart, which has the keyboard.
    press(&mut h, Key::Enter);
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::Figure, "Growth of 0301"), "Enter shows the chart");
    press(&mut h, Key::End);
    assert!(heard(&h).contains("; twin ewe lambs "), "{}", heard(&h));
    // Named on Tonight as well, within a day of the weighing.
    ctrl(&mut h, Key::Num1);
    assert!(says(&h, why));
}

#[test]
fn the_chart_is_printed() {
    let folder = flocks::Folder::new();
    let mut h = shown(&folder, [1240.0, 800.0]);
    press(&mut h, Key::Enter);
    enter(&mut h, &["0308"]);
    h.get_by_role_and_label(Role::Button, "Print this chart").click();
    h.run();
    wait_for(&mut h, "the paper", |h| says(h, "Growth of 0308"));
    shot::check(&mut h, "weights_curves_paper");
}

#[test]
fn by_lamplight_in_pounds_and_small() {
    let folder = flocks::Folder::new();
    let mut book = book(&folder);
    let mut holding = book.flock().holding().clone();
    holding.units = hirsel_core::terms::Units::Imperial;
    let check = hirsel_core::entry::holding(holding, &book.flock());
    flocks::write(&mut book, check);
    let desk = Desk::with_book(Kept::at(&folder.path().join("kept")), book, day(TODAY));
    let mut h = shot::themed(Theme::Dark, [900.0, 640.0], |ui, desk: &mut Desk| desk.view(ui), desk);
    h.run();
    open(&mut h);
    press(&mut h, Key::Enter);
    enter(&mut h, &["0301"]);
    assert!(says(&h, " lb, nine of ten times ") || says(&h, "Gain"));
    shot::check(&mut h, "weights_curves_dark");
}
