//! Castration and docking: until when a rubber ring may be used, and what must be left of a tail.

use crate::handbook::{Ground, Marked};
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
    part: Option<String>,
    what: Procedure,
    ring_last_day: Option<i64>,
    keep: Option<String>,
    advice: bool,
    ground: Ground,
}

#[cfg(test)]
impl Part {
    pub(super) fn is_from_memory(&self) -> bool {
        self.ground.is_memory()
    }

    pub(super) fn ring_day(&self, what: Procedure) -> Option<i64> {
        self.ring_last_day.filter(|_| self.what == what)
    }
}

pub(super) fn ring(parts: &[Part], what: Procedure) -> Option<RingLimit> {
    let days = || {
        parts.iter().filter(move |p| p.what == what).filter_map(|p| p.ring_last_day.map(|d| (d, &p.ground)))
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

/// 'NAME: rings by day 7 (from memory: docking); tail: cover vulva or anus'.
pub(super) fn words(name: &str, parts: &[Part]) -> Option<String> {
    let mut said = Vec::new();
    let limits: Vec<(Procedure, RingLimit)> = [Procedure::Castration, Procedure::Docking]
        .into_iter()
        .filter_map(|what| ring(parts, what).map(|limit| (what, limit)))
        .collect();
    match limits.as_slice() {
        [(_, one), (_, other)] if one.last_day == other.last_day => {
            said.push(format!("rings by day {}", one.last_day));
        }
        all => said.extend(all.iter().map(|(what, l)| format!("{} by day {}", what.word(), l.last_day))),
    }
    let memory: Vec<String> =
        limits.iter().filter_map(|(what, limit)| from_memory(parts, *what, *limit)).collect();
    if let (Some(last), false) = (said.last_mut(), memory.is_empty()) {
        last.push_str(&format!(" (from memory: {})", memory.join(", ")));
    }
    for k in keep(parts) {
        let mut marks = Vec::new();
        if k.advice {
            marks.push("advice".to_owned());
        }
        if k.from_memory {
            marks.push("from memory".into());
        } else {
            let kept = |p: &&Part| p.keep.as_deref() == Some(k.text);
            let places = places(parts.iter().filter(kept));
            if !places.is_empty() {
                marks.push(format!("from memory: {}", places.join(", ")));
            }
        }
        let marks = if marks.is_empty() { String::new() } else { format!(" ({})", marks.join(", ")) };
        said.push(format!("tail: {}{marks}", k.text));
    }
    (!said.is_empty()).then(|| format!("{name}: {}", said.join("; ")))
}

/// What of a limit is from memory: all of it, or some parts of the place.
fn from_memory(parts: &[Part], what: Procedure, limit: RingLimit) -> Option<String> {
    if limit.from_memory {
        return Some(what.word().into());
    }
    let places = places(parts.iter().filter(|p| p.what == what && p.ring_last_day.is_some()));
    (!places.is_empty()).then(|| format!("{} in {}", what.word(), places.join(", ")))
}

/// The parts among these rows that are from memory.
fn places<'a>(rows: impl Iterator<Item = &'a Part>) -> Vec<&'a str> {
    rows.filter(|p| p.ground.is_memory()).filter_map(|p| p.part.as_deref()).collect()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ProcedureRow {
    part: Option<String>,
    what: Procedure,
    ring_last_day: Option<i64>,
    keep: Option<String>,
    #[serde(default)]
    advice: bool,
    source: String,
    seen: Option<bool>,
}

impl TryFrom<ProcedureRow> for Part {
    type Error = String;

    fn try_from(row: ProcedureRow) -> Result<Self, String> {
        if row.ring_last_day.is_none() && row.keep.is_none() {
            return Err(format!("a row on {} that says nothing", row.what.word()));
        }
        if row.ring_last_day.is_some_and(|day| day < 1) {
            return Err("the last day for a ring is 1 or later".into());
        }
        if row.keep.is_some() && row.what == Procedure::Castration {
            return Err("only a tail is kept in part".into());
        }
        Ok(Self {
            part: row.part,
            what: row.what,
            ring_last_day: row.ring_last_day,
            keep: row.keep,
            advice: row.advice,
            ground: Marked::new(row.source, row.seen).ground()?,
        })
    }
}
