//! Daily gains and age-corrected weights against published values; sources in `reference/growth.toml`.

use hirsel_core::reckon::growth::fixed::{Record, least_squares};
use hirsel_core::reckon::growth::rules::GrowthRules;
use hirsel_core::reckon::growth::{SixtyDay, corrected};
use hirsel_core::terms::{Gain, Weight};
use hirsel_tests::reference::rows;
use serde::Deserialize;

fn weight(kg: f64) -> Weight {
    Weight::from_grams((kg * 1000.0).round() as i64).expect("a weight")
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Corrected {
    birth_kg: f64,
    weight_kg: f64,
    age: i64,
    to_age: i64,
    corrected_kg: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Window {
    to_age: i64,
    from: i64,
    to: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct EightWeeks {
    weight_kg: f64,
    gain_g: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SevenWeeks {
    birth_kg: f64,
    weight_kg: f64,
    gain_g: i64,
}

#[test]
fn a_weight_is_carried_to_a_fixed_age() {
    for r in rows::<Corrected>("growth", "corrected") {
        let w = corrected(weight(r.birth_kg), weight(r.weight_kg), r.age, r.to_age).expect("an age");
        assert!((w.kg() - r.corrected_kg).abs() <= 0.005, "{} kg and not {} kg", w.kg(), r.corrected_kg);
        assert_eq!(
            corrected(weight(r.birth_kg), weight(r.weight_kg), 0, r.to_age),
            None,
            "no age, no figure"
        );
    }
}

#[test]
fn outside_the_window_the_figure_is_marked() {
    for r in rows::<Window>("growth", "window") {
        assert_eq!(r.to_age, 60);
        for at_age in 1..200 {
            let s = SixtyDay { weight: weight(20.0), at_age };
            assert_eq!(s.is_within_window(), (r.from..=r.to).contains(&at_age), "at {at_age} days");
        }
    }
}

#[test]
fn eight_week_weights_give_the_printed_gains() {
    for r in rows::<EightWeeks>("growth", "eight_weeks") {
        let gain = Gain::between(weight(4.0), weight(r.weight_kg), 56).expect("days between");
        assert!(
            (gain.0 - r.gain_g).abs() <= 10,
            "{} kg: {} and not {} g a day",
            r.weight_kg,
            gain.0,
            r.gain_g
        );
    }
}

#[test]
fn seven_week_weights_give_gains_near_the_printed_means() {
    for r in rows::<SevenWeeks>("growth", "seven_weeks") {
        let gain = Gain::between(weight(r.birth_kg), weight(r.weight_kg), 49).expect("days between");
        assert!(
            (gain.0 - r.gain_g).abs() <= 4,
            "{} kg: {} and not {} g a day",
            r.weight_kg,
            gain.0,
            r.gain_g
        );
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ShippedWindow {
    days: u16,
    from: i64,
    to: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct UsualAge {
    weighed: i64,
    age: u16,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Squares {
    kg: Vec<f64>,
    sex: Vec<usize>,
    r#type: Vec<usize>,
    ewe: Vec<usize>,
    group: Vec<usize>,
    free: usize,
    spread: f64,
    effects: Vec<f64>,
    errors: Vec<f64>,
}

#[test]
fn the_shipped_windows_are_those_of_the_sources() {
    let rules = GrowthRules::shipped();
    for r in rows::<ShippedWindow>("growth", "shipped_window") {
        let age = rules.age(r.days).expect("an age");
        for at_age in 1..200 {
            assert_eq!(age.holds(at_age), (r.from..=r.to).contains(&at_age), "{} from {at_age}", r.days);
        }
    }
    for r in rows::<UsualAge>("growth", "usual_age") {
        assert_eq!(rules.usual_age(r.weighed), Some(r.age), "weighed at {} days", r.weighed);
    }
}

/// All effects at once beside groups that are absorbed: as one model with a column for each group.
#[test]
fn least_squares_agree_with_an_independent_solution() {
    for r in rows::<Squares>("growth", "squares") {
        let records: Vec<Record> = (0..r.kg.len())
            .map(|i| Record { value: r.kg[i], classes: [r.sex[i], r.r#type[i], r.ewe[i]], group: r.group[i] })
            .collect();
        let s = least_squares(&records, [2, 2, 3], [0, 0, 2]).expect("enough records");
        assert_eq!((s.n, s.groups, s.free), (r.kg.len(), 2, r.free));
        assert!((s.spread - r.spread).abs() < 1e-10, "{} and not {}", s.spread, r.spread);
        let found = [s.classes[0][1], s.classes[1][1], s.classes[2][1]];
        for ((found, effect), error) in found.into_iter().zip(&r.effects).zip(&r.errors) {
            let found = found.expect("it can be told apart");
            assert!((found.value - effect).abs() < 1e-10, "{} and not {effect}", found.value);
            assert!((found.se - error).abs() < 1e-10, "± {} and not {error}", found.se);
        }
        assert_eq!([s.classes[0][0], s.classes[1][0], s.classes[2][2]], [None; 3], "the bases");
        assert_eq!(s.classes[2][0], None, "no such ewe is there");
    }
}

/// A small generator of numbers, so that the flock is the same on every machine.
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Near enough normal: the sum of twelve even ones.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }

    fn below(&mut self, n: usize) -> usize {
        ((self.unit() * n as f64) as usize).min(n - 1)
    }
}

/// Lambs whose true effects are known, in groups of unlike size and make-up: over many flocks an estimate lies within
/// three of its standard errors, and within one of them about as often as such an error means.
#[test]
fn known_effects_are_recovered() {
    let truth = [0.09, -0.15, -0.08];
    let (mut within_three, mut within_one, mut all) = (0, 0, 0);
    let mut dice = Dice(7);
    for _ in 0..60 {
        let group: Vec<f64> = (0..6).map(|_| dice.normal() * 0.08).collect();
        let records: Vec<Record> = (0..200)
            .map(|_| {
                let g = dice.below(6);
                // Twins are more common in some groups: what a plain mean would get wrong.
                let twin = usize::from(dice.unit() < 0.2 + 0.1 * g as f64);
                let classes = [dice.below(2), twin, dice.below(2) + 1];
                let young = if classes[2] == 1 { truth[2] } else { 0.0 };
                let effects = classes[0] as f64 * truth[0] + twin as f64 * truth[1] + young;
                Record { value: 3.0 + group[g] + effects + dice.normal() * 0.1, classes, group: g }
            })
            .collect();
        let s = least_squares(&records, [2, 2, 3], [0, 0, 2]).expect("enough records");
        for (found, truth) in [s.classes[0][1], s.classes[1][1], s.classes[2][1]].into_iter().zip(truth) {
            let e = found.expect("it can be told apart");
            let off = (e.value - truth).abs() / e.se;
            all += 1;
            within_three += usize::from(off < 3.0);
            within_one += usize::from(off < 1.0);
        }
    }
    assert!(within_three >= all - 3, "{within_three} of {all} within three errors");
    let share = f64::from(within_one as u32) / f64::from(all as u32);
    assert!((0.58..0.78).contains(&share), "{share} within one error and not about 0.68");
}

/// Weighed at the very age, a weight is what the scale said, whatever it was at birth.
#[test]
fn carried_to_its_own_age_a_weight_stays() {
    let mut dice = Dice(3);
    for _ in 0..500 {
        let birth = weight(1.0 + dice.unit() * 7.0);
        let w = weight(8.0 + dice.unit() * 40.0);
        let age = 1 + dice.below(200) as i64;
        assert_eq!(corrected(birth, w, age, age), Some(w));
    }
}
