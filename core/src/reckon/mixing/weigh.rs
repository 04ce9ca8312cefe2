//! What is weighed out for a batch of a mix of the book.

use super::unit::Unit;
use super::words::{cautions, floor, short};
use crate::flock::{Feed, Flock, WHOLE, natural};
use crate::phrase;
use crate::reckon::ration::{FeedRules, Grave, Holds, Ingredient, holds, ingredient};
use crate::terms::{Day, Eaters, FeedId, Mass, Units, Why};

/// A feed that is weighed out.
#[derive(Debug, Clone, PartialEq)]
pub struct WeighLine {
    /// The feed.
    pub feed: FeedId,
    /// Its name.
    pub name: String,
    /// Its share as fed, 0 to 1.
    pub share: f64,
    /// How much of it.
    pub amount: Mass,
    /// The same in whole bags and the rest in scoops, as far as they are known; empty where they are not.
    pub so: String,
    /// Money; none where its price is not known.
    pub cost: Option<f64>,
}

/// A batch.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighing {
    /// What is weighed out, the most of it first.
    pub lines: Vec<WeighLine>,
    /// All together.
    pub total: Mass,
    /// What it holds.
    pub holds: Holds,
    /// What it holds at least, where a figure of a feed is not known.
    pub floor: Holds,
    /// Money in all; none where a price is not known.
    pub cost: Option<f64>,
    /// Feeds without a price.
    pub unpriced: Vec<String>,
    /// Who is fed with it by the book, in words: rations that hold, creeps that are open.
    pub eaters: Vec<String>,
    /// What must be said, the gravest first.
    pub cautions: Vec<(Grave, Why, String)>,
}

/// A batch of a mix; none where the feed is no mix or its parts are gone.
pub fn weighing(flock: &Flock, mix: &Feed, total: Mass, on: Day) -> Option<Weighing> {
    let units = flock.holding().units;
    let mut parts: Vec<(FeedId, Ingredient, f64)> = mix
        .parts
        .iter()
        .filter_map(|p| {
            let feed = ingredient(flock, p.feed, on)?;
            Some((p.feed, feed, f64::from(p.share) / f64::from(WHOLE)))
        })
        .collect();
    if parts.is_empty() {
        return None;
    }
    parts.sort_by(|a, b| b.2.total_cmp(&a.2).then_with(|| natural(&a.1.name, &b.1.name)));
    // Grams that add up to the whole: the largest takes what rounding leaves.
    let mut grams: Vec<u64> = parts.iter().map(|(.., s)| (s * total.grams() as f64).round() as u64).collect();
    let rest: u64 = grams.iter().skip(1).sum();
    if let Some(first) = grams.first_mut() {
        *first = total.grams().saturating_sub(rest);
    }
    let line = |((feed, ingredient, share), grams): (&(FeedId, Ingredient, f64), u64)| {
        let amount = Mass::from_grams(grams).unwrap_or_default();
        WeighLine {
            feed: *feed,
            name: ingredient.name.clone(),
            share: *share,
            amount,
            so: so(flock, *feed, amount, on, units),
            cost: ingredient.price.map(|p| p * amount.kg()),
        }
    };
    let lines: Vec<WeighLine> = parts.iter().zip(grams).map(line).collect();
    let of: Vec<(&Ingredient, f64)> =
        parts.iter().zip(&lines).map(|((_, f, _), l)| (f, l.amount.kg())).collect();
    let (eaters, who) = eaten_by(flock, mix.id, on);
    Some(Weighing {
        total,
        holds: holds(of.iter().copied()),
        floor: floor(&of),
        cost: lines.iter().map(|l| l.cost).sum(),
        unpriced: lines.iter().filter(|l| l.cost.is_none()).map(|l| l.name.clone()).collect(),
        eaters,
        cautions: cautions(&FeedRules::of(flock.holding()), &of, who),
        lines,
    })
}

/// `2 bags of 25 kg and 12.4 kg, about 10 scoops`.
fn so(flock: &Flock, feed: FeedId, amount: Mass, on: Day, units: Units) -> String {
    let room = flock.feedroom();
    let bag = room.feed(feed).and_then(|f| f.bag).filter(|b| !b.is_none() && *b <= amount);
    let bags = bag.map_or(0, |b| amount.grams() / b.grams());
    let rest = bag.map_or(amount, |b| Mass::from_grams(amount.grams() % b.grams()).unwrap_or_default());
    let measure = room
        .measures
        .iter()
        .filter(|m| m.feed == feed && m.struck.is_none() && m.on <= on && !m.mean().is_none())
        .max_by_key(|m| (m.on, m.id));
    let scoops = measure.filter(|_| !rest.is_none()).and_then(|m| {
        let halves = (rest.kg() / m.mean().kg() * 2.0).round();
        let whole = Unit { word: m.name.clone(), each: m.mean() };
        // Too little to scoop is weighed, and nobody counts more than forty.
        if !(2.0..=80.0).contains(&halves) {
            return None;
        }
        let n = halves / 2.0;
        let many = whole.say(if n == 1.0 { 1 } else { 2 });
        let word = many.split_once(' ').map_or("", |(_, w)| w).to_string();
        Some(phrase!("about {} {word}", short(n)))
    });
    let mut said = Vec::new();
    if bags > 0
        && let Some(bag) = bag
    {
        let s = if bags == 1 { "" } else { "s" };
        said.push(phrase!("{bags} bag{s} of {}", bag.show(units)));
        if !rest.is_none() {
            said.push(rest.show(units));
        }
    }
    let bags = said.join(" and ");
    match (bags.is_empty(), scoops) {
        (_, None) => bags,
        (true, Some(s)) => s,
        (false, Some(s)) => format!("{bags} ({s})"),
    }
}

/// Who is fed with it by the book, and the group whose cautions hold.
fn eaten_by(flock: &Flock, mix: FeedId, on: Day) -> (Vec<String>, Option<Eaters>) {
    let room = flock.feedroom();
    let mut words: Vec<String> = Vec::new();
    let mut who: Vec<Eaters> = Vec::new();
    for r in room.rations_on(on).into_iter().filter(|r| r.feed == mix) {
        let pen = r.pen.as_ref().map(|p| phrase!(" in {p}")).unwrap_or_default();
        words.push(phrase!("{}{pen}", r.eaters.words()));
        who.push(r.eaters);
    }
    let creeps = room.creeps.iter().filter(|c| {
        c.struck.is_none() && c.feed == Some(mix) && c.from <= on && c.to.is_none_or(|to| on <= to)
    });
    for c in creeps {
        words.push(phrase!("the creep in {}", c.pen));
        who.push(Eaters::CreepLambs);
    }
    words.dedup();
    let lambs = [Eaters::CreepLambs, Eaters::MilkLambs, Eaters::WeanedLambs];
    let young = who.iter().find(|e| lambs.contains(e)).copied();
    (words, young.or_else(|| who.first().copied()))
}
