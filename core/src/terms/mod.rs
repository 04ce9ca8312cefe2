//! The trade's vocabulary as types: parse and print, nothing else. Knows no flock and no file.

mod born;
mod breed;
mod country;
mod day;
mod dose;
mod electronic;
mod expiry;
mod feed;
mod genes;
mod id;
mod mark;
mod mass;
mod month_day;
mod place;
mod price;
mod scale;
mod score;
pub mod speech;
mod text;
mod weight;
mod why;
mod withdrawal;
mod words;

pub use born::Born;
pub use breed::{Breed, BreedPart};
pub use day::{Day, Minute, Moment};
pub(crate) use dose::thousandths;
pub use dose::{Dose, DoseRule, Strength, ml_for};
pub use electronic::{ElectronicId, NATIONAL_MAX};
pub use feed::{Analysis, Base, CheckKind, Eaters, FeedChange, FeedKind, MadeFor, Nutrient};
pub use genes::{PrionAllele, Scrapie};
pub use id::*;
pub use mark::{IdentityKind, Tag, norm};
pub use mass::{Level, Mass};
pub use month_day::MonthDay;
pub use place::{Place, STEP_CM};
pub use price::{Price, currency, with_currency};
pub use scale::{
    BirthType, Decided, Ease, Fate, GeneStatus, Gut, MarkKind, MeantFor, MoneyKind, ProductClass, RearType,
    Rearing, Route, Scanned, Sex, Status,
};
pub use score::{Score, ScoreKind};
pub use speech::DayOrder;
pub use text::Text;
pub use weight::{Gain, POUND_G, Units, Weight};
pub use why::Why;
pub use withdrawal::Withdrawal;
pub use words::Words;

/// `1 lamb`, `3 lambs`.
pub fn counted(n: usize, one: &str) -> String {
    speech::counted(n, one).unwrap_or_else(|| if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") })
}

/// Why a typed word could not be understood: a sentence that says what is wrong and what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Misread(pub String);

impl Misread {
    /// A misreading with this sentence.
    pub fn new(text: impl Into<String>) -> Self {
        Self(text.into())
    }
}
