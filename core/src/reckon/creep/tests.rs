//! Hand-worked creeps, and what holds of any.

use super::intake::{Deed, Event, follow};
use super::*;
use crate::flock::{Creep, Feed, FeedMove, FeedRoom, Flock, PenCheck, PenMove, Tick};
use crate::papers::fixture::{animal, day};
use crate::terms::*;
use proptest::prelude::*;

pub(crate) fn kg(kg: f64) -> Mass {
    Mass::from_kg(kg).unwrap()
}

fn level(percent: u8) -> Option<Level> {
    Level::from_percent(percent)
}

pub(crate) fn feed(name: &str, dry: f64, protein_fed: f64) -> Feed {
    let own = Analysis::default().with(Nutrient::DryMatter, dry).unwrap();
    Feed {
        id: FeedId::new(),
        name: name.into(),
        kind: FeedKind::Compound,
        like: None,
        own: own.with(Nutrient::Protein, protein_fed * 100.0 / dry).unwrap(),
        made_for: MadeFor::Sheep,
        bag: None,
        price: None,
        parts: Vec::new(),
        medicine: None,
        note: None,
    }
}

pub(crate) fn creep(pen: &str, from: &str, feed: &Feed, holds: Option<Mass>) -> Creep {
    let (id, feed) = (CreepId::new(), Some(feed.id));
    Creep { id, pen: pen.into(), from: day(from), to: None, feed, holds, note: None, struck: None }
}

fn fed(feed: &Feed, pen: &str, on: &str, time: &str, amount: Option<f64>, level: Option<Level>) -> FeedMove {
    FeedMove {
        id: FeedMoveId::new(),
        feed: feed.id,
        on: day(on),
        time: Minute::parse(time).ok(),
        change: FeedChange::Fed,
        amount: amount.map(kg),
        parts: Vec::new(),
        pen: Some(pen.into()),
        level,
        batch: None,
        price: None,
        supplier: None,
        invoice: None,
        best_before: None,
        note: None,
        struck: None,
    }
}

fn check(pen: &str, on: &str, what: CheckKind, fault: Option<&str>) -> PenCheck {
    let (id, fault) = (PenCheckId::new(), fault.map(String::from));
    PenCheck { id, pen: pen.into(), on: day(on), time: None, what, fault, note: None, struck: None }
}

/// Lambs born on these days in a pen, weaned on a day or not.
pub(crate) fn lambs(flock: &mut Flock, pen: &str, born: &[&str], weaned: Option<&str>) -> Vec<AnimalId> {
    let mut all = Vec::new();
    for (i, b) in born.iter().enumerate() {
        let mut f = animal(&format!("{pen}{b}-{i}"), "", Sex::Ewe);
        f.animal.born = Born::On(day(b));
        f.animal.pen = Some(pen.into());
        f.ticks.extend(weaned.map(|w| Tick {
            id: TickId::new(),
            animal: f.animal.id,
            step: "wean".into(),
            anchor: day(b),
            round: 0,
            outcome: crate::flock::Outcome::Done,
            at: Moment::day(day(w)),
            note: None,
            struck: None,
        }));
        all.push(f.animal.id);
        flock.put(f);
    }
    all
}

pub(crate) fn set(flock: &mut Flock, room: FeedRoom) {
    flock.set_feedroom(room);
}

/// Ten lambs of 1 April; a trough of 10 kg filled on the 20th, 21st and 22nd.
pub(crate) fn ten() -> Flock {
    let mut flock = Flock::default();
    lambs(&mut flock, "Jug 3", &["2026-04-01"; 10], None);
    let start = feed("Lamb starter", 88.0, 20.0);
    let mut room = FeedRoom::default();
    room.creeps.push(creep("Jug 3", "2026-04-10", &start, Some(kg(10.0))));
    room.moves.push(fed(&start, "jug 3", "2026-04-20", "8:00", Some(10.0), level(0)));
    room.moves.push(fed(&start, "Jug 3", "2026-04-21", "8:00", Some(4.0), level(60)));
    room.moves.push(fed(&start, "Jug 3", "2026-04-22", "8:00", Some(5.0), level(50)));
    room.feeds.push(start);
    set(&mut flock, room);
    flock
}

#[test]
fn intake_by_levels_worked_by_hand() {
    let flock = ten();
    let board = board(&flock, day("2026-04-22"));
    let [c] = board.creeps.as_slice() else { panic!("{board:?}") };
    // 10 − 6 = 4 kg and 10 − 5 = 5 kg, ten lambs a day each.
    let eaten: Vec<f64> = c.spells.iter().map(|s| s.eaten_kg).collect();
    assert_eq!(eaten, [4.0, 5.0]);
    assert_eq!(c.spells[1].each_g(), Some(500.0));
    // Of late: 9 kg in 20 lamb days.
    let rate = c.rate.unwrap();
    assert_eq!((rate.each_g, rate.spells, rate.how), (450.0, 2, How::Levels));
    assert_eq!(c.a_day, Some(kg(4.5)));
    // Full at 8:00; 10 kg at 4.5 kg a day last 53 h 20 min: until 13:20 on the 24th, a Friday.
    let lasts = c.lasts.unwrap();
    assert_eq!((lasts.until.words().as_str(), lasts.is_empty), ("24 Apr 2026, 13:20", false));
    assert_eq!(c.lasts_words(board.on).unwrap(), "empty by Friday noon");
    // At 18:00 ten hours are gone: 10 − 4.5 × 10/24 = 8.125 kg.
    assert_eq!(c.trough.left, Some(kg(8.125)));
    assert_eq!(c.trough.level_now, level(81));
    assert_eq!(c.trough.to_top, Some(kg(1.875)));
    assert_eq!(c.fill_words(Units::Metric).unwrap(), "1.88 kg fill it to the top; a day takes 4.5 kg");
    assert_eq!(c.filled_words(board.on), "filled today");
    assert_eq!(c.level_words(board.on), "about 81 % full this evening");
    // Two days on nobody has filled it.
    let later = super::board(&flock, day("2026-04-24"));
    let c = &later.creeps[0];
    assert_eq!(c.lasts_words(later.on).unwrap(), "empty since noon today by what they eat");
    assert_eq!(c.filled_words(later.on), "not filled today; last on 22 Apr");
    assert_eq!((c.trough.level_now, c.trough.to_top), (level(0), Some(kg(10.0))));
}

#[test]
fn lambs_that_come_and_go_are_counted_by_the_day() {
    let mut flock = ten();
    // Five of the ten go out on the 21st: ten ate until midnight, five from then on.
    let ids: Vec<AnimalId> = flock.files().map(|f| f.animal.id).take(5).collect();
    for id in ids {
        let mut f = flock.file(id).unwrap().clone();
        let pen = |on: &str, pen: &str| PenMove {
            id: PenMoveId::new(),
            animal: id,
            on: day(on),
            pen: Some(pen.into()),
            struck: None,
        };
        f.pen_moves = vec![pen("2026-04-01", "Jug 3"), pen("2026-04-21", "Bank")].into();
        f.animal.pen = Some("Bank".into());
        flock.put(f);
    }
    let board = board(&flock, day("2026-04-22"));
    let c = &board.creeps[0];
    // 16 h of ten and 8 h of five, then a day of five.
    let lamb_days: Vec<f64> = c.spells.iter().map(|s| (s.lamb_days * 3.0).round() / 3.0).collect();
    assert_eq!(lamb_days, [25.0 / 3.0, 5.0]);
    assert_eq!(c.lambs.eat.len(), 5);
    assert_eq!(
        board.without.iter().map(|w| (w.pen.as_str(), w.lambs.eat.len())).collect::<Vec<_>>(),
        [("Bank", 5)]
    );
    assert_eq!(board.summary(), "1 creep open; 1 pen with lambs of creep age and none open");
}

#[test]
fn fills_to_the_top_of_a_trough_whose_size_nobody_knows() {
    let mut flock = Flock::default();
    lambs(&mut flock, "Bank", &["2026-04-01"; 8], None);
    let start = feed("Lamb starter", 88.0, 20.0);
    let mut room = FeedRoom::default();
    room.creeps.push(creep("Bank", "2026-04-10", &start, None));
    room.moves.push(fed(&start, "Bank", "2026-04-20", "8:00", None, level(100)));
    // 3.2 kg fill it up again; then a filling that nobody weighed; then 1.6 kg after half a day.
    room.moves.push(fed(&start, "Bank", "2026-04-21", "8:00", Some(3.2), None));
    room.moves.push(fed(&start, "Bank", "2026-04-21", "8:00", None, level(100)));
    room.moves.push(fed(&start, "Bank", "2026-04-22", "8:00", None, level(100)));
    room.moves.push(fed(&start, "Bank", "2026-04-22", "20:00", Some(1.6), None));
    room.moves.push(fed(&start, "Bank", "2026-04-22", "20:00", None, level(100)));
    room.feeds.push(start);
    set(&mut flock, room);
    let board = board(&flock, day("2026-04-22"));
    let c = &board.creeps[0];
    let each: Vec<f64> = c.spells.iter().filter_map(|s| s.each_g()).map(f64::round).collect();
    assert_eq!(each, [400.0, 400.0]);
    assert_eq!(c.a_day, Some(kg(3.2)));
    assert_eq!((c.lasts, c.trough.to_top), (None, None), "how much is in it nobody knows");
    assert_eq!(c.level_words(board.on), "full today");
}

#[test]
fn without_any_level_the_fillings_tell_humbly() {
    let mut flock = Flock::default();
    lambs(&mut flock, "Bank", &["2026-04-01"; 10], None);
    let start = feed("Lamb starter", 88.0, 20.0);
    let mut room = FeedRoom::default();
    room.creeps.push(creep("Bank", "2026-04-10", &start, None));
    for (on, amount) in [("2026-04-20", 2.0), ("2026-04-21", 3.0), ("2026-04-22", 4.0)] {
        room.moves.push(fed(&start, "Bank", on, "8:00", Some(amount), None));
    }
    room.feeds.push(start);
    set(&mut flock, room);
    let board = board(&flock, day("2026-04-22"));
    let c = &board.creeps[0];
    let rate = c.rate.unwrap();
    assert_eq!((rate.each_g, rate.how), (250.0, How::Fillings));
    let words = "250 g a lamb a day, over 2.0 days; by what was filled in, no level was seen";
    assert_eq!(rate.words(Units::Metric), words);
    // What was filled in last: 4 kg at 2.5 kg a day are 38 h 24 min.
    assert_eq!(c.lasts.unwrap().until.words(), "23 Apr 2026, 22:24");
}

#[test]
fn the_steps_by_the_youngest_and_the_mean_lamb() {
    let mut flock = Flock::default();
    // On 1 May: 10, 30, 32, 36 days old: mean 27.
    lambs(&mut flock, "Jug 3", &["2026-04-21", "2026-04-01", "2026-03-30", "2026-03-26"], None);
    lambs(&mut flock, "Jug 3", &["2026-04-28"], None);
    let (twenty, eighteen, sixteen) =
        (feed("Starter 20", 88.0, 20.0), feed("Starter 18", 88.0, 18.0), feed("Grower 16", 88.0, 16.0));
    let make = |f: &Feed| {
        let mut room = FeedRoom {
            feeds: vec![twenty.clone(), eighteen.clone(), sixteen.clone()],
            ..FeedRoom::default()
        };
        room.creeps.push(creep("Jug 3", "2026-04-02", f, None));
        room
    };
    let on = day("2026-05-01");
    set(&mut flock, make(&twenty));
    let c = board(&flock, on).creeps.remove(0);
    assert_eq!(c.lambs_words(), "4 lambs eat, 10 to 36 days, 27 on the mean; 1 too young");
    let (y, m) = (c.steps.youngest.unwrap(), c.steps.mean.unwrap());
    // 20 % from 7 days, 18 % from 24, 16 % from 42.
    assert_eq!((y.protein, y.next), (20.0, Some((18.0, Base::AsFed, day("2026-05-15")))));
    assert_eq!((m.protein, m.next), (18.0, Some((16.0, Base::AsFed, day("2026-05-16")))));
    assert_eq!(c.step_words()[1], "mean lamb (27 days): 18 % as fed, 16 % from 16 May");
    assert_eq!(c.steps.verdict, Verdict::Right, "20 % is what the youngest needs");
    assert_eq!(c.feed.as_ref().unwrap().protein_words(), "20 % as fed, 22.7 % of dry matter");
    assert_eq!((c.fits_now, c.fits_next), (Some(eighteen.id), Some(sixteen.id)));
    set(&mut flock, make(&eighteen));
    let c = board(&flock, on).creeps.remove(0);
    assert_eq!(c.steps.verdict, Verdict::LowForYoungest);
    set(&mut flock, make(&sixteen));
    let c = board(&flock, on).creeps.remove(0);
    assert_eq!((c.steps.verdict, c.steps.under_floor), (Verdict::TooLow, None));
    // When the youngest is 27 days old 20 % is more than it needs; four weeks on there is no further step.
    set(&mut flock, make(&twenty));
    let c = board(&flock, day("2026-05-25")).creeps.remove(0);
    assert_eq!(c.steps.verdict, Verdict::Higher);
    let c = board(&flock, day("2026-06-20")).creeps.remove(0);
    assert_eq!(c.steps.mean.unwrap().next_words(), "no further step");
}

#[test]
fn never_under_sixteen_before_two_weeks_after_weaning() {
    let twelve = feed("Ewe nuts 12", 88.0, 12.0);
    let of = |weaned: Option<&str>, on: &str| {
        let mut flock = Flock::default();
        lambs(&mut flock, "Bank", &["2026-03-01"; 6], weaned);
        let mut room = FeedRoom::default();
        room.creeps.push(creep("Bank", "2026-03-10", &twelve, None));
        room.feeds.push(twelve.clone());
        set(&mut flock, room);
        board(&flock, day(on)).creeps.remove(0)
    };
    let caution = "12 % as fed: never under 16 % before two weeks after weaning";
    let c = of(None, "2026-05-01");
    assert_eq!(c.cautions(day("2026-05-01"), Units::Metric)[0], caution);
    assert_eq!(c.steps.verdict, Verdict::TooLow);
    // Weaned on the 1st: on the 14th they still stay on it, on the 15th it may end.
    let c = of(Some("2026-05-01"), "2026-05-14");
    let words = c.cautions(day("2026-05-14"), Units::Metric);
    assert_eq!(words[0], caution);
    assert!(
        words.contains(&"all are weaned: they stay on it two weeks, until 15 May".to_string()),
        "{words:?}"
    );
    let c = of(Some("2026-05-01"), "2026-05-15");
    let words = c.cautions(day("2026-05-15"), Units::Metric);
    assert_eq!(words, ["all were weaned two weeks ago and more: the creep may end"]);
}

#[test]
fn the_past_of_the_flock_and_the_least_that_shows_a_benefit() {
    let start = feed("Lamb starter", 88.0, 18.0);
    let mut flock = Flock::default();
    let mut room = FeedRoom::default();
    for (year, lambs_there, kgs) in [("2024", 10, 3.0), ("2025", 5, 2.0)] {
        let born = format!("{year}-04-01");
        lambs(&mut flock, "Bank", &vec![born.as_str(); lambs_there], None);
        let mut c = creep("Bank", &format!("{year}-04-10"), &start, Some(kg(5.0)));
        c.to = Some(day(&format!("{year}-06-30")));
        room.creeps.push(c);
        room.moves.push(fed(&start, "Bank", &format!("{year}-04-25"), "8:00", Some(5.0), level(0)));
        let left = (100.0 * (5.0 - kgs) / 5.0) as u8;
        room.moves.push(fed(&start, "Bank", &format!("{year}-04-26"), "8:00", None, level(left)));
    }
    // The lambs of those years have gone.
    let ids: Vec<AnimalId> = flock.files().map(|f| f.animal.id).collect();
    for id in ids {
        let mut f = flock.file(id).unwrap().clone();
        f.animal.status = Status::Sold;
        f.animal.status_on = f.animal.born.day().map(|b| b.plus(150));
        let at = f.animal.born.day().unwrap();
        let pen = Some("Bank".into());
        f.pen_moves.push(PenMove { id: PenMoveId::new(), animal: id, on: at, pen, struck: None });
        f.animal.pen = None;
        flock.put(f);
    }
    lambs(&mut flock, "Jug 1", &["2026-04-01"; 4], None);
    room.creeps.push(creep("Jug 1", "2026-04-10", &start, Some(kg(4.0))));
    room.moves.push(fed(&start, "Jug 1", "2026-04-25", "8:00", Some(4.0), level(0)));
    room.moves.push(fed(&start, "Jug 1", "2026-04-26", "8:00", None, level(80)));
    room.feeds.push(start);
    set(&mut flock, room);
    let on = day("2026-04-26");
    let c = board(&flock, on).creeps.remove(0);
    // 3 kg of ten and 2 kg of five lambs, a day each: 5 kg in 15 lamb days.
    let past = c.past.unwrap();
    assert_eq!((past.each_g.round(), past.spells, past.seasons), (333.0, 2, 2));
    let words = "earlier lambs of that age: 333 g (mean of 2 refills in 2 seasons)";
    assert_eq!(c.past_words(Units::Metric).unwrap(), words);
    // 800 g of four: 200 g each, under 225.
    assert_eq!(c.under_least.map(|(g, least)| (g.round(), least)), Some((200.0, 225.0)));
    assert!(
        c.cautions(on, Units::Metric)[0]
            .starts_with("they eat 200 g a lamb a day: from 20 days to weaning 225 g")
    );
    assert_eq!((c.line.len(), c.line[12].each_g.map(f64::round)), (14, Some(200.0)));
}

#[test]
fn checks_are_due_each_day_and_faults_stay_open() {
    let mut flock = ten();
    let on = day("2026-04-22");
    let mut room = (**flock.feedroom()).clone();
    room.checks.push(check("jug 3", "2026-04-20", CheckKind::Gate, Some("bent bar")));
    room.checks.push(check("Jug 3", "2026-04-22", CheckKind::Water, None));
    set(&mut flock, room.clone());
    let c = board(&flock, on).creeps.remove(0);
    let said: Vec<(CheckKind, String, bool)> =
        c.checks.iter().map(|c| (c.what, check_words(c), c.is_open())).collect();
    assert_eq!(
        said,
        [
            (CheckKind::Trough, "never looked at".into(), true),
            (CheckKind::Gate, "bent bar, since 20 Apr".into(), true),
            (CheckKind::Water, "in order".into(), false),
        ]
    );
    // A later look finds it worse: it is the same fault; then one finds it in order.
    room.checks.push(check("Jug 3", "2026-04-21", CheckKind::Gate, Some("bar off")));
    set(&mut flock, room.clone());
    assert_eq!(check_words(&board(&flock, on).creeps[0].checks[1]), "bar off, since 20 Apr");
    room.checks.push(check("Jug 3", "2026-04-22", CheckKind::Gate, None));
    set(&mut flock, room.clone());
    assert!(!board(&flock, on).creeps[0].checks[1].is_open());
    // With a lamb of three days a lamp is asked for; a fault is said of a pen without a creep, too.
    lambs(&mut flock, "Jug 3", &["2026-04-19"], None);
    room.checks.push(check("Jug 9", "2026-04-21", CheckKind::Lamp, Some("cable chewed")));
    set(&mut flock, room);
    let board = board(&flock, on);
    assert_eq!(board.creeps[0].checks[2].what, CheckKind::Lamp);
    let without = &board.without[0];
    assert_eq!(
        (without.pen.as_str(), check_words(&without.checks[0]).as_str()),
        ("Jug 9", "cable chewed, since 21 Apr")
    );
}

#[test]
fn moments_as_one_speaks_of_them() {
    let today = day("2026-04-22");
    for (on, time, words) in [
        ("2026-04-22", "16:00", "this afternoon"),
        ("2026-04-22", "12:30", "noon today"),
        ("2026-04-23", "12:00", "tomorrow noon"),
        ("2026-04-23", "03:00", "tomorrow night"),
        ("2026-04-21", "20:00", "yesterday evening"),
        ("2026-04-25", "07:00", "Saturday morning"),
        ("2026-05-25", "07:00", "morning of 25 May"),
    ] {
        let at = Moment { day: day(on), time: Minute::parse(time).ok() };
        assert_eq!(part_of_day(at, today), words);
    }
}

proptest! {
    /// What was eaten, with what is left, is what was there and was filled in; and it is never below nothing.
    #[test]
    fn intake_sums_to_what_was_filled(
        holds in 2_000u64..40_000,
        days in prop::collection::vec((0u8..=100, 0u8..=100, any::<bool>(), 1i64..2000), 1..30),
    ) {
        let holds = Mass::from_grams(holds).unwrap();
        let feed = FeedId::new();
        let mut at = 0;
        let first = Event { at, day: day("2026-01-01"), what: Deed::Seen { feed, level: Level::EMPTY } };
        let (mut events, mut filled, mut there) = (vec![first], 0.0, 0.0_f64);
        for (left, fill, looked, minutes) in days {
            at += minutes;
            // The lambs leave a whole percentage of the trough; what is filled in fits.
            let before = (there / holds.kg() * 100.0).floor().min(f64::from(left)) as u8;
            there = holds.kg() * f64::from(before) / 100.0;
            let before = Level::from_percent(before).unwrap();
            let kg = (holds.kg() - there) * f64::from(fill) / 100.0;
            let what = match looked && before != Level::FULL {
                true => Deed::Seen { feed, level: before },
                false => Deed::Fill { feed, kg, before: Some(before) },
            };
            if let Deed::Fill { kg, .. } = what {
                there += kg;
                filled += kg;
            }
            events.push(Event { at, day: day("2026-01-01"), what });
        }
        let f = follow(&events, Some(holds));
        let eaten: f64 = f.eaten.iter().map(|(.., kg)| kg).sum();
        prop_assert!((eaten + there - filled).abs() < 1e-6, "{eaten} + {there} ≠ {filled}");
        prop_assert!(f.eaten.iter().all(|(from, to, kg)| *kg >= 0.0 && to > from));
        prop_assert!(f.too_much.is_none());
        prop_assert!((f.last.unwrap().1.kg - there).abs() < 1e-6);
    }

    /// Whatever was written, nothing is below nothing and nothing is more than the trough holds.
    #[test]
    fn nothing_is_ever_below_nothing(
        deeds in prop::collection::vec((0u8..4, 0u32..20_000, 0u8..=100, 0i64..3000), 0..30),
        holds in prop::option::of(1_000u64..40_000),
    ) {
        let feed = FeedId::new();
        let mut at = 0;
        let events: Vec<Event> = deeds.into_iter().map(|(kind, grams, percent, minutes)| {
            at += minutes;
            let (kg, level) = (f64::from(grams) / 1000.0, Level::from_percent(percent).unwrap());
            let what = match kind {
                0 => Deed::Fill { feed, kg, before: None },
                1 => Deed::Fill { feed, kg, before: Some(level) },
                2 => Deed::Seen { feed, level },
                _ => Deed::Out { kg },
            };
            Event { at, day: day("2026-01-01"), what }
        }).collect();
        let f = follow(&events, holds.and_then(Mass::from_grams));
        prop_assert!(f.eaten.iter().all(|(from, to, kg)| *kg >= 0.0 && to > from));
        prop_assert!(f.last.is_none_or(|(_, c)| c.kg >= 0.0));
        // Spells follow one another: nothing is eaten twice.
        prop_assert!(f.eaten.windows(2).all(|w| w[0].1 <= w[1].0));
    }
}
