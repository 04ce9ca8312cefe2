//! From the ledger and the flock to the lines.

use super::Gained;
use super::row::{FeedCosts, Row, Who, Whole};
use crate::flock::Flock;
use crate::reckon::eaters::{Spell, spells};
use crate::reckon::feedstore::Ledger;
use crate::reckon::ration::analysis;
use crate::terms::{AnimalId, Day, Eaters, FeedId, Nutrient};
use rapidhash::{RapidHashMap, RapidHashSet};
use std::collections::BTreeMap;

/// What is summed up for one line.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    kg: f64,
    dry_kg: f64,
    undried: bool,
    cents: f64,
    unpriced_kg: f64,
}

/// Whom a head of a group in a pen belongs to.
fn whos(pen: &str, eaters: Option<Eaters>) -> Vec<Who> {
    let mut all = vec![Who::Flock, Who::Group(eaters), Who::Pen(pen.to_string())];
    if let Some(e @ (Eaters::CreepLambs | Eaters::WeanedLambs)) = eaters {
        all.push(Who::Lambs(pen.to_string(), e));
    }
    all
}

fn is_lamb(e: Eaters) -> bool {
    matches!(e, Eaters::MilkLambs | Eaters::CreepLambs | Eaters::WeanedLambs)
}

/// Grown ewes, whatever they do.
fn is_ewe(e: Eaters) -> bool {
    use Eaters as E;
    matches!(
        e,
        E::DryEwes
            | E::JoinedEwes
            | E::EarlyEwes
            | E::LateEwes
            | E::NursingOne
            | E::NursingTwo
            | E::NursingThree
    )
}

/// Costs of feed from one day to another, both included. Work over the whole flock and each of the days.
pub fn feed_costs(flock: &Flock, from: Day, to: Day) -> FeedCosts {
    let room = flock.feedroom();
    let days = u32::try_from(to.since(from) + 1).unwrap_or(0);
    let ledger = Ledger::of(flock, from, to);
    let mut pens = Pens::default();
    let mut sums: BTreeMap<(Who, Option<FeedId>), Sum> = BTreeMap::new();
    let mut prices: RapidHashMap<(FeedId, Day), Option<f64>> = RapidHashMap::default();
    let mut dry: RapidHashMap<FeedId, Option<f64>> = RapidHashMap::default();
    let (mut unpriced, mut undried) = (RapidHashSet::default(), RapidHashSet::default());
    for u in ledger.uses().iter().filter(|u| u.on >= from && u.on <= to && !u.amount.is_none()) {
        let kg = u.amount.kg();
        let price = *prices
            .entry((u.feed, u.on))
            .or_insert_with(|| ledger.cost_a_kg(u.feed, u.on).map(|c| c.cents_a_kg));
        let share = *dry.entry(u.feed).or_insert_with(|| {
            let of = room.feed(u.feed)?;
            analysis(room, of, to).get(Nutrient::DryMatter).map(|d| d / 100.0)
        });
        if price.is_none() {
            unpriced.insert(u.feed);
        }
        if share.is_none() {
            undried.insert(u.feed);
        }
        let pen = pens.called(u.pen.as_deref().unwrap_or_default());
        for who in whos(&pen, u.eaters) {
            for feed in [None, Some(u.feed)] {
                let s = sums.entry((who.clone(), feed)).or_default();
                s.kg += kg;
                match price {
                    Some(p) => s.cents += p * kg,
                    None => s.unpriced_kg += kg,
                }
                match share {
                    Some(d) => s.dry_kg += kg * d,
                    None => s.undried = true,
                }
            }
        }
    }
    let there = there(flock, from, to, &mut pens);
    let mut rows: Vec<Row> = sums
        .into_iter()
        .map(|((who, feed), s)| {
            let (head_days, gained) = there.by.get(&who).map(|t| (t.head_days, t.gained)).unwrap_or_default();
            let dry_kg = (!s.undried).then_some(s.dry_kg);
            Row {
                who,
                feed,
                kg: s.kg,
                dry_kg,
                cents: s.cents,
                unpriced_kg: s.unpriced_kg,
                head_days,
                days,
                gained,
            }
        })
        .collect();
    rows.sort_by(|a, b| {
        let rank = |w: &Who| match w {
            Who::Flock => (0, 0),
            Who::Group(e) => (1, e.map_or(usize::MAX, |e| e as usize)),
            Who::Pen(_) => (2, 0),
            Who::Lambs(_, e) => (3, *e as usize),
        };
        let pen = |w: &Who| match w {
            Who::Pen(p) | Who::Lambs(p, _) => p.clone(),
            _ => String::new(),
        };
        (rank(&a.who).cmp(&rank(&b.who)))
            .then_with(|| crate::flock::natural(&pen(&a.who), &pen(&b.who)))
            .then_with(|| a.feed.is_some().cmp(&b.feed.is_some()))
            .then_with(|| b.cents.total_cmp(&a.cents))
            .then_with(|| b.kg.total_cmp(&a.kg))
    });
    let named = |all: RapidHashSet<FeedId>| {
        let mut all: Vec<FeedId> = all.into_iter().collect();
        all.sort_by_key(|f| room.name(*f).to_lowercase());
        all
    };
    let ewes = if days == 0 { 0.0 } else { there.ewe_days as f64 / f64::from(days) };
    FeedCosts {
        from,
        to,
        rows,
        whole: Whole { ewes, weaned: there.weaned },
        unpriced: named(unpriced),
        undried: named(undried),
    }
}

/// Pens by the way they were first written.
#[derive(Default)]
struct Pens(RapidHashMap<String, String>);

impl Pens {
    fn called(&mut self, pen: &str) -> String {
        self.0.entry(crate::terms::norm(pen)).or_insert_with(|| pen.to_string()).clone()
    }
}

#[derive(Debug, Default)]
struct Stood {
    head_days: u64,
    gained: Gained,
    lambs: RapidHashMap<AnimalId, bool>,
}

#[derive(Debug, Default)]
struct There {
    by: RapidHashMap<Who, Stood>,
    ewe_days: u64,
    weaned: u32,
}

/// Heads and gains over the span.
fn there(flock: &Flock, from: Day, to: Day, pens: &mut Pens) -> There {
    let mut all = There::default();
    let mut before: Option<Spell> = None;
    for s in spells(flock, from, to) {
        let n = u64::try_from(s.to.since(s.from) + 1).unwrap_or(0);
        if is_ewe(s.eaters) {
            all.ewe_days += n;
        }
        let was_sucking = before.as_ref().is_some_and(|b| {
            b.animal == s.animal && matches!(b.eaters, Eaters::MilkLambs | Eaters::CreepLambs)
        });
        all.weaned += u32::from(was_sucking && s.eaters == Eaters::WeanedLambs);
        let file = flock.file(s.animal).filter(|_| is_lamb(s.eaters));
        // To the day after its last: what it gained on that day counts.
        let gained = file.map(|f| Gained::of(f, s.from, s.to.plus(1)));
        let pen = pens.called(s.pen.as_deref().unwrap_or_default());
        for who in whos(&pen, Some(s.eaters)) {
            let stood = all.by.entry(who).or_default();
            stood.head_days += n;
            if let Some(g) = gained {
                stood.gained.add(g);
                *stood.lambs.entry(s.animal).or_default() |= g.lambs > 0;
            }
        }
        before = Some(s);
    }
    for stood in all.by.values_mut() {
        stood.gained.of = u32::try_from(stood.lambs.len()).unwrap_or(u32::MAX);
        stood.gained.lambs = u32::try_from(stood.lambs.values().filter(|w| **w).count()).unwrap_or(u32::MAX);
    }
    all
}
