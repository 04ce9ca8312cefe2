//! What became of feed as rows.
//!
//! A table writes no treatments: those of a medicated feed stand in the table of treatments.

use super::super::kind::{Column, may, must};
use super::super::sheet::{Met, Sheet};
use super::super::{Taken, Unfit, day_text, text};
use super::{feed, is_feed, kg, kg_text, named_figures, named_figures_text};
use crate::entry::{Entry, FeedMoveDraft, PastFeedMove, past_feed_moves};
use crate::flock::{FeedMove, Flock};
use crate::terms::{Day, FeedChange, FeedMoveId, Level, Minute, Price, norm};

pub(in crate::exchange) const MOVES: &[Column] = &[
    must("feed", "name of the feed"),
    must("on", "day; a count holds at its end"),
    must("change", "delivered, mixed, fed, wasted, counted"),
    may("amount_kg", "how much, as fed; of a trough filled up unweighed it may be blank"),
    may("time", "06:40"),
    may("pen", "the pen it was fed in"),
    may("level", "how full the trough was before, in percent: 25; or empty, half, full"),
    may("batch", "batch on the bag"),
    may("price", "what was paid for it all"),
    may("supplier", "from whom"),
    may("invoice", "number of the invoice"),
    may("best_before", "last good day"),
    may("note", "note"),
    may(
        "took",
        "of a mixing, kg it took of each feed: Barley 20.01; Field beans 9.99; blank: by the mix's own recipe",
    ),
];

pub(in crate::exchange) fn read_moves(sheet: &Sheet, flock: &Flock, today: Day) -> Result<Taken, Unfit> {
    let mut met: Met<FeedMoveId> = Met::default();
    sheet.records(
        |c| {
            let (feed, on) = (feed(c), c.day("on"));
            let change = c.must("change", "what became of it", FeedChange::parse);
            let (amount, time) = (c.may("amount_kg", kg), c.may("time", Minute::parse));
            let (level, price) = (c.may("level", Level::parse), c.may("price", Price::parse));
            let best_before = c.may("best_before", Day::parse_iso);
            let took = c.may("took", |t| named_figures(t, kg)).unwrap_or_default();
            if !took.is_empty() && change.is_some_and(|c| c != FeedChange::Mixed) {
                c.wrong("took", "only a mixing takes of other feeds: leave it blank");
            }
            let draft = FeedMoveDraft {
                amount,
                time,
                pen: c.words("pen"),
                level,
                batch: c.words("batch"),
                price,
                supplier: c.words("supplier"),
                invoice: c.words("invoice"),
                best_before,
                note: c.words("note"),
                ..FeedMoveDraft::of(feed?, on?, change?)
            };
            Some(PastFeedMove { draft, took })
        },
        |d| met.one(&flock.feedroom().moves, |m| m.id, |m| is_same(flock, m, d)),
        |drafts| past_feed_moves(drafts, flock, today),
        |entry| match entry {
            Entry::FeedMoves { moves, .. } => moves.iter().map(|m| row(flock, m)).collect(),
            _ => Vec::new(),
        },
    )
}

fn is_same(flock: &Flock, m: &FeedMove, PastFeedMove { draft: d, took }: &PastFeedMove) -> bool {
    let took_so = || {
        took.len() == m.parts.len()
            && took.iter().all(|(name, kg)| m.parts.iter().any(|(f, a)| a == kg && is_feed(flock, *f, name)))
    };
    m.on == d.on
        && m.struck.is_none()
        && (m.change, m.amount, m.time, m.level) == (d.change, d.amount, d.time, d.level)
        && m.pen.as_deref().map(norm) == d.pen.as_deref().map(norm)
        && (&m.batch, m.price, &m.supplier) == (&d.batch, d.price, &d.supplier)
        && (&m.invoice, m.best_before, &m.note) == (&d.invoice, d.best_before, &d.note)
        && is_feed(flock, m.feed, &d.feed)
        && (took.is_empty() || took_so())
}

pub(in crate::exchange) fn move_rows(flock: &Flock) -> Vec<Vec<String>> {
    // The order of the book: of two fillings without a time the later one counts.
    flock.feedroom().moves.iter().filter(|m| m.struck.is_none()).map(|m| row(flock, m)).collect()
}

fn row(flock: &Flock, m: &FeedMove) -> Vec<String> {
    let room = flock.feedroom();
    let took = m.parts.iter().map(|(f, kg)| (room.name(*f).to_string(), kg.kg_text()));
    vec![
        room.name(m.feed).to_string(),
        m.on.to_string(),
        m.change.word().to_string(),
        kg_text(m.amount),
        m.time.map(|t| t.to_string()).unwrap_or_default(),
        text(&m.pen),
        m.level.map(|l| l.percent().to_string()).unwrap_or_default(),
        text(&m.batch),
        m.price.map(|p| p.to_string()).unwrap_or_default(),
        text(&m.supplier),
        text(&m.invoice),
        day_text(m.best_before),
        text(&m.note),
        named_figures_text(took),
    ]
}
