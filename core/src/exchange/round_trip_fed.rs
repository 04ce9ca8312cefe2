//! Any feed room, for the round trip.

use super::*;
use crate::entry::{
    Check, CreepDraft, FeedDraft, FeedMoveDraft, FeedSheetDraft, MeasureDraft, PenCheckDraft, RationDraft,
};
use crate::flock::FeedRoom;

fn word(n: usize) -> Option<String> {
    (!n.is_multiple_of(3)).then(|| format!("{} {n}", TAGS[n % TAGS.len()]))
}

/// Names that try the signs between the parts of a mix.
const FEEDS: [&str; 6] = ["Barley", "Beans; split 2", "=Hay\\1", "Creep; mix \\", "Nuts 16", "-Straw"];

fn kg(grams: usize) -> Option<Mass> {
    Mass::from_grams(grams as u64)
}

fn analysis(op: &Op) -> Analysis {
    let figure = |n: &Nutrient| (1000 + u32::from(op.c) * (*n as u32 + 1)).min(40_000);
    let some = Nutrient::ALL.iter().filter(|n| (op.a + **n as usize).is_multiple_of(3));
    some.fold(Analysis::default(), |a, n| a.with_thousandths(*n, Some(figure(n))))
}

/// One entry of the feed room; nothing where it needs what is not there.
pub(super) fn check(flock: &Flock, op: &Op, n: usize) -> Option<Check> {
    let today = day(TODAY);
    let room: &FeedRoom = flock.feedroom();
    let on = today.plus(-i64::from(op.c % 9));
    let time = Minute::new(u32::from(op.c) % 24, 15).filter(|_| op.a.is_multiple_of(2));
    let feed = |i: usize| room.feeds.get(i % room.feeds.len().max(1)).map(|f| f.name.clone());
    let pen = |i: usize| ["Yard", "=Yard 2", "Orchard"][i % 3].to_string();
    Some(match op.what {
        35 => {
            let mut d = FeedDraft::called(FEEDS[op.a % 6], FeedKind::ALL[op.b % FeedKind::ALL.len()]);
            d.like = Some("hay mid".to_string()).filter(|_| op.b.is_multiple_of(4));
            d.own = analysis(op);
            d.made_for = MadeFor::ALL[op.b % MadeFor::ALL.len()];
            d.bag = kg(usize::from(op.c) + 1).filter(|_| op.a.is_multiple_of(3));
            d.price = Some(Price::from_cents(u32::from(op.c))).filter(|_| op.b.is_multiple_of(3));
            if let (Some(x), Some(y)) = (feed(op.a), feed(op.b))
                && x != y
                && op.c.is_multiple_of(2)
            {
                let share = f64::from(op.c % 999 + 1) / 10.0;
                d.parts = vec![(x, share), (y, 100.0 - share)];
            }
            d.medicine = flock.products().first().map(|p| (p.name.clone(), Dose::Mass(u64::from(op.c) + 1)));
            d.medicine = d.medicine.filter(|_| op.a.is_multiple_of(4));
            d.note = word(n);
            entry::feeds(vec![d], flock)
        }
        36 => {
            let d = MeasureDraft {
                feed: feed(op.a)?,
                name: ["flake", "=scoop", "big bucket"][op.b % 3].into(),
                on,
                weighed: (0..=op.b % 4).filter_map(|i| kg(usize::from(op.c % 700) + i + 1)).collect(),
            };
            entry::measures(vec![d], flock, today)
        }
        37 => {
            let d = FeedSheetDraft {
                feed: feed(op.a)?,
                on,
                lab: word(op.b),
                number: word(op.a),
                batch: word(n),
                analysis: analysis(op),
                note: word(op.b + 1),
            };
            entry::feed_sheets(vec![d], flock, today)
        }
        38 => {
            let d = CreepDraft {
                id: room.creeps.last().map(|c| c.id).filter(|_| op.b.is_multiple_of(3)),
                pen: pen(op.a),
                from: on,
                to: Some(on.plus(1).min(today)).filter(|_| !op.b.is_multiple_of(4)),
                feed: feed(op.b).filter(|_| op.a.is_multiple_of(2)),
                holds: kg(usize::from(op.c)),
                note: word(n),
            };
            entry::creeps(vec![d], flock, today)
        }
        39 => {
            let name = feed(op.a)?;
            let of = room.by_name(&name)?.id;
            let measure = room.measures.iter().filter(|m| m.feed == of && m.struck.is_none());
            let d = RationDraft {
                eaters: Eaters::ALL[op.b % Eaters::ALL.len()],
                pen: Some(pen(op.b)).filter(|_| op.a.is_multiple_of(2)),
                feed: name,
                from: on,
                each: kg(usize::from(op.c % 2500))?,
                measure: measure.map(|m| m.id).nth(op.b % 3),
                note: word(n),
            };
            entry::rations(vec![d], flock)
        }
        40 => {
            let d = PenCheckDraft {
                pen: pen(op.a),
                on,
                time,
                what: CheckKind::ALL[op.b % CheckKind::ALL.len()],
                fault: word(op.b),
                note: word(n),
            };
            entry::pen_checks(vec![d], flock, today)
        }
        41 => {
            let (record, _) = [
                room.moves.first().map(|m| (RecordRef::FeedMove(m.id), 0)),
                room.measures.first().map(|m| (RecordRef::Measure(m.id), 0)),
                room.creeps.first().map(|c| (RecordRef::Creep(c.id), 0)),
                room.rations.first().map(|r| (RecordRef::Ration(r.id), 0)),
            ][op.a % 4]?;
            entry::strike_kept(record, "wrong", flock, today)
        }
        _ => {
            let change = FeedChange::ALL[op.b % FeedChange::ALL.len()];
            let mut d = FeedMoveDraft::of(feed(op.a)?, on, change);
            d.time = time;
            d.amount = kg(usize::from(op.c)).filter(|_| !op.a.is_multiple_of(5));
            d.pen = Some(pen(op.b)).filter(|_| change == FeedChange::Fed);
            d.level = Level::from_percent((op.c % 101) as u8).filter(|_| change == FeedChange::Fed);
            d.batch = word(op.a);
            d.price = Some(Price::from_cents(u32::from(op.c))).filter(|_| op.a.is_multiple_of(3));
            d.supplier = word(op.b);
            d.invoice = word(op.a + 1);
            d.best_before = Some(on.plus(90)).filter(|_| op.a.is_multiple_of(2));
            d.note = word(n);
            entry::feed_moves(vec![d], flock, today)
        }
    })
}
