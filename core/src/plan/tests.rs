use super::*;
use crate::handbook::Ground;

#[test]
fn the_shipped_steps_are_whole() {
    let plan = Plan::default();
    let keys: Vec<&str> = plan.base.iter().map(|s| s.key.as_str()).collect();
    let mut once = keys.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), keys.len(), "a key stands twice");
    for step in plan.base.iter() {
        assert_eq!(fits(&plan, step), Ok(()), "{}", step.key);
        assert_eq!(Step::from_toml(&step.to_toml()).as_ref(), Ok(&**step), "{}", step.to_toml());
    }
}

#[test]
fn the_keepers_step_takes_the_place_of_the_shipped_one() {
    let mut step = (**Plan::default().step(2026, "clostridial").expect("shipped")).clone();
    step.times.due = Span::days(42);
    step.times.late = Some(Span::days(56));
    let change = |season, step: &Step| PlanStep { id: PlanStepId::new(), season, step: step.clone() };
    let plan = Plan::with(vec![change(Some(2026), &step)]);
    assert_eq!(plan.step(2026, "clostridial").expect("there").times.due, Span::days(42));
    assert_eq!(plan.step(2025, "clostridial").expect("there").times.due, Span::days(28));
    step.key = "own".into();
    let plan = Plan::with(vec![change(None, &step)]);
    assert_eq!(plan.steps(2026).last().map(|s| s.key.as_str()), Some("own"));
    assert_eq!(plan.steps(2026).len(), Plan::default().steps(2026).len() + 1);
}

#[test]
fn a_wrong_step_is_refused_by_name() {
    let good = Plan::default().step(2026, "navel").expect("shipped").to_toml();
    for (from, to, why) in [
        ("due = \"15 min\"", "due = \"3 d\"", "do not follow one another"),
        ("key = \"navel\"", "key = \"Navel Dip\"", "is no key"),
        ("done_by = \"navel\"", "done_by = \"wishing\"", "nothing that can complete"),
        ("anchor = \"birth\"", "anchor = \"Easter Monday\"", "neither an anchor"),
        ("earliest = \"0 d\"", "earliest = \"soon\"", "no span of time"),
        ("short = \"Navel dipped\"", "short = \"\"", "needs 1 to 40 letters"),
    ] {
        let text = good.replace(from, to);
        assert_ne!(text, good, "{from}");
        let e = Step::from_toml(&text).expect_err(to);
        assert!(e.0.contains(why), "{to}: {e}");
    }
    let mut own = (**Plan::default().step(2026, "navel").expect("shipped")).clone();
    own.anchor = Anchor::After(vec!["nothing".into()]);
    assert!(fits(&Plan::default(), &own).is_err());
    own.anchor = Anchor::After(vec!["navel".into()]);
    assert!(fits(&Plan::default(), &own).is_err());
    own.anchor = Anchor::Birth;
    own.done_by = DoneBy::Treatment("luck".into());
    assert!(fits(&Plan::default(), &own).is_err());
}

#[test]
fn kinds_are_found_in_words() {
    assert!(is_of_kind("clostridial", ["Clostridial vaccine 4-in-1"]));
    assert!(is_of_kind("clostridial", ["Vaccine A", "tetanus toxoid"]));
    assert!(!is_of_kind("clostridial", ["Levamisole drench"]));
    assert!(is_of_kind("", ["anything"]));
    assert!(!is_of_kind("luck", ["luck"]));
}

#[test]
fn what_is_wrong_is_told_beside_its_field() {
    let plan = Plan::default();
    let good = (**plan.step(2026, "clostridial").expect("shipped")).clone();
    assert_eq!(faults(&plan, &good), Vec::new());
    let wrong = |change: fn(&mut Step)| {
        let mut step = good.clone();
        change(&mut step);
        faults(&plan, &step)
            .into_iter()
            .map(|(field, e)| format!("{field}: {e}"))
            .collect::<Vec<_>>()
            .join("; ")
    };
    for (change, told) in [
        ((|s| s.times.due = Span::days(2)) as fn(&mut Step), "due: the due time (2 d) must not lie before"),
        (|s| s.times.late = Some(Span::days(8)), "late: the time from which it is late (8 d)"),
        (|s| s.times.close = Span::ZERO, "close: the last time (0 d)"),
        (|s| s.short = " ".into(), "short: a few words are needed"),
        (|s| s.job = "x".repeat(161), "job: 161 letters"),
        (|s| s.anchor = Anchor::Lambing, "anchor: a step for lambs cannot be counted from her lambing"),
        (
            |s| s.anchor = Anchor::After(vec!["booster".into()]),
            "anchor: 'Clostridial booster' is a step for ewes",
        ),
        (|s| s.ground = Ground::Seen("common practice, no source".into()), "step: "),
    ] {
        let said = wrong(change);
        assert!(said.starts_with(told), "{told}: {said}");
    }
}

#[test]
fn steps_counted_from_each_other_in_a_ring_are_refused() {
    let own = |key: &str, after: &str| {
        let mut step = (**Plan::default().step(2026, "navel").expect("shipped")).clone();
        step.key = key.into();
        step.anchor = Anchor::After(vec![after.into()]);
        step
    };
    let change = |step: Step| PlanStep { id: PlanStepId::new(), season: None, step };
    let plan = Plan::with(vec![change(own("b", "a")), change(own("c", "b")), change(own("a", "navel"))]);
    assert!(faults(&plan, &own("a", "c"))[0].1.0.contains("counted from each other"));
    assert_eq!(fits(&plan, &own("a", "navel_again")), Ok(()));
}

#[test]
fn a_key_is_made_of_the_short_words() {
    let plan = Plan::default();
    for (words, key) in [
        ("Fly strike, first", "fly_strike_first"),
        ("Navel", "navel_2"),
        ("Birth", "birth_2"),
        ("ÅÄÖ", "step"),
        ("", "step"),
        ("Pour-on against flies, all lambs at grass", "pour_on_against_flies_all_lambs_at"),
    ] {
        assert_eq!(key_for(words, &plan), key, "{words}");
    }
}

#[test]
fn how_a_step_stands_is_said_in_words() {
    let navel = (**Plan::default().step(2026, "navel").expect("shipped")).clone();
    let change = |season, step: &Step| PlanStep { id: PlanStepId::new(), season, step: step.clone() };
    assert_eq!(Plan::default().stands("navel"), "as shipped");
    assert_eq!(Plan::default().stands("energy"), "left out, as shipped");
    let (mut later, mut off, mut own) = (navel.clone(), navel.clone(), navel.clone());
    later.times.due = Span::minutes(30);
    off.off = true;
    own.key = "own".into();
    let plan = Plan::with(vec![change(None, &later), change(Some(2027), &off), change(Some(2026), &navel)]);
    assert_eq!(plan.stands("navel"), "changed, changed for 2026, left out for 2027");
    assert_eq!(Plan::with(vec![change(None, &own)]).stands("own"), "own");
    assert_eq!(Plan::with(vec![change(Some(2026), &own)]).stands("own"), "own for 2026");
}

#[test]
fn a_step_is_said_in_words() {
    let plan = Plan::default();
    let whom = |key: &str| {
        let step = plan.step(2026, key).expect(key);
        step.when.words(step.whom)
    };
    assert_eq!(whom("navel"), "all lambs");
    assert_eq!(whom("booster"), "vaccinated in years before");
    let step = plan.steps(2026).iter().find(|s| matches!(s.anchor, Anchor::After(_))).expect("one");
    assert!(plan.counted_from(step).starts_with("'Clostridial"), "{}", plan.counted_from(step));
    for (text, words) in [
        ("0 h", "at once"),
        ("15 min", "15 minutes"),
        ("1 h", "1 hour"),
        ("24 h", "1 day"),
        ("4 w", "4 weeks"),
        ("-28 d", "4 weeks before"),
        ("-1 d", "1 day before"),
    ] {
        assert_eq!(Span::parse(text).map(Span::words).as_deref(), Ok(words), "{text}");
    }
    let short = |n| Span::days(n).short();
    assert_eq!([short(0), short(21), short(-28)], ["at once", "21 d", "4 w before"]);
}

#[test]
fn a_step_that_could_not_be_read_again_does_not_fit() {
    let good = (**Plan::default().step(2026, "weigh_30").expect("shipped")).clone();
    let mut late = good.clone();
    late.times.earliest = Span::days(31);
    let mut often = good.clone();
    often.repeat = Some(Repeat { every: Span::ZERO, until_weaning: false, most: 3 });
    assert!(fits(&Plan::default(), &late).is_err() && fits(&Plan::default(), &often).is_err());
    assert_eq!(fits(&Plan::default(), &good), Ok(()));
}
