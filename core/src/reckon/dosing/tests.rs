use super::*;
use crate::handbook::dosing as book;
use crate::terms::{Day, DoseRule, Units};
use proptest::prelude::*;

fn ml(ml: f64) -> Dose {
    Dose::from_ml(ml).unwrap()
}

fn kg(kg: f64) -> Weight {
    Weight::from_grams((kg * 1000.0).round() as i64).unwrap()
}

fn drawn(exact: f64, most: Option<f64>) -> (String, u32, bool) {
    let d = draw_up(ml(exact), most.map(ml), Rounding::Nearest).unwrap();
    (d.drawn.to_string(), d.syringe_ml, d.over)
}

#[test]
fn the_smallest_syringe_and_its_nearest_mark() {
    for (exact, shown, syringe) in [
        (0.004, "0.01 ml", 1),
        (0.37, "0.37 ml", 1),
        (0.376, "0.38 ml", 1),
        (1.0, "1 ml", 1),
        (1.04, "1 ml", 3),
        (1.05, "1.1 ml", 3),
        (3.72, "3.8 ml", 5),
        (3.69, "3.6 ml", 5),
        (5.2, "5.2 ml", 10),
        (12.4, "12 ml", 20),
        (37.5, "38 ml", 60),
    ] {
        assert_eq!(drawn(exact, None), (shown.into(), syringe, false), "{exact}");
    }
    let far = draw_up(ml(150.4), None, Rounding::Nearest).unwrap();
    assert_eq!((far.drawn, far.syringe_ml, far.fills), (ml(150.0), 60, 3));
    assert_eq!(far.words(), "150.4 ml, drawn as 150 ml (60 ml syringe, marks of 1 ml, filled 3 times)");
}

#[test]
fn the_labels_most_is_never_passed() {
    assert_eq!(drawn(3.72, Some(3.75)), ("3.6 ml".into(), 5, false));
    assert_eq!(drawn(4.3, Some(4.0)), ("4 ml".into(), 5, true));
    let over = draw_up(ml(4.3), Some(ml(4.0)), Rounding::Up).unwrap();
    assert!(over.words().ends_with("the label allows no more, ask the vet"), "{}", over.words());
    assert_eq!(draw_up(ml(1.0), Some(ml(0.005)), Rounding::Nearest), None, "below the first mark");
    assert_eq!(draw_up(Dose::Volume(0), None, Rounding::Up), None);
    assert_eq!(draw_up(Dose::Pieces(2), None, Rounding::Nearest), None);
    assert_eq!(draw_up(Dose::Volume(u32::MAX), None, Rounding::Up), None, "no mark above it");
}

#[test]
fn parts_for_several_sites() {
    let parts = |whole: f64, most: f64| {
        per_site(ml(whole), ml(most)).iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
    };
    assert_eq!(parts(5.0, 5.0), "5 ml");
    assert_eq!(parts(12.0, 5.0), "4 ml, 4 ml, 4 ml");
    assert_eq!(parts(11.0, 5.0), "3.8 ml, 3.6 ml, 3.6 ml");
    assert_eq!(parts(5.1, 2.55), "2.55 ml, 2.55 ml", "never above the most for one site");
    assert_eq!(per_site(Dose::Mass(9), ml(1.0)), [Dose::Mass(9)]);
    assert_eq!(per_site(Dose::Volume(u32::MAX), Dose::Volume(1)), [Dose::Volume(u32::MAX)]);
}

#[test]
fn what_a_pen_needs() {
    let doses = [ml(3.8), ml(4.2), ml(5.0)];
    let total = pen_total(&doses, 5).unwrap();
    assert_eq!((total.doses, total.exact, total.with_waste), (3, ml(13.0), ml(13.65)));
    assert_eq!(pen_total(&[ml(1.0), Dose::Pieces(1)], 5), None);
    assert_eq!(pen_total(&[], 5), None);
    assert_eq!(pen_total(&[Dose::Pieces(3)], 5).unwrap().with_waste, Dose::Pieces(4), "no part of a piece");
    assert_eq!(fills(&doses, 10), Some(2), "8 ml out of the first, 5 ml out of the second");
    assert_eq!(fills(&[ml(25.0), ml(4.0)], 10), Some(3), "5 ml are left of the third");
    assert_eq!(fills(&doses, 0), None);
    assert_eq!(bottles(ml(13.65), ml(10.0)), Some(2));
    assert_eq!(bottles(ml(10.0), ml(10.0)), Some(1));
    assert_eq!(bottles(ml(10.0), Dose::Volume(0)), None);
    assert_eq!(bottles(ml(10.0), Dose::Pieces(1)), None);
}

#[test]
fn milligrams() {
    let strength = Strength::from_mg_per_ml(100.0);
    assert_eq!(mg_for(ml(4.0), strength), Some(400.0));
    assert_eq!(mg_for(ml(4.0), None), None);
    assert_eq!(mg_for(Dose::Mass(500_000), None), Some(500.0));
    assert_eq!(mg_for(Dose::Pieces(1), strength), None);
    assert_eq!(mg_per_kg(400.0, kg(20.0)), 20.0);
}

#[test]
fn ten_and_a_hundred_times_the_label() {
    assert_eq!(far_above(ml(39.999), ml(4.0)), None);
    assert_eq!(far_above(ml(40.0), ml(4.0)), Some(10.0));
    assert_eq!(far_above(ml(400.0), ml(4.0)), Some(100.0));
    assert_eq!(far_above(Dose::Mass(10), ml(1.0)), None);
    assert_eq!(far_above(ml(1.0), Dose::Volume(0)), None);
    assert!(far_above_words(10.0).contains("a point or a nought"));
    assert!(far_above_words(1000.0).starts_with("1000 times the label's dose: two places out"));
}

#[test]
fn bands_go_by_their_heaviest() {
    let rule = DoseRule::PerKg(100);
    let pen = [("c", kg(36.0)), ("a", kg(30.5)), ("b", kg(35.0)), ("d", kg(39.92))];
    let found = bands(&pen, kg(5.0), rule, None);
    let said: Vec<String> =
        found.iter().map(|b| format!("{}: {:?}", b.words(Units::Metric), b.animals)).collect();
    assert_eq!(
        said,
        ["over 30.0 kg up to 35.0 kg: [\"a\", \"b\"]", "over 35.0 kg up to 40.0 kg: [\"c\", \"d\"]"]
    );
    assert_eq!(found[0].dose, Some(ml(3.5)));
    assert_eq!(found[0].drawn.unwrap().drawn, ml(3.6), "the next mark above");
    assert_eq!(found[1].dose, Some(ml(4.0)), "3.992 ml rounded up");
    assert!(found.iter().all(|b| b.warnings().is_empty()));
    assert_eq!(bands(&pen, kg(5.0), DoseRule::Typed, None)[0].dose, None);
    assert_eq!(bands(&pen, kg(50.0), DoseRule::PerHead(2000), None)[0].dose, Some(ml(2.0)));
}

#[test]
fn wide_bands_and_the_labels_most_are_told() {
    let rule = DoseRule::PerKg(100);
    let wide = bands(&[(1, kg(20.0)), (2, kg(45.0))], kg(100.0), rule, Some(ml(4.0)));
    assert_eq!(wide.len(), 1);
    assert!(wide[0].above_most);
    assert_eq!(wide[0].drawn.unwrap().drawn, ml(4.0));
    assert_eq!(wide[0].over_for_lightest, None, "4 ml are twice its 2 ml, no more");
    let wider = bands(&[(1, kg(20.0)), (2, kg(45.0))], kg(100.0), rule, None);
    assert_eq!(wider[0].over_for_lightest, Some(2.3), "4.6 ml for 2 ml");
    assert_eq!(wider[0].warnings().len(), 1);
    assert_eq!(wider[0].words(Units::Metric), "up to 100.0 kg");
}

#[test]
fn what_a_dose_stands_on() {
    let on = Day::new(2026, 5, 20).unwrap();
    let weighed = |ago: i64| Some((on.plus(-ago), kg(34.5)));
    let words = |w, e| weight_words(on, w, e, Units::Metric);
    assert_eq!(words(weighed(12), None).unwrap(), "by 34.5 kg weighed 12 days ago");
    assert_eq!(words(weighed(1), None).unwrap(), "by 34.5 kg weighed the day before");
    assert_eq!(words(weighed(0), None).unwrap(), "by 34.5 kg weighed the same day");
    assert_eq!(words(weighed(-3), None).unwrap(), "by 34.5 kg weighed 3 days later");
    assert_eq!(words(None, Some(kg(34.2))).unwrap(), "by about 34 kg, estimated");
    assert_eq!(
        words(weighed(12), Some(kg(37.9))).unwrap(),
        "by about 38 kg, estimated from 34.5 kg weighed 12 days ago"
    );
    assert_eq!(words(None, None), None);
}

#[test]
fn an_estimate_goes_by_the_last_gain() {
    let day = |n| Day::new(2026, 5, 1).unwrap().plus(n);
    let two = [(day(14), kg(28.2)), (day(0), kg(24.0))];
    let e = estimate(&two, day(24)).unwrap();
    assert_eq!((e.weight, e.gain.0, e.days, e.weighed.1), (kg(31.2), 300, 10, kg(28.2)));
    assert_eq!(estimate(&two, day(14)).unwrap().weight, kg(28.2));
    assert_eq!(estimate(&two[..1], day(24)), None);
    assert_eq!(estimate(&two, day(10)), None, "only one was weighed by then");
    let ahead = book::estimate_ahead_days();
    assert!(estimate(&two, day(14 + ahead)).is_some() && estimate(&two, day(15 + ahead)).is_none());
    let apart = book::estimate_apart_days();
    assert!(estimate(&[(day(0), kg(24.0)), (day(apart), kg(25.0))], day(20)).is_some());
    assert_eq!(estimate(&[(day(0), kg(24.0)), (day(apart - 1), kg(25.0))], day(20)), None);
    assert_eq!(estimate(&[(day(0), kg(24.0)), (day(14), kg(23.9))], day(20)), None, "it lost weight");
}

#[test]
fn syringes_grow() {
    let all = book::syringes();
    assert!(all.windows(2).all(|w| w[0].ml < w[1].ml && w[0].mark_ul <= w[1].mark_ul), "{all:?}");
}

fn doses() -> impl Strategy<Value = u32> {
    prop_oneof![1u32..2_000, 1u32..60_000, 1u32..2_000_000]
}

proptest! {
    #[test]
    fn drawn_is_within_half_a_mark(ul in doses()) {
        let d = draw_up(Dose::Volume(ul), None, Rounding::Nearest).unwrap();
        let Dose::Volume(got) = d.drawn else { panic!() };
        prop_assert!(got > 0 && got.is_multiple_of(d.mark_ul));
        prop_assert!(2 * got.abs_diff(ul) <= d.mark_ul || got == d.mark_ul && ul < d.mark_ul, "{d:?}");
        prop_assert!(got <= d.fills * d.syringe_ml * 1000);
        prop_assert!(d.fills == 1 || d.syringe_ml == 60);
    }

    #[test]
    fn drawn_never_passes_the_most(ul in doses(), most in doses(), up: bool) {
        let rounding = if up { Rounding::Up } else { Rounding::Nearest };
        if let Some(d) = draw_up(Dose::Volume(ul), Some(Dose::Volume(most)), rounding) {
            let Dose::Volume(got) = d.drawn else { panic!() };
            prop_assert!(0 < got && got <= most, "{d:?}");
            prop_assert!(most - got < d.mark_ul || got.abs_diff(ul) < d.mark_ul, "{d:?}");
            prop_assert_eq!(d.over, ul > most);
        } else {
            prop_assert!(most < 10);
        }
    }

    #[test]
    fn rounded_up_is_never_short(ul in doses()) {
        let d = draw_up(Dose::Volume(ul), None, Rounding::Up).unwrap();
        prop_assert!(d.drawn >= d.exact, "{:?}", d);
    }

    #[test]
    fn parts_sum_to_the_dose(ul in doses(), most in 1u32..30_000) {
        let parts = per_site(Dose::Volume(ul), Dose::Volume(most));
        let each: Vec<u32> = parts.iter().map(|p| if let Dose::Volume(p) = p { *p } else { 0 }).collect();
        prop_assert_eq!(each.iter().sum::<u32>(), ul);
        let fewest = ul.div_ceil(most);
        if fewest <= 100 {
            prop_assert_eq!(parts.len() as u32, fewest);
            prop_assert!(each.iter().all(|p| *p > 0 && *p <= most), "{:?}", each);
            prop_assert!(each[0] - each[each.len() - 1] <= 1000, "{:?}", each);
        }
    }

    #[test]
    fn bands_never_underdose(
        grams in prop::collection::vec(1i64..150_000, 1..40),
        width in 500i64..20_000,
        per_kg in 1u32..2_000,
    ) {
        let pen: Vec<(usize, Weight)> =
            grams.iter().enumerate().map(|(i, g)| (i, Weight::from_grams(*g).unwrap())).collect();
        let found = bands(&pen, Weight::from_grams(width).unwrap(), DoseRule::PerKg(per_kg), None);
        prop_assert_eq!(found.iter().map(|b| b.animals.len()).sum::<usize>(), pen.len());
        for band in &found {
            for i in &band.animals {
                let g = grams[*i];
                prop_assert!(band.over_g < g && g <= band.to_g);
                let Some(Dose::Volume(dose)) = band.dose else { panic!() };
                let Dose::Volume(given) = band.drawn.unwrap().drawn else { panic!() };
                // Microlitres × 1000, in whole numbers.
                prop_assert!(u64::from(dose) * 1000 >= u64::from(per_kg) * g as u64);
                prop_assert!(given >= dose);
            }
            prop_assert!(!band.above_most);
        }
    }

    #[test]
    fn a_pens_fillings_hold_its_doses(each in prop::collection::vec(1u32..30_000, 1..30), size in 1u32..60) {
        let all: Vec<Dose> = each.iter().map(|u| Dose::Volume(*u)).collect();
        let n = fills(&all, size).unwrap();
        let sum: u64 = each.iter().map(|u| u64::from(*u)).sum();
        prop_assert!(u64::from(n) * u64::from(size) * 1000 >= sum);
        let singly: u32 = each.iter().map(|u| u.div_ceil(size * 1000)).sum();
        prop_assert!(n <= singly);
    }
}
