//! Rule sets: what the law of a place, or advice there, asks of the records and of the first days' work.
//!
//! Read once from `resources/rules/`; knows no flock and no papers. Facts from memory are marked, shown as such, and
//! never loosen a check: of several limits the strictest counts. Not legal advice.

mod change;
mod fields;
mod procedure;
#[cfg(test)]
mod tests;

pub use change::RuleChange;
pub use fields::{TreatmentField, TreatmentFields};
pub use procedure::{Keep, Procedure, RingLimit};

use crate::handbook::{Ground, Marked, shipped};
use fields::FieldsRow;
use procedure::{Part, ProcedureRow};
use serde::Deserialize;
use std::sync::LazyLock;

/// The rules of one place.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(try_from = "RuleSetRow")]
pub struct RuleSet {
    id: String,
    name: String,
    ground: Ground,
    fields: Option<TreatmentFields>,
    retention: Option<Retention>,
    parts: Vec<Part>,
}

/// How long the treatment log is to be kept.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(try_from = "RetentionRow")]
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
}

impl Retention {
    /// 'kept for 5 years after use or disposal: SOURCE'.
    pub fn words(&self) -> String {
        let from = match self.from {
            KeptFrom::Record => "",
            KeptFrom::AdministrationOrDisposal => " after use or disposal",
        };
        let years = if self.years == 1 { "year" } else { "years" };
        format!("kept for {} {years}{from}: {}", self.years, self.ground)
    }
}

impl RuleSet {
    /// Short name, as the book and the command line write it.
    pub fn id(&self) -> &str {
        &self.id
    }

    /// The place.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What the rule set stands on as a whole.
    pub fn ground(&self) -> &Ground {
        &self.ground
    }

    /// What is to be written of a treatment, where it is known.
    pub fn fields(&self) -> Option<&TreatmentFields> {
        self.fields.as_ref()
    }

    /// How long the treatment log is to be kept, where it is known.
    pub fn retention(&self) -> Option<&Retention> {
        self.retention.as_ref()
    }

    /// The last day for a rubber ring, the strictest of the place's parts; none where no limit is known.
    pub fn ring(&self, what: Procedure) -> Option<RingLimit> {
        procedure::ring(&self.parts, what)
    }

    /// What must be left of a docked tail, each wording once.
    pub fn keep(&self) -> Vec<Keep<'_>> {
        procedure::keep(&self.parts)
    }

    /// The rules on rings and tails in a line, what is from memory named; none where nothing is known.
    pub fn ring_words(&self) -> Option<String> {
        procedure::words(&self.name, &self.parts)
    }
}

static RULE_SETS: LazyLock<[RuleSet; 7]> = LazyLock::new(|| {
    macro_rules! sets {
        ($($id:literal),+) => { [$({
            let name = concat!("rules/", $id, ".toml");
            shipped(name, include_str!(concat!("../../../resources/rules/", $id, ".toml")))
        }),+] };
    }
    sets!("eu", "gb", "ni", "us", "au", "ca", "nz")
});

/// All rule sets, in the order they are offered.
pub fn rule_sets() -> &'static [RuleSet] {
    RULE_SETS.as_slice()
}

/// The rule set of this id; none if there is none of it, such as in a book without one.
pub fn rule_set(id: &str) -> Option<&'static RuleSet> {
    rule_sets().iter().find(|set| set.id == id)
}

/// The rule set a book goes by: the shipped one of this id with the keeper's changes.
pub(crate) fn holding_now(id: &str, _changes: &[RuleChange]) -> Option<RuleSet> {
    rule_set(id).cloned()
}

/// How the days of a withdrawal are counted.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(try_from = "DayCountRow")]
pub struct DayCount {
    /// In whole sentences.
    pub text: String,
    /// What it stands on.
    pub ground: Ground,
}

static DAY_COUNT: LazyLock<DayCount> = LazyLock::new(|| {
    shipped("rules/day_count.toml", include_str!("../../../resources/rules/day_count.toml"))
});

/// How days are counted; the same under every rule set.
pub fn day_count() -> &'static DayCount {
    &DAY_COUNT
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RuleSetRow {
    id: String,
    name: String,
    source: String,
    seen: Option<bool>,
    treatment_fields: Option<FieldsRow>,
    treatment_log: Option<Retention>,
    #[serde(default)]
    procedure: Vec<ProcedureRow>,
}

impl TryFrom<RuleSetRow> for RuleSet {
    type Error = String;

    fn try_from(row: RuleSetRow) -> Result<Self, String> {
        let ground = Marked::new(row.source, row.seen).ground()?;
        if row.id.trim().is_empty() || row.name.trim().is_empty() {
            return Err("a rule set without id or name".into());
        }
        Ok(Self {
            id: row.id,
            name: row.name,
            ground,
            fields: row.treatment_fields.map(TreatmentFields::try_from).transpose()?,
            retention: row.treatment_log,
            parts: row.procedure.into_iter().map(Part::try_from).collect::<Result<_, _>>()?,
        })
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RetentionRow {
    years: u32,
    from: KeptFrom,
    source: String,
    seen: Option<bool>,
}

impl TryFrom<RetentionRow> for Retention {
    type Error = String;

    fn try_from(row: RetentionRow) -> Result<Self, String> {
        let ground = Marked::new(row.source, row.seen).ground()?;
        Ok(Self { years: row.years, from: row.from, ground })
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DayCountRow {
    text: String,
    source: String,
    seen: Option<bool>,
}

impl TryFrom<DayCountRow> for DayCount {
    type Error = String;

    fn try_from(row: DayCountRow) -> Result<Self, String> {
        Ok(Self { text: row.text, ground: Marked::new(row.source, row.seen).ground()? })
    }
}
