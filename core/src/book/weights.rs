//! Sessions, scores, decisions, groups by hand and money to rows and back.

use super::put::{columns, known, put, run, struck as struck_columns};
use super::rows::{animal_id, day, id, moment, odd, read, read_opt, struck};
use crate::flock::{Daybook, Decision, Grouping, Money, Scoring, Session};
use crate::terms::{
    AnimalId, Decided, DecisionId, GroupingId, Gut, Minute, MoneyId, MoneyKind, Price, Score, ScoreKind,
    ScoringId, SessionId,
};
use rusqlite::{Connection, Row, params};

type Result<T> = rusqlite::Result<T>;

/// A session named by a row.
pub(super) fn session_opt(r: &Row<'_>, at: usize) -> Result<Option<SessionId>> {
    Ok(r.get::<_, Option<[u8; 16]>>(at)?.map(SessionId::from_bytes))
}

const SESSION: &str = "id, on_day, at_time, scale, herd, gut, note";
const MONEY: &str = "id, on_day, kind, cents, herd, note, struck, struck_on";

/// Everything of the daybook.
pub(super) fn read_daybook(db: &Connection) -> Result<Daybook> {
    let mut sessions: Vec<Session> = db
        .prepare_cached(&format!("select {SESSION} from session"))?
        .query_map([], |r| {
            Ok(Session {
                id: SessionId::from_bytes(id(r, 0)?),
                on: day(r, 1)?,
                time: read_opt(r, 2, Minute::parse)?,
                scale: r.get(3)?,
                group: r.get(4)?,
                gut: read_opt(r, 5, Gut::parse)?,
                note: r.get(6)?,
            })
        })?
        .collect::<Result<_>>()?;
    let mut money: Vec<Money> = db
        .prepare_cached(&format!("select {MONEY} from money"))?
        .query_map([], |r| {
            Ok(Money {
                id: MoneyId::from_bytes(id(r, 0)?),
                on: day(r, 1)?,
                kind: read(r, 2, MoneyKind::parse)?,
                amount: Price::from_cents(r.get(3)?),
                group: r.get(4)?,
                note: r.get(5)?,
                struck: struck(r, 6)?,
            })
        })?
        .collect::<Result<_>>()?;
    sessions.sort_by_key(|s| (s.on, s.id));
    money.sort_by_key(|m| (m.on, m.id));
    Ok(Daybook { sessions, money })
}

pub(super) fn put_session(db: &Connection, s: &Session) -> Result<()> {
    let values = params![
        s.id.bytes(),
        s.on.to_string(),
        s.time.map(|t| t.to_string()),
        s.scale,
        s.group,
        s.gut.map(Gut::word),
        s.note
    ];
    put(db, "session", &columns(SESSION), !known(db, "session", s.id.bytes())?, values)
}

pub(super) fn put_money(db: &Connection, m: &Money) -> Result<()> {
    let (why, when) = struck_columns(&m.struck);
    let values =
        params![m.id.bytes(), m.on.to_string(), m.kind.word(), m.amount.cents(), m.group, m.note, why, when];
    put(db, "money", &columns(MONEY), !known(db, "money", m.id.bytes())?, values)
}

pub(super) const SCORING: &str =
    "id, animal, on_day, at_time, kind, quarters, session, note, struck, struck_on";

pub(super) fn scoring(r: &Row<'_>) -> Result<(AnimalId, Scoring)> {
    let animal = animal_id(r, 1)?;
    let kind = read(r, 4, ScoreKind::parse)?;
    let scoring = Scoring {
        id: ScoringId::from_bytes(id(r, 0)?),
        animal,
        at: moment(r, 2)?,
        score: Score::new(kind, r.get(5)?).ok_or_else(|| odd(5, "no score on its scale"))?,
        session: session_opt(r, 6)?,
        note: r.get(7)?,
        struck: struck(r, 8)?,
    };
    Ok((animal, scoring))
}

pub(super) fn put_scoring(db: &Connection, s: &Scoring, new: bool) -> Result<()> {
    let (why, when) = struck_columns(&s.struck);
    let values = params![
        s.id.bytes(),
        s.animal.bytes(),
        s.at.day.to_string(),
        s.at.time.map(|t| t.to_string()),
        s.score.kind().word(),
        s.score.quarters(),
        s.session.map(|s| s.bytes()),
        s.note,
        why,
        when
    ];
    put(db, "scoring", &columns(SCORING), new, values)
}

pub(super) const DECISION: &str = "id, animal, on_day, what, reason, struck, struck_on";

pub(super) fn decision(r: &Row<'_>) -> Result<(AnimalId, Decision)> {
    let animal = animal_id(r, 1)?;
    let decision = Decision {
        id: DecisionId::from_bytes(id(r, 0)?),
        animal,
        on: day(r, 2)?,
        what: read(r, 3, Decided::parse)?,
        reason: r.get(4)?,
        struck: struck(r, 5)?,
    };
    Ok((animal, decision))
}

pub(super) fn put_decision(db: &Connection, d: &Decision) -> Result<()> {
    let (why, when) = struck_columns(&d.struck);
    let values =
        params![d.id.bytes(), d.animal.bytes(), d.on.to_string(), d.what.word(), d.reason, why, when];
    put(db, "decision", &columns(DECISION), true, values)
}

pub(super) const GROUPING: &str = "id, animal, age_days, herd";

pub(super) fn grouping(r: &Row<'_>) -> Result<(AnimalId, Grouping)> {
    let animal = animal_id(r, 1)?;
    let grouping =
        Grouping { id: GroupingId::from_bytes(id(r, 0)?), animal, age_days: r.get(2)?, group: r.get(3)? };
    Ok((animal, grouping))
}

pub(super) fn put_grouping(db: &Connection, g: &Grouping) -> Result<()> {
    run(
        db,
        "insert into grouping (id, animal, age_days, herd) values (?1, ?2, ?3, ?4)
         on conflict (id) do update set herd = ?4 where herd is not ?4",
        params![g.id.bytes(), g.animal.bytes(), g.age_days, g.group],
    )
}
