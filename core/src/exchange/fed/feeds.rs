//! Feeds, measures of them and their analysis sheets as rows.

use super::super::kind::{Column, may, must};
use super::super::sheet::{Cells, Met, Sheet, decimal};
use super::super::{Taken, Unfit, amount_text, product_name, text};
use super::{feed, is_feed, kg, kg_text, named_figures, named_figures_text};
use crate::entry::{Entry, FeedDraft, FeedSheetDraft, MeasureDraft, feed_sheets, feeds, measures};
use crate::flock::{Feed, FeedSheet, Flock, Measure};
use crate::terms::{
    Analysis, Day, Dose, FeedKind, FeedSheetId, MadeFor, Mass, MeasureId, Misread, Nutrient, Price,
    thousandths,
};

/// Columns with those of an analysis between them.
macro_rules! with_figures {
    ([$($before:expr),* $(,)?] [$($after:expr),* $(,)?]) => {
        &[
            $($before,)*
            may("dry_matter_percent", "dry matter, % of the feed as fed"),
            may("protein_percent_dm", "crude protein, % of dry matter"),
            may("energy_mj_per_kg_dm", "metabolisable energy, MJ in a kg of dry matter"),
            may("tdn_percent_dm", "total digestible nutrients, % of dry matter"),
            may("calcium_g_per_kg_dm", "calcium, g in a kg of dry matter"),
            may("phosphorus_g_per_kg_dm", "phosphorus, g in a kg of dry matter"),
            may("copper_mg_per_kg_dm", "copper, mg in a kg of dry matter"),
            may("molybdenum_mg_per_kg_dm", "molybdenum, mg in a kg of dry matter"),
            may("selenium_mg_per_kg_dm", "selenium, mg in a kg of dry matter"),
            may("fibre_percent_dm", "crude fibre, % of dry matter"),
            $($after,)*
        ]
    };
}

pub(in crate::exchange) const FEEDS: &[Column] = with_figures!(
    [
        must("name", "what it is called; a name in the book already takes the new facts"),
        must("kind", "hay, straw, silage, grain, protein, byproduct, compound, mix, mineral, milk, other"),
        may("like", "the handbook's feed whose figures fill the gaps"),
        may("made_for", "sheep, plain, cattle, pigs, poultry, horses; blank: unknown"),
        may("bag_kg", "what a bag or bale weighs"),
        may("price", "of a bag; of a tonne where it does not come in bags: 7.25"),
    ]
    [
        may("parts", "of an own mix, percent as fed: Barley 66.7; Field beans 33.3"),
        may("medicine", "name of a product of the cupboard in it"),
        may("per_kg", "how much of that in each kg as fed: 100 mg, 2 (ml)"),
        may("note", "note"),
    ]
);

pub(in crate::exchange) const SHEETS: &[Column] = with_figures!(
    [
        must("feed", "name of the feed"),
        must("on", "day of the sample; the sheet holds from it on"),
        may("lab", "who analysed it"),
        may("number", "number of the sheet"),
        may("batch", "batch or cut it is of"),
    ][may("note", "note")]
);

pub(in crate::exchange) const MEASURES: &[Column] = &[
    must("feed", "name of the feed"),
    must("name", "what the measure is called: scoop, flake, bucket"),
    must("on", "day it was weighed out; in rations it is called by name and day: flake 2026-01-12"),
    must("weighed_kg", "what each weighed: 1.9; 2.05; 2"),
];

fn figure_column(what: Nutrient) -> &'static str {
    match what {
        Nutrient::DryMatter => "dry_matter_percent",
        Nutrient::Protein => "protein_percent_dm",
        Nutrient::Energy => "energy_mj_per_kg_dm",
        Nutrient::Tdn => "tdn_percent_dm",
        Nutrient::Calcium => "calcium_g_per_kg_dm",
        Nutrient::Phosphorus => "phosphorus_g_per_kg_dm",
        Nutrient::Copper => "copper_mg_per_kg_dm",
        Nutrient::Molybdenum => "molybdenum_mg_per_kg_dm",
        Nutrient::Selenium => "selenium_mg_per_kg_dm",
        Nutrient::Fibre => "fibre_percent_dm",
    }
}

/// The figures of a row; what the file has no column for stays as it was known.
fn figures(c: &mut Cells<'_>, sheet: &Sheet, known: Analysis) -> Analysis {
    let mut all = known;
    for what in Nutrient::ALL {
        let column = figure_column(*what);
        if sheet.has(column) {
            let read = c.may(column, |t| Analysis::default().with(*what, decimal(t)?));
            all = all.with_thousandths(*what, read.and_then(|a| a.thousandths(*what)));
        }
    }
    all
}

fn figure_texts(a: &Analysis) -> impl Iterator<Item = String> {
    Nutrient::ALL.iter().map(|n| a.thousandths(*n).map(|t| thousandths(u64::from(t))).unwrap_or_default())
}

pub(in crate::exchange) fn read_feeds(sheet: &Sheet, flock: &Flock) -> Result<Taken, Unfit> {
    let bare = |f: &Feed| FeedDraft { id: None, ..FeedDraft::of(f, flock) };
    sheet.records(
        |c| {
            let name = c.must("name", "the feed's name", |t| Ok(t.to_string()));
            let kind = c.must("kind", "what kind of feed it is", FeedKind::parse);
            let (name, kind) = (name?, kind?);
            // A list without a column takes nothing away.
            let known = flock.feedroom().by_name(&name).map(bare);
            let mut d = known.unwrap_or_else(|| FeedDraft::called(name.clone(), kind));
            (d.name, d.kind) = (name, kind);
            if sheet.has("like") {
                d.like = c.words("like");
            }
            if sheet.has("made_for") {
                d.made_for = c.may("made_for", MadeFor::parse).unwrap_or(MadeFor::Unknown);
            }
            if sheet.has("bag_kg") {
                d.bag = c.may("bag_kg", kg);
            }
            if sheet.has("price") {
                d.price = c.may("price", Price::parse);
            }
            d.own = figures(c, sheet, d.own);
            if sheet.has("parts") {
                d.parts = c.may("parts", |t| named_figures(t, percent)).unwrap_or_default();
            }
            if sheet.has("medicine") {
                d.medicine = medicine(c);
            }
            if sheet.has("note") {
                d.note = c.words("note");
            }
            Some(d)
        },
        |d| flock.feedroom().by_name(&d.name).is_some_and(|f| bare(f) == *d),
        |drafts| feeds(drafts, flock),
        |entry| match entry {
            Entry::Feeds(all) => all.iter().map(|f| feed_row(flock, f, all)).collect(),
            _ => Vec::new(),
        },
    )
}

fn percent(text: &str) -> Result<f64, Misread> {
    decimal(text.trim_end_matches('%'))
}

fn medicine(c: &mut Cells<'_>) -> Option<(String, Dose)> {
    let per_kg = c.may("per_kg", Dose::parse);
    match (c.words("medicine"), per_kg) {
        (Some(product), Some(per_kg)) => Some((product, per_kg)),
        (Some(_), None) if c.value("per_kg").is_empty() => {
            c.wrong("per_kg", "how much of the medicine is in each kg? Write it as its label says");
            None
        }
        (None, Some(_)) => {
            c.wrong("medicine", "an amount of medicine is written without its name: write the product");
            None
        }
        _ => None,
    }
}

pub(in crate::exchange) fn feed_rows(flock: &Flock) -> Vec<Vec<String>> {
    let all = &flock.feedroom().feeds;
    let mut rows: Vec<Vec<String>> = all.iter().map(|f| feed_row(flock, f, all)).collect();
    rows.sort();
    rows
}

/// A feed as a row; `new` are feeds written with it, which its parts may name.
fn feed_row(flock: &Flock, f: &Feed, new: &[Feed]) -> Vec<String> {
    let name = |id| {
        let found = new.iter().find(|f| f.id == id).or_else(|| flock.feedroom().feed(id));
        found.map_or_else(String::new, |f| f.name.clone())
    };
    let parts = f.parts.iter().map(|p| (name(p.feed), thousandths(u64::from(p.share))));
    let made_for = Some(f.made_for).filter(|m| *m != MadeFor::Unknown);
    let mut row = vec![
        f.name.clone(),
        f.kind.word().to_string(),
        text(&f.like),
        made_for.map(|m| m.word().to_string()).unwrap_or_default(),
        kg_text(f.bag),
        f.price.map(|p| p.to_string()).unwrap_or_default(),
    ];
    row.extend(figure_texts(&f.own));
    row.extend([
        named_figures_text(parts),
        f.medicine.map(|m| product_name(flock, m.product)).unwrap_or_default(),
        amount_text(f.medicine.map(|m| m.per_kg)),
        text(&f.note),
    ]);
    row
}

pub(in crate::exchange) fn read_sheets(sheet: &Sheet, flock: &Flock, today: Day) -> Result<Taken, Unfit> {
    let mut met: Met<FeedSheetId> = Met::default();
    sheet.records(
        |c| {
            let (feed, on) = (feed(c), c.day("on"));
            let analysis = figures(c, sheet, Analysis::default());
            Some(FeedSheetDraft {
                feed: feed?,
                on: on?,
                lab: c.words("lab"),
                number: c.words("number"),
                batch: c.words("batch"),
                analysis,
                note: c.words("note"),
            })
        },
        |d| {
            met.one(
                &flock.feedroom().sheets,
                |s| s.id,
                |s| {
                    s.struck.is_none()
                        && s.on == d.on
                        && (&s.lab, &s.number, &s.batch, &s.analysis, &s.note)
                            == (&d.lab, &d.number, &d.batch, &d.analysis, &d.note)
                        && is_feed(flock, s.feed, &d.feed)
                },
            )
        },
        |drafts| feed_sheets(drafts, flock, today),
        |entry| match entry {
            Entry::FeedSheets(all) => all.iter().map(|s| sheet_row(flock, s)).collect(),
            _ => Vec::new(),
        },
    )
}

pub(in crate::exchange) fn sheet_rows(flock: &Flock) -> Vec<Vec<String>> {
    let standing = flock.feedroom().sheets.iter().filter(|s| s.struck.is_none());
    standing.map(|s| sheet_row(flock, s)).collect()
}

fn sheet_row(flock: &Flock, s: &FeedSheet) -> Vec<String> {
    let name = flock.feedroom().name(s.feed).to_string();
    let mut row = vec![name, s.on.to_string(), text(&s.lab), text(&s.number), text(&s.batch)];
    row.extend(figure_texts(&s.analysis));
    row.push(text(&s.note));
    row
}

pub(in crate::exchange) fn read_measures(sheet: &Sheet, flock: &Flock, today: Day) -> Result<Taken, Unfit> {
    let mut met: Met<MeasureId> = Met::default();
    sheet.records(
        |c| {
            let feed = feed(c);
            let name = c.must("name", "what the measure is called", |t| Ok(t.to_lowercase()));
            let on = c.day("on");
            let weighed = c.must("weighed_kg", "what it weighed", |t| {
                t.split(';')
                    .map(str::trim)
                    .filter(|t| !t.is_empty())
                    .map(kg)
                    .collect::<Result<Vec<Mass>, _>>()
            });
            Some(MeasureDraft { feed: feed?, name: name?, on: on?, weighed: weighed? })
        },
        |d| {
            met.one(
                &flock.feedroom().measures,
                |m| m.id,
                |m| {
                    m.struck.is_none()
                        && m.on == d.on
                        && (&m.name, &m.weighed) == (&d.name, &d.weighed)
                        && is_feed(flock, m.feed, &d.feed)
                },
            )
        },
        |drafts| measures(drafts, flock, today),
        |entry| match entry {
            Entry::Measures(all) => all.iter().map(|m| measure_row(flock, m)).collect(),
            _ => Vec::new(),
        },
    )
}

pub(in crate::exchange) fn measure_rows(flock: &Flock) -> Vec<Vec<String>> {
    let standing = flock.feedroom().measures.iter().filter(|m| m.struck.is_none());
    standing.map(|m| measure_row(flock, m)).collect()
}

fn measure_row(flock: &Flock, m: &Measure) -> Vec<String> {
    let weighed: Vec<String> = m.weighed.iter().map(|w| w.kg_text()).collect();
    let name = flock.feedroom().name(m.feed).to_string();
    vec![name, m.name.clone(), m.on.to_string(), weighed.join("; ")]
}
