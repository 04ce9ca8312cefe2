//! The feed room to rows and back.

use super::put::{amount, columns, known, put, struck as struck_columns, text};
use super::rows::{day, day_opt, dose, id, odd, read, read_opt, struck};
use crate::flock::{
    Creep, Feed, FeedMove, FeedPart, FeedRoom, FeedSheet, Measure, Medicated, PenCheck, Ration,
};
use crate::terms::{
    Analysis, CheckKind, CreepId, Eaters, FeedChange, FeedId, FeedKind, FeedMoveId, FeedSheetId, Level,
    MadeFor, Mass, MeasureId, Minute, Misread, Nutrient, PenCheckId, Price, ProductId, RationId,
};
use rusqlite::{Connection, Row, ToSql};

type Result<T> = rusqlite::Result<T>;

const FEED: &str = "id, name, kind, likened, made_for, bag_g, price_cents, parts, product, per_kg_kind, per_kg, note, dry_matter, protein, energy, tdn, calcium, phosphorus, copper, molybdenum, selenium, fibre";
const MOVE: &str = "id, feed, on_day, at_time, change, amount_g, parts, pen, level, batch, price_cents, supplier, invoice, best_before, note, struck, struck_on";
const SHEET: &str = "id, feed, on_day, lab, number, batch, note, struck, struck_on, dry_matter, protein, energy, tdn, calcium, phosphorus, copper, molybdenum, selenium, fibre";
const MEASURE: &str = "id, feed, name, on_day, weighed_g, struck, struck_on";
const CREEP: &str = "id, pen, from_on, to_on, feed, holds_g, note, struck, struck_on";
const RATION: &str = "id, eaters, pen, feed, from_on, each_g, measure, note, struck, struck_on";
const CHECK: &str = "id, pen, on_day, at_time, what, fault, note, struck, struck_on";

fn all<T>(db: &Connection, table: &str, list: &str, read: impl Fn(&Row<'_>) -> Result<T>) -> Result<Vec<T>> {
    db.prepare_cached(&format!("select {list} from {table}"))?.query_map([], |r| read(r))?.collect()
}

fn mass(r: &Row<'_>, i: usize) -> Result<Option<Mass>> {
    let Some(grams) = r.get::<_, Option<i64>>(i)? else { return Ok(None) };
    u64::try_from(grams).ok().and_then(Mass::from_grams).map(Some).ok_or_else(|| odd(i, "no amount of feed"))
}

fn grams(m: Option<Mass>) -> Option<i64> {
    m.and_then(|m| i64::try_from(m.grams()).ok())
}

fn json<T: serde::de::DeserializeOwned + Default>(r: &Row<'_>, i: usize) -> Result<T> {
    let parse = |t: &str| serde_json::from_str(t).map_err(|e| Misread::new(format!("parts of a feed: {e}")));
    Ok(read_opt(r, i, parse)?.unwrap_or_default())
}

fn text_of<T: serde::Serialize>(list: &[T]) -> Result<Option<String>> {
    if list.is_empty() {
        return Ok(None);
    }
    serde_json::to_string(list).map(Some).map_err(|e| rusqlite::Error::ToSqlConversionFailure(Box::new(e)))
}

fn analysis(r: &Row<'_>, from: usize) -> Result<Analysis> {
    let mut all = Analysis::default();
    for (i, what) in Nutrient::ALL.iter().enumerate() {
        all = all.with_thousandths(*what, r.get(from + i)?);
    }
    Ok(all)
}

fn figures(a: &Analysis) -> Vec<Option<u32>> {
    Nutrient::ALL.iter().map(|n| a.thousandths(*n)).collect()
}

/// Everything of the feed room.
pub(super) fn read_room(db: &Connection) -> Result<FeedRoom> {
    let mut room = FeedRoom {
        feeds: all(db, "feed", FEED, feed)?,
        moves: all(db, "feed_move", MOVE, feed_move)?,
        sheets: all(db, "feed_sheet", SHEET, sheet)?,
        measures: all(db, "feed_measure", MEASURE, measure)?,
        creeps: all(db, "creep", CREEP, creep)?,
        rations: all(db, "ration", RATION, ration)?,
        checks: all(db, "pen_check", CHECK, check)?,
    };
    room.feeds.sort_by_cached_key(|f| (f.name.to_lowercase(), f.id));
    room.moves.sort_by_key(|m| (m.on, m.change == FeedChange::Counted, m.time, m.id));
    room.sheets.sort_by_key(|s| (s.on, s.id));
    room.measures.sort_by_key(|m| (m.on, m.id));
    room.creeps.sort_by_key(|c| (c.from, c.id));
    room.rations.sort_by_key(|r| (r.from, r.id));
    room.checks.sort_by_key(|c| (c.on, c.time, c.id));
    Ok(room)
}

fn feed(r: &Row<'_>) -> Result<Feed> {
    let product = r.get::<_, Option<[u8; 16]>>(8)?.map(ProductId::from_bytes);
    let medicine = match (product, dose(r, 9)?) {
        (Some(product), Some(per_kg)) => Some(Medicated { product, per_kg }),
        _ => None,
    };
    Ok(Feed {
        id: FeedId::from_bytes(id(r, 0)?),
        name: r.get(1)?,
        kind: read(r, 2, FeedKind::parse)?,
        like: r.get(3)?,
        made_for: read(r, 4, MadeFor::parse)?,
        bag: mass(r, 5)?,
        price: r.get::<_, Option<u32>>(6)?.map(Price::from_cents),
        parts: json::<Vec<FeedPart>>(r, 7)?,
        medicine,
        note: r.get(11)?,
        own: analysis(r, 12)?,
    })
}

fn feed_move(r: &Row<'_>) -> Result<FeedMove> {
    let level = r.get::<_, Option<u8>>(8)?;
    Ok(FeedMove {
        id: FeedMoveId::from_bytes(id(r, 0)?),
        feed: FeedId::from_bytes(id(r, 1)?),
        on: day(r, 2)?,
        time: read_opt(r, 3, Minute::parse)?,
        change: read(r, 4, FeedChange::parse)?,
        amount: mass(r, 5)?,
        parts: json(r, 6)?,
        pen: r.get(7)?,
        level: level.map(|l| Level::from_percent(l).ok_or_else(|| odd(8, "no level"))).transpose()?,
        batch: r.get(9)?,
        price: r.get::<_, Option<u32>>(10)?.map(Price::from_cents),
        supplier: r.get(11)?,
        invoice: r.get(12)?,
        best_before: day_opt(r, 13)?,
        note: r.get(14)?,
        struck: struck(r, 15)?,
    })
}

fn sheet(r: &Row<'_>) -> Result<FeedSheet> {
    Ok(FeedSheet {
        id: FeedSheetId::from_bytes(id(r, 0)?),
        feed: FeedId::from_bytes(id(r, 1)?),
        on: day(r, 2)?,
        lab: r.get(3)?,
        number: r.get(4)?,
        batch: r.get(5)?,
        note: r.get(6)?,
        struck: struck(r, 7)?,
        analysis: analysis(r, 9)?,
    })
}

fn measure(r: &Row<'_>) -> Result<Measure> {
    let weighed = |t: &str| -> std::result::Result<Vec<Mass>, Misread> {
        let one = |w: &str| w.parse().ok().and_then(Mass::from_grams);
        t.split_whitespace().map(one).collect::<Option<_>>().ok_or_else(|| Misread::new("no weights"))
    };
    Ok(Measure {
        id: MeasureId::from_bytes(id(r, 0)?),
        feed: FeedId::from_bytes(id(r, 1)?),
        name: r.get(2)?,
        on: day(r, 3)?,
        weighed: read(r, 4, weighed)?,
        struck: struck(r, 5)?,
    })
}

fn creep(r: &Row<'_>) -> Result<Creep> {
    Ok(Creep {
        id: CreepId::from_bytes(id(r, 0)?),
        pen: r.get(1)?,
        from: day(r, 2)?,
        to: day_opt(r, 3)?,
        feed: r.get::<_, Option<[u8; 16]>>(4)?.map(FeedId::from_bytes),
        holds: mass(r, 5)?,
        note: r.get(6)?,
        struck: struck(r, 7)?,
    })
}

fn ration(r: &Row<'_>) -> Result<Ration> {
    Ok(Ration {
        id: RationId::from_bytes(id(r, 0)?),
        eaters: read(r, 1, Eaters::parse)?,
        pen: r.get(2)?,
        feed: FeedId::from_bytes(id(r, 3)?),
        from: day(r, 4)?,
        each: mass(r, 5)?.unwrap_or_default(),
        measure: r.get::<_, Option<[u8; 16]>>(6)?.map(MeasureId::from_bytes),
        note: r.get(7)?,
        struck: struck(r, 8)?,
    })
}

fn check(r: &Row<'_>) -> Result<PenCheck> {
    Ok(PenCheck {
        id: PenCheckId::from_bytes(id(r, 0)?),
        pen: r.get(1)?,
        on: day(r, 2)?,
        time: read_opt(r, 3, Minute::parse)?,
        what: read(r, 4, CheckKind::parse)?,
        fault: r.get(5)?,
        note: r.get(6)?,
        struck: struck(r, 7)?,
    })
}

fn place(db: &Connection, table: &str, list: &str, id: [u8; 16], values: &[&dyn ToSql]) -> Result<()> {
    put(db, table, &columns(list), !known(db, table, id)?, values)
}

pub(super) fn put_feed(db: &Connection, f: &Feed) -> Result<()> {
    let (kind, per_kg) = amount(f.medicine.map(|m| m.per_kg));
    let (product, own) = (f.medicine.map(|m| m.product.bytes()), figures(&f.own));
    let (id, parts) = (f.id.bytes(), text_of(&f.parts)?);
    let (bag, price) = (grams(f.bag), f.price.map(Price::cents));
    let (word, made_for) = (f.kind.word(), f.made_for.word());
    let mut values: Vec<&dyn ToSql> = vec![
        &id, &f.name, &word, &f.like, &made_for, &bag, &price, &parts, &product, &kind, &per_kg, &f.note,
    ];
    values.extend(own.iter().map(|v| v as &dyn ToSql));
    place(db, "feed", FEED, id, &values)
}

pub(super) fn put_feed_move(db: &Connection, m: &FeedMove) -> Result<()> {
    let (why, when) = struck_columns(&m.struck);
    let (id, feed, parts) = (m.id.bytes(), m.feed.bytes(), text_of(&m.parts)?);
    let values: [&dyn ToSql; 17] = [
        &id,
        &feed,
        &m.on.to_string(),
        &m.time.map(|t| t.to_string()),
        &m.change.word(),
        &grams(m.amount),
        &parts,
        &m.pen,
        &m.level.map(Level::percent),
        &m.batch,
        &m.price.map(Price::cents),
        &m.supplier,
        &m.invoice,
        &text(m.best_before),
        &m.note,
        &why,
        &when,
    ];
    place(db, "feed_move", MOVE, id, &values)
}

pub(super) fn put_feed_sheet(db: &Connection, s: &FeedSheet) -> Result<()> {
    let (why, when) = struck_columns(&s.struck);
    let (id, feed, on, own) = (s.id.bytes(), s.feed.bytes(), s.on.to_string(), figures(&s.analysis));
    let mut values: Vec<&dyn ToSql> =
        vec![&id, &feed, &on, &s.lab, &s.number, &s.batch, &s.note, &why, &when];
    values.extend(own.iter().map(|v| v as &dyn ToSql));
    place(db, "feed_sheet", SHEET, id, &values)
}

pub(super) fn put_measure(db: &Connection, m: &Measure) -> Result<()> {
    let (why, when) = struck_columns(&m.struck);
    let weighed: Vec<String> = m.weighed.iter().map(|w| w.grams().to_string()).collect();
    let id = m.id.bytes();
    let values: [&dyn ToSql; 7] =
        [&id, &m.feed.bytes(), &m.name, &m.on.to_string(), &weighed.join(" "), &why, &when];
    place(db, "feed_measure", MEASURE, id, &values)
}

pub(super) fn put_creep(db: &Connection, c: &Creep) -> Result<()> {
    let (why, when) = struck_columns(&c.struck);
    let id = c.id.bytes();
    let values: [&dyn ToSql; 9] = [
        &id,
        &c.pen,
        &c.from.to_string(),
        &text(c.to),
        &c.feed.map(|f| f.bytes()),
        &grams(c.holds),
        &c.note,
        &why,
        &when,
    ];
    place(db, "creep", CREEP, id, &values)
}

pub(super) fn put_ration(db: &Connection, r: &Ration) -> Result<()> {
    let (why, when) = struck_columns(&r.struck);
    let id = r.id.bytes();
    let values: [&dyn ToSql; 10] = [
        &id,
        &r.eaters.word(),
        &r.pen,
        &r.feed.bytes(),
        &r.from.to_string(),
        &grams(Some(r.each)),
        &r.measure.map(|m| m.bytes()),
        &r.note,
        &why,
        &when,
    ];
    place(db, "ration", RATION, id, &values)
}

pub(super) fn put_pen_check(db: &Connection, c: &PenCheck) -> Result<()> {
    let (why, when) = struck_columns(&c.struck);
    let id = c.id.bytes();
    let values: [&dyn ToSql; 9] = [
        &id,
        &c.pen,
        &c.on.to_string(),
        &c.time.map(|t| t.to_string()),
        &c.what.word(),
        &c.fault,
        &c.note,
        &why,
        &when,
    ];
    place(db, "pen_check", CHECK, id, &values)
}
