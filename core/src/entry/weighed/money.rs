//! Money spent and taken.

use super::{WeighedRefused, WeighedUnusual};
use crate::entry::{Check, Entry, Faults, Field, words};
use crate::flock::Money;
use crate::terms::{Day, MoneyId, MoneyKind, Price};

/// An amount as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MoneyDraft {
    /// The day.
    pub on: Day,
    /// For what.
    pub kind: MoneyKind,
    /// How much.
    pub amount: Price,
    /// Pen or group; none is the whole flock.
    pub group: Option<String>,
    /// Note.
    pub note: Option<String>,
}

/// Checks amounts; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn money(drafts: Vec<MoneyDraft>, today: Day) -> Check {
    let mut faults = Faults::default();
    let mut all: Vec<Money> = Vec::new();
    if drafts.is_empty() {
        faults.refuse(Field::of("amount"), WeighedRefused::NoAmount.into());
    }
    for (row, d) in drafts.into_iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let new = Money {
            id: MoneyId::new(),
            on: d.on,
            kind: d.kind,
            amount: d.amount,
            group: words(&d.group),
            note: words(&d.note),
            struck: None,
        };
        check(&mut faults, row, &new);
        all.push(new);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => format!("{}: {}", capital(one.kind.words()), one.amount),
            many => format!("{} amounts of money", many.len()),
        };
        (Entry::Money(all), sentence)
    })
}

/// More than this at once is asked about, in hundredths (common practice, no source).
const MUCH: u32 = 5_000_000;

pub(super) fn check(faults: &mut Faults, row: usize, m: &Money) {
    if m.amount.cents() == 0 {
        faults.refuse(Field::row("amount", row), WeighedRefused::NoAmount.into());
    } else if m.amount.cents() > MUCH {
        faults.question(Field::row("amount", row), WeighedUnusual::MuchMoney(m.amount.to_string()).into());
    }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
