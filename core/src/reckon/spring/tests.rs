use super::*;
use crate::terms::Eaters;

fn line(eaters: Eaters, each_kg: f64) -> Line {
    Line { eaters, pen: None, from: 0, each_kg }
}

fn known(group: Eaters) -> Head {
    Head { pen: 0, until: None, life: Life::Known(vec![(0, group)]) }
}

fn ewe(usual: f64, litter: [f64; 3]) -> Head {
    let c = Carrying {
        joined_until: 0,
        late_from: usual as i64 - 42,
        usual,
        off: 0.0,
        open_days: 0.0,
        holds: 1.0,
        litter,
    };
    Head { pen: 0, until: None, life: Life::Carrying(c) }
}

/// No chance in it anywhere.
fn sure(heads: Vec<Head>, lines: Vec<Line>, stock_kg: f64, days: usize, grass: usize) -> Model {
    let raising =
        Raising { creep_from: 10, wean: 60, lost: 0.0, lost_first_week: 0.75, cycle: 17.0, settle: 0.7 };
    Model {
        days,
        stock_kg,
        bought_kg: 0.0,
        stock_off: 0.0,
        lines,
        ration: 1.0,
        given_off: 0.0,
        spoiled: (0.0, 0.0),
        grass,
        grass_share: 0.0,
        heads,
        raising,
    }
}

fn look(m: &Model) -> Outlook {
    outlook(m, 40, 7, &mut |_, _| true).unwrap()
}

/// A winter by hand. Ten ewes in lamb due on day 50 with two lambs each, two rams; hay: in lamb 1.5 kg, in the last six
/// weeks (from day 8) 1.8, nursing two 2.5, rams 2.0. Two more ewes bear one lamb on day 55, nursing one 2.2.
///
/// Days 1-7:   12 ewes in lamb but the two of day 55 turn late on day 13.
///             12 × 1.5 + 2 × 2.0 = 22.0 a day
/// Days 8-12:  10 × 1.8 + 2 × 1.5 + 4.0 = 25.0
/// Days 13-49: 12 × 1.8 + 4.0 = 25.6
/// Days 50-54: 10 × 2.5 + 2 × 1.8 + 4.0 = 32.6
/// Days 55-99: 10 × 2.5 + 2 × 2.2 + 4.0 = 33.4
/// Total to day 54: 7 × 22 + 5 × 25 + 37 × 25.6 + 5 × 32.6 = 154 + 125 + 947.2 + 163 = 1389.2
/// With 2,000 kg: 610.8 left on day 54, 610.8 / 33.4 = 18.287: fed in full up to day 72, 9.6 kg left then.
/// Grass on day 80: days 55-79 take 25 × 33.4 = 835, so 224.2 kg are missing.
#[test]
fn a_winter_worked_by_hand() {
    let mut heads: Vec<Head> = (0..10).map(|_| ewe(50.0, [0.0, 1.0, 0.0])).collect();
    heads.extend((0..2).map(|_| ewe(55.0, [1.0, 0.0, 0.0])));
    heads.extend((0..2).map(|_| known(Eaters::Rams)));
    let lines = vec![
        line(Eaters::EarlyEwes, 1.5),
        line(Eaters::LateEwes, 1.8),
        line(Eaters::NursingOne, 2.2),
        line(Eaters::NursingTwo, 2.5),
        line(Eaters::Rams, 2.0),
    ];
    let mut m = sure(heads, lines, 2000.0, 100, 80);
    let o = look(&m);
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    for (day, need) in [(1, 22.0), (7, 22.0), (8, 25.0), (13, 25.6), (49, 25.6), (50, 32.6), (55, 33.4)] {
        assert!(o.days[day].need.iter().all(|n| near(*n, need)), "day {day}: {:?}", o.days[day].need);
    }
    assert!(near(o.days[54].left[1], 610.8) && near(o.days[72].left[1], 9.6), "{:?}", o.days[72]);
    assert_eq!(o.lasts, [Some(72); 3]);
    assert!(o.at_grass.iter().all(|k| near(*k, -224.2)), "{:?}", o.at_grass);
    assert!(near(o.to_buy, 224.2) && o.enough_percent == 0.0);
    // Weaned at 60 days, on day 110, is beyond; from grass on nothing is eaten.
    assert!(near(o.days[85].need[1], 0.0));
    // With what is missing bought there is enough, to the kilogram.
    m.bought_kg = 224.2;
    let o = look(&m);
    assert_eq!((o.lasts, o.enough_percent), ([None; 3], 100.0));
    assert!(near(o.at_grass[1], 0.0) && near(o.to_buy, 0.0));
    // Spoiled: five in a hundred beside what is fed.
    m.spoiled = (0.05, 0.0);
    assert!(near(look(&m).days[1].need[1], 23.1));
    // Nine tenths of the ration.
    (m.spoiled, m.ration) = ((0.0, 0.0), 0.9);
    assert!(near(look(&m).days[1].need[1], 19.8));
}

/// Lambs: milk to the tenth day, creep to weaning, then weaned; the ewe is dry again.
#[test]
fn lambs_go_through_their_groups() {
    let m = sure(vec![ewe(5.0, [0.0, 0.0, 1.0])], Vec::new(), 1.0, 90, 90);
    let o = look(&m);
    let heads = |day: usize, group: Eaters| o.days[day].heads[group as usize];
    for (day, group, n) in [
        (4, Eaters::LateEwes, 1.0),
        (5, Eaters::NursingThree, 1.0),
        (5, Eaters::MilkLambs, 3.0),
        (14, Eaters::MilkLambs, 3.0),
        (15, Eaters::CreepLambs, 3.0),
        (64, Eaters::CreepLambs, 3.0),
        (65, Eaters::WeanedLambs, 3.0),
        (65, Eaters::DryEwes, 1.0),
        (65, Eaters::NursingThree, 0.0),
    ] {
        assert_eq!(heads(day, group), n, "day {day}, {}", group.words());
    }
    // Sold on day 20 she takes her lambs with her.
    let mut m = m;
    m.heads[0].until = Some(20);
    assert!(look(&m).days[20].heads.iter().all(|h| *h == 0.0));
}

/// Lines change on their days; a pen's own goes before the group's, and a line of nothing is one.
#[test]
fn planned_lines_and_pens_hold_from_their_day() {
    let mut heads = vec![known(Eaters::DryEwes), known(Eaters::DryEwes)];
    heads[1].pen = 1;
    let mut lines = vec![line(Eaters::DryEwes, 1.0)];
    lines.push(Line { from: 5, ..line(Eaters::DryEwes, 2.0) });
    lines.push(Line { pen: Some(1), from: 3, ..line(Eaters::DryEwes, 4.0) });
    lines.push(Line { pen: Some(1), from: 7, ..line(Eaters::DryEwes, 0.0) });
    let m = sure(heads, lines, 100.0, 10, 9);
    let o = look(&m);
    let needs: Vec<f64> = o.days.iter().map(|d| d.need[1]).collect();
    assert_eq!(needs, [0.0, 2.0, 2.0, 5.0, 5.0, 6.0, 6.0, 2.0, 2.0, 0.0, 0.0]);
}

/// The day of service is known only by the time with the ram: the band of lambing is as wide as that.
fn uncertain() -> Model {
    let lines = vec![
        line(Eaters::EarlyEwes, 1.4),
        line(Eaters::LateEwes, 1.7),
        line(Eaters::NursingOne, 2.2),
        line(Eaters::NursingTwo, 2.6),
        line(Eaters::NursingThree, 2.8),
        line(Eaters::DryEwes, 1.2),
        line(Eaters::CreepLambs, 0.2),
    ];
    let mut heads: Vec<Head> = (0..24)
        .map(|i| {
            let c = Carrying {
                joined_until: 5,
                late_from: 18,
                usual: 60.0,
                off: 2.0,
                open_days: if i % 3 == 0 { 0.0 } else { 40.0 },
                holds: 0.94,
                litter: [0.35, 0.55, 0.1],
            };
            Head { pen: 0, until: None, life: Life::Carrying(c) }
        })
        .collect();
    heads.extend((0..6).map(|_| known(Eaters::DryEwes)));
    let mut m = sure(heads, lines, 6000.0, 190, 150);
    m.raising.lost = 0.17;
    (m.stock_off, m.given_off, m.spoiled) = (0.04, 0.05, (0.05, 0.02));
    m
}

#[test]
fn the_same_seed_is_the_same_answer_and_a_stop_is_none() {
    let m = uncertain();
    let of = |seed| outlook(&m, 60, seed, &mut |_, _| true).unwrap();
    assert_eq!(of(3), of(3));
    assert_ne!(of(3), of(4));
    assert_eq!(outlook(&m, 60, 3, &mut |done, _| done < 10), None);
}

#[test]
fn more_in_store_never_ends_earlier() {
    let mut m = uncertain();
    let mut before: Option<Outlook> = None;
    for kg in (0..16).map(|i| f64::from(i) * 700.0) {
        m.stock_kg = kg;
        let o = outlook(&m, 80, 11, &mut |_, _| true).unwrap();
        if let Some(b) = &before {
            for (old, new) in b.lasts.iter().zip(o.lasts) {
                assert!(new.is_none() || old.is_some_and(|old| new >= Some(old)), "{kg} kg: {old:?} {new:?}");
            }
            assert!(o.to_buy <= b.to_buy + 1e-9 && o.enough_percent >= b.enough_percent);
        }
        before = Some(o);
    }
    assert_eq!(before.unwrap().lasts, [None; 3]);
}

/// A winter told by another way: each animal walked day by day, chance from another row of numbers.
fn walked(m: &Model, seed: u64) -> f64 {
    let mut by = chance::Seed::new(seed ^ 0x5DEE_CE66_D1CE_4E5B, 0, 0);
    let mut eaten = 0.0;
    let kg = |group: Eaters| m.lines.iter().find(|l| l.eaters == group).map_or(0.0, |l| l.each_kg);
    let stock = m.stock_kg * (1.0 + m.stock_off * by.normal());
    let more = (1.0 + m.given_off * by.normal()) * (1.0 + m.spoiled.0 + m.spoiled.1 * by.normal());
    for head in &m.heads {
        let Life::Carrying(c) = &head.life else {
            eaten += (1..m.grass).map(|_| kg(Eaters::DryEwes)).sum::<f64>();
            continue;
        };
        let in_lamb = by.share() < c.holds;
        let mut service = by.share() * c.open_days.min(17.0);
        while c.open_days > 0.0 && service + 17.0 <= c.open_days && by.share() > m.raising.settle {
            service += 17.0;
        }
        let lambing = c.usual + service + c.off * by.normal();
        let litter = by.among(&c.litter) + 1;
        let deaths: Vec<f64> = (0..litter)
            .map(|_| match (by.share() < m.raising.lost, by.share() < 0.75) {
                (false, _) => f64::INFINITY,
                (true, true) => lambing + 7.0 * by.share().powi(2),
                (true, false) => lambing + 7.0 + by.share() * 53.0,
            })
            .collect();
        for day in 1..m.grass {
            let d = day as f64;
            let fed = if !in_lamb && d > c.usual + c.open_days + 2.0 * c.off {
                Eaters::DryEwes
            } else if d < lambing.round() || !in_lamb {
                match d {
                    d if d < 5.0 => Eaters::JoinedEwes,
                    d if d < 18.0 => Eaters::EarlyEwes,
                    _ => Eaters::LateEwes,
                }
            } else {
                let alive = deaths.iter().filter(|x| **x > d).count();
                if d - lambing >= 10.0 && d - lambing < 60.0 {
                    eaten += alive as f64 * kg(Eaters::CreepLambs);
                }
                match (alive, d - lambing < 60.0) {
                    (0, _) | (_, false) => Eaters::DryEwes,
                    (1, _) => Eaters::NursingOne,
                    (2, _) => Eaters::NursingTwo,
                    _ => Eaters::NursingThree,
                }
            };
            eaten += kg(fed);
        }
    }
    stock - eaten * more
}

/// Of winters walked day by day, eight of ten lie in the band. 150 winters: the binomial standard error is 3.3 percent
/// points; three of them either way are allowed.
#[test]
fn bands_hold_eight_winters_of_ten() {
    let m = uncertain();
    let o = outlook(&m, 400, 5, &mut |_, _| true).unwrap();
    let all: Vec<f64> = (0..150).map(|seed| walked(&m, seed)).collect();
    let inside = all.iter().filter(|k| (o.at_grass[0]..=o.at_grass[2]).contains(*k)).count();
    assert!((105..=135).contains(&inside), "{inside} of 150 in {:?}", o.at_grass);
    let below = all.iter().filter(|k| **k < o.at_grass[1]).count();
    assert!((56..=94).contains(&below), "{below} of 150 below the middle");
}

#[test]
fn shares_lie_on_a_line_between_figures() {
    assert_eq!(at_share(&[1.0, 2.0, 3.0, 4.0, 5.0], 0.5), 3.0);
    assert_eq!(at_share(&[0.0, 10.0], 0.9), 9.0);
    assert_eq!(at_share(&[4.0], 0.1), 4.0);
    assert_eq!(band(vec![10.0, 0.0, 5.0, 2.5, 7.5]), [1.0, 5.0, 9.0]);
}
