//! The barn sheet typed back by the keyboard: ticks down the column, a whole pen, weights, one product for a round.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::Book;
use hirsel_core::entry::{self, LambDraft, LambingDraft};
use hirsel_core::flock::{AnimalFile, Flock, Sire};
use hirsel_core::reckon::due::{self, Board};
use hirsel_core::terms::{AnimalId, Day, Dose, Moment, Sex};
use hirsel_tests::flocks::{self, ctrl, day, desk, enter, has_keyboard, press, says, type_in};
use hirsel_tests::shot;
use std::sync::Arc;

const TODAY: &str = "2026-04-10";

type Page = Harness<'static, Desk>;

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

fn file(h: &Page, id: AnimalId) -> AnimalFile {
    flock(h).file(id).cloned().expect("in the book")
}

/// Three ewes in the top shed with twins each, born on a day; gives the lambs.
fn lambs(book: &mut Book, ewes: &[AnimalId], born: &str, today: Day) -> Vec<AnimalId> {
    let mut all = Vec::new();
    for ewe in ewes {
        let draft = LambingDraft {
            ewe: *ewe,
            at: Moment::day(day(born)),
            sire: Sire::Unknown,
            ease: None,
            help: None,
            note: None,
            pen: Some("Top shed".into()),
            lambs: vec![LambDraft::new(Sex::Ewe), LambDraft::new(Sex::Ram)],
            foster_on: Vec::new(),
        };
        let check = entry::lambing(draft, &book.flock(), today);
        let checked = check.unwrap_or_else(|r| panic!("{}", r[0]));
        let sure = checked.despite("made up").unwrap_or_else(|e| panic!("{e}"));
        book.write(sure).unwrap_or_else(|e| panic!("{e}"));
        let flock = book.flock();
        all.extend(flock.file(*ewe).expect("ewe").lambings.iter().flat_map(|l| l.lambs.clone()));
    }
    all
}

/// The shed with lambs born on 9 April, on the 10th.
fn shed(folder: &flocks::Folder) -> (Book, Vec<AnimalId>) {
    let (mut book, ids) = flocks::shed_book(folder);
    let young = lambs(&mut book, &ids[..3], "2026-04-09", day("2026-04-10"));
    (book, young)
}

/// The box of a job of an animal.
fn ticked(h: &Page, short: &str, tag: &str) -> bool {
    let label = format!("{short}, {tag}");
    let node = h.get_by_role_and_label(Role::CheckBox, &label);
    node.accesskit_node().toggled() == Some(egui::accesskit::Toggled::True)
}

fn cell(h: &mut Page, short: &str, tag: &str) {
    h.get_by_role_and_label(Role::CheckBox, &format!("{short}, {tag}")).focus();
    h.run();
}

#[test]
fn ticks_go_down_the_column_and_one_undo_takes_all_back() {
    let folder = flocks::Folder::new();
    let (book, young) = shed(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num2);
    assert!(says(&h, "for Saturday 11 April 2026"), "tomorrow's sheet");
    let focused = h.root().accesskit_node().tree_state.focus_id();
    assert!(focused.is_some(), "the keyboard is in the rows at once");
    cell(&mut h, "Eyelids and bite", "0412/26-1");
    press(&mut h, Key::Space);
    press(&mut h, Key::ArrowDown);
    assert!(has_keyboard(&h, Role::CheckBox, "Eyelids and bite, 0412/26-2"), "down the column");
    type_in(&mut h, "x");
    press(&mut h, Key::Enter);
    press(&mut h, Key::Tab);
    assert!(has_keyboard(&h, Role::CheckBox, "Eyelids and bite, 0417/26-2"), "Enter and Tab as well");
    press(&mut h, Key::Space);
    assert!(says(&h, "3 ticks"));
    press(&mut h, Key::Space);
    assert!(says(&h, "2 ticks"), "ticked again, the tick goes");
    // To the weight of the same row, and down.
    for _ in 0..8 {
        if !has_keyboard(&h, Role::TextInput, "Weight, 0417/26-2") {
            press(&mut h, Key::ArrowRight);
        }
    }
    // Enter goes down the column, past the ewe in between.
    enter(&mut h, &["4.9", "", "5.1"]);
    assert!(has_keyboard(&h, Role::TextInput, "Weight, 0433/26-2"));
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "Barn sheet of 10 Apr: 2 jobs, 2 weights"), "one line");
    let ticks: Vec<usize> = young.iter().map(|id| file(&h, *id).ticks.len()).collect();
    assert_eq!(ticks.iter().sum::<usize>(), 2);
    assert_eq!((ticks[0], ticks[1]), (1, 1));
    let weighed = |h: &Page| young.iter().map(|id| file(h, *id).weighings.len()).sum::<usize>();
    assert_eq!(weighed(&h), 2);
    assert!(file(&h, young[0]).ticks[0].at.day == day(TODAY), "done on the day it was typed");
    ctrl(&mut h, Key::Z);
    assert!(young.iter().all(|id| file(&h, *id).ticks.is_empty()) && weighed(&h) == 0, "one undo");
}

#[test]
fn a_whole_pen_is_ticked_by_one_key() {
    let folder = flocks::Folder::new();
    let (book, young) = shed(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num2);
    cell(&mut h, "Eyelids and bite", "0412/26-1");
    type_in(&mut h, "t");
    assert!(says(&h, "6 ticks"));
    type_in(&mut h, "t");
    assert!(says(&h, "Nothing is ticked yet"));
    h.get_by_role_and_label(Role::Button, "Tick all in Top shed: Eyelids and bite").click();
    h.run();
    assert!(ticked(&h, "Eyelids and bite", "0412/26-2"));
    ctrl(&mut h, Key::Enter);
    assert!(young.iter().all(|id| file(&h, *id).ticks.len() == 1));
}

#[test]
fn numbers_stay_as_on_paper_when_a_part_is_written() {
    let folder = flocks::Folder::new();
    let (book, _) = shed(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num2);
    let rows = |h: &Page| -> Vec<String> {
        h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect()
    };
    let before = rows(&h);
    assert!(before[0].starts_with("1, 0412, ewe"), "{before:?}");
    // Everything the first row asks for.
    cell(&mut h, "Cleansed, teats", "0412");
    press(&mut h, Key::Space);
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "Barn sheet of 10 Apr: 1 job"));
    assert_eq!(rows(&h), before, "no row has moved up");
    assert!(says(&h, "rows as on paper"));
    assert!(!says(&h, "no longer open"), "what was done is said to be done");
    flocks::retype(&mut h, "Search", "no such animal");
    assert!(says(&h, "No row of the sheet fits"));
}

#[test]
fn a_round_asks_once_for_its_product_and_writes_treatments() {
    let folder = flocks::Folder::new();
    let (book, young) = shed(&folder);
    // Six weeks on: the first dose is due.
    let mut h = desk(&folder, book, day("2026-05-21"));
    ctrl(&mut h, Key::Num2);
    cell(&mut h, "Clostridial, first", "0412/26-1");
    type_in(&mut h, "t");
    assert!(says(&h, "Clostridial, first · 6 ticked"));
    assert!(says(&h, "12 ml in all"), "one syringe for the round");
    let product = h.get_by_role_and_label(Role::TextInput, "Product, Clostridial, first").value();
    assert_eq!(product.as_deref(), Some("clostridial vaccine 4-in-1"), "the only one of its kind");
    flocks::retype(&mut h, "Batch, Clostridial, first", "CV-7");
    // Without a product nothing is written.
    flocks::retype(&mut h, "Product, Clostridial, first", "");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "which product was given?"));
    assert!(young.iter().all(|id| file(&h, *id).treatments.is_empty()));
    assert!(has_keyboard(&h, Role::TextInput, "Product, Clostridial, first"), "where it is mended");
    type_in(&mut h, "clos");
    ctrl(&mut h, Key::Enter);
    for id in &young {
        let t = file(&h, *id).treatments;
        assert_eq!((t.len(), t[0].dose, t[0].batch.as_deref()), (1, Dose::from_ml(2.0), Some("CV-7")));
        let flock = flock(&h);
        let today = day("2026-05-21");
        let open = due::jobs_on(&Board::new(&flock, today), *id, today);
        assert!(open.iter().all(|j| j.step.key != "clostridial"), "the treatment completes the job");
    }
    ctrl(&mut h, Key::Z);
    assert!(young.iter().all(|id| file(&h, *id).treatments.is_empty()));
}

#[test]
fn what_is_unlikely_asks_for_a_word_and_what_is_wrong_stands_beside_its_row() {
    let folder = flocks::Folder::new();
    let (book, young) = shed(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num2);
    let weight = |h: &mut Page, text: &str| flocks::retype(h, "Weight, 0412/26-1", text);
    weight(&mut h, "heavy");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "'heavy'"), "said in words");
    assert!(has_keyboard(&h, Role::TextInput, "Weight, 0412/26-1"));
    cell(&mut h, "Second weight", "0412/26-1");
    press(&mut h, Key::Space);
    weight(&mut h, "");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "'Second weight' is ticked, but no weight is typed"));
    weight(&mut h, "4.8");
    ctrl(&mut h, Key::Enter);
    assert_eq!(file(&h, young[0]).weighings.len(), 1);
    // Weighed again the same day, far off: questioned.
    flocks::retype(&mut h, "Weight, 0412", "30");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "Is this right as written?"));
    assert!(has_keyboard(&h, Role::TextInput, "Why"));
    type_in(&mut h, "shorn and thin");
    ctrl(&mut h, Key::Enter);
    let ewe = flock(&h).by_tag("0412").expect("ewe");
    assert_eq!(file(&h, ewe).weighings.len(), 2, "one of before, one now");
}

#[test]
fn what_is_half_typed_is_kept_and_the_sheet_is_typed_back_the_next_evening() {
    let folder = flocks::Folder::new();
    let (book, young) = shed(&folder);
    let path = book.path().to_path_buf();
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num2);
    cell(&mut h, "Eyelids and bite", "0412/26-1");
    press(&mut h, Key::Space);
    h.run_steps(40);
    drop(h);
    let book = Book::open_plain(&path).expect("the lock went with the program");
    let mut h = desk(&folder, book, day("2026-04-11"));
    ctrl(&mut h, Key::Num2);
    assert!(says(&h, "for Saturday 11 April 2026"), "the sheet of yesterday's tomorrow");
    assert!(ticked(&h, "Eyelids and bite", "0412/26-1"));
    flocks::retype(&mut h, "Done on", "");
    ctrl(&mut h, Key::Enter);
    let ticks = file(&h, young[0]).ticks;
    assert_eq!((ticks.len(), ticks[0].at.day), (1, day("2026-04-11")));
}

#[test]
fn a_sheet_is_typed_back_even_after_the_last_day_of_its_jobs() {
    let folder = flocks::Folder::new();
    let (book, young) = shed(&folder);
    let path = book.path().to_path_buf();
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num2);
    cell(&mut h, "Sucking, full", "0412/26-1");
    press(&mut h, Key::Space);
    h.run_steps(40);
    drop(h);
    let book = Book::open_plain(&path).expect("the lock went with the program");
    let mut h = desk(&folder, book, day("2026-04-20"));
    let id = young[0];
    assert!(
        due::of_animal(&flock(&h), id, day("2026-04-20"))
            .iter()
            .any(|j| { j.step.short == "Sucking, full" && j.state == due::State::Missed })
    );
    ctrl(&mut h, Key::Num2);
    assert!(ticked(&h, "Sucking, full", "0412/26-1"));
    ctrl(&mut h, Key::Enter);
    let ticks = file(&h, id).ticks;
    assert_eq!((ticks.len(), ticks[0].at.day), (1, day(TODAY)), "done on the day it was typed for");
}

#[test]
fn the_sheet_goes_to_the_papers_and_is_laid_out() {
    let folder = flocks::Folder::new();
    let (book, _) = shed(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    ctrl(&mut h, Key::Num2);
    h.get_by_role_and_label(Role::Button, "Print the sheet").click();
    h.run();
    flocks::wait_for(&mut h, "pages", |h| says(h, "Page 1 of"));
    assert!(says(&h, "Barn sheet, 11 Apr 2026"));
    h.get_by_role_and_label(Role::Button, "Save as PDF").click();
    h.run();
    flocks::wait_for(&mut h, "the file", |h| says(h, "saved as Barn sheet 2026-04-11.pdf"));
    ctrl(&mut h, Key::Num2);
    assert!(says(&h, "rows as on paper"), "what is on paper keeps its numbers");
}

#[test]
fn it_looks_right() {
    let folder = flocks::Folder::new();
    let (book, _) = shed(&folder);
    let state = Desk::with_book(Kept::at(&folder.path().join("kept")), book, day("2026-05-21"));
    let mut h = shot::harness([1240.0, 800.0], |ui, desk: &mut Desk| desk.view(ui), state);
    h.run();
    ctrl(&mut h, Key::Num2);
    cell(&mut h, "Clostridial, first", "0412/26-1");
    type_in(&mut h, "t");
    shot::check(&mut h, "barn_sheet");
}
