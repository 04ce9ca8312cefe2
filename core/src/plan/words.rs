//! A step in words, for the page of the plan and its lists.

use super::{Anchor, DoneBy, Plan, RearedBy, Span, Step, When, Whom, shipped_steps};
use crate::phrase;
use crate::terms::speech::said;
use crate::terms::{Sex, Weight, counted};
use std::borrow::Cow;

impl Span {
    /// As short as it is typed: `at once`, `15 min`, `4 w`, `4 w before`.
    pub fn short(self) -> String {
        let text = self.to_string();
        match text.strip_prefix('-') {
            _ if self == Self::ZERO => phrase!("at once"),
            Some(before) => phrase!("{before} before", before = &before),
            None => text,
        }
    }

    /// `at once`, `15 minutes`, `6 hours`, `3 days`, `4 weeks before`.
    pub fn words(self) -> String {
        let text = self.to_string();
        let (number, unit) = text.split_once(' ').unwrap_or((text.as_str(), ""));
        let unit = match unit {
            "min" => "minute",
            "h" => "hour",
            "w" => "week",
            _ => "day",
        };
        match number.parse::<i64>().unwrap_or_default() {
            0 => phrase!("at once"),
            n if n < 0 => phrase!("{} before", counted(n.unsigned_abs() as usize, unit)),
            n => counted(n.unsigned_abs() as usize, unit),
        }
    }
}

impl Step {
    /// In a few words, as they are said: what the keeper wrote stays as it is.
    pub fn short_said(&self) -> Cow<'_, str> {
        self.shipped().filter(|s| s.short == self.short).map_or((&self.short).into(), |s| said(&s.short))
    }

    /// What is to be done, as it is said: what the keeper wrote stays as it is.
    pub fn job_said(&self) -> Cow<'_, str> {
        self.shipped().filter(|s| s.job == self.job).map_or((&self.job).into(), |s| said(&s.job))
    }

    /// What to beware of, as it is said: what the keeper wrote stays as it is.
    pub fn caution_said(&self) -> Option<Cow<'_, str>> {
        let own = self.caution.as_deref()?;
        let shipped: Option<&'static str> = self.shipped().and_then(|s| s.caution.as_deref());
        Some(match shipped {
            Some(shipped) if shipped == own => said(shipped),
            _ => own.into(),
        })
    }

    /// The shipped step of this key.
    fn shipped(&self) -> Option<&'static Step> {
        shipped_steps().iter().find(|s| s.key == self.key).map(AsRef::as_ref)
    }
}

impl DoneBy {
    /// What completes it.
    pub fn words(&self) -> String {
        match self {
            Self::Tick => phrase!("a tick"),
            Self::Birth => phrase!("birth written up"),
            Self::BirthWeight => phrase!("weight at birth"),
            Self::Navel => phrase!("navel dipped, written with the birth"),
            Self::Suck => phrase!("sucked or colostrum, written with the birth"),
            Self::Tag => phrase!("a tag of its own"),
            Self::Weighing => phrase!("a weighing"),
            Self::Castrated => phrase!("being a wether"),
            Self::Pen => phrase!("a move to another pen"),
            Self::Joining => phrase!("a joining"),
            Self::Parted => phrase!("the ram taken out"),
            Self::Lambing => phrase!("a lambing"),
            Self::Scan => phrase!("a scan"),
            Self::Treatment(kind) if kind.is_empty() => phrase!("any treatment"),
            Self::Treatment(kind) => phrase!("treatment: {kind}"),
            Self::Decided => phrase!("a decision what it is kept for"),
        }
    }

    /// What can complete a step for these animals, treatments of a kind aside.
    pub fn choices(whom: Whom) -> Vec<DoneBy> {
        match whom {
            Whom::Lamb => vec![
                Self::Tick,
                Self::Treatment(String::new()),
                Self::Weighing,
                Self::Pen,
                Self::Tag,
                Self::Castrated,
                Self::BirthWeight,
                Self::Navel,
                Self::Suck,
                Self::Birth,
                Self::Decided,
            ],
            Whom::Ewe => vec![
                Self::Tick,
                Self::Treatment(String::new()),
                Self::Weighing,
                Self::Pen,
                Self::Joining,
                Self::Parted,
                Self::Lambing,
                Self::Scan,
            ],
            Whom::Ram => vec![Self::Tick, Self::Treatment(String::new()), Self::Weighing, Self::Pen],
        }
    }
}

impl When {
    /// Whom of these animals: `ram lambs, meant for the market or not yet decided`.
    pub fn words(&self, whom: Whom) -> String {
        let sexes = |all: &[Sex]| {
            let words = all.iter().map(|s| match (whom, s) {
                (Whom::Lamb, Sex::Wether) => phrase!("wethers"),
                (Whom::Lamb, s) => phrase!("{}s", s.lamb_words()),
                (_, s) => phrase!("{}s", s.words()),
            });
            words.collect::<Vec<_>>().join(" or ")
        };
        let mut parts = vec![self.sex.as_deref().map_or_else(|| phrase!("all {}", whom.words()), sexes)];
        if let Some(all) = &self.meant_for {
            let words: Vec<&str> = all
                .iter()
                .map(|m| match m.word() {
                    "undecided" => "not yet decided",
                    "market" => "meant for the market",
                    _ => "meant for breeding",
                })
                .collect();
            parts.push(words.join(" or "));
        }
        if let Some(by) = self.reared_by {
            parts.push(if by == RearedBy::Ewe { "reared by a ewe" } else { "on the bottle" }.into());
        }
        if let Some(n) = self.born_with {
            parts.push(phrase!("born {n} or more together"));
        }
        if let Some(yes) = self.dam_vaccinated {
            let words = if yes { "dam boosted before lambing" } else { "dam not boosted before lambing" };
            parts.push(words.into());
        }
        if let Some(yes) = self.vaccinated_before {
            parts.push(
                if yes { "vaccinated in years before" } else { "never fully vaccinated before" }.into(),
            );
        }
        if let Some(yes) = self.rearing {
            parts.push(if yes { "rearing a lamb" } else { "rearing no lamb" }.into());
        }
        if let Some(w) = self.lighter_g.and_then(Weight::from_grams) {
            parts.push(phrase!("under {} kg at birth", w.kg_text()));
        }
        if parts.len() > 1 && self.sex.is_none() {
            parts.remove(0);
        }
        parts.join(", ")
    }
}

impl Plan {
    /// What the days of a step are counted from, other steps by their short words.
    pub fn counted_from(&self, step: &Step) -> String {
        let Anchor::After(keys) = &step.anchor else { return said(step.anchor.words()).into_owned() };
        let mut shorts: Vec<&str> = Vec::new();
        for before in self.all().filter(|s| keys.contains(&s.key)) {
            if !shorts.contains(&before.short.as_str()) {
                shorts.push(&before.short);
            }
        }
        phrase!("'{}' done", shorts.join("' or '"))
    }

    /// How a step stands: `as shipped`, `changed`, `left out`, `own`, and what is different in single years.
    pub fn stands(&self, key: &str) -> String {
        let shipped = shipped_steps().iter().find(|s| s.key == key);
        let base = self.change(None, key).map(|c| &c.step);
        let mut parts = Vec::new();
        match (shipped, base) {
            (Some(s), None) if s.off => parts.push(phrase!("left out, as shipped")),
            (None, Some(own)) if own.off => parts.push(phrase!("own, left out")),
            (None, Some(_)) => parts.push(phrase!("own")),
            (Some(_), Some(c)) if c.off => parts.push(phrase!("left out")),
            (Some(s), Some(c)) if **s != *c => parts.push(phrase!("changed")),
            (None, None) | (Some(_), _) => {}
        }
        let mut years: Vec<(i32, &Step)> = self
            .changes()
            .iter()
            .filter(|c| c.step.key == key)
            .filter_map(|c| c.season.map(|year| (year, &c.step)))
            .collect();
        years.sort_unstable_by_key(|(year, _)| *year);
        for (year, step) in years {
            let word = match (shipped.is_some() || base.is_some(), step.off) {
                (_, true) => "left out",
                (true, false) => "changed",
                (false, false) => "own",
            };
            parts.push(phrase!("{word} for {year}"));
        }
        if parts.is_empty() { phrase!("as shipped") } else { parts.join(", ") }
    }
}
