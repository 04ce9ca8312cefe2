use super::*;
use crate::terms::{IdentityKind, Withdrawal};

fn verdict(id: &str, kind: IdentityKind, text: &str) -> String {
    match rule_set(id).unwrap().judge(kind, text) {
        MarkVerdict::Fits(rule) => rule.key.clone(),
        MarkVerdict::FitsNone(words) => words,
        MarkVerdict::NotJudged => "not judged".into(),
    }
}

/// The samples beside each pattern, from the sources of the rows.
#[test]
fn the_samples_of_each_pattern_fit_or_not() {
    let mut tried = 0;
    for set in rule_sets() {
        for mark in set.marks() {
            assert!(!mark.valid.is_empty() && !mark.invalid.is_empty(), "{}", mark.key);
            for text in &mark.valid {
                assert_eq!(mark.fits(text), Ok(()), "{}: {text}", mark.key);
                assert_eq!(mark.fits(&text.to_lowercase()), Ok(()), "{}: {text}", mark.key);
                tried += 1;
            }
            for text in &mark.invalid {
                assert!(mark.fits(text).is_err(), "{}: {text}", mark.key);
                tried += 1;
            }
        }
    }
    assert!(tried > 60, "{tried}");
}

#[test]
fn marks_are_judged_as_they_are_typed() {
    use IdentityKind::{Electronic, Flock, Official, Registry};
    assert_eq!(verdict("gb", Official, "uk 0123456 00123"), "gb_individual");
    assert_eq!(verdict("gb", Official, "UK-0123456"), "gb_slaughter");
    assert!(
        verdict("gb-wales", Official, "UK 0023456 00123")
            .starts_with("'UK 0023456 00123' has not the shape of")
    );
    assert_eq!(verdict("eu", Official, "EL 123456789012"), "eu_animal");
    assert!(verdict("eu", Official, "GR 123456789012").contains("Greece is written EL"));
    assert_eq!(verdict("us", Official, "MEX1234"), "us_flock");
    assert_eq!(verdict("us", Official, "MEX1234 0012"), "us_flock");
    assert_eq!(verdict("us", Official, "ME X1234-0012"), "us_flock");
    assert_eq!(verdict("us", Official, "840003123456789"), "us_ain");
    assert!(verdict("us", Official, "MEQ1234 0012").contains("has not the shape of a flock ID"));
    assert!(verdict("us", Official, "IO1234").contains("begins with no letters known"));
    assert_eq!(verdict("us", Flock, "IO1234"), "not judged");
    assert_eq!(verdict("gb", Registry, "anything"), "not judged");
    assert_eq!(verdict("nz", Official, "anything"), "not judged");
    for id in ["eu", "gb-england", "us", "nz"] {
        assert_eq!(verdict(id, Electronic, "826 012345600123"), "iso11784");
        assert_eq!(verdict(id, Electronic, "0x8000CE82DFDAE87B"), "iso11784");
        assert!(verdict(id, Electronic, "826 999999999999").contains("274877906943"));
        assert!(verdict(id, Electronic, "999 000000000001").contains("trying readers"));
        assert!(verdict(id, Electronic, "000 012345600123").contains("no country"));
        assert!(verdict(id, Electronic, "82601234560012").contains("has not the shape"));
    }
    let iso = &rule_set("nz").unwrap().marks()[0];
    assert!(iso.is_makers("982 000123456789") && !iso.is_makers("826 012345600123"));
}

#[test]
fn holding_numbers_keep_their_slashes() {
    let judged = |id: &str, text: &str| rule_set(id).unwrap().judge_holding(text);
    assert!(matches!(judged("gb", " 34/123/1234 "), MarkVerdict::Fits(rule) if rule.key == "gb_holding"));
    assert!(
        matches!(judged("gb", "34-123-1234"), MarkVerdict::FitsNone(words) if words.contains("34/123/1234"))
    );
    assert_eq!(judged("us", "34/123/1234"), MarkVerdict::NotJudged);
}

#[test]
fn banned_substances_are_found_by_their_words() {
    let us = rule_set("us").unwrap();
    let found = |text: &str| us.banned(text).map(|ban| ban.substance);
    assert_eq!(found("Enrofloxacin 100 mg/ml").as_deref(), Some("enrofloxacin (fluoroquinolones)"));
    assert_eq!(found("a fluoroquinolone").as_deref(), Some("fluoroquinolones"));
    assert_eq!(found("nitrofurans").as_deref(), Some("nitrofurans"));
    assert_eq!(found("lidocaine, CHLORAMPHENICOL").as_deref(), Some("chloramphenicol"));
    assert_eq!((found("florfenicol"), found("oxytetracycline; ivermectin"), found("")), (None, None, None));
    assert!(us.banned("danofloxacin").unwrap().ground.is_memory());
    assert!(!us.banned("vancomycin").unwrap().ground.is_memory());
    assert!(rule_sets().iter().filter(|s| s.id() != "us").all(|s| s.banned("chloramphenicol").is_none()));
}

/// Regulation (EU) 2018/848 Annex II Part II point 1.5.2.5: twice the period, at least 48 hours.
#[test]
fn organic_flocks_wait_twice_as_long() {
    let organic = rule_set("eu").unwrap().organic().unwrap();
    for (label, least) in [
        (Withdrawal::Days(0), Withdrawal::Days(2)),
        (Withdrawal::Days(1), Withdrawal::Days(2)),
        (Withdrawal::Days(28), Withdrawal::Days(56)),
        (Withdrawal::Hours(12), Withdrawal::Hours(48)),
        (Withdrawal::Hours(60), Withdrawal::Hours(120)),
        (Withdrawal::Unknown, Withdrawal::Unknown),
        (Withdrawal::Never, Withdrawal::Never),
    ] {
        assert_eq!(organic.at_least(label, false), least, "{label}");
        assert_eq!(organic.at_least(label, true), label, "a vaccine keeps its own");
    }
    assert_eq!(rule_sets().iter().filter(|s| s.organic().is_some()).count(), 1);
    let export: Vec<&str> = rule_sets().iter().filter(|s| s.tracks_export()).map(RuleSet::id).collect();
    assert_eq!(export, ["au"]);
    assert!(
        rule_set("au").unwrap().export_ground().unwrap().to_string().contains("Export slaughter intervals")
    );
}
