//! Drawing up, weight bands, use of antibiotics: sources in `reference/dose.toml`.
//! Nothing here outranks the label or the vet.

use hirsel_core::handbook::dosing::{band_over_times, hundredfold_times, syringes, tenfold_times};
use hirsel_core::reckon::antibiotics::{Standing, flock_kg, mg_per_kg};
use hirsel_core::reckon::dosing::{Rounding, bands, draw_up, mg_for, per_site};
use hirsel_core::terms::{Dose, DoseRule, Strength, Units, Weight, ml_for};
use hirsel_tests::reference::rows;
use serde::Deserialize;

fn weight(kg: f64) -> Weight {
    Weight::from_grams((kg * 1000.0).round() as i64).expect("a weight")
}

fn dose(ml: f64) -> Dose {
    Dose::from_ml(ml).expect("a dose")
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ByHand {
    weight: String,
    mg_per_kg: f64,
    mg_per_ml: f64,
    published_mg: f64,
    published_ml: f64,
    exact_ml: f64,
}

/// Published sums take 2.2 lb for a kilogram; ours the exact pound, so they part in the third figure.
#[test]
fn published_sums_in_pounds() {
    for r in rows::<ByHand>("dose", "by_hand") {
        let weight = Weight::parse(&r.weight, Units::Imperial).expect("a weight");
        let strength = Strength::from_mg_per_ml(r.mg_per_ml).expect("a strength");
        let ml = ml_for(r.mg_per_kg, weight, strength);
        assert!((ml - r.exact_ml).abs() < 5e-4, "{ml}");
        assert!((ml / r.published_ml - 1.0).abs() < 0.005, "{ml} for {}", r.published_ml);
        let mg = mg_for(dose(ml), Some(strength)).expect("milligrams");
        assert!((mg / r.published_mg - 1.0).abs() < 0.005, "{mg} for {}", r.published_mg);
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BySteps {
    ml: f64,
    per: String,
    weight: String,
    published_ml: f64,
}

/// `1 ml per 70 lb`, as labels say it.
#[test]
fn published_label_sums() {
    for r in rows::<BySteps>("dose", "by_steps") {
        let read = |text: &str| Weight::parse(text, Units::Imperial).expect("a weight");
        let ml = r.ml * read(&r.weight).kg() / read(&r.per).kg();
        let drawn = draw_up(dose(ml), None, Rounding::Nearest).expect("drawn");
        assert_eq!(drawn.drawn, dose(r.published_ml), "{ml}");
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Syringe {
    ml: u32,
    mark_ml: f64,
}

#[test]
fn syringes_have_the_published_marks() {
    let published = rows::<Syringe>("dose", "syringe");
    assert_eq!(published.len(), syringes().len());
    for (r, s) in published.iter().zip(syringes()) {
        assert_eq!((r.ml, (r.mark_ml * 1000.0).round() as u32), (s.ml, s.mark_ul));
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DrawnUp {
    exact_ml: f64,
    most_ml: Option<f64>,
    shown: String,
}

#[test]
fn doses_as_drawn_up() {
    for r in rows::<DrawnUp>("dose", "drawn") {
        let drawn = draw_up(dose(r.exact_ml), r.most_ml.map(dose), Rounding::Nearest).expect("drawn");
        assert_eq!(drawn.drawn.to_string(), r.shown, "{} ml", r.exact_ml);
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Sites {
    ml: f64,
    most_ml: f64,
    sites: Vec<f64>,
}

#[test]
fn doses_over_several_sites() {
    for r in rows::<Sites>("dose", "sites") {
        let sites: Vec<Dose> = r.sites.iter().map(|ml| dose(*ml)).collect();
        assert_eq!(per_site(dose(r.ml), dose(r.most_ml)), sites, "{} ml", r.ml);
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Bands {
    ul_per_kg: u32,
    kg: Vec<f64>,
    width_kg: f64,
    doses_ml: Vec<f64>,
    lightest_over: Vec<bool>,
}

#[test]
fn bands_are_dosed_by_their_heaviest() {
    for r in rows::<Bands>("dose", "bands") {
        let pen: Vec<(usize, Weight)> = r.kg.iter().map(|kg| weight(*kg)).enumerate().collect();
        let found = bands(&pen, weight(r.width_kg), DoseRule::PerKg(r.ul_per_kg), None);
        let doses: Vec<Dose> = found.iter().filter_map(|b| b.dose).collect();
        assert_eq!(doses, r.doses_ml.iter().map(|ml| dose(*ml)).collect::<Vec<_>>());
        let over: Vec<bool> = found.iter().map(|b| b.over_for_lightest.is_some()).collect();
        assert_eq!(over, r.lightest_over);
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Times {
    name: String,
    value: f64,
}

#[test]
fn bounds_are_the_reference_ones() {
    let all = [
        ("band_over_times", band_over_times()),
        ("tenfold_times", tenfold_times().into()),
        ("hundredfold_times", hundredfold_times().into()),
    ];
    let read = rows::<Times>("dose", "times");
    assert_eq!(read.iter().map(|r| (r.name.as_str(), r.value)).collect::<Vec<_>>(), all);
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Use {
    mg: f64,
    kg: f64,
    mg_per_kg: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Flock {
    grown: u32,
    lambs: u32,
    kg: f64,
}

#[test]
fn antibiotics_for_each_kilogram() {
    for r in rows::<Use>("dose", "antibiotics") {
        let used = mg_per_kg(&[r.mg], r.kg).expect("a flock");
        assert!((used - r.mg_per_kg).abs() < 0.05, "{used}");
    }
    for r in rows::<Flock>("dose", "flock") {
        assert_eq!(flock_kg(Standing { ewes: r.grown, rams: 0, lambs: r.lambs }), r.kg);
    }
}
