//! To spring and Costs: how long the hay lasts, what if, and what feed cost.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{
    self, FeedDraft, FeedMoveDraft, JoiningDraft, MeasureDraft, PenMoveDraft, RationDraft, WeighingDraft,
};
use hirsel_core::reckon::spring::{Ask, winter};
use hirsel_core::terms::{
    AnimalId, Day, Eaters, FeedChange, FeedKind, MadeFor, Mass, Moment, Price, Sex, Weight,
};
use hirsel_tests::flocks::{self, Folder, ctrl, day, has_keyboard, press, retype, says, write};
use hirsel_tests::shot;

const TODAY: &str = "2026-01-15";

type Page = Harness<'static, Desk>;

fn kg(kg: f64) -> Mass {
    Mass::from_kg(kg).expect("an amount")
}

fn ration(eaters: Eaters, feed: &str, from: &str, each: f64) -> RationDraft {
    let from: Day = day(from);
    RationDraft { eaters, pen: None, feed: feed.into(), from, each: kg(each), measure: None, note: None }
}

/// Twelve ewes due from the middle of March, a ram, six lambs of late summer; hay counted today, nuts for the lambs.
fn book(folder: &Folder) -> Book {
    let today = day(TODAY);
    let mut book = flocks::empty_book(folder);
    let ewes: Vec<AnimalId> = (1..=12)
        .map(|i| flocks::add(&mut book, &format!("04{i:02}"), Sex::Ewe, "2022-03-01", today))
        .collect();
    let ram = flocks::add(&mut book, "R7", Sex::Ram, "2022-03-20", today);
    let lambs: Vec<AnimalId> =
        (1..=6).map(|i| flocks::add(&mut book, &format!("L{i}"), Sex::Ewe, "2025-08-20", today)).collect();
    let (from, to) = (day("2025-10-18"), Some(day("2025-11-22")));
    let draft = JoiningDraft { ram, ewes: ewes.clone(), from, to, method: None, group: None };
    let check = entry::joinings(vec![draft], &book.flock(), today);
    write(&mut book, check);
    for (animals, pen) in [(ewes, "Top shed"), (lambs.clone(), "Croft"), (vec![ram], "Ram paddock")] {
        let draft = PenMoveDraft { animals, on: day("2025-11-25"), pen: Some(pen.into()) };
        let check = entry::pen_move(draft, &book.flock(), today);
        write(&mut book, check);
    }
    for (on, grams) in [("2025-12-01", 24_000), ("2026-01-14", 33_000)] {
        let weight = Weight::from_grams(grams).expect("a weight");
        let at = Moment::day(day(on));
        let all =
            lambs.iter().take(5).map(|l| WeighingDraft { animal: *l, at, weight, note: None }).collect();
        let check = entry::weighings(all, &book.flock(), today);
        write(&mut book, check);
    }
    let mut hay = FeedDraft::called("Meadow hay", FeedKind::Hay);
    hay.made_for = MadeFor::Plain;
    hay.bag = Some(kg(20.0));
    hay.price = Some(Price::from_cents(450));
    let mut nuts = FeedDraft::called("Lamb nuts", FeedKind::Compound);
    nuts.made_for = MadeFor::Sheep;
    nuts.bag = Some(kg(25.0));
    nuts.price = Some(Price::from_cents(800));
    let check = entry::feeds(vec![hay, nuts], &book.flock());
    write(&mut book, check);
    let measure = |name: &str, weighed: &[f64]| MeasureDraft {
        feed: "Meadow hay".into(),
        name: name.into(),
        on: day("2025-11-02"),
        weighed: weighed.iter().map(|k| kg(*k)).collect(),
    };
    let all =
        vec![measure("bale", &[19.2, 20.6, 20.1, 18.8, 21.3]), measure("flake", &[1.7, 2.0, 1.8, 1.9, 2.1])];
    let check = entry::measures(all, &book.flock(), today);
    write(&mut book, check);
    let mut counted = FeedMoveDraft::of("Meadow hay", today, FeedChange::Counted);
    counted.amount = Some(kg(1900.0));
    let check = entry::feed_moves(vec![counted], &book.flock(), today);
    write(&mut book, check);
    let rations = vec![
        ration(Eaters::EarlyEwes, "Meadow hay", "2025-11-25", 1.4),
        ration(Eaters::LateEwes, "Meadow hay", "2025-11-25", 1.6),
        ration(Eaters::NursingOne, "Meadow hay", "2025-11-25", 2.0),
        ration(Eaters::NursingTwo, "Meadow hay", "2025-11-25", 2.4),
        ration(Eaters::Rams, "Meadow hay", "2025-11-25", 1.8),
        ration(Eaters::WeanedLambs, "Meadow hay", "2025-11-25", 0.5),
        ration(Eaters::WeanedLambs, "Lamb nuts", "2025-12-01", 0.7),
    ];
    let check = entry::rations(rations, &book.flock());
    write(&mut book, check);
    book
}

fn page(folder: &Folder, book: Book, part: usize) -> Page {
    let mut h = flocks::desk_sized(folder, book, day(TODAY), [1240.0, 800.0]);
    ctrl(&mut h, Key::D);
    for _ in 0..part {
        ctrl(&mut h, Key::PageDown);
    }
    h.run();
    h
}

const SPRING: usize = 4;
const COSTS: usize = 5;

#[test]
fn the_hay_is_drawn_to_spring_and_bales_are_tried() {
    let folder = Folder::new();
    let book = book(&folder);
    let flock = book.flock();
    let hay = flock.feedroom().by_name("Meadow hay").expect("hay").id;
    let told = winter(&flock, &Ask::of(hay, day(TODAY)), day(TODAY), &mut |_, _| true).expect("a winter");
    let mut h = page(&folder, book, SPRING);
    assert!(says(&h, &format!("{}.", told.lasts())), "{}", told.lasts());
    assert!(says(&h, "bales ("), "bales with their weight: {}", told.at_grass());
    assert!(says(&h, "No ration of Meadow hay is written for"), "three lambs on a ewe are given none");
    assert!(h.query_by_role_and_label(Role::Figure, "How long it lasts").is_some());
    shot::check(&mut h, "feed_spring");
    retype(&mut h, "Buy", "60 bales");
    h.run();
    let bought = Ask { buy: kg(1200.0), ..told.ask.clone() };
    let more = winter(&flock, &bought, day(TODAY), &mut |_, _| true).expect("a winter");
    assert_ne!(more.lasts(), told.lasts());
    assert!(says(&h, &format!("{}.", more.lasts())), "{}", more.lasts());
    assert!(says(&h, "As it stands: "));
    shot::check(&mut h, "feed_spring_bought");
    retype(&mut h, "Rations at", "plenty");
    h.run();
    assert!(says(&h, "'plenty' is no share: write 0 to 300 percent, like 90"));
    assert!(says(&h, "Mend what is marked on the left"));
}

#[test]
fn the_keyboard_leads_from_the_first_field_to_the_rows() {
    let folder = Folder::new();
    let mut h = page(&folder, book(&folder), SPRING);
    for _ in 0..12 {
        press(&mut h, Key::Enter);
    }
    h.run();
    press(&mut h, Key::ArrowDown);
    let focus = h.root().accesskit_node().tree_state.focus().map(|n| (n.role(), n.label()));
    let (role, label) = focus.expect("something has the keyboard");
    assert_eq!(role, Role::Row, "{label:?}");
}

#[test]
fn costs_stand_with_their_bases() {
    let folder = Folder::new();
    let mut h = page(&folder, book(&folder), COSTS);
    assert!(has_keyboard(&h, Role::TextInput, "From"));
    assert!(says(&h, "For each ewe") && says(&h, "no lamb was weaned in these days"));
    retype(&mut h, "From", "2025-12-01");
    retype(&mut h, "To", "2026-01-13");
    h.run();
    // Six lambs, 44 days: 0.7 kg of nuts, 184.8 kg at 0.32; five gained 9 kg each in the 44 days: 54 kg for six.
    shot::check(&mut h, "feed_costs");
    retype(&mut h, "Search", "nuts");
    h.run();
    let rows: Vec<String> =
        h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect();
    assert_eq!(rows.len(), 2, "the flock's and the lambs' nuts");
    let nuts = rows.iter().find(|r| r.starts_with("weaned lambs, Lamb nuts"));
    let nuts = nuts.unwrap_or_else(|| panic!("{rows:#?}"));
    assert!(nuts.contains("cost 59.14") && nuts.contains("3.42 kg as fed"), "{nuts}");
    assert!(nuts.contains("6 lambs, 5 of them with weights"), "{nuts}");
    retype(&mut h, "From", "2026-01-14");
    h.run();
    assert!(says(&h, "is after the last day"));
}

#[test]
fn a_book_without_rations_says_what_to_do() {
    let folder = Folder::new();
    let h = page(&folder, flocks::empty_book(&folder), SPRING);
    assert!(says(&h, "No feed is given to anyone yet."));
    let folder = Folder::new();
    let h = page(&folder, flocks::empty_book(&folder), COSTS);
    assert!(says(&h, "no feed was eaten in these days by the book"));
}
