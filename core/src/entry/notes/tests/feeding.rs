//! Creeps and looks at pens.

use super::*;
use crate::entry::{FeedMoveDraft, PenCheckDraft};
use crate::flock::{Creep, Feed, FeedRoom, Measure};
use proptest::prelude::*;

fn feed(name: &str) -> Feed {
    Feed {
        id: FeedId::new(),
        name: name.into(),
        kind: FeedKind::Compound,
        like: None,
        own: Analysis::default(),
        made_for: MadeFor::Sheep,
        bag: Mass::from_kg(25.0),
        price: None,
        parts: Vec::new(),
        medicine: None,
        note: None,
    }
}

/// A creep in Pen 3 with starter in it, one in an empty shed of which nothing is known; a scoop of starter.
pub(super) fn room() -> FeedRoom {
    let (starter, grower) = (feed("Lamb starter"), feed("Lamb grower"));
    let creep = |pen: &str, feed: Option<FeedId>| Creep {
        id: CreepId::new(),
        pen: pen.into(),
        from: day("2026-03-01"),
        to: None,
        feed,
        holds: None,
        note: None,
        struck: None,
    };
    let scoop = Measure {
        id: MeasureId::new(),
        feed: starter.id,
        name: "scoop".into(),
        on: day("2026-03-01"),
        weighed: vec![Mass::from_grams(750).unwrap()],
        struck: None,
    };
    FeedRoom {
        creeps: vec![creep("Pen 3", Some(starter.id)), creep("Low shed", None)],
        measures: vec![scoop],
        feeds: vec![grower, starter],
        ..FeedRoom::default()
    }
}

#[test]
fn creeps_and_looks_as_a_keeper_writes_them() {
    for (note, said) in [
        ("creep pen 3 6 kg", "creep Pen 3 6 kg"),
        ("creep in pen 3 6", "creep Pen 3 6 kg"),
        ("creep pen 3 2 scoops", "creep Pen 3 1.5 kg"),
        ("creep pen 3 1 bag of lamb grower", "creep Pen 3 25 kg of \"Lamb grower\""),
        ("creep pen 3 half", "creep Pen 3 half full"),
        ("creep pen 3 1/4, 4 kg", "creep Pen 3 quarter full, 4 kg"),
        ("creep pen 3 40 %", "creep Pen 3 40 % full"),
        ("creep pen 3 empty", "creep Pen 3 empty"),
        ("creep pen 3 full", "creep Pen 3 filled"),
        ("creep pen 3 filled", "creep Pen 3 filled"),
        ("creep pen 3 filled 3 kg", "creep Pen 3 3 kg"),
        ("yesterday at 7:30 creep pen 3 filled", "creep Pen 3 filled on 19 Mar 2026 at 07:30"),
        ("creep low shed 3 kg of lamb starter", "creep \"Low shed\" 3 kg of \"Lamb starter\""),
        ("lamp pen 3 ok", "lamp Pen 3 in order"),
        ("gate pen 3 bent bar", "gate Pen 3 \"bent bar\""),
        ("heat lamp pen 5 cable chewed, off", "lamp Pen 5 \"cable chewed, off\""),
        (
            "creep pen 3 filled, lamp pen 3 ok, gate pen 3 in order",
            "creep Pen 3 filled|lamp Pen 3 in order|gate Pen 3 in order",
        ),
        ("water pen 3 frozen; 0398 lame", "water Pen 3 \"frozen\"|0398 note \"lame\""),
    ] {
        assert_eq!(means(note).join("|"), said, "{note}");
        assert!(understood(note).is_plain(), "{note}");
    }
}

#[test]
fn what_is_missing_is_said_at_its_place() {
    for (note, says) in [
        ("creep pen 5 6 kg", "no creep is open in Pen 5 then: open it on the page of feed first"),
        ("creep low shed 6 kg", "write 'filled', how much was filled in, or how full it is"),
        ("creep low shed filled", "what is in it is not written: write 'of' and the feed"),
        ("creep pen 3", "write 'filled', how much was filled in, or how full it is"),
        ("lamp pen 3", "write 'ok', or what is wrong with it"),
    ] {
        let all = understood(note);
        let first = all.pieces.first().unwrap_or_else(|| panic!("{note}: {all:?}"));
        assert_eq!(first.readings[0].draft, None, "{note}");
        assert_eq!(first.readings[0].doubts[0].says, says, "{note}");
    }
    // A pen that nobody knows is no pen.
    assert!(!understood("gate nowhere bent").lost.is_empty());
}

proptest! {
    /// A draft said and read again is the same draft.
    #[test]
    fn what_is_said_is_read_again(
        pen in prop::sample::select(vec!["Pen 3", "Low shed"]),
        feed in prop::sample::select(vec!["Lamb starter", "Lamb grower"]),
        amount in prop::option::of(1u64..60_000),
        level in prop::option::of(0u8..=100),
        back in 0i64..10,
        time in prop::option::of((0u32..24, 0u32..60)),
        what in prop::sample::select(CheckKind::ALL.to_vec()),
        fault in prop::option::of("[a-z]{2,8}( [a-z\"%,;.]{1,8}){0,3}"),
    ) {
        let flock = flock();
        let today = day(TODAY);
        let (on, time) = (today.plus(-back), time.and_then(|(h, m)| Minute::new(h, m)));
        let mut drafts = Vec::new();
        if amount.is_some() || level.is_some() {
            let mut d = FeedMoveDraft::of(feed, on, FeedChange::Fed);
            (d.pen, d.time) = (Some(pen.into()), time);
            (d.amount, d.level) = (amount.and_then(Mass::from_grams), level.and_then(Level::from_percent));
            drafts.push(Draft::FeedMoves(vec![d]));
        }
        drafts.push(Draft::PenChecks(vec![PenCheckDraft { pen: pen.into(), on, time, what, fault, note: None }]));
        for draft in drafts {
            let sentence = say(&draft, &flock, today);
            let words = Words::of(&flock, today);
            let again = read(&sentence, &flock, &words, today);
            prop_assert_eq!(again.lost.len(), 0, "{}", sentence);
            let read: Vec<Draft> = again.pieces.into_iter().filter_map(|p| p.readings[0].draft.clone()).collect();
            prop_assert_eq!(read, vec![draft], "{}", sentence);
        }
    }
}
