//! The board: every creep of a day, and the pens that have none.

use super::checks::{self, Check};
use super::intake::{self, Deed, Event, Rate, Spell};
use super::lambs::{self, AtTheCreep, Stays};
use super::past::{self, DayIntake, Earlier, Past};
use super::steps::Steps;
use super::{DAY, moment};
use crate::flock::{AnimalFile, Creep, Feed, FeedRoom, Flock, natural};
use crate::reckon::ration::{FeedRules, Limit};
use crate::terms::{
    Analysis, Base, CheckKind, CreepId, Day, FeedId, FeedKind, Level, MadeFor, Mass, Moment, Nutrient, norm,
};
use std::collections::BTreeSet;

/// What is in a creep.
#[derive(Debug, Clone, PartialEq)]
pub struct InIt {
    /// The feed.
    pub feed: FeedId,
    /// Its name.
    pub name: String,
    /// Crude protein as fed, percent.
    pub protein_fed: Option<f64>,
    /// Crude protein of dry matter, percent.
    pub protein_dry: Option<f64>,
    /// Whom it is made for.
    pub made_for: MadeFor,
    /// There is medicine in it.
    pub medicated: bool,
}

/// The trough in the evening of the day.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Trough {
    /// How much it holds when full.
    pub holds: Option<Mass>,
    /// When it was filled last.
    pub filled: Option<Moment>,
    /// It was filled on the day.
    pub filled_today: bool,
    /// The last level known, and its day: seen, or full after a filling to the top.
    pub seen: Option<(Level, Day)>,
    /// The level of a look at it today, after which nothing was filled in.
    pub looked: Option<Level>,
    /// What is left in it by what is eaten a day.
    pub left: Option<Mass>,
    /// The same as a level, where its size is known.
    pub level_now: Option<Level>,
    /// So much fills it to the top.
    pub to_top: Option<Mass>,
}

/// Until when it lasts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lasts {
    /// Empty at this moment.
    pub until: Moment,
    /// That is over.
    pub is_empty: bool,
}

/// A creep that is open.
#[derive(Debug, Clone, PartialEq)]
pub struct PenCreep {
    /// The creep.
    pub creep: CreepId,
    /// Its pen.
    pub pen: String,
    /// Open since.
    pub since: Day,
    /// The lambs there.
    pub lambs: AtTheCreep,
    /// What is in it.
    pub feed: Option<InIt>,
    /// The steps by the rules.
    pub steps: Steps,
    /// A feed of the store that fits the step of now, where what is in it does not.
    pub fits_now: Option<FeedId>,
    /// A feed of the store that fits the next step by the mean lamb.
    pub fits_next: Option<FeedId>,
    /// The trough.
    pub trough: Trough,
    /// What a lamb eats a day.
    pub rate: Option<Rate>,
    /// What all of them eat a day.
    pub a_day: Option<Mass>,
    /// It is less than what shows a benefit: grams a lamb a day, and the least.
    pub under_least: Option<(f64, f64)>,
    /// What lambs of this age ate in earlier seasons.
    pub past: Option<Past>,
    /// Intake of the last two weeks, day by day.
    pub line: Vec<DayIntake>,
    /// The spells between refills.
    pub spells: Vec<Spell>,
    /// Until when it lasts.
    pub lasts: Option<Lasts>,
    /// Looks at the pen.
    pub checks: Vec<Check>,
    /// More was in it on this day than can be.
    pub too_much: Option<Day>,
}

/// A pen without a creep where something is to be said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Without {
    /// The pen.
    pub pen: String,
    /// Lambs of creep age; empty where only a look at the pen is asked for.
    pub lambs: AtTheCreep,
    /// Looks at the pen.
    pub checks: Vec<Check>,
}

/// The creeps of a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Board {
    /// The day.
    pub on: Day,
    /// Creeps that are open, by pen.
    pub creeps: Vec<PenCreep>,
    /// Pens with none, where lambs are old enough or a look is asked for.
    pub without: Vec<Without>,
    /// The age from which lambs eat, days.
    pub from_age: i64,
    /// Steps of the creep by the rules: from this age in days, protein, its base.
    pub steps: Vec<(i64, f64, Base)>,
    /// Grams a lamb a day that are the least that shows a benefit.
    pub least_g: f64,
}

/// Lambs that are not weaned at this age are no longer waited for with a creep (the care plan's latest weaning).
const LATEST_WEANING: i64 = 120;
/// From this age to weaning intake is held against the least that shows a benefit. Source: feed page with the text of a
/// US extension guide (reference, 1c).
const BENEFIT_FROM: i64 = 20;
/// The board stands for the evening of its day.
const EVENING: i64 = 18 * 60;

/// The creeps in the evening of a day.
pub fn board(flock: &Flock, on: Day) -> Board {
    let room = flock.feedroom();
    let rules = FeedRules::of(flock.holding());
    let from_age = rules.creep.first().map_or(7, |s| s.from_day);
    let stays_days = rules.limit(Limit::AfterWeaning) as i64;
    let mut open: Vec<&Creep> = Vec::new();
    for c in room.creeps.iter().filter(|c| c.struck.is_none() && c.from <= on) {
        if c.to.is_none_or(|to| on <= to) && !open.iter().any(|o| norm(&o.pen) == norm(&c.pen)) {
            open.push(c);
        }
    }
    open.sort_by(|a, b| natural(&a.pen, &b.pen));
    let open_pens: BTreeSet<String> = open.iter().map(|c| norm(&c.pen)).collect();
    let wants = |f: &AnimalFile, age: i64, weaned: Option<Day>| {
        lambs::pen_on(f, on).is_some_and(|p| open_pens.contains(&norm(p)))
            || weaned.map_or(age <= LATEST_WEANING, |w| on.since(w) < stays_days)
    };
    let mut by_pen = lambs::by_pen(flock, on, from_age, wants);
    let every = Every::of(flock, from_age, on);
    let lamp_days = rules.limit(Limit::LampDays) as i64;
    let lamp = |at: &AtTheCreep| at.youngest_of_all.is_some_and(|y| y < lamp_days);
    let creeps = open.into_iter().map(|c| {
        let (_, at) = by_pen.remove(&norm(&c.pen)).unwrap_or_default();
        let lamp = lamp(&at);
        let checks = checks::checks(room, &c.pen, on, |what| what != CheckKind::Lamp || lamp);
        one(flock, &rules, c, at, checks, &every, on)
    });
    let creeps = creeps.collect();
    let faults = room.checks.iter().filter(|c| c.struck.is_none() && c.on <= on && c.fault.is_some());
    let mut others: Vec<(String, AtTheCreep)> = by_pen.into_values().collect();
    for pen in faults.map(|c| c.pen.as_str()) {
        let known = |p: &str| norm(p) == norm(pen);
        if !open_pens.contains(&norm(pen)) && !others.iter().any(|(p, _)| known(p)) {
            others.push((pen.to_string(), AtTheCreep::default()));
        }
    }
    let mut without: Vec<Without> = others
        .into_iter()
        .filter_map(|(pen, lambs)| {
            let hangs = lamp(&lambs) && checks::has_lamp(room, &pen, on);
            let checks = checks::checks(room, &pen, on, |what| what == CheckKind::Lamp && hangs);
            (!lambs.eat.is_empty() || !checks.is_empty()).then_some(Without { pen, lambs, checks })
        })
        .collect();
    without.sort_by(|a, b| natural(&a.pen, &b.pen));
    let steps = rules.creep.iter().map(|s| (s.from_day, s.protein, s.base)).collect();
    Board { on, creeps, without, from_age, steps, least_g: rules.limit(Limit::CreepLeast) }
}

/// Every creep there ever was, followed through its refills.
struct Every {
    spells: Vec<(CreepId, Vec<Spell>)>,
    earlier: Earlier,
}

impl Every {
    fn of(flock: &Flock, from_age: i64, on: Day) -> Self {
        let room = flock.feedroom();
        let all = || room.creeps.iter().filter(|c| c.struck.is_none() && c.from <= on);
        let pens: BTreeSet<String> = all().map(|c| norm(&c.pen)).collect();
        let first = all().map(|c| c.from).min().unwrap_or(on);
        let stays = Stays::of(flock, &pens, first.plus(-365));
        let spells: Vec<(CreepId, Vec<Spell>)> = all()
            .map(|c| {
                let followed = intake::follow(&intake::events(room, c, on), c.holds);
                (c.id, intake::spells(&followed, &stays, &norm(&c.pen), from_age, on))
            })
            .collect();
        let earlier = Earlier::of(spells.iter().flat_map(|(_, all)| all.iter().cloned()), on);
        Self { spells, earlier }
    }
}

fn one(
    flock: &Flock,
    rules: &FeedRules,
    c: &Creep,
    lambs: AtTheCreep,
    checks: Vec<Check>,
    every: &Every,
    on: Day,
) -> PenCreep {
    let room = flock.feedroom();
    let events = intake::events(room, c, on);
    let followed = intake::follow(&events, c.holds);
    let spells = every.spells.iter().find(|(id, _)| *id == c.id).map(|(_, s)| s.clone()).unwrap_or_default();
    let now = events.last().map_or(EVENING, |e| e.at.max(EVENING));
    let rate = intake::rate(&spells, now);
    let heads = lambs.eat.len() as f64;
    let a_day = rate.and_then(|r| Mass::from_kg(r.each_g * heads / 1000.0)).filter(|m| !m.is_none());
    let there = there(&events, &followed, c.holds);
    let (trough, lasts) = trough(c, &events, there, a_day, (now, on));
    let feed = in_it(room, c, &events);
    let known = feed.as_ref().and_then(|id| room.feed(*id)).map(|f| analysis(room, f, on));
    let steps = Steps::of(rules, &lambs, known.as_ref(), on);
    let least = rules.limit(Limit::CreepLeast);
    let grown = lambs.mean().is_some_and(|age| age >= BENEFIT_FROM) && !lambs.all_weaned();
    let under_least = rate.map(|r| (r.each_g, least)).filter(|(g, _)| grown && *g < least);
    let step = steps.mean.or(steps.youngest);
    let fitting = |protein: f64, base: Base| fitting(room, protein, base, on);
    let fits_now = step.and_then(|s| fitting(s.protein, s.base)).filter(|f| Some(*f) != feed);
    let fits_next =
        step.and_then(|s| s.next).and_then(|(p, base, _)| fitting(p, base)).filter(|f| Some(*f) != feed);
    PenCreep {
        creep: c.id,
        pen: c.pen.clone(),
        since: c.from,
        past: lambs.mean().and_then(|age| every.earlier.at(age as f64)),
        line: past::line(&spells, &every.earlier, lambs.mean(), on),
        feed: feed.and_then(|id| named(room, id, known.as_ref())),
        lambs,
        steps,
        fits_now,
        fits_next,
        trough,
        rate,
        a_day,
        under_least,
        spells,
        lasts,
        checks,
        too_much: followed.too_much,
    }
}

/// What is known of a feed on a day.
fn analysis(room: &FeedRoom, feed: &Feed, on: Day) -> Analysis {
    crate::reckon::ration::analysis(room, feed, on)
}

fn named(room: &FeedRoom, id: FeedId, known: Option<&Analysis>) -> Option<InIt> {
    let feed = room.feed(id)?;
    let protein = |base| known.and_then(|k| k.on(Nutrient::Protein, base));
    Some(InIt {
        feed: id,
        name: feed.name.clone(),
        protein_fed: protein(Base::AsFed),
        protein_dry: protein(Base::DryMatter),
        made_for: feed.made_for,
        medicated: feed.medicine.is_some(),
    })
}

/// The feed in the creep that is open in a pen on a day: what was filled in last.
pub fn feed_in<'a>(room: &'a FeedRoom, pen: &str, on: Day) -> Option<&'a Feed> {
    let creep = room.creep_in(pen, on)?;
    room.feed(in_it(room, creep, &intake::events(room, creep, on))?)
}

/// The feed that was filled in last; at first that with which it was opened.
fn in_it(room: &FeedRoom, c: &Creep, events: &[Event]) -> Option<FeedId> {
    let last = events.iter().rev().find_map(|e| match e.what {
        Deed::Fill { feed, .. } | Deed::Seen { feed, level: Level::FULL } => Some(feed),
        _ => None,
    });
    last.or(c.feed).filter(|id| room.feed(*id).is_some())
}

/// Kilograms that were there, and when; with all that was filled in since.
fn there(events: &[Event], f: &intake::Followed, holds: Option<Mass>) -> Option<(i64, f64)> {
    if let Some((at, content)) = f.last {
        let tops = f64::from(content.tops);
        let kg = if content.tops == 0 { content.kg } else { holds?.kg() * tops + content.kg };
        return Some((at, kg));
    }
    events.iter().rev().find_map(|e| match e.what {
        Deed::Fill { kg, .. } => Some((e.at, kg)),
        _ => None,
    })
}

fn trough(
    c: &Creep,
    events: &[Event],
    there: Option<(i64, f64)>,
    a_day: Option<Mass>,
    (now, on): (i64, Day),
) -> (Trough, Option<Lasts>) {
    let fills = |e: &&Event| matches!(e.what, Deed::Fill { .. } | Deed::Seen { level: Level::FULL, .. });
    let filled = events.iter().rfind(fills);
    let seen = events.iter().rev().find_map(|e| match e.what {
        Deed::Seen { level, .. } => Some((level, e.day)),
        Deed::Fill { before: Some(level), kg, .. } => {
            // After a filling the level is what was there and what came.
            let holds = c.holds.map(Mass::kg).filter(|h| *h > 0.0)?;
            Some((percent(holds * f64::from(level.percent()) / 100.0 + kg, holds), e.day))
        }
        _ => None,
    });
    let looked = events.last().filter(|e| e.day == on).and_then(|e| match e.what {
        Deed::Seen { level, .. } if level != Level::FULL => Some(level),
        _ => None,
    });
    let per_minute = a_day.map(|m| m.kg() / DAY as f64);
    let left_kg = there.map(|(at, kg)| (kg - per_minute.unwrap_or(0.0) * (now - at).max(0) as f64).max(0.0));
    // Without a rate only what was seen today tells what is left.
    let left_kg = left_kg.filter(|_| per_minute.is_some() || there.is_some_and(|(at, _)| at >= 0));
    let lasts = there.zip(per_minute).map(|((at, kg), each)| {
        let until = at + ((kg / each).round() as i64).min(400 * DAY);
        Lasts { until: moment(until, on), is_empty: until <= now }
    });
    let holds = c.holds.map(Mass::kg).filter(|h| *h > 0.0);
    let trough = Trough {
        holds: c.holds,
        filled: filled.map(|e| moment(e.at, on)),
        filled_today: filled.is_some_and(|e| e.day == on),
        seen,
        looked,
        left: left_kg.and_then(Mass::from_kg),
        level_now: left_kg.zip(holds).map(|(kg, holds)| percent(kg, holds)),
        to_top: left_kg.zip(holds).and_then(|(kg, holds)| Mass::from_kg((holds - kg).max(0.0))),
    };
    (trough, lasts)
}

fn percent(kg: f64, holds: f64) -> Level {
    Level::from_percent((100.0 * kg / holds).round().clamp(0.0, 100.0) as u8).unwrap_or(Level::FULL)
}

/// An analysis is no finer than this, percent.
const FINE: f64 = 0.5;

/// The feed for lambs whose protein is nearest to a step and not below it.
fn fitting(room: &FeedRoom, protein: f64, base: Base, on: Day) -> Option<FeedId> {
    let fit = |f: &&Feed| {
        matches!(f.kind, FeedKind::Compound | FeedKind::Mix)
            && f.medicine.is_none()
            && matches!(f.made_for, MadeFor::Sheep | MadeFor::Plain | MadeFor::Unknown)
    };
    let with = room.feeds.iter().filter(fit).filter_map(|f| {
        let p = analysis(room, f, on).on(Nutrient::Protein, base)?;
        (p >= protein - FINE).then_some((f, p))
    });
    with.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(f, _)| f.id)
}
