//! The keeper's feeds as the reckoning sees them: sheets before the label, the label before what the parts of a mix
//! hold, and that before the handbook's feed it is like.

use super::{Circle, Ingredient, holds, open};
use crate::flock::{Feed, FeedRoom, Flock, WHOLE};
use crate::handbook::feeds;
use crate::phrase;
use crate::terms::{Analysis, Day, FeedId, MadeFor, Nutrient};

/// The plain feeds a feed is mixed of, with their shares as fed; a plain feed is itself.
///
/// # Errors
/// A mix that is a part of itself.
pub fn opened(room: &FeedRoom, feed: FeedId) -> Result<Vec<(FeedId, f64)>, Circle<FeedId>> {
    open(feed, &|id| {
        let parts = room.feed(id).map(|f| f.parts.as_slice()).unwrap_or_default();
        parts.iter().map(|p| (p.feed, f64::from(p.share) / f64::from(WHOLE))).collect()
    })
}

/// What is known of a feed on a day.
pub fn analysis(room: &FeedRoom, feed: &Feed, on: Day) -> Analysis {
    with_parts(room, feed, on).or(&like(feed))
}

/// Figures of sheets, label and parts, without the handbook's feed this one is like.
fn with_parts(room: &FeedRoom, feed: &Feed, on: Day) -> Analysis {
    let written = room.written(feed, on);
    if feed.parts.is_empty() {
        return written;
    }
    match opened(room, feed.id) {
        Ok(parts) => {
            let plain: Vec<(Ingredient, f64)> = parts
                .iter()
                .filter_map(|(id, share)| Some((bare(room, room.feed(*id)?, on), *share)))
                .collect();
            written.or(&holds(plain.iter().map(|(feed, share)| (feed, *share))).analysis())
        }
        Err(_) => written,
    }
}

fn like(feed: &Feed) -> Analysis {
    let row = feed.like.as_deref().and_then(feeds::by_key);
    row.map(|k| k.analysis.clone()).unwrap_or_default()
}

/// A plain feed: name, kind, figures.
fn bare(room: &FeedRoom, feed: &Feed, on: Day) -> Ingredient {
    let figures = room.written(feed, on).or(&like(feed));
    let mut made = Ingredient::plain(feed.name.clone(), feed.kind, figures);
    made.made_for = feed.made_for;
    made.price = feed.cents_a_kg().map(|c| c / 100.0);
    made
}

/// Where a figure of a feed comes from, in words: `sheet of 3 May 2026`, `its label`, `its parts`, or the handbook's feed
/// with its source.
pub fn source(room: &FeedRoom, feed: &Feed, on: Day, what: Nutrient) -> Option<String> {
    if let Some(written) = room.written_in(feed, on, what) {
        return Some(written);
    }
    if with_parts(room, feed, on).get(what).is_some() {
        return Some(phrase!("its parts"));
    }
    let row = feeds::by_key(feed.like.as_deref()?)?;
    Some(phrase!("{} of the handbook: {}", row.name, row.ground_of(what)?))
}

/// A feed of the book on a day. A mix is made for other stock where a part of it is, holds the medicine of its parts, and
/// costs what they cost where it has no price of its own.
pub fn ingredient(flock: &Flock, id: FeedId, on: Day) -> Option<Ingredient> {
    let room = flock.feedroom();
    let feed = room.feed(id)?;
    let mut made = bare(room, feed, on);
    made.analysis = analysis(room, feed, on);
    made.medicine = medicine(flock, feed);
    if feed.parts.is_empty() {
        return Some(made);
    }
    let parts: Vec<(&Feed, f64)> = opened(room, id)
        .unwrap_or_default()
        .into_iter()
        .filter_map(|(part, share)| Some((room.feed(part)?, share)))
        .collect();
    let harmful = |f: &&Feed| !matches!(f.made_for, MadeFor::Sheep | MadeFor::Plain | MadeFor::Unknown);
    if let Some(other) = parts.iter().map(|(f, _)| *f).find(harmful) {
        made.made_for = other.made_for;
    }
    made.medicine = made.medicine.or_else(|| parts.iter().find_map(|(f, _)| medicine(flock, f)));
    made.price =
        made.price.or_else(|| parts.iter().map(|(f, share)| Some(f.cents_a_kg()? / 100.0 * share)).sum());
    Some(made)
}

/// A feed of the book by its id as plain ingredients with kilograms: a mix is opened up, so that cautions name its parts.
pub fn ingredients(flock: &Flock, id: FeedId, kg: f64, on: Day) -> Vec<(Ingredient, f64)> {
    let parts = opened(flock.feedroom(), id).unwrap_or_else(|_| vec![(id, 1.0)]);
    parts.into_iter().filter_map(|(part, share)| Some((ingredient(flock, part, on)?, share * kg))).collect()
}

fn medicine(flock: &Flock, feed: &Feed) -> Option<String> {
    let drug = feed.medicine?;
    let product = flock.products().iter().find(|p| p.id == drug.product);
    Some(product.map_or_else(|| phrase!("a medicine"), |p| p.name.clone()))
}
