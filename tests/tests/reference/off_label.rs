//! Off-label floors, bans, organic and export periods and official marks against `reference/rules.toml`.

use hirsel_core::rules::{Commodity, Floor, MarkVerdict, OffLabelUse, RuleSet, rule_set, rule_sets};
use hirsel_core::terms::{IdentityKind, Withdrawal};
use hirsel_tests::reference::rows;
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Least {
    ruleset: String,
    commodity: Commodity,
    label: Vec<String>,
    food: bool,
    milk: bool,
    other_family: bool,
    days: u16,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct VetSets {
    ruleset: String,
    commodity: Commodity,
    label: String,
    more_than_days: u16,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Banned {
    ruleset: String,
    substance: String,
    said: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Text {
    ruleset: String,
    text: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Mark {
    ruleset: String,
    key: String,
    pattern: String,
    valid: Vec<String>,
    invalid: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Organic {
    ruleset: String,
    label: String,
    least: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Export {
    ruleset: String,
}

fn set(id: &str) -> &'static RuleSet {
    rule_set(id).unwrap_or_else(|| panic!("no rule set {id}"))
}

/// The set of a place with those of its parts; of `any`, all there are.
fn sets(id: &str) -> Vec<&'static RuleSet> {
    let is_of = |s: &&RuleSet| id == "any" || s.id() == id || s.id().starts_with(&format!("{id}-"));
    rule_sets().iter().filter(is_of).collect()
}

fn period(text: &str) -> Withdrawal {
    Withdrawal::parse(text).unwrap_or_else(|e| panic!("{e}"))
}

fn product(label: &[String], food: bool, milk: bool, other_family: bool) -> OffLabelUse {
    OffLabelUse {
        label: label.iter().map(|p| period(p)).collect(),
        for_food_animals: Some(food),
        for_milk_animals: Some(milk),
        other_family: Some(other_family),
    }
}

#[test]
fn floors_are_those_worked_by_hand_from_the_source() {
    for r in rows::<Least>("rules", "floor") {
        for set in sets(&r.ruleset) {
            let floor = set.floor(r.commodity, &product(&r.label, r.food, r.milk, r.other_family));
            let Floor::Days { days, .. } = &floor else { panic!("{} {:?}: {floor:?}", set.id(), r.label) };
            assert_eq!(*days, r.days, "{} {:?} {:?}: {floor:?}", set.id(), r.commodity, r.label);
            assert!(!floor.refuses(Withdrawal::Days(r.days)));
            assert!(r.days == 0 || floor.refuses(Withdrawal::Days(r.days - 1)));
        }
    }
}

#[test]
fn where_the_vet_sets_it_the_label_is_exceeded() {
    for r in rows::<VetSets>("rules", "vet_sets") {
        let floor = set(&r.ruleset).floor(r.commodity, &product(&[r.label], true, true, false));
        let Floor::VetSetsMoreThan { days, ground } = &floor else { panic!("{floor:?}") };
        assert_eq!(*days, Some(r.more_than_days));
        assert!(ground.is_memory(), "shown as from memory");
        assert!(floor.refuses(Withdrawal::Days(r.more_than_days)));
        assert!(!floor.refuses(Withdrawal::Days(r.more_than_days + 1)));
    }
}

#[test]
fn every_substance_of_the_list_is_found() {
    for r in rows::<Banned>("rules", "banned") {
        let ban = set(&r.ruleset).banned(&format!("water, {}", r.substance.to_uppercase()));
        assert_eq!(ban.map(|b| b.substance), Some(r.said), "{}", r.substance);
    }
    for r in rows::<Text>("rules", "not_banned") {
        assert_eq!(set(&r.ruleset).banned(&r.text), None);
    }
}

#[test]
fn marks_have_the_shapes_the_source_gives() {
    let all = rows::<Mark>("rules", "mark");
    for r in &all {
        for set in sets(&r.ruleset) {
            let mark =
                set.marks().iter().find(|m| m.key == r.key).unwrap_or_else(|| panic!("no mark {}", r.key));
            assert_eq!(mark.pattern, r.pattern, "{}", r.key);
            let fits = |text: &String| mark.fits(text).is_ok();
            assert!(r.valid.iter().all(fits), "{}: {:?}", r.key, r.valid);
            assert!(!r.invalid.iter().any(fits), "{}: {:?}", r.key, r.invalid);
        }
    }
    let told =
        |set: &RuleSet| all.iter().filter(|r| sets(&r.ruleset).iter().any(|s| s.id() == set.id())).count();
    assert!(rule_sets().iter().all(|s| s.marks().len() == told(s)), "no mark without a row of reference");
    for r in rows::<Text>("rules", "mark_without_state") {
        let verdict = set(&r.ruleset).judge(IdentityKind::Official, &r.text);
        assert!(matches!(verdict, MarkVerdict::FitsNone(_)), "{}", r.text);
    }
}

#[test]
fn organic_and_export_periods() {
    let organic = rows::<Organic>("rules", "organic");
    for r in &organic {
        let rule = set(&r.ruleset).organic().unwrap_or_else(|| panic!("{} has no such rule", r.ruleset));
        assert_eq!(rule.at_least(period(&r.label), false), period(&r.least), "{}", r.label);
        assert_eq!(rule.at_least(period(&r.label), true), period(&r.label), "vaccines excepted");
    }
    let export = rows::<Export>("rules", "export");
    for set in rule_sets() {
        assert_eq!(set.organic().is_some(), organic.iter().any(|r| r.ruleset == set.id()), "{}", set.id());
        assert_eq!(set.tracks_export(), export.iter().any(|r| r.ruleset == set.id()), "{}", set.id());
    }
}
