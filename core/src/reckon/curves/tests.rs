use super::*;
use crate::flock::{AnimalFile, Flock, Weighing};
use crate::papers::fixture::{animal, day};
use crate::reckon::growth::{Odd, odd};
use crate::terms::*;
use proptest::prelude::*;

/// A seeded stand-in for chance: normal deviates, always the same.
struct Chance(u64);

impl Chance {
    fn one(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (-2.0 * self.one().ln()).sqrt() * (std::f64::consts::TAU * self.one()).cos()
    }
}

/// Gompertz with A 62, birth 4.2, k .0135: about 23 kg at 60 days.
fn gompertz(age: f64) -> f64 {
    62.0 * (-(62.0_f64 / 4.2).ln() * (-0.0135 * age).exp()).exp()
}

fn weight(kg: f64) -> Weight {
    Weight::from_grams((kg * 1000.0).round() as i64).unwrap()
}

fn weigh(f: &mut AnimalFile, on: Day, kg: f64) {
    let (id, at) = (WeighingId::new(), Moment::day(on));
    f.weighings.push(Weighing {
        id,
        animal: f.animal.id,
        at,
        weight: weight(kg),
        session: None,
        note: None,
        struck: None,
    });
}

const BORN: &str = "2026-03-01";

/// A lamb of a sort with weights at these ages, `factor` of what is usual.
fn lamb(tag: &str, sex: Sex, born: u32, ages: &[i64], factor: f64, chance: &mut Chance) -> AnimalFile {
    let mut f = animal(tag, "", sex);
    f.animal.born = Born::On(day(BORN));
    f.animal.birth_type = BirthType::new(born);
    f.animal.rear_type = RearType::new(born);
    f.animal.birth_weight = Some(weight(gompertz(0.0) * factor));
    for age in ages {
        let kg = gompertz(*age as f64) * factor * (1.0 + 0.02 * chance.normal());
        weigh(&mut f, day(BORN).plus(*age), kg);
    }
    f
}

/// Twin ewe lambs, one in ten of the usual spread between them.
fn crop(n: usize, ages: &[i64]) -> (Flock, Chance) {
    let (mut flock, mut chance) = (Flock::default(), Chance(7));
    for i in 0..n {
        let factor = 1.0 + 0.1 * chance.normal();
        // Born on different days, they are weighed at different ages.
        let (last, first) = ages.split_last().unwrap();
        let ages: Vec<i64> = first.iter().map(|a| a + (i % 4) as i64).chain([*last]).collect();
        flock.put(lamb(&format!("{:04}", 3000 + i), Sex::Ewe, 2, &ages, factor, &mut chance));
    }
    (flock, chance)
}

#[test]
fn what_cannot_be_drawn_says_why() {
    let told = |points: &[(f64, f64)]| {
        draw(points, &MODELS, Spread::WithWeight).map(|c| c.model).map_err(|e| e.to_string())
    };
    let needs = |start: &str| Err(format!("{start}: a curve needs 4"));
    assert_eq!(told(&[]), needs("no weight is written down"));
    assert_eq!(told(&[(0.0, 4.0)]), needs("only weighed on one day"));
    assert_eq!(told(&[(9.0, 4.0), (9.0, 5.0), (9.0, 4.5), (9.0, 4.6)]), needs("only weighed on one day"));
    assert_eq!(told(&[(0.0, 4.0), (30.0, 12.0), (60.0, 20.0)]), needs("only weighed on 3 days"));
    let close = [(0.0, 4.0), (3.0, 4.8), (6.0, 5.7), (9.0, 6.5)];
    assert_eq!(told(&close), Err("all its weights lie within 9 days: a curve needs 28 days or more".into()));
    let falling = [(0.0, 40.0), (30.0, 35.0), (60.0, 31.0), (90.0, 30.0), (120.0, 28.0)];
    assert_eq!(told(&falling), Err("the weights do not rise with age: no growth curve fits them".into()));
    let bad = Err("a weight or an age is not a figure above nothing: strike out what is wrong".to_string());
    for wrong in [0.0, -3.0, f64::NAN, f64::INFINITY] {
        assert_eq!(told(&[(0.0, 4.0), (30.0, wrong), (60.0, 20.0), (90.0, 25.0)]), bad);
        if !wrong.is_finite() {
            assert_eq!(told(&[(0.0, 4.0), (wrong, 9.0), (60.0, 20.0), (90.0, 25.0)]), bad);
        }
    }
    let flat = [(0.0, 20.0), (30.0, 20.0), (60.0, 20.0), (90.0, 20.0)];
    assert!(told(&flat).is_err(), "nothing grew");
    let mut unknown = animal("1", "", Sex::Ewe);
    unknown.animal.born = Born::Unknown;
    assert_eq!(of_animal(&unknown), Err(NoCurve::NoBirthday));
}

#[test]
fn a_straight_line_is_drawn_and_has_no_end() {
    let points: Vec<(f64, f64)> = (0..8).map(|i| (f64::from(i) * 10.0, 4.0 + 3.0 * f64::from(i))).collect();
    let curve = draw(&points, &[Model::Brody], Spread::WithWeight).unwrap();
    assert!((curve.expected(35.0) - 14.5).abs() < 0.01 && (curve.gain(35.0) - 0.3).abs() < 0.001);
    assert!(curve.mature().is_err(), "{:?}", curve.mature());
    let reach = curve.reach(19.0).unwrap();
    assert!((reach.age - 50.0).abs() < 0.1 && reach.early <= reach.age, "{reach:?}");
    assert_eq!(curve.reach(3.0), Err(NotTold::Before));
    // It covers 70 days and is read 35 farther: to 35.5 kg.
    assert_eq!(curve.reach(36.0), Err(NotTold::TooFar { days: 35 }));
    assert!((curve.reach(34.0).unwrap().age - 100.0).abs() < 0.5);
}

#[test]
fn a_curve_tells_weight_day_gain_and_mature_weight() {
    let points: Vec<(f64, f64)> = [0, 20, 45, 70, 100, 140, 200, 280, 400]
        .map(|a| (f64::from(a), gompertz(f64::from(a)) * if a % 40 == 0 { 1.01 } else { 0.99 }))
        .into();
    let curve = draw(&points, &MODELS, Spread::WithWeight).unwrap();
    assert_eq!(curve.model, Model::Gompertz);
    assert!((curve.expected(60.0) / gompertz(60.0) - 1.0).abs() < 0.02);
    let step = (gompertz(60.5) - gompertz(59.5)) / curve.gain(60.0);
    assert!((step - 1.0).abs() < 0.05, "{step}");
    let reach = curve.reach(40.0).unwrap();
    assert!((curve.expected(reach.age) - 40.0).abs() < 1e-6);
    assert!(reach.early < reach.age && reach.late.unwrap() > reach.age, "{reach:?}");
    assert!(
        (curve.band(reach.early).1 - 40.0).abs() < 1e-6
            && (curve.band(reach.late.unwrap()).0 - 40.0).abs() < 1e-6
    );
    let mature = curve.mature().unwrap();
    assert!((mature.weight / 62.0 - 1.0).abs() < 0.03 && mature.error < 2.0, "{mature:?}");
    assert!((curve.percentile(curve.expected(60.0), 60.0) - 50.0).abs() < 1e-4);
    // Φ(−1.959964) = .025, Φ(1.644854) = .95.
    assert!((curve::below(-1.959_964) - 0.025).abs() < 1e-6 && (curve::below(1.644_854) - 0.95).abs() < 1e-6);
}

#[test]
fn a_flock_curve_is_not_spoilt_by_wrong_weights_and_its_band_holds_nine_of_ten() {
    let mut chance = Chance(11);
    let mut points: Vec<(f64, f64)> = (0..400)
        .map(|_| {
            let age = (chance.one() * 120.0).floor();
            (age, gompertz(age) * (1.0 + 0.12 * chance.normal()))
        })
        .collect();
    let clean = points.clone();
    // A point lost, a point gained, another animal.
    for (i, wrong) in [(20, 0.1), (77, 10.0), (140, 0.3), (300, 3.0)] {
        points[i].1 *= wrong;
    }
    let curve = draw(&points, &MODELS, Spread::Robust).unwrap();
    assert!(curve.left_out >= 3 && curve.left_out <= 6, "{}", curve.left_out);
    for age in [0.0, 30.0, 60.0, 110.0] {
        let off = curve.expected(age) / gompertz(age) - 1.0;
        assert!(off.abs() < 0.04, "{age}: {off}");
        let spread = curve.spread_at(age) / gompertz(age);
        assert!((0.09..0.15).contains(&spread), "{age}: {spread}");
    }
    let inside = clean.iter().filter(|(a, w)| {
        let (low, high) = curve.band(*a);
        (low..=high).contains(w)
    });
    let share = inside.count() as f64 / clean.len() as f64;
    assert!((0.86..0.94).contains(&share), "{share}");
}

#[test]
fn the_flocks_own_band_names_who_falls_behind() {
    let today = day(BORN).plus(41);
    let (mut flock, mut chance) = crop(20, &[20, 41]);
    let mut poor = lamb("0999", Sex::Ewe, 2, &[20], 1.0, &mut chance);
    weigh(&mut poor, today, 8.2);
    let id = poor.animal.id;
    flock.put(poor);
    // A ram lamb alone of its sort is held beside all lambs; it does well.
    flock.put(lamb("0998", Sex::Ram, 1, &[20, 41], 1.1, &mut chance));
    let behind = falling_behind(&flock, today.plus(1));
    assert_eq!(behind[0].animal, id, "{behind:?}");
    assert!(behind.len() <= 3, "one in twenty lies below: {behind:?}");
    assert!(
        behind[0].why.starts_with("8.2 kg at 41 days; twin ewe lambs of this flock are 1"),
        "{}",
        behind[0].why
    );
    assert!(behind[0].why.ends_with(" kg then"));
    assert!(
        matches!(&behind[0].beside, Beside::Flock { animals: 21, weights: 63, .. }),
        "{:?}",
        behind[0].beside
    );
    // Two weeks after the weighing it is no news.
    assert!(falling_behind(&flock, today.plus(15)).is_empty());
    let watched = crate::reckon::watch::watched(&flock, today.plus(1));
    assert!(
        watched.iter().any(|w| w.animal == id && w.why.iter().any(|y| *y == behind[0].why)),
        "in Tonight"
    );
    // In pounds it is said in pounds.
    let mut holding = flock.holding().clone();
    holding.units = Units::Imperial;
    flock.set_holding(holding);
    let why = &falling_behind(&flock, today)[0].why;
    assert!(why.starts_with("18 lb 1 oz at 41 days; ") && why.contains(" oz to "), "{why}");
}

#[test]
fn few_weights_go_by_the_handbook_and_say_so() {
    let today = day(BORN).plus(30);
    let mut chance = Chance(3);
    let mut flock = Flock::default();
    let mut f = lamb("0001", Sex::Ewe, 2, &[], 1.0, &mut chance);
    weigh(&mut f, today, 8.7);
    flock.put(f);
    let behind = falling_behind(&flock, today);
    assert_eq!(
        behind[0].why,
        "8.7 kg at 30 days, 150 g a day since birth; the handbook's least for a twin is 200 g a day, as this flock has \
         too few weights of its own"
    );
    let file = flock.files().next().unwrap();
    let why = bands(&flock).like(&flock, file, 30).unwrap_err().to_string();
    assert_eq!(
        why,
        "this flock has 2 weights of 1 lamb for that: its own band needs 30 of 10 lambs, 10 of them near that age"
    );
    // A flock of a small breed is not judged by it.
    for tag in ["0002", "0003"] {
        let mut f = lamb(tag, Sex::Ewe, 2, &[], 1.0, &mut chance);
        weigh(&mut f, today, 8.5);
        flock.put(f);
    }
    assert_eq!(falling_behind(&flock, today), []);
    // Weights of nobody, and of the dead.
    assert_eq!(falling_behind(&Flock::default(), today), []);
}

#[test]
fn one_weighing_draws_one_curve_anew() {
    let (mut flock, mut chance) = crop(12, &[20, 41, 60]);
    for i in 0..12 {
        flock.put(lamb(&format!("r{i}"), Sex::Ram, 1, &[20, 41, 60], 1.1, &mut chance));
    }
    let sort = |sex, n| Sort { sex: Some(sex), male: false, born: Some(n), reared: Some(n) };
    let of = |flock: &Flock, sort| bands(flock).of_sort(sort).expect("a curve").curve;
    let (ewes, rams) = (of(&flock, sort(Sex::Ewe, 2)), of(&flock, sort(Sex::Ram, 1)));
    let mut f = flock.files().find(|f| f.animal.sex == Sex::Ewe).unwrap().clone();
    weigh(&mut f, day(BORN).plus(75), 29.0);
    flock.put(f);
    assert!(std::sync::Arc::ptr_eq(&rams, &of(&flock, sort(Sex::Ram, 1))), "taken over");
    assert!(!std::sync::Arc::ptr_eq(&ewes, &of(&flock, sort(Sex::Ewe, 2))), "drawn anew");
}

#[test]
fn a_weight_off_its_own_curve_is_questioned() {
    let mut chance = Chance(5);
    let f = lamb("0412", Sex::Ewe, 2, &[14, 28, 42, 70, 84, 98], 1.0, &mut chance);
    // No more than lambs gain, and yet far too heavy for it.
    let on = day(BORN).plus(56);
    let told = odd(&f, on, weight(gompertz(56.0) * 1.22));
    let Some(Odd::OffCurve { expected, low, high, weights: 7 }) = told else { panic!("{told:?}") };
    assert!((expected.kg() / gompertz(56.0) - 1.0).abs() < 0.08 && low < expected && expected < high);
    assert_eq!(odd(&f, on, weight(gompertz(56.0) * 1.04)), None);
    // Three weights carry no curve, and a year ahead nothing is known.
    let f = lamb("0413", Sex::Ewe, 2, &[28, 56], 1.0, &mut chance);
    assert_eq!(odd(&f, day(BORN).plus(70), weight(gompertz(70.0) * 1.08)), None);
    let f = lamb("0414", Sex::Ewe, 2, &[14, 28, 42, 56], 1.0, &mut chance);
    assert_eq!(odd(&f, day(BORN).plus(400), weight(75.0)), None);
}

#[test]
fn a_misread_tag_is_found_by_its_impossible_gain() {
    let mut chance = Chance(9);
    let mut flock = Flock::default();
    let mut ids = Vec::new();
    for (tag, factor) in [("0412", 0.8), ("0421", 1.2), ("0457", 1.0), ("0458", 1.5)] {
        let f = lamb(tag, Sex::Ewe, 2, &[14, 28, 42, 56], factor, &mut chance);
        ids.push(f.animal.id);
        flock.put(f);
    }
    let on = day(BORN).plus(63);
    let row = |n: usize, factor: f64| Row { animal: ids[n], on, weight: weight(gompertz(63.0) * factor) };
    // 0421 was read as 0412.
    let found = misread_tags(&flock, &[row(0, 1.2), row(2, 1.0), row(3, 1.5)]);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].row, found[0].meant, found[0].swapped), (0, ids[1], None));
    let why = &found[0].why;
    assert!(
        why.starts_with("0412 at 23.")
            && why
                .contains("It fits 0421, whose tag has two figures the other way round: was that one meant?"),
        "{why}"
    );
    // 0457 and 0458 were taken for each other; said once.
    let found = misread_tags(&flock, &[row(0, 0.8), row(1, 1.2), row(2, 1.5), row(3, 1.0)]);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].read, found[0].meant, found[0].swapped), (ids[2], ids[3], Some(3)));
    assert!(found[0].why.ends_with("were the two taken for each other?"), "{}", found[0].why);
    // All right: nothing is said; nobody alike: nothing either.
    assert_eq!(misread_tags(&flock, &[row(0, 0.8), row(1, 1.2), row(2, 1.0), row(3, 1.5)]), []);
    assert_eq!(misread_tags(&flock, &[row(3, 0.5)]), []);
    // Rows that are written already are judged by what stood before them.
    let mut f = flock.file(ids[0]).unwrap().clone();
    weigh(&mut f, on, gompertz(63.0) * 1.2);
    flock.put(f);
    assert_eq!(misread_tags(&flock, &[row(0, 1.2), row(2, 1.0), row(3, 1.5)]).len(), 1);
}

#[test]
fn sorts_are_named_as_people_say_them() {
    let sort = |sex, born, reared| Sort { sex: Some(sex), male: false, born, reared };
    for (sort, words) in [
        (sort(Sex::Ewe, Some(2), Some(2)), "twin ewe lambs"),
        (sort(Sex::Ram, Some(1), Some(1)), "single ram lambs"),
        (sort(Sex::Ram, Some(2), Some(1)), "ram lambs born as twins, reared as singles"),
        (sort(Sex::Wether, Some(3), Some(0)), "wether lambs born as triplets or more, reared on the bottle"),
        (sort(Sex::Ewe, None, None), "ewe lambs"),
        (sort(Sex::Ram, Some(2), Some(2)).wider()[2], "ram and wether lambs"),
        (Sort::default(), "lambs"),
    ] {
        assert_eq!(sort.words(), words);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Points with a little noise give their curve back, and nothing whatever breaks the fit.
    #[test]
    fn noise_gives_the_curve_back(
        a in 45.0_f64..90.0, birth in 2.5_f64..6.0, k in 0.008_f64..0.02, seed in any::<u64>(), brody in any::<bool>(),
    ) {
        let mut chance = Chance(seed);
        let b = if brody { 1.0 - birth / a } else { (a / birth).ln() };
        let truth = |age: f64| {
            let e = b * (-k * age).exp();
            if brody { a * (1.0 - e) } else { a * (-e).exp() }
        };
        let points: Vec<(f64, f64)> = (0..40)
            .map(|i| (f64::from(i) * 12.0, truth(f64::from(i) * 12.0) * (1.0 + 0.02 * chance.normal())))
            .collect();
        let model = if brody { Model::Brody } else { Model::Gompertz };
        let curve = draw(&points, &[model], Spread::WithWeight).unwrap();
        let f = curve.figures();
        let errors = f.errors.unwrap();
        for (told, truth, error) in [(f.a, a, errors[0]), (f.b, b, errors[1]), (f.k, k, errors[2])] {
            prop_assert!((told - truth).abs() < 5.0 * error, "{told} {truth} {error}");
        }
        prop_assert!(errors[0] < 0.03 * a);
    }

    #[test]
    fn no_weights_break_the_fit(
        points in proptest::collection::vec((0_i64..900, 500_i64..120_000), 0..12),
    ) {
        let points: Vec<(f64, f64)> = points.iter().map(|(a, g)| (*a as f64, *g as f64 / 1000.0)).collect();
        for spread in [Spread::Even, Spread::WithWeight, Spread::Robust] {
            if let Ok(curve) = draw(&points, &MODELS, spread) {
                for age in [curve.first, curve.last(), curve.read_to()] {
                    let (low, high) = curve.band(age);
                    prop_assert!(curve.expected(age).is_finite() && low >= 0.0 && !high.is_nan());
                    prop_assert!((0.0..=100.0).contains(&curve.percentile(20.0, age)));
                }
                let _ = (curve.mature(), curve.reach(20.0), curve.figures());
            }
        }
    }
}

/// How long the flock's curves take with 100,000 animals; run by hand: it prints seconds.
#[test]
#[ignore = "a measurement"]
fn time_at_100_000_animals() {
    let mut chance = Chance(1);
    let mut flock = Flock::default();
    for i in 0..100_000_i64 {
        let sex = if i % 2 == 0 { Sex::Ewe } else { Sex::Ram };
        let mut f = lamb(
            &format!("{i}"),
            sex,
            1 + (i % 3) as u32,
            &[20 + i % 7, 41, 60, 90 + i % 5, 130],
            1.0,
            &mut chance,
        );
        let back = (i % 10) * 365;
        f.animal.born = Born::On(day(BORN).plus(-back));
        for w in &mut f.weighings {
            w.at.day = w.at.day.plus(-back);
        }
        flock.put(f);
    }
    let at = std::time::Instant::now();
    let all = bands(&flock);
    println!("gathered {:?}", at.elapsed());
    let at = std::time::Instant::now();
    let n = all.sorts().filter(|(s, ..)| all.of_sort(*s).is_some()).count();
    println!("{n} curves {:?}", at.elapsed());
    let at = std::time::Instant::now();
    let behind = falling_behind(&flock, day(BORN).plus(131));
    println!("{} behind {:?}", behind.len(), at.elapsed());
    let mut f = flock.files().next().unwrap().clone();
    weigh(&mut f, day(BORN).plus(131), 30.0);
    flock.put(f);
    let at = std::time::Instant::now();
    let behind = falling_behind(&flock, day(BORN).plus(131));
    println!("{} behind after one weighing {:?}", behind.len(), at.elapsed());
}
