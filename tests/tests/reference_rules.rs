//! Rule sets against the values and sources in `reference/rules.toml`.

use hirsel_core::rules::{Procedure, RuleSet, TreatmentField, rule_set, rule_sets};
use hirsel_tests::reference::rows;
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Named {
    id: String,
    name: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Kept {
    ruleset: String,
    years: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Fields {
    ruleset: String,
    required: Vec<TreatmentField>,
    if_prescribed: Vec<TreatmentField>,
    if_vet_gave_it: Vec<TreatmentField>,
    advised: Vec<TreatmentField>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Ring {
    ruleset: String,
    what: Procedure,
    last_day: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Keep {
    ruleset: String,
    text: String,
    advice: bool,
}

fn set(id: &str) -> &'static RuleSet {
    rule_set(id).unwrap_or_else(|| panic!("no rule set {id}"))
}

#[test]
fn each_place_has_its_rule_set() {
    let named = rows::<Named>("rules", "ruleset");
    assert_eq!(named.len(), rule_sets().len());
    for r in named {
        assert_eq!(set(&r.id).name(), r.name);
    }
}

#[test]
fn the_log_is_kept_as_long_as_the_source_says() {
    let kept = rows::<Kept>("rules", "kept");
    assert_eq!(kept.len(), rule_sets().iter().filter(|s| s.retention().is_some()).count());
    for r in kept {
        assert_eq!(set(&r.ruleset).retention().map(|k| k.years), Some(r.years), "{}", r.ruleset);
    }
}

#[test]
fn what_is_to_be_written_is_what_the_source_asks() {
    let all = rows::<Fields>("rules", "fields");
    assert_eq!(all.len(), rule_sets().iter().filter(|s| s.fields().is_some()).count());
    for r in all {
        let f = set(&r.ruleset).fields().unwrap_or_else(|| panic!("{} asks for nothing", r.ruleset));
        assert_eq!(f.required, r.required, "{}", r.ruleset);
        assert_eq!(f.if_prescribed, r.if_prescribed, "{}", r.ruleset);
        assert_eq!(f.if_vet_gave_it, r.if_vet_gave_it, "{}", r.ruleset);
        assert_eq!(f.advised, r.advised, "{}", r.ruleset);
    }
}

#[test]
fn rings_end_no_later_than_any_source_says() {
    let all = rows::<Ring>("rules", "ring");
    for set in rule_sets() {
        for what in [Procedure::Castration, Procedure::Docking] {
            let least =
                all.iter().filter(|r| r.ruleset == set.id() && r.what == what).map(|r| r.last_day).min();
            assert_eq!(set.ring(what).map(|l| l.last_day), least, "{} {what:?}", set.id());
        }
    }
}

#[test]
fn what_must_be_left_of_a_tail() {
    let all = rows::<Keep>("rules", "keep");
    for r in &all {
        let found = set(&r.ruleset).keep().iter().any(|k| k.text == r.text && k.advice == r.advice);
        assert!(found, "{}: {}", r.ruleset, r.text);
    }
    for set in rule_sets() {
        for k in set.keep() {
            assert!(
                all.iter().any(|r| r.ruleset == set.id() && r.text == k.text),
                "{}: {}",
                set.id(),
                k.text
            );
        }
    }
}
