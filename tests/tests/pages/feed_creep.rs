//! Feed, Creep: the board by keyboard alone, its forms, its cautions; the same on Tonight and in the note line.

use egui::{Key, Role};
use egui_kittest::kittest::Queryable as _;
use hirsel_core::book::Book;
use hirsel_core::entry::{self, CreepDraft, FeedDraft, FeedMoveDraft, PenCheckDraft, PenMoveDraft};
use hirsel_core::flock::{FeedMove, FeedRoom};
use hirsel_core::terms::{
    Analysis, CheckKind, FeedChange, FeedKind, Level, MadeFor, Mass, Minute, Nutrient, Sex,
};
use hirsel_tests::cli;
use hirsel_tests::flocks::{
    Folder, add, ctrl, day, desk, desk_sized, empty_book, enter, has_keyboard, press, retype, says, type_in,
    write,
};
use hirsel_tests::shot;
use std::sync::Arc;

const TODAY: &str = "2026-04-22";

type Page = egui_kittest::Harness<'static, hirsel_app::desk::Desk>;

fn kg(kg: f64) -> Option<Mass> {
    Mass::from_kg(kg)
}

fn feed(name: &str, protein_fed: f64) -> FeedDraft {
    let mut feed = FeedDraft::called(name, FeedKind::Compound);
    feed.made_for = MadeFor::Sheep;
    feed.bag = kg(25.0);
    let dry = Analysis::default().with(Nutrient::DryMatter, 88.0).expect("a figure");
    feed.own = dry.with(Nutrient::Protein, protein_fed / 0.88).expect("a figure");
    feed
}

fn lambs(book: &mut Book, pen: &str, born: &str, from: usize, n: usize) {
    let today = day(TODAY);
    let ids = (from..from + n).map(|i| add(book, &format!("L{i:03}"), Sex::Ewe, born, today)).collect();
    let moves = PenMoveDraft { animals: ids, on: day(born), pen: Some(pen.into()) };
    let check = entry::pen_move(moves, &book.flock(), today);
    write(book, check);
}

fn fed(feed: &str, pen: &str, on: &str, amount: f64, before: u8) -> FeedMoveDraft {
    let mut d = FeedMoveDraft::of(feed, day(on), FeedChange::Fed);
    (d.pen, d.amount, d.level) = (Some(pen.into()), kg(amount), Level::from_percent(before));
    d.time = Minute::new(8, 0);
    d
}

fn creep(pen: &str, from: &str, to: Option<&str>, feed: &str, holds: f64) -> CreepDraft {
    let (from, to) = (day(from), to.map(day));
    CreepDraft { id: None, pen: pen.into(), from, to, feed: Some(feed.into()), holds: kg(holds), note: None }
}

/// Ten lambs of three weeks in Jug 3 with a creep that is filled each day, six of six weeks on the Bank whose feed is too
/// high, four in Jug 5 without a creep, one newborn in Jug 1 under a lamp with a fault; a season before.
fn shed(folder: &Folder) -> Book {
    let today = day(TODAY);
    let mut book = empty_book(folder);
    lambs(&mut book, "Bank", "2025-04-01", 500, 5);
    let ids = (500..505).filter_map(|i| book.flock().by_tag(&format!("L{i}"))).collect();
    let check = entry::pen_move(
        PenMoveDraft { animals: ids, on: day("2025-07-01"), pen: Some("Hill".into()) },
        &book.flock(),
        today,
    );
    write(&mut book, check);
    lambs(&mut book, "Jug 3", "2026-04-01", 100, 10);
    lambs(&mut book, "Bank", "2026-03-10", 200, 6);
    lambs(&mut book, "Jug 5", "2026-04-08", 300, 4);
    lambs(&mut book, "Jug 1", "2026-04-20", 400, 1);
    let feeds = vec![
        feed("Lamb starter", 20.0),
        feed("Lamb rearer", 18.0),
        feed("Lamb grower", 16.0),
        feed("Ewe nuts", 12.0),
    ];
    let check = entry::feeds(feeds, &book.flock());
    write(&mut book, check);
    let creeps = vec![
        creep("Bank", "2025-04-10", Some("2025-06-30"), "Lamb starter", 5.0),
        creep("Jug 3", "2026-04-08", None, "Lamb starter", 10.0),
        creep("Bank", "2026-03-18", None, "Lamb starter", 8.0),
    ];
    let check = entry::creeps(creeps, &book.flock(), today);
    write(&mut book, check);
    let mut moves = vec![
        fed("Lamb starter", "Bank", "2025-04-22", 5.0, 0),
        fed("Lamb starter", "Bank", "2025-04-23", 1.5, 70),
        fed("Lamb starter", "Jug 3", "2026-04-17", 10.0, 0),
        fed("Lamb starter", "Bank", "2026-04-20", 8.0, 0),
        fed("Lamb starter", "Bank", "2026-04-21", 2.0, 75),
    ];
    for (on, amount, before) in [("18", 2.0, 80), ("19", 2.5, 75), ("20", 3.0, 70), ("21", 4.0, 60)] {
        moves.push(fed("Lamb starter", "Jug 3", &format!("2026-04-{on}"), amount, before));
    }
    let mut delivery = FeedMoveDraft::of("Lamb starter", day("2026-04-10"), FeedChange::Delivered);
    (delivery.amount, delivery.batch) = (kg(100.0), Some("M-112".into()));
    moves.push(delivery);
    let check = entry::feed_moves(moves, &book.flock(), today);
    write(&mut book, check);
    let look = |pen: &str, on: &str, what, fault: Option<&str>| PenCheckDraft {
        pen: pen.into(),
        on: day(on),
        time: None,
        what,
        fault: fault.map(String::from),
        note: None,
    };
    let looks = vec![
        look("Jug 3", "2026-04-21", CheckKind::Gate, None),
        look("Jug 3", "2026-04-22", CheckKind::Water, None),
        look("Jug 1", "2026-04-21", CheckKind::Lamp, Some("cable chewed")),
    ];
    let check = entry::pen_checks(looks, &book.flock(), today);
    write(&mut book, check);
    book
}

fn page(folder: &Folder) -> Page {
    let mut h = desk(folder, shed(folder), day(TODAY));
    ctrl(&mut h, Key::D);
    h
}

fn room(h: &Page) -> Arc<FeedRoom> {
    Arc::clone(h.state().flock().expect("a book is open").feedroom())
}

fn last_move(h: &Page) -> FeedMove {
    room(h).moves.iter().max_by_key(|m| m.id).cloned().expect("a move")
}

fn on_board(h: &Page) -> bool {
    has_keyboard(h, Role::Grid, "Creeps")
}

#[test]
fn the_board_says_what_the_keeper_must_know() {
    let folder = Folder::new();
    let h = page(&folder);
    assert!(on_board(&h), "the board has the keyboard at once");
    for said in [
        "This evening: 2 creeps open, 2 not filled today, 1 fault; 1 pen with lambs of creep age and none open.",
        // Bank: six lambs of 43 days ask for 16 %.
        "Bank, not filled today; last yesterday; about 65 % full this evening; 6 lambs eat, 43 days old",
        "Lamb starter, 20 % as fed, 22.7 % of dry matter; protein higher than needed",
        "mean lamb (43 days): 16 % as fed, no further step",
        // Jug 3: 4 + 3 + 2.5 kg of the last three days by ten lambs.
        "10 lambs eat, 21 days old",
        "mean lamb (21 days): 20 % as fed, 18 % from 25 Apr",
        "317 g a lamb a day, over 3.0 days",
        "earlier lambs of that age: 300 g (mean of 1 refill in 1 season)",
        "creep gate not looked at yet",
        "Jug 5: 4 lambs of creep age, the oldest 14 days; no creep is open",
        "heat lamp cable chewed, since 21 Apr",
    ] {
        assert!(says(&h, said), "{said}");
    }
}

#[test]
fn one_key_fills_to_the_top_and_undo_takes_it_back() {
    let folder = Folder::new();
    let mut h = page(&folder);
    let before = room(&h).moves.len();
    press(&mut h, Key::ArrowDown);
    type_in(&mut h, "f");
    let m = last_move(&h);
    assert_eq!((m.pen.as_deref(), m.amount, m.level), (Some("Jug 3"), None, Some(Level::FULL)));
    assert!(says(&h, "Creep in Jug 3 filled to the top"), "the status line says so");
    assert!(says(&h, "Jug 3, filled today"));
    assert!(on_board(&h), "ready for the next");
    ctrl(&mut h, Key::Z);
    assert_eq!(room(&h).moves.len(), before);
    // A look at the level before it tells how much it was.
    type_in(&mut h, "l");
    assert!(has_keyboard(&h, Role::TextInput, "Level"));
    enter(&mut h, &["1/4", "", "", ""]);
    assert_eq!(last_move(&h).level, Level::from_percent(25));
    assert!(on_board(&h));
    type_in(&mut h, "f");
    let m = last_move(&h);
    assert_eq!((m.amount, m.level), (kg(7.5), Level::from_percent(25)));
    assert!(says(&h, "Creep in Jug 3 filled to the top with 7.5 kg"));
}

#[test]
fn an_amount_is_typed_enter_by_enter() {
    let folder = Folder::new();
    let mut h = page(&folder);
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Amount"));
    enter(&mut h, &["a lot", "", "", "", ""]);
    assert!(says(&h, "'a lot' is not an amount of feed"));
    assert!(has_keyboard(&h, Role::TextInput, "Amount"), "back where it is wrong");
    retype(&mut h, "Amount", "2 bags");
    enter(&mut h, &["", "half", "", "07:30"]);
    press(&mut h, Key::Enter);
    press(&mut h, Key::Enter);
    // More than the trough holds is asked about.
    assert!(says(&h, "50 kg are more than the trough in Bank holds (8 kg): is it right?"));
    press(&mut h, Key::Escape);
    retype(&mut h, "Amount", "4");
    for _ in 0..5 {
        press(&mut h, Key::Enter);
    }
    let m = last_move(&h);
    assert_eq!((m.pen.as_deref(), m.amount, m.level), (Some("Bank"), kg(4.0), Level::from_percent(50)));
    assert_eq!(m.time, Minute::new(7, 30));
    assert!(on_board(&h));
    // Esc leaves a form.
    type_in(&mut h, "a");
    press(&mut h, Key::Escape);
    assert!(on_board(&h));
}

#[test]
fn looks_are_ticked_and_faults_stay_till_they_are_mended() {
    let folder = Folder::new();
    let mut h = page(&folder);
    press(&mut h, Key::ArrowDown);
    type_in(&mut h, "o");
    assert!(says(&h, "Jug 3: creep trough, creep gate in order"));
    assert!(says(&h, "creep gate in order; water in order"));
    type_in(&mut h, "o");
    assert!(says(&h, "everything in Jug 3 is looked at"));
    // A fault is typed.
    type_in(&mut h, "x");
    assert!(has_keyboard(&h, Role::RadioGroup, "Looked at"));
    enter(&mut h, &["", "bent bar", "", "", ""]);
    assert!(says(&h, "creep gate bent bar, since 22 Apr"));
    type_in(&mut h, "g");
    assert!(says(&h, "creep gate in order"));
    let gate: Vec<bool> =
        room(&h).checks.iter().filter(|c| c.what == CheckKind::Gate).map(|c| c.fault.is_some()).collect();
    assert_eq!(gate, [false, false, true, false]);
    ctrl(&mut h, Key::Z);
    assert!(says(&h, "creep gate bent bar, since 22 Apr"));
}

#[test]
fn feed_is_changed_a_creep_opened_and_closed() {
    let folder = Folder::new();
    let mut h = page(&folder);
    type_in(&mut h, "s");
    assert!(says(&h, "Proposed: Lamb grower, the feed of the store that comes nearest to the step"));
    assert!(says(&h, "Change over some days, the two mixed"));
    enter(&mut h, &["", "", "", "", "", ""]);
    let name = |h: &Page| room(h).name(last_move(h).feed).to_string();
    assert_eq!(name(&h), "Lamb grower");
    assert!(says(&h, "Lamb grower, 16 % as fed, 18.2 % of dry matter; protein right"));
    // Jug 5 has none: Enter opens one.
    press(&mut h, Key::End);
    assert!(says(&h, "Jug 5: 4 lambs of creep age"));
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Feed") || says(&h, "Open a creep"));
    type_in(&mut h, "ewe nuts");
    press(&mut h, Key::Enter);
    enter(&mut h, &["6", "", ""]);
    assert!(room(&h).creep_in("Jug 5", day(TODAY)).is_some());
    assert!(
        says(&h, "12 % as fed: never under 16 % before two weeks after weaning"),
        "the caution stands there"
    );
    assert!(says(&h, "protein too low"));
    assert!(on_board(&h));
    type_in(&mut h, "c");
    enter(&mut h, &["", ""]);
    let closed = room(&h).creeps.iter().filter(|c| c.to.is_some()).count();
    assert_eq!(closed, 2, "the one of last year and this");
}

#[test]
fn the_list_is_searched_sorted_and_taken_out() {
    let folder = Folder::new();
    let mut h = page(&folder);
    h.get_by_role_and_label(Role::TextInput, "Search").focus();
    h.run();
    type_in(&mut h, "higher");
    press(&mut h, Key::Enter);
    assert!(on_board(&h));
    assert!(says(&h, "Bank, not filled today") && !says(&h, "Jug 3, not filled"), "one card is left");
    h.get_by_label("List").click();
    h.run();
    assert!(says(&h, "Creeps as a list"));
    assert_eq!(h.query_all_by_role(Role::Row).count(), 1);
    for button in ["Save as a table…", "Print the list", "Door sheets"] {
        assert!(h.query_by_role_and_label(Role::Button, button).is_some(), "{button}");
    }
}

#[test]
fn tonight_writes_creeps_and_looks_done_with_enter() {
    let folder = Folder::new();
    let mut h = desk(&folder, shed(&folder), day(TODAY));
    assert!(says(&h, "2 creeps to fill"));
    for said in [
        "Jug 3, fill the creep, empty by",
        "Jug 1, mend the heat lamp, cable chewed, since 21 Apr",
        "Jug 3, creep down to 18 %",
    ] {
        let there = said.starts_with("Jug 3, creep down") || says(&h, said);
        assert!(there, "{said}");
    }
    let table = h.query_all_by_role(Role::Grid).find(|n| {
        use egui_kittest::kittest::NodeT as _;
        n.accesskit_node().label().is_some_and(|l| l.starts_with("Creeps, lamps and gates"))
    });
    table.expect("the lines").focus();
    h.run();
    press(&mut h, Key::Home);
    let before = room(&h).moves.len();
    press(&mut h, Key::Enter);
    assert_eq!(room(&h).moves.len(), before + 1, "the first line is filled");
    assert!(says(&h, "1 creep to fill"));
    ctrl(&mut h, Key::Z);
    assert_eq!(room(&h).moves.len(), before);
}

#[test]
fn the_note_line_writes_creeps_and_looks() {
    let folder = Folder::new();
    let mut h = page(&folder);
    ctrl(&mut h, Key::N);
    type_in(&mut h, "creep jug 3 half, 5 kg; gate jug 3 bent bar");
    assert!(says(&h, "creep Jug 3 half full, 5 kg"));
    assert!(says(&h, "gate Jug 3 \"bent bar\""));
    press(&mut h, Key::Enter);
    let m = last_move(&h);
    assert_eq!((m.amount, m.level, m.pen.as_deref()), (kg(5.0), Level::from_percent(50), Some("Jug 3")));
    let gate = room(&h).checks.iter().max_by_key(|c| c.id).cloned().expect("a look");
    assert_eq!(gate.fault.as_deref(), Some("bent bar"));
    ctrl(&mut h, Key::Z);
    assert_ne!(last_move(&h).id, m.id, "one undo takes the line back");
}

#[test]
fn the_command_line_tells_the_same() {
    let folder = Folder::new();
    shed(&folder).close().expect("closed");
    let call = |words: &[&str]| {
        let mut c = cli::hirsel(folder.path());
        c.args(words);
        let out = cli::run(c);
        assert!(out.status.success(), "{}", cli::said(&out));
        String::from_utf8_lossy(&out.stdout).into_owned()
    };
    let told = call(&["reckon", "flock.hirsel", "creep", "--on", TODAY, "--format", "csv"]);
    // Bank: 2 kg a day of 8 kg at 8:00 on the 21st; Jug 3: 9.5 kg in three days of 10 kg.
    assert_eq!(
        told.lines().skip(1).collect::<Vec<_>>(),
        [
            "Bank,6,Lamb starter,20.0,16.0,,2026-04-21,65,333,2026-04-25 08:00",
            "Jug 3,10,Lamb starter,20.0,20.0,2026-04-25,2026-04-21,55,317,2026-04-24 11:47",
        ]
    );
    call(&["print", "flock.hirsel", "creep-sheet", "-o", "creep.pdf", "--on", TODAY, "--pen", "jug 3"]);
    let pdf = std::fs::read(folder.path().join("creep.pdf")).expect("the paper");
    assert!(pdf.starts_with(b"%PDF-"));
}

#[test]
fn it_looks_as_it_should() {
    let folder = Folder::new();
    let mut h = desk_sized(&folder, shed(&folder), day(TODAY), [1240.0, 800.0]);
    shot::check(&mut h, "feed_creep_tonight");
    ctrl(&mut h, Key::D);
    press(&mut h, Key::ArrowDown);
    shot::check(&mut h, "feed_creep_board");
    type_in(&mut h, "s");
    shot::check(&mut h, "feed_creep_form");
}
