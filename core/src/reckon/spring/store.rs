//! What is in store, by the book.

use crate::flock::{Feed, Flock};
use crate::phrase;
use crate::reckon::feedstore::Ledger;
use crate::terms::{Day, Mass, Units};

/// Days of the past over which what is spoiled is held against what was fed.
const BACK: i64 = 365;

/// In store on the evening of a day, kg as fed, said in words; and what was eaten of it in the year before.
pub(super) fn in_store(flock: &Flock, feed: &Feed, today: Day) -> (f64, String, f64) {
    let from = today.plus(1 - BACK);
    let ledger = Ledger::of(flock, from, today);
    let eaten = ledger.eaten(feed.id, from, today).kg();
    let on = today.words();
    let Some(stock) = ledger.stock(feed.id, today) else {
        let said = phrase!(
            "Nothing tells what is in store of {}: it is reckoned from nothing. Count it under Store",
            feed.name
        );
        return (0.0, said, eaten);
    };
    let units: Units = flock.holding().units;
    let said = match (stock.short(), stock.counted) {
        (Some(short), _) => {
            let short = short.show(units);
            phrase!(
                "The book says {short} less than nothing on {on}: it is reckoned from nothing. Count it under Store"
            )
        }
        (None, Some(day)) => phrase!(
            "In store on the evening of {on}: {} by the book, counted on {}",
            mass(stock.mass(), units),
            day.words()
        ),
        (None, None) => phrase!(
            "In store on the evening of {on}: {} by the book; it was never counted",
            mass(stock.mass(), units)
        ),
    };
    (stock.mass().kg(), said, eaten)
}

/// To a kilogram: grams of tonnes tell nothing.
fn mass(m: Mass, units: Units) -> String {
    Mass::from_kg(m.kg().round()).unwrap_or(m).show(units)
}
