//! Accuracies against the truth, small and quick; `benches/calibration.rs` does it at large.

#[path = "../../benches/made/pedigrees.rs"]
#[allow(dead_code)]
mod pedigrees;
#[allow(dead_code)] // the bench goes through all models
#[path = "../../benches/made/values.rs"]
mod values;

use hirsel_core::reckon::evaluation::reml;
use pedigrees::Form;
use values::{Model, calibrated, made};

/// The bound of the large bench is 0.05; so few runs of so small a flock swing a little wider.
const WITHIN: f64 = 0.08;
const FLOCK: Form =
    Form { name: "one flock of 40 ewes, 5 crops", flocks: 1, ewes: 40, crops: 5, animals: 340 };

fn check(model: Model) {
    let runs = 8;
    let (mut found, mut claimed) = (0.0, 0.0);
    for seed in 0..runs {
        let (f, s) = calibrated(&made(&FLOCK, model, 100 + seed));
        (found, claimed) = (found + f / runs as f64, claimed + s / runs as f64);
    }
    assert!((found - claimed).abs() < WITHIN, "{}: {found:.3}, claimed {claimed:.3}", model.name());
    assert!(claimed > 0.3, "{}: {claimed}", model.name());
}

#[test]
fn accuracies_of_the_animal_model_hold() {
    check(Model::Animal);
}

#[test]
fn accuracies_of_the_repeatability_model_hold() {
    check(Model::Repeated);
}

#[test]
fn accuracies_of_the_maternal_model_hold() {
    check(Model::Maternal);
}

/// Variances found in a flock lie within three standard errors of those it was made by.
#[test]
fn variances_come_back() {
    let flock = made(&FLOCK, Model::Animal, 7);
    let found = reml(&flock.problem, &mut |_| true).unwrap_or_else(|e| panic!("{e}"));
    for (c, truth) in found.components.iter().zip([3.0, 5.0]) {
        let error = c.error.expect("an inner answer");
        assert!((c.value - truth).abs() < 3.0 * error && error < 0.7 * truth, "{c:?}");
    }
}
