//! Each feed of the store in one line: what is there, how long it lasts, when to order, in words.

use super::gather::Eaten;
use super::heads::Here;
use super::order::lasts;
use super::used::used;
use super::{Cost, Lasts, Layer, Ledger, Settings, State, Stock, Used, told};
use crate::flock::{Feed, Flock, Link, RecordRef};
use crate::reckon::eaters::HeadDays;
use crate::reckon::ration::{FeedRules, analysis};
use crate::terms::{Analysis, Base, Day, FeedId, FeedKind, Mass, Nutrient};

/// A feed of the store.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The feed.
    pub feed: FeedId,
    /// Its name.
    pub name: String,
    /// What kind it is.
    pub kind: FeedKind,
    /// What is there at the end of the day; none where nothing of it is written.
    pub stock: Option<Stock>,
    /// What a bag weighs.
    pub bag: Option<Mass>,
    /// How much goes a day.
    pub used: Used,
    /// How long it lasts.
    pub lasts: Lasts,
    /// Last day to order, so that it comes while the last day is fed.
    pub order_by: Option<Day>,
    /// How it stands.
    pub state: State,
    /// How it stands, in a few words: `order by Friday 4 December 2026`.
    pub words: String,
    /// Why it stands so, in a sentence.
    pub why: String,
    /// What a kg as fed costs.
    pub cost: Option<Cost>,
    /// What is there is worth so much, in hundredths.
    pub worth: Option<f64>,
    /// What is known of it: sheets, label, parts, the handbook's feed it is like.
    pub known: Analysis,
    /// What is left of each delivery, the oldest first.
    pub layers: Vec<Layer>,
    /// The earliest best day of what is there.
    pub best_before: Option<Day>,
    /// What is to be minded of it, a sentence each: made for other stock, past its best.
    pub cautions: Vec<String>,
}

impl Line {
    /// Whole bags that are there, to a tenth; none where its bag is not known.
    pub fn bags(&self) -> Option<f64> {
        let bag = self.bag.filter(|b| !b.is_none())?;
        Some(self.stock?.mass().kg() / bag.kg())
    }

    /// What a kg of its dry matter costs, in hundredths.
    pub fn cents_a_kg_dry(&self) -> Option<f64> {
        self.cost?.of_dry_matter(self.known.get(Nutrient::DryMatter)?)
    }

    /// Its crude protein in percent of dry matter, and as fed where its dry matter is known.
    pub fn protein(&self) -> Option<(f64, Option<f64>)> {
        let dry = self.known.on(Nutrient::Protein, Base::DryMatter)?;
        Some((dry, self.known.on(Nutrient::Protein, Base::AsFed)))
    }

    /// Whole days ahead for which it lasts.
    pub fn days_left(&self, today: Day) -> Option<u32> {
        self.lasts.days(today)
    }
}

/// Something of the store that the keeper should know.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    /// The feed.
    pub feed: FeedId,
    /// Where to follow it.
    pub link: Link,
    /// One sentence.
    pub words: String,
    /// What it is about.
    pub state: State,
}

/// The store of one version of the flock, at the end of a day.
#[derive(Debug)]
pub struct Store {
    version: u64,
    day: Day,
    /// What it was reckoned by.
    pub settings: Settings,
    /// Every feed, by name.
    pub lines: Vec<Line>,
    /// What the keeper should know, the gravest first.
    pub warnings: Vec<Warning>,
}

impl Store {
    /// Reckons the store.
    pub fn of(flock: &Flock, today: Day) -> Self {
        let settings = Settings::of(flock);
        let lines = lines(flock, today, &settings);
        let warnings = told::warnings(&lines, today);
        Self { version: flock.version(), day: today, settings, lines, warnings }
    }

    /// The version of the flock it is of.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// The day it is of.
    pub fn day(&self) -> Day {
        self.day
    }

    /// The line of a feed.
    pub fn line(&self, feed: FeedId) -> Option<&Line> {
        self.lines.iter().find(|l| l.feed == feed)
    }
}

/// Every feed, by name.
fn lines(flock: &Flock, today: Day, by: &Settings) -> Vec<Line> {
    let room = flock.feedroom();
    if room.feeds.is_empty() {
        return Vec::new();
    }
    let ledger = Ledger::of(flock, today.plus(1 - by.back_days), today);
    let rules = FeedRules::of(flock.holding());
    let eaten = Eaten::of(room);
    // Heads ahead are those of today: lambs to come are told under To spring.
    let here = Here::on(&HeadDays::of(flock, today, today), today);
    // What rations take changes only where one begins.
    let mut begins: Vec<Day> = room.rations.iter().map(|r| r.from).filter(|d| *d > today.plus(1)).collect();
    begins.push(today.plus(1));
    let closes = room.creeps.iter().filter_map(|c| c.to).map(|to| to.plus(1));
    begins.extend(closes.filter(|d| *d > today.plus(1)));
    begins.sort();
    begins.dedup();
    let ahead: Vec<(Day, Vec<super::Use>)> =
        begins.into_iter().map(|d| (d, eaten.by_rations(d, &here))).collect();
    let by_rations = |feed: FeedId, day: Day| {
        let at = ahead.partition_point(|(from, _)| *from <= day);
        let uses = at.checked_sub(1).and_then(|n| ahead.get(n)).map(|(_, uses)| uses.as_slice());
        let mine = uses.unwrap_or_default().iter().filter(|u| u.feed == feed);
        mine.fold(Mass::NONE, |sum, u| sum.plus(u.amount))
    };
    let one = |f: &Feed| {
        let used = used(&ledger, &eaten, &here, f.id, today, by);
        let stock = ledger.stock(f.id, today);
        let steady = used.filled.plus(used.mixed);
        let steady = match used.counts {
            Some((_, _, counted)) if steady.is_none() => counted,
            _ => steady,
        };
        let lasts = lasts(stock, today, |day| by_rations(f.id, day).plus(steady));
        let planned = ahead.iter().any(|(_, uses)| uses.iter().any(|u| u.feed == f.id));
        let goes = planned || !used.a_day().is_none();
        let mix = !f.parts.is_empty();
        let lead = if mix { 0 } else { by.lead_days };
        let order_by = match lasts {
            Lasts::Until(day) => Some(day.plus(-lead)),
            _ => None,
        };
        let state = state(stock, lasts, order_by, goes, today, by);
        let layers = ledger.layers(f.id, today);
        let known = analysis(room, f, today);
        let best_before = layers.iter().filter_map(|l| l.best_before).min();
        let mut line = Line {
            feed: f.id,
            name: f.name.clone(),
            kind: f.kind,
            stock,
            bag: f.bag,
            used,
            lasts,
            order_by,
            state,
            words: String::new(),
            why: String::new(),
            cost: ledger.cost_a_kg(f.id, today),
            worth: ledger.worth(f.id, today),
            cautions: told::cautions(f, &known, &rules, best_before, today),
            known,
            layers,
            best_before,
        };
        line.words = told::words(&line, mix, today);
        line.why = told::why(&line, mix, lead, today, flock.holding().units);
        line
    };
    room.feeds.iter().map(one).collect()
}

fn state(
    stock: Option<Stock>,
    lasts: Lasts,
    order_by: Option<Day>,
    goes: bool,
    today: Day,
    by: &Settings,
) -> State {
    match (stock, lasts, order_by) {
        (Some(s), ..) if s.short().is_some() => State::BelowNothing,
        (None, ..) if goes => State::NotCounted,
        (Some(s), ..) if s.grams == 0 && goes => State::Out,
        (Some(s), ..) if s.grams == 0 => State::NotKept,
        (None, ..) => State::NotKept,
        (_, Lasts::Until(_), Some(by_day)) if by_day <= today => State::OrderNow,
        (_, Lasts::Until(_), Some(by_day)) if by_day <= today.plus(by.soon_days) => State::OrderSoon,
        (_, Lasts::Unused, _) => State::NotFed,
        _ => State::Enough,
    }
}

impl Warning {
    /// What it is about, in a word or two.
    pub fn word(&self) -> &'static str {
        if self.state.is_caution() { self.state.word() } else { "past its best" }
    }

    pub(super) fn of(line: &Line, words: String) -> Self {
        let link = Link::Feedroom(RecordRef::Feed(line.feed));
        Self { feed: line.feed, link, words, state: line.state }
    }
}
