//! Laws of the store, over random rows of three feeds, and cases made by hand.

use super::*;
use crate::flock::{Creep, Feed, FeedMove, FeedPart, FeedRoom, Flock, Ration, WHOLE};
use crate::papers::fixture::{animal, day};
use crate::terms::*;
use proptest::prelude::*;
use std::collections::BTreeMap;

const DAYS: i64 = 40;

fn first() -> Day {
    day("2026-03-01")
}

fn last() -> Day {
    first().plus(DAYS)
}

fn kg(kg: f64) -> Mass {
    Mass::from_kg(kg).unwrap()
}

fn feed(name: &str, kind: FeedKind) -> Feed {
    Feed {
        id: FeedId::new(),
        name: name.into(),
        kind,
        like: None,
        own: Analysis::default(),
        made_for: MadeFor::Plain,
        bag: None,
        price: None,
        parts: Vec::new(),
        medicine: None,
        note: None,
    }
}

/// Barley, beans, and a mix of three parts barley and one of beans.
fn feeds() -> Vec<Feed> {
    let (barley, beans) = (feed("Barley", FeedKind::Grain), feed("Beans", FeedKind::Protein));
    let mut mix = feed("Mix", FeedKind::Mix);
    let part = |f: &Feed, quarters: u32| FeedPart { feed: f.id, share: WHOLE / 4 * quarters };
    mix.parts = vec![part(&barley, 3), part(&beans, 1)];
    vec![barley, beans, mix]
}

fn moved(feed: &Feed, on: Day, change: FeedChange, grams: u64) -> FeedMove {
    FeedMove {
        id: FeedMoveId::new(),
        feed: feed.id,
        on,
        time: None,
        change,
        amount: Mass::from_grams(grams),
        parts: Vec::new(),
        pen: (change == FeedChange::Fed).then(|| "Yard".to_string()),
        level: None,
        batch: None,
        price: None,
        supplier: None,
        invoice: None,
        best_before: None,
        note: None,
        struck: None,
    }
}

fn ration(feed: &Feed, pen: Option<&str>, from: Day, grams: u64) -> Ration {
    Ration {
        id: RationId::new(),
        eaters: Eaters::DryEwes,
        pen: pen.map(Into::into),
        feed: feed.id,
        from,
        each: Mass::from_grams(grams).unwrap(),
        measure: None,
        note: None,
        struck: None,
    }
}

/// Three grown ewes in the yard and one in no pen.
fn flock(room: FeedRoom) -> Flock {
    let mut flock = Flock::default();
    for (n, pen) in [(1, Some("Yard")), (2, Some("yard")), (3, Some("Yard")), (4, None)] {
        let mut ewe = animal(&format!("{n}"), "", Sex::Ewe);
        ewe.animal.born = Born::On(day("2020-03-01"));
        ewe.animal.pen = pen.map(Into::into);
        flock.put(ewe);
    }
    flock.set_feedroom(room);
    flock
}

/// A random row: which feed, days after the first, what, how much.
type Typed = (usize, i64, usize, u64);

fn rows(typed: &[Typed], feeds: &[Feed]) -> Vec<FeedMove> {
    let changes =
        [FeedChange::Delivered, FeedChange::Mixed, FeedChange::Fed, FeedChange::Wasted, FeedChange::Counted];
    let made = typed.iter().map(|(which, on, change, grams)| {
        let change = changes[*change];
        let f = if change == FeedChange::Mixed { &feeds[2] } else { &feeds[*which] };
        let mut m = moved(f, first().plus(*on), change, *grams);
        if change == FeedChange::Mixed {
            let barley = grams * 3 / 4;
            let part = |f: &Feed, grams| (f.id, Mass::from_grams(grams).unwrap());
            m.parts = vec![part(&feeds[0], barley), part(&feeds[1], grams - barley)];
        }
        m
    });
    made.collect()
}

fn typed() -> impl Strategy<Value = Vec<Typed>> {
    let change = prop_oneof![3 => Just(0usize), 2 => Just(1), 4 => Just(2), 1 => Just(3), 1 => Just(4)];
    prop::collection::vec((0usize..3, 0..DAYS, change, 0u64..200_000), 0..30)
}

fn room(feeds: &[Feed], moves: Vec<FeedMove>, rationed: bool) -> FeedRoom {
    let lines = vec![
        ration(&feeds[0], None, first().plus(5), 400),
        ration(&feeds[0], Some("YARD"), first().plus(20), 250),
        ration(&feeds[2], None, first().plus(10), 700),
    ];
    let rations = if rationed { lines } else { Vec::new() };
    FeedRoom { feeds: feeds.to_vec(), moves, rations, ..FeedRoom::default() }
}

fn levels(flock: &Flock, feeds: &[Feed]) -> Vec<Option<i64>> {
    let all = Ledger::of(flock, first(), last());
    let days = (0..=DAYS).map(|n| first().plus(n));
    days.flat_map(|d| feeds.iter().map(|f| all.stock(f.id, d).map(|s| s.grams)).collect::<Vec<_>>()).collect()
}

/// The stock as a child would add it up: from the last count on, row by row.
fn plain(flock: &Flock, feed: FeedId, on: Day) -> Option<i64> {
    let room = flock.feedroom();
    let mine = || room.moves.iter().filter(|m| m.feed == feed && m.on <= on);
    let count = mine().filter(|m| m.change == FeedChange::Counted).max_by_key(|m| (m.on, m.id));
    let came = mine().filter(|m| matches!(m.change, FeedChange::Delivered | FeedChange::Mixed));
    // From the day after the count, or from the day on which the first came.
    let (from, mut sum) = match count {
        Some(c) => (c.on.plus(1), c.amount?.grams() as i64),
        None => (came.map(|m| m.on).min()?, 0),
    };
    for m in room.moves.iter().filter(|m| m.on >= from && m.on <= on) {
        let grams = m.amount.unwrap_or_default().grams() as i64;
        sum += match m.change {
            FeedChange::Delivered | FeedChange::Mixed if m.feed == feed => grams,
            FeedChange::Fed | FeedChange::Wasted if m.feed == feed => -grams,
            _ => 0,
        };
        sum -= m.parts.iter().filter(|p| p.0 == feed).map(|p| p.1.grams() as i64).sum::<i64>();
    }
    let mut day = from;
    while day <= on {
        for (pen, heads) in [("Yard", 3), ("", 1)] {
            let fed = room.moves.iter().any(|m| {
                (m.feed, m.on, m.change) == (feed, day, FeedChange::Fed)
                    && pen == "Yard"
                    && m.amount.is_some_and(|a| !a.is_none())
            });
            let lines = crate::reckon::eaters::given(room, pen, Eaters::DryEwes, day);
            let each = lines.iter().find(|r| r.feed == feed).map_or(0, |r| r.each.grams() as i64);
            sum -= if fed { 0 } else { each * heads };
        }
        day = day.plus(1);
    }
    Some(sum)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn stock_is_what_adding_up_gives_and_never_depends_on_the_order_of_rows(
        typed in typed(), turn in 0usize..30, rationed: bool,
    ) {
        let feeds = feeds();
        let moves = rows(&typed, &feeds);
        let one = flock(room(&feeds, moves.clone(), rationed));
        let mut turned = moves.clone();
        turned.reverse();
        if !turned.is_empty() {
            turned.rotate_left(turn % moves.len());
        }
        let other = flock(room(&feeds, turned, rationed));
        prop_assert_eq!(levels(&one, &feeds), levels(&other, &feeds));
        for n in [0, 13, 27, DAYS] {
            let on = first().plus(n);
            for f in &feeds {
                prop_assert_eq!(stock(&one, f.id, on).map(|s| s.grams), plain(&one, f.id, on));
            }
        }
    }

    #[test]
    fn a_count_settles_everything_before_it(typed in typed(), on in 5i64..DAYS, found in 0u64..300_000) {
        let feeds = feeds();
        let mut moves = rows(&typed, &feeds);
        // The last row of its day, whatever else was written then.
        moves.push(moved(&feeds[0], first().plus(on), FeedChange::Counted, found));
        let whole = flock(room(&feeds, moves.clone(), true));
        let barley = feeds[0].id;
        prop_assert_eq!(stock(&whole, barley, first().plus(on)).map(|s| s.grams), Some(found as i64));
        moves.retain(|m| m.on > first().plus(on) || m.change == FeedChange::Counted && m.on == first().plus(on));
        let after = flock(room(&feeds, moves, true));
        prop_assert_eq!(stock(&whole, barley, last()), stock(&after, barley, last()));
    }

    #[test]
    fn mixing_keeps_the_sum_of_mass_and_nothing_is_counted_twice(typed in typed(), rationed: bool) {
        let feeds = feeds();
        let moves: Vec<FeedMove> =
            rows(&typed, &feeds).into_iter().filter(|m| m.change != FeedChange::Counted).collect();
        // All three are there from the first day on, so that nothing is left out.
        let mut all: Vec<FeedMove> =
            feeds.iter().map(|f| moved(f, first(), FeedChange::Delivered, 1_000_000)).collect();
        all.extend(moves);
        let flock = flock(room(&feeds, all.clone(), rationed));
        let ledger = Ledger::of(&flock, first(), last());
        let there: i64 = feeds.iter().filter_map(|f| ledger.stock(f.id, last())).map(|s| s.grams).sum();
        let sum = |change| -> i64 {
            let of = all.iter().filter(|m| m.change == change).map(|m| m.amount.unwrap().grams() as i64);
            of.sum()
        };
        let eaten: i64 = ledger.uses().iter().map(|u| u.amount.grams() as i64).sum();
        prop_assert_eq!(there, sum(FeedChange::Delivered) - sum(FeedChange::Wasted) - eaten);
        // Every row once; no ration beside a row of the same feed, pen and day.
        let mut rows: BTreeMap<FeedMoveId, usize> = BTreeMap::new();
        for u in ledger.uses() {
            u.row.into_iter().for_each(|id| *rows.entry(id).or_default() += 1);
            if u.how == How::Ration {
                let pen = u.pen.as_deref().map(norm);
                let both = ledger.uses().iter().any(|o| {
                    o.how == How::Fed && (o.feed, o.on) == (u.feed, u.on) && o.pen.as_deref().map(norm) == pen
                });
                prop_assert!(!both);
            }
        }
        prop_assert!(rows.values().all(|n| *n == 1));
    }

    #[test]
    fn layers_are_what_is_there(typed in typed()) {
        let feeds = feeds();
        let flock = flock(room(&feeds, rows(&typed, &feeds), true));
        let ledger = Ledger::of(&flock, first(), last());
        for f in &feeds {
            let layers = ledger.layers(f.id, last());
            let sum: u64 = layers.iter().map(|l| l.left.grams()).sum();
            prop_assert_eq!(sum, ledger.stock(f.id, last()).map_or(0, |s| s.mass().grams()));
            let days: Vec<_> = layers.iter().map(|l| l.on).collect();
            prop_assert!(days.is_sorted());
        }
    }
}

#[test]
fn a_day_is_told_by_counts_where_nothing_else_tells_it() {
    let feeds = feeds();
    let at = |n: i64| first().plus(n);
    let moves = vec![
        moved(&feeds[0], at(0), FeedChange::Counted, 100_000),
        moved(&feeds[0], at(4), FeedChange::Delivered, 50_000),
        moved(&feeds[0], at(6), FeedChange::Wasted, 10_000),
        moved(&feeds[0], at(20), FeedChange::Counted, 80_000),
    ];
    let flock = flock(room(&feeds, moves, false));
    let store = Store::of(&flock, at(22));
    let line = store.line(feeds[0].id).unwrap();
    // 100 + 50 − 10 − 80 = 60 in 20 days.
    assert_eq!(line.used.a_day(), kg(3.0));
    assert_eq!(line.used.words(Units::Metric), "3 kg by the counts of 1 Mar 2026 and 21 Mar 2026");
    // 80 by 3: 26 whole days.
    assert_eq!(line.days_left(at(22)), Some(26));
    // Nothing of it is told when the last count is long past.
    let store = Store::of(&flock, at(90));
    assert_eq!(store.line(feeds[0].id).unwrap().state, State::NotFed);
}

#[test]
fn what_stands_how() {
    let mut feeds = feeds();
    feeds[1].made_for = MadeFor::Cattle;
    let today = first().plus(20);
    let state = |moves: Vec<FeedMove>, rations: Vec<Ration>| {
        let room = FeedRoom { feeds: feeds.clone(), moves, rations, ..FeedRoom::default() };
        let store = Store::of(&flock(room), today);
        let line = store.line(feeds[0].id).unwrap().clone();
        (line.state, line.words, store.warnings.first().map(|w| w.words.clone()))
    };
    // Four ewes of 500 g: 2 kg a day.
    let fed = || vec![ration(&feeds[0], None, first(), 500)];
    let had = |grams| vec![moved(&feeds[0], today, FeedChange::Counted, grams)];
    assert_eq!(state(Vec::new(), Vec::new()).0, State::NotKept);
    assert_eq!(state(had(0), Vec::new()).0, State::NotKept);
    assert_eq!(state(had(5_000), Vec::new()).0, State::NotFed);
    let unknown = "Barley: it is fed, but what is there is not written. Count it.";
    assert_eq!(state(Vec::new(), fed()), (State::NotCounted, "not counted".into(), Some(unknown.into())));
    assert_eq!(state(had(0), fed()).0, State::Out);
    assert_eq!(state(had(1_000_000), fed()).0, State::Enough);
    // Ten days: order in three.
    let told = "Barley: order by Tuesday 24 Mar; it lasts to Tuesday 31 Mar.";
    assert_eq!(
        state(had(20_000), fed()),
        (State::OrderSoon, "order by Tuesday 24 Mar".into(), Some(told.into()))
    );
    assert_eq!(state(had(16_500), fed()).1, "order by tomorrow");
    let told = "Barley: order today; it lasts to Saturday 28 Mar.";
    assert_eq!(state(had(14_500), fed()), (State::OrderNow, "order now".into(), Some(told.into())));
    let room = FeedRoom { feeds: feeds.clone(), ..FeedRoom::default() };
    let store = Store::of(&flock(room), today);
    assert!(store.line(feeds[1].id).unwrap().cautions[0].contains("copper"));
}

#[test]
fn a_look_at_a_trough_is_no_feed_and_a_closed_creep_goes_on_no_more() {
    let feeds = feeds();
    let today = first().plus(20);
    let fill = |n: i64, grams: Option<u64>| {
        let mut m = moved(&feeds[0], first().plus(n), FeedChange::Fed, 0);
        (m.amount, m.level) = (grams.and_then(Mass::from_grams), Level::from_percent(25));
        m
    };
    let mut creep = Creep {
        id: CreepId::new(),
        pen: "Yard".into(),
        from: first(),
        to: None,
        feed: None,
        holds: None,
        note: None,
        struck: None,
    };
    let made = |creep: &Creep| {
        let moves = vec![
            moved(&feeds[0], first(), FeedChange::Delivered, 100_000),
            fill(10, Some(7_000)),
            fill(15, None),
            fill(18, Some(7_000)),
        ];
        let creeps = vec![creep.clone()];
        let room = FeedRoom { feeds: feeds.clone(), moves, creeps, ..FeedRoom::default() };
        let store = Store::of(&flock(room), today);
        let line = store.line(feeds[0].id).unwrap();
        (line.stock.map(|s| s.grams), line.used.a_day().grams())
    };
    // 14 kg over the eleven days from the first filling on.
    assert_eq!(made(&creep), (Some(86_000), 1_273));
    creep.to = Some(today.plus(-1));
    assert_eq!(made(&creep), (Some(86_000), 0));
}
