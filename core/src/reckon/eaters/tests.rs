//! Groups by hand-made flocks.

use super::*;
use crate::flock::{Movement, Outcome, PenMove, Ration, Scan, Tick};
use crate::papers::fixture::{animal, day, joined, lambing_shed, lambs};
use crate::terms::*;
use std::collections::BTreeMap;

fn ewe(tag: &str, born: &str) -> AnimalFile {
    let mut f = animal(tag, "", Sex::Ewe);
    f.animal.born = Born::On(day(born));
    f
}

fn flock(files: impl IntoIterator<Item = AnimalFile>) -> Flock {
    let mut flock = Flock::default();
    files.into_iter().for_each(|f| flock.put(f));
    flock
}

fn join(f: &mut AnimalFile, from: &str, to: Option<&str>) {
    f.joinings.push(Joining {
        id: JoiningId::new(),
        ewe: f.animal.id,
        ram: AnimalId::new(),
        from: day(from),
        to: to.map(day),
        method: None,
        group: None,
        struck: None,
    });
}

fn scan(f: &mut AnimalFile, on: &str, found: Scanned) {
    f.scans.push(Scan {
        id: ScanId::new(),
        ewe: f.animal.id,
        on: day(on),
        found,
        age_days: None,
        note: None,
        struck: None,
    });
}

fn moved(f: &mut AnimalFile, on: &str, to: Status) {
    f.movements.push(Movement {
        id: MovementId::new(),
        animal: f.animal.id,
        on: day(on),
        to,
        other: None,
        reason: None,
        details: Default::default(),
        struck: None,
    });
    f.animal.status = to;
}

fn penned(f: &mut AnimalFile, on: &str, pen: &str) {
    f.pen_moves.push(PenMove {
        id: PenMoveId::new(),
        animal: f.animal.id,
        on: day(on),
        pen: Some(pen.into()),
        struck: None,
    });
    f.animal.pen = Some(pen.into());
}

fn tick(f: &mut AnimalFile, on: &str, outcome: Outcome) {
    f.ticks.push(Tick {
        id: TickId::new(),
        animal: f.animal.id,
        step: "wean".into(),
        anchor: day(on),
        round: 0,
        outcome,
        at: Moment::day(day(on)),
        note: None,
        struck: None,
    });
}

/// The group of a tag on a day; none where it is not there.
fn group(flock: &Flock, tag: &str, on: &str) -> Option<Eaters> {
    let f = flock.files().find(|f| f.animal.tag() == tag).unwrap();
    let by_one = group_of(flock, f, day(on), &Spans::of(flock));
    let heads = Heads::on(flock, day(on));
    let by_pass = heads.pens.iter().flat_map(|p| &p.groups).find(|(_, a)| a.contains(&f.animal.id));
    assert_eq!(by_one, by_pass.map(|(e, _)| *e), "{tag} on {on}: one way and the other");
    by_one
}

#[test]
fn grown_animals_by_sex_age_and_what_they_did() {
    let mut old = ewe("old", "2023-03-01");
    let lamb = lambs(&mut old, None, Moment::day(day("2024-03-10")), &[("l", Sex::Ram, 4_000)]).remove(0);
    let f = flock([
        old,
        lamb,
        ewe("gimmer", "2024-12-01"),
        ewe("never", "2023-12-01"),
        animal("of no age", "", Sex::Ewe),
        animal("R1", "", Sex::Ram),
        animal("W1", "", Sex::Wether),
    ]);
    let on = "2026-01-10";
    let found = |tag| group(&f, tag, on).unwrap();
    assert_eq!(found("old"), Eaters::DryEwes);
    assert_eq!(found("l"), Eaters::Rams);
    assert_eq!(found("gimmer"), Eaters::YoungEwes);
    assert_eq!(found("never"), Eaters::DryEwes);
    assert_eq!(found("of no age"), Eaters::DryEwes);
    assert_eq!(found("R1"), Eaters::Rams);
    assert_eq!(found("W1"), Eaters::Rams);
    // A ewe lamb weaned is a young ewe at seven months.
    assert_eq!(group(&f, "gimmer", "2025-06-28"), Some(Eaters::WeanedLambs));
    assert_eq!(group(&f, "gimmer", "2025-06-29"), Some(Eaters::YoungEwes));
}

#[test]
fn with_the_ram_in_lamb_and_the_last_weeks() {
    let (mut plain, mut seen, mut empty) =
        (ewe("plain", "2022-03-01"), ewe("seen", "2022-03-01"), ewe("empty", "2022-03-01"));
    for e in [&mut plain, &mut seen, &mut empty] {
        join(e, "2025-11-01", Some("2025-12-10"));
    }
    scan(&mut seen, "2025-12-05", Scanned::Two);
    scan(&mut empty, "2026-01-15", Scanned::Empty);
    let mut served = ewe("served", "2022-03-01");
    join(&mut served, "2025-11-01", Some("2025-11-01"));
    let f = flock([plain, seen, empty, served]);
    let early = day("2025-11-01").plus(gestation::early());
    let late = early.plus(-42);
    for (tag, on, wanted) in [
        ("plain", "2025-10-31", Eaters::DryEwes),
        ("plain", "2025-11-01", Eaters::JoinedEwes),
        ("plain", "2025-12-10", Eaters::JoinedEwes),
        ("plain", "2025-12-11", Eaters::EarlyEwes),
        ("seen", "2025-12-04", Eaters::JoinedEwes),
        ("seen", "2025-12-05", Eaters::EarlyEwes),
        ("empty", "2026-01-14", Eaters::EarlyEwes),
        ("empty", "2026-01-15", Eaters::DryEwes),
        // A day of hand service is no running with the ram.
        ("served", "2025-11-01", Eaters::EarlyEwes),
    ] {
        assert_eq!(group(&f, tag, on), Some(wanted), "{tag} {on}");
    }
    for tag in ["plain", "seen", "served"] {
        assert_eq!(group(&f, tag, &late.plus(-1).to_string()), Some(Eaters::EarlyEwes), "{tag}");
        assert_eq!(group(&f, tag, &late.to_string()), Some(Eaters::LateEwes), "{tag}");
    }
    assert_eq!(group(&f, "empty", &late.to_string()), Some(Eaters::DryEwes));
    // Long past her last day she is looked for no more.
    let past = day("2025-12-10").plus(gestation::late() + 31);
    assert_eq!(group(&f, "plain", &past.plus(-1).to_string()), Some(Eaters::LateEwes));
    assert_eq!(group(&f, "plain", &past.to_string()), Some(Eaters::DryEwes));
}

#[test]
fn a_ram_that_was_never_taken_out_makes_no_ewe_late_for_ever() {
    let mut e = ewe("0412", "2022-03-01");
    join(&mut e, "2025-01-01", None);
    let f = flock([e]);
    assert_eq!(group(&f, "0412", "2025-02-01"), Some(Eaters::JoinedEwes));
    let due = day("2025-01-01").plus(gestation::usual());
    assert_eq!(group(&f, "0412", &due.to_string()), Some(Eaters::LateEwes));
    assert_eq!(group(&f, "0412", &due.plus(61).to_string()), Some(Eaters::JoinedEwes));
}

#[test]
fn nursing_by_lambs_reared_until_they_are_weaned() {
    let (mut one, mut three) = (ewe("one", "2021-03-01"), ewe("three", "2021-03-01"));
    let at = Moment::day(day("2026-04-01"));
    let mut single = lambs(&mut one, None, at, &[("a", Sex::Ewe, 5_000)]);
    let born =
        [("b", Sex::Ewe, 4_000), ("c", Sex::Ram, 4_000), ("d", Sex::Ram, 3_000), ("e", Sex::Ewe, 2_500)];
    let mut four = lambs(&mut three, None, at, &born);
    // One of four is put on the other ewe, one is on the bottle.
    four[2].animal.rearing = Rearing::Foster(one.animal.id);
    four[3].animal.rearing = Rearing::Bottle;
    moved(&mut four[1], "2026-05-03", Status::Dead);
    tick(&mut single[0], "2026-06-01", Outcome::Done);
    tick(&mut four[2], "2026-06-05", Outcome::Done);
    let f = flock([one, three].into_iter().chain(single).chain(four));
    for (tag, on, wanted) in [
        ("one", "2026-03-31", Some(Eaters::DryEwes)),
        ("one", "2026-04-01", Some(Eaters::NursingTwo)),
        ("three", "2026-04-01", Some(Eaters::NursingTwo)),
        ("three", "2026-05-02", Some(Eaters::NursingTwo)),
        // A dead lamb eats and sucks no more.
        ("three", "2026-05-03", Some(Eaters::NursingOne)),
        ("c", "2026-05-02", Some(Eaters::CreepLambs)),
        ("c", "2026-05-03", None),
        // Lambs too young for the creep, and a bottle lamb of any age.
        ("a", "2026-03-31", None),
        ("a", "2026-04-07", Some(Eaters::MilkLambs)),
        ("a", "2026-04-08", Some(Eaters::CreepLambs)),
        ("d", "2026-04-08", Some(Eaters::CreepLambs)),
        ("e", "2026-05-30", Some(Eaters::MilkLambs)),
        // Ticked as weaned: the lamb is, and the ewe nurses one less, at last none.
        ("a", "2026-05-31", Some(Eaters::CreepLambs)),
        ("a", "2026-06-01", Some(Eaters::WeanedLambs)),
        ("one", "2026-05-31", Some(Eaters::NursingTwo)),
        ("one", "2026-06-01", Some(Eaters::NursingOne)),
        ("one", "2026-06-05", Some(Eaters::DryEwes)),
        // By age alone: the day the plan's weaning is due.
        ("b", "2026-06-23", Some(Eaters::CreepLambs)),
        ("b", "2026-06-24", Some(Eaters::WeanedLambs)),
        ("e", "2026-06-23", Some(Eaters::MilkLambs)),
        ("e", "2026-06-24", Some(Eaters::WeanedLambs)),
        ("three", "2026-06-23", Some(Eaters::NursingOne)),
        ("three", "2026-06-24", Some(Eaters::DryEwes)),
    ] {
        assert_eq!(group(&f, tag, on), wanted, "{tag} {on}");
    }
}

#[test]
fn triplets_make_a_ewe_nursing_three() {
    let mut e = ewe("0231", "2021-03-01");
    let three = [("a", Sex::Ewe, 4_000), ("b", Sex::Ram, 4_000), ("c", Sex::Ram, 3_000)];
    let born = lambs(&mut e, None, Moment::day(day("2026-04-01")), &three);
    let f = flock([e].into_iter().chain(born));
    assert_eq!(group(&f, "0231", "2026-04-20"), Some(Eaters::NursingThree));
    let heads = Heads::on(&f, day("2026-04-20"));
    assert_eq!(heads.groups(), [(Eaters::NursingThree, 1), (Eaters::CreepLambs, 3)]);
    assert_eq!(
        (heads.all(), heads.of(None, Eaters::CreepLambs), heads.of(Some(""), Eaters::CreepLambs)),
        (4, 3, 3)
    );
}

#[test]
fn a_lamb_is_weaned_by_what_tells_first() {
    let at = Moment::day(day("2026-04-01"));
    let by = |change: &dyn Fn(&mut AnimalFile, &mut AnimalFile), on: &str| {
        let mut e = ewe("ewe", "2021-03-01");
        penned(&mut e, "2026-03-01", "Barn");
        let mut lamb = lambs(&mut e, None, at, &[("lamb", Sex::Ewe, 5_000)]).remove(0);
        penned(&mut lamb, "2026-04-01", "Barn");
        change(&mut e, &mut lamb);
        let id = lamb.animal.id;
        let f = flock([e, lamb]);
        let lamb = f.file(id).unwrap();
        (milk(&f, lamb, day(on), &Spans::of(&f)), lamb.animal.dam.unwrap())
    };
    let weaned = |by| Some(Milk::Weaned(by));
    // Six weeks are 13 May.
    let away = |e: &mut AnimalFile, _: &mut AnimalFile| penned(e, "2026-05-01", "Hill");
    let (found, dam) = by(&away, "2026-05-12");
    assert_eq!(found, Some(Milk::Ewe(dam)), "a slip of the pen before six weeks");
    let (found, dam) = by(&away, "2026-05-13");
    assert_eq!(found, weaned(WeanedBy::Apart(dam)));
    // A tick has the say over pens and age, on either side of its day.
    let late = |e: &mut AnimalFile, l: &mut AnimalFile| {
        away(e, l);
        tick(l, "2026-08-01", Outcome::Done);
    };
    let (found, dam) = by(&late, "2026-07-31");
    assert_eq!(found, Some(Milk::Ewe(dam)));
    assert_eq!(by(&late, "2026-08-01").0, weaned(WeanedBy::Tick(day("2026-08-01"))));
    // Put off: not before that day.
    let off =
        |_: &mut AnimalFile, l: &mut AnimalFile| tick(l, "2026-06-20", Outcome::PutOff(day("2026-07-10")));
    let (found, dam) = by(&off, "2026-07-09");
    assert_eq!(found, Some(Milk::Ewe(dam)));
    assert_eq!(by(&off, "2026-07-10").0, weaned(WeanedBy::Age));
    // Its ewe is gone: milk by hand while it is young, then weaned.
    let gone = |e: &mut AnimalFile, _: &mut AnimalFile| moved(e, "2026-04-20", Status::Dead);
    assert_eq!(by(&gone, "2026-04-20").0, Some(Milk::Bottle));
    assert_eq!(by(&gone, "2026-05-13").0, weaned(WeanedBy::NoEwe));
    // A struck tick tells nothing.
    let struck = |_: &mut AnimalFile, l: &mut AnimalFile| {
        tick(l, "2026-05-20", Outcome::Done);
        l.ticks[0].struck =
            Some(Box::new(crate::flock::Struck { on: day("2026-05-21"), reason: "wrong lamb".into() }));
    };
    let (found, dam) = by(&struck, "2026-05-25");
    assert_eq!(found, Some(Milk::Ewe(dam)));
    assert_eq!(by(&struck, "2027-04-02").0, None, "no lamb any more");
}

#[test]
fn days_of_the_past_are_told_by_movements_and_pens() {
    let mut sold = ewe("sold", "2021-03-01");
    penned(&mut sold, "2025-05-01", "Bank");
    penned(&mut sold, "2025-06-01", "barn 1");
    moved(&mut sold, "2025-09-10", Status::Sold);
    let mut came = ewe("came", "2021-03-01");
    moved(&mut came, "2025-08-01", Status::Present);
    penned(&mut came, "2025-08-01", "Barn 1");
    let f = flock([sold, came]);
    assert_eq!(group(&f, "came", "2025-07-31"), None);
    assert_eq!(group(&f, "came", "2025-08-01"), Some(Eaters::DryEwes));
    assert_eq!(group(&f, "sold", "2025-09-09"), Some(Eaters::DryEwes));
    assert_eq!(group(&f, "sold", "2025-09-10"), None);
    let of = |on: &str, pen: &str| Heads::on(&f, day(on)).of(Some(pen), Eaters::DryEwes);
    assert_eq!([of("2025-05-31", "BANK"), of("2025-06-01", "Bank")], [1, 0]);
    // A pen written in two ways is one.
    assert_eq!([of("2025-08-01", "Barn 1"), of("2025-09-10", "barn 1")], [2, 1]);
    let pens: Vec<String> = Heads::on(&f, day("2025-08-01")).pens.iter().map(|p| p.pen.clone()).collect();
    assert_eq!(pens, ["Barn 1"]);
}

/// Spells and counts over a span say on each day what the pass over that day says.
fn same_on_every_day(flock: &Flock, from: Day, to: Day) {
    let spells = spells(flock, from, to);
    let counted = HeadDays::of(flock, from, to);
    let mut sums: BTreeMap<Eaters, u64> = BTreeMap::new();
    let mut on = from;
    while on <= to {
        let heads = Heads::on(flock, on);
        let mut wanted: Vec<(AnimalId, Option<String>, Eaters)> = Vec::new();
        for p in &heads.pens {
            for (eaters, animals) in &p.groups {
                let pen = |id: &AnimalId| pen_on(flock.file(*id).unwrap(), on).map(str::to_string);
                wanted.extend(animals.iter().map(|id| (*id, pen(id), *eaters)));
                let n = u32::try_from(animals.len()).unwrap();
                assert_eq!(counted.heads(on, Some(&p.pen), *eaters), n, "{} {on}", p.title());
                *sums.entry(*eaters).or_default() += u64::from(n);
            }
        }
        let there = spells.iter().filter(|s| s.from <= on && on <= s.to);
        let mut found: Vec<_> = there.map(|s| (s.animal, s.pen.clone(), s.eaters)).collect();
        wanted.sort();
        found.sort();
        assert_eq!(found, wanted, "on {on}");
        on = on.plus(1);
    }
    for eaters in Eaters::ALL {
        assert_eq!(counted.head_days(*eaters), sums.get(eaters).copied().unwrap_or(0), "{}", eaters.words());
    }
}

#[test]
fn a_span_of_days_is_as_each_of_its_days() {
    let (shed, ..) = lambing_shed();
    same_on_every_day(&shed, day("2026-03-01"), day("2026-09-01"));
    let (mut bank, _) = joined(day("2026-11-20"));
    let mut hard = ewe("hard", "2022-01-05");
    join(&mut hard, "2026-07-01", Some("2026-07-30"));
    scan(&mut hard, "2026-10-01", Scanned::Two);
    penned(&mut hard, "2026-08-01", "Bank");
    let mut born = lambs(
        &mut hard,
        None,
        Moment::day(day("2026-11-24")),
        &[("x", Sex::Ewe, 4_000), ("y", Sex::Ram, 4_000)],
    );
    moved(&mut born[0], "2026-12-02", Status::Dead);
    tick(&mut born[1], "2027-01-20", Outcome::PutOff(day("2027-03-01")));
    let mut about = ewe("about", "2026-12-20");
    about.animal.born = Born::About(day("2026-12-20"));
    let mut year = ewe("year", "2026-12-20");
    year.animal.born = Born::Year(2027);
    for f in [hard, about, year].into_iter().chain(born) {
        bank.put(f);
    }
    same_on_every_day(&bank, day("2026-06-25"), day("2027-07-10"));
    assert!(spells(&bank, day("2026-07-01"), day("2026-06-30")).is_empty());
}

fn ration(eaters: Eaters, pen: Option<&str>, feed: FeedId, from: &str, grams: u64) -> Ration {
    Ration {
        id: RationId::new(),
        eaters,
        pen: pen.map(str::to_string),
        feed,
        from: day(from),
        each: Mass::from_grams(grams).unwrap(),
        measure: None,
        note: None,
        struck: None,
    }
}

#[test]
fn a_pens_own_line_goes_before_the_groups() {
    let (hay, meal) = (FeedId::new(), FeedId::new());
    let two = Eaters::NursingTwo;
    let rations = vec![
        ration(two, None, hay, "2026-04-01", 2_000),
        ration(two, None, meal, "2026-04-01", 900),
        ration(two, Some("Jug row"), meal, "2026-04-10", 450),
        ration(two, Some("Bank"), hay, "2026-04-10", 0),
        ration(two, None, hay, "2026-05-01", 0),
    ];
    let room = crate::flock::FeedRoom { rations, ..Default::default() };
    let of = |pen: &str, on: &str| {
        let lines = given(&room, pen, two, day(on));
        let grams = |feed| lines.iter().find(|r| r.feed == feed).map_or(0, |r| r.each.grams());
        (grams(hay), grams(meal))
    };
    assert_eq!(of("Barn", "2026-03-31"), (0, 0));
    assert_eq!(of("Barn", "2026-04-20"), (2_000, 900));
    assert_eq!(of("jug row", "2026-04-09"), (2_000, 900));
    assert_eq!(of("jug row", "2026-04-10"), (2_000, 450));
    assert_eq!(of("Bank", "2026-04-10"), (0, 900), "a pen's line of nothing holds back the group's");
    assert_eq!(of("Barn", "2026-05-01"), (0, 900));
    assert!(given(&room, "Barn", Eaters::Rams, day("2026-04-20")).is_empty());
}

#[test]
fn a_pens_round_adds_up_and_says_who_is_left_out() {
    let mut files = Vec::new();
    for n in 0..3 {
        let mut e = ewe(&format!("e{n}"), "2021-03-01");
        penned(&mut e, "2026-03-01", "Barn");
        let born =
            lambs(&mut e, None, Moment::day(day("2026-04-01")), &[(&format!("l{n}"), Sex::Ewe, 5_000)]);
        files.extend(born.into_iter().chain([e]));
    }
    let mut ram = animal("R1", "", Sex::Ram);
    penned(&mut ram, "2026-03-01", "Barn");
    files.push(ram);
    let f = flock(files);
    let hay = FeedId::new();
    let rations = vec![ration(Eaters::NursingOne, None, hay, "2026-04-01", 2_000)];
    let room = crate::flock::FeedRoom { rations, ..Default::default() };
    let rounds = rounds(&room, &Heads::on(&f, day("2026-04-05")));
    let [barn] = rounds.as_slice() else { panic!("one pen") };
    assert_eq!(barn.who(), "3 ewes nursing one, 1 ram or wether, 3 lambs on milk alone");
    assert_eq!(barn.feeds, [(hay, Mass::from_grams(6_000).unwrap(), None)]);
    assert_eq!(barn.bare().map(|g| g.eaters).collect::<Vec<_>>(), [Eaters::Rams]);
    assert_eq!(barn.heads(), 7);
}

#[test]
fn a_hundred_thousand_animals_are_looked_through_at_once() {
    let mut f = Flock::default();
    let born = day("2026-04-01");
    for n in 0..30_000_i64 {
        let mut e = ewe(&format!("E{n}"), "2021-03-01");
        penned(&mut e, "2026-03-01", &format!("Barn {}", n % 40));
        join(&mut e, "2025-11-01", Some("2025-12-10"));
        let two = [(format!("A{n}"), Sex::Ewe, 4_000), (format!("B{n}"), Sex::Ram, 4_000)];
        let two: Vec<(&str, Sex, i64)> = two.iter().map(|(t, s, g)| (t.as_str(), *s, *g)).collect();
        for lamb in lambs(&mut e, None, Moment::day(born.plus(n % 20)), &two) {
            f.put(lamb);
        }
        f.put(e);
    }
    for n in 0..10_000 {
        f.put(animal(&format!("R{n}"), "", Sex::Ram));
    }
    let began = std::time::Instant::now();
    let heads = Heads::on(&f, day("2026-05-10"));
    let took = began.elapsed();
    println!("100,000 animals, one day: {took:?}");
    assert_eq!((heads.all(), heads.of(None, Eaters::NursingTwo)), (100_000, 30_000));
    assert!(took.as_secs() < 10, "unoptimised, with others at work: {took:?}");
    let began = std::time::Instant::now();
    let all = HeadDays::of(&f, day("2026-05-10"), day("2026-06-10"));
    println!("a month of days: {:?}", began.elapsed());
    assert_eq!(all.heads(day("2026-05-10"), None, Eaters::NursingTwo), 30_000);
}
