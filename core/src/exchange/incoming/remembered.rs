//! What the keeper said of a table, kept for the next one with the same heads.

use super::columns::Meaning;
use super::words::{MassUnit, tidy};
use super::{Choice, Incoming, Preview};
use crate::exchange::Kind;
use crate::exchange::scale::DateOrder;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use std::collections::BTreeMap;

/// A choice as it is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Remembered {
    /// Tells the heads of the table from others.
    pub signature: String,
    /// Word of the kind.
    pub kind: String,
    /// By head, the word of its meaning.
    pub columns: BTreeMap<String, String>,
    /// How days were read: dmy, mdy, ymd; nothing where they told it themselves.
    #[serde(default)]
    pub dates: String,
    /// By head, what its figures weigh.
    #[serde(default)]
    pub units: BTreeMap<String, MassUnit>,
}

impl Incoming {
    /// Tells tables of one source from others: the same heads in the same order. None for a table without heads.
    pub fn signature(&self) -> Option<String> {
        if !self.has_head {
            return None;
        }
        let heads: Vec<String> = self.heads.iter().map(|h| tidy(h)).collect();
        let digest = Sha256::digest(heads.join("\n").as_bytes());
        Some(digest.iter().take(8).map(|b| format!("{b:02x}")).collect())
    }

    /// What is worth keeping of a choice, once it is written.
    pub fn remember(&self, choice: &Choice, preview: &Preview) -> Option<Remembered> {
        let heads = self.heads();
        let units =
            preview.columns.iter().zip(&heads).filter_map(|(c, h)| c.unit.map(|u| (h.clone(), u))).collect();
        Some(Remembered {
            signature: self.signature()?,
            kind: preview.kind.word().into(),
            columns: preview.meanings(),
            dates: choice.order.or(preview.order).map_or_else(String::new, |o| o.word().into()),
            units,
        })
    }

    /// The choice that was kept. A head that means something else by now is left to be guessed.
    pub fn recalled(&self, kept: &Remembered) -> Option<Choice> {
        let kind = Kind::parse(&kept.kind).ok()?;
        let mut choice = Choice { kind: Some(kind), ..Choice::default() };
        choice.order = DateOrder::parse(&kept.dates).ok();
        for (at, head) in self.heads().iter().enumerate() {
            if let Some(meaning) = kept.columns.get(head).and_then(|w| Meaning::parse(kind, w)) {
                choice.meanings.insert(at, meaning);
            }
            if let Some(unit) = kept.units.get(head) {
                choice.units.insert(at, *unit);
            }
        }
        Some(choice)
    }
}
