//! How long books are to be kept.

use super::row::counted;
use crate::handbook::Ground;
use crate::phrase;
use serde::Deserialize;

/// Which book is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Kept {
    /// The treatment log, with what was bought and disposed of.
    Treatment,
    /// The flock register.
    Register,
}

impl Kept {
    /// 'the treatment log'.
    pub fn words(self) -> &'static str {
        match self {
            Self::Treatment => "the treatment log",
            Self::Register => "the flock register",
        }
    }
}

/// How long a book is to be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Retention {
    /// Years.
    pub years: u32,
    /// What they are counted from.
    pub from: KeptFrom,
    /// What it stands on.
    pub ground: Ground,
}

/// What the years of keeping are counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum KeptFrom {
    /// The record.
    Record,
    /// The medicine's use or disposal.
    AdministrationOrDisposal,
    /// The day the last animal of it died or left.
    LastAnimalDiedOrLeft,
    /// The end of the year of the record.
    EndOfYear,
    /// The sale or purchase.
    Transaction,
}

impl Retention {
    /// 'kept for 5 years after use or disposal: SOURCE'.
    pub fn words(&self) -> String {
        format!("{}: {}", self.length(), self.ground)
    }

    /// 'kept for 5 years after use or disposal'.
    pub fn length(&self) -> String {
        let from = match self.from {
            KeptFrom::Record => "",
            KeptFrom::AdministrationOrDisposal => " after use or disposal",
            KeptFrom::LastAnimalDiedOrLeft => " after the last animal died or left",
            KeptFrom::EndOfYear => " after the end of the year",
            KeptFrom::Transaction => " after the sale or purchase",
        };
        phrase!("kept for {}{from}", counted(self.years, "year"))
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RetentionRow {
    pub(super) record: Kept,
    years: u32,
    from: KeptFrom,
}

impl RetentionRow {
    pub(super) fn checked(self, ground: &Ground) -> Result<Retention, String> {
        if !(1..=100).contains(&self.years) {
            return Err(phrase!("{} years: a book is kept for 1 to 100 years", self.years));
        }
        Ok(Retention { years: self.years, from: self.from, ground: ground.clone() })
    }
}
