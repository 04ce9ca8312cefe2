//! The diversity part of the page of blood: figures with what to do, founders, lines and animals, by the keyboard.

use egui::{Key, Role, Theme};
use egui_kittest::Harness;
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::Book;
use hirsel_core::exchange::{Kind, read};
use hirsel_tests::flocks::{self, ctrl, day, desk_sized, has_keyboard, press, says, type_in, wait_for};
use hirsel_tests::shot;

const TODAY: &str = "2026-04-10";

type Page = Harness<'static, Desk>;

/// Four founder ewes, a ram used too much and another used little; lambs of six crops, the older ones sold.
fn animals() -> String {
    let mut csv = String::from("tag,sex,name,born,sire,dam,status\n");
    for (tag, sex, name) in [
        ("0001", "ewe", "Bracken"),
        ("0002", "ewe", "Tansy"),
        ("0003", "ewe", "Sorrel"),
        ("0004", "ewe", ""),
        ("R1", "ram", "Old Merrick"),
        ("R2", "ram", "Captain of the Long Fell"),
    ] {
        csv.push_str(&format!("{tag},{sex},{name},2017-04-02,,,outside\n"));
    }
    // Each crop: eight lambs of the ewes then there; the sire is R1 in the first two, then his sons; R2 had one lamb.
    let mut ewes: Vec<String> = ["0001", "0002", "0003", "0004"].map(String::from).to_vec();
    let mut ram = "R1".to_string();
    for crop in 0..6 {
        let year = 2019 + crop;
        let mut born = Vec::new();
        for (i, dam) in ewes.iter().enumerate() {
            for n in 0..2 {
                let tag = format!("{:02}{:02}", year % 100, 10 + 2 * i + n);
                let sire = if crop == 1 && i == 0 && n == 1 { "R2" } else { &ram };
                let sex = if n == 0 { "ram" } else { "ewe" };
                let status = if crop >= 3 && (n == 1 || i == 0) { "in the flock" } else { "sold" };
                csv.push_str(&format!("{tag},{sex},,{year}-04-0{},{sire},{dam},{status}\n", 1 + i));
                born.push((tag, sex));
            }
        }
        if crop % 2 == 1 {
            ram = born[0].0.clone();
        }
        ewes = born.into_iter().filter(|(_, s)| *s == "ewe").map(|(t, _)| t).collect();
        if crop % 2 == 0 {
            ewes.truncate(3);
        }
    }
    csv.push_str("2590,ewe,Late,2025-05-20,,2413,in the flock\n");
    csv
}

fn book(folder: &flocks::Folder) -> Book {
    let mut book = flocks::empty_book(folder);
    let csv = animals();
    let reading = read(Kind::Animals, "animals.csv", csv.as_bytes(), &book.flock(), day(TODAY))
        .unwrap_or_else(|e| panic!("{e}"));
    book.write(reading.sure("").expect("plain").expect("animals")).unwrap_or_else(|e| panic!("{e}"));
    book
}

/// The part, shown.
fn shown(folder: &flocks::Folder, size: [f32; 2]) -> Page {
    let mut h = desk_sized(folder, book(folder), day(TODAY), size);
    open(&mut h);
    h
}

fn open(h: &mut Page) {
    ctrl(h, Key::B);
    for _ in 0..3 {
        ctrl(h, Key::PageDown);
    }
    wait_for(h, "the flock's diversity", |h| says(h, "Founder genomes left"));
}

#[test]
fn figures_say_what_to_do() {
    let folder = flocks::Folder::new();
    let mut h = shown(&folder, [1240.0, 800.0]);
    assert!(has_keyboard(&h, Role::RadioGroup, "Look at"));
    assert!(says(&h, "as much variety as"));
    assert!(says(&h, "What calls for something"));
    // Into the table and down to another figure: its words stand beside it.
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::Grid, &table(&h)));
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::ArrowDown);
    assert!(says(&h, "Reckoned as 1 divided by the sum of the founders' shares squared"));
    assert!(says(&h, "Source: Lacy 1989"));
}

/// The name of the table that is shown, with its rows.
fn table(h: &Page) -> String {
    use egui_kittest::kittest::{NodeT as _, Queryable as _};
    h.get_by_role(Role::Grid).accesskit_node().label().unwrap_or_default()
}

#[test]
fn founders_lines_and_animals() {
    let folder = flocks::Folder::new();
    let mut h = shown(&folder, [1240.0, 800.0]);
    press(&mut h, Key::ArrowRight);
    assert!(says(&h, "R1 Old Merrick: "), "a founder by the bar");
    assert!(says(&h, "of its genes still here, carried by"));
    assert!(says(&h, "unknown sire of 2590 Late"), "one for each unknown parent");
    for words in
        ["explains most", "down through ewes", "down through rams", "by year of birth", "Rarest blood"]
    {
        press(&mut h, Key::ArrowRight);
        assert!(says(&h, words), "{words}");
    }
    press(&mut h, Key::ArrowRight);
    assert!(says(&h, "Not a year and a half old"));
    assert!(says(&h, "rare blood"), "the late lamb of an unknown ram");
    // Found by its tag and opened on its leaf.
    press(&mut h, Key::Enter);
    press(&mut h, Key::Enter);
    assert!(says(&h, "Pedigree"), "the leaf of the first");
}

#[test]
fn an_empty_flock_is_told() {
    let folder = flocks::Folder::new();
    let mut h = shown(&folder, [1240.0, 800.0]);
    let before = h.state().flock().map(|f| f.version());
    ctrl(&mut h, Key::Z);
    assert_ne!(h.state().flock().map(|f| f.version()), before, "the import is undone");
    h.run();
    assert!(says(&h, "No animal is in the flock yet"));
}

#[test]
fn the_search_finds_an_animal() {
    let folder = flocks::Folder::new();
    let mut h = shown(&folder, [1240.0, 800.0]);
    for _ in 0..6 {
        press(&mut h, Key::ArrowRight);
    }
    press(&mut h, Key::Tab);
    type_in(&mut h, "2590");
    assert!(says(&h, "1 animal"));
}

#[test]
fn diversity_looks_right() {
    let folder = flocks::Folder::new();
    let mut h = shown(&folder, [1240.0, 800.0]);
    shot::check(&mut h, "blood_diversity");
}

/// Pictures to look at: `LOOK=folder cargo test …`.
#[test]
fn pictures_to_look_at() {
    let Some(to) = std::env::var_os("LOOK").map(std::path::PathBuf::from) else { return };
    for (name, size, theme) in [
        ("light", [1240.0, 800.0], Theme::Light),
        ("dark", [1240.0, 800.0], Theme::Dark),
        ("small", [1024.0, 700.0], Theme::Light),
    ] {
        let folder = flocks::Folder::new();
        let desk = Desk::with_book(Kept::at(&folder.path().join("kept")), book(&folder), day(TODAY));
        let mut h = shot::themed(theme, size, |ui, desk: &mut Desk| desk.view(ui), desk);
        h.run();
        open(&mut h);
        for n in 0..8 {
            shot::to_png(&mut h, to.join(format!("{name}-{n}.png"))).expect("a picture");
            press(&mut h, Key::ArrowRight);
        }
    }
}
