//! Until when a lamb is tagged, and lost tags replaced.

use super::row::{counted, list};
use crate::handbook::Ground;
use crate::phrase;
use serde::Deserialize;

/// Until when an animal carries its official marks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tagging {
    /// Months of age at most; none where no age is set.
    pub months_max: Option<u32>,
    /// Months of age at most for one housed at night.
    pub months_if_housed: Option<u32>,
    /// Before it leaves the holding it was born on, if that is sooner.
    pub before_leaving: bool,
    /// Before it changes its owner.
    pub before_change_of_ownership: bool,
    /// Which animals; empty is all.
    pub applies_to: Vec<String>,
    /// Days in which a lost tag is replaced.
    pub replace_lost_within_days: Option<u32>,
    /// All of it in words.
    pub words: String,
    /// What it stands on.
    pub ground: Ground,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TaggingRow {
    months_max: Option<u32>,
    months_if_housed_overnight: Option<u32>,
    #[serde(default)]
    before_leaving_birthplace: bool,
    #[serde(default)]
    before_change_of_ownership: bool,
    #[serde(default)]
    applies_to: Vec<String>,
    replace_lost_within_days: Option<u32>,
}

impl TaggingRow {
    pub(super) fn checked(self, ground: &Ground) -> Result<Tagging, String> {
        let mut by = Vec::new();
        by.extend(self.months_max.map(|n| phrase!("by the age of {}", counted(n, "month"))));
        by.extend(
            self.months_if_housed_overnight.map(|n| phrase!("by {} if housed at night", counted(n, "month"))),
        );
        if self.before_leaving_birthplace {
            by.push("always before it leaves the holding it was born on".into());
        }
        if self.before_change_of_ownership {
            by.push("before it changes its owner".into());
        }
        if by.is_empty() {
            return Err("a row on tagging that says not until when".into());
        }
        let who = if self.applies_to.is_empty() {
            "an animal is tagged".to_owned()
        } else {
            phrase!("to be tagged are {}, each", list(self.applies_to.iter().map(String::as_str)))
        };
        let mut words = format!("{who} {}", by.join(", "));
        if let Some(days) = self.replace_lost_within_days {
            words.push_str(&phrase!("; a lost tag is replaced within {}", counted(days, "day")));
        }
        Ok(Tagging {
            months_max: self.months_max,
            months_if_housed: self.months_if_housed_overnight,
            before_leaving: self.before_leaving_birthplace,
            before_change_of_ownership: self.before_change_of_ownership,
            applies_to: self.applies_to,
            replace_lost_within_days: self.replace_lost_within_days,
            words,
            ground: ground.clone(),
        })
    }
}
