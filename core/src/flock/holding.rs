//! Who keeps the flock, and how the book speaks.

/// Who keeps the flock and how the book speaks.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Holding {
    /// Name of the flock.
    pub flock: String,
    /// Keeper's name.
    pub keeper: String,
    /// Holding number of the authority.
    pub number: String,
    /// Address, lines parted by commas.
    pub address: String,
    /// Usual giver of treatments.
    pub given_by: String,
    /// Usual prescribing vet.
    pub vet: String,
    /// kg or lb and oz.
    pub units: crate::terms::Units,
    /// Id of the rule set.
    pub rules: String,
    /// a4 or letter.
    pub sheet: String,
    /// Month and day the rams go in, `11-05`; empty is taken from the joinings of the year before.
    pub joining_day: String,
    /// Kept by the rules for organic flocks: longer withdrawal.
    pub organic: bool,
}
