use super::*;
use crate::flock::*;
use crate::papers::fixture::{animal, day};
use crate::papers::{carry_on, check};
use crate::terms::*;
use std::sync::Arc;

fn flock() -> Flock {
    let mut flock = Flock::default();
    let today = day("2026-12-01");
    let ram = animal("R1", "", Sex::Ram);
    for i in 0..20 {
        let mut f = animal(&format!("E{i:02}"), "", Sex::Ewe);
        f.animal.born = Born::On(day("2023-03-01"));
        f.joinings.push(Joining {
            id: JoiningId::new(),
            ewe: f.animal.id,
            ram: ram.animal.id,
            from: day("2026-10-20"),
            to: Some(day("2026-11-25")),
            method: None,
            group: None,
            struck: None,
        });
        flock.put(f);
    }
    flock.put(ram);
    let hay = Feed {
        id: FeedId::new(),
        name: "Meadow hay".into(),
        kind: FeedKind::Hay,
        like: None,
        own: Analysis::default(),
        made_for: MadeFor::Plain,
        bag: Mass::from_kg(20.0),
        price: None,
        parts: Vec::new(),
        medicine: None,
        note: None,
    };
    let ration = |eaters, kg| Ration {
        id: RationId::new(),
        eaters,
        pen: None,
        feed: hay.id,
        from: day("2026-11-01"),
        each: Mass::from_kg(kg).unwrap(),
        measure: None,
        note: None,
        struck: None,
    };
    let counted = FeedMove {
        id: FeedMoveId::new(),
        feed: hay.id,
        on: today,
        time: None,
        change: FeedChange::Counted,
        amount: Mass::from_kg(4200.0),
        parts: Vec::new(),
        pen: None,
        level: None,
        batch: None,
        price: None,
        supplier: None,
        invoice: None,
        best_before: None,
        note: None,
        struck: None,
    };
    let rations = vec![
        ration(Eaters::EarlyEwes, 1.6),
        ration(Eaters::LateEwes, 1.8),
        ration(Eaters::NursingOne, 2.2),
        ration(Eaters::NursingTwo, 2.6),
        ration(Eaters::NursingThree, 2.8),
        ration(Eaters::Rams, 1.8),
    ];
    let room = FeedRoom { feeds: vec![hay], moves: vec![counted], rations, ..FeedRoom::default() };
    flock.set_feedroom(room);
    flock
}

#[test]
fn the_sheet_says_how_long_and_what_to_buy() {
    let (flock, today) = (flock(), day("2026-12-01"));
    for sheet in [SheetSize::A4, SheetSize::Letter] {
        let paper = winter_feed(&flock, &[], today, sheet, &carry_on).unwrap();
        assert_eq!((paper.pages.len(), paper.title.as_str()), (1, "Meadow hay to spring"));
        check::assert_inside(&paper, 8.0);
        let words = paper.words().collect::<Vec<_>>().join(" ");
        for said in ["Lasts", "the first day of grass", "bales", "What it rests on", "20 ewes", "Evening of"]
        {
            assert!(words.contains(said), "{said}: {words}");
        }
        assert!(paper.not_printable().is_empty());
    }
    assert_eq!(winter_feed(&flock, &[], today, SheetSize::A4, &|_, _| false), Err(PaperFailed::Stopped));
    let none = winter_feed(&Flock::default(), &[], today, SheetSize::A4, &carry_on);
    assert!(matches!(none, Err(PaperFailed::Nothing { .. })));
}

#[test]
fn the_curve_is_read_by_days() {
    let (flock, today) = (Arc::new(flock()), day("2026-12-01"));
    let ask = Ask::usual(&flock, today).remove(0);
    let w = winter(&flock, &ask, today, &mut |_, _| true).unwrap();
    let chart = winter_chart(&w, Some(&w));
    let read = chart.read(10.0);
    assert!(read.starts_with("Friday 11 December 2026: ") && read.contains("eight of ten"), "{read}");
    assert_eq!(chart.along.ticks.first().map(|t| t.1.as_str()), Some("1 Dec"));
    let rows = winter_rows(&w, 14);
    assert_eq!((rows[0].on, rows[0].left[1].as_str()), (today, "4.2 t"));
    assert_eq!(rows.last().map(|r| r.on), Some(ask.until));
    assert!((10..=16).contains(&rows.len()), "{}", rows.len());
}
