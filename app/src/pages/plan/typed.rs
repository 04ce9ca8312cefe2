//! The form of a step as typed, and the step it means.

use super::super::Ctx;
use super::super::fields::some;
use crate::parts::PickerState;
use hirsel_core::handbook::Ground;
use hirsel_core::phrase;
use hirsel_core::plan::{
    Anchor, DoneBy, Plan, RearedBy, Span, Step, Times, Variant, When, Whom, key_for, kinds,
};
use hirsel_core::terms::{Day, MeantFor, ProductId, Sex};
use serde::{Deserialize, Serialize};

/// Sexes a step can be for, of lambs.
pub(super) const SEXES: [(Option<&[Sex]>, &str); 4] = [
    (None, "all"),
    (Some(&[Sex::Ewe]), "ewe lambs"),
    (Some(&[Sex::Ram]), "ram lambs"),
    (Some(&[Sex::Wether]), "wethers"),
];

/// Uses a step can be for.
pub(super) const MEANT: [(Option<&[MeantFor]>, &str); 5] = [
    (None, "any"),
    (Some(&[MeantFor::Breeding]), "breeding"),
    (Some(&[MeantFor::Market]), "market"),
    (Some(&[MeantFor::Market, MeantFor::Undecided]), "not breeding"),
    (Some(&[MeantFor::Undecided]), "undecided"),
];

/// Who rears them.
pub(super) const BY: [(Option<RearedBy>, &str); 3] =
    [(None, "any"), (Some(RearedBy::Ewe), "a ewe"), (Some(RearedBy::Bottle), "the bottle")];

/// The place of 'as it is' in a choice that has no word for what stands.
pub(super) const KEPT: u8 = 99;
/// The place of 'another step' among the anchors.
pub(super) const AFTER: u8 = 98;

/// Fields by the names of the checks, and what is wrong with each.
pub(super) type Wrong = Vec<(&'static str, String)>;

/// The form.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    /// The step's key; empty for a new one.
    pub(super) key: String,
    /// All of it can be changed: a step of the keeper's own.
    pub(super) own: bool,
    pub(super) whom: Option<Whom>,
    pub(super) job: String,
    pub(super) short: String,
    pub(super) caution: String,
    pub(super) source: String,
    pub(super) anchor: Option<u8>,
    pub(super) after: PickerState<usize>,
    pub(super) done: Option<u8>,
    pub(super) kind: Option<u8>,
    pub(super) earliest: String,
    pub(super) due: String,
    pub(super) late: String,
    pub(super) close: String,
    pub(super) sex: Option<u8>,
    pub(super) meant: Option<u8>,
    pub(super) by: Option<u8>,
    pub(super) product: PickerState<ProductId>,
    pub(super) off: Option<bool>,
    pub(super) one_year: Option<bool>,
    pub(super) year: String,
    /// What it was filled with.
    from: Vec<String>,
    /// The version of the flock it was filled from.
    #[serde(skip)]
    version: Option<u64>,
    /// The field that is to have the keyboard.
    #[serde(skip)]
    pub(super) focus: Option<String>,
    /// What is wrong, by field.
    #[serde(skip)]
    pub(super) wrong: Wrong,
}

/// A step as it stands for a year, or for every year.
pub(super) fn standing<'a>(plan: &'a Plan, season: Option<i32>, key: &str) -> Option<&'a Step> {
    plan.standing(season, key).or_else(|| plan.all().find(|s| s.key == key)).map(|s| &**s)
}

fn place<T: PartialEq>(all: &[T], it: &T) -> u8 {
    all.iter().position(|x| x == it).and_then(|n| u8::try_from(n).ok()).unwrap_or(KEPT)
}

impl Typed {
    /// An empty form for a step of the keeper's own.
    pub(super) fn new_step(ctx: &Ctx<'_>, whom: Whom) -> Self {
        let mut t = Self {
            own: true,
            whom: Some(whom),
            anchor: Some(0),
            done: Some(0),
            earliest: "0 d".into(),
            sex: Some(0),
            meant: Some(0),
            by: Some(0),
            off: Some(false),
            one_year: Some(false),
            year: usual_year(ctx.today).to_string(),
            ..Self::default()
        };
        t.from = t.said();
        t
    }

    /// Whom the step is for.
    pub(super) fn whom(&self) -> Whom {
        self.whom.unwrap_or(Whom::Lamb)
    }

    /// Everything typed and chosen, the years aside.
    fn said(&self) -> Vec<String> {
        let choices = [self.anchor, self.done, self.kind, self.sex, self.meant, self.by];
        let texts = [
            &self.job,
            &self.short,
            &self.caution,
            &self.source,
            &self.after.text,
            &self.earliest,
            &self.due,
            &self.late,
            &self.close,
            &self.product.text,
        ];
        let mut all: Vec<String> = texts.into_iter().map(|t| t.trim().to_string()).collect();
        all.push(format!("{choices:?} {:?} {:?}", self.off, self.whom));
        all
    }

    /// Something is typed that is not in the book.
    pub(super) fn is_half_typed(&self) -> bool {
        !self.from.is_empty() && self.from != self.said()
    }

    /// The year it is for, if for one.
    pub(super) fn season(&self) -> Result<Option<i32>, String> {
        if self.one_year != Some(true) {
            return Ok(None);
        }
        year(&self.year).map(Some)
    }

    /// Fills the form with the step of this key, unless it is half typed.
    pub(super) fn follow(&mut self, ctx: &Ctx<'_>, key: &str) {
        let version = Some(ctx.flock.version());
        if (self.version == version && self.key == key) || self.is_half_typed() {
            return;
        }
        if self.key != key {
            let plan = ctx.flock.plan();
            let mut years = plan.changes().iter().filter(|c| c.step.key == key).filter_map(|c| c.season);
            let next = years.find(|y| *y >= ctx.today.year());
            let only = plan.standing(None, key).is_none();
            self.one_year = Some(next.is_some() || only);
            self.year = next.unwrap_or_else(|| usual_year(ctx.today)).to_string();
            self.key = key.into();
        }
        self.fill(ctx);
    }

    /// Fills the form with what stands, whatever is typed; for which years stays.
    pub(super) fn fill(&mut self, ctx: &Ctx<'_>) {
        let plan = ctx.flock.plan();
        let season = self.season().unwrap_or_default();
        let Some(s) = standing(plan, season, &self.key) else { return };
        let whom = s.whom;
        let mut after = PickerState::default();
        if let Anchor::After(keys) = &s.anchor
            && let Some(before) = plan.all().find(|b| keys.contains(&b.key))
        {
            after.text.clone_from(&before.short);
        }
        let mut product = PickerState::default();
        product.text = s.product.clone().unwrap_or_default();
        let shown = |n: u8, len: usize| if usize::from(n) < len { n } else { KEPT };
        let slice = |v: &Option<Vec<Sex>>| SEXES.iter().position(|(x, _)| x.map(<[Sex]>::to_vec) == *v);
        let uses = |v: &Option<Vec<MeantFor>>| MEANT.iter().position(|(x, _)| x.map(<[_]>::to_vec) == *v);
        let at = |n: Option<usize>| n.and_then(|n| u8::try_from(n).ok()).unwrap_or(KEPT);
        let source = match &s.ground {
            Ground::Seen(text) | Ground::Memory(text) => text.clone(),
            Ground::Practice => String::new(),
        };
        let (done, kind) = done_of(whom, &s.done_by);
        *self = Self {
            key: s.key.clone(),
            own: !hirsel_core::plan::shipped_steps().iter().any(|x| x.key == s.key),
            whom: Some(whom),
            job: s.job.clone(),
            short: s.short.clone(),
            caution: s.caution.clone().unwrap_or_default(),
            source,
            anchor: Some(match &s.anchor {
                Anchor::After(_) => AFTER,
                other => shown(place(whom.anchors(), other), whom.anchors().len()),
            }),
            after,
            done: Some(done),
            kind,
            earliest: s.times.earliest.to_string(),
            due: s.times.due.to_string(),
            late: s.times.late.map(|l| l.to_string()).unwrap_or_default(),
            close: s.times.close.to_string(),
            sex: Some(at(slice(&s.when.sex))),
            meant: Some(at(uses(&s.when.meant_for))),
            by: Some(at(BY.iter().position(|(x, _)| *x == s.when.reared_by))),
            product,
            off: Some(s.off),
            one_year: self.one_year,
            year: std::mem::take(&mut self.year),
            from: Vec::new(),
            version: Some(ctx.flock.version()),
            focus: self.focus.take(),
            wrong: Vec::new(),
        };
        self.from = self.said();
    }

    /// Fills in other published times.
    pub(super) fn take_times(&mut self, v: &Variant) {
        self.earliest = v.earliest.to_string();
        self.due = v.due.to_string();
        self.late = v.late.map(|l| l.to_string()).unwrap_or_default();
        self.focus = Some("Due".into());
    }

    /// The step that is meant, and for which year; or the fields that are wrong and why.
    pub(super) fn step(&self, ctx: &Ctx<'_>) -> Result<(Option<i32>, Step), Wrong> {
        let mut wrong = Wrong::new();
        let season = self.season().unwrap_or_else(|e| {
            wrong.push(("season", e));
            None
        });
        let mut span = |field, text: &str, what: &'static str| match text.trim() {
            "" => {
                wrong.push((field, phrase!("{what} is needed, like 3 d or 4 w")));
                Span::ZERO
            }
            text => Span::parse(text).unwrap_or_else(|e| {
                wrong.push((field, e.0));
                Span::ZERO
            }),
        };
        let times = Times {
            earliest: span("earliest", &self.earliest, "the earliest time"),
            due: span("due", &self.due, "the time it is due"),
            late: some(&self.late).map(|l| span("late", &l, "")),
            close: span("close", &self.close, "the last time"),
        };
        let plan = ctx.flock.plan();
        let base = standing(plan, season, &self.key);
        if base.is_none() && !self.key.is_empty() {
            wrong.push(("step", phrase!("this step is no longer in the plan")));
        }
        let whom = self.whom();
        let (anchor, done_by) = match base.filter(|_| !self.own) {
            Some(s) => (Ok(s.anchor.clone()), s.done_by.clone()),
            None => (self.anchor(plan, base), self.done_by(whom, base)),
        };
        let anchor = anchor.unwrap_or_else(|e| {
            wrong.push(("anchor", e));
            Anchor::Birth
        });
        if !wrong.is_empty() {
            return Err(wrong);
        }
        let mut step = base.cloned().unwrap_or_else(|| Step {
            key: key_for(&self.short, plan),
            whom,
            job: String::new(),
            short: String::new(),
            anchor: Anchor::Birth,
            times,
            law: None,
            done_by: DoneBy::Tick,
            product: None,
            when: When::default(),
            repeat: None,
            off: false,
            caution: None,
            why: None,
            ground: Ground::Practice,
            other: Vec::new(),
        });
        step.times = times;
        if self.own {
            step.whom = whom;
            step.short = self.short.trim().into();
            step.job = some(&self.job).unwrap_or_else(|| step.short.clone());
            step.caution = some(&self.caution);
            step.anchor = anchor;
            step.done_by = done_by;
            step.ground = match some(&self.source) {
                Some(text) if text == Ground::Practice.to_string() => Ground::Practice,
                Some(text) if step.ground == Ground::Memory(text.clone()) => step.ground,
                Some(text) => Ground::Seen(text),
                None => Ground::Practice,
            };
        }
        if let Some((sex, _)) = self.sex.and_then(|n| SEXES.get(usize::from(n))) {
            step.when.sex = sex.map(<[Sex]>::to_vec);
        }
        if let Some((meant, _)) = self.meant.and_then(|n| MEANT.get(usize::from(n))) {
            step.when.meant_for = meant.map(<[MeantFor]>::to_vec);
        }
        if let Some((by, _)) = self.by.and_then(|n| BY.get(usize::from(n))) {
            step.when.reared_by = *by;
        }
        let named = some(&self.product.text);
        step.product = named.map(|n| ctx.flock.product(&n).map_or(n.clone(), |p| p.name.clone()));
        step.off = self.off == Some(true);
        Ok((season, step))
    }

    fn anchor(&self, plan: &Plan, base: Option<&Step>) -> Result<Anchor, String> {
        let whom = self.whom();
        match self.anchor {
            Some(AFTER) => {
                let text = self.after.text.trim().to_lowercase();
                let fit = |s: &&std::sync::Arc<Step>| s.whom == whom && s.short.to_lowercase() == text;
                let mut keys: Vec<String> = plan.all().filter(fit).map(|s| s.key.clone()).collect();
                keys.sort_unstable();
                keys.dedup();
                match keys.as_slice() {
                    [] if text.is_empty() => Err(phrase!("which step is it counted from?")),
                    [] => Err(phrase!(
                        "no step is called '{}': choose one from the list",
                        self.after.text.trim()
                    )),
                    _ => Ok(Anchor::After(keys)),
                }
            }
            Some(n) => whom
                .anchors()
                .get(usize::from(n))
                .cloned()
                .or_else(|| base.map(|s| s.anchor.clone()))
                .ok_or_else(|| phrase!("what is it counted from?")),
            None => Err(phrase!("what is it counted from?")),
        }
    }

    fn done_by(&self, whom: Whom, base: Option<&Step>) -> DoneBy {
        let choice = self.done.and_then(|n| DoneBy::choices(whom).get(usize::from(n)).cloned());
        match choice.or_else(|| base.map(|s| s.done_by.clone())).unwrap_or(DoneBy::Tick) {
            DoneBy::Treatment(any) => {
                let kind = self.kind.filter(|n| *n > 0).and_then(|n| kinds().nth(usize::from(n) - 1));
                DoneBy::Treatment(kind.map_or(any, |(name, _)| name.to_string()))
            }
            other => other,
        }
    }
}

fn done_of(whom: Whom, done: &DoneBy) -> (u8, Option<u8>) {
    let choices = DoneBy::choices(whom);
    match done {
        DoneBy::Treatment(kind) => {
            let any = place(&choices, &DoneBy::Treatment(String::new()));
            let kind = kinds().position(|(name, _)| name == kind).map_or(0, |n| n + 1);
            (any, u8::try_from(kind).ok())
        }
        other => (place(&choices, other), None),
    }
}

/// The year the keeper most likely plans for: from late summer on, the next.
fn usual_year(today: Day) -> i32 {
    today.year() + i32::from(today.month() >= 8)
}

/// A year as typed.
///
/// # Errors
/// How it is written.
pub(super) fn year(text: &str) -> Result<i32, String> {
    let text = text.trim();
    text.parse().ok().filter(|y| (1900..=2200).contains(y)).ok_or_else(|| match text {
        "" => phrase!("which year?"),
        _ => phrase!("'{text}' is no year: write it like 2027"),
    })
}
