//! Money spent and taken as rows.

use super::kind::{Column, may, must};
use super::sheet::Sheet;
use super::{Taken, Unfit, text};
use crate::entry::{Entry, MoneyDraft, money};
use crate::flock::{Flock, Money};
use crate::terms::{Day, MoneyId, MoneyKind, Price};
use std::collections::HashSet;

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
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), 0);
    // The same may be paid twice on a day: each row meets one line of the book.
    let mut met: HashSet<MoneyId> = HashSet::new();
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let on = c.day("on");
        let kind = c.must("kind", "what it was for", MoneyKind::parse);
        let amount = c.must("amount", "an amount", Price::parse);
        let (group, note) = (c.words("group"), c.words("note"));
        let (Some(on), Some(kind), Some(amount), true) = (on, kind, amount, c.good()) else { continue };
        let draft = MoneyDraft { on, kind, amount, group, note };
        let held = flock.daybook().money.iter().find(|m| !met.contains(&m.id) && is_same(m, &draft));
        if let Some(m) = held {
            met.insert(m.id);
            same += 1;
            continue;
        }
        drafts.push(draft);
        order.push(i);
    }
    let check = (!drafts.is_empty()).then(|| money(drafts, today));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
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
