//! The handbook's bounds and the times of the first days against the values and sources in `reference/handbook.toml`.

use hirsel_core::handbook::first_days::{KEYS, Times, first_days};
use hirsel_core::handbook::{dosing, growth, lambing};
use hirsel_tests::reference::rows;
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Bound {
    name: String,
    value: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Job {
    name: String,
    earliest_h: f64,
    due_h: f64,
    late_h: Option<f64>,
}

#[test]
fn bounds_are_the_reference_ones() {
    let mut left: Vec<(&str, f64)> = vec![
        ("again_days", lambing::again_days() as f64),
        ("heavy_g", lambing::heavy_g() as f64),
        ("light_g", lambing::light_g() as f64),
        ("ram_fertile_days", lambing::ram_fertile_days() as f64),
        ("ewe_lambs_days", lambing::ewe_lambs_days() as f64),
        ("reared_days", lambing::reared_days() as f64),
        ("first_feed_ml_per_kg", lambing::first_feed_ml_per_kg()),
        ("sixty_from_days", growth::sixty_from_days() as f64),
        ("sixty_to_days", growth::sixty_to_days() as f64),
        ("sixty_sure_from_days", growth::sixty_sure_from_days() as f64),
        ("sixty_sure_to_days", growth::sixty_sure_to_days() as f64),
        ("odd_gain_g_per_day", growth::odd_gain_g_per_day() as f64),
        ("odd_gain_least_g", growth::odd_gain_least_g() as f64),
        ("growing_days", growth::growing_days() as f64),
        ("newborn_days", growth::newborn_days() as f64),
        ("newborn_loss_percent", growth::newborn_loss_percent() as f64),
        ("loss_percent", growth::loss_percent() as f64),
        ("jump_percent", growth::jump_percent() as f64),
        ("jump_days", growth::jump_days() as f64),
        ("stale_lamb_days", dosing::stale_lamb_days() as f64),
        ("stale_adult_days", dosing::stale_adult_days() as f64),
        ("under_skin_lamb_ml", dosing::under_skin_lamb_ml().into()),
        ("under_skin_adult_ml", dosing::under_skin_adult_ml().into()),
        ("muscle_lamb_ml", dosing::muscle_lamb_ml().into()),
        ("muscle_adult_ml", dosing::muscle_adult_ml().into()),
        ("above_label_times", dosing::above_label_times()),
    ];
    for r in rows::<Bound>("handbook", "bound") {
        let at = left.iter().position(|(name, _)| *name == r.name);
        let (name, value) = left.remove(at.unwrap_or_else(|| panic!("{} is not in the handbook", r.name)));
        assert_eq!(value, r.value, "{name}");
    }
    assert!(left.is_empty(), "no reference for {left:?}");
}

#[test]
fn jobs_of_the_first_days_fall_when_the_reference_says() {
    let mut left: Vec<(&str, &Times)> = KEYS.into_iter().zip(first_days()).collect();
    for r in rows::<Job>("handbook", "job") {
        let at = left.iter().position(|(name, _)| *name == r.name);
        let (name, times) = left.remove(at.unwrap_or_else(|| panic!("{} is not in the handbook", r.name)));
        let minutes = |h: f64| (h * 60.0) as i64;
        let said = (minutes(r.earliest_h), minutes(r.due_h), r.late_h.map(minutes));
        assert_eq!((times.earliest, times.due, times.late), said, "{name}");
    }
    assert!(left.is_empty(), "no reference for {left:?}");
}
