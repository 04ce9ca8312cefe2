//! Daily gains and age-corrected weights against published values; sources in `reference/growth.toml`.

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
