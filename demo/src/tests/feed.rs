//! What the feed room must have to show.

use super::{day, made, spec};
use crate::Spec;
use hirsel_core::reckon::{eaters::HeadDays, feedstore::Ledger};
use hirsel_core::terms::{Base, CheckKind, Eaters, FeedChange, Level, Nutrient};

#[test]
fn a_feed_room_is_there_on_any_day() {
    for on in ["2026-04-03", "2024-02-29", "2025-12-31"] {
        let today = day(on);
        let flock = made(Spec::default(), today);
        let room = flock.feedroom();
        assert_eq!(room.feeds.len(), 10);
        let hay = room.by_name(crate::feed::HAY).unwrap();
        let fed = hirsel_core::reckon::ration::analysis(room, hay, today);
        assert!(fed.get(Nutrient::Protein).is_some_and(|p| (9.0..13.0).contains(&p)), "{fed:?}");
        // The creep's steps hold what they are called by, as fed.
        for (name, least) in [("Creep mix 20", 20.0), ("Creep mix 18", 18.0), ("Creep mix 16", 16.0)] {
            let mix = room.by_name(name).unwrap();
            let known = hirsel_core::reckon::ration::analysis(room, mix, today);
            let protein = known.on(Nutrient::Protein, Base::AsFed).unwrap();
            assert!((least..least + 0.5).contains(&protein), "{name}: {protein}");
        }
        // Creeps are open and were filled up to yesterday; intake rises.
        let open: Vec<_> = room.creeps.iter().filter(|c| c.to.is_none()).collect();
        assert!((2..=4).contains(&open.len()), "{} creeps", open.len());
        let filled = |c: &str, from: i64, to: i64| -> f64 {
            let moves =
                room.moves.iter().filter(|m| m.change == FeedChange::Fed && m.pen.as_deref() == Some(c));
            moves
                .filter(|m| m.on >= today.plus(from) && m.on < today.plus(to))
                .filter_map(|m| m.amount)
                .map(|m| m.kg())
                .sum()
        };
        let (early, late): (f64, f64) = open
            .iter()
            .fold((0.0, 0.0), |(a, b), c| (a + filled(&c.pen, -27, -14), b + filled(&c.pen, -13, 0)));
        assert!(late > early && late > 10.0, "{early} kg, then {late} kg");
        // Troughs were met at several levels, each a quarter.
        let fed = room.moves.iter().filter(|m| m.change == FeedChange::Fed);
        let levels: std::collections::BTreeSet<u8> =
            fed.filter_map(|m| m.level).map(Level::percent).collect();
        assert!(levels.len() >= 3 && levels.iter().all(|l| l.is_multiple_of(25)), "{levels:?}");
        let faults = room.checks.iter().filter(|k| k.fault.is_some()).count();
        assert_eq!(faults, 2);
        assert!(room.checks.iter().any(|k| k.what == CheckKind::Gate && k.fault.is_some()));
        // Who nurses is fed, and nothing in store runs below nothing.
        let nursing = room.rations_on(today);
        assert!(nursing.iter().filter(|r| r.eaters == Eaters::NursingTwo).count() >= 2);
        assert!(HeadDays::of(&flock, today, today).heads(today, None, Eaters::NursingTwo) > 5);
        let ledger = Ledger::of(&flock, today.plus(-60), today);
        for f in &room.feeds {
            let stock = ledger.stock(f.id, today);
            assert!(stock.is_none_or(|s| s.grams >= 0), "{}: {stock:?}", f.name);
        }
    }
}

#[test]
fn a_large_flock_has_few_lines_of_feed() {
    let flock = made(spec(1_001, 2, 3), day("2026-04-03"));
    let room = flock.feedroom();
    let lines = room.moves.len() + room.rations.len() + room.checks.len() + room.creeps.len();
    assert!((20..80).contains(&lines), "{lines} lines");
}
