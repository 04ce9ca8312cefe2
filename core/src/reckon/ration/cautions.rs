//! What must be said about a mix or a ration. None of it stands over the label, a feed analyst or the vet.

use super::{FeedRules, Given, Holds, Ingredient, Limit, holds};
use crate::terms::{Base, Eaters, MadeFor, Nutrient, Why};
use std::fmt;

/// How grave a caution is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grave {
    /// Do not feed it so.
    Stop,
    /// Look to it before it is fed.
    Warn,
    /// Keep it in mind.
    Note,
}

impl Grave {
    /// In a word, to stand before the caution.
    pub fn words(self) -> &'static str {
        match self {
            Self::Stop => "Do not feed",
            Self::Warn => "Take care",
            Self::Note => "Mind",
        }
    }
}

/// Of what a figure is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whole {
    /// All that a head eats.
    Diet,
    /// A mix, which is fed beside other feed.
    Mix,
}

impl Whole {
    /// `diet`, `mix`.
    pub fn words(self) -> &'static str {
        match self {
            Self::Diet => "diet",
            Self::Mix => "mix",
        }
    }
}

/// Something that must be said.
#[derive(Debug, Clone, PartialEq)]
pub enum Caution {
    /// Copper above what is safe: mg a kg of dry matter, and the bound.
    CopperStop(Whole, f64, f64),
    /// Copper above what is warned of.
    CopperHigh(Whole, f64, f64),
    /// Copper is not known of these feeds.
    CopperUnknown(Vec<String>),
    /// A feed made for other stock.
    OtherStock(String, MadeFor),
    /// Nobody knows whom a feed is made for.
    StockUnknown(String),
    /// Molybdenum is low beside the copper: mg a kg of dry matter, and the bound.
    MolybdenumLow(f64, f64),
    /// Selenium above its bound: mg a kg of dry matter, and the bound.
    SeleniumHigh(Whole, f64, f64),
    /// Calcium to phosphorus below its bound, for males on grain.
    Stones(f64, f64),
    /// Protein of lambs' feed below its bound: percent as fed, the bound, days after weaning it holds.
    ProteinLow(f64, f64, f64),
    /// More grain or mix than the day before by more than the step: kg then, kg now, step in g.
    SuddenChange(f64, f64, f64),
    /// Another feed than before, at once.
    NewFeed(Vec<String>),
    /// Grain in one meal above its bound: g, and the bound.
    GrainMeal(f64, f64),
    /// Grain is fed: it is brought in over so many days.
    GrainSlowly(f64),
    /// Too little forage: percent of live weight as fed, and the bound.
    ForageLittle(f64, f64),
    /// A medicine is in a feed.
    Medicated(String, String),
    /// A small part must be mixed evenly: feed, percent of the mix.
    MixEvenly(String, f64),
    /// Copper kills sheep: always said.
    CopperAlways,
    /// Who is to be asked: always said.
    AskFirst,
}

impl Caution {
    /// What it stands on, for the help.
    pub fn why(&self) -> Why {
        match self {
            Self::CopperStop(..)
            | Self::CopperHigh(..)
            | Self::CopperUnknown(_)
            | Self::OtherStock(..)
            | Self::StockUnknown(_)
            | Self::MolybdenumLow(..)
            | Self::CopperAlways => Why::Copper,
            Self::SeleniumHigh(..) => Why::Selenium,
            Self::Stones(..) => Why::Stones,
            Self::ProteinLow(..) => Why::LambFeed,
            Self::SuddenChange(..)
            | Self::NewFeed(_)
            | Self::GrainMeal(..)
            | Self::GrainSlowly(_)
            | Self::ForageLittle(..) => Why::FeedChange,
            Self::Medicated(..) => Why::MedicatedFeed,
            Self::MixEvenly(..) => Why::EvenMix,
            Self::AskFirst => Why::FeedFigures,
        }
    }

    /// How grave it is.
    pub fn grave(&self) -> Grave {
        match self {
            Self::CopperStop(..) => Grave::Stop,
            Self::CopperHigh(..)
            | Self::OtherStock(..)
            | Self::SeleniumHigh(..)
            | Self::Stones(..)
            | Self::ProteinLow(..)
            | Self::SuddenChange(..)
            | Self::NewFeed(_)
            | Self::GrainMeal(..)
            | Self::ForageLittle(..)
            | Self::Medicated(..) => Grave::Warn,
            Self::CopperUnknown(_)
            | Self::StockUnknown(_)
            | Self::MolybdenumLow(..)
            | Self::GrainSlowly(_)
            | Self::MixEvenly(..)
            | Self::CopperAlways
            | Self::AskFirst => Grave::Note,
        }
    }
}

fn n(x: f64) -> String {
    super::blend::short(x)
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::CopperStop(of, mg, bound) => write!(
                f,
                "Copper of the {} is {} mg a kg of dry matter, above {}: it poisons sheep. Take out what brings it and ask \
                 the vet or a feed analyst",
                of.words(),
                n(*mg),
                n(*bound)
            ),
            Self::CopperHigh(of, mg, bound) => write!(
                f,
                "Copper of the {} is {} mg a kg of dry matter, above {}: too much for some breeds, and where molybdenum is \
                 low. Ask a feed analyst before it is fed for long",
                of.words(),
                n(*mg),
                n(*bound)
            ),
            Self::CopperUnknown(feeds) => write!(
                f,
                "Copper is not known of {}: read the labels or have it analysed before you rely on the sum",
                feeds.join(", ")
            ),
            Self::OtherStock(feed, made) => write!(
                f,
                "{feed} is made for {}: it may hold more copper than sheep can bear, or a medicine that harms them. Use a feed \
                 made for sheep",
                made.words()
            ),
            Self::StockUnknown(feed) => {
                write!(f, "Whom {feed} is made for is not known: read its label, sheep bear little copper")
            }
            Self::MolybdenumLow(mg, bound) => write!(
                f,
                "Molybdenum of the diet is {} mg a kg of dry matter, below {}: sheep then store more of the copper they eat",
                n(*mg),
                n(*bound)
            ),
            Self::SeleniumHigh(of, mg, bound) => write!(
                f,
                "Selenium of the {} is {} mg a kg of dry matter, above {}: it is poison in little more than is needed. Give \
                 no other selenium and ask the vet",
                of.words(),
                n(*mg),
                n(*bound)
            ),
            Self::Stones(ratio, bound) => write!(
                f,
                "Calcium to phosphorus is {} to 1, below {} to 1: ram lambs and wethers on grain may get bladder stones. Add \
                 chalk, keep water clean and always there",
                n(*ratio),
                n(*bound)
            ),
            Self::ProteinLow(percent, bound, days) => write!(
                f,
                "Crude protein of the lambs' feed is {} % as fed, below {} %: keep it up until {} days after weaning",
                n(*percent),
                n(*bound),
                n(*days)
            ),
            Self::SuddenChange(was, now, step) => write!(
                f,
                "Grain and mixes go from {} to {} kg a head at once: raise them by no more than {} g a head a day, or the rumen \
                 sours",
                n(*was),
                n(*now),
                n(*step)
            ),
            Self::NewFeed(feeds) => write!(
                f,
                "New since the day before: {}. Bring a new feed in over one to two weeks, mixed with the old",
                feeds.join(", ")
            ),
            Self::GrainMeal(g, bound) => write!(
                f,
                "{} g of grain and mixes a head in one meal is above {} g: feed it in more meals, after hay",
                n(*g),
                n(*bound)
            ),
            Self::GrainSlowly(days) => write!(
                f,
                "Bring grain in over {} days, feed hay first, see that every head finds a place, and lock the store: sheep that \
                 gorge on grain die of it",
                n(*days)
            ),
            Self::ForageLittle(percent, bound) => write!(
                f,
                "Forage is {} % of live weight a day as fed, below {} %: the rumen needs more of it",
                n(*percent),
                n(*bound)
            ),
            Self::Medicated(feed, product) => write!(
                f,
                "{feed} holds {product}: feed it only as its label and the vet say, to those it is for, and keep its withdrawal"
            ),
            Self::MixEvenly(feed, percent) => write!(
                f,
                "{feed} is only {} % of the mix: stir it into a bucket of another feed first, then into the whole, so that no \
                 head gets too much",
                n(*percent)
            ),
            Self::CopperAlways => f.write_str(
                "Sheep bear less copper than any other farm stock: feed nothing made for cattle, pigs or poultry, and add no \
                 copper without the vet",
            ),
            Self::AskFirst => f.write_str(
                "Figures of tables are only a start: have the hay analysed, go by the label, and ask a feed analyst or the vet",
            ),
        }
    }
}

/// A ration to look over.
#[derive(Debug, Clone, Copy)]
pub struct Diet<'a> {
    /// Who eats it.
    pub eaters: Eaters,
    /// What a head is given a day.
    pub given: &'a [Given<'a>],
    /// What it was given the day before; none: not known, and nothing is said of a change.
    pub before: Option<&'a [Given<'a>]>,
    /// Live weight, kg.
    pub weight_kg: Option<f64>,
    /// There are males among them.
    pub males: bool,
    /// For weaned lambs: days since weaning.
    pub days_weaned: Option<i64>,
    /// In how many meals the grain is given; nothing: it is always there.
    pub meals: u8,
}

impl<'a> Diet<'a> {
    /// A ration in two meals, with nothing else known.
    pub fn of(eaters: Eaters, given: &'a [Given<'a>]) -> Self {
        Self { eaters, given, before: None, weight_kg: None, males: false, days_weaned: None, meals: 2 }
    }
}

/// What must be said about a ration, the gravest first.
pub fn of_diet(rules: &FeedRules, diet: &Diet<'_>) -> Vec<Caution> {
    let given: Vec<&Given<'_>> = diet.given.iter().filter(|g| g.each_kg > 0.0).collect();
    let mut said = Vec::new();
    let whole = holds(given.iter().map(|g| (g.feed, g.each_kg)));
    feeds(given.iter().map(|g| g.feed), &mut said);
    minerals(rules, &whole, Whole::Diet, &mut said);
    let grain: f64 = given.iter().filter(|g| g.feed.is_grain_like()).map(|g| g.each_kg).sum();
    if diet.males && grain > 0.0 {
        stones(rules, &whole, &mut said);
    }
    let young = matches!(diet.eaters, Eaters::CreepLambs | Eaters::MilkLambs)
        || (diet.eaters == Eaters::WeanedLambs
            && diet.days_weaned.is_none_or(|d| (d as f64) < rules.limit(Limit::AfterWeaning)));
    let beside = || given.iter().filter(|g| g.feed.is_concentrate()).map(|g| (g.feed, g.each_kg));
    if young {
        protein(rules, &holds(beside()), &mut said);
    }
    if let Some(before) = diet.before {
        let was: f64 = before.iter().filter(|g| g.feed.is_grain_like()).map(|g| g.each_kg).sum();
        let step = rules.limit(Limit::GrainStep);
        if (grain - was) * 1000.0 > step + 1e-6 {
            said.push(Caution::SuddenChange(was, grain, step));
        }
        let had = |feed: &Ingredient| before.iter().any(|b| b.each_kg > 0.0 && b.feed.name == feed.name);
        let new: Vec<String> = given.iter().filter(|g| !had(g.feed)).map(|g| g.feed.name.clone()).collect();
        if !before.is_empty() && !new.is_empty() {
            said.push(Caution::NewFeed(new));
        }
    }
    if grain > 0.0 {
        let meal = rules.limit(Limit::GrainMeal);
        let at_once = grain * 1000.0 / f64::from(diet.meals.max(1));
        if diet.meals > 0 && at_once > meal + 1e-6 {
            said.push(Caution::GrainMeal(at_once, meal));
        }
        said.push(Caution::GrainSlowly(rules.limit(Limit::GrainDays)));
    }
    let sucks = matches!(diet.eaters, Eaters::CreepLambs | Eaters::MilkLambs);
    if let Some(kg) = diet.weight_kg.filter(|kg| *kg > 0.0 && !sucks && grain > 0.0) {
        let forage: f64 = given.iter().filter(|g| g.feed.is_forage()).map(|g| g.each_kg).sum();
        let (percent, bound) = (forage / kg * 100.0, rules.limit(Limit::ForageLeast));
        if percent < bound {
            said.push(Caution::ForageLittle(percent, bound));
        }
    }
    ended(said)
}

/// What must be said about a mix, the gravest first: `eaters` as far as it is known who gets it.
pub fn of_mix(rules: &FeedRules, parts: &[(&Ingredient, f64)], eaters: Option<Eaters>) -> Vec<Caution> {
    let parts: Vec<(&Ingredient, f64)> = parts.iter().copied().filter(|(_, kg)| *kg > 0.0).collect();
    let whole = holds(parts.iter().copied());
    let mut said = Vec::new();
    feeds(parts.iter().map(|(feed, _)| *feed), &mut said);
    minerals(rules, &whole, Whole::Mix, &mut said);
    let lambs = matches!(eaters, Some(Eaters::CreepLambs | Eaters::WeanedLambs | Eaters::MilkLambs));
    let males = lambs || eaters == Some(Eaters::Rams);
    if parts.iter().any(|(feed, _)| feed.is_grain_like()) {
        if males || eaters.is_none() {
            stones(rules, &whole, &mut said);
        }
        said.push(Caution::GrainSlowly(rules.limit(Limit::GrainDays)));
    }
    if lambs {
        protein(rules, &whole, &mut said);
    }
    for (feed, kg) in &parts {
        let percent = kg / whole.kg * 100.0;
        let little = percent < 5.0 && parts.len() > 1;
        if little && (matches!(feed.kind, crate::terms::FeedKind::Mineral) || feed.medicine.is_some()) {
            said.push(Caution::MixEvenly(feed.name.clone(), percent));
        }
    }
    ended(said)
}

fn feeds<'a>(all: impl Iterator<Item = &'a Ingredient>, said: &mut Vec<Caution>) {
    for feed in all {
        let new = match feed.made_for {
            MadeFor::Cattle | MadeFor::Pigs | MadeFor::Poultry | MadeFor::Horses => {
                Some(Caution::OtherStock(feed.name.clone(), feed.made_for))
            }
            MadeFor::Unknown => Some(Caution::StockUnknown(feed.name.clone())),
            MadeFor::Sheep | MadeFor::Plain => None,
        };
        let drug = feed.medicine.as_ref().map(|m| Caution::Medicated(feed.name.clone(), m.clone()));
        for c in new.into_iter().chain(drug) {
            if !said.contains(&c) {
                said.push(c);
            }
        }
    }
}

/// Bounds of the diet's minerals. A mix is not the whole diet, but what is above a bound in it is told all the same.
fn minerals(rules: &FeedRules, whole: &Holds, of: Whole, said: &mut Vec<Caution>) {
    let (warn, stop) = (rules.limit(Limit::CopperWarn), rules.limit(Limit::CopperStop));
    let copper = whole.get(Nutrient::Copper, Base::DryMatter);
    match copper {
        Some(mg) if mg > stop => said.push(Caution::CopperStop(of, mg, stop)),
        Some(mg) if mg > warn => said.push(Caution::CopperHigh(of, mg, warn)),
        Some(_) => {}
        None if !whole.unknown(Nutrient::Copper).is_empty() => {
            said.push(Caution::CopperUnknown(whole.unknown(Nutrient::Copper).to_vec()));
        }
        None => {}
    }
    if let Some(mg) = whole.get(Nutrient::Molybdenum, Base::DryMatter).filter(|_| of == Whole::Diet) {
        let low = rules.limit(Limit::MolybdenumLow);
        if mg < low {
            said.push(Caution::MolybdenumLow(mg, low));
        }
    }
    let most = rules.limit(Limit::SeleniumMost);
    if let Some(mg) = whole.get(Nutrient::Selenium, Base::DryMatter).filter(|mg| *mg > most) {
        said.push(Caution::SeleniumHigh(of, mg, most));
    }
}

fn stones(rules: &FeedRules, whole: &Holds, said: &mut Vec<Caution>) {
    let least = rules.limit(Limit::CalciumPhosphorus);
    if let Some(ratio) = whole.calcium_to_phosphorus().filter(|r| *r < least) {
        said.push(Caution::Stones(ratio, least));
    }
}

fn protein(rules: &FeedRules, fed: &Holds, said: &mut Vec<Caution>) {
    let least = rules.limit(Limit::LambProtein);
    if let Some(percent) = fed.get(Nutrient::Protein, Base::AsFed).filter(|p| *p < least - 1e-9) {
        said.push(Caution::ProteinLow(percent, least, rules.limit(Limit::AfterWeaning)));
    }
}

fn ended(mut said: Vec<Caution>) -> Vec<Caution> {
    said.push(Caution::CopperAlways);
    said.push(Caution::AskFirst);
    said.sort_by_key(Caution::grave);
    said
}
