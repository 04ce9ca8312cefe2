//! One step of a care plan, and the row it is read from.

use super::Span;
use super::row::Row;
use crate::handbook::Ground;
use crate::phrase;
use crate::rules::Procedure;
use crate::terms::{MeantFor, Misread, Sex, Why};
use serde::{Deserialize, Serialize};

/// Whom a step is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Whom {
    /// Lambs, from birth to after weaning.
    Lamb,
    /// Grown ewes.
    Ewe,
    /// Grown rams.
    Ram,
}

impl Whom {
    /// Every kind of animal, in the order of the pages.
    pub const ALL: [Self; 3] = [Self::Lamb, Self::Ewe, Self::Ram];

    /// In words, of many.
    pub fn words(self) -> &'static str {
        match self {
            Self::Lamb => "lambs",
            Self::Ewe => "ewes",
            Self::Ram => "rams",
        }
    }
}

/// What a step's days are counted from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Anchor {
    /// The animal's birth.
    Birth,
    /// The flock's joining day of the year.
    Season,
    /// The ewe's own joining, or service.
    Joining,
    /// The day she is expected to lamb.
    Due,
    /// The last day she may lamb.
    LastDue,
    /// Her lambing.
    Lambing,
    /// Weaning: the lamb's own, or of the last lamb a ewe reared.
    Weaning,
    /// The day one of these steps was done.
    After(Vec<String>),
}

impl Anchor {
    pub(super) const WORDS: [(&'static str, Anchor); 7] = [
        ("birth", Anchor::Birth),
        ("season", Anchor::Season),
        ("joining", Anchor::Joining),
        ("due", Anchor::Due),
        ("last_due", Anchor::LastDue),
        ("lambing", Anchor::Lambing),
        ("weaning", Anchor::Weaning),
    ];

    pub(super) fn parse(text: &str) -> Result<Self, Misread> {
        if let Some((_, a)) = Self::WORDS.iter().find(|(w, _)| *w == text) {
            return Ok(a.clone());
        }
        let keys: Vec<String> = text.split('|').map(|k| k.trim().to_string()).collect();
        match keys.iter().find(|k| !is_key(k)) {
            Some(k) => Err(Misread::new(phrase!("'{k}' is neither an anchor nor the key of a step"))),
            None => Ok(Self::After(keys)),
        }
    }

    pub(super) fn word(&self) -> String {
        match self {
            Self::After(keys) => keys.join(" | "),
            other => Self::WORDS
                .iter()
                .find(|(_, a)| a == other)
                .map(|(w, _)| (*w).to_string())
                .unwrap_or_default(),
        }
    }

    /// As the plan's page says it.
    pub fn words(&self) -> &'static str {
        match self {
            Self::Birth => "birth",
            Self::Season => "the flock's joining day",
            Self::Joining => "her joining",
            Self::Due => "the day she is due",
            Self::LastDue => "the last day she may lamb",
            Self::Lambing => "her lambing",
            Self::Weaning => "weaning",
            Self::After(_) => "the step before",
        }
    }
}

/// What completes a step, besides a tick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DoneBy {
    /// A tick only.
    Tick,
    /// The lamb was born alive and its birth is written up.
    Birth,
    /// A weight at birth.
    BirthWeight,
    /// Navel dipped, as written with the birth.
    Navel,
    /// Seen to suck or given colostrum, as written with the birth.
    Suck,
    /// A tag that is no stand-in.
    Tag,
    /// A weighing within the window.
    Weighing,
    /// It is a wether.
    Castrated,
    /// A move to another pen within the window.
    Pen,
    /// A joining within the window.
    Joining,
    /// The end of the joining.
    Parted,
    /// A lambing.
    Lambing,
    /// A scan within the window, or before it once she was joined.
    Scan,
    /// A treatment of this kind, or any where the kind is empty, within the window.
    Treatment(String),
    /// A decision what it is kept for, other than to decide later; or it is a wether.
    Decided,
}

impl DoneBy {
    const WORDS: [(&'static str, DoneBy); 14] = [
        ("tick", DoneBy::Tick),
        ("birth", DoneBy::Birth),
        ("birth_weight", DoneBy::BirthWeight),
        ("navel", DoneBy::Navel),
        ("suck", DoneBy::Suck),
        ("tag", DoneBy::Tag),
        ("weighing", DoneBy::Weighing),
        ("castrated", DoneBy::Castrated),
        ("pen", DoneBy::Pen),
        ("joining", DoneBy::Joining),
        ("parted", DoneBy::Parted),
        ("lambing", DoneBy::Lambing),
        ("scan", DoneBy::Scan),
        ("decided", DoneBy::Decided),
    ];

    pub(super) fn parse(text: &str) -> Result<Self, Misread> {
        if let Some((_, d)) = Self::WORDS.iter().find(|(w, _)| *w == text) {
            return Ok(d.clone());
        }
        match text.split_once(':').map(|(a, b)| (a.trim(), b.trim())) {
            Some(("treatment", "any")) => Ok(Self::Treatment(String::new())),
            Some(("treatment", kind)) if !kind.is_empty() => Ok(Self::Treatment(kind.to_lowercase())),
            _ => Err(Misread::new(phrase!("'{text}' is nothing that can complete a step"))),
        }
    }

    pub(super) fn word(&self) -> String {
        match self {
            Self::Treatment(kind) if kind.is_empty() => "treatment: any".into(),
            Self::Treatment(kind) => phrase!("treatment: {kind}"),
            other => Self::WORDS
                .iter()
                .find(|(_, d)| d == other)
                .map(|(w, _)| (*w).to_string())
                .unwrap_or_default(),
        }
    }
}

/// Who reared or rears a lamb.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RearedBy {
    /// A ewe, its own or a foster one.
    Ewe,
    /// The bottle.
    Bottle,
}

/// What narrows a step to some animals; every one given must hold.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct When {
    /// One of these sexes (of a wether: it was castrated).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sex: Option<Vec<Sex>>,
    /// Meant for one of these.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub meant_for: Option<Vec<MeantFor>>,
    /// Reared by a ewe or by the bottle.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reared_by: Option<RearedBy>,
    /// Born with at least so many.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub born_with: Option<u8>,
    /// Its dam's clostridial course was whole and boosted before lambing; not known counts as not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dam_vaccinated: Option<bool>,
    /// The ewe had a whole clostridial course before this year.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vaccinated_before: Option<bool>,
    /// The ewe rears at least one lamb.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rearing: Option<bool>,
    /// Lighter than this at birth, grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lighter_g: Option<i64>,
}

impl When {
    /// For everyone.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// When a step is to be done, from its anchor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Times {
    /// Before this it is too soon.
    pub earliest: Span,
    /// From then on it is a job.
    pub due: Span,
    /// After this it is overdue; none where the rule set of the place, or nothing, sets the end.
    pub late: Option<Span>,
    /// After this it can no longer be done.
    pub close: Span,
}

/// A step done again and again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Repeat {
    /// From one to the next.
    pub every: Span,
    /// Not after weaning.
    pub until_weaning: bool,
    /// At most so many times in all.
    pub most: u16,
}

/// Other published times of a step, for the keeper to take.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Variant {
    /// In a few words.
    pub name: String,
    /// The times; closing stays as it is.
    pub earliest: Span,
    /// From then on it is a job.
    pub due: Span,
    /// After this it is overdue.
    pub late: Option<Span>,
    /// What they stand on.
    pub ground: Ground,
}

/// One step of a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// Its key, unique in all plans.
    pub key: String,
    /// Whom it is for.
    pub whom: Whom,
    /// What is to be done, as a sentence.
    pub job: String,
    /// The same in a few words, for sheets.
    pub short: String,
    /// What its times are counted from.
    pub anchor: Anchor,
    /// Its times.
    pub times: Times,
    /// The law of the place sets its last day.
    pub law: Option<Procedure>,
    /// What completes it.
    pub done_by: DoneBy,
    /// A product whose treatments complete it, whatever their kind.
    pub product: Option<String>,
    /// Whom of them.
    pub when: When,
    /// Done again.
    pub repeat: Option<Repeat>,
    /// Not asked for.
    pub off: bool,
    /// What to beware of.
    pub caution: Option<String>,
    /// What the caution stands on, for the help.
    pub why: Option<Why>,
    /// What it stands on.
    pub ground: Ground,
    /// Other published times.
    pub other: Vec<Variant>,
}

impl Step {
    /// Reads one step as the plan's files write it.
    ///
    /// # Errors
    /// Names what is wrong with it.
    pub fn from_toml(text: &str) -> Result<Self, Misread> {
        toml::from_str(text).map_err(|e| Misread::new(phrase!("this is no step of a plan: {}", &e.message())))
    }

    /// As the plan's files write it.
    pub fn to_toml(&self) -> String {
        toml::to_string(&Row::from(self)).unwrap_or_default()
    }
}

/// A key of small letters, figures and strokes below.
pub(super) fn is_key(text: &str) -> bool {
    !text.is_empty()
        && text.len() <= 40
        && text.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')
}
