//! The feed room as rows: feeds, measures, analysis sheets, creeps, rations, what became of feed, checks of the pens.
//!
//! Feeds are named by their names; figures are of dry matter (dry matter itself: of the feed as fed), as each column
//! says; amounts are kilograms as fed.

mod feeds;
mod moves;
mod pens;

pub(super) use feeds::{
    FEEDS, MEASURES, SHEETS, feed_rows, measure_rows, read_feeds, read_measures, read_sheets, sheet_rows,
};
pub(super) use moves::{MOVES, move_rows, read_moves};
pub(super) use pens::{
    CHECKS, CREEPS, RATIONS, check_rows, creep_rows, ration_rows, read_checks, read_creeps, read_rations,
};

use super::names::{escaped_by, listed_by};
use super::sheet::{Cells, decimal};
use crate::flock::Flock;
use crate::terms::{FeedId, Mass, Misread, norm};

/// The name of a feed on its row.
fn feed(c: &mut Cells<'_>) -> Option<String> {
    c.must("feed", "a feed", |t| Ok(t.to_string()))
}

/// It is the feed of this name.
fn is_feed(flock: &Flock, id: FeedId, name: &str) -> bool {
    flock.feedroom().feed(id).is_some_and(|f| norm(&f.name) == norm(name))
}

/// An amount in kilograms.
fn kg(text: &str) -> Result<Mass, Misread> {
    let wrong = || Misread::new(format!("'{}' is not an amount in kg: write 12.5", text.trim()));
    decimal(text).ok().and_then(Mass::from_kg).ok_or_else(wrong)
}

/// As [`kg`] reads it; nothing for none.
fn kg_text(amount: Option<Mass>) -> String {
    amount.map(Mass::kg_text).unwrap_or_default()
}

/// `Barley 66.7; Field beans 33.3`: names of feeds, each with a figure after it. A `\` before `;` or `\` takes it as it
/// stands.
fn named_figures<T>(
    text: &str,
    figure: impl Fn(&str) -> Result<T, Misread>,
) -> Result<Vec<(String, T)>, Misread> {
    let one = |part: String| {
        let (name, number) = part.rsplit_once(' ').ok_or_else(|| {
            Misread::new(format!("'{part}' is not a feed with its figure: write such as Barley 66.7"))
        })?;
        Ok((name.trim().to_string(), figure(number)?))
    };
    listed_by(text, ';').into_iter().map(one).collect()
}

/// As [`named_figures`] reads them.
fn named_figures_text(parts: impl Iterator<Item = (String, String)>) -> String {
    let one = |(name, figure): (String, String)| format!("{} {figure}", escaped_by(&name, ';'));
    parts.map(one).collect::<Vec<_>>().join("; ")
}

#[cfg(test)]
mod tests;
