//! What is refused and questioned when two animals are to be one; the words are made here.

use crate::entry::{Refused, Unusual};
use crate::terms::{Day, counted};

/// Why two animals cannot be one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MergeRefused {
    /// One animal named twice.
    #[error("{0} is chosen twice: choose the other animal it is to be one with")]
    Itself(String),
    /// A ewe and a ram.
    #[error(
        "{keep} is a {keep_is} and {gone} a {gone_is}: mend the sex of one of them first, if they are one"
    )]
    Sexes {
        /// The one to stay.
        keep: String,
        /// Its sex.
        keep_is: &'static str,
        /// The other.
        gone: String,
        /// Its sex.
        gone_is: &'static str,
    },
    /// One descends from the other.
    #[error(
        "{older} is an ancestor of {younger}: they cannot be one; mend a parent between them first, if they are"
    )]
    Ancestor {
        /// The ancestor.
        older: String,
        /// The descendant.
        younger: String,
    },
    /// Each was born in a lambing of its own.
    #[error(
        "each was born in a lambing of the book: {keep} {} and {gone} {}; strike the one lambing that was written twice out first", .keep_on.words(), .gone_on.words()
    )]
    BornTwice {
        /// The one to stay.
        keep: String,
        /// Its lambing.
        keep_on: Day,
        /// The other.
        gone: String,
        /// Its lambing.
        gone_on: Day,
    },
    /// Lambings of both that no ewe can have had.
    #[error(
        "{keep} lambed {} and {gone} {}, {} apart, which no ewe does: strike one of the lambings out first, if it is the same", .keep_on.words(), .gone_on.words(), counted(usize::try_from(*days).unwrap_or(0), "day")
    )]
    LambingsNear {
        /// The one to stay.
        keep: String,
        /// Her lambing.
        keep_on: Day,
        /// The other.
        gone: String,
        /// Her lambing.
        gone_on: Day,
        /// Days between.
        days: i64,
    },
    /// A record that is about both.
    #[error(
        "{keep} and {gone} stand together in one record ({what}): strike it out or amend it first, if they are one"
    )]
    Together {
        /// The one to stay.
        keep: String,
        /// The other.
        gone: String,
        /// a joining, a crayon mark, …
        what: &'static str,
    },
}

impl From<MergeRefused> for Refused {
    fn from(why: MergeRefused) -> Self {
        Self::Merge(why)
    }
}

/// What speaks against two animals being one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MergeUnusual {
    /// Both wear a chip.
    #[error("{keep} wears the electronic number {first} and {gone} wears {second}: is it really one animal?")]
    TwoNumbers {
        /// The one to stay.
        keep: String,
        /// Its number.
        first: String,
        /// The other.
        gone: String,
        /// Its number.
        second: String,
    },
    /// Births that cannot be the same.
    #[error("{keep} was born {first} and {gone} {second}: is it really one animal?")]
    BornApart {
        /// The one to stay.
        keep: String,
        /// Its birth.
        first: String,
        /// The other.
        gone: String,
        /// Its birth.
        second: String,
    },
}

impl From<MergeUnusual> for Unusual {
    fn from(what: MergeUnusual) -> Self {
        Self::Merge(what)
    }
}
