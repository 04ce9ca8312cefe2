//! Rule sets: what the law of a place, or advice there, asks of the records, of off-label use, of marks, of the
//! register and of the first days' work.
//!
//! Read once from `resources/rules/`; knows no flock and no papers. Facts from memory are marked, shown as such, and
//! never loosen a check: of several limits the strictest counts. A keeper may mend a row or write a set of their own
//! ([`effective`]). Not legal advice.

mod banned;
mod change;
#[cfg(test)]
mod change_tests;
mod compare;
mod counting;
mod cupboard;
mod fields;
mod file;
mod floor;
#[cfg(test)]
mod floor_tests;
mod mark;
#[cfg(test)]
mod mark_tests;
mod procedure;
mod register;
mod retention;
mod row;
pub mod species;
mod tagging;
#[cfg(test)]
mod tests;

use crate::phrase;
pub use banned::Ban;
pub use change::{RuleChange, effective, known, row_faults, row_faults_among};
pub use compare::differences;
pub use counting::{DayCount, Organic, day_count};
pub use cupboard::{CupboardField, CupboardFields};
pub use fields::{TreatmentField, TreatmentFields};
pub use floor::{Commodity, Floor, OffLabelUse};
pub use mark::{MarkKind, MarkRule, MarkVerdict};
pub use procedure::{Asked, Keep, Procedure, RingLimit, STAR};
pub use register::{RegisterField, RegisterPart, RegisterRules};
pub use retention::{Kept, KeptFrom, Retention};
pub use row::Topic;
pub use tagging::Tagging;

use crate::handbook::{Ground, sound};
use crate::terms::{Day, IdentityKind};
use file::SetFile;
use procedure::Part;
use row::{Row, Rule};
use std::sync::LazyLock;

/// The rules of one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleSet {
    id: String,
    name: String,
    ground: Ground,
    rows: Vec<Row>,
    fields: Option<TreatmentFields>,
    cupboard: Option<CupboardFields>,
    kept: Vec<(Kept, Retention)>,
    organic: Option<Organic>,
    marks: Vec<MarkRule>,
    tagging: Option<Tagging>,
    parts: Vec<Part>,
    register: Option<RegisterRules>,
}

/// One row of a rule set, to be shown and mended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleRow {
    /// Its key, of this row alone in the set.
    pub key: String,
    /// What it is about.
    pub topic: Topic,
    /// What it demands, in plain sentences.
    pub words: String,
    /// What it stands on.
    pub ground: Ground,
    /// The row's own text, to be mended.
    pub toml: String,
    /// Changed by the keeper.
    pub mended: bool,
    /// Whether a keeper may change it: not where the program can do it in one way only.
    pub may_be_mended: bool,
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

    /// What is to be written of medicines acquired and disposed of, where it is known.
    pub fn cupboard(&self) -> Option<&CupboardFields> {
        self.cupboard.as_ref()
    }

    /// How long the treatment log is to be kept, where it is known.
    pub fn retention(&self) -> Option<&Retention> {
        self.retention_of(Kept::Treatment)
    }

    /// How long a book is to be kept, where it is known; the longest of several.
    pub fn retention_of(&self, what: Kept) -> Option<&Retention> {
        let all = self.kept.iter().filter(|(kept, _)| *kept == what).map(|(_, retention)| retention);
        // Of equal ones the first counts.
        all.rev().max_by_key(|retention| retention.years)
    }

    /// The least period an off-label use may be given. What is not known of the product takes the stricter figure.
    pub fn floor(&self, what: Commodity, product: &OffLabelUse) -> Floor {
        let rows = self.rows.iter().filter_map(|row| match &row.rule {
            Rule::Floor(floor) => Some((floor, &row.ground)),
            _ => None,
        });
        floor::floor(rows, what, product)
    }

    /// A substance of these, as a label names its active substances, that may not be used off-label.
    pub fn banned(&self, substances: &str) -> Option<Ban> {
        self.rows.iter().find_map(|row| match &row.rule {
            Rule::Banned(list) => {
                list.found(substances).map(|substance| Ban { substance, ground: row.ground.clone() })
            }
            _ => None,
        })
    }

    /// The longer periods of an organic flock, where they are known.
    pub fn organic(&self) -> Option<&Organic> {
        self.organic.as_ref()
    }

    /// Whether a period for export is kept beside the one for sale at home.
    pub fn tracks_export(&self) -> bool {
        self.export_ground().is_some()
    }

    /// What the period for export stands on; none where there is none.
    pub fn export_ground(&self) -> Option<&Ground> {
        self.rows.iter().find(|row| matches!(row.rule, Rule::Export(_))).map(|row| &row.ground)
    }

    /// The shapes of official marks.
    pub fn marks(&self) -> &[MarkRule] {
        &self.marks
    }

    /// Judges the shape of an animal's electronic number or official mark. Flock tags and registry numbers are not
    /// judged, nor is a kind of mark of which the set knows no shape.
    pub fn judge(&self, kind: IdentityKind, text: &str) -> MarkVerdict<'_> {
        mark::judge(&self.marks, kind, text)
    }

    /// Judges the shape of a holding's number.
    pub fn judge_holding(&self, text: &str) -> MarkVerdict<'_> {
        mark::judged(&self.marks, MarkKind::Holding, text)
    }

    /// Until when animals are tagged, where it is known.
    pub fn tagging(&self) -> Option<&Tagging> {
        self.tagging.as_ref()
    }

    /// What the flock register holds, where it is known.
    pub fn register(&self) -> Option<&RegisterRules> {
        self.register.as_ref()
    }

    /// The last day for a rubber ring, the strictest of the place's parts; none where no limit is known.
    pub fn ring(&self, what: Procedure) -> Option<RingLimit> {
        procedure::ring(&self.parts, what)
    }

    /// What is asked of castration or docking at an animal's age besides the last day of rings.
    pub fn asked(&self, what: Procedure, born: Day, on: Day) -> Asked {
        procedure::asked(&self.parts, what, born, on)
    }

    /// What must be left of a docked tail, each wording once.
    pub fn keep(&self) -> Vec<Keep<'_>> {
        procedure::keep(&self.parts)
    }

    /// The rules on rings and tails in a line, what is from memory named; none where nothing is known.
    pub fn ring_words(&self) -> Option<String> {
        procedure::words(&self.name, &self.parts, false)
    }

    /// The same for a card: what is from memory has a star, and what a star means is to be said once below.
    pub fn ring_words_short(&self) -> Option<String> {
        procedure::words(&self.name, &self.parts, true)
    }

    /// Everything the rules say of castration and docking, a sentence for each row with what it stands on.
    pub fn procedure_words(&self) -> Vec<(String, Ground)> {
        let rows = self.rows.iter().filter(|row| matches!(row.rule, Rule::Procedure(_)));
        rows.map(|row| (row.words(), row.ground.clone())).collect()
    }

    /// Every row, by topic and within it as the file has them.
    pub fn rows(&self) -> Vec<RuleRow> {
        let count = day_count();
        let mut all: Vec<RuleRow> = self
            .rows
            .iter()
            .map(|row| RuleRow {
                key: row.key.clone(),
                topic: row.topic(),
                words: row.words(),
                ground: row.ground.clone(),
                toml: row.toml.clone(),
                mended: row.mended,
                may_be_mended: true,
            })
            .collect();
        all.push(RuleRow {
            key: counting::DAY_COUNT_KEY.into(),
            topic: Topic::Counting,
            words: count.text.clone(),
            ground: count.ground.clone(),
            toml: counting::day_count_toml().into(),
            mended: false,
            may_be_mended: false,
        });
        all.sort_by_key(|row| row.topic);
        all
    }

    /// Puts a set together from its rows.
    fn of(file: SetFile) -> Result<Self, String> {
        let mut set = Self {
            id: file.id,
            name: file.name,
            ground: file.ground,
            rows: Vec::new(),
            fields: None,
            cupboard: None,
            kept: Vec::new(),
            organic: None,
            marks: Vec::new(),
            tagging: None,
            parts: Vec::new(),
            register: None,
        };
        for row in file.rows {
            if row.key == counting::DAY_COUNT_KEY || set.rows.iter().any(|r| r.key == row.key) {
                return Err(phrase!("two rows with the key '{}': give one of them another", row.key));
            }
            set.take(&row).map_err(|e| phrase!("row '{}': {e}", row.key))?;
            set.rows.push(row);
        }
        Ok(set)
    }

    fn take(&mut self, row: &Row) -> Result<(), String> {
        fn once<T: Clone>(mine: &mut Option<T>, its: &T) -> Result<(), String> {
            if mine.is_some() {
                return Err("another row says the same: mend that one".into());
            }
            *mine = Some(its.clone());
            Ok(())
        }
        match &row.rule {
            Rule::Fields(fields) => fields.join(&row.ground, &mut self.fields)?,
            Rule::Cupboard(cupboard) => self.cupboard.get_or_insert_default().take(cupboard, &row.ground)?,
            Rule::Retention(kept, retention) => self.kept.push((*kept, retention.clone())),
            Rule::Organic(organic) => once(&mut self.organic, organic)?,
            Rule::Export(_) if self.tracks_export() => {
                return Err("another row says the same: mend that one".into());
            }
            Rule::Mark(mark) => self.marks.push(mark.clone()),
            Rule::Tagging(tagging) => once(&mut self.tagging, tagging)?,
            Rule::Procedure(part) => self.parts.push(part.clone()),
            Rule::Register(register) => match &mut self.register {
                Some(mine) => mine.join(register),
                mine @ None => *mine = Some(register.clone()),
            },
            // Looked up row by row.
            Rule::Floor(_) | Rule::Banned(_) | Rule::Export(_) => {}
        }
        Ok(())
    }
}

static RULE_SETS: LazyLock<Vec<RuleSet>> = LazyLock::new(|| {
    file::shipped_files().into_iter().map(|file| sound("rules", RuleSet::of(file))).collect()
});

/// All rule sets, in the order they are offered; the parts of a place after the place.
pub fn rule_sets() -> &'static [RuleSet] {
    RULE_SETS.as_slice()
}

/// The rule set of this id; none if there is none of it, such as in a book without one.
pub fn rule_set(id: &str) -> Option<&'static RuleSet> {
    rule_sets().iter().find(|set| set.id == id)
}

/// The rule set a book goes by: the one of this id with the keeper's changes. Should the changes not be readable, such
/// as in a book another program wrote into, the shipped set holds.
pub(crate) fn holding_now(id: &str, changes: &[RuleChange]) -> Option<RuleSet> {
    effective(id, changes).ok().or_else(|| rule_set(id).cloned())
}
