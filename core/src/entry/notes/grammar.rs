//! The grammar of notes as it is read from its resource.

use crate::handbook::shipped;
use crate::terms::{Decided, ScoreKind};
use serde::Deserialize;
use std::sync::LazyLock;

/// The grammar as shipped.
pub(super) static GRAMMAR: LazyLock<Grammar> =
    LazyLock::new(|| shipped("notes.toml", include_str!("../../../../resources/notes.toml")));

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Grammar {
    pub(super) word: Vec<WordRow>,
    pub(super) tick: Vec<TickRow>,
    pub(super) crayon: CrayonRow,
    pub(super) score: Vec<ScoreRow>,
    pub(super) decision: Vec<DecisionRow>,
    pub(super) form: Vec<Form>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WordRow {
    pub(super) sense: String,
    pub(super) words: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TickRow {
    pub(super) step: String,
    pub(super) words: Vec<String>,
}

/// Words of a score; a figure on its scale stands behind them.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ScoreRow {
    #[serde(deserialize_with = "score_kind")]
    pub(super) kind: ScoreKind,
    pub(super) words: Vec<String>,
}

/// Words of a decision.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DecisionRow {
    #[serde(deserialize_with = "decided")]
    pub(super) decision: Decided,
    pub(super) words: Vec<String>,
}

fn score_kind<'de, D: serde::Deserializer<'de>>(d: D) -> Result<ScoreKind, D::Error> {
    ScoreKind::parse(&String::deserialize(d)?).map_err(serde::de::Error::custom)
}

fn decided<'de, D: serde::Deserializer<'de>>(d: D) -> Result<Decided, D::Error> {
    Decided::parse(&String::deserialize(d)?).map_err(serde::de::Error::custom)
}

/// Crayons.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CrayonRow {
    /// Colours that are known as such without quotes.
    pub(super) colours: Vec<String>,
}

/// A form of note, for the help page.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Form {
    /// What is written so.
    pub name: String,
    /// How it is written.
    pub how: String,
    /// Notes and what they mean.
    pub example: Vec<Example>,
}

/// A note and what it means.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Example {
    /// As it is typed.
    pub note: String,
    /// The sentence it is understood as.
    pub means: String,
}
