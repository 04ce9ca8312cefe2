//! Any step that is let through is kept and read again as it was.

use super::*;
use crate::handbook::Ground;
use crate::phrase;
use crate::terms::{MeantFor, Sex};
use proptest::prelude::*;

fn span() -> impl Strategy<Value = Span> {
    prop_oneof![
        (-200i64..400).prop_map(Span::days),
        (-3000i64..3000).prop_map(Span::minutes),
        (-90i64..90).prop_map(|h| Span::minutes(60 * h)),
    ]
}

/// Words of people, some of which have broken formats before.
fn words() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-zA-Z éÅ’'\"#=,.:|\\[\\]\\\\-]{1,40}",
        Just("\"\"\"".to_string()),
        Just("'''".to_string()),
        Just(phrase!("common practice, no source")),
        Just(phrase!("two\nlines\tand a tab")),
    ]
}

fn when() -> impl Strategy<Value = When> {
    let sexes = proptest::sample::subsequence(vec![Sex::Ewe, Sex::Ram, Sex::Wether], 1..=3);
    let meant =
        proptest::sample::subsequence(vec![MeantFor::Breeding, MeantFor::Market, MeantFor::Undecided], 1..=3);
    (
        proptest::option::of(sexes),
        proptest::option::of(meant),
        proptest::option::of(prop_oneof![Just(RearedBy::Ewe), Just(RearedBy::Bottle)]),
        proptest::option::of(0u8..8),
        proptest::option::of(any::<bool>()),
        proptest::option::of(0i64..9000),
    )
        .prop_map(|(sex, meant_for, reared_by, born_with, rearing, lighter_g)| When {
            sex,
            meant_for,
            reared_by,
            born_with,
            rearing,
            lighter_g,
            ..When::default()
        })
}

fn ground() -> impl Strategy<Value = Ground> {
    prop_oneof![words().prop_map(Ground::Seen), words().prop_map(Ground::Memory), Just(Ground::Practice),]
}

fn step() -> impl Strategy<Value = Step> {
    let times = proptest::collection::vec(span(), 4);
    let what = (words(), words(), proptest::option::of(words()), proptest::option::of(words()));
    let from = prop_oneof![
        Just(Anchor::Birth),
        Just(Anchor::Weaning),
        Just(Anchor::After(vec!["clostridial".into()])),
        "[a-z_]{1,9}".prop_map(|k| Anchor::After(vec![k])),
        Just(Anchor::After(Vec::new())),
    ];
    let done = prop_oneof![
        Just(DoneBy::Tick),
        Just(DoneBy::Weighing),
        Just(DoneBy::Treatment(String::new())),
        Just(DoneBy::Treatment("clostridial".into())),
        Just(DoneBy::Treatment("any".into())),
    ];
    (times, any::<bool>(), what, from, done, when(), ground(), any::<bool>(), any::<bool>()).prop_map(
        |(mut t, sorted, (job, short, caution, product), anchor, done_by, when, ground, late, off)| {
            if sorted {
                t.sort_unstable();
            }
            Step {
                key: key_for(&short, &Plan::default()),
                whom: Whom::Lamb,
                job,
                short,
                anchor,
                times: Times { earliest: t[0], due: t[1], late: late.then_some(t[2]), close: t[3] },
                law: None,
                done_by,
                product,
                when,
                repeat: None,
                off,
                caution,
                why: None,
                ground,
                other: Vec::new(),
            }
        },
    )
}

proptest! {
    #[test]
    fn a_step_that_is_let_through_is_read_again_as_it_was(step in step()) {
        let plan = Plan::default();
        let wrong = faults(&plan, &step);
        let again = Step::from_toml(&step.to_toml());
        let t = step.times;
        let late = t.late.unwrap_or(t.due);
        let in_order = t.earliest <= t.due && t.due <= late && late <= t.close;
        prop_assert_eq!(wrong.iter().any(|(f, _)| ["due", "late", "close"].contains(f)), !in_order);
        if wrong.is_empty() {
            prop_assert_eq!(again, Ok(step));
        } else {
            prop_assert!(fits(&plan, &step).is_err());
        }
    }

    #[test]
    fn every_span_is_printed_as_it_is_read(n in -2_000_000i64..2_000_000) {
        let span = Span::minutes(n);
        prop_assert_eq!(Span::parse(&span.to_string()), Ok(span));
    }

    #[test]
    fn a_key_is_free_and_fit_whatever_the_words(words in ".{0,60}") {
        let mut own = (**Plan::default().step(2026, "navel").expect("shipped")).clone();
        own.key = key_for(&words, &Plan::default());
        prop_assert_eq!(faults(&Plan::default(), &own), Vec::new());
        prop_assert!(Plan::default().step(2026, &own.key).is_none());
    }
}
