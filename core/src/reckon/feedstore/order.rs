//! How long a feed lasts, and how that is told.

use super::Stock;
use crate::terms::{Day, Mass};

/// How long a feed lasts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lasts {
    /// What is there is not known.
    Unknown,
    /// None of it goes.
    Unused,
    /// To the end of this day; today where it does not last through tomorrow.
    Until(Day),
    /// Longer than a year.
    Long,
}

impl Lasts {
    /// Whole days ahead for which it lasts.
    pub fn days(self, today: Day) -> Option<u32> {
        match self {
            Self::Until(day) => u32::try_from(day.since(today)).ok(),
            _ => None,
        }
    }
}

/// So far ahead is looked.
const YEAR: i64 = 366;

/// How long so much lasts when so much goes on each day ahead.
pub(super) fn lasts(stock: Option<Stock>, today: Day, goes: impl Fn(Day) -> Mass) -> Lasts {
    let Some(stock) = stock else { return Lasts::Unknown };
    let mut left = stock.mass().grams();
    let mut any = false;
    for n in 1..=YEAR {
        let need = goes(today.plus(n)).grams();
        any |= need > 0;
        match left.checked_sub(need) {
            Some(rest) => left = rest,
            None => return Lasts::Until(today.plus(n - 1)),
        }
    }
    if any { Lasts::Long } else { Lasts::Unused }
}

/// How a feed stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum State {
    /// The book says less than nothing.
    BelowNothing,
    /// It is fed, and none is left.
    Out,
    /// It is fed, and what is there is not written.
    NotCounted,
    /// To be ordered today, or it runs out before it comes.
    OrderNow,
    /// To be ordered within days.
    OrderSoon,
    /// There is enough.
    Enough,
    /// It is there and none of it goes.
    NotFed,
    /// Neither there nor fed.
    NotKept,
}

impl State {
    /// All of them, the gravest first.
    pub const ALL: [Self; 8] = [
        Self::BelowNothing,
        Self::Out,
        Self::NotCounted,
        Self::OrderNow,
        Self::OrderSoon,
        Self::Enough,
        Self::NotFed,
        Self::NotKept,
    ];

    /// In plain words.
    pub fn word(self) -> &'static str {
        match self {
            Self::BelowNothing => "count it",
            Self::Out => "none left",
            Self::NotCounted => "not counted",
            Self::OrderNow => "order now",
            Self::OrderSoon => "order soon",
            Self::Enough => "enough",
            Self::NotFed => "not fed now",
            Self::NotKept => "none there",
        }
    }

    /// Animals may go without, or the book is wrong.
    pub fn is_grave(self) -> bool {
        matches!(self, Self::BelowNothing | Self::Out | Self::OrderNow)
    }

    /// The keeper should do something.
    pub fn is_caution(self) -> bool {
        self < Self::Enough
    }
}
