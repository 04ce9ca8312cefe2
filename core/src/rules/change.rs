//! What the keeper changed of the rule sets: one row mended for this flock, or a whole set of their own.

use crate::terms::RuleChangeId;

/// A change of one row of a rule set, or a rule set of the keeper's own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleChange {
    /// Its id.
    pub id: RuleChangeId,
    /// Id of the rule set.
    pub set: String,
    /// Key of the row it stands for; empty for a whole set of the keeper's own.
    pub row: String,
    /// The row or the set, in the words of the rule files.
    pub toml: String,
}
