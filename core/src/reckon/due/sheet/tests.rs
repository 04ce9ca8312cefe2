use super::*;
use crate::flock::Holding;
use crate::papers::fixture::{animal, day, lambs};
use crate::terms::{Born, Moment, ProductId, Withdrawal};

fn product(name: &str, rule: DoseRule) -> Product {
    Product {
        id: ProductId::new(),
        name: name.into(),
        substance: None,
        form: None,
        strength: None,
        rule,
        route: None,
        meat: Withdrawal::Days(0),
        milk: Withdrawal::Days(0),
        licensed_for: None,
        more: Default::default(),
    }
}

/// Three lots of lambs born the same day in pens 2, 10 and none.
fn barn() -> Flock {
    let mut flock = Flock::default();
    flock.set_holding(Holding { rules: "gb".into(), ..Holding::default() });
    for (tag, pen) in [("0412", Some("Jug 10")), ("0417", Some("Jug 2")), ("0433", None)] {
        let mut ewe = animal(tag, "", Sex::Ewe);
        ewe.animal.born = Born::On(day("2022-04-02"));
        ewe.animal.pen = pen.map(Into::into);
        let (a, b) = (format!("{tag}A"), format!("{tag}B"));
        let born = [(a.as_str(), Sex::Ewe, 4_200), (b.as_str(), Sex::Ram, 4_600)];
        for lamb in lambs(&mut ewe, None, Moment::day(day("2026-03-12")), &born) {
            flock.put(lamb);
        }
        flock.put(ewe);
    }
    flock
}

#[test]
fn rows_are_numbered_through_the_barn() {
    let flock = barn();
    let on = day("2026-03-13");
    let board = Board::new(&flock, on);
    let sheet = sheet(&flock, &board, on);
    let pens: Vec<Option<&str>> = sheet.pens.iter().map(|p| p.pen.as_deref()).collect();
    assert_eq!(pens, [Some("Jug 2"), Some("Jug 10"), None], "in natural order, no pen last");
    assert!(sheet.pens.iter().all(|p| p.animals == 3));
    let numbers: Vec<usize> = sheet.rows().map(|r| r.no).collect();
    assert_eq!(numbers, (1..=sheet.len()).collect::<Vec<_>>());
    let tags: Vec<&str> = sheet.pens[0].rows.iter().map(|r| flock.tag(r.animal)).collect();
    assert_eq!(tags, ["0417", "0417A", "0417B"]);
    for row in sheet.rows() {
        assert!(!row.jobs.is_empty());
        assert!(row.jobs.iter().all(|j| j.state.is_now() && j.day() <= on && j.close >= on));
    }
}

#[test]
fn the_sheet_of_tomorrow_is_the_same_from_todays_board() {
    let flock = barn();
    let (today, on) = (day("2026-03-14"), day("2026-03-15"));
    let from_today = sheet(&flock, &Board::new(&flock, today), on);
    let from_day = sheet(&flock, &Board::new(&flock, on), on);
    assert_eq!(from_today, from_day);
    assert!(!from_day.is_empty());
}

#[test]
fn overdue_is_told_as_of_the_day_of_the_sheet() {
    let flock = barn();
    let today = day("2026-03-12");
    let board = Board::new(&flock, today);
    let states = |on: &str| {
        let all = sheet(&flock, &board, day(on));
        let of: Vec<State> = all.rows().flat_map(|r| &r.jobs).map(|j| j.state.clone()).collect();
        (of.iter().filter(|s| **s == State::Overdue).count(), of.len())
    };
    let (first, _) = states("2026-03-12");
    let (later, all) = states("2026-03-16");
    assert_eq!(first, 0);
    assert!(later > 0 && later < all, "{later} of {all}");
}

#[test]
fn a_round_says_how_much_to_draw_up() {
    let mut flock = barn();
    let vaccine = product("Clostridial vaccine 4-in-1", DoseRule::PerHead(2_000));
    flock.set_products(vec![vaccine.clone()]);
    // Six weeks after birth: the first dose of lambs of dams without a course of their own.
    let on = day("2026-04-23");
    let all = sheet(&flock, &Board::new(&flock, on), on);
    let said: Vec<String> = all.pens.iter().flat_map(|p| &p.rounds).map(|r| r.words(&flock)).collect();
    let wanted = "Clostridial, first: 2 lambs, 4 ml in all of Clostridial vaccine 4-in-1 (2 ml a head)";
    assert!(said.iter().any(|s| s == wanted), "{said:?}");
    // With two of the kind nobody can tell which is meant.
    flock.set_products(vec![vaccine, product("Tetanus and pulpy kidney", DoseRule::PerHead(1_000))]);
    let all = sheet(&flock, &Board::new(&flock, on), on);
    let said: Vec<String> = all.pens.iter().flat_map(|p| &p.rounds).map(|r| r.words(&flock)).collect();
    assert!(said.iter().any(|s| s == "Clostridial, first: 2 lambs"), "{said:?}");
}

#[test]
fn a_total_by_weight_counts_who_is_not_weighed() {
    let rule = DoseRule::PerKg(100);
    let doses = [Dose::from_ml(1.5), None, Dose::from_ml(2.25)];
    assert_eq!(total(rule, doses.into_iter()), (Dose::from_ml(3.75), 1));
    assert_eq!(total(DoseRule::Typed, [None, None].into_iter()), (None, 0));
}

#[test]
fn age_in_words() {
    let mut a = animal("1", "", Sex::Ewe).animal;
    a.born = Born::On(day("2026-03-12"));
    for (on, words) in [
        ("2026-03-12", "ewe lamb, newborn"),
        ("2026-03-13", "ewe lamb, 1 day"),
        ("2026-03-26", "ewe lamb, 2 weeks"),
        ("2026-07-12", "ewe lamb, 4 months"),
        ("2029-03-13", "ewe, 3 years"),
    ] {
        assert_eq!(kind_and_age(&a, day(on)), words);
    }
    a.born = Born::Unknown;
    assert_eq!(kind_and_age(&a, day("2026-03-12")), "ewe");
}
