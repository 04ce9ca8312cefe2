//! The store in words: how a feed stands and why, what to tell tonight, what became of one feed.

use super::line::Line;
use super::{Lasts, Ledger, State, Stock, Use, Warning};
use crate::flock::{Feed, FeedMove, FeedRoom, Flock};
use crate::handbook::feeds;
use crate::phrase;
use crate::reckon::ration::{FeedRules, Limit, source};
use crate::terms::{Analysis, Day, FeedChange, FeedId, FeedMoveId, MadeFor, Mass, Nutrient, Units, counted};

/// How a feed stands, in a few words.
pub(super) fn words(line: &Line, mix: bool, today: Day) -> String {
    let verb = if mix { "mix" } else { "order" };
    match (line.state, line.order_by) {
        (State::OrderNow, _) => phrase!("{verb} now"),
        (State::OrderSoon, Some(by)) if by == today.plus(1) => phrase!("{verb} by tomorrow"),
        (State::OrderSoon, Some(by)) => phrase!("{verb} by {}", weekday(by)),
        // Of what was never written nobody knows that none is there.
        (State::NotKept, _) if line.stock.is_none() => State::NotFed.word().to_string(),
        (state, _) => state.word().to_string(),
    }
}

/// `Friday 4 Dec`.
pub(super) fn weekday(day: Day) -> String {
    let long = day.long();
    let name = long.split_whitespace().next().unwrap_or_default();
    format!("{name} {}", day.short())
}

/// Why it stands so, in a sentence.
pub(super) fn why(line: &Line, mix: bool, lead: i64, today: Day, units: Units) -> String {
    let a_day = line.used.a_day();
    let goes = phrase!("{} a day ({})", a_day.show(units), line.used.words(units));
    match (line.state, line.lasts, line.stock) {
        (State::BelowNothing, _, Some(s)) => {
            let short = s.short().unwrap_or_default().show(units);
            phrase!(
                "The book says {short} less than nothing: count it, or write the delivery that is missing."
            )
        }
        (State::Out, ..) => phrase!("None is left, and it is fed: {goes}."),
        (State::NotCounted, ..) => {
            phrase!("It is fed, {goes}, but what is there is not written: count it once.")
        }
        (_, Lasts::Until(until), _) => {
            let days = usize::try_from(until.since(today)).unwrap_or_default();
            let lasts = match days {
                0 => phrase!("It does not last through tomorrow"),
                n => phrase!("It lasts {}, to {}", counted(n, "day"), weekday(until)),
            };
            let lead_days = usize::try_from(lead).unwrap_or_default();
            let lead = match (mix, lead_days) {
                (true, _) => phrase!("its parts have to be there to mix it"),
                (false, 0) => phrase!("it is to be had the same day"),
                (false, n) => phrase!("{} are allowed for it to come", counted(n, "day")),
            };
            phrase!("{lasts}, at {goes}; {lead}.")
        }
        (_, Lasts::Long, _) => phrase!("It lasts longer than a year, at {goes}."),
        (State::NotFed, ..) => phrase!("No ration takes it and none was fed of late."),
        _ if line.stock.is_none() => phrase!("What is there is not written, and none is fed."),
        _ => phrase!("None is there, and none is fed."),
    }
}

/// What is to be minded of a feed.
pub(super) fn cautions(
    feed: &Feed,
    known: &Analysis,
    rules: &FeedRules,
    best_before: Option<Day>,
    today: Day,
) -> Vec<String> {
    let mut all = Vec::new();
    if matches!(feed.made_for, MadeFor::Cattle | MadeFor::Pigs | MadeFor::Poultry | MadeFor::Horses) {
        let stock = feed.made_for.words();
        all.push(phrase!(
            "Made for {stock}: it may hold more copper than a sheep can bear. Read its label, or ask the vet."
        ));
    }
    let most = rules.limit(Limit::CopperWarn);
    if let Some(mg) = known.get(Nutrient::Copper).filter(|mg| *mg > most) {
        all.push(phrase!(
            "{mg:.0} mg of copper in a kg of dry matter: more than {most:.0} in all that a sheep eats is warned of. Ask the vet or feed analyst."
        ));
    }
    if let Some(best) = best_before.filter(|b| *b < today) {
        let best = best.words();
        all.push(phrase!("Part of what is there was best before {best}: look at it before it is fed."));
    }
    if feed.medicine.is_some() {
        all.push(phrase!(
            "Medicine is in it: by the vet's word only, and its withdrawal counts from the last day."
        ));
    }
    all
}

/// What the keeper should know of the store, the gravest first.
pub(super) fn warnings(lines: &[Line], today: Day) -> Vec<Warning> {
    let mut all: Vec<Warning> = Vec::new();
    for l in lines {
        let name = &l.name;
        let mix = l.order_by.is_some() && l.words.starts_with("mix");
        let verb = if mix { "mix" } else { "order" };
        let words = match (l.state, l.order_by, l.lasts) {
            (State::BelowNothing, ..) => {
                let short = l.stock.and_then(Stock::short).unwrap_or_default();
                phrase!("{name}: the book says {} kg less than nothing. Count it.", short.kg_text())
            }
            (State::Out, ..) => phrase!("{name}: none left. {}", if mix { "Mix it." } else { "Order it." }),
            (State::NotCounted, ..) => {
                phrase!("{name}: it is fed, but what is there is not written. Count it.")
            }
            (State::OrderNow | State::OrderSoon, Some(by), Lasts::Until(until)) => {
                let by = if by <= today { phrase!("today") } else { phrase!("by {}", weekday(by)) };
                phrase!("{name}: {verb} {by}; it lasts to {}.", weekday(until))
            }
            _ => continue,
        };
        all.push(Warning::of(l, words));
    }
    for l in lines.iter().filter(|l| l.best_before.is_some_and(|b| b < today)) {
        let best = l.best_before.map(Day::words).unwrap_or_default();
        let mut warning = Warning::of(l, phrase!("{}: part of it was best before {best}.", l.name));
        warning.state = State::Enough;
        all.push(warning);
    }
    all.sort_by_key(|w| w.state);
    all
}

/// A line of what became of one feed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// The row; none is what rations took.
    pub row: Option<FeedMoveId>,
    /// The day.
    pub on: Day,
    /// The last day, of rations.
    pub to: Day,
    /// What became of it.
    pub change: FeedChange,
    /// How much; none was not weighed.
    pub amount: Option<Mass>,
    /// More or less in the store by it, in grams; of a count the difference to the book.
    pub by: i64,
    /// What is there at the end of its day.
    pub after: Option<Stock>,
    /// Where, of whom, for what, in words.
    pub words: String,
    /// Struck out: it counts for nothing.
    pub struck: bool,
}

/// What came, went and was counted of a feed up to a day, the newest first; what rations took stands between, in spans.
pub fn history(flock: &Flock, feed: FeedId, today: Day) -> Vec<Event> {
    let room = flock.feedroom();
    let units = flock.holding().units;
    let touches = |m: &&FeedMove| m.feed == feed || m.parts.iter().any(|p| p.0 == feed);
    let mut rows: Vec<&FeedMove> = room.moves.iter().filter(touches).filter(|m| m.on <= today).collect();
    rows.sort_by_key(|m| (m.on, m.time, m.change == FeedChange::Counted, m.id));
    let begun = room.rations.iter().filter(|r| r.struck.is_none() && r.feed == feed).map(|r| r.from);
    let first = rows.iter().map(|m| m.on).chain(begun).min().unwrap_or(today).min(today);
    let all = Ledger::of(flock, first, today);
    let mut out: Vec<Event> = Vec::new();
    let uses: Vec<&Use> = all.uses().iter().filter(|u| u.feed == feed && u.row.is_none()).collect();
    // What rations took, from one row to the next.
    let mut from = first;
    let put = |from: Day, to: Day, out: &mut Vec<Event>| {
        let span = uses.iter().filter(|u| u.on >= from && u.on <= to);
        let amount = span.fold(Mass::NONE, |sum, u| sum.plus(u.amount));
        if !amount.is_none() {
            let by = -i64::try_from(amount.grams()).unwrap_or_default();
            let (change, words) = (FeedChange::Fed, phrase!("by rations"));
            let after = all.stock(feed, to);
            out.push(Event {
                row: None,
                on: from,
                to,
                change,
                amount: Some(amount),
                by,
                after,
                words,
                struck: false,
            });
        }
    };
    for m in rows {
        // A ration of the day of a count was eaten before it.
        let until = if m.change == FeedChange::Counted { m.on } else { m.on.plus(-1) };
        if m.struck.is_none() && until >= from {
            put(from, until, &mut out);
            from = until.plus(1);
        }
        out.push(event(flock, &all, feed, m, units));
    }
    put(from, today, &mut out);
    out.reverse();
    out
}

fn event(flock: &Flock, all: &Ledger, feed: FeedId, m: &FeedMove, units: Units) -> Event {
    let room = flock.feedroom();
    let whole = |a: Mass| i64::try_from(a.grams()).unwrap_or_default();
    let grams = whole(m.amount.unwrap_or_default());
    let taken: Mass = m.parts.iter().filter(|p| p.0 == feed).fold(Mass::NONE, |sum, p| sum.plus(p.1));
    let (change, amount, by) = match m.change {
        _ if m.feed != feed => (FeedChange::Mixed, Some(taken), -whole(taken)),
        FeedChange::Delivered | FeedChange::Mixed => (m.change, m.amount, grams),
        FeedChange::Fed | FeedChange::Wasted => (m.change, m.amount, -grams),
        FeedChange::Counted => {
            let book = all.counts().iter().find(|c| c.row == m.id).and_then(|c| c.book);
            (m.change, m.amount, book.map_or(0, |b| grams - b))
        }
    };
    let mut words: Vec<String> = Vec::new();
    if m.feed != feed {
        words.push(phrase!("for {}", &room.name(m.feed)));
    }
    words.extend(m.pen.clone().map(|p| phrase!("in {p}")));
    words.extend(m.level.map(|l| phrase!("trough {l} before")));
    words.extend(m.supplier.clone().map(|s| phrase!("from {s}")));
    words.extend(m.batch.clone().map(|b| phrase!("batch {b}")));
    words.extend(m.price.map(|p| phrase!("{} paid", p.words())));
    words.extend(m.invoice.clone().map(|i| phrase!("invoice {i}")));
    words.extend(m.best_before.map(|d| phrase!("best before {}", d.words())));
    if m.change == FeedChange::Counted && m.struck.is_none() {
        let found = |g: i64| Mass::from_grams(g.unsigned_abs()).unwrap_or_default().show(units);
        words.push(match (all.counts().iter().find(|c| c.row == m.id).and_then(|c| c.book), by) {
            (None, _) => phrase!("the first of it that is written"),
            (Some(_), 0) => phrase!("as the book says"),
            (Some(_), g) if g > 0 => phrase!("{} more than the book", found(g)),
            (Some(_), g) => phrase!("{} less than the book", found(g)),
        });
    }
    words.extend(m.note.clone());
    words.extend(m.struck.as_deref().map(|s| phrase!("struck out: {}", s.reason)));
    let after = m.struck.is_none().then(|| all.stock(feed, m.on)).flatten();
    Event {
        row: Some(m.id),
        on: m.on,
        to: m.on,
        change,
        amount,
        by: if m.struck.is_some() { 0 } else { by },
        after,
        words: words.join(", "),
        struck: m.struck.is_some(),
    }
}

/// What is there in words: `12.5 bags, 312 kg`; what goes below nothing as such, what is not known as `not counted`.
pub fn amount_words(line: &Line, units: Units) -> String {
    let Some(stock) = line.stock else { return phrase!("not counted") };
    if let Some(short) = stock.short() {
        return format!("−{}", short.show(units));
    }
    let all = stock.mass().show(units);
    match line.bags().filter(|b| *b > 0.0) {
        Some(bags) => {
            let count = if bags < 20.0 { format!("{bags:.1}") } else { format!("{bags:.0}") };
            let count = count.trim_end_matches(".0");
            // Forage comes in bales, as on the feed sheet.
            let one = if line.kind.is_forage() { "bale" } else { "bag" };
            let s = if count == "1" { "" } else { "s" };
            format!("{count} {one}{s}, {all}")
        }
        None => all,
    }
}

/// Crude protein in words with its base: `12.0 % dry, 10.3 % as fed`.
pub fn protein_words(line: &Line) -> String {
    match line.protein() {
        Some((dry, Some(fed))) => phrase!("{dry:.1} % dry, {fed:.1} % as fed"),
        Some((dry, None)) => phrase!("{dry:.1} % dry"),
        None => String::new(),
    }
}

/// Where a figure of a feed comes from in a few words: `sheet of 3 May 2026`, `its label`, `its parts`, `handbook`,
/// `handbook, from memory`.
pub fn source_short(room: &FeedRoom, feed: &Feed, on: Day, what: Nutrient) -> Option<String> {
    if let Some(written) = room.written_in(feed, on, what) {
        return Some(written);
    }
    let long = source(room, feed, on, what)?;
    if long == "its parts" {
        return Some(long);
    }
    let memory = feed.like.as_deref().and_then(feeds::by_key).and_then(|k| k.ground_of(what))?.is_memory();
    Some(if memory { phrase!("handbook, from memory") } else { phrase!("handbook") })
}
