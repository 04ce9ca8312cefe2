//! Castration and docking: until when a rubber ring may be used, and what must be left of a tail.

use super::row::counted;
use crate::handbook::Ground;
use crate::phrase;
use crate::terms::Day;
use serde::{Deserialize, Serialize};

/// What is done to a lamb.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Procedure {
    /// Castration.
    Castration,
    /// Docking of the tail.
    Docking,
}

impl Procedure {
    fn word(self) -> &'static str {
        match self {
            Self::Castration => "castration",
            Self::Docking => "docking",
        }
    }
}

/// The last day for a rubber ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RingLimit {
    /// Days after birth (day 0).
    pub last_day: i64,
    /// No text that was read gives it.
    pub from_memory: bool,
}

/// What must be left of a docked tail.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Keep<'a> {
    /// In words.
    pub text: &'a str,
    /// Advice, not law.
    pub advice: bool,
    /// No text that was read says so.
    pub from_memory: bool,
}

/// One row: the rule of a place or of a part of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Part {
    pub(super) part: Option<String>,
    what: What,
    ring_last_day: Option<i64>,
    keep: Option<String>,
    /// Everything else the row says: from what age, and the words.
    more: Vec<More>,
    advice: bool,
    pub(super) ground: Ground,
}

/// One more thing a row says.
#[derive(Debug, Clone, PartialEq, Eq)]
struct More {
    /// From this age in days; 0 is at any age. Months are taken as 30 days, the stricter reading.
    from_days: i64,
    /// As the row says it.
    words: String,
    /// What it asks from that age: `with an anaesthetic`.
    asks: String,
}

/// What the rules ask of a procedure at an age.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Asked {
    /// What is asked now, each once: `with an anaesthetic`, `by a vet`.
    pub now: Vec<String>,
    /// What is asked from a later day on, soonest first.
    pub later: Vec<(Day, String)>,
    /// Every row that speaks of it, in words, what is from memory marked.
    pub rows: Vec<String>,
}

/// What these rows ask of an animal born on a day, as of a day.
pub(super) fn asked(parts: &[Part], what: Procedure, born: Day, on: Day) -> Asked {
    let mut all = Asked::default();
    for p in parts.iter().filter(|p| p.what.is(what)) {
        let place = p.part.as_ref().map(|part| format!("{part}: ")).unwrap_or_default();
        let memory = if p.ground.is_memory() { " (from memory)" } else { "" };
        all.rows.push(phrase!("{place}{}{memory}", p.words()));
        for m in &p.more {
            let day = born.plus(m.from_days);
            if day > on {
                all.later.push((day, m.asks.clone()));
            } else if !all.now.contains(&m.asks) {
                all.now.push(m.asks.clone());
            }
        }
    }
    all.later.sort();
    all.later.dedup();
    all
}

/// What a row speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
enum What {
    Castration,
    Docking,
    Both,
}

impl What {
    fn is(self, what: Procedure) -> bool {
        match self {
            Self::Castration => what == Procedure::Castration,
            Self::Docking => what == Procedure::Docking,
            Self::Both => true,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Castration => "castration",
            Self::Docking => "docking",
            Self::Both => "castration and docking",
        }
    }
}

impl Part {
    /// 'castration: rubber ring until day 7 after birth; anaesthetic from 3 months'.
    pub(super) fn words(&self) -> String {
        let mut said = Vec::new();
        said.extend(self.ring_last_day.map(|day| phrase!("rubber ring until day {day} after birth")));
        said.extend(self.keep.as_ref().map(|keep| phrase!("of the tail must be left: {keep}")));
        said.extend(self.more.iter().map(|m| m.words.clone()));
        if self.advice {
            said.push("advice, not law".into());
        }
        phrase!("{}: {}", self.what.words(), said.join("; "))
    }
}

#[cfg(test)]
impl Part {
    pub(super) fn is_from_memory(&self) -> bool {
        self.ground.is_memory()
    }

    /// Says something that lamb cards print: of rings or of what is left of a tail.
    pub(super) fn is_on_paper(&self) -> bool {
        self.ring_last_day.is_some() || self.keep.is_some()
    }

    pub(super) fn ring_day(&self, what: Procedure) -> Option<i64> {
        self.ring_last_day.filter(|_| self.what.is(what))
    }
}

pub(super) fn ring(parts: &[Part], what: Procedure) -> Option<RingLimit> {
    let days = || {
        parts.iter().filter(move |p| p.what.is(what)).filter_map(|p| p.ring_last_day.map(|d| (d, &p.ground)))
    };
    let last_day = days().map(|(day, _)| day).min()?;
    let from_memory = !days().any(|(day, ground)| day == last_day && !ground.is_memory());
    Some(RingLimit { last_day, from_memory })
}

pub(super) fn keep(parts: &[Part]) -> Vec<Keep<'_>> {
    let mut all: Vec<Keep<'_>> = Vec::new();
    for p in parts {
        let Some(text) = p.keep.as_deref() else { continue };
        let from_memory = p.ground.is_memory();
        match all.iter_mut().find(|k| k.text == text && k.advice == p.advice) {
            Some(k) => k.from_memory &= from_memory,
            None => all.push(Keep { text, advice: p.advice, from_memory }),
        }
    }
    all
}

/// 'NAME: rings by day 7 (from memory: docking); tail: cover vulva or anus'; in short, for a card in the barn, what is
/// from memory has a star: 'NAME: rings by day 7*'.
pub(super) fn words(name: &str, parts: &[Part], short: bool) -> Option<String> {
    let mut said = Vec::new();
    let limits: Vec<(Procedure, RingLimit)> = [Procedure::Castration, Procedure::Docking]
        .into_iter()
        .filter_map(|what| ring(parts, what).map(|limit| (what, limit)))
        .collect();
    match limits.as_slice() {
        [(_, one), (_, other)] if one.last_day == other.last_day => {
            said.push(phrase!("rings by day {}", one.last_day));
        }
        all => said.extend(all.iter().map(|(what, l)| phrase!("{} by day {}", what.word(), l.last_day))),
    }
    let memory: Vec<String> =
        limits.iter().filter_map(|(what, limit)| from_memory(parts, *what, *limit)).collect();
    if let (Some(last), false) = (said.last_mut(), memory.is_empty()) {
        if short {
            last.push(STAR);
        } else {
            last.push_str(&phrase!(" (from memory: {})", memory.join(", ")));
        }
    }
    for k in keep(parts) {
        let mut marks = Vec::new();
        if k.advice {
            marks.push("advice".to_owned());
        }
        let kept = |p: &&Part| p.keep.as_deref() == Some(k.text);
        let places = places(parts.iter().filter(kept));
        let star = short && (k.from_memory || !places.is_empty());
        match (short, k.from_memory) {
            (true, _) => {}
            (false, true) => marks.push("from memory".into()),
            (false, false) if places.is_empty() => {}
            (false, false) => marks.push(phrase!("from memory: {}", places.join(", "))),
        }
        let marks = if marks.is_empty() { String::new() } else { format!(" ({})", marks.join(", ")) };
        let star = if star { STAR.to_string() } else { String::new() };
        said.push(phrase!("tail: {}{marks}{star}", &k.text));
    }
    (!said.is_empty()).then(|| format!("{name}: {}", said.join("; ")))
}

/// Stands after what is from memory where there is no room to say so.
pub const STAR: char = '*';

/// What of a limit is from memory: all of it, or some parts of the place.
fn from_memory(parts: &[Part], what: Procedure, limit: RingLimit) -> Option<String> {
    if limit.from_memory {
        return Some(what.word().into());
    }
    let places = places(parts.iter().filter(|p| p.what.is(what) && p.ring_last_day.is_some()));
    (!places.is_empty()).then(|| phrase!("{} in {}", what.word(), places.join(", ")))
}

/// The parts among these rows that are from memory.
fn places<'a>(rows: impl Iterator<Item = &'a Part>) -> Vec<&'a str> {
    rows.filter(|p| p.ground.is_memory()).filter_map(|p| p.part.as_deref()).collect()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ProcedureRow {
    what: What,
    ring_last_day: Option<i64>,
    keep: Option<String>,
    #[serde(default)]
    advice: bool,
    anaesthetic_from_months: Option<u32>,
    local_anaesthetic_from_months: Option<u32>,
    lay_other_means_before_months: Option<u32>,
    pain_control_over_weeks: Option<u32>,
    vet_with_anaesthetic_over_weeks: Option<u32>,
    vet_with_pain_relief_from_months: Option<u32>,
    vet_from_months: Option<u32>,
    set_by: Option<String>,
    #[serde(default)]
    earliest_practicable: bool,
    #[serde(default)]
    pain_relief: bool,
}

impl ProcedureRow {
    fn more(&self) -> Vec<More> {
        let months = |n: Option<u32>, said: &str, asks: &str| {
            n.map(|n| {
                (
                    i64::from(n) * 30,
                    phrase!("{said} the age of {}", counted(n, "month"), said = &said),
                    asks.to_string(),
                )
            })
        };
        let weeks = |n: Option<u32>, said: &str, asks: &str| {
            n.map(|n| {
                (
                    i64::from(n) * 7 + 1,
                    phrase!("{said} the age of {}", counted(n, "week"), said = &said),
                    asks.to_string(),
                )
            })
        };
        let always = |said: String| Some((0, said.clone(), said));
        let (anaesthetic, local) = ("with an anaesthetic", "with a local anaesthetic");
        let (vet, vet_asleep, vet_eased) =
            ("by a vet", "by a vet with an anaesthetic", "by a vet with pain relief");
        let all = [
            months(self.anaesthetic_from_months, "with an anaesthetic from", anaesthetic),
            months(self.local_anaesthetic_from_months, "with a local anaesthetic from", local),
            months(self.lay_other_means_before_months, "by other means a lay person only before", vet),
            weeks(self.pain_control_over_weeks, "with pain control over", "with pain control"),
            weeks(self.vet_with_anaesthetic_over_weeks, "by a vet with an anaesthetic over", vet_asleep),
            months(self.vet_with_pain_relief_from_months, "by a vet with pain relief from", vet_eased),
            months(self.vet_from_months, "by a vet from", vet),
            self.set_by.as_ref().and_then(|who| always(phrase!("the limits are set by the {who}"))),
            if self.earliest_practicable { always("as early as practicable".into()) } else { None },
            if self.pain_relief { always("with pain relief".into()) } else { None },
        ];
        all.into_iter().flatten().map(|(from_days, words, asks)| More { from_days, words, asks }).collect()
    }

    pub(super) fn checked(self, part: Option<&String>, ground: &Ground) -> Result<Part, String> {
        let more = self.more();
        if self.ring_last_day.is_none() && self.keep.is_none() && more.is_empty() {
            return Err(phrase!("a row on {} that says nothing", self.what.words()));
        }
        if self.ring_last_day.is_some_and(|day| day < 1) {
            return Err("the last day for a ring is 1 or later".into());
        }
        if self.keep.is_some() && self.what == What::Castration {
            return Err("only a tail is kept in part".into());
        }
        Ok(Part {
            part: part.cloned(),
            what: self.what,
            ring_last_day: self.ring_last_day,
            keep: self.keep,
            more,
            advice: self.advice,
            ground: ground.clone(),
        })
    }
}
