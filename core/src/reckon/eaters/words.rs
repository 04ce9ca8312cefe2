//! Amounts of feed in the measures of the barn: flakes, scoops, bags.

use crate::flock::{Feed, FeedRoom, Measure};
use crate::terms::{Day, FeedId, Mass, MeasureId, Units};

/// `flakes` of `flake`.
fn plural(name: &str) -> String {
    let es = ["s", "x", "ch", "sh"].iter().any(|end| name.ends_with(end));
    format!("{name}{}", if es { "es" } else { "s" })
}

/// A count in quarters as people write it: `7.5`, `0.25`, `3`.
fn quarters(count: f64) -> Option<String> {
    let n = (count * 4.0).round() / 4.0;
    (n > 0.0 && n.is_finite()).then(|| {
        let text = format!("{n:.2}");
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    })
}

fn counted(mass: Mass, each: Mass, name: &str) -> Option<String> {
    if each.is_none() {
        return None;
    }
    let n = quarters(mass.kg() / each.kg())?;
    let name = if n == "1" { name.to_string() } else { plural(name) };
    Some(format!("{n} {name}"))
}

/// The measure of that name that was weighed out last up to a day: what a flake weighs changes with the cut.
fn newest<'a>(room: &'a FeedRoom, measure: &'a Measure, on: Day) -> &'a Measure {
    room.measure_called(measure.feed, &measure.name, on).unwrap_or(measure)
}

/// `7.5 flakes`, to a quarter of the measure by what it weighed when it was last weighed out; none where the measure is
/// not there or the amount is less than an eighth of it.
pub fn in_measure(room: &FeedRoom, mass: Mass, measure: MeasureId, on: Day) -> Option<String> {
    let m = newest(room, room.measure(measure)?, on);
    counted(mass, m.mean(), &m.name)
}

/// `3.25 bags` (of forage: bales), to a quarter; none where the feed does not come in bags, or for less than an eighth.
pub fn in_bags(feed: &Feed, mass: Mass) -> Option<String> {
    counted(mass, feed.bag?, if feed.kind.is_forage() { "bale" } else { "bag" })
}

/// The measure an amount of a feed is best carried in: the one asked for, else the one of this feed weighed out last.
pub fn barn_measure(room: &FeedRoom, feed: FeedId, asked: Option<MeasureId>, on: Day) -> Option<MeasureId> {
    asked.or_else(|| {
        let mine = |m: &&Measure| m.feed == feed && m.struck.is_none() && m.on <= on;
        room.measures.iter().filter(mine).max_by_key(|m| (m.on, m.id)).map(|m| m.id)
    })
}

/// `7.5 flakes, 12.4 kg`; the weight alone where nothing is weighed out.
pub fn carried(
    room: &FeedRoom,
    feed: FeedId,
    mass: Mass,
    asked: Option<MeasureId>,
    on: Day,
    units: Units,
) -> String {
    let measure = barn_measure(room, feed, asked, on).and_then(|m| in_measure(room, mass, m, on));
    match measure {
        Some(count) => format!("{count}, {}", mass.show(units)),
        None => mass.show(units),
    }
}

/// What a head is given, in the measure it was typed in: `1 flake (1.4 kg)`; else the weight.
pub fn a_head(room: &FeedRoom, each: Mass, measure: Option<MeasureId>, on: Day, units: Units) -> String {
    match measure.and_then(|m| in_measure(room, each, m, on)) {
        Some(count) => format!("{count} ({})", each.show(units)),
        None => each.show(units),
    }
}
