//! The store of feed by the keyboard alone: a new feed from the handbook, deliveries with money, counts, waste, mixings,
//! sheets, measures, amendments, and what Tonight says of it.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::flock::Flock;
use hirsel_core::reckon::feedstore;
use hirsel_core::terms::{Base, FeedChange, FeedKind, MadeFor, MoneyKind, Nutrient};
use hirsel_tests::feed_month::{TODAY, month};
use hirsel_tests::flocks::{
    Folder, ctrl, day, desk, empty_book, enter, has_keyboard, press, retype, says, type_in,
};
use hirsel_tests::shot;
use std::sync::Arc;

type Page = Harness<'static, Desk>;

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

/// The store over the month that is worked by hand.
fn store(folder: &Folder) -> Page {
    let mut h = desk(folder, month(folder), day(TODAY));
    to_store(&mut h);
    h
}

fn to_store(h: &mut Page) {
    ctrl(h, Key::D);
    ctrl(h, Key::PageDown);
    ctrl(h, Key::PageDown);
}

/// Walks to a button with the keyboard and presses it.
fn go(h: &mut Page, label: &str) {
    h.get_by_role_and_label(Role::Button, label).focus();
    h.run();
    press(h, Key::Enter);
}

/// The spoken rows of the table that is seen.
fn rows(h: &Page) -> Vec<String> {
    h.query_all_by_role(Role::Row).filter_map(|n| n.accesskit_node().label()).collect()
}

/// Opens the row that begins so.
fn open_row(h: &mut Page, table: &str, begins: &str) {
    let at = rows(h).iter().position(|r| r.starts_with(begins)).unwrap_or_else(|| panic!("no row {begins}"));
    let grid = h
        .query_all_by_role(Role::Grid)
        .find(|n| n.accesskit_node().label().is_some_and(|l| l.starts_with(table)));
    grid.unwrap_or_else(|| panic!("no table {table}")).focus();
    h.run();
    press(h, Key::Home);
    for _ in 0..at {
        press(h, Key::ArrowDown);
    }
    press(h, Key::Enter);
}

fn grams(h: &Page, name: &str) -> Option<i64> {
    let f = flock(h);
    let id = f.feedroom().by_name(name)?.id;
    feedstore::stock(&f, id, day(TODAY)).map(|s| s.grams)
}

#[test]
fn every_feed_is_told_with_its_state_in_words() {
    let folder = Folder::new();
    let mut h = store(&folder);
    assert!(has_keyboard(&h, Role::TextInput, "Search"));
    let all = rows(&h);
    assert_eq!(all.len(), 5);
    let mix = "Ewe mix, own mix, mix by Thursday 7 May, 11.9 kg, 1.7 kg, 2026-05-07, 2026-05-07, 0.33";
    assert!(all[2].starts_with(mix), "{}", all[2]);
    let pellets =
        "Pellets, bought mix, order by Sunday 3 May, 0.5 bags, 12 kg, 1.18 kg, 2026-05-10, 2026-05-03";
    assert!(all[4].starts_with(pellets), "{}", all[4]);
    press(&mut h, Key::ArrowDown);
    press(&mut h, Key::End);
    assert!(says(&h, "Part of what is there was best before 25 Apr 2026"));
    shot::check(&mut h, "feed_store_list");
    h.get_by_role_and_label(Role::TextInput, "Search").focus();
    h.run();
    type_in(&mut h, "grain");
    assert_eq!(rows(&h).len(), 1);
}

#[test]
fn a_feed_is_written_from_its_name_with_the_handbooks_figures() {
    let folder = Folder::new();
    let mut h = desk(&folder, empty_book(&folder), day(TODAY));
    to_store(&mut h);
    assert!(says(&h, "No feed yet."));
    press(&mut h, Key::Enter);
    assert!(has_keyboard(&h, Role::TextInput, "Name"));
    type_in(&mut h, "Rolled barley");
    assert!(says(&h, "Of dry matter: crude protein"), "the handbook's figures are shown");
    // Like, kind and made for as proposed, then bag and price.
    enter(&mut h, &["", "", "", "", "25", "7.25"]);
    shot::check(&mut h, "feed_store_new");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let barley = f.feedroom().by_name("Rolled barley").expect("written");
    assert!(barley.like.as_deref().is_some_and(|k| k.contains("barley")), "{:?}", barley.like);
    assert_eq!((barley.kind, barley.made_for), (FeedKind::Grain, MadeFor::Plain));
    assert_eq!(barley.cents_a_kg(), Some(29.0));
    assert!(has_keyboard(&h, Role::TextInput, "Name"), "ready for the next");
    enter(&mut h, &["Rearer nuts", "", "compound", "cattle"]);
    assert!(says(&h, "it may hold more copper than a sheep can bear"));
    retype(&mut h, "Dry matter", "88");
    retype(&mut h, "Crude protein", "15.84");
    assert!(says(&h, "= 18 % of dry matter"));
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "Is it right for sheep, by its label?"), "asked before it is written");
}

#[test]
fn a_delivery_is_written_with_the_money_spent() {
    let folder = Folder::new();
    let mut h = store(&folder);
    go(&mut h, "Delivery");
    assert!(has_keyboard(&h, Role::TextInput, "Feed"));
    enter(&mut h, &["barl", "", "4 bags", "B77", "11/2026", "Hollin mill", "R-9", "31"]);
    assert!(says(&h, "0.31 a kg as fed"));
    enter(&mut h, &["", ""]);
    assert_eq!(grams(&h, "Barley"), Some(152_000));
    let f = flock(&h);
    let spent: Vec<_> =
        f.daybook().money.iter().map(|m| (m.kind, m.amount.cents(), m.note.clone())).collect();
    let note = Some("Barley, 100 kg, from Hollin mill".to_string());
    assert_eq!(spent, [(MoneyKind::Feed, 3_100, note)]);
    assert!(has_keyboard(&h, Role::TextInput, "Feed"), "ready for the next of the load");
    ctrl(&mut h, Key::Z);
    assert_eq!((grams(&h, "Barley"), flock(&h).daybook().money.len()), (Some(52_000), 0), "undone as one");
}

#[test]
fn the_same_delivery_again_is_asked_about() {
    let folder = Folder::new();
    let mut h = store(&folder);
    go(&mut h, "Delivery");
    enter(&mut h, &["barl", "2 apr", "100", "B78", "", "", "", "29", "", ""]);
    assert!(says(&h, "100 kg of Barley came on 2 Apr 2026 already: is this another delivery?"));
    assert!(has_keyboard(&h, Role::TextInput, "It is right because"));
    shot::check(&mut h, "feed_store_delivery");
    type_in(&mut h, "a second load");
    ctrl(&mut h, Key::Enter);
    assert_eq!(grams(&h, "Barley"), Some(152_000));
}

#[test]
fn counts_waste_and_mixings() {
    let folder = Folder::new();
    let mut h = store(&folder);
    go(&mut h, "Count");
    assert!(has_keyboard(&h, Role::TextInput, "Barley"));
    enter(&mut h, &["2 bags", "", "", "340"]);
    assert!(says(&h, "the book says 2.1 bags, 52 kg"));
    shot::check(&mut h, "feed_store_count");
    ctrl(&mut h, Key::Enter);
    assert_eq!(
        (grams(&h, "Barley"), grams(&h, "Hay"), grams(&h, "Beans")),
        (Some(50_000), Some(340_000), Some(38_000))
    );
    assert_eq!(rows(&h).len(), 5, "back at the list");

    go(&mut h, "Waste");
    enter(&mut h, &["hay", "", "4.5", "mould"]);
    assert_eq!(grams(&h, "Hay"), Some(340_000), "the count of the same day holds at its end");
    press(&mut h, Key::Escape);
    press(&mut h, Key::Escape);

    go(&mut h, "Mixing");
    enter(&mut h, &["ewe", "", "100"]);
    assert!(says(&h, "30 kg short, by the book"), "80 of barley and 50 there");
    assert!(says(&h, "enough"));
    shot::check(&mut h, "feed_store_mixing");
    retype(&mut h, "How much", "40");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let mixed = f.feedroom().moves.iter().rfind(|m| m.change == FeedChange::Mixed).expect("mixed");
    assert_eq!(mixed.parts.iter().map(|p| p.1.grams()).collect::<Vec<_>>(), [32_000, 8_000]);
    assert_eq!(grams(&h, "Ewe mix"), Some(51_900));
}

#[test]
fn a_sheet_on_the_base_it_is_printed_on_and_a_measure_of_five() {
    let folder = Folder::new();
    let mut h = store(&folder);
    go(&mut h, "Analysis sheet");
    enter(&mut h, &["barl", "20 apr", "Fell lab", "S-1", "", "", "", "86", "9.46"]);
    assert!(says(&h, "= 11 % of dry matter"));
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let barley = f.feedroom().by_name("Barley").expect("barley");
    let written = f.feedroom().written(barley, day(TODAY));
    assert_eq!(written.on(Nutrient::Protein, Base::DryMatter), Some(11.0));
    assert!(says(&h, "sheet of 20 Apr 2026"), "the feed is shown with where its figures come from");
    go(&mut h, "Weigh a measure");
    assert!(has_keyboard(&h, Role::TextInput, "Measure"));
    enter(&mut h, &["scoop", "", "0.8", "850 g", "0.9", "0.85", "0.85"]);
    assert!(says(&h, "5 weighed: 850 g on the mean, from 800 g to 900 g (±6 %)."));
    shot::check(&mut h, "feed_store_measure");
    press(&mut h, Key::Enter);
    let f = flock(&h);
    assert_eq!(f.feedroom().measures.iter().map(|m| m.mean().grams()).collect::<Vec<_>>(), [850]);
}

#[test]
fn a_feed_opened_and_its_records_amended_and_struck_out() {
    let folder = Folder::new();
    let mut h = store(&folder);
    open_row(&mut h, "Store of feed", "Hay");
    assert!(says(&h, "It lasts 43 days, to Friday 12 Jun"));
    assert!(says(&h, "0.20 a kg as fed, 0.23 a kg of dry matter, as paid on 5 Apr 2026."));
    let all = rows(&h);
    assert!(
        all[0].starts_with("2026-04-25, fed, −52.2 kg, 337 kg, by rations, to 30 Apr 2026"),
        "{}",
        all[0]
    );
    shot::check(&mut h, "feed_store_one");
    open_row(&mut h, "What became of it", "2026-04-25, delivered");
    assert!(says(&h, "Hay, delivered on 25 Apr 2026"));
    press(&mut h, Key::A);
    retype(&mut h, "How much", "120");
    retype(&mut h, "Reason", "weighed at the gate");
    ctrl(&mut h, Key::Enter);
    assert_eq!(grams(&h, "Hay"), Some(357_000));
    assert!(says(&h, "weighed at the gate"), "the trail is shown");
    press(&mut h, Key::K);
    type_in(&mut h, "went back");
    ctrl(&mut h, Key::Enter);
    assert_eq!(grams(&h, "Hay"), Some(237_000));
    assert!(says(&h, "struck out 30 Apr 2026: went back"));
    press(&mut h, Key::Escape);
    assert!(says(&h, "What became of it"), "back at the feed");
}

#[test]
fn tonight_says_what_to_order_and_leads_to_it() {
    let folder = Folder::new();
    let mut h = desk(&folder, month(&folder), day(TODAY));
    assert!(says(&h, "The feed store"));
    assert!(says(&h, "Ewe mix: mix by Thursday 7 May; it lasts to Thursday 7 May."));
    let table = h
        .query_all_by_role(Role::Grid)
        .find(|n| n.accesskit_node().label().is_some_and(|l| l.starts_with("The feed store")));
    table.expect("the list").focus();
    h.run();
    press(&mut h, Key::Home);
    press(&mut h, Key::Enter);
    assert!(says(&h, "It lasts 7 days, to Thursday 7 May"), "the feed is opened");
    press(&mut h, Key::Escape);
    press(&mut h, Key::Escape);
    assert_eq!(rows(&h).len(), 5, "and the store behind it");
}
