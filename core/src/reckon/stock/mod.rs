//! The medicine cupboard's stock, reckoned from the records: received − given − wasted − disposed of, set anew by
//! each count. Of every product, a line for each batch number, and one for what was given without a number.
//!
//! One pass over the treatments. Amounts of different kinds (ml, mg, pieces) are never added: what is left is then not
//! known, until it is counted.

mod gather;
mod level;
mod said;
#[cfg(test)]
mod tests;

use crate::flock::{Flock, Link, RecordRef, same_batch};
use crate::terms::{BatchId, Day, Dose, ProductId, StockMoveId};
pub use level::{Amount, Kind};

/// How a batch stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum State {
    /// Nothing to be said.
    Fine,
    /// Less left than was given in the last 30 days, or under a tenth of what was bought.
    RunningOut,
    /// Expires within 30 days.
    ExpiresSoon,
    /// Past its last day.
    Expired,
    /// Open for longer than the label allows.
    OpenedTooLong,
    /// Nothing left.
    Empty,
    /// More went than ever came: a record is wrong or missing.
    Negative,
}

impl State {
    /// In plain words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Fine => "in order",
            Self::RunningOut => "running out",
            Self::ExpiresSoon => "expires soon",
            Self::Expired => "expired",
            Self::OpenedTooLong => "open too long",
            Self::Empty => "used up",
            Self::Negative => "less than nothing",
        }
    }

    /// The keeper should look at it.
    pub fn is_caution(self) -> bool {
        !matches!(self, Self::Fine | Self::Empty)
    }
}

/// How a count differs from what the book said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Difference {
    /// Not at all.
    Same,
    /// So much more was there.
    More(Dose),
    /// So much less was there.
    Less(Dose),
    /// The book could not say.
    Unknown,
}

impl std::fmt::Display for Difference {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Same => f.write_str("as the book says"),
            Self::More(by) => write!(f, "{by} more"),
            Self::Less(by) => write!(f, "{by} less"),
            Self::Unknown => f.write_str("the book could not say"),
        }
    }
}

/// One count of a batch, beside what the book said at the end of its day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Counted {
    /// The record.
    pub id: StockMoveId,
    /// Its day.
    pub on: Day,
    /// What the book said; none when it could not.
    pub book: Option<Amount>,
    /// What was found.
    pub found: Amount,
}

impl Counted {
    /// Found against the book.
    pub fn difference(&self) -> Difference {
        level::difference(self.book, self.found)
    }
}

/// One batch number of a product, or what was given of it without a number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// The product.
    pub product: ProductId,
    /// Its name.
    pub name: String,
    /// Batch number as it was first written; none is whatever was written without one.
    pub batch: Option<String>,
    /// The deliveries of this number, oldest first; none when it was given but never bought by the book.
    pub deliveries: Vec<BatchId>,
    /// Last day it may be used: the earliest of its deliveries.
    pub expiry: Option<Day>,
    /// First bought.
    pub bought_on: Option<Day>,
    /// When the bottle in use was opened.
    pub opened_on: Option<Day>,
    /// Last day of the bottle in use: opening day and the days of the label.
    pub use_by: Option<Day>,
    /// Bought in all; none when nothing was, or when it cannot be added up.
    pub received: Option<Dose>,
    /// Given to animals.
    pub given: Option<Dose>,
    /// Doses in the log without an amount, which no sum can heed.
    pub given_unmeasured: usize,
    /// Given in the last 30 days.
    pub given_lately: Option<Dose>,
    /// Wasted.
    pub wasted: Option<Dose>,
    /// Disposed of.
    pub disposed: Option<Dose>,
    /// Counts, oldest first.
    pub counts: Vec<Counted>,
    /// All counts together: how much more or less was found than the book said.
    pub difference: Difference,
    /// What is left; nothing below nothing is none at all. None when it is not known.
    pub left: Option<Dose>,
    /// How much more went than ever came.
    pub short: Option<Dose>,
    /// How it stands.
    pub state: State,
    /// How it stands, in words.
    pub words: String,
}

impl Line {
    /// Where it is found: its last delivery, or its product.
    pub fn link(&self) -> Link {
        let last = self.deliveries.last();
        Link::Cupboard(last.map_or(RecordRef::Product(self.product), |b| RecordRef::Batch(*b)))
    }

    /// It may be used on a day: in date, not open too long, and not known to be empty.
    pub fn is_usable(&self) -> bool {
        let bad = [State::Expired, State::OpenedTooLong, State::Empty, State::Negative];
        self.batch.is_some()
            && !bad.contains(&self.state)
            && !(self.deliveries.is_empty() && self.left.is_none())
    }

    /// The bottle is open and may still be used on this day.
    pub fn is_open(&self, on: Day) -> bool {
        self.opened_on.is_some() && self.use_by.is_none_or(|last| last >= on)
    }
}

/// Something of the cupboard that the keeper should know.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    /// Where to mend it.
    pub link: Link,
    /// One sentence.
    pub words: String,
    /// What it is about.
    pub kind: State,
}

/// Every line of the cupboard at the end of a day, by product and then first to use first.
pub fn of(flock: &Flock, on: Day) -> Vec<Line> {
    gather::lines(flock, on, None)
}

/// The lines of one product, first to use first.
pub fn of_product(flock: &Flock, product: ProductId, on: Day) -> Vec<Line> {
    gather::lines(flock, on, Some(product))
}

/// What is left of a batch, or of the whole product, at the end of a day; none when it is not known.
///
/// What was given without a batch number counts against the product as a whole, as long as not all of its batches
/// were counted since.
pub fn level(flock: &Flock, product: ProductId, batch: Option<&str>, on: Day) -> Option<Dose> {
    match batch {
        Some(number) => line_of(&of_product(flock, product, on), product, number)?.left,
        None => gather::whole(flock, product, on),
    }
}

/// The line of a batch number among lines that were reckoned.
pub fn line_of<'a>(lines: &'a [Line], product: ProductId, number: &str) -> Option<&'a Line> {
    lines.iter().find(|l| l.product == product && l.batch.as_deref().is_some_and(|b| same_batch(b, number)))
}

/// The batch to take next: the first to expire that is neither expired nor empty nor open too long; of one expiry the
/// open bottle before a closed one. Its number and expiry.
pub fn first_to_use(flock: &Flock, product: ProductId, on: Day) -> Option<(String, Option<Day>)> {
    let lines = of_product(flock, product, on);
    first_of(&lines, product).and_then(|l| Some((l.batch.clone()?, l.expiry)))
}

/// The line to take next among lines that were reckoned.
pub fn first_of(lines: &[Line], product: ProductId) -> Option<&Line> {
    lines.iter().find(|l| l.product == product && l.is_usable())
}

/// What the keeper should know of the cupboard: expired, open too long, expiring, running out, less than nothing.
pub fn warnings(flock: &Flock, today: Day) -> Vec<Warning> {
    said::warnings(&of(flock, today))
}

/// The same from lines that were reckoned.
pub fn warnings_of(lines: &[Line]) -> Vec<Warning> {
    said::warnings(lines)
}
