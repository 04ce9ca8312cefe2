//! Rule sets against the values and sources in `reference/rules.toml`: what is written, kept and done.

use hirsel_core::handbook::Ground;
use hirsel_core::rules::{
    CupboardField, Kept as Book, KeptFrom, Procedure, RegisterField, RegisterPart, RuleSet, TreatmentField,
    rule_set, rule_sets,
};
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
    record: Book,
    years: u32,
    from: KeptFrom,
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
struct OffLabelFields {
    ruleset: String,
    required: Vec<TreatmentField>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Cupboard {
    ruleset: String,
    acquired: Vec<CupboardField>,
    disposed: Vec<CupboardField>,
    advised: Vec<CupboardField>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Ring {
    ruleset: String,
    part: String,
    what: Procedure,
    last_day: i64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Keep {
    ruleset: String,
    part: String,
    text: String,
    advice: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Done {
    ruleset: String,
    part: String,
    what: String,
    says: Vec<String>,
    said_source: String,
    from_memory: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Tagged {
    ruleset: String,
    months_max: u32,
    months_if_housed: u32,
    before_leaving: bool,
    before_change_of_ownership: bool,
    replace_lost_within_days: u32,
    applies_to: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Register {
    ruleset: String,
    holds: Vec<RegisterPart>,
    animal_fields: Vec<RegisterField>,
    move_fields: Vec<RegisterField>,
    death_fields: Vec<RegisterField>,
    tag_fields: Vec<RegisterField>,
    move_document: Vec<RegisterField>,
    yearly_count_on: String,
    write_move_within_hours: u32,
    write_within_days: u32,
    report_within_days: u32,
}

fn set(id: &str) -> &'static RuleSet {
    rule_set(id).unwrap_or_else(|| panic!("no rule set {id}"))
}

/// The set of a place, with those of its parts.
fn sets(id: &str) -> Vec<&'static RuleSet> {
    rule_sets().iter().filter(|s| s.id() == id || s.id().starts_with(&format!("{id}-"))).collect()
}

/// Whether a row of a place, or of a part of it, holds in a set.
fn holds_in(set: &RuleSet, ruleset: &str, part: &str) -> bool {
    let of_part = part.is_empty() || set.id() == format!("{ruleset}-{}", part.to_lowercase());
    set.id() == ruleset || set.id().starts_with(&format!("{ruleset}-")) && of_part
}

#[test]
fn each_place_has_its_rule_set() {
    let named = rows::<Named>("rules", "ruleset");
    assert_eq!(named.len() + 3, rule_sets().len(), "and the parts of Great Britain");
    for r in named {
        assert_eq!(set(&r.id).name(), r.name);
    }
    for part in ["England", "Wales", "Scotland"] {
        assert_eq!(set(&format!("gb-{}", part.to_lowercase())).name(), format!("Great Britain: {part}"));
    }
}

#[test]
fn the_books_are_kept_as_long_as_the_source_says() {
    let kept = rows::<Kept>("rules", "kept");
    for book in [Book::Treatment, Book::Register] {
        for set in rule_sets() {
            let told = kept.iter().find(|r| r.record == book && holds_in(set, &r.ruleset, ""));
            let mine = set.retention_of(book).map(|k| (k.years, k.from));
            assert_eq!(mine, told.map(|r| (r.years, r.from)), "{} {book:?}", set.id());
        }
    }
    assert!(rule_sets().iter().all(|s| s.retention() == s.retention_of(Book::Treatment)));
}

#[test]
fn what_is_to_be_written_is_what_the_source_asks() {
    let all = rows::<Fields>("rules", "fields");
    let asking = rule_sets().iter().filter(|s| s.fields().is_some()).count();
    assert_eq!(all.iter().map(|r| sets(&r.ruleset).len()).sum::<usize>(), asking);
    for r in all {
        for set in sets(&r.ruleset) {
            let f = set.fields().unwrap_or_else(|| panic!("{} asks for nothing", r.ruleset));
            assert_eq!(f.required, r.required, "{}", r.ruleset);
            assert_eq!(f.if_prescribed, r.if_prescribed, "{}", r.ruleset);
            assert_eq!(f.if_vet_gave_it, r.if_vet_gave_it, "{}", r.ruleset);
            assert_eq!(f.advised, r.advised, "{}", r.ruleset);
            assert!(f.zero_must_be_written, "{}", r.ruleset);
        }
    }
    let off_label = rows::<OffLabelFields>("rules", "off_label_fields");
    for set in rule_sets() {
        let told = off_label.iter().find(|r| r.ruleset == set.id()).map(|r| r.required.as_slice());
        let mine = set.fields().map(|f| f.off_label.as_slice()).filter(|l| !l.is_empty());
        assert_eq!(mine, told, "{}", set.id());
        assert_eq!(mine.is_some(), set.fields().is_some_and(|f| f.off_label_ground.is_some()));
    }
}

#[test]
fn what_is_to_be_written_of_medicines_bought_and_disposed_of() {
    let all = rows::<Cupboard>("rules", "cupboard");
    for set in rule_sets() {
        let told = |pick: fn(&Cupboard) -> &Vec<CupboardField>| -> Vec<CupboardField> {
            all.iter().filter(|r| holds_in(set, &r.ruleset, "")).flat_map(|r| pick(r).clone()).collect()
        };
        let mine = set.cupboard().cloned().unwrap_or_default();
        for (list, ground, told) in [
            (&mine.acquired, &mine.acquired_ground, told(|r| &r.acquired)),
            (&mine.disposed, &mine.disposed_ground, told(|r| &r.disposed)),
            (&mine.advised, &mine.advised_ground, told(|r| &r.advised)),
        ] {
            assert_eq!(list, &told, "{}", set.id());
            assert_eq!(ground.is_some(), !told.is_empty(), "{}: a list has its ground", set.id());
        }
    }
    let memory =
        |id: &str| set(id).cupboard().and_then(|c| c.disposed_ground.as_ref()).map(Ground::is_memory);
    assert_eq!((memory("gb"), memory("ni")), (Some(true), Some(false)));
}

#[test]
fn rings_end_no_later_than_any_source_says() {
    let all = rows::<Ring>("rules", "ring");
    for set in rule_sets() {
        for what in [Procedure::Castration, Procedure::Docking] {
            let told = all.iter().filter(|r| holds_in(set, &r.ruleset, &r.part) && r.what == what);
            let least = told.map(|r| r.last_day).min();
            assert_eq!(set.ring(what).map(|l| l.last_day), least, "{} {what:?}", set.id());
        }
    }
}

#[test]
fn what_must_be_left_of_a_tail() {
    let all = rows::<Keep>("rules", "keep");
    for set in rule_sets() {
        let told: Vec<&Keep> = all.iter().filter(|r| holds_in(set, &r.ruleset, &r.part)).collect();
        for r in &told {
            let found = set.keep().iter().any(|k| k.text == r.text && k.advice == r.advice);
            assert!(found, "{}: {}", set.id(), r.text);
        }
        for k in set.keep() {
            assert!(told.iter().any(|r| r.text == k.text), "{}: {}", set.id(), k.text);
        }
    }
}

/// Every row on castration and docking is told with its source, and nothing beside them.
#[test]
fn castration_and_docking_are_told_whole() {
    let all = rows::<Done>("rules", "procedure");
    for set in rule_sets() {
        let told: Vec<&Done> = all.iter().filter(|r| holds_in(set, &r.ruleset, &r.part)).collect();
        let said = set.procedure_words();
        assert_eq!(said.len(), told.len(), "{}", set.id());
        for (r, (words, ground)) in told.into_iter().zip(said) {
            assert!(ground.to_string().starts_with(&r.said_source), "{ground}");
            assert_eq!(ground.is_memory(), r.from_memory, "{ground}");
            let low = words.to_lowercase();
            assert!(low.contains(&r.what) && words.contains(&r.part), "{words}");
            assert!(
                !r.says.is_empty() && r.says.iter().all(|part| words.contains(part)),
                "{words}: {:?}",
                r.says
            );
        }
    }
}

#[test]
fn tags_are_in_by_the_age_the_source_says() {
    let all = rows::<Tagged>("rules", "tagging");
    for set in rule_sets() {
        let told = all.iter().find(|r| holds_in(set, &r.ruleset, ""));
        assert_eq!(set.tagging().is_some(), told.is_some(), "{}", set.id());
        let Some((mine, r)) = set.tagging().zip(told) else { continue };
        let some = |n: u32| (n > 0).then_some(n);
        assert_eq!(mine.months_max, some(r.months_max));
        assert_eq!(mine.months_if_housed, some(r.months_if_housed));
        assert_eq!(mine.replace_lost_within_days, some(r.replace_lost_within_days));
        assert_eq!(mine.before_leaving, r.before_leaving);
        assert_eq!(mine.before_change_of_ownership, r.before_change_of_ownership);
        assert_eq!(mine.applies_to, r.applies_to);
        assert!(r.applies_to.iter().all(|who| mine.words.contains(who)), "{}", mine.words);
    }
}

#[test]
fn registers_hold_what_the_source_asks() {
    let all = rows::<Register>("rules", "register");
    for set in rule_sets() {
        let told =
            all.iter().find(|r| r.ruleset == set.id() || set.id() == "gb" && r.ruleset == "gb-england");
        assert_eq!(set.register().is_some(), told.is_some(), "{}", set.id());
        let Some((mine, r)) = set.register().zip(told) else { continue };
        let some = |n: u32| (n > 0).then_some(n);
        assert_eq!(mine.holds, r.holds, "{}", set.id());
        assert_eq!(mine.animal_fields, r.animal_fields, "{}", set.id());
        assert_eq!(mine.move_fields, r.move_fields, "{}", set.id());
        assert_eq!(mine.death_fields, r.death_fields, "{}", set.id());
        assert_eq!(mine.tag_fields, r.tag_fields, "{}", set.id());
        assert_eq!(mine.move_document, r.move_document, "{}", set.id());
        assert_eq!(mine.yearly_count_on.map(|d| d.to_string()).unwrap_or_default(), r.yearly_count_on);
        assert_eq!(mine.write_move_within_hours, some(r.write_move_within_hours));
        assert_eq!(mine.write_within_days, some(r.write_within_days));
        assert_eq!(mine.report_within_days, some(r.report_within_days));
    }
}
