use super::*;
use crate::flock::{AnimalFile, Weighing};
use crate::papers::fixture::{animal, day};
use crate::terms::{Born, Day, Eaters, FeedId, Moment, Sex, WeighingId, Weight};

fn row(who: Who, kg: f64, cents: f64, gained: Gained) -> Row {
    Row {
        who,
        feed: Some(FeedId::new()),
        kg,
        dry_kg: Some(kg * 0.88),
        cents,
        unpriced_kg: 0.0,
        head_days: 300,
        days: 30,
        gained,
    }
}

fn lambs() -> Who {
    Who::Group(Some(Eaters::WeanedLambs))
}

/// Feed cost per kg gain = feed kg × price / gain (husbandry 9): 315 kg at 0.32 over 90 kg: 100.80 / 90 = 1.12; 315 / 90 =
/// 3.5 kg as fed, 0.88 of it dry 3.08; ten lambs of 30 days: 10.08 a head.
#[test]
fn feed_cost_for_each_kg_gained() {
    let gained = Gained { kg: 90.0, lambs: 10, of: 10, weighed_days: 300, lamb_days: 300 };
    let r = row(lambs(), 315.0, 315.0 * 32.0, gained);
    let near = |a: Option<f64>, b: f64| a.is_some_and(|a| (a - b).abs() < 1e-9);
    assert!(near(r.per_kg_gain(), 112.0) && near(r.conversion(), 3.5) && near(r.conversion_dry(), 3.08));
    assert!(near(r.per_head(), 1008.0) && near(r.heads(), 10.0) && near(r.kg_a_day(), 1.05));
    // Half of the days lie between weights: the other half gained as much a day.
    let half = Gained { kg: 45.0, weighed_days: 150, ..gained };
    assert!(near(row(lambs(), 315.0, 10_080.0, half).conversion(), 3.5) && half.is_firm());
    // Ewes eat with the whole flock: feed by gain tells nothing there.
    assert_eq!(row(Who::Flock, 315.0, 10_080.0, gained).conversion(), None);
}

#[test]
fn without_a_base_there_is_no_figure() {
    let r = row(lambs(), 315.0, 10_080.0, Gained::default());
    assert_eq!((r.per_kg_gain(), r.conversion()), (None, None));
    let lost = Gained { kg: -2.0, lambs: 1, of: 1, weighed_days: 10, lamb_days: 10 };
    assert_eq!(row(lambs(), 315.0, 10_080.0, lost).per_kg_gain(), None);
    let mut r = r;
    (r.head_days, r.unpriced_kg) = (0, 0.0);
    assert_eq!((r.per_head(), r.kg_a_day()), (None, None));
    r.unpriced_kg = 1.0;
    assert_eq!(r.cost(), None);
    let none = feed_costs(&crate::flock::Flock::default(), day("2026-03-01"), day("2026-03-31"));
    assert_eq!((none.per_ewe(), none.per_lamb(), none.all()), (None, None, None));
}

fn weighed(weights: &[(&str, i64)]) -> AnimalFile {
    let mut f = animal("1", "", Sex::Ewe);
    f.animal.born = Born::On(day("2026-03-01"));
    for (on, grams) in weights {
        f.weighings.push(Weighing {
            id: WeighingId::new(),
            animal: f.animal.id,
            at: Moment::day(day(on)),
            weight: Weight::from_grams(*grams).unwrap(),
            session: None,
            note: None,
            struck: None,
        });
    }
    f
}

/// 10 kg on 1 April, 22 kg on 1 May: 0.4 kg a day. From 11 April to 10 May: 20 of 30 days lie between weights, 8 kg; all
/// 30 days 12 kg.
#[test]
fn gain_of_the_days_between_weights() {
    let f = weighed(&[("2026-04-01", 10_000), ("2026-05-01", 22_000)]);
    let of = |from: &str, to: &str| Gained::of(&f, day(from), Day::plus(day(to), 1));
    let g = of("2026-04-11", "2026-05-10");
    assert_eq!((g.weighed_days, g.lamb_days, g.lambs), (20, 30, 1));
    assert!((g.kg - 8.0).abs() < 1e-9 && (g.all_kg().unwrap() - 12.0).abs() < 1e-9);
    assert_eq!(of("2026-05-02", "2026-05-10").all_kg(), None);
    assert_eq!(Gained::of(&weighed(&[]), day("2026-04-01"), day("2026-04-02")).all_kg(), None);
}
