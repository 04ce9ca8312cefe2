//! What a keeper's own step must hold to: it is kept as text, so only what is read again as it was may be written.

use super::step::is_key;
use super::{Anchor, DoneBy, KINDS, Plan, Span, Step, Whom, kinds};
use crate::phrase;
use crate::terms::Misread;

/// The longest sentence of a job, in letters.
pub(super) const JOB: usize = 160;
/// The longest short words of a job, in letters.
pub(super) const SHORT: usize = 40;

impl Whom {
    /// What the days of a step can be counted from, other steps aside.
    pub fn anchors(self) -> &'static [Anchor] {
        match self {
            Self::Lamb => &[Anchor::Birth, Anchor::Weaning],
            Self::Ewe => &[
                Anchor::Season,
                Anchor::Joining,
                Anchor::Due,
                Anchor::LastDue,
                Anchor::Lambing,
                Anchor::Weaning,
            ],
            Self::Ram => &[Anchor::Season],
        }
    }
}

/// What is wrong with a keeper's step, each with the field it belongs to: `job`, `short`, `anchor`, `done_by`, `due`,
/// `late`, `close`, or `step` for the whole of it.
pub fn faults(plan: &Plan, step: &Step) -> Vec<(&'static str, Misread)> {
    let mut all = Vec::new();
    for (field, text, most) in [("job", &step.job, JOB), ("short", &step.short, SHORT)] {
        let letters = text.trim().chars().count();
        if letters == 0 {
            all.push((field, Misread::new("a few words are needed: what is to be done?")));
        } else if text.chars().count() > most {
            let why = phrase!("{letters} letters are too many for one line: at most {most}");
            all.push((field, Misread::new(why)));
        }
    }
    times(step, &mut all);
    if let Err(e) = anchor(plan, step) {
        all.push(("anchor", e));
    }
    if let DoneBy::Treatment(kind) = &step.done_by
        && !kind.is_empty()
        && !KINDS.contains_key(kind)
    {
        let known: Vec<&str> = kinds().map(|(name, _)| name).collect();
        let why = phrase!("'{kind}' is no kind of treatment: write {}", known.join(", "));
        all.push(("done_by", Misread::new(why)));
    }
    if all.is_empty() {
        match Step::from_toml(&step.to_toml()) {
            Ok(again) if again == *step => {}
            Ok(_) => all.push(("step", Misread::new("this step would be read again as another one"))),
            Err(e) => all.push(("step", e)),
        }
    }
    all
}

/// Checks a keeper's step against the rest of the plan.
///
/// # Errors
/// The first of its [`faults`].
pub fn fits(plan: &Plan, step: &Step) -> Result<(), Misread> {
    faults(plan, step).into_iter().next().map_or(Ok(()), |(_, e)| Err(e))
}

fn times(step: &Step, all: &mut Vec<(&'static str, Misread)>) {
    let t = step.times;
    let late = t.late.unwrap_or(t.due);
    let mut follows = |field, what: &'static str, later: Span, before: &'static str, earlier: Span| {
        if later < earlier {
            let why = phrase!("{what} ({later}) must not lie before {before} ({earlier})");
            all.push((field, Misread::new(why)));
        }
    };
    follows("due", "the due time", t.due, "the earliest", t.earliest);
    follows("late", "the time from which it is late", late, "the due time", t.due);
    follows("close", "the last time", t.close, "the time from which it is late", late);
}

fn anchor(plan: &Plan, step: &Step) -> Result<(), Misread> {
    let Anchor::After(keys) = &step.anchor else {
        if step.whom.anchors().contains(&step.anchor) {
            return Ok(());
        }
        let (whom, what) = (step.whom.words(), step.anchor.words());
        return Err(Misread::new(phrase!("a step for {whom} cannot be counted from {what}")));
    };
    if keys.is_empty() {
        return Err(Misread::new("which step is it counted from?"));
    }
    for key in keys {
        if *key == step.key {
            return Err(Misread::new(phrase!("the step '{}' cannot be counted from itself", step.short)));
        }
        let Some(before) = plan.all().find(|s| s.key == *key) else {
            return Err(Misread::new(phrase!("there is no step '{key}' to count from")));
        };
        if before.whom != step.whom {
            let (short, theirs, ours) = (&before.short, before.whom.words(), step.whom.words());
            let why = phrase!("'{short}' is a step for {theirs}: one for {ours} cannot be counted from it");
            return Err(Misread::new(why));
        }
    }
    // Upwards from step to step: never back to this one.
    let (mut seen, mut open) = (Vec::new(), keys.clone());
    while let Some(key) = open.pop() {
        if seen.contains(&key) {
            continue;
        }
        for before in plan.all().filter(|s| s.key == key) {
            if let Anchor::After(up) = &before.anchor {
                if up.contains(&step.key) {
                    let (a, b) = (&before.short, &step.short);
                    return Err(Misread::new(phrase!("'{a}' and '{b}' would be counted from each other")));
                }
                open.extend(up.iter().cloned());
            }
        }
        seen.push(key);
    }
    Ok(())
}

/// A key for a step of the keeper's own, made from its short words, that no step and no anchor has.
pub fn key_for(words: &str, plan: &Plan) -> String {
    let mut key = String::new();
    for c in words.to_lowercase().chars() {
        if c.is_ascii_alphanumeric() {
            key.push(c);
        } else if !key.is_empty() && !key.ends_with('_') {
            key.push('_');
        }
    }
    key.truncate(34);
    let key = key.trim_end_matches('_');
    let key = if is_key(key) { key } else { "step" };
    let free =
        |k: &str| !Anchor::WORDS.iter().any(|(word, _)| *word == k) && !plan.all().any(|step| step.key == k);
    let numbered = (2..).map(|n: u32| format!("{key}_{n}"));
    std::iter::once(key.to_string()).chain(numbered).find(|k| free(k)).unwrap_or_default()
}
