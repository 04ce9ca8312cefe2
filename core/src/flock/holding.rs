//! Who keeps the flock, and how the book speaks.

use crate::handbook::trade::Trade;
use crate::terms::DayOrder;
use crate::terms::speech::{Say, Speech};
use std::sync::Arc;

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
    /// The flock's prefix in the registry.
    pub prefix: String,
    /// Name of the registry or breed society, as papers print it.
    pub registry: String,
    /// The keeper's own rules of grading up, in the words of the shipped file; empty is as shipped.
    pub grading: String,
    /// Days of gestation by breed as the keeper puts them: `Fellside 148; Hillgrey 146`.
    pub gestation: String,
    /// Adjustment of weights as the keeper has it: factors, groups, windows, in the words of the shipped file.
    pub growth: String,
    /// What is asked of animals that are kept: weights of the sheet and of the index, rules of culling, likewise.
    pub keeping: String,
    /// How the flock's figures are reckoned: their bases, likewise.
    pub figures: String,
    /// Feeding as the keeper has it: needs, steps of the creep, bounds, likewise.
    pub feeding: String,
    /// Kept by the rules for organic flocks: longer withdrawal.
    pub organic: bool,
    /// Id of the words of the region; empty is plain English.
    pub words: String,
    /// In which order days are written.
    pub days: DayOrder,
    /// The sign of the keeper's money, `£`, `NZ$`: shown before amounts, never kept with them; empty for none.
    pub currency: String,
}

impl Holding {
    /// The words of the trade this book is spoken of in.
    pub fn trade(&self) -> Trade {
        Trade::of(&self.words)
    }

    /// How this book is shown and printed, in English.
    pub fn speech(&self) -> Speech {
        let trade = self.trade();
        let words = (trade != Trade::PLAIN).then(|| Arc::new(move |text: &str| trade.otherwise(text)) as Say);
        Speech { language: None, words, days: self.days, currency: self.currency.trim().into() }
    }
}
