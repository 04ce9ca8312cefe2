//! The feed store beside a month worked by hand.
//!
//! April 2026. Three ewes in lamb (0412, 0417 in Top shed, 0433 in Jug 1) and a ram (R7 in Ram pen).
//!
//! | hay, kg a day | 1–9 | 10–11 | 12–14 | 15 | 16–17 | 18–20 | 21–30 |
//! |---|---|---|---|---|---|---|---|
//! | Top shed: 1.8 a head, from the 10th 2.0; 5 written as fed on the 15th; 0417 moved to Jug 1 on the 18th | 3.6 | 4.0 | 4.0 | 5.0 | 4.0 | 2.0 | 2.0 |
//! | Jug 1, ewes in lamb: 2.2 by a line of that pen | 2.2 | 2.2 | – | – | – | 2.2 | 2.2 |
//! | Jug 1, nursing two: 2.5, 0433 from the 12th (two lambs born) | – | – | 2.5 | 2.5 | 2.5 | 2.5 | 2.5 |
//! | Ram pen: 2.0 | 2.0 | 2.0 | 2.0 | 2.0 | 2.0 | 2.0 | 2.0 |
//! | a day | 7.8 | 8.2 | 8.5 | 9.5 | 8.5 | 8.7 | 8.7 |
//! | days × a day | 70.2 | 16.4 | 25.5 | 9.5 | 17.0 | 26.1 | 87.0 |
//!
//! Hay: 200 counted on 31 March + 300 delivered on the 5th − 164.7 eaten to the 20th = 335.3 by the book; counted 330.
//! 330 − 87 eaten − 6 wasted on the 22nd + 100 delivered on the 25th = 337 on the 30th. Ahead 8.7 a day to 4 May, then
//! 7.7 (the ram gets 1.0 from the 5th): 337 − 4 × 8.7 = 302.2; 302.2 / 7.7 = 39.2. So 43 whole days, to 12 June; a week
//! for the delivery: order by 5 June. A kg: the 100 at 30 lie behind 237 of the 300 at 20, so 20 hundredths are fed.
//!
//! Ewe mix: 60 mixed on the 3rd of 48 barley at 29 and 12 beans at 50 (33.2 a kg). Ewes in lamb 0.4, nursing two 0.9:
//! 9 days × 1.2 + 19 × 1.7 = 43.1; 5 wasted: 60 − 43.1 − 5 = 11.9, which is just 7 days of 1.7: mix by 7 May.
//!
//! Barley: 100 − 48 = 52; the 28 days to the 30th hold the mixing: 48 / 28 = 1.714 a day; 52 / 1.714 = 30.3: 30 days.
//!
//! Pellets: 25 on the 19th; the creep in Jug 1 filled with 6, 4 and 3: 12 left; 13 in the 11 days from the first filling
//! on = 1.182 a day; 12 / 1.182 = 10.2: 10 days, to 10 May; order by 3 May. The ration of the lambs there counts for
//! nothing beside that.

use hirsel_core::entry;
use hirsel_core::flock::{FeedMove, Flock, RecordRef};
use hirsel_core::reckon::feedstore::{self, CostFrom, How, Ledger, Line, State, Store};
use hirsel_core::terms::{Day, FeedChange, FeedId, Mass};
use hirsel_tests::feed_month::{TODAY, kg, month, row};
use hirsel_tests::flocks::{Folder, day, write};

fn id(flock: &Flock, name: &str) -> FeedId {
    flock.feedroom().by_name(name).map(|f| f.id).unwrap_or_else(|| panic!("{name}"))
}

fn grams(flock: &Flock, name: &str, on: &str) -> Option<i64> {
    feedstore::stock(flock, id(flock, name), day(on)).map(|s| s.grams)
}

fn line<'a>(store: &'a Store, name: &str) -> &'a Line {
    store.lines.iter().find(|l| l.name == name).unwrap_or_else(|| panic!("{name}"))
}

#[test]
fn a_month_of_hay_by_hand() {
    let folder = Folder::new();
    let book = month(&folder);
    let flock = book.flock();
    let hay = id(&flock, "Hay");
    let by_day: [(&str, u64); 10] = [
        ("2026-04-01", 7_800),
        ("2026-04-09", 7_800),
        ("2026-04-10", 8_200),
        ("2026-04-11", 8_200),
        ("2026-04-12", 8_500),
        ("2026-04-14", 8_500),
        ("2026-04-15", 9_500),
        ("2026-04-17", 8_500),
        ("2026-04-18", 8_700),
        ("2026-04-30", 8_700),
    ];
    let all = feedstore::ledger(&flock, day("2026-04-01"), day(TODAY));
    for (on, wanted) in by_day {
        let eaten = all.iter().filter(|u| u.feed == hay && u.on == day(on));
        assert_eq!(eaten.map(|u| u.amount.grams()).sum::<u64>(), wanted, "{on}");
    }
    // Of the 15th the row counts for Top shed, the rations elsewhere.
    let fed: Vec<_> = all.iter().filter(|u| u.feed == hay && u.on == day("2026-04-15")).collect();
    let ways: Vec<_> = fed.iter().map(|u| (u.pen.as_deref().unwrap_or(""), u.how, u.heads)).collect();
    assert_eq!(ways, [("Top shed", How::Fed, 0), ("Jug 1", How::Ration, 1), ("Ram pen", How::Ration, 1)]);

    let levels = [
        ("2026-03-30", None),
        ("2026-03-31", Some(200_000)),
        ("2026-04-04", Some(168_800)),
        ("2026-04-05", Some(461_000)),
        ("2026-04-19", Some(344_000)),
        ("2026-04-20", Some(330_000)),
        ("2026-04-22", Some(306_600)),
        ("2026-04-30", Some(337_000)),
    ];
    for (on, wanted) in levels {
        assert_eq!(grams(&flock, "Hay", on), wanted, "{on}");
    }
    let all = Ledger::of(&flock, day("2026-03-31"), day(TODAY));
    let counted = all.counts().iter().find(|c| c.feed == hay && c.on == day("2026-04-20")).expect("counted");
    assert_eq!((counted.book, counted.found), (Some(335_300), kg(330.0)));

    let store = Store::of(&flock, day(TODAY));
    let l = line(&store, "Hay");
    assert_eq!(l.used.a_day(), kg(8.7));
    // The last fourteen days: 8.5 on the 17th and thirteen of 8.7.
    assert_eq!((l.used.lately_days, l.used.lately), (14, Mass::from_grams(8_686).expect("an amount")));
    assert_eq!(l.days_left(day(TODAY)), Some(43));
    assert_eq!(l.order_by, Some(day("2026-06-05")));
    assert_eq!((l.state, l.words.as_str()), (State::Enough, "enough"));
    let why = "It lasts 43 days, to Friday 12 Jun, at 8.7 kg a day (8.7 kg by rations); 7 days are allowed for it to come.";
    assert_eq!(l.why, why);
}

#[test]
fn a_kg_costs_what_was_paid_for_the_oldest_that_is_there() {
    let folder = Folder::new();
    let book = month(&folder);
    let flock = book.flock();
    let cost = |name: &str, on: &str| {
        feedstore::cost_a_kg(&flock, id(&flock, name), day(on))
            .map(|c| ((c.cents_a_kg * 10.0).round(), c.from))
    };
    assert_eq!(cost("Hay", TODAY), Some((200.0, CostFrom::Paid(day("2026-04-05")))));
    // 30 of the 330 counted are from before all deliveries: the price written with the feed.
    assert_eq!(cost("Hay", "2026-04-20"), Some((180.0, CostFrom::Written)));
    assert_eq!(cost("Ewe mix", TODAY), Some((332.0, CostFrom::Mixed(day("2026-04-03")))));
    assert_eq!(cost("Beans", TODAY), Some((500.0, CostFrom::Paid(day("2026-04-02")))));
    assert_eq!(cost("Pellets", TODAY), None);
    let store = Store::of(&flock, day(TODAY));
    let worth = line(&store, "Hay").worth.map(f64::round);
    assert_eq!(worth, Some(100.0 * 30.0 + 237.0 * 20.0));
    let left: Vec<f64> = line(&store, "Hay").layers.iter().map(|l| l.left.kg()).collect();
    assert_eq!(left, [237.0, 100.0], "the oldest first");
}

#[test]
fn mixes_parts_and_creeps_last_as_reckoned_by_hand() {
    let folder = Folder::new();
    let book = month(&folder);
    let flock = book.flock();
    let store = Store::of(&flock, day(TODAY));
    let facts = |name: &str| {
        let l = line(&store, name);
        (
            l.stock.map(|s| s.grams),
            l.days_left(day(TODAY)),
            l.order_by.map(|d| d.to_string()),
            l.words.clone(),
        )
    };
    let by = |d: &str| Some(d.to_string());
    let mix = (Some(11_900), Some(7), by("2026-05-07"), "mix by Thursday 7 May".to_string());
    assert_eq!(facts("Ewe mix"), mix);
    assert_eq!(facts("Barley"), (Some(52_000), Some(30), by("2026-05-23"), "enough".into()));
    let pellets = (Some(12_000), Some(10), by("2026-05-03"), "order by Sunday 3 May".to_string());
    assert_eq!(facts("Pellets"), pellets);
    assert_eq!(line(&store, "Pellets").used.a_day().grams(), 1_182);
    let told: Vec<&str> = store.warnings.iter().map(|w| w.words.as_str()).collect();
    assert_eq!(
        told,
        [
            "Ewe mix: mix by Thursday 7 May; it lasts to Thursday 7 May.",
            "Pellets: order by Sunday 3 May; it lasts to Sunday 10 May.",
            "Pellets: part of it was best before 25 Apr 2026.",
        ]
    );
}

#[test]
fn fillings_go_before_the_lambs_ration_and_never_beside_it() {
    let folder = Folder::new();
    let mut book = month(&folder);
    let flock = book.flock();
    let pellets = id(&flock, "Pellets");
    let eaten = |flock: &Flock| {
        let all = feedstore::ledger(flock, day("2026-04-19"), day(TODAY));
        let all: Vec<_> = all.into_iter().filter(|u| u.feed == pellets).collect();
        let sum: u64 = all.iter().map(|u| u.amount.grams()).sum();
        (all.iter().all(|u| u.how == How::Creep), all.iter().all(|u| u.how == How::Ration), sum)
    };
    assert_eq!(eaten(&flock), (true, false, 13_000));
    let fed: Vec<RecordRef> =
        flock.feedroom().moves.iter().filter(|m| m.feed == pellets && m.pen.is_some()).map(record).collect();
    for record in fed {
        let check = entry::strike_kept(record, "wrong book", &book.flock(), day(TODAY));
        write(&mut book, check);
    }
    // Two lambs, 0.1 each, on 11 days.
    assert_eq!(eaten(&book.flock()), (false, true, 2_200));
}

fn record(m: &FeedMove) -> RecordRef {
    RecordRef::FeedMove(m.id)
}

#[test]
fn less_than_nothing_is_told_and_a_count_mends_it() {
    let folder = Folder::new();
    let mut book = month(&folder);
    let today: Day = day(TODAY);
    let count = |book: &hirsel_core::book::Book| {
        let room = std::sync::Arc::clone(book.flock().feedroom());
        let hay = id(&book.flock(), "Hay");
        room.moves.iter().filter(|m| m.feed == hay && m.change == FeedChange::Delivered).map(record).collect()
    };
    let deliveries: Vec<RecordRef> = count(&book);
    for record in deliveries {
        let check = entry::strike_kept(record, "never came", &book.flock(), today);
        write(&mut book, check);
    }
    let check =
        entry::feed_moves(vec![row("Hay", "2026-04-20", FeedChange::Counted, 60.0)], &book.flock(), today);
    write(&mut book, check);
    // 60 − 87 − 6.
    assert_eq!(grams(&book.flock(), "Hay", TODAY), Some(-33_000));
    let store = Store::of(&book.flock(), today);
    let l = line(&store, "Hay");
    assert_eq!((l.state, l.words.as_str()), (State::BelowNothing, "count it"));
    let told = "The book says 33 kg less than nothing: count it, or write the delivery that is missing.";
    assert_eq!(l.why, told);
    assert_eq!(store.warnings[0].words, "Hay: the book says 33 kg less than nothing. Count it.");
    let check = entry::feed_moves(vec![row("Hay", TODAY, FeedChange::Counted, 0.0)], &book.flock(), today);
    write(&mut book, check);
    let store = Store::of(&book.flock(), today);
    assert_eq!((line(&store, "Hay").state, line(&store, "Hay").words.as_str()), (State::Out, "none left"));
    assert_eq!(store.warnings[0].words, "Hay: none left. Order it.");
}

#[test]
fn the_history_of_a_feed_adds_up() {
    let folder = Folder::new();
    let book = month(&folder);
    let flock = book.flock();
    let hay = feedstore::history(&flock, id(&flock, "Hay"), day(TODAY));
    let told: Vec<String> = hay
        .iter()
        .rev()
        .map(|e| {
            let after = e.after.map(|s| s.kg().to_string()).unwrap_or_default();
            format!("{} {} {} {after} {}", e.on, e.change.word(), e.by as f64 / 1000.0, e.words)
        })
        .collect();
    assert_eq!(
        told,
        [
            "2026-03-31 counted 0 200 the first of it that is written",
            "2026-04-01 fed -31.2 168.8 by rations",
            "2026-04-05 delivered 300 461 batch Hay 2026-04-05, 60.00 paid",
            "2026-04-05 fed -80.9 387.9 by rations",
            "2026-04-15 fed -5 378.4 in Top shed",
            "2026-04-15 fed -47.6 330 by rations",
            "2026-04-20 counted -5.3 330 5.3 kg less than the book",
            "2026-04-21 fed -8.7 321.3 by rations",
            "2026-04-22 wasted -6 306.6 ",
            "2026-04-22 fed -26.1 289.2 by rations",
            "2026-04-25 delivered 100 380.5 batch Hay 2026-04-25, 30.00 paid",
            "2026-04-25 fed -52.2 337 by rations",
        ]
    );
}
