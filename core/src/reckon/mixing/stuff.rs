//! A feed to mix, by its name: of the book, of the handbook, or only typed.

use super::words::short;
use crate::flock::{FeedRoom, Flock};
use crate::handbook::feeds;
use crate::phrase;
use crate::reckon::ration::{Ingredient, ingredient};
use crate::terms::{Analysis, Day, FeedId, FeedKind, MadeFor, Mass, Nutrient, norm};

/// Where a feed is known from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    /// It is a feed of the book.
    Book,
    /// The handbook has figures of such a feed.
    Handbook,
    /// Only its name is typed.
    Typed,
}

/// A feed that may be mixed, with what is known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stuff {
    /// Name, kind, figures, price a kg.
    pub feed: Ingredient,
    /// The feed of the book.
    pub id: Option<FeedId>,
    /// Key of the handbook's feed whose figures fill the gaps.
    pub like: Option<String>,
    /// What a bag of it weighs.
    pub bag: Option<Mass>,
    /// Where it is known from.
    pub from: From,
}

/// A feed by its name on a day: the book's before the handbook's. A name that neither has is a feed of which nothing
/// is known; no name is none.
pub fn stuff(flock: &Flock, name: &str, on: Day) -> Option<Stuff> {
    let room = flock.feedroom();
    if let Some(f) = room.by_name(name) {
        let feed = ingredient(flock, f.id, on)?;
        return Some(Stuff { feed, id: Some(f.id), like: f.like.clone(), bag: f.bag, from: From::Book });
    }
    if let Some(known) = feeds::by_name(name) {
        let like = Some(known.key.clone());
        return Some(Stuff { feed: known.into(), id: None, like, bag: None, from: From::Handbook });
    }
    let name = name.trim();
    (!name.is_empty()).then(|| {
        let mut feed = Ingredient::plain(name, FeedKind::Other, Analysis::default());
        feed.made_for = MadeFor::Unknown;
        Stuff { feed, id: None, like: None, bag: None, from: From::Typed }
    })
}

/// A feed that is offered while its name is typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// Its name.
    pub name: String,
    /// What tells it from others: `of the book, grain`, `common figures, hay`.
    pub detail: String,
}

/// Feeds with all words of `text` in their names: those of the book first.
pub fn offers(flock: &Flock, text: &str) -> Vec<Offer> {
    let words: Vec<String> = text.split_whitespace().map(norm).collect();
    let fits = |name: &str| {
        let name = norm(name);
        words.iter().all(|w| name.contains(w.as_str()))
    };
    let room: &FeedRoom = flock.feedroom();
    let own = room
        .feeds
        .iter()
        .filter(|f| fits(&f.name))
        .map(|f| Offer { name: f.name.clone(), detail: phrase!("your {}", f.kind.words()) });
    let common = feeds::all()
        .iter()
        .filter(|k| fits(&k.name) && room.by_name(&k.name).is_none())
        .map(|k| Offer { name: k.name.clone(), detail: phrase!("common figures, {}", k.kind.words()) });
    own.chain(common).collect()
}

/// Figures of a feed in one line: `88 % dry matter; of that protein 12 %, energy 13.2 MJ, copper not known`.
pub fn figures(analysis: &Analysis) -> String {
    let dry = match analysis.get(Nutrient::DryMatter) {
        Some(d) => phrase!("{} % dry matter", short(d)),
        None => phrase!("dry matter not known"),
    };
    let told = [
        (Nutrient::Protein, "protein"),
        (Nutrient::Energy, "energy"),
        (Nutrient::Calcium, "calcium"),
        (Nutrient::Phosphorus, "phosphorus"),
        (Nutrient::Copper, "copper"),
        (Nutrient::Fibre, "fibre"),
    ];
    let (mut known, mut gaps) = (Vec::new(), Vec::new());
    for (what, word) in told {
        match analysis.get(what) {
            Some(x) => known.push(phrase!("{word} {} {}", short(x), what.short_unit())),
            None => gaps.push(word),
        }
    }
    let known = if known.is_empty() { String::new() } else { phrase!("; of that {}", known.join(", ")) };
    let gaps = if gaps.is_empty() { String::new() } else { phrase!("; not known: {}", gaps.join(", ")) };
    format!("{dry}{known}{gaps}")
}
