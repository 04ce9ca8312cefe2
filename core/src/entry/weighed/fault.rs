//! What is refused and questioned of sessions, scores, decisions and money; the words are made here.

use crate::entry::{Refused, Unusual};
use crate::terms::{Day, Score};

/// Why an entry of this kind cannot be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WeighedRefused {
    /// A row with neither weight nor score.
    #[error("{0}: type its weight, or a score")]
    NothingTyped(String),
    /// A session that is not in the book.
    #[error("the session is not in the book any more: begin a new one")]
    NoSession,
    /// A decision that does not go with the animal's sex.
    #[error("{tag} is {is}: it cannot be decided to {what} it")]
    NotForThis {
        /// The animal.
        tag: String,
        /// a ewe, a wether
        is: String,
        /// keep entire, castrate
        what: &'static str,
    },
    /// A group without a name.
    #[error("the group needs a name: write a field, a pen or a word of your own")]
    NoGroup,
    /// No amount.
    #[error("how much was it? Write the amount, such as 12.50")]
    NoAmount,
}

impl From<WeighedRefused> for Refused {
    fn from(why: WeighedRefused) -> Self {
        Self::Weighed(why)
    }
}

/// What is unlikely of an entry of this kind.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WeighedUnusual {
    /// Weighed twice in one session.
    #[error("{tag} was weighed in this session already: is this the right tag?")]
    Twice {
        /// The animal.
        tag: String,
    },
    /// A score far from the last one within a short time.
    #[error("{tag} was {before} on {}, now {now}: is that right?", .on.words())]
    ScoreJump {
        /// The animal.
        tag: String,
        /// The last score.
        before: Score,
        /// Its day.
        on: Day,
        /// As typed.
        now: Score,
    },
    /// A score of a grown ewe on another animal.
    #[error("{tag} is no grown ewe: is a score of her {what} meant?")]
    NoEwe {
        /// The animal.
        tag: String,
        /// udder, mothering, …
        what: &'static str,
    },
    /// A decision on an animal that is not in the flock.
    #[error("{tag} is {status}: is a decision on it meant?")]
    NotHere {
        /// The animal.
        tag: String,
        /// sold, dead, …
        status: &'static str,
    },
    /// A very large amount.
    #[error("{0} is a great deal of money for a small flock: is it right?")]
    MuchMoney(String),
}

impl From<WeighedUnusual> for Unusual {
    fn from(what: WeighedUnusual) -> Self {
        Self::Weighed(what)
    }
}
