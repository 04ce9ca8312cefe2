//! Worm egg count reductions against published results and another program's values; sources in `reference/worms.toml`.

use hirsel_core::handbook::worms::{
    before_least_epg, group_least, lower_percent, reduction_percent, windows,
};
use hirsel_core::reckon::worms::{Limits, Verdict, epg_per_egg, reduction, reduction_counted, t_975, window};
use hirsel_tests::reference::rows;
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Test {
    before: Vec<f64>,
    after: Vec<f64>,
    paired: bool,
    percent: f64,
    low: f64,
    high: f64,
    /// What the published figures are rounded to.
    within: f64,
    verdict: String,
}

fn verdict(name: &str) -> Verdict {
    match name {
        "works" => Verdict::Works,
        "suspected" => Verdict::Suspected,
        "resistant" => Verdict::Resistant,
        _ => panic!("{name}"),
    }
}

#[test]
fn reductions_and_their_limits() {
    for r in rows::<Test>("worms", "test") {
        let got = reduction(&r.before, &r.after, r.paired).expect("a reduction");
        let low = got.low.expect("a limit");
        let high = got.high.expect("a limit");
        for (name, ours, theirs) in
            [("percent", got.percent, r.percent), ("low", low, r.low), ("high", high, r.high)]
        {
            assert!((ours - theirs).abs() <= r.within, "{name}: {ours}, not {theirs}");
        }
        assert_eq!(got.verdict, verdict(&r.verdict), "{}", got.words());
        assert_eq!(got.limits, if r.paired { Limits::Paired } else { Limits::Unpaired });
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NoneAfter {
    eggs: u32,
    low: f64,
}

#[test]
fn no_egg_after() {
    for r in rows::<NoneAfter>("worms", "none_after") {
        let before = [f64::from(r.eggs) * 50.0, 0.0];
        let got = reduction_counted(&before, &[0.0, 0.0], true, Some(50.0)).expect("a reduction");
        assert!((got.low.expect("a limit") - r.low).abs() < 1e-9, "{got:?}");
        assert_eq!((got.percent, got.high, got.limits), (100.0, Some(100.0), Limits::NoEggAfter));
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Quantile {
    degrees: usize,
    t: f64,
    within: f64,
}

#[test]
fn students_t() {
    for r in rows::<Quantile>("worms", "student") {
        let t = t_975(r.degrees).expect("a quantile");
        assert!((t - r.t).abs() <= r.within, "{}: {t}, not {}", r.degrees, r.t);
    }
    assert_eq!(t_975(0), None);
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Eggs {
    grams: f64,
    total_ml: f64,
    chambers: u32,
    chamber_ml: f64,
    epg: f64,
}

#[test]
fn eggs_per_gram_of_one_egg() {
    for r in rows::<Eggs>("worms", "egg") {
        let epg = epg_per_egg(r.grams, r.total_ml, r.chambers, r.chamber_ml).expect("a count");
        assert!((epg - r.epg).abs() < 1e-9, "{epg}");
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Bound {
    name: String,
    value: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Days {
    substance: String,
    from_days: i64,
    to_days: i64,
}

#[test]
fn bounds_and_days_are_the_reference_ones() {
    let all = [
        ("reduction_percent", reduction_percent()),
        ("lower_percent", lower_percent()),
        ("group_least", group_least() as f64),
        ("before_least_epg", before_least_epg().into()),
    ];
    let read = rows::<Bound>("worms", "bound");
    assert_eq!(read.iter().map(|r| (r.name.as_str(), r.value)).collect::<Vec<_>>(), all);
    let days = rows::<Days>("worms", "days");
    assert_eq!(days.len(), windows().len());
    for r in days {
        let got = window(Some(&r.substance)).expect("a window");
        assert_eq!((got.from_days, got.to_days), (r.from_days, r.to_days), "{}", r.substance);
    }
}
