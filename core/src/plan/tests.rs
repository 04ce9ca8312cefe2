use super::*;

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
fn a_step_that_could_not_be_read_again_does_not_fit() {
    let good = (**Plan::default().step(2026, "weigh_30").expect("shipped")).clone();
    let mut late = good.clone();
    late.times.earliest = Span::days(31);
    let mut wordless = good.clone();
    wordless.short = "  ".into();
    let mut often = good.clone();
    often.repeat = Some(Repeat { every: Span::ZERO, until_weaning: false, most: 3 });
    for (step, why) in [
        (late, "do not follow one another"),
        (wordless, "needs 1 to 40 letters"),
        (often, "needs a span above zero"),
    ] {
        let e = fits(&Plan::default(), &step).expect_err(why);
        assert!(e.0.contains(why), "{e}");
    }
    assert_eq!(fits(&Plan::default(), &good), Ok(()));
}
