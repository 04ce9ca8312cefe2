//! A month of the feed room, worked by hand in `reference::feedstore`: April 2026, three ewes in lamb and a ram, hay, an own
//! mix with its parts, pellets in a creep.

use crate::flocks::{Folder, day, joined_book, write};
use hirsel_core::book::Book;
use hirsel_core::entry::{
    self, CreepDraft, FeedDraft, FeedMoveDraft, LambDraft, LambingDraft, PenMoveDraft, RationDraft,
};
use hirsel_core::flock::Sire;
use hirsel_core::terms::{Eaters, FeedChange, FeedKind, Level, MadeFor, Mass, Moment, Price, Sex, Tag};

/// Its last day.
pub const TODAY: &str = "2026-04-30";

/// So many kilograms.
///
/// # Panics
/// When it is no amount.
pub fn kg(kg: f64) -> Mass {
    Mass::from_kg(kg).expect("an amount")
}

/// A row of the store: feed, day, what became of it, kg, and more of it.
pub fn row(feed: &str, on: &str, change: FeedChange, much: f64) -> FeedMoveDraft {
    let mut draft = FeedMoveDraft::of(feed, day(on), change);
    draft.amount = Some(kg(much));
    if change == FeedChange::Delivered {
        draft.batch = Some(format!("{feed} {on}"));
    }
    draft
}

fn paid(cents: u32, mut draft: FeedMoveDraft) -> FeedMoveDraft {
    draft.price = Some(Price::from_cents(cents));
    draft
}

fn in_pen(pen: &str, level: Option<u8>, mut draft: FeedMoveDraft) -> FeedMoveDraft {
    draft.pen = Some(pen.into());
    draft.level = level.and_then(Level::from_percent);
    draft
}

fn ration(eaters: Eaters, pen: Option<&str>, feed: &str, from: &str, each: f64) -> RationDraft {
    RationDraft {
        eaters,
        pen: pen.map(Into::into),
        feed: feed.into(),
        from: day(from),
        each: kg(each),
        measure: None,
        note: None,
    }
}

/// The month.
///
/// # Panics
/// When it cannot be written.
pub fn month(folder: &Folder) -> Book {
    let today = day(TODAY);
    let (mut book, [a, b, c, ram]) = joined_book(folder);
    let pens = [(vec![a, b], "2026-03-01", "Top shed"), (vec![c], "2026-03-01", "Jug 1")];
    let later = [(vec![ram], "2026-03-01", "Ram pen"), (vec![b], "2026-04-18", "Jug 1")];
    for (animals, on, pen) in pens.into_iter().chain(later) {
        let draft = PenMoveDraft { animals, on: day(on), pen: Some(pen.into()) };
        let check = entry::pen_move(draft, &book.flock(), today);
        write(&mut book, check);
    }
    let at = Moment::day(day("2026-04-12"));
    let lamb = |tag: &str, sex| LambDraft { tag: Tag::parse(tag).ok(), ..LambDraft::new(sex) };
    let draft = LambingDraft {
        ewe: c,
        at,
        sire: Sire::Unknown,
        ease: None,
        help: None,
        note: None,
        pen: Some("Jug 1".into()),
        lambs: vec![lamb("0501", Sex::Ewe), lamb("0502", Sex::Ram)],
        foster_on: Vec::new(),
    };
    let check = entry::lambing(draft, &book.flock(), today);
    write(&mut book, check);

    let feed = |name: &str, kind, bag: Option<f64>| {
        let mut draft = FeedDraft::called(name, kind);
        draft.made_for = MadeFor::Plain;
        draft.bag = bag.map(kg);
        let like = [("Hay", "hay early"), ("Barley", "barley"), ("Beans", "field beans")];
        draft.like = like.iter().find(|(of, _)| *of == name).map(|(_, key)| key.to_string());
        draft
    };
    let mut hay = feed("Hay", FeedKind::Hay, None);
    hay.price = Some(Price::from_cents(18_000));
    let mut mix = feed("Ewe mix", FeedKind::Mix, None);
    mix.parts = vec![("Barley".into(), 80.0), ("Beans".into(), 20.0)];
    let pellets = feed("Pellets", FeedKind::Compound, Some(25.0));
    let plain = [feed("Barley", FeedKind::Grain, Some(25.0)), feed("Beans", FeedKind::Protein, None)];
    let check = entry::feeds(plain.into_iter().chain([hay, mix, pellets]).collect(), &book.flock());
    write(&mut book, check);
    let creep = CreepDraft {
        id: None,
        pen: "Jug 1".into(),
        from: day("2026-04-20"),
        to: None,
        feed: Some("Pellets".into()),
        holds: Some(kg(10.0)),
        note: None,
    };
    let check = entry::creeps(vec![creep], &book.flock(), today);
    write(&mut book, check);
    let rations = vec![
        ration(Eaters::LateEwes, None, "Hay", "2026-04-01", 1.8),
        ration(Eaters::LateEwes, None, "Hay", "2026-04-10", 2.0),
        ration(Eaters::LateEwes, Some("Jug 1"), "Hay", "2026-04-01", 2.2),
        ration(Eaters::NursingTwo, None, "Hay", "2026-04-01", 2.5),
        ration(Eaters::Rams, None, "Hay", "2026-04-01", 2.0),
        ration(Eaters::Rams, None, "Hay", "2026-05-05", 1.0),
        ration(Eaters::LateEwes, None, "Ewe mix", "2026-04-03", 0.4),
        ration(Eaters::NursingTwo, None, "Ewe mix", "2026-04-03", 0.9),
        ration(Eaters::CreepLambs, None, "Pellets", "2026-04-20", 0.1),
    ];
    let check = entry::rations(rations, &book.flock());
    write(&mut book, check);

    use FeedChange::{Counted, Delivered, Fed, Mixed, Wasted};
    let mut best = row("Pellets", "2026-04-19", Delivered, 25.0);
    best.best_before = Some(day("2026-04-25"));
    let rows = vec![
        row("Hay", "2026-03-31", Counted, 200.0),
        paid(6_000, row("Hay", "2026-04-05", Delivered, 300.0)),
        in_pen("Top shed", None, row("Hay", "2026-04-15", Fed, 5.0)),
        row("Hay", "2026-04-20", Counted, 330.0),
        row("Hay", "2026-04-22", Wasted, 6.0),
        paid(3_000, row("Hay", "2026-04-25", Delivered, 100.0)),
        paid(2_900, row("Barley", "2026-04-02", Delivered, 100.0)),
        paid(2_500, row("Beans", "2026-04-02", Delivered, 50.0)),
        row("Ewe mix", "2026-04-03", Mixed, 60.0),
        row("Ewe mix", "2026-04-28", Wasted, 5.0),
        best,
        in_pen("Jug 1", None, row("Pellets", "2026-04-20", Fed, 6.0)),
        in_pen("Jug 1", Some(50), row("Pellets", "2026-04-24", Fed, 4.0)),
        in_pen("Jug 1", Some(25), row("Pellets", "2026-04-28", Fed, 3.0)),
    ];
    let check = entry::feed_moves(rows, &book.flock(), today);
    write(&mut book, check);
    book
}
