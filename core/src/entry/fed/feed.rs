//! Feeds, their analysis sheets, and measures weighed out.

use super::{FedRefused, FedUnusual, named};
use crate::entry::{Check, Entry, Faults, Field, Refused, words};
use crate::flock::{Feed, FeedPart, FeedSheet, Flock, Measure, Medicated, WHOLE};
use crate::reckon::ration::{FeedRules, Limit};
use crate::terms::{
    Analysis, Day, Dose, FeedId, FeedKind, FeedSheetId, MadeFor, Mass, MeasureId, Nutrient, Price, counted,
    norm,
};

/// A feed as typed; one whose name is in the book takes the new facts.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedDraft {
    /// The feed of the book that is meant, where its name is to change.
    pub id: Option<FeedId>,
    /// Its name.
    pub name: String,
    /// What kind it is.
    pub kind: FeedKind,
    /// Key of the handbook's feed whose figures fill the gaps.
    pub like: Option<String>,
    /// Figures of its own label.
    pub own: Analysis,
    /// Whom it is made for.
    pub made_for: MadeFor,
    /// What a bag or bale weighs.
    pub bag: Option<Mass>,
    /// Price of a bag; of a tonne where it does not come in bags.
    pub price: Option<Price>,
    /// What it is mixed of: name of a feed of the book, percent as fed.
    pub parts: Vec<(String, f64)>,
    /// Name of a product of the cupboard in it, and how much in each kg.
    pub medicine: Option<(String, Dose)>,
    /// Note.
    pub note: Option<String>,
}

impl FeedDraft {
    /// A feed of which only name and kind are known.
    pub fn called(name: impl Into<String>, kind: FeedKind) -> Self {
        Self {
            id: None,
            name: name.into(),
            kind,
            like: None,
            own: Analysis::default(),
            made_for: MadeFor::Unknown,
            bag: None,
            price: None,
            parts: Vec::new(),
            medicine: None,
            note: None,
        }
    }

    /// A feed of the book as it would be typed.
    pub fn of(feed: &Feed, flock: &Flock) -> Self {
        let room = flock.feedroom();
        let percent = |p: &FeedPart| f64::from(p.share) * 100.0 / f64::from(WHOLE);
        let product = |m: Medicated| {
            let found = flock.products().iter().find(|p| p.id == m.product)?;
            Some((found.name.clone(), m.per_kg))
        };
        Self {
            id: Some(feed.id),
            name: feed.name.clone(),
            kind: feed.kind,
            like: feed.like.clone(),
            own: feed.own.clone(),
            made_for: feed.made_for,
            bag: feed.bag,
            price: feed.price,
            parts: feed.parts.iter().map(|p| (room.name(p.feed).to_string(), percent(p))).collect(),
            medicine: feed.medicine.and_then(product),
            note: feed.note.clone(),
        }
    }
}

/// Checks feeds, new or with new facts; rows of faults count the drafts. A mix may name feeds of the same entry.
///
/// # Errors
/// Every refusal with its row.
pub fn feeds(drafts: Vec<FeedDraft>, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("name"), Refused::Missing("a feed"));
    }
    let room = flock.feedroom();
    // Ids first, so that a mix can name a feed written with it.
    let mut ids: Vec<(String, FeedId)> = Vec::new();
    for (row, d) in drafts.iter().enumerate() {
        let field = Field::row("name", row);
        let name = norm(&d.name);
        if name.is_empty() {
            faults.refuse(field, Refused::Missing("a name for the feed"));
        }
        let held = room.by_name(&d.name);
        let twice = ids.iter().any(|(n, _)| *n == name && !n.is_empty());
        if twice || held.is_some_and(|f| d.id.is_some_and(|id| id != f.id)) {
            faults.refuse(field, FedRefused::FeedTwice(d.name.trim().into()).into());
        }
        if d.id.is_some_and(|id| room.feed(id).is_none()) {
            faults.refuse(field, Refused::Gone);
        }
        ids.push((name, d.id.or(held.map(|f| f.id)).unwrap_or_else(FeedId::new)));
    }
    let find = |name: &str| {
        let name = norm(name);
        let new = ids.iter().find(|(n, _)| *n == name).map(|(_, id)| *id);
        new.or_else(|| room.by_name(&name).map(|f| f.id))
    };
    let mut all: Vec<Feed> = Vec::new();
    for (row, d) in drafts.iter().enumerate() {
        let parts = parts(&mut faults, row, d, find);
        let medicine = d.medicine.as_ref().and_then(|(product, per_kg)| {
            let found = flock.product(product);
            if found.is_none() {
                let why = FedRefused::NoSuchMedicine(product.trim().into());
                faults.refuse(Field::row("medicine", row), why.into());
            }
            found.map(|p| Medicated { product: p.id, per_kg: *per_kg })
        });
        if medicine.is_some() {
            let words = "a medicated feed: fed by its label and the vet's word only; its withdrawal counts from the last day it is eaten, and law says who may mix it";
            faults.caution(Field::row("medicine", row), words);
        }
        let other_stock =
            matches!(d.made_for, MadeFor::Cattle | MadeFor::Pigs | MadeFor::Poultry | MadeFor::Horses);
        let like = words(&d.like);
        let unknown = like.as_deref().filter(|key| crate::handbook::feeds::by_key(key).is_none());
        let stood = room.feed(ids[row].1).and_then(|f| f.like.as_deref());
        if let Some(key) = unknown.filter(|key| stood != Some(key)) {
            faults.refuse(Field::row("like", row), FedRefused::NoSuchLike(key.into()).into());
        }
        let before = room.feed(ids[row].1).and_then(|f| f.own.get(Nutrient::Copper));
        if d.own.get(Nutrient::Copper) != before {
            much_copper(&mut faults, Field::row("own", row), d.name.trim(), &d.own, flock);
        }
        let known_so = room.feed(ids[row].1).is_some_and(|f| f.made_for == d.made_for);
        if other_stock && !known_so {
            let what = FedUnusual::OtherStock { name: d.name.trim().into(), stock: d.made_for.words() };
            faults.question(Field::row("made_for", row), what.into());
        }
        all.push(Feed {
            id: ids[row].1,
            name: d.name.trim().to_string(),
            kind: d.kind,
            like,
            own: d.own.clone(),
            made_for: d.made_for,
            bag: d.bag.filter(|b| !b.is_none()),
            price: d.price,
            parts,
            medicine,
            note: words(&d.note),
        });
    }
    no_circle(&mut faults, &all, flock);
    if let [one] = all.as_slice()
        && room.feed(one.id) == Some(one)
    {
        faults.refuse(Field::of("name"), Refused::NothingChanged);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => format!("Feed {}", one.name),
            many => counted(many.len(), "feed"),
        };
        (Entry::Feeds(all), sentence)
    })
}

fn parts(
    faults: &mut Faults,
    row: usize,
    d: &FeedDraft,
    find: impl Fn(&str) -> Option<FeedId>,
) -> Vec<FeedPart> {
    let field = || Field::row("parts", row);
    let mut all: Vec<FeedPart> = Vec::new();
    for (name, percent) in &d.parts {
        let Some(feed) = find(name) else {
            faults.refuse(field(), FedRefused::NoSuchFeed(name.trim().into()).into());
            continue;
        };
        let share = (percent.clamp(0.0, 100.0) / 100.0 * f64::from(WHOLE)).round() as u32;
        match all.iter_mut().find(|p| p.feed == feed) {
            Some(p) => p.share += share,
            None => all.push(FeedPart { feed, share }),
        }
    }
    all.retain(|p| p.share > 0);
    let sum: u32 = all.iter().map(|p| p.share).sum();
    let off = sum.abs_diff(WHOLE);
    if !d.parts.is_empty() && off > WHOLE / 200 {
        let percent = format!("{:.1}", f64::from(sum) * 100.0 / f64::from(WHOLE));
        faults.refuse(field(), FedRefused::NotWhole { name: d.name.trim().into(), percent }.into());
    } else if let Some(largest) = all.iter_mut().max_by_key(|p| p.share).filter(|_| off > 0) {
        // Shares typed to a tenth of a percent come to 100 within half a percent: the largest takes the rest.
        largest.share = largest.share + WHOLE - sum;
    }
    all
}

/// Refuses a mix that would hold itself, however far down.
fn no_circle(faults: &mut Faults, new: &[Feed], flock: &Flock) {
    let parts = |id: FeedId| -> Vec<FeedId> {
        let found = new.iter().find(|f| f.id == id).or_else(|| flock.feedroom().feed(id));
        found.map(|f| f.parts.iter().map(|p| p.feed).collect()).unwrap_or_default()
    };
    for (row, f) in new.iter().enumerate() {
        let (mut seen, mut open) = (Vec::new(), parts(f.id));
        while let Some(id) = open.pop() {
            if id == f.id {
                faults.refuse(Field::row("parts", row), FedRefused::HoldsItself(f.name.clone()).into());
                break;
            }
            if !seen.contains(&id) {
                seen.push(id);
                open.extend(parts(id));
            }
        }
    }
}

/// A sheet of an analysis as typed.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedSheetDraft {
    /// Name of the feed.
    pub feed: String,
    /// The day of the sample.
    pub on: Day,
    /// Who analysed it.
    pub lab: Option<String>,
    /// Number of the sheet.
    pub number: Option<String>,
    /// Batch or cut.
    pub batch: Option<String>,
    /// Its figures, of dry matter.
    pub analysis: Analysis,
    /// Note.
    pub note: Option<String>,
}

/// Checks analysis sheets; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn feed_sheets(drafts: Vec<FeedSheetDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("feed"), Refused::Missing("a feed"));
    }
    let mut all: Vec<FeedSheet> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let Some(feed) = named(&mut faults, Field::row("feed", row), &d.feed, flock) else { continue };
        let new = FeedSheet {
            id: FeedSheetId::new(),
            feed: feed.id,
            on: d.on,
            lab: words(&d.lab),
            number: words(&d.number),
            batch: words(&d.batch),
            analysis: d.analysis,
            note: words(&d.note),
            struck: None,
        };
        check_sheet(&mut faults, row, &new, flock);
        all.push(new);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => format!("Analysis of {}", flock.feedroom().name(one.feed)),
            many => counted(many.len(), "analysis sheet"),
        };
        (Entry::FeedSheets(all), sentence)
    })
}

pub(super) fn check_sheet(faults: &mut Faults, row: usize, s: &FeedSheet, flock: &Flock) {
    if s.analysis.is_empty() {
        let name = flock.feedroom().name(s.feed).to_string();
        faults.refuse(Field::row("figures", row), FedRefused::NoFigures(name).into());
    }
    much_copper(faults, Field::row("figures", row), flock.feedroom().name(s.feed), &s.analysis, flock);
}

/// Asks about copper above what sheep bear in their whole diet, by the keeper's bound or the shipped one.
fn much_copper(faults: &mut Faults, field: Field, name: &str, figures: &Analysis, flock: &Flock) {
    let bound = FeedRules::of(flock.holding()).limit(Limit::CopperStop);
    if let Some(copper) = figures.get(Nutrient::Copper).filter(|mg| *mg > bound) {
        let what = FedUnusual::MuchCopper {
            name: name.into(),
            copper: copper.to_string(),
            bound: bound.to_string(),
        };
        faults.question(field, what.into());
    }
}

/// A measure as weighed out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MeasureDraft {
    /// Name of the feed.
    pub feed: String,
    /// scoop, flake, bucket.
    pub name: String,
    /// The day.
    pub on: Day,
    /// What each weighed.
    pub weighed: Vec<Mass>,
}

/// A measure that weighs so much more or less than before is asked about (common practice, no source).
const OTHER: f64 = 0.5;

/// Checks measures weighed out; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn measures(drafts: Vec<MeasureDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("name"), Refused::Missing("a measure"));
    }
    let mut all: Vec<Measure> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let name = d.name.trim().to_lowercase();
        if name.is_empty() {
            faults.refuse(Field::row("name", row), Refused::Missing("a name for the measure, such as scoop"));
        }
        let weighed: Vec<Mass> = d.weighed.into_iter().filter(|m| !m.is_none()).collect();
        if weighed.is_empty() {
            faults.refuse(Field::row("weighed", row), FedRefused::NothingWeighed(name.clone()).into());
        }
        let Some(feed) = named(&mut faults, Field::row("feed", row), &d.feed, flock) else { continue };
        let new = Measure { id: MeasureId::new(), feed: feed.id, name, on: d.on, weighed, struck: None };
        if let Some(last) = flock.feedroom().measure_called(feed.id, &new.name, d.on) {
            let (before, now) = (last.mean(), new.mean());
            if before.kg() > 0.0 && (now.kg() / before.kg() - 1.0).abs() > OTHER {
                let units = flock.holding().units;
                let what = FedUnusual::OtherMeasure {
                    name: new.name.clone(),
                    feed: feed.name.clone(),
                    before: before.show(units),
                    now: now.show(units),
                };
                faults.question(Field::row("weighed", row), what.into());
            }
        }
        all.push(new);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => format!("A {} of {} weighed", one.name, flock.feedroom().name(one.feed)),
            many => format!("{} weighed", counted(many.len(), "measure")),
        };
        (Entry::Measures(all), sentence)
    })
}
