use super::*;
use proptest::prelude::*;

const BEFORE: [f64; 10] = [350.0, 150.0, 600.0, 200.0, 450.0, 900.0, 250.0, 300.0, 500.0, 400.0];

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[test]
fn the_rule_reads_reduction_and_lower_limit() {
    assert_eq!(judge(96.0, Some(91.0)), Verdict::Works);
    assert_eq!(judge(96.0, Some(90.0)), Verdict::Suspected);
    assert_eq!(judge(94.9, Some(90.1)), Verdict::Suspected);
    assert_eq!(judge(94.9, Some(90.0)), Verdict::Resistant);
    assert_eq!(judge(95.0, Some(90.1)), Verdict::Works);
    assert_eq!(judge(94.9, None), Verdict::SuspectedNoLimit);
    assert_eq!(judge(100.0, None), Verdict::NoLimit);
}

#[test]
fn no_egg_after_has_a_limit_only_with_the_eggs_counted() {
    let none = [0.0; 10];
    let r = reduction(&BEFORE, &none, true).unwrap();
    assert_eq!((r.percent, r.low, r.high, r.limits), (100.0, None, None, Limits::AllZero));
    assert_eq!(r.verdict, Verdict::NoLimit);
    assert_eq!(r.cautions(), ["no limits: all counts after the treatment are zero"]);
    // 4100 eggs per gram at 100 an egg are 41 eggs.
    let r = reduction_counted(&BEFORE, &none, true, Some(100.0)).unwrap();
    assert!(close(r.low.unwrap(), 100.0 * 0.025f64.powf(1.0 / 42.0)));
    assert_eq!((r.high, r.limits, r.verdict), (Some(100.0), Limits::NoEggAfter, Verdict::Works));
    // Half the animals: half the eggs would have been counted, 20 of 20.5.
    let r = reduction_counted(&BEFORE, &none[..5], false, Some(100.0)).unwrap();
    assert!(close(r.low.unwrap(), 100.0 * 0.025f64.powf(1.0 / 21.0)));
    assert_eq!(r.verdict, Verdict::Suspected, "too few eggs to tell");
    let r = reduction_counted(&BEFORE, &none, true, Some(0.0)).unwrap();
    assert_eq!(r.limits, Limits::AllZero);
}

#[test]
fn counts_without_a_reduction_say_why() {
    assert_eq!(reduction(&[], &[1.0], false), Err(NoReduction::NoneBefore));
    assert_eq!(reduction(&[1.0], &[], false), Err(NoReduction::NoneAfter));
    let pairs = reduction(&[1.0, 2.0], &[1.0], true).unwrap_err();
    assert_eq!(pairs, NoReduction::NotPairs { before: 2, after: 1 });
    assert_eq!(pairs.to_string(), "2 counts before and 1 after: the same animals must be counted both times");
    assert_eq!(reduction(&[f64::NAN], &[1.0], false), Err(NoReduction::NotACount));
    assert_eq!(reduction(&[100.0], &[-1.0], false), Err(NoReduction::NotACount));
    assert_eq!(reduction(&[0.0, 0.0], &[50.0, 0.0], true), Err(NoReduction::NoEggs));
}

#[test]
fn one_animal_has_no_limits() {
    let r = reduction(&[500.0], &[50.0], true).unwrap();
    assert_eq!((r.percent, r.low, r.verdict), (90.0, None, Verdict::SuspectedNoLimit));
    assert_eq!(r.cautions()[0], "1 animal: fewer than 10 say little");
    // One against many is no better: a single one has no spread.
    assert_eq!(reduction(&BEFORE, &[50.0], false).unwrap().limits, Limits::OneAnimal);
}

#[test]
fn the_keepers_words() {
    let after: Vec<f64> = BEFORE.iter().map(|b| b * 0.0504).collect();
    let r = reduction(&BEFORE, &after, true).unwrap();
    assert!(
        r.words().starts_with("94.9 % fewer eggs (95 % limits 94.9 to 94.9): resistance is suspected"),
        "{}",
        r.words()
    );
    let more = reduction(&[100.0, 100.0], &[150.0, 100.0], false).unwrap();
    assert!(more.words().starts_with("25 % more eggs"), "{}", more.words());
    assert_eq!(more.cautions().len(), 2, "two animals, and few eggs");
    assert_eq!(tenth(57.1), "57.1");
    assert_eq!(tenth(-6.34), "−6.4");
}

#[test]
fn when_to_count_again() {
    let days = |s| window(s).map(|w| (w.from_days, w.to_days));
    assert_eq!(days(Some("Levamisole hydrochloride")), Some((7, 7)));
    assert_eq!(days(Some("albendazole")), Some((10, 14)));
    assert_eq!(days(Some("moxidectin")), Some((14, 16)));
    assert_eq!(days(Some("abamectin and levamisole")), Some((14, 16)));
    assert_eq!(days(Some("monepantel")), Some((10, 14)));
    assert_eq!(days(None), Some((10, 14)));
    let w = window(Some("ivermectin")).unwrap();
    assert_eq!(window_words(w, 14), None);
    assert_eq!(window_words(w, 16), None);
    assert!(window_words(w, 10).unwrap().contains("too early"));
    assert!(window_words(w, 17).unwrap().starts_with("counted 17 days after the treatment, late"));
    let yellow = window(Some("levamisole")).unwrap();
    assert!(window_words(yellow, 1).unwrap().ends_with("on day 7 after it)"));
}

#[test]
fn eggs_to_eggs_per_gram() {
    assert!(close(epg_per_egg(2.0, 60.0, 1, 0.3).unwrap(), 100.0));
    assert!(close(epg_per_egg(2.0, 60.0, 2, 0.3).unwrap(), 50.0));
    assert_eq!(epg_per_egg(0.0, 60.0, 1, 0.3), None);
    assert_eq!(epg_per_egg(2.0, 60.0, 0, 0.3), None);
    assert_eq!(epg_per_egg(2.0, f64::NAN, 1, 0.3), None);
}

fn counts() -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec(prop_oneof![Just(0.0), (0u32..200).prop_map(|n| f64::from(n) * 50.0)], 1..25)
}

proptest! {
    #[test]
    fn never_a_figure_that_is_none(before in counts(), after in counts(), paired: bool, per in prop::option::of(1.0..100.0f64)) {
        let n = before.len().min(after.len());
        let (b, a) = if paired { (&before[..n], &after[..n]) } else { (&before[..], &after[..]) };
        match reduction_counted(b, a, paired, per) {
            Err(why) => prop_assert_eq!(why, NoReduction::NoEggs),
            Ok(r) => {
                prop_assert!(r.percent.is_finite() && r.percent <= 100.0);
                prop_assert_eq!(r.low.is_some(), r.high.is_some());
                if let (Some(low), Some(high)) = (r.low, r.high) {
                    prop_assert!(low.is_finite() && high.is_finite() && high <= 100.0, "{:?}", r);
                    prop_assert!(low <= r.percent + 1e-9 && r.percent <= high + 1e-9, "{:?}", r);
                }
            }
        }
    }

    /// Counts in other units say the same.
    #[test]
    fn the_unit_does_not_matter(before in counts(), after in counts()) {
        let other = |c: &[f64]| c.iter().map(|x| x / 50.0).collect::<Vec<_>>();
        let (one, two) = (reduction(&before, &after, false), reduction(&other(&before), &other(&after), false));
        match (one, two) {
            (Ok(one), Ok(two)) => {
                prop_assert!((one.percent - two.percent).abs() < 1e-6);
                if let (Some(a), Some(b)) = (one.low, two.low) {
                    prop_assert!((a - b).abs() < 1e-6 * a.abs().max(1.0));
                }
            }
            (one, two) => prop_assert_eq!(one, two),
        }
    }
}
