//! Genes and registry by the keyboard: tests typed animal after animal, amended and struck out; carriers, risks,
//! sections and breed parts; the forms that carry them.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, GeneTestDraft};
use hirsel_core::flock::{Flock, Holding, Sire, Tested};
use hirsel_core::terms::{AnimalId, Breed, Day, GeneStatus, Scrapie, Sex};
use hirsel_tests::flocks::{
    Folder, add, ctrl, day, desk, desk_sized, empty_book, enter, has_keyboard, press, retype, says, write,
};
use hirsel_tests::shot;
use std::sync::Arc;

type Page = Harness<'static, Desk>;

fn today() -> Day {
    day("2026-04-10")
}

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

/// Turns to the part and to what it shows: 0 tests, 1 carriers, 2 registry.
fn part(h: &mut Page, see: usize) {
    ctrl(h, Key::B);
    ctrl(h, Key::PageDown);
    ctrl(h, Key::PageDown);
    assert!(has_keyboard(h, Role::RadioGroup, "See"));
    for _ in 0..see {
        press(h, Key::ArrowRight);
    }
    press(h, Key::Enter);
}

fn open_row(h: &mut Page, table: &str, begins: &str) {
    let at = h
        .query_all_by_role(Role::Row)
        .filter_map(|n| n.accesskit_node().label())
        .position(|l| l.starts_with(begins))
        .unwrap_or_else(|| panic!("no row {begins}"));
    let grid = h.query_all_by_role(Role::Grid);
    let grid = grid.into_iter().find(|n| n.accesskit_node().label().is_some_and(|l| l.starts_with(table)));
    grid.unwrap_or_else(|| panic!("no table {table}")).focus();
    h.run();
    press(h, Key::Home);
    for _ in 0..at {
        press(h, Key::ArrowDown);
    }
    press(h, Key::Enter);
}

fn parents(book: &mut Book, lamb: AnimalId, sire: AnimalId, dam: AnimalId) {
    let mut a = book.flock().animal(lamb).expect("there").clone();
    (a.sire, a.dam) = (Sire::Known(sire), Some(dam));
    let check = entry::edit_animal(a, None, &book.flock(), today());
    write(book, check);
}

fn facts(book: &mut Book, id: AnimalId, breed: &str, section: &str) {
    let mut a = book.flock().animal(id).expect("there").clone();
    a.breed = Breed::parse(breed).expect("a breed");
    a.section = Some(section.into()).filter(|s: &hirsel_core::terms::Words| !s.is_empty());
    a.prefix = Some("Thornley".into());
    let check = entry::edit_animal(a, None, &book.flock(), today());
    write(book, check);
}

fn tested(book: &mut Book, animal: AnimalId, found: Tested) {
    let draft = GeneTestDraft {
        animal,
        on: day("2026-02-03"),
        found,
        lab: Some("Dale Laboratory".into()),
        number: Some("G-77".into()),
        note: None,
    };
    let check = entry::gene_tests(vec![draft], &book.flock(), today());
    write(book, check);
}

fn grey(status: GeneStatus) -> Tested {
    Tested::Recessive { gene: "grey wool".into(), status }
}

/// Ram R1 and ewe 0101, both carriers by their affected lamb 0203, with two more lambs and a foreign ewe graded up.
fn blood_book(folder: &Folder) -> (Book, Vec<AnimalId>) {
    let mut book = empty_book(folder);
    let b = &mut book;
    let all: Vec<AnimalId> = [
        ("R1", Sex::Ram, "2019-04-01"),
        ("0101", Sex::Ewe, "2019-04-02"),
        ("0201", Sex::Ewe, "2021-04-02"),
        ("0202", Sex::Ram, "2021-04-02"),
        ("0203", Sex::Ewe, "2022-04-05"),
        ("0110", Sex::Ewe, "2019-03-01"),
        ("0301", Sex::Ewe, "2023-04-05"),
        ("0302", Sex::Ewe, "2024-04-05"),
        ("R2", Sex::Ram, "2020-04-01"),
    ]
    .into_iter()
    .map(|(tag, sex, born)| add(b, tag, sex, born, today()))
    .collect();
    let [r1, dam, one, two, sick, foreign, half, more, r2] = all[..] else { panic!("nine") };
    facts(b, r1, "Fellside", "Full book");
    facts(b, dam, "Fellside", "");
    facts(b, r2, "Fellside", "");
    facts(b, foreign, "Hillgrey", "Foundation");
    for lamb in [one, two, sick] {
        parents(b, lamb, r1, dam);
    }
    parents(b, half, r1, foreign);
    parents(b, more, r2, half);
    facts(b, half, "", "Section B");
    tested(b, sick, grey(GeneStatus::Affected));
    tested(b, r2, grey(GeneStatus::Clear));
    tested(b, r1, Tested::Scrapie(Scrapie::parse("ARR/ARQ").expect("a genotype")));
    tested(b, dam, Tested::Scrapie(Scrapie::parse("ARR/VRQ").expect("a genotype")));
    (book, all)
}

#[test]
fn tests_are_typed_animal_after_animal() {
    let folder = Folder::new();
    let (book, all) = blood_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 0);
    assert!(has_keyboard(&h, Role::TextInput, "Day"));
    enter(&mut h, &["1 mar", "r", "Grey wool", "Dale Laboratory", "G-80", "", "0201", "2"]);
    let f = flock(&h);
    let t = &f.file(all[2]).expect("there").tests[0];
    assert_eq!(t.found, Tested::Recessive { gene: "Grey wool".into(), status: GeneStatus::Carrier });
    assert_eq!((t.on, t.number.as_deref()), (day("2026-03-01"), Some("G-80")));
    assert!(has_keyboard(&h, Role::TextInput, "Animal"), "ready for the next");
    enter(&mut h, &["0202", "4"]);
    let f = flock(&h);
    let t = &f.file(all[3]).expect("there").tests[0];
    assert_eq!(t.found, Tested::Other { what: "Grey wool".into(), result: "healthy".into() });
    assert!(says(&h, "0202, Grey wool, healthy by its looks"));
    // Without an animal, without a result: said, and the keyboard is there.
    press(&mut h, Key::Enter);
    press(&mut h, Key::Enter);
    assert!(says(&h, "an animal is needed: type part of its tag"));
    enter(&mut h, &["0301", ""]);
    assert!(says(&h, "the result is needed: clear, carrier or affected"));
    assert!(has_keyboard(&h, Role::RadioGroup, "Result"));
    // What does not go with its dam is asked about.
    retype(&mut h, "Gene", "grey wool");
    enter(&mut h, &["", "", "", "", ""]);
    assert!(has_keyboard(&h, Role::RadioGroup, "Result"));
    shot::check(&mut h, "genes_tests");
}

#[test]
fn a_test_is_amended_and_struck_out_with_a_reason() {
    let folder = Folder::new();
    let (book, all) = blood_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 0);
    open_row(&mut h, "Tests", "3 Feb 2026, R2");
    assert!(says(&h, "Test of R2"));
    press(&mut h, Key::A);
    assert!(has_keyboard(&h, Role::TextInput, "Day"));
    retype(&mut h, "Report number", "G-78");
    enter(&mut h, &["", "2", ""]);
    assert!(has_keyboard(&h, Role::TextInput, "Reason"));
    press(&mut h, Key::Enter);
    assert!(says(&h, "a reason is needed"));
    enter(&mut h, &["read the wrong line"]);
    let f = flock(&h);
    let t = &f.file(all[8]).expect("there").tests[0];
    assert_eq!((t.found.clone(), t.number.as_deref()), (grey(GeneStatus::Carrier), Some("G-78")));
    assert!(says(&h, "read the wrong line"), "the trail");
    h.get_by_role_and_label(Role::Button, "Strike out (K)").click();
    h.run();
    enter(&mut h, &["another ram's blood"]);
    let f = flock(&h);
    assert!(f.file(all[8]).expect("there").tests[0].struck.is_some());
    assert!(says(&h, "struck out 10 Apr 2026: another ram's blood"));
    ctrl(&mut h, Key::Z);
    assert!(flock(&h).file(all[8]).expect("there").tests[0].struck.is_none(), "undone");
}

#[test]
fn a_parentage_test_settles_the_sire() {
    let folder = Folder::new();
    let (book, all) = blood_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 0);
    enter(&mut h, &["", "p", "", "", "", "0203", "R1", "c"]);
    let f = flock(&h);
    assert_eq!(f.animal(all[4]).map(|a| a.sire.clone()), Some(Sire::Unknown));
}

#[test]
fn carriers_and_what_a_mating_risks() {
    let folder = Folder::new();
    let (book, _) = blood_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 1);
    assert!(has_keyboard(&h, Role::RadioGroup, "Gene"));
    assert!(says(&h, "R1, clear 0.0 %, carrier"), "the sire of an affected lamb is no clear one");
    enter(&mut h, &["", "0101", "R1"]);
    assert!(says(&h, "grey wool: a lamb would be affected with"));
    // Once everybody shows its health, both are carriers for certain.
    let choice = h.get_by_role_and_label(Role::RadioGroup, "Not tested");
    choice.focus();
    h.run();
    press(&mut h, Key::ArrowRight);
    assert!(says(&h, "R1, clear 0.0 %, carrier 100.0 %, affected 0.0 %, 1 lamb tested affected"));
    assert!(says(&h, "grey wool: a lamb would be affected with 25.0 %, a carrier with 50.0 %"));
    assert!(says(&h, "0201, clear 33.3 %, carrier 66.7 %, affected 0.0 %, sire R1 a carrier for certain"));
    shot::check(&mut h, "genes_carriers");
    h.get_by_role_and_label(Role::RadioGroup, "Gene").focus();
    h.run();
    press(&mut h, Key::ArrowRight);
    assert!(says(&h, "R1, ARQ/ARR 100.0 %, tested"));
    assert!(says(&h, "scrapie: a lamb would be"));
}

#[test]
fn results_that_clash_are_named() {
    let folder = Folder::new();
    let (mut book, all) = blood_book(&folder);
    let draft = GeneTestDraft {
        animal: all[1],
        on: day("2026-02-04"),
        found: grey(GeneStatus::Clear),
        lab: None,
        number: None,
        note: None,
    };
    let checked = entry::gene_tests(vec![draft], &book.flock(), today()).expect("asked only");
    // The check looks at the parents of the tested alone: a clear dam of an affected lamb comes to light here.
    let sure = checked.despite("as reported").expect("with a word");
    book.write(sure).expect("written");
    let mut h = desk(&folder, book, today());
    part(&mut h, 1);
    assert!(says(&h, "These results cannot all be right"));
    assert!(says(&h, "0101 tested clear") && says(&h, "0203 tested affected"));
}

#[test]
fn sections_and_breed_parts() {
    let folder = Folder::new();
    let (book, all) = blood_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 2);
    assert!(has_keyboard(&h, Role::TextInput, "Search"));
    assert!(says(&h, "Fellside 3/4, Hillgrey 1/4"));
    assert!(says(&h, "by the rules it qualifies for Section C only"));
    enter(&mut h, &["0302"]);
    press(&mut h, Key::Space);
    shot::check(&mut h, "genes_registry");
    h.get_by_role_and_label(Role::Button, "Write the section it qualifies for").click();
    h.run();
    let f = flock(&h);
    assert_eq!(f.animal(all[7]).and_then(|a| a.section.clone()).as_deref(), Some("Section B"));
}

/// Types the rules of grading up anew.
fn lines(h: &mut Page, text: &str) {
    h.get_by_role_and_label(Role::MultilineTextInput, "Grading up").focus();
    h.run();
    ctrl(h, Key::A);
    press(h, Key::Delete);
    h.event(egui::Event::Paste(text.to_owned()));
    h.run();
}

#[test]
fn registry_particulars_in_the_forms() {
    let folder = Folder::new();
    let (book, _) = blood_book(&folder);
    let mut h = desk(&folder, book, today());
    // The keeper's facts: rules of grading up that cannot be read are refused at their line.
    ctrl(&mut h, Key::Num0);
    for _ in 0..2 {
        if h.query_by_role_and_label(Role::TextInput, "Prefix").is_none() {
            press(&mut h, Key::ArrowRight);
        }
    }
    retype(&mut h, "Prefix", "Thornley");
    retype(&mut h, "Registry", "Fellside Sheep Society");
    retype(&mut h, "Days in lamb", "Fellside 148");
    lines(&mut h, "[ladder]\n[[section]]\nname = \"Half\"\nleast = \"some\"\n");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "line 4: 'some' is no share"));
    assert_eq!(flock(&h).holding().prefix, "", "nothing written");
    lines(&mut h, "[ladder]\n[[section]]\nname = \"Half\"\nleast = \"1/2\"\n");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let kept = f.holding();
    assert_eq!((kept.prefix.as_str(), kept.registry.as_str()), ("Thornley", "Fellside Sheep Society"));
    assert_eq!((kept.gestation.as_str(), kept.grading.contains("Half")), ("Fellside 148", true));
}

#[test]
fn tests_and_section_stand_on_the_leaf() {
    let folder = Folder::new();
    let (book, all) = blood_book(&folder);
    let mut h = desk(&folder, book, today());
    part(&mut h, 2);
    enter(&mut h, &["0301"]);
    press(&mut h, Key::Enter);
    assert!(says(&h, "Thornley, Section B"));
    assert!(says(&h, "Fellside 1/2, Hillgrey 1/2 (by its parents)"));
    press(&mut h, Key::F);
    retype(&mut h, "Section", "Section C");
    ctrl(&mut h, Key::Enter);
    assert_eq!(flock(&h).animal(all[6]).and_then(|a| a.section.clone()).as_deref(), Some("Section C"));
}

/// Pictures to look at, of every view in both sizes and forms.
#[test]
#[ignore = "writes pictures to look at"]
fn pictures() {
    let folder = std::env::temp_dir().join("genes-pictures");
    std::fs::create_dir_all(&folder).expect("a folder");
    for (see, name) in ["tests", "carriers", "registry"].into_iter().enumerate() {
        for size in [[1240.0, 800.0], [1024.0, 700.0]] {
            let own = Folder::new();
            let (book, _) = blood_book(&own);
            let mut h = desk_sized(&own, book, today(), size);
            part(&mut h, see);
            if see == 1 {
                enter(&mut h, &["", "0101", "R1"]);
            }
            if see == 2 {
                press(&mut h, Key::Enter);
                press(&mut h, Key::ArrowDown);
                press(&mut h, Key::ArrowDown);
            }
            shot::to_png(&mut h, folder.join(format!("{name}-{}.png", size[0]))).expect("a picture");
        }
    }
    let own = Folder::new();
    let mut h = desk(&own, empty_book(&own), today());
    part(&mut h, 0);
    shot::to_png(&mut h, folder.join("empty.png")).expect("a picture");
    let own = Folder::new();
    let (mut book, _) = blood_book(&own);
    let holding = Holding { grading: "[ladder".into(), ..book.flock().holding().clone() };
    assert!(entry::holding(holding, &book.flock()).is_err());
    let holding = Holding { prefix: "Thornley".into(), ..book.flock().holding().clone() };
    let check = entry::holding(holding, &book.flock());
    write(&mut book, check);
    let mut h = desk(&own, book, today());
    ctrl(&mut h, Key::Num0);
    for _ in 0..2 {
        if h.query_by_role_and_label(Role::TextInput, "Prefix").is_none() {
            press(&mut h, Key::ArrowRight);
        }
    }
    shot::to_png(&mut h, folder.join("keeper.png")).expect("a picture");
}
