//! The page of the care plan by the keyboard: what is changed there moves the jobs of the board.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry;
use hirsel_core::flock::Flock;
use hirsel_core::plan::{Anchor, DoneBy, Span, Step};
use hirsel_core::reckon::due::{Job, of_animal};
use hirsel_core::terms::{AnimalId, MeantFor, Sex};
use hirsel_tests::flocks::{self, add, ctrl, day, desk, has_keyboard, press, retype, says, type_in, write};
use hirsel_tests::shot;
use std::sync::Arc;

const TODAY: &str = "2026-04-10";

type Page = Harness<'static, Desk>;

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

/// The shed's book and a ewe lamb of 5 April.
fn book(folder: &flocks::Folder) -> (Book, AnimalId) {
    let (mut book, _) = flocks::shed_book(folder);
    let lamb = add(&mut book, "0501", Sex::Ewe, "2026-04-05", day(TODAY));
    (book, lamb)
}

/// The page, with its search field in hand.
fn page(folder: &flocks::Folder, book: Book) -> Page {
    let mut h = desk(folder, book, day(TODAY));
    ctrl(&mut h, Key::Num9);
    assert!(has_keyboard(&h, Role::TextInput, "Search"));
    h
}

fn job(h: &Page, animal: AnimalId, step: &str) -> Option<Job> {
    let all = of_animal(&flock(h), animal, day(TODAY));
    all.into_iter().find(|j| j.step.key == step)
}

fn due(h: &Page, animal: AnimalId, step: &str) -> Option<String> {
    job(h, animal, step).map(|j| j.due.day.to_string())
}

fn step(h: &Page, key: &str) -> Step {
    (**flock(h).plan().step(2026, key).expect("in the plan")).clone()
}

fn value(h: &Page, label: &str) -> String {
    h.get_by_role_and_label(Role::TextInput, label).accesskit_node().value().unwrap_or_default()
}

fn click(h: &mut Page, label: &str) {
    h.get_by_role_and_label(Role::Button, label).click();
    h.run();
}

/// What finds the clostridial steps of lambs: the first of a dam that was boosted, then of one that was not.
const FIRST: &str = "clostridial first tetanus";

/// Searches for words and opens the step found so many rows down.
fn open(h: &mut Page, words: &str, down: usize) {
    retype(h, "Search", words);
    press(h, Key::Enter);
    for _ in 0..down {
        press(h, Key::ArrowDown);
    }
    press(h, Key::Enter);
    assert!(has_keyboard(h, Role::TextInput, "Due"), "Enter opens the form at its due time");
}

/// Goes on from the due time to the choice of this label.
fn on_to(h: &mut Page, label: &str) {
    for _ in 0..12 {
        if has_keyboard(h, Role::RadioGroup, label) {
            return;
        }
        press(h, Key::Enter);
    }
    panic!("Enter does not lead to {label}");
}

#[test]
fn a_due_time_changed_by_keys_moves_the_job_and_undo_takes_it_back() {
    let folder = flocks::Folder::new();
    let (book, lamb) = book(&folder);
    let mut h = page(&folder, book);
    let before = due(&h, lamb, "clostridial_early").expect("her dam is not known: the early course");
    assert_eq!(before, "2026-04-26");
    open(&mut h, FIRST, 1);
    type_in(&mut h, "2 w");
    assert!(says(&h, "changed, not yet written"));
    ctrl(&mut h, Key::Enter);
    assert_eq!(due(&h, lamb, "clostridial_early").as_deref(), Some("2026-04-19"));
    assert_eq!(flock(&h).plan().stands("clostridial_early"), "changed");
    assert!(has_keyboard(&h, Role::Grid, "Steps, 3 rows"), "back in the table");
    // So does the board of the new day.
    let board = hirsel_core::reckon::due::Board::new(&flock(&h), day("2026-04-19"));
    assert!(board.of(lamb).iter().any(|j| j.step.key == "clostridial_early" && j.state.is_now()));
    ctrl(&mut h, Key::Z);
    assert_eq!(due(&h, lamb, "clostridial_early"), Some(before));
    assert_eq!(flock(&h).plan().stands("clostridial_early"), "as shipped");
    press(&mut h, Key::Enter);
    assert_eq!(value(&h, "Due"), "21 d", "the form follows");
}

#[test]
fn as_shipped_takes_a_change_back() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = page(&folder, book);
    open(&mut h, FIRST, 1);
    type_in(&mut h, "2 w");
    ctrl(&mut h, Key::Enter);
    click(&mut h, "As shipped");
    assert_eq!(flock(&h).plan().stands("clostridial_early"), "as shipped");
    assert!(says(&h, "as it was shipped"));
}

#[test]
fn what_is_refused_stands_beside_its_field_and_stays_typed() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = page(&folder, book);
    open(&mut h, FIRST, 1);
    type_in(&mut h, "1 d");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "the due time (1 d) must not lie before the earliest (7 d)"));
    assert!(has_keyboard(&h, Role::TextInput, "Due"));
    assert_eq!(value(&h, "Due"), "1 d");
    assert!(flock(&h).plan().changes().is_empty());
    retype(&mut h, "Due", "soon");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "'soon' is no span of time"));
    retype(&mut h, "Not after", "");
    retype(&mut h, "Due", "3 w");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "the last time is needed"));
    assert!(has_keyboard(&h, Role::TextInput, "Not after"));
    // Nothing different is nothing to write.
    let close = step(&h, "clostridial_early").times.close.to_string();
    retype(&mut h, "Not after", &close);
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "nothing is different"));
    assert!(flock(&h).plan().changes().is_empty());
}

#[test]
fn other_published_times_are_taken() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = page(&folder, book);
    let shipped = step(&h, "clostridial");
    let other = shipped.other.first().expect("other times are published").clone();
    open(&mut h, FIRST, 0);
    h.get_by_role_and_label(Role::Button, &format!("Take these times: {}", other.name)).focus();
    h.run();
    press(&mut h, Key::Space);
    assert!(has_keyboard(&h, Role::TextInput, "Due"));
    assert_eq!(value(&h, "Due"), other.due.to_string());
    assert!(flock(&h).plan().changes().is_empty(), "nothing is written yet");
    ctrl(&mut h, Key::Enter);
    let now = step(&h, "clostridial").times;
    assert_eq!((now.earliest, now.due, now.late), (other.earliest, other.due, other.late));
    assert_eq!(now.close, shipped.times.close, "closing stays");
    assert!(says(&h, "these are the times now"));
}

#[test]
fn a_step_is_left_out_and_taken_in_again() {
    let folder = flocks::Folder::new();
    let (book, lamb) = book(&folder);
    let mut h = page(&folder, book);
    assert!(due(&h, lamb, "tag").is_some() || due(&h, lamb, "bite").is_some());
    let key = "clostridial_early";
    open(&mut h, FIRST, 1);
    on_to(&mut h, "Asked for");
    type_in(&mut h, "l");
    ctrl(&mut h, Key::Enter);
    assert_eq!(due(&h, lamb, key), None, "no job of it");
    assert_eq!(flock(&h).plan().stands(key), "left out");
    assert!(says(&h, "'Clostridial, first' left out"));
    press(&mut h, Key::Enter);
    on_to(&mut h, "Asked for");
    type_in(&mut h, "y");
    ctrl(&mut h, Key::Enter);
    assert!(due(&h, lamb, key).is_some());
    // One that is shipped but not asked for.
    assert_eq!(flock(&h).plan().stands("energy"), "left out, as shipped");
    assert_eq!(due(&h, lamb, "energy"), None);
    open(&mut h, "energy drench", 0);
    on_to(&mut h, "Asked for");
    type_in(&mut h, "y");
    ctrl(&mut h, Key::Enter);
    assert!(!step(&h, "energy").off);
}

#[test]
fn a_change_for_one_year_holds_for_that_year_alone() {
    let folder = flocks::Folder::new();
    let (book, lamb) = book(&folder);
    let mut h = page(&folder, book);
    open(&mut h, FIRST, 1);
    type_in(&mut h, "2 w");
    on_to(&mut h, "Holds for");
    type_in(&mut h, "o");
    retype(&mut h, "Year", "2027");
    ctrl(&mut h, Key::Enter);
    assert_eq!(flock(&h).plan().stands("clostridial_early"), "changed for 2027");
    assert_eq!(due(&h, lamb, "clostridial_early").as_deref(), Some("2026-04-26"), "this year as shipped");
    let next = flock(&h).plan().step(2027, "clostridial_early").expect("there").times.due;
    assert_eq!(next, Span::days(14));
    // The form comes back to that year; taken back, it is as in every year.
    assert_eq!(value(&h, "Year"), "2027");
    click(&mut h, "As in every year");
    assert_eq!(flock(&h).plan().stands("clostridial_early"), "as shipped");
    open(&mut h, FIRST, 1);
    on_to(&mut h, "Holds for");
    type_in(&mut h, "o");
    retype(&mut h, "Year", "next");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "'next' is no year"));
}

#[test]
fn whom_a_step_is_for_and_its_product_are_changed() {
    let folder = flocks::Folder::new();
    let (book, lamb) = book(&folder);
    let mut h = page(&folder, book);
    open(&mut h, FIRST, 1);
    on_to(&mut h, "Sex");
    type_in(&mut h, "r");
    press(&mut h, Key::Enter);
    type_in(&mut h, "b");
    press(&mut h, Key::Enter);
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Product"));
    type_in(&mut h, "levam");
    press(&mut h, Key::Enter);
    ctrl(&mut h, Key::Enter);
    let now = step(&h, "clostridial_early");
    assert_eq!(now.when.sex, Some(vec![Sex::Ram]));
    assert_eq!(now.when.meant_for, Some(vec![MeantFor::Breeding]));
    assert_eq!(now.when.dam_vaccinated, Some(false), "what the form does not show stays");
    assert_eq!(now.product.as_deref(), Some("levamisole drench"));
    assert_eq!(due(&h, lamb, "clostridial_early"), None, "a ewe lamb is not asked for");
}

#[test]
fn what_is_half_typed_of_a_step_is_kept_while_another_is_looked_at() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = page(&folder, book);
    open(&mut h, FIRST, 1);
    type_in(&mut h, "2 w");
    retype(&mut h, "Search", "birth weight");
    assert_eq!(value(&h, "Due"), "12 h");
    open(&mut h, FIRST, 1);
    assert_eq!(value(&h, "Due"), "2 w", "as it was typed");
    press(&mut h, Key::Escape);
    assert!(has_keyboard(&h, Role::Grid, "Steps, 3 rows"), "Esc leads back to the table");
    assert_eq!(value(&h, "Due"), "2 w", "and loses nothing");
    click(&mut h, "As it stands");
    assert_eq!(value(&h, "Due"), "21 d");
}

#[test]
fn a_step_of_ones_own_is_added_changed_and_taken_out() {
    let folder = flocks::Folder::new();
    let (book, lamb) = book(&folder);
    let mut h = page(&folder, book);
    click(&mut h, "A step of your own");
    assert!(has_keyboard(&h, Role::TextInput, "In a few words"));
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "is needed"), "words and times are missing");
    retype(&mut h, "In a few words", "Fly strike");
    retype(&mut h, "The whole job", "Pour-on against flies");
    h.get_by_role_and_label(Role::RadioGroup, "Completed by").focus();
    h.run();
    type_in(&mut h, "2");
    retype(&mut h, "Due", "2 d");
    retype(&mut h, "Not after", "3 w");
    ctrl(&mut h, Key::Enter);
    let own = step(&h, "fly_strike");
    assert_eq!((own.job.as_str(), own.anchor.clone()), ("Pour-on against flies", Anchor::Birth));
    assert_eq!(own.done_by, DoneBy::Treatment(String::new()));
    assert_eq!(due(&h, lamb, "fly_strike").as_deref(), Some("2026-04-07"));
    assert_eq!(flock(&h).plan().stands("fly_strike"), "own");
    assert!(says(&h, "Care plan: 'Fly strike' added"));
    // It is in hand now: its words can be changed.
    press(&mut h, Key::Enter);
    retype(&mut h, "In a few words", "Fly strike, pour-on");
    ctrl(&mut h, Key::Enter);
    assert_eq!(step(&h, "fly_strike").short, "Fly strike, pour-on");
    click(&mut h, "Take it out of the plan");
    assert!(flock(&h).plan().step(2026, "fly_strike").is_none());
    assert!(says(&h, "taken out"));
    ctrl(&mut h, Key::Z);
    assert!(flock(&h).plan().step(2026, "fly_strike").is_some(), "undone");
}

#[test]
fn a_step_counted_from_another_holds_that_one_in_the_plan() {
    let folder = flocks::Folder::new();
    let (book, _) = book(&folder);
    let mut h = page(&folder, book);
    for (words, after) in [("Foot bath", ""), ("Foot bath again", "foot b")] {
        click(&mut h, "A step of your own");
        retype(&mut h, "In a few words", words);
        if !after.is_empty() {
            h.get_by_role_and_label(Role::RadioGroup, "Counted from").focus();
            h.run();
            type_in(&mut h, "a");
            retype(&mut h, "Which step", after);
            press(&mut h, Key::Enter);
        }
        retype(&mut h, "Due", "2 d");
        retype(&mut h, "Not after", "3 w");
        ctrl(&mut h, Key::Enter);
    }
    assert_eq!(step(&h, "foot_bath_again").anchor, Anchor::After(vec!["foot_bath".into()]));
    let refused = entry::plan_as_shipped(None, "foot_bath", &flock(&h)).expect_err("another counts from it");
    assert!(refused[0].to_string().contains("'Foot bath again' is counted from it"));
    assert!(entry::plan_as_shipped(None, "foot_bath_again", &flock(&h)).is_ok());
}

#[test]
fn the_parts_turn_and_the_joining_day_is_written_with_the_ewes() {
    let folder = flocks::Folder::new();
    let (book, [ewe, ..]) = flocks::shed_book(&folder);
    let mut h = page(&folder, book);
    assert!(h.query_by_role_and_label(Role::TextInput, "Rams go in").is_none(), "not with the lambs");
    ctrl(&mut h, Key::PageDown);
    assert!(says(&h, "Udder, mouth, feet"));
    retype(&mut h, "Rams go in", "31 feb");
    press(&mut h, Key::Enter);
    assert!(says(&h, "'31 feb' is no day of the year"));
    retype(&mut h, "Rams go in", "5 nov");
    press(&mut h, Key::Enter);
    assert_eq!(flock(&h).holding().joining_day, "11-05");
    assert_eq!(value(&h, "Rams go in"), "5 Nov");
    let jobs = of_animal(&flock(&h), ewe, day("2026-09-12"));
    let flush =
        jobs.iter().find(|j| j.step.key == "flush" && j.anchor.day.year() == 2026).expect("asked for");
    assert_eq!(flush.due.day.to_string(), "2026-10-22", "two weeks before 5 November");
    retype(&mut h, "Rams go in", "");
    press(&mut h, Key::Enter);
    assert_eq!(flock(&h).holding().joining_day, "");
    ctrl(&mut h, Key::Z);
    assert_eq!(flock(&h).holding().joining_day, "11-05");
    let mut bad = flock(&h).holding().clone();
    bad.joining_day = "5 nov".into();
    let refused = entry::holding(bad, &flock(&h)).expect_err("not as it is kept");
    assert_eq!(refused[0].field.name, "joining_day");
}

#[test]
fn pictures() {
    let folder = flocks::Folder::new();
    let (mut book, _) = book(&folder);
    let mut off = (**book.flock().plan().step(2026, "weigh_birth").expect("shipped")).clone();
    off.off = true;
    let check = entry::plan_step(None, off, &book.flock());
    write(&mut book, check);
    let mut h = page(&folder, book);
    shot::check(&mut h, "plan_lambs");
    open(&mut h, FIRST, 0);
    type_in(&mut h, "1 d");
    ctrl(&mut h, Key::Enter);
    shot::check(&mut h, "plan_refused");
}
