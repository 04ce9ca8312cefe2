//! Who to whom by the keyboard: the question, the answer with its reasons, a change by hand, the years ahead, and the
//! pairs written as joinings.

use egui::{Key, Modifiers, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::{Desk, kept::Kept};
use hirsel_core::book::Book;
use hirsel_core::entry::{self, AnimalDraft, PenMoveDraft};
use hirsel_core::flock::{Flock, Sire};
use hirsel_core::terms::{AnimalId, Born, Sex, Status, Tag};
use hirsel_tests::flocks::{
    self, Folder, ctrl, day, desk, desk_sized, enter, has_keyboard, press, retype, says, wait_for, write,
};
use hirsel_tests::shot;
use std::sync::Arc;

const TODAY: &str = "2026-10-10";

type Page = Harness<'static, Desk>;

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

/// Four rams and twelve ewes, all cousins of some kind.
fn cousins(folder: &Folder) -> Book {
    let mut book = flocks::empty_book(folder);
    let mut drafts: Vec<AnimalDraft> = Vec::new();
    let id = |drafts: &[AnimalDraft], tag: &str| -> Option<AnimalId> {
        drafts.iter().find(|d| d.identities.iter().any(|i| i.tag.as_str() == tag)).map(|d| d.id)
    };
    let mut add = |tag: &str, name: &str, sex: Sex, born: &str, dam: &str, sire: &str| {
        let mut d = AnimalDraft::new(Tag::parse(tag).expect("a tag"), sex);
        d.born = Born::parse(born).expect("a day");
        d.name = (!name.is_empty()).then(|| name.to_string());
        d.dam = id(&drafts, dam);
        d.sire = id(&drafts, sire).map_or(Sire::Unknown, Sire::Known);
        drafts.push(d);
    };
    for n in 1..=4 {
        add(&format!("F{n}"), "", Sex::Ewe, "2014-04-01", "", "");
    }
    add("P", "", Sex::Ram, "2012-04-01", "", "");
    for n in 1..=2 {
        add(&format!("G{n}"), "", Sex::Ram, "2014-04-01", "", "P");
    }
    for (tag, name, dam, sire) in [
        ("R1", "Thornley Bracken", "F1", "G1"),
        ("R2", "", "F2", "G1"),
        ("R3", "", "F3", "G2"),
        ("R4", "", "F4", "G2"),
    ] {
        add(tag, name, Sex::Ram, "2022-04-01", dam, sire);
    }
    for n in 0..12 {
        let dam = format!("F{}", n % 4 + 1);
        let sire = ["R1", "R2", "G2", "R3"][n * 5 % 4];
        let name = if n == 3 { "Old Meg of the Far Intake" } else { "" };
        add(&format!("{:04}", 412 + n * 7), name, Sex::Ewe, "2024-04-02", &dam, sire);
    }
    // The founders are known, but not in the flock.
    for d in drafts.iter_mut().filter(|d| d.identities[0].tag.as_str().starts_with(['F', 'G', 'P'])) {
        d.status = Status::Outside;
    }
    let check = entry::animals(drafts, &book.flock(), day(TODAY));
    write(&mut book, check);
    let top: Vec<AnimalId> = ["0412", "0419"].iter().filter_map(|t| book.flock().by_tag(t)).collect();
    let draft = PenMoveDraft { animals: top, on: day("2026-10-01"), pen: Some("Top field".into()) };
    let check = entry::pen_move(draft, &book.flock(), day(TODAY));
    write(&mut book, check);
    book
}

/// The part of the page, by keys.
fn open(h: &mut Page) {
    ctrl(h, Key::J);
    h.key_press_modifiers(Modifiers::COMMAND, Key::PageUp);
    h.run();
}

fn find(h: &mut Page) {
    ctrl(h, Key::Enter);
    wait_for(h, "the pairs", |h| says(h, "inbred on the mean"));
}

#[test]
fn from_the_question_to_joinings_without_a_mouse() {
    let folder = Folder::new();
    let book = cousins(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    open(&mut h);
    assert!(has_keyboard(&h, Role::TextInput, "Add a ram"), "the question begins with the rams");
    assert!(says(&h, "12 ewes chosen, the rams may have 16 together"), "all of breeding age, an even share");
    // R4 stays at home, R1 has at least two.
    retype(&mut h, "R4, ewes", "0");
    retype(&mut h, "R1, ewes", "2-6");
    retype(&mut h, "R2, ewes", "6");
    assert!(says(&h, "at least 2, at most 6 ewes") && says(&h, "stays at home"));
    find(&mut h);
    assert!(has_keyboard(&h, Role::Grid, "Pairs, 12 rows"), "the keyboard is in the pairs");
    // The second ewe in the list gets the next best ram.
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::Grid, "Rams for her, 3 rows"));
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::Enter);
    assert!(says(&h, "inbred on the mean before,"), "what the change costs is said at once");
    assert!(says(&h, "As proposed the mean was"));
    assert!(has_keyboard(&h, Role::Grid, "Pairs, 12 rows"), "back in the pairs");
    // Written as joinings.
    wait_for(&mut h, "the years ahead", |h| !says(h, "Looking ten years ahead"));
    let see = h.get_by_role_and_label(Role::RadioButton, "write them");
    see.click();
    h.run();
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "From"));
    retype(&mut h, "From", "2026-10-08");
    retype(&mut h, "Group of R1", "Low meadow");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let joinings: Vec<_> = f.present().flat_map(|x| x.joinings.clone()).collect();
    assert_eq!(joinings.len(), 12, "every ewe has her ram");
    assert!(joinings.iter().all(|j| j.from == day("2026-10-08") && j.to.is_none()));
    let groups: std::collections::BTreeSet<_> = joinings.iter().filter_map(|j| j.group.as_deref()).collect();
    assert!(groups.contains("Low meadow") && !groups.contains("R4"), "{groups:?}");
    ctrl(&mut h, Key::Z);
    assert!(flock(&h).present().all(|x| x.joinings.is_empty()), "one undo");
}

#[test]
fn what_is_typed_stays_and_what_cannot_be_is_named() {
    let folder = Folder::new();
    let book = cousins(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    open(&mut h);
    enter(&mut h, &["nobody at all"]);
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "is not settled: choose one from the list"));
    retype(&mut h, "Add a ram", "");
    // Only a pen's ewes, and one pair that must not be.
    h.get_by_role_and_label(Role::RadioButton, "only those added").click();
    h.run();
    h.get_by_role_and_label(Role::TextInput, "Pen or group").focus();
    h.run();
    enter(&mut h, &["top"]);
    assert!(says(&h, "2 ewes chosen"));
    for (label, text) in [("Ewe", "0412"), ("With ram", "R4")] {
        h.get_by_role_and_label(Role::TextInput, label).focus();
        h.run();
        enter(&mut h, &[text]);
    }
    assert!(says(&h, "0412 not with R4"));
    retype(&mut h, "No lamb over", "0");
    assert!(says(&h, "no kin at all"));
    for ram in ["R1, ewes", "R2, ewes", "R3, ewes"] {
        retype(&mut h, ram, "0");
    }
    retype(&mut h, "R4, ewes", "9");
    ctrl(&mut h, Key::Enter);
    wait_for(&mut h, "the refusal", |h| says(h, "It cannot be done so"));
    assert!(says(&h, "every ram is forbidden for 0412: allow one or leave her out"));
    press(&mut h, Key::Escape);
    assert!(has_keyboard(&h, Role::TextInput, "No lamb over"), "back at the question");
    // Closed and opened again, all of it is still there.
    h.state_mut().save_drafts();
    drop(h);
    let book = Book::open(&folder.path().join("flock.hirsel")).expect("opened");
    let mut h = desk(&folder, book, day(TODAY));
    h.run();
    assert!(says(&h, "0412 not with R4") && says(&h, "2 ewes chosen"));
}

#[test]
fn pictures() {
    let folder = Folder::new();
    let book = cousins(&folder);
    let mut h = desk(&folder, book, day(TODAY));
    open(&mut h);
    retype(&mut h, "No lamb over", "12.5");
    shot::check(&mut h, "joining_pairs_question");
    find(&mut h);
    wait_for(&mut h, "the years ahead", |h| !says(h, "Looking ten years ahead"));
    press(&mut h, Key::ArrowDown);
    shot::check(&mut h, "joining_pairs_answer");
    h.get_by_role_and_label(Role::RadioButton, "ten years ahead").click();
    h.run();
    wait_for(&mut h, "the charts", |h| says(h, "After 10 crops"));
    shot::check(&mut h, "joining_pairs_years");
}

/// To be looked at by whoever changes the page: `SHOTS=folder`.
#[test]
fn other_sizes_to_look_at() {
    let Some(to) = std::env::var_os("SHOTS").map(std::path::PathBuf::from) else { return };
    for (dark, size) in [(false, [1240.0, 800.0]), (false, [1024.0, 700.0]), (true, [1240.0, 800.0])] {
        let folder = Folder::new();
        let book = cousins(&folder);
        let mut h = if dark {
            let desk = Desk::with_book(Kept::at(&folder.path().join("kept")), book, day(TODAY));
            let mut h = shot::themed(egui::Theme::Dark, size, |ui, desk: &mut Desk| desk.view(ui), desk);
            h.run();
            h
        } else {
            desk_sized(&folder, book, day(TODAY), size)
        };
        let name = |part: &str| to.join(format!("{part}-{}{}.png", size[0], if dark { "-dark" } else { "" }));
        open(&mut h);
        retype(&mut h, "R1, ewes", "2-6");
        retype(&mut h, "No lamb over", "12.5");
        shot::to_png(&mut h, name("question")).expect("a picture");
        find(&mut h);
        press(&mut h, Key::ArrowDown);
        shot::to_png(&mut h, name("answer")).expect("a picture");
        press(&mut h, Key::Enter);
        press(&mut h, Key::ArrowDown);
        press(&mut h, Key::Enter);
        shot::to_png(&mut h, name("changed")).expect("a picture");
        for (word, part) in [("other sets", "others"), ("ten years ahead", "years"), ("write them", "write")]
        {
            h.get_by_role_and_label(Role::RadioButton, word).click();
            h.run();
            if part == "years" {
                wait_for(&mut h, "the charts", |h| says(h, "After 10 crops"));
            }
            shot::to_png(&mut h, name(part)).expect("a picture");
        }
    }
}
