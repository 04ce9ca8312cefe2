//! The answer in words.

use super::gather::{gather, who_words};
use super::off::Offs;
use super::outlook::{Outlook, outlook};
use super::{Ask, GoOn, NoWinter};
use crate::flock::{Feed, Flock};
use crate::phrase;
use crate::reckon::eaters::heads_words;
use crate::terms::{AnimalId, Day, Eaters, Mass, Units, counted};

/// A winter ahead of one feed.
#[derive(Debug, Clone, PartialEq)]
pub struct Winter {
    /// What was asked.
    pub ask: Ask,
    /// The feed.
    pub feed: Feed,
    /// The evening it is reckoned from.
    pub today: Day,
    /// In store then, kg as fed.
    pub stock_kg: f64,
    /// What was found.
    pub outlook: Outlook,
    /// On what it rests, a sentence each without its full stop.
    pub rests: Vec<String>,
    /// What is to be looked at, a sentence each without its full stop.
    pub cautions: Vec<String>,
    /// Ewes taken out as sold.
    pub sold: Vec<AnimalId>,
    /// kg or lb.
    pub units: Units,
}

/// Reckons a winter. Work over the whole flock, times the runs.
///
/// # Errors
/// There is no such feed, no ration of it, the days do not fit, or it was stopped.
pub fn winter(flock: &Flock, ask: &Ask, today: Day, go_on: GoOn<'_>) -> Result<Winter, NoWinter> {
    ask.check(flock, today)?;
    let feed = flock.feedroom().feed(ask.feed).ok_or(NoWinter::NoFeed)?;
    let units = flock.holding().units;
    let (in_store, store_words, used) = super::store::in_store(flock, feed, today);
    let stock_kg = ask.stock.map_or(in_store, Mass::kg).max(0.0);
    let offs = Offs::of(flock, feed, today, used, ask.spoiled);
    let g = gather(flock, feed, ask, today, stock_kg, (offs.stock, offs.given, offs.spoiled))?;
    let outlook = outlook(&g.model, ask.runs, ask.seed, go_on).ok_or(NoWinter::Stopped)?;
    let mut rests = vec![match ask.stock {
        Some(kg) => phrase!("In store on the evening of {}: {}, as you say", today.words(), kg.show(units)),
        None => store_words,
    }];
    rests.push(who_words(&g));
    let any: usize = g.scans.iter().sum();
    if any > 0 {
        let [litters, lost, barren] = <[String; 3]>::try_from(g.own.words()).unwrap_or_default();
        if g.scans[0] > 0 {
            rests.push(phrase!(
                "A scan is no birth count: singles are right in 90 of 100, two or more in 92, triplets in 35 \
                 (linear-array scanning study, 818 tests)"
            ));
        }
        if g.scans[1] + g.scans[2] > 0 {
            rests.push(litters);
        }
        rests.push(lost);
        if g.scans[2] > 0 {
            rests.push(barren);
        }
    }
    rests.extend(offs.words);
    let share = (100.0 * ask.grass_share).round();
    rests.push(phrase!("Grass from {}: {share} % of the ration from then on", ask.grass.words()));
    rests.push(phrase!("{} winters by chance (seed {}); all amounts as fed", outlook.runs, ask.seed));
    let mut w = Winter {
        ask: ask.clone(),
        feed: feed.clone(),
        today,
        stock_kg,
        outlook,
        rests,
        cautions: Vec::new(),
        sold: g.sold,
        units,
    };
    w.caution(&g.model, g.dry, g.leaving);
    Ok(w)
}

impl Winter {
    fn caution(&mut self, m: &super::Model, dry: usize, leaving: usize) {
        let bare: Vec<String> = Eaters::ALL
            .iter()
            .filter(|e| **e != Eaters::MilkLambs && **e != Eaters::CreepLambs)
            .filter(|e| !m.lines.iter().any(|l| l.eaters == **e))
            .filter_map(|e| {
                let before = self.outlook.days.iter().take(m.grass);
                let most = before.map(|d| d.heads[*e as usize]).fold(0.0, f64::max).round() as u32;
                (most > 0).then(|| format!("{most} {}", heads_words(most, *e)))
            })
            .collect();
        if !bare.is_empty() {
            self.cautions.push(phrase!(
                "No ration of {} is written for {}: they are taken to eat none of it. Write one with the day from \
                 which it holds, under Day by day",
                self.feed.name,
                listed(&bare)
            ));
        }
        if dry > 0 && self.ask.until.since(self.today) > 150 {
            self.cautions.push(phrase!(
                "{} neither joined nor in lamb: counted as dry to the end. Once they are joined this changes",
                if dry == 1 { phrase!("1 ewe is") } else { phrase!("{dry} ewes are") }
            ));
        }
        if leaving > 0 && self.ask.leave_on.is_none() {
            self.cautions.push(phrase!(
                "{} decided to leave: counted as eating on until you say when they go",
                if leaving == 1 { phrase!("1 animal is") } else { phrase!("{leaving} animals are") }
            ));
        }
        if self.stock_kg + self.ask.buy.kg() <= 0.0 {
            self.cautions
                .push(phrase!("Nothing of {} is in store by the book: count it under Store", self.feed.name));
        }
    }

    /// The day of a place.
    pub fn day(&self, place: usize) -> Day {
        self.today.plus(place as i64)
    }

    /// An amount in bales or bags where their weight is known, rounded up, else in kg or lb.
    pub fn amount(&self, kg: f64) -> String {
        let mass = self.mass(kg);
        match self.feed.bag.filter(|b| !b.is_none()) {
            Some(bag) => {
                let n = (kg / bag.kg() - 1e-9).ceil().max(0.0) as usize;
                format!("{} ({mass})", counted(n, self.bag_word()))
            }
            None => mass,
        }
    }

    /// An amount in kg or lb.
    pub fn mass(&self, kg: f64) -> String {
        let step = if kg.abs() >= 1000.0 { 10.0 } else { 1.0 };
        Mass::from_kg((kg.max(0.0) / step).round() * step)
            .map_or_else(|| phrase!("much"), |m| m.show(self.units))
    }

    /// `bale` of hay, straw and silage, `bag` of all else.
    pub fn bag_word(&self) -> &'static str {
        if self.feed.kind.is_forage() { "bale" } else { "bag" }
    }

    /// Bales or bags to buy so that there is enough in nine winters of ten; none where their weight is not known.
    pub fn bags_to_buy(&self) -> Option<u32> {
        let bag = self.feed.bag.filter(|b| !b.is_none())?;
        Some((self.outlook.to_buy / bag.kg() - 1e-9).ceil().max(0.0) as u32)
    }

    /// `Lasts until 3 Apr 2027, between 21 Mar and 19 Apr in eight winters of ten`.
    pub fn lasts(&self) -> String {
        let end = self.ask.until;
        let said = |place: Option<usize>| match place {
            Some(p) => self.day(p).short(),
            None => phrase!("after {}", end.short()),
        };
        match self.outlook.lasts {
            [None, ..] => phrase!("Lasts beyond {} in nine winters of ten or more", end.words()),
            [early, None, _] => phrase!(
                "Lasts beyond {}, but may end on {} (in one winter of ten or more before it)",
                end.words(),
                said(early)
            ),
            [Some(a), Some(b), Some(c)] if a == c => phrase!("Lasts until {}", self.day(b).words()),
            [early, Some(middle), late] => phrase!(
                "Lasts until {}, between {} and {} in eight winters of ten",
                self.day(middle).words(),
                said(early),
                said(late)
            ),
        }
    }

    /// `On 20 Apr 2027 14 bales (280 kg) short; between 40 bales (800 kg) short and 6 bales (120 kg) over`.
    pub fn at_grass(&self) -> String {
        let [low, middle, high] = self.outlook.at_grass;
        let said = |kg: f64| {
            if kg < -0.5 {
                phrase!("{} short", self.amount(-kg))
            } else if kg > 0.5 {
                phrase!("{} over", self.over(kg))
            } else {
                phrase!("just enough")
            }
        };
        let day = self.ask.grass.words();
        if high - low < 1.0 {
            phrase!("On {day}, the first day of grass: {}", said(middle))
        } else {
            phrase!(
                "On {day}, the first day of grass: {}; between {} and {}",
                said(middle),
                said(low),
                said(high)
            )
        }
    }

    /// What is over is counted in whole bales that are there.
    fn over(&self, kg: f64) -> String {
        match self.feed.bag.filter(|b| !b.is_none()) {
            Some(bag) => {
                let n = (kg / bag.kg() + 1e-9).floor() as usize;
                format!("{} ({})", counted(n, self.bag_word()), self.mass(kg))
            }
            None => self.mass(kg),
        }
    }

    /// `Buy 38 bales (760 kg) to have enough in nine winters of ten; as it stands it is enough in 41 of 100`.
    pub fn buy(&self) -> String {
        let enough = self.outlook.enough_percent.round();
        let stands = if self.ask.buy.is_none() { "as it stands" } else { "with what is bought" };
        if self.outlook.to_buy < 0.5 {
            return phrase!("Nothing to buy: {stands} it is enough up to grass in {enough} winters of 100");
        }
        let more = if self.ask.buy.is_none() { "" } else { " more" };
        phrase!(
            "Buy {}{more} to have enough up to grass in nine winters of ten; {stands} it is enough in {enough} of 100",
            self.amount(self.outlook.to_buy)
        )
    }

    /// All of it as one text.
    pub fn said(&self) -> String {
        format!("{}. {}. {}.", self.lasts(), self.at_grass(), self.buy())
    }
}

/// `a, b and c`.
fn listed(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => phrase!("{} and {last}", first.join(", ")),
    }
}
