//! Joinings by the keyboard: groups and a second ram, marks and returns, a day of scanning, due windows, the papers.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use hirsel_app::desk::Desk;
use hirsel_app::pages::papers::PaperKind;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, AnimalDraft, CrayonDraft, JoiningDraft, MarkDraft, PenMoveDraft, SireDraft};
use hirsel_core::flock::{AnimalFile, Flock};
use hirsel_core::terms::{AnimalId, Born, Day, MarkKind, Scanned, Sex, Tag};
use hirsel_tests::cli;
use hirsel_tests::flocks::{
    Folder, ctrl, day, desk, desk_sized, empty_book, enter, has_keyboard, press, retype, says, type_in,
    wait_for, write,
};
use hirsel_tests::shot;
use std::sync::Arc;

type Page = Harness<'static, Desk>;

const TODAY: &str = "2025-11-20";
const EWES: [(&str, &str); 6] = [
    ("0412", "Bracken"),
    ("0417", "Sorrel"),
    ("0433", "Tansy"),
    ("0440", "Duchess of the Lower Bank"),
    ("0451", ""),
    ("0460", "Wren"),
];

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

fn file<'a>(flock: &'a Flock, tag: &str) -> &'a AnimalFile {
    flock.by_tag(tag).and_then(|id| flock.file(id)).unwrap_or_else(|| panic!("no {tag}"))
}

/// Six ewes in a field; R7, the sire of 0440, his half brother R9, and the ram lamb L1.
fn book(folder: &Folder) -> Book {
    let today = day(TODAY);
    let mut book = empty_book(folder);
    let mut put = |tag: &str, name: &str, sex, born: &str, sire: Option<AnimalId>| {
        let mut draft = AnimalDraft::new(Tag::parse(tag).expect("a tag"), sex);
        draft.name = (!name.is_empty()).then(|| name.into());
        draft.born = Born::parse(born).expect("a day");
        if let Some(sire) = sire {
            draft.sire = SireDraft::Known(sire);
        }
        let id = draft.id;
        let check = entry::animals(vec![draft], &book.flock(), today);
        write(&mut book, check);
        id
    };
    let r3 = put("R3", "Old Sorrel", Sex::Ram, "2017-03-20", None);
    let r7 = put("R7", "Duke", Sex::Ram, "2020-03-20", Some(r3));
    put("R9", "", Sex::Ram, "2021-03-20", Some(r3));
    put("L1", "", Sex::Ram, "2025-09-20", None);
    let ewes: Vec<AnimalId> = EWES
        .iter()
        .map(|(tag, name)| put(tag, name, Sex::Ewe, "2022-04-02", (*tag == "0440").then_some(r7)))
        .collect();
    let draft = PenMoveDraft { animals: ewes, on: day("2025-10-01"), pen: Some("Bottom field".into()) };
    let check = entry::pen_move(draft, &book.flock(), today);
    write(&mut book, check);
    book
}

/// The same with all ewes joined with R7 on 25 October; marks of 0412 and 0417, of whom 0412 came back.
fn joined(folder: &Folder) -> Book {
    let mut book = book(folder);
    let today = day(TODAY);
    let f = book.flock();
    let (ram, ewes) = (f.by_tag("R7").expect("there"), EWES.map(|(tag, _)| f.by_tag(tag).expect("there")));
    let group = Some("Bottom field".to_string());
    let draft =
        JoiningDraft { ram, ewes: ewes.to_vec(), from: day("2025-10-25"), to: None, method: None, group };
    let check = entry::joinings(vec![draft], &book.flock(), today);
    write(&mut book, check);
    for (on, colour) in [("2025-10-25", "yellow"), ("2025-11-12", "red")] {
        let check = entry::crayons(
            vec![CrayonDraft { ram, on: day(on), colour: colour.into() }],
            &book.flock(),
            today,
        );
        write(&mut book, check);
    }
    let mark = |ewe: AnimalId, on: &str| MarkDraft {
        ewe,
        ram: Some(ram),
        on: day(on),
        kind: MarkKind::Crayon,
        colour: None,
        note: None,
    };
    let all = vec![mark(ewes[0], "2025-10-28"), mark(ewes[1], "2025-10-30"), mark(ewes[0], "2025-11-14")];
    let check = entry::marks(all, &book.flock(), today);
    write(&mut book, check);
    book
}

/// The Joinings page turned to a part: 0 groups, 1 marks, 2 scans, 3 due.
fn part(h: &mut Page, n: usize) {
    ctrl(h, Key::J);
    for _ in 0..n {
        ctrl(h, Key::PageDown);
    }
}

fn at(folder: &Folder, book: Book, on: &str, n: usize) -> Page {
    let mut h = desk(folder, book, day(on));
    part(&mut h, n);
    h
}

fn click(h: &mut Page, label: &str) {
    h.get_by_role_and_label(Role::Button, label).click();
    h.run();
}

/// Pictures to look at, where a folder is named.
fn look(h: &mut Page, name: &str) {
    if let Some(folder) = std::env::var_os("HIRSEL_PICTURES") {
        shot::to_png(h, std::path::Path::new(&folder).join(format!("{name}.png"))).expect("painted");
    }
}

#[test]
fn a_group_is_joined_by_keyboard_with_tags_typed_and_a_whole_list_of_them() {
    let folder = Folder::new();
    let mut h = at(&folder, book(&folder), TODAY, 0);
    assert!(says(&h, "No joining yet."));
    assert!(has_keyboard(&h, Role::TextInput, "Ram"));
    // Ram, two ewes one by one, no pen, many tags, the day.
    enter(&mut h, &["r7", "0412", "0417", "", ""]);
    h.event(egui::Event::Paste("0440\n0433 9999".into()));
    h.run();
    enter(&mut h, &["", "25 oct", "", "Bottom field", "hand"]);
    assert!(says(&h, "no ewe wears 9999"), "what is not known stays in its field");
    assert!(says(&h, "0440 Duchess of the Lower Bank: a lamb of the two would be 25.0 % inbred"));
    look(&mut h, "groups-form");
    ctrl(&mut h, Key::Enter);
    assert!(flock(&h).files().all(|f| f.joinings.is_empty()), "refused");
    assert!(has_keyboard(&h, Role::TextInput, "Or many tags"));
    retype(&mut h, "Or many tags", "0451");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    for (tag, _) in &EWES[..5] {
        let j = &file(&f, tag).joinings[0];
        assert_eq!((j.from, j.to, j.ram), (day("2025-10-25"), None, f.by_tag("R7").expect("there")), "{tag}");
        assert_eq!((j.group.as_deref(), j.method.as_deref()), (Some("Bottom field"), Some("hand service")));
    }
    assert!(file(&f, "0460").joinings.is_empty());
    assert!(has_keyboard(&h, Role::TextInput, "Ram"), "ready for the next group");
    assert!(says(&h, "Bottom field, ram R7, 5 ewes from 25 Oct 2025 runs now, 0 marked, 0 came back"));
    // One more ewe for the group: ram and name are there.
    click(&mut h, "Add ewes");
    assert!(has_keyboard(&h, Role::TextInput, "Ewe"));
    enter(&mut h, &["0460"]);
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    assert_eq!(file(&f, "0460").joinings[0].group.as_deref(), Some("Bottom field"));
    assert!(says(&h, "Bottom field, ram R7, 6 ewes"));
}

#[test]
fn a_pen_is_joined_and_a_young_ram_is_asked_about() {
    let folder = Folder::new();
    let mut h = at(&folder, book(&folder), TODAY, 0);
    enter(&mut h, &["L1"]);
    assert!(says(&h, "he is 61 days old that day"));
    enter(&mut h, &["", "bottom", "", ""]);
    assert!(says(&h, "6 ewes:"));
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "Write it all the same"), "the desk asks");
    press(&mut h, Key::Escape);
    assert!(flock(&h).files().all(|f| f.joinings.is_empty()));
}

#[test]
fn a_second_ram_over_the_first_leaves_two_possible_sires() {
    let folder = Folder::new();
    let mut h = at(&folder, joined(&folder), TODAY, 0);
    shot::check(&mut h, "joining_groups");
    look(&mut h, "groups");
    click(&mut h, "Another ram");
    assert!(has_keyboard(&h, Role::TextInput, "Ram"));
    enter(&mut h, &["R9"]);
    assert!(says(
        &h,
        "R7 and R9 are both with 6 ewes since 20 Nov 2025: lambs born from 13 Apr 2026 on have two"
    ));
    ctrl(&mut h, Key::Enter);
    assert_eq!(file(&flock(&h), "0412").joinings.len(), 2);
    look(&mut h, "groups-two-rams");
    // The first is taken out; the other stays.
    click(&mut h, "Take the ram out");
    assert!(has_keyboard(&h, Role::TextInput, "Last day"));
    enter(&mut h, &["1 oct"]);
    assert!(says(&h, "2025-10-25") || says(&h, "25 Oct 2025"), "not before he came");
    retype(&mut h, "Last day", "today");
    press(&mut h, Key::Enter);
    let f = flock(&h);
    let ends: Vec<Option<Day>> = file(&f, "0412").joinings.iter().map(|j| j.to).collect();
    assert_eq!(ends, [Some(day(TODAY)), None]);
    assert!(says(&h, "R7 and R9 are both with 6 ewes on 20 Nov 2025"));
}

#[test]
fn marks_of_an_evening_are_typed_tag_by_tag() {
    let folder = Folder::new();
    let mut h = at(&folder, joined(&folder), TODAY, 1);
    assert!(has_keyboard(&h, Role::TextInput, "Ewe"));
    assert!(says(&h, "Bottom field: 2 of 6 marked"));
    assert!(says(&h, "Not marked yet: 0433, 0440, 0451, 0460"));
    assert!(says(&h, "came back after 17 days"));
    shot::check(&mut h, "joining_marks");
    look(&mut h, "marks");
    type_in(&mut h, "0417");
    press(&mut h, Key::Enter);
    enter(&mut h, &["0433", "0440"]);
    let f = flock(&h);
    let m = file(&f, "0433").marks[0].clone();
    assert_eq!((m.on, m.ram, m.colour.as_deref()), (day(TODAY), f.by_tag("R7"), Some("red")), "his crayon's");
    assert_eq!(file(&f, "0417").marks.len(), 2);
    assert_eq!(file(&f, "0440").marks.len(), 1);
    assert!(says(&h, "came back after 21 days") || says(&h, "again after 21 days"));
    assert!(says(&h, "Bottom field: 4 of 6 marked"));
    assert!(has_keyboard(&h, Role::TextInput, "Ewe"));
    // A mating seen the day before.
    retype(&mut h, "Day", "-1");
    h.get_by_role_and_label(Role::RadioGroup, "What").focus();
    h.run();
    type_in(&mut h, "m");
    enter(&mut h, &["", "", "0451"]);
    let f = flock(&h);
    let m = &file(&f, "0451").marks[0];
    assert_eq!((m.on, m.kind, m.colour.as_deref()), (day("2025-11-19"), MarkKind::Seen, None));
    ctrl(&mut h, Key::Z);
    assert!(file(&flock(&h), "0451").marks.is_empty(), "undone");
}

#[test]
fn the_crayon_is_changed_in_a_line() {
    let folder = Folder::new();
    let mut h = at(&folder, joined(&folder), "2025-11-29", 1);
    assert!(says(&h, "R7 Duke: red since 12 Nov, day 18: a new colour is due after 17 days"));
    assert!(says(&h, "4 ewes are with a ram for more than"), "they are not marked since October");
    h.get_by_role_and_label(Role::TextInput, "Colour, crayon").focus();
    h.run();
    enter(&mut h, &["blue"]);
    let f = flock(&h);
    assert_eq!(entry::crayon_on(file(&f, "R7"), day("2025-11-29")), Some("blue"));
    assert!(says(&h, "R7 Duke: blue since 29 Nov, day 1"));
    assert!(has_keyboard(&h, Role::TextInput, "Ewe"));
}

#[test]
fn a_scanning_day_goes_from_ewe_to_ewe() {
    let folder = Folder::new();
    let mut h = at(&folder, joined(&folder), "2026-01-20", 2);
    assert!(says(&h, "Not scanned yet: 6 ewes"));
    enter(&mut h, &["0412", "2", "67"]);
    let f = flock(&h);
    let s = &file(&f, "0412").scans[0];
    assert_eq!((s.on, s.found, s.age_days), (day("2026-01-20"), Scanned::Two, Some(67)));
    // The next ones are proposed in the order of their tags.
    assert!(says(&h, "the next one not scanned"));
    enter(&mut h, &["", "1", ""]);
    enter(&mut h, &["", "9", ""]);
    enter(&mut h, &["0460", "empty", ""]);
    let f = flock(&h);
    let found = |tag: &str| file(&f, tag).scans.first().map(|s| s.found);
    assert_eq!(
        (found("0417"), found("0433"), found("0460")),
        (Some(Scanned::One), Some(Scanned::Three), Some(Scanned::Empty))
    );
    assert!(says(&h, "4 of 6 joined ewes scanned"));
    assert!(says(&h, "twins 1, 25 %"));
    assert!(says(&h, "150 lambs seen for 100 ewes"));
    assert!(says(&h, "A scan count is not a birth count"));
    assert!(says(&h, "Not scanned yet: 2 ewes"));
    shot::check(&mut h, "joining_scans");
    look(&mut h, "scans");
    // An age of lambs in an empty ewe cannot be.
    enter(&mut h, &["0440", "0", "60"]);
    assert!(says(&h, "0440 is scanned empty: leave the age of the lambs out"));
    assert!(has_keyboard(&h, Role::TextInput, "Age of lambs"));
}

#[test]
fn who_is_due_is_found_sorted_and_printed() {
    let folder = Folder::new();
    let mut h = at(&folder, joined(&folder), "2026-04-02", 3);
    assert!(says(&h, "6 ewes"));
    look(&mut h, "due");
    shot::check(&mut h, "joining_due");
    // By her last mark 0412 is due 17 days later than by her first.
    assert!(says(&h, "0412 Bracken, from"));
    enter(&mut h, &["0417"]);
    assert!(says(&h, "2 days past her last day"), "marked on 30 October");
    assert!(says(&h, "Marked yellow on 30 Oct 2025"));
    assert!(!says(&h, "0412 Bracken, from"), "searched");
    click(&mut h, "Print the due list");
    wait_for(&mut h, "the pages", |h| says(h, "Page 1 of"));
    assert!(says(&h, "Due list"));
    look(&mut h, "due-paper");
}

#[test]
fn a_mark_and_a_scan_are_amended_and_struck_out_on_the_leaf() {
    let folder = Folder::new();
    let mut h = at(&folder, joined(&folder), TODAY, 1);
    // The newest mark is the first row.
    let table = h.query_all_by_role(Role::Grid).next().expect("a table");
    table.focus();
    h.run();
    press(&mut h, Key::Home);
    press(&mut h, Key::Enter);
    assert!(says(&h, "Mating of 0412"));
    assert!(says(&h, "With ram R7 in Bottom field"), "the joining tells its group");
    look(&mut h, "leaf-mark");
    click(&mut h, "Amend");
    retype(&mut h, "Colour", "blue");
    retype(&mut h, "What", "sean");
    h.get_by_role_and_label(Role::TextInput, "Reason").focus();
    h.run();
    type_in(&mut h, "looked again");
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "'sean' is not a way to know of a mating"));
    retype(&mut h, "What", "seen");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let m = file(&f, "0412").marks.iter().max_by_key(|m| m.on).expect("there");
    assert_eq!((m.kind, m.colour.as_deref()), (MarkKind::Seen, Some("blue")));
    assert_eq!(f.amendments(hirsel_core::flock::RecordRef::Mark(m.id))[0].reason, "looked again");
    click(&mut h, "Strike out");
    enter(&mut h, &["not hers"]);
    let f = flock(&h);
    assert!(file(&f, "0412").marks.iter().any(|m| m.struck.is_some()));
}

#[test]
fn the_page_holds_in_a_small_window() {
    let folder = Folder::new();
    let mut h = desk_sized(&folder, joined(&folder), day("2026-01-20"), [1024.0, 700.0]);
    for (n, name) in ["groups", "marks", "scans", "due"].iter().enumerate() {
        ctrl(&mut h, Key::J);
        if n > 0 {
            ctrl(&mut h, Key::PageDown);
        }
        assert!(says(&h, "0412"), "{name}");
        look(&mut h, &format!("small-{name}"));
    }
    h.state_mut().pages().expect("open").papers.show(PaperKind::JoiningSheet, Vec::new());
    ctrl(&mut h, Key::Num8);
    wait_for(&mut h, "the pages", |h| says(h, "Page 1 of"));
    look(&mut h, "small-paper");
}

#[test]
fn both_papers_are_printed_from_the_command_line() {
    let folder = Folder::new();
    drop(joined(&folder));
    let call = |words: &[&str]| {
        let mut c = cli::hirsel(folder.path());
        c.args(words);
        cli::run(c)
    };
    for paper in ["joining-sheet", "due-list"] {
        let name = format!("{paper}.pdf");
        let made = call(&["print", "flock.hirsel", paper, "-o", &name, "--on", "2025-12-20"]);
        assert!(made.status.success(), "{paper}: {}", cli::said(&made));
        let bytes = std::fs::read(folder.path().join(&name)).expect("written");
        assert!(bytes.starts_with(b"%PDF-"), "{paper}");
    }
    let none = call(&["print", "flock.hirsel", "joining-sheet", "-o", "n.pdf", "--to", "2025-01-01"]);
    assert_eq!(none.status.code(), Some(1));
    assert!(cli::said(&none).contains("nothing to put on the joining sheet"), "{}", cli::said(&none));
}
