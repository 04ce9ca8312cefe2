//! Money spent and taken as rows.

use super::kind::{Column, may, must};
use super::sheet::{Met, Sheet};
use super::{Taken, Unfit, text};
use crate::entry::{Entry, MoneyDraft, money};
use crate::flock::{Flock, Money};
use crate::terms::{Day, MoneyId, MoneyKind, Price};

pub(super) const COLUMNS: &[Column] = &[
    must("on", "day"),
    must(
        "kind",
        "spent: feed, vet, bedding, shearing, tags, marketing, rams, ewes, other cost; taken: lambs, culls, wool, other income",
    ),
    must("amount", "how much, such as 12.50"),
    may("group", "pen or group it belongs to; blank: the whole flock"),
    may("note", "note"),
];

pub(super) fn read(sheet: &Sheet, flock: &Flock, today: Day) -> Result<Taken, Unfit> {
    let mut met: Met<MoneyId> = Met::default();
    sheet.records(
        |c| {
            let on = c.day("on");
            let kind = c.must("kind", "what it was for", MoneyKind::parse);
            let amount = c.must("amount", "an amount", Price::parse);
            let (group, note) = (c.words("group"), c.words("note"));
            Some(MoneyDraft { on: on?, kind: kind?, amount: amount?, group, note })
        },
        // The same may be paid twice on a day.
        |d| met.one(&flock.daybook().money, |m| m.id, |m| is_same(m, d)),
        |drafts| money(drafts, today),
        |entry| match entry {
            Entry::Money(all) => all.iter().map(row).collect(),
            _ => Vec::new(),
        },
    )
}

fn is_same(m: &Money, d: &MoneyDraft) -> bool {
    m.struck.is_none()
        && (m.on, m.kind, m.amount, &m.group, &m.note) == (d.on, d.kind, d.amount, &d.group, &d.note)
}

pub(super) fn rows(flock: &Flock) -> Vec<Vec<String>> {
    let mut all: Vec<&Money> = flock.daybook().money.iter().filter(|m| m.struck.is_none()).collect();
    all.sort_by_key(|m| (m.on, m.id));
    all.into_iter().map(row).collect()
}

fn row(m: &Money) -> Vec<String> {
    let kind = m.kind.word().to_string();
    vec![m.on.to_string(), kind, m.amount.to_string(), text(&m.group), text(&m.note)]
}
