use super::*;
use crate::flock::{Creep, Feed, Holding, Measure, Ration};
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, bare, letters, picture};
use crate::papers::fixture::{animal, day, lambs};
use crate::terms::*;

/// A barn of pens with ewes nursing one and two, a creep, hay by the flake and pellets by the scoop.
fn barn(pens: usize) -> Flock {
    let mut flock = Flock::default();
    for p in 0..pens {
        for n in 0..6 {
            let mut ewe = animal(&format!("{p:02}{n:02}"), "", Sex::Ewe);
            ewe.animal.born = Born::On(day("2021-03-01"));
            ewe.animal.pen = Some(format!("Jug row {}", p + 1).into());
            let (a, b) = (format!("A{p}{n}"), format!("B{p}{n}"));
            let two = [(a.as_str(), Sex::Ewe, 4_000), (b.as_str(), Sex::Ram, 4_000)];
            let born = &two[..if n < 4 { 2 } else { 1 }];
            for lamb in lambs(&mut ewe, None, Moment::day(day("2026-04-01")), born) {
                flock.put(lamb);
            }
            flock.put(ewe);
        }
    }
    for n in 0..3 {
        let mut ram = animal(&format!("R{n}"), "", Sex::Ram);
        ram.animal.pen = Some("Ram paddock".into());
        flock.put(ram);
    }
    let feed = |name: &str, kind, bag: f64| Feed {
        id: FeedId::new(),
        name: name.into(),
        kind,
        like: None,
        own: Analysis::default(),
        made_for: MadeFor::Plain,
        bag: Mass::from_kg(bag),
        price: None,
        parts: Vec::new(),
        medicine: None,
        note: None,
    };
    let (hay, nuts) =
        (feed("Meadow hay", FeedKind::Hay, 20.0), feed("Ewe pellets", FeedKind::Compound, 25.0));
    let measure = |feed: FeedId, name: &str, grams: u64| Measure {
        id: MeasureId::new(),
        feed,
        name: name.into(),
        on: day("2026-03-01"),
        weighed: Mass::from_grams(grams).into_iter().collect(),
        struck: None,
    };
    let (flake, scoop) = (measure(hay.id, "flake", 1_500), measure(nuts.id, "scoop", 450));
    let line = |eaters, feed, grams, measure| Ration {
        id: RationId::new(),
        eaters,
        pen: None,
        feed,
        from: day("2026-04-01"),
        each: Mass::from_grams(grams).unwrap(),
        measure: Some(measure),
        note: None,
        struck: None,
    };
    let rations = vec![
        line(Eaters::NursingTwo, hay.id, 1_500, flake.id),
        line(Eaters::NursingTwo, nuts.id, 900, scoop.id),
        line(Eaters::NursingOne, hay.id, 1_500, flake.id),
    ];
    let creeps = vec![Creep {
        id: CreepId::new(),
        pen: "jug row 1".into(),
        from: day("2026-04-08"),
        to: None,
        feed: Some(nuts.id),
        holds: None,
        note: None,
        struck: None,
    }];
    let (measures, feeds) = (vec![flake, scoop], vec![nuts, hay]);
    let room = FeedRoom { rations, creeps, measures, feeds, ..FeedRoom::default() };
    flock.set_feedroom(room);
    flock.set_holding(Holding { flock: "Thornfell Heritage".into(), ..Holding::default() });
    flock
}

fn made(flock: &Flock, options: FeedSheetOptions) -> Paper {
    feed_sheet(flock, None, day("2026-04-20"), day("2026-04-19"), &options, &carry_on).unwrap()
}

#[test]
fn every_pen_with_its_words() {
    let flock = barn(5);
    for sheet in SheetSize::ALL {
        let paper = made(&flock, FeedSheetOptions { sheet, feeds: 2 });
        picture(&format!("feed-sheet-{}", sheet.word()), &paper);
        assert_inside(&paper, 8.0);
        assert_same_bytes(&paper);
        assert!(paper.pages.len() <= 2, "{} pages", paper.pages.len());
        let words = letters(&paper);
        let mut said = vec![
            "Feedsheet".to_string(),
            "Monday20April2026".into(),
            "Thornfell".into(),
            // 6 flakes a pen, half of them in the morning; 8 scoops of pellets.
            bare("Meadow hay: 3 flakes, 4.5 kg"),
            bare("Ewe pellets: 4 scoops, 1.8 kg"),
            bare(
                "In all a day: Ewe pellets: 40 scoops, 18 kg (0.75 bags); Meadow hay: 30 flakes, 45 kg (2.25 bales).",
            ),
            bare("No creep open: Jug row 2, 10 lambs old enough; Jug row 3, 10 lambs old enough"),
            bare("No ration: Ram paddock, 3 rams and wethers."),
            bare("6 pens with 83 animals."),
            bare("no ration for rams and wethers"),
            bare("none open"),
            bare("4 ewes nursing two"),
            bare("2 ewes nursing one"),
            bare("10 lambs at the creep"),
            bare("3 rams and wethers"),
            bare("Creep: level before"),
            bare("sheep bear little copper"),
        ];
        said.extend((1..=5).map(|n| bare(&format!("Jug row {n}"))));
        for said in said {
            assert!(words.contains(&said), "{said} in {words}");
        }
    }
}

#[test]
fn once_a_day_and_some_pens_alone() {
    let flock = barn(3);
    let paper = made(&flock, FeedSheetOptions { feeds: 1, ..Default::default() });
    let words = letters(&paper);
    assert!(words.contains(&bare("Meadow hay: 6 flakes, 9 kg")), "{words}");
    assert!(!words.contains("Evening") && words.contains(&bare("The day's feed")));
    let one = flock.by_tag("0100").unwrap();
    let options = FeedSheetOptions::default();
    let on = day("2026-04-20");
    let paper = feed_sheet(&flock, Some(&[one]), on, on, &options, &carry_on).unwrap();
    let words = letters(&paper);
    assert!(words.contains(&bare("Jug row 2")) && !words.contains(&bare("Jug row 1")), "{words}");
    let none = feed_sheet(&Flock::default(), None, on, on, &options, &carry_on).unwrap_err();
    assert!(none.to_string().contains("no animal is in the flock"), "{none}");
    let stopped = feed_sheet(&flock, None, on, on, &options, &|_, _| false).unwrap_err();
    assert_eq!(stopped, PaperFailed::Stopped);
}

#[test]
fn a_large_barn_takes_few_pages() {
    let paper = made(&barn(30), FeedSheetOptions::default());
    assert!(paper.pages.len() <= 8, "{} pages for 31 pens", paper.pages.len());
    assert_inside(&paper, 8.0);
}

#[test]
fn the_creep_holds_what_the_creep_sheet_and_the_barn_sheet_say() {
    let mut flock = barn(1);
    let mut room = (**flock.feedroom()).clone();
    let starter = Feed { id: FeedId::new(), name: "Lamb starter".into(), ..room.feeds[0].clone() };
    let row = |feed: FeedId, on: &str, kg: f64, level: Level| crate::flock::FeedMove {
        id: FeedMoveId::new(),
        feed,
        on: day(on),
        time: None,
        change: FeedChange::Fed,
        amount: Mass::from_kg(kg).filter(|m| !m.is_none()),
        parts: Vec::new(),
        pen: Some("Jug row 1".into()),
        level: Some(level),
        batch: None,
        price: None,
        supplier: None,
        invoice: None,
        best_before: None,
        note: None,
        struck: None,
    };
    let half = Level::from_percent(50).unwrap();
    // Filled with the one; a later look at the level names another and fills nothing in.
    room.moves.push(row(room.feeds[0].id, "2026-04-10", 4.0, Level::EMPTY));
    room.moves.push(row(starter.id, "2026-04-18", 0.0, half));
    room.feeds.push(starter);
    flock.set_feedroom(room);
    let on = day("2026-04-20");
    let feeds = letters(&made(&flock, FeedSheetOptions::default()));
    let creeps = crate::papers::creep_sheet(&flock, on, &Default::default(), &carry_on).unwrap();
    assert!(letters(&creeps).contains(&bare("Fill with Ewe pellets")));
    let in_it = crate::reckon::creep::feed_in(flock.feedroom(), "Jug row 1", on).map(|f| f.name.as_str());
    assert_eq!(in_it, Some("Ewe pellets"));
    assert!(!feeds.contains(&bare("Lamb starter")), "{feeds}");
}

#[test]
fn bottle_lambs_at_the_creep_are_not_said_to_live_on_milk_alone() {
    let mut flock = barn(1);
    let id = flock.by_tag("0000").and_then(|e| flock.file(e)).and_then(|e| e.offspring.first().copied());
    let mut lamb = flock.file(id.unwrap()).unwrap().clone();
    lamb.animal.rearing = Rearing::Bottle;
    lamb.animal.pen = Some("Jug row 1".into());
    flock.put(lamb);
    let words = letters(&made(&flock, FeedSheetOptions::default()));
    assert!(words.contains(&bare("1 lamb on milk and at the creep")), "{words}");
    assert!(!words.contains(&bare("on milk alone")), "{words}");
}
