//! Feed that came, was mixed, fed, wasted or counted.

use super::{FedRefused, FedUnusual, named};
use crate::entry::{Check, Entry, Faults, Field, Refused, words};
use crate::flock::{Feed, FeedMove, Flock};
use crate::terms::{Day, FeedChange, FeedId, FeedMoveId, Level, Mass, Minute, Price, counted, norm};

/// What became of feed, as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FeedMoveDraft {
    /// Name of the feed.
    pub feed: String,
    /// The day.
    pub on: Day,
    /// When.
    pub time: Option<Minute>,
    /// What became of it.
    pub change: FeedChange,
    /// How much.
    pub amount: Option<Mass>,
    /// The pen it was fed in.
    pub pen: Option<String>,
    /// How full the trough was before.
    pub level: Option<Level>,
    /// Batch on the bag.
    pub batch: Option<String>,
    /// What was paid for it all.
    pub price: Option<Price>,
    /// From whom.
    pub supplier: Option<String>,
    /// Number of the invoice.
    pub invoice: Option<String>,
    /// Best before.
    pub best_before: Option<Day>,
    /// Note.
    pub note: Option<String>,
}

impl FeedMoveDraft {
    /// With nothing but feed, day and what became of it.
    pub fn of(feed: impl Into<String>, on: Day, change: FeedChange) -> Self {
        Self {
            feed: feed.into(),
            on,
            time: None,
            change,
            amount: None,
            pen: None,
            level: None,
            batch: None,
            price: None,
            supplier: None,
            invoice: None,
            best_before: None,
            note: None,
        }
    }
}

/// What became of feed, as a table of the past has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PastFeedMove {
    /// As typed.
    pub draft: FeedMoveDraft,
    /// What a mixing took, by names of feeds; empty is by the mix's own recipe.
    pub took: Vec<(String, Mass)>,
}

/// Checks what became of feed; rows of faults count the drafts. A mixing takes its parts by the mix's own recipe. Feeding
/// a medicated feed makes a treatment for each animal that eats it.
///
/// # Errors
/// Every refusal with its row.
pub fn feed_moves(drafts: Vec<FeedMoveDraft>, flock: &Flock, today: Day) -> Check {
    moves_with(drafts, None, flock, today)
}

/// The same, where a feed is written together with the moves.
pub(super) fn moves_with(
    drafts: Vec<FeedMoveDraft>,
    written: Option<&Feed>,
    flock: &Flock,
    today: Day,
) -> Check {
    let past = drafts.into_iter().map(|draft| PastFeedMove { draft, took: Vec::new() }).collect();
    all_moves(past, written, flock, today, true)
}

/// The same of a table: mixings took what they took, and no treatments are made; of a medicated feed they stand in a
/// table of their own, and it is asked after them where they are not in the book.
///
/// # Errors
/// Every refusal with its row.
pub fn past_feed_moves(drafts: Vec<PastFeedMove>, flock: &Flock, today: Day) -> Check {
    all_moves(drafts, None, flock, today, false)
}

fn all_moves(
    drafts: Vec<PastFeedMove>,
    written: Option<&Feed>,
    flock: &Flock,
    today: Day,
    dosed: bool,
) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("feed"), Refused::Missing("a feed"));
    }
    let mut all: Vec<(usize, FeedMove)> = Vec::new();
    for (row, PastFeedMove { draft: d, took }) in drafts.into_iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let with = written.filter(|f| norm(&f.name) == norm(&d.feed));
        let found = with.or_else(|| named(&mut faults, Field::row("feed", row), &d.feed, flock));
        let Some(feed) = found else { continue };
        let mut parts: Vec<(FeedId, Mass)> = Vec::new();
        for (name, kg) in &took {
            let found = named(&mut faults, Field::row("took", row), name, flock);
            parts.extend(found.map(|f| (f.id, *kg)));
        }
        if d.change == FeedChange::Mixed && feed.parts.is_empty() && took.is_empty() {
            faults.refuse(Field::row("feed", row), FedRefused::NoMix(feed.name.clone()).into());
        }
        if let Some(amount) = d.amount.filter(|_| parts.is_empty() && d.change == FeedChange::Mixed) {
            parts = feed.parts_of(amount);
        }
        let new = FeedMove {
            id: FeedMoveId::new(),
            feed: feed.id,
            on: d.on,
            time: d.time,
            change: d.change,
            amount: d.amount,
            parts,
            pen: words::<String>(&d.pen).map(|p| flock.pen_called(&p)),
            level: d.level,
            batch: words(&d.batch),
            price: d.price,
            supplier: words(&d.supplier),
            invoice: words(&d.invoice),
            best_before: d.best_before,
            note: words(&d.note),
            struck: None,
        };
        check(&mut faults, row, &new, flock, today);
        if !dosed {
            super::dosed::past(&mut faults, row, &new, flock);
        }
        all.push((row, new));
    }
    let treatments = if dosed { super::dosed::doses(&mut faults, &all, flock, today) } else { Vec::new() };
    let moves: Vec<FeedMove> = all.into_iter().map(|(_, m)| m).collect();
    faults.or(|| {
        let mut sentence = match moves.as_slice() {
            [one] => sentence(one, flock),
            many => format!("{} of feed", counted(many.len(), "line")),
        };
        if !treatments.is_empty() {
            sentence.push_str(&format!(", with {}", counted(treatments.len(), "treatment")));
        }
        (Entry::FeedMoves { moves, treatments }, sentence)
    })
}

fn sentence(m: &FeedMove, flock: &Flock) -> String {
    let name = flock.feedroom().name(m.feed);
    let amount = m.amount.map(|a| format!(": {}", a.show(flock.holding().units))).unwrap_or_default();
    match (&m.pen, m.change) {
        (Some(pen), FeedChange::Fed) => format!("{name} fed in {pen}{amount}"),
        (_, change) => format!("{name} {}{amount}", change.words()),
    }
}

/// More than this at once is asked about (common practice, no source).
const MUCH: u64 = 60_000_000;
/// More than this at once in one pen is asked about (common practice, no source).
const MUCH_FED: u64 = 2_000_000;

/// What is wrong or unlikely of a move of feed, new or amended.
pub(super) fn check(faults: &mut Faults, row: usize, m: &FeedMove, flock: &Flock, today: Day) {
    let field = |name| Field::row(name, row);
    let room = flock.feedroom();
    let name = || room.name(m.feed).to_string();
    let units = flock.holding().units;
    let some = m.amount.is_some_and(|a| !a.is_none());
    match m.change {
        // A count of nothing is a count; a level alone is a look at the trough.
        FeedChange::Counted => {
            if m.amount.is_none() {
                faults.refuse(field("amount"), FedRefused::NoAmount(name()).into());
            }
        }
        FeedChange::Fed => {
            if m.pen.is_none() {
                faults.refuse(field("pen"), FedRefused::NoPen.into());
            }
            if m.amount.is_none() && m.level.is_none() {
                faults.refuse(field("amount"), FedRefused::NothingFilled.into());
            }
        }
        FeedChange::Delivered | FeedChange::Mixed | FeedChange::Wasted => {
            if !some {
                faults.refuse(field("amount"), FedRefused::NoAmount(name()).into());
            }
        }
    }
    let most = if m.change == FeedChange::Fed { MUCH_FED } else { MUCH };
    if let Some(a) = m.amount.filter(|a| a.grams() > most) {
        let what = FedUnusual::MuchAtOnce { amount: a.show(units), name: name() };
        faults.question(field("amount"), what.into());
    }
    if m.change == FeedChange::Delivered {
        let same = |o: &&FeedMove| {
            o.struck.is_none()
                && o.id != m.id
                && (o.change, o.feed, o.on, o.amount, &o.invoice)
                    == (m.change, m.feed, m.on, m.amount, &m.invoice)
        };
        if let (Some(o), Some(a)) = (room.moves.iter().find(same), m.amount) {
            let what = FedUnusual::Twice { name: name(), amount: a.show(units), on: o.on };
            faults.question(field("amount"), what.into());
        }
        if room.feed(m.feed).is_some_and(|f| f.kind != crate::terms::FeedKind::Hay) && m.batch.is_none() {
            faults.caution(
                field("batch"),
                "no batch is written: with it a bad bag can be traced back to the mill",
            );
        }
    }
    if m.change == FeedChange::Fed
        && let Some(pen) = &m.pen
    {
        let holds = room.creep_in(pen, m.on).and_then(|c| c.holds);
        let before = holds.map(|h| h.kg() * f64::from(m.level.map_or(0, Level::percent)) / 100.0);
        if let (Some(holds), Some(before), Some(a)) = (holds, before, m.amount)
            && before + a.kg() > holds.kg() * 1.1
        {
            let what =
                FedUnusual::OverFull { filled: a.show(units), pen: pen.clone(), holds: holds.show(units) };
            faults.question(field("amount"), what.into());
        }
        if let Some(best) = m.best_before.filter(|b| *b < m.on) {
            faults.question(field("best_before"), FedUnusual::PastBest(best).into());
        }
        // Only of today: where animals stood on a day of the past is not looked up here.
        if m.on == today && flock.in_pen(pen).is_empty() {
            faults.question(field("pen"), FedUnusual::EmptyPen(pen.clone()).into());
        }
    }
}
