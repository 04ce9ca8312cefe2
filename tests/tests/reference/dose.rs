//! Dose arithmetic, how a dose is written, and units; sources in `reference/dose.toml`.
//! Nothing here outranks the label or the vet.

use hirsel_core::entry::{
    AnimalDraft, DoseDraft, Entry, ProductDraft, Refused, TreatmentDraft, Unusual, WeighingDraft, animals,
    products, treatments, weighings,
};
use hirsel_core::flock::Flock;
use hirsel_core::terms::{
    AnimalId, Born, Dose, DoseRule, Moment, POUND_G, Sex, Strength, Tag, Units, Weight, Withdrawal, ml_for,
};
use hirsel_tests::book::{day, new_book, room, today};
use hirsel_tests::reference::rows;
use serde::Deserialize;
use std::sync::Arc;

fn weight(kg: f64) -> Weight {
    Weight::from_grams((kg * 1000.0).round() as i64).expect("a weight")
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ByStrength {
    mg_per_kg: f64,
    kg: f64,
    mg_per_ml: f64,
    ml: f64,
    shown: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ByLabel {
    ul_per_kg: u32,
    kg: f64,
    shown: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    typed: String,
    shown: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AboveLabel {
    times: f64,
    questioned: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Stale {
    lamb: bool,
    days: i64,
    questioned: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Weighed {
    typed: String,
    grams: i64,
}

#[test]
fn a_dose_by_strength() {
    for r in rows::<ByStrength>("dose", "by_strength") {
        let strength = Strength::from_mg_per_ml(r.mg_per_ml).expect("a strength");
        let ml = ml_for(r.mg_per_kg, weight(r.kg), strength);
        assert!((ml - r.ml).abs() < 1e-9, "{ml}");
        assert_eq!(Dose::from_ml(ml).expect("a dose").to_string(), r.shown);
    }
}

#[test]
fn a_dose_by_the_labels_rule() {
    for r in rows::<ByLabel>("dose", "by_label") {
        let rule = DoseRule::PerKg(r.ul_per_kg);
        assert_eq!(rule.dose(Some(weight(r.kg))).expect("a dose").to_string(), r.shown);
        assert_eq!(rule.dose(None), None, "no sum with a guessed weight");
    }
}

#[test]
fn a_figure_before_the_point_and_no_nought_at_the_end() {
    for r in rows::<Written>("dose", "written") {
        assert_eq!(Dose::parse(&r.typed).expect("a dose").to_string(), r.shown, "{}", r.typed);
    }
    for ul in 1..40_000 {
        let shown = Dose::Volume(ul).to_string();
        let number = shown.strip_suffix(" ml").expect("millilitres");
        assert!(number.starts_with(|c: char| c.is_ascii_digit()), "{shown}");
        assert!(!number.contains('.') || !number.ends_with(['0', '.']), "{shown}");
    }
}

#[test]
fn pounds_and_ounces_are_exact() {
    assert_eq!((POUND_G * 100_000.0).round() as i64, 45_359_237, "453.59237 g");
    assert_eq!((POUND_G / 16.0 * 1e9).round() as i64, 28_349_523_125, "28.349523125 g");
    for r in rows::<Weighed>("dose", "weight") {
        for units in [Units::Metric, Units::Imperial] {
            assert_eq!(Weight::parse(&r.typed, units).map(Weight::grams), Ok(r.grams), "{}", r.typed);
        }
    }
}

/// A flock of one sheep, weighed so many days ago, and a product at 0.1 ml/kg.
fn one(lamb: bool, weighed: Option<i64>) -> (Arc<Flock>, AnimalId) {
    let room = room();
    let mut book = new_book(room.path());
    let mut sheep = AnimalDraft::new(Tag::parse("0412").expect("a tag"), Sex::Ewe);
    sheep.born = Born::On(if lamb { today().plus(-100) } else { day("2022-03-01") });
    let id = sheep.id;
    let sure = animals(vec![sheep], &book.flock(), today()).expect("fits").sure().expect("no question");
    book.write(sure).expect("written");
    if let Some(days) = weighed {
        let at = Moment::day(today().plus(-days));
        let draft = WeighingDraft { animal: id, at, weight: weight(40.0), note: None };
        let sure = weighings(vec![draft], &book.flock(), today()).expect("fits").sure().expect("no question");
        book.write(sure).expect("written");
    }
    let product = ProductDraft {
        name: "Fellmectin".into(),
        substance: None,
        form: None,
        strength: None,
        rule: DoseRule::PerKg(100),
        route: None,
        meat: Withdrawal::Days(28),
        milk: Withdrawal::Never,
        licensed_for: None,
        more: Default::default(),
    };
    let sure = products(vec![product], &book.flock()).expect("fits").sure().expect("no question");
    book.write(sure).expect("written");
    (book.flock(), id)
}

fn treat(animal: AnimalId, dose: DoseDraft) -> Vec<TreatmentDraft> {
    vec![TreatmentDraft {
        animals: vec![animal],
        at: Moment::day(today()),
        product: "fellmectin".into(),
        batch: None,
        dose,
        route: None,
        site: None,
        reason: None,
        given_by: None,
        prescribed_by: None,
        meat: None,
        milk: None,
        more: Default::default(),
    }]
}

#[test]
fn more_than_the_label_is_questioned() {
    let (flock, id) = one(false, Some(0));
    for r in rows::<AboveLabel>("dose", "above_label") {
        let dose = Dose::from_ml(4.0 * r.times);
        let checked = treatments(treat(id, DoseDraft::Typed(dose)), &flock, today()).expect("may be");
        let asked = checked.questions().iter().any(|q| matches!(q.what, Unusual::AboveLabel { .. }));
        assert_eq!(asked, r.questioned, "{} times the label", r.times);
    }
}

#[test]
fn an_old_weight_is_questioned_and_none_is_refused() {
    for r in rows::<Stale>("dose", "stale_weight") {
        let (flock, id) = one(r.lamb, Some(r.days));
        let checked = treatments(treat(id, DoseDraft::ByRule), &flock, today()).expect("may be");
        let asked = checked.questions().iter().any(|q| matches!(q.what, Unusual::StaleWeight { .. }));
        assert_eq!(asked, r.questioned, "lamb: {}, {} days", r.lamb, r.days);
        let Entry::Treatments(all) = checked.entry() else { panic!("a treatment") };
        assert_eq!(all[0].dose.expect("reckoned").to_string(), "4 ml");
    }
    let (flock, id) = one(false, None);
    let refused = treatments(treat(id, DoseDraft::ByRule), &flock, today()).expect_err("no weight");
    assert!(matches!(refused[0].why, Refused::NoWeightForDose { .. }), "{refused:?}");
}
