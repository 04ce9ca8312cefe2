use super::*;
use crate::flock::{Joining, Movement, PenMove, Weighing};
use crate::papers::fixture::{animal, day, lambs, treatment};
use crate::reckon::due::Board;
use crate::terms::*;

const TODAY: &str = "2026-04-10";

/// 0412: joined 25 October to 10 December 2025, lambed twins 28 March, drenched 1 April with 21 days of meat
/// withdrawal, weighed, moved from the top shed to a jug; 0433 joined alike and still to lamb; 0500 sold.
fn flock() -> (Flock, [AnimalId; 3]) {
    let mut a = animal("0412", "Bracken", Sex::Ewe);
    a.animal.born = Born::On(day("2021-04-02"));
    a.animal.pen = Some("Jug 1".into());
    let id = a.animal.id;
    let joining = |ewe| Joining {
        id: JoiningId::new(),
        ewe,
        ram: AnimalId::new(),
        from: day("2025-10-25"),
        to: Some(day("2025-12-10")),
        method: None,
        group: None,
        struck: None,
    };
    a.joinings.push(joining(id));
    let twins = [("L1", Sex::Ewe, 4_200), ("L2", Sex::Ram, 4_600)];
    let mut born = lambs(&mut a, None, Moment::day(day("2026-03-28")), &twins);
    born.iter_mut().for_each(|l| l.animal.pen = None);
    let given = Moment::day(day("2026-04-01"));
    a.treatments.push(treatment(id, "levamisole drench", given, Withdrawal::Days(21), Withdrawal::Unknown));
    a.treatments.push(treatment(
        id,
        "pour-on",
        Moment::day(day("2025-10-01")),
        Withdrawal::Unknown,
        Withdrawal::Unknown,
    ));
    a.weighings.push(Weighing {
        id: WeighingId::new(),
        animal: id,
        at: Moment::day(day("2026-02-01")),
        weight: Weight::from_grams(66_000).unwrap(),
        note: None,
        session: None,
        struck: None,
    });
    for (on, pen) in [("2026-03-01", "Top shed"), ("2026-03-28", "Jug 1")] {
        let (id, animal) = (PenMoveId::new(), a.animal.id);
        a.pen_moves.push(PenMove { id, animal, on: day(on), pen: Some(pen.into()), struck: None });
    }
    let mut b = animal("0433", "", Sex::Ewe);
    b.animal.born = Born::On(day("2022-04-02"));
    b.animal.pen = Some("Jug 10".into());
    b.joinings.push(joining(b.animal.id));
    let mut c = animal("0500", "", Sex::Ram);
    c.animal.status = Status::Sold;
    c.animal.status_on = Some(day("2026-01-05"));
    c.movements.push(Movement {
        id: MovementId::new(),
        animal: c.animal.id,
        on: day("2026-01-05"),
        to: Status::Sold,
        other: None,
        reason: None,
        struck: None,
        details: Default::default(),
    });
    let ids = [a.animal.id, b.animal.id, c.animal.id];
    let mut flock = Flock::default();
    [a, b, c].into_iter().chain(born).for_each(|f| flock.put(f));
    (flock, ids)
}

fn line(flock: &Flock, id: AnimalId) -> Line {
    Line::of(flock, flock.file(id).unwrap(), day(TODAY), None)
}

#[test]
fn the_events_of_one_ewe_by_hand() {
    let (flock, ids) = flock();
    let got = line(&flock, ids[0]);
    let facts: Vec<(What, String, String)> =
        got.events.iter().map(|e| (e.what, e.from.to_string(), e.to.to_string())).collect();
    let want = [
        (What::Born { dead: false }, "2021-04-02", "2021-04-02"),
        (What::Treatment { clear_known: false }, "2025-10-01", "2025-10-01"),
        (What::Joining { over: true }, "2025-10-25", "2025-12-10"),
        (What::Weighing { grams: 66_000 }, "2026-02-01", "2026-02-01"),
        (What::Pen { inside: true }, "2026-03-01", "2026-03-28"),
        (What::Lambing { lambs: 2 }, "2026-03-28", "2026-03-28"),
        (What::Pen { inside: true }, "2026-03-28", "2026-04-10"),
        // 1 April and 21 whole days after it.
        (What::Treatment { clear_known: true }, "2026-04-01", "2026-04-23"),
    ];
    let want: Vec<_> = want.into_iter().map(|(w, a, b)| (w, a.to_string(), b.to_string())).collect();
    assert_eq!(facts, want, "she has lambed: nothing is expected of her");
}

#[test]
fn one_still_to_lamb_is_expected() {
    let (flock, ids) = flock();
    let got = line(&flock, ids[1]);
    let due = got.events.iter().find(|e| e.what.kind() == Kind::Due).unwrap();
    // 144 days after 25 October, 147 for the usual day, 152 after 10 December (gestation, handbook).
    assert_eq!(due.what, What::Due { usual: day("2026-03-21") });
    assert_eq!((due.from, due.to), (day("2026-03-18"), day("2026-05-11")));
    let file = flock.file(ids[1]).unwrap();
    let said = say(&flock, file, &got, due, day(TODAY));
    assert_eq!(said, "May lamb from 18 Mar 2026 to 11 May 2026, most likely about 21 Mar 2026");
}

#[test]
fn only_what_reaches_into_the_span_is_looked_at() {
    let (flock, ids) = flock();
    let got = line(&flock, ids[0]);
    let kinds = |from: &str, to: &str| -> Vec<Kind> {
        let (from, to) = (day(from), day(to));
        let all = got.within(from, to).filter_map(|i| got.events.get(i));
        all.filter(|e| e.to >= from).map(|e| e.what.kind()).collect()
    };
    assert_eq!(kinds("2025-11-15", "2025-11-20"), [Kind::Joining], "it began before and ends after");
    assert_eq!(kinds("2026-04-15", "2026-05-01"), [Kind::Treatment], "still under withdrawal");
    assert!(kinds("2026-04-24", "2026-05-01").is_empty());
    let span = got.within(day("2026-04-15"), day("2026-05-01"));
    assert!(span.start > 1, "the birth of years ago is not even looked at");
}

#[test]
fn steps_go_over_kinds_that_are_left_out() {
    let (flock, ids) = flock();
    let got = line(&flock, ids[0]);
    let kinds = Kinds::all().toggled(Kind::Pen).toggled(Kind::Weighing);
    let lambing = got.nearest(day("2026-03-27"), kinds).unwrap();
    assert_eq!(got.events[lambing].what.kind(), Kind::Lambing);
    let before = got.step(lambing, false, kinds).unwrap();
    assert_eq!(got.events[before].what.kind(), Kind::Joining);
    let after = got.step(lambing, true, kinds).unwrap();
    assert_eq!(got.events[after].from, day("2026-04-01"));
    assert_eq!(got.step(after, true, kinds), None);
}

#[test]
fn rows_stand_in_barn_order_and_filters_keep_their_heads() {
    let (flock, ids) = flock();
    let today = day(TODAY);
    let roll = Roll::of(&flock, today);
    let groups: Vec<&str> = roll.groups.iter().map(Group::words).collect();
    assert_eq!(groups, ["Jug 1", "Jug 10", "In no pen", "Gone within the year"]);
    let pick = |filter: Filter| roll.pick(&flock, None, today, &filter);
    let all = pick(Filter::default());
    assert_eq!(all.animals, 5);
    assert_eq!(all.rows[..4], [Row::Head(0, 1), Row::Animal(ids[0]), Row::Head(1, 1), Row::Animal(ids[1])]);
    assert_eq!(all.rows[4], Row::Head(2, 2), "the twins");
    assert_eq!(all.held, 1);
    let ewes = pick(Filter { which: Which::Ewes, ..Filter::default() });
    assert_eq!(ewes.animals, 2);
    let held = pick(Filter { which: Which::Held, ..Filter::default() });
    assert_eq!(held.rows, [Row::Head(0, 1), Row::Animal(ids[0])]);
    let tagged = pick(Filter { tag: "433".into(), ..Filter::default() });
    assert_eq!(tagged.rows, [Row::Head(1, 1), Row::Animal(ids[1])]);
    let pen = pick(Filter { pen: Some("Jug 1".into()), ..Filter::default() });
    assert_eq!(pen.animals, 1, "not that of Jug 10");
    assert_eq!(Roll::of(&flock, day("2027-02-01")).groups.len(), 3, "gone for more than a year");
}

/// A ewe whose milk may never be used is in the register, so the timeline counts her too; a ram's milk is not asked.
#[test]
fn as_many_are_under_withdrawal_as_the_register_has() {
    let mut flock = Flock::default();
    let today = day(TODAY);
    for (tag, sex) in [("1", Sex::Ewe), ("2", Sex::Ram)] {
        let mut file = animal(tag, "", sex);
        let (id, at) = (file.animal.id, Moment::day(today.plus(-40)));
        file.treatments.push(treatment(id, "drench", at, Withdrawal::Days(10), Withdrawal::Never));
        flock.put(file);
    }
    let roll = Roll::of(&flock, today);
    let held = roll.pick(&flock, None, today, &Filter { which: Which::Held, ..Filter::default() });
    let register = crate::registers::held_on(&flock, today);
    assert_eq!((held.held, held.animals, register.len()), (1, 1, 1));
    assert_eq!(register[0].file.animal.tag(), "1");
}

#[test]
fn counts_fall_into_their_weeks() {
    let (flock, _) = flock();
    let today = day(TODAY);
    let board = Board::new(&flock, today);
    let picked = Roll::of(&flock, today).pick(&flock, Some(&board), today, &Filter::default());
    let counts = &picked.counts;
    // 28 March 2026 is a Saturday, 1 April the Wednesday after.
    let bins = counts.bins(day("2026-03-25"), day("2026-04-02"), Unit::Week);
    let facts: Vec<(String, u32, u32)> =
        bins.iter().map(|b| (b.from.to_string(), b.count.lambings, b.count.treatments)).collect();
    assert_eq!(facts, [("2026-03-23".to_string(), 1, 0), ("2026-03-30".to_string(), 0, 1)]);
    assert_eq!(counts.peak(day("2026-01-01"), today), Some((day("2026-03-28"), 1)));
    let open: usize = Roll::of(&flock, today).animals().map(|id| board.of(id).len()).sum();
    let all = counts.between(day("2020-01-01"), day("2029-01-01"));
    assert!(open > 0 && picked.overdue.0 > 0, "the twins have jobs");
    assert_eq!(usize::try_from(all.due + all.overdue).unwrap(), open, "each open job stands on one day");
}

#[test]
fn the_days_along_the_drawing() {
    let words = |from: &str, to: &str, least: f64| -> Vec<String> {
        ticks(day(from), day(to), least).into_iter().map(|t| t.words).collect()
    };
    assert_eq!(words("2026-03-30", "2026-04-01", 1.0), ["30 Mar 2026", "31 Mar", "1 Apr"]);
    assert_eq!(words("2026-03-28", "2026-04-14", 5.0), ["30 Mar 2026", "6 Apr", "13 Apr"]);
    assert_eq!(words("2025-11-20", "2026-02-10", 20.0), ["Dec 2025", "Jan 2026", "Feb"]);
    assert_eq!(words("2025-11-20", "2026-08-10", 90.0), ["Jan 2026", "Apr", "Jul"]);
    assert_eq!(words("2020-11-20", "2023-02-10", 300.0), ["2021", "2022", "2023"]);
    assert_eq!(Unit::Month.next(day("2026-12-31")), day("2027-01-01"));
}
