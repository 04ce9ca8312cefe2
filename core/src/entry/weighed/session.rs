//! Weighing many: the session, its weights and scores, row by row.

use super::{WeighedRefused, WeighedUnusual};
use crate::entry::care::question_weight;
use crate::entry::standing::there;
use crate::entry::{Check, Entry, Faults, Field, Refused, words};
use crate::flock::{AnimalFile, Flock, Scoring, Session, Weighing};
use crate::terms::{
    AnimalId, Day, Gut, Minute, Moment, Score, ScoreKind, ScoringId, SessionId, Sex, WeighingId, Weight,
};
use std::collections::HashSet;

/// A session as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SessionDraft {
    /// When it began.
    pub time: Option<Minute>,
    /// Which scale.
    pub scale: Option<String>,
    /// Who was to be weighed: a pen, a field, a kind of animals.
    pub group: Option<String>,
    /// Fasted or full.
    pub gut: Option<Gut>,
    /// Note.
    pub note: Option<String>,
}

/// The session the rows belong to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SessionPick {
    /// None: weighed singly.
    None,
    /// One of the book.
    In(SessionId),
    /// A new one, on the day of the first row.
    New(SessionDraft),
}

/// One animal on the scale.
#[derive(Debug, Clone, PartialEq)]
pub struct WeighedRow {
    /// The animal.
    pub animal: AnimalId,
    /// When.
    pub at: Moment,
    /// Its weight.
    pub weight: Option<Weight>,
    /// Scores given beside it.
    pub scores: Vec<Score>,
    /// Remark, kept with the weight, else with the first score.
    pub note: Option<String>,
}

/// A score as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScoringDraft {
    /// The animal.
    pub animal: AnimalId,
    /// When.
    pub at: Moment,
    /// The score.
    pub score: Score,
    /// Note.
    pub note: Option<String>,
}

/// Checks rows of a session; rows of faults count from 0.
///
/// # Errors
/// Every refusal with its row.
pub fn weighed(pick: SessionPick, rows: Vec<WeighedRow>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if rows.is_empty() {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    let session = match &pick {
        SessionPick::In(id) if flock.daybook().session(*id).is_none() => {
            faults.refuse(Field::of("session"), WeighedRefused::NoSession.into());
            None
        }
        SessionPick::In(id) => Some(*id),
        SessionPick::New(_) => Some(SessionId::new()),
        SessionPick::None => None,
    };
    let (mut weighings, mut scores): (Vec<Weighing>, Vec<Scoring>) = (Vec::new(), Vec::new());
    let mut on_scale: HashSet<AnimalId> = HashSet::new();
    for (row, r) in rows.iter().enumerate() {
        let Some(f) = there(&mut faults, row, flock, r.animal, r.at.day, today) else { continue };
        if r.weight.is_none() && r.scores.is_empty() {
            let why = WeighedRefused::NothingTyped(f.animal.tag().into());
            faults.refuse(Field::row("weight_kg", row), why.into());
        }
        let mut note = words(&r.note);
        if let Some(weight) = r.weight {
            question_weight(&mut faults, row, f, r.at.day, weight, flock.holding().units);
            let again = |w: &Weighing| w.struck.is_none() && w.session.is_some() && w.session == session;
            let twice = session.is_some() && !on_scale.insert(r.animal);
            if twice || f.weighings.iter().any(again) {
                let what = WeighedUnusual::Twice { tag: f.animal.tag().into() };
                faults.question(Field::row("tag", row), what.into());
            }
            weighings.push(Weighing {
                id: WeighingId::new(),
                animal: r.animal,
                at: r.at,
                weight,
                session,
                note: note.take(),
                struck: None,
            });
        }
        for score in &r.scores {
            score_fits(&mut faults, Field::row(score.kind().word(), row), f, *score, r.at.day);
            scores.push(Scoring {
                id: ScoringId::new(),
                animal: r.animal,
                at: r.at,
                score: *score,
                session,
                note: note.take(),
                struck: None,
            });
        }
    }
    faults.or(|| {
        let sentence = match (rows.as_slice(), weighings.first()) {
            ([one], Some(w)) => {
                let scored: Vec<String> = one.scores.iter().map(|s| format!(", {}", s.words())).collect();
                let weight = w.weight.show(flock.holding().units);
                format!("Weighing of {}: {weight}{}", flock.tag(one.animal), scored.concat())
            }
            ([one], None) => {
                let scored: Vec<String> = one.scores.iter().map(|s| s.words()).collect();
                format!("{} scored: {}", flock.tag(one.animal), scored.join(", "))
            }
            (many, _) => format!("{} animals at the scale", many.len()),
        };
        let session = match (pick, session) {
            (SessionPick::New(d), Some(id)) => Some(made(id, d, rows.first().map_or(today, |r| r.at.day))),
            _ => None,
        };
        (Entry::Weighed { session, weighings, scores }, sentence)
    })
}

fn made(id: SessionId, d: SessionDraft, on: Day) -> Session {
    Session {
        id,
        on,
        time: d.time,
        scale: words(&d.scale),
        group: words(&d.group),
        gut: d.gut,
        note: words(&d.note),
    }
}

/// Checks sessions that have no rows yet: their weights come in another table.
///
/// # Errors
/// A day yet to come.
pub fn sessions(drafts: Vec<(Day, SessionDraft)>, today: Day) -> Check {
    let mut faults = Faults::default();
    for (row, (on, _)) in drafts.iter().enumerate() {
        faults.not_ahead(Field::row("on", row), *on, today);
    }
    faults.or(|| {
        let all: Vec<Session> = drafts.into_iter().map(|(on, d)| made(SessionId::new(), d, on)).collect();
        let sentence = match all.as_slice() {
            [one] => format!("Session at the scale on {}", one.on.words()),
            many => format!("{} sessions at the scale", many.len()),
        };
        (Entry::Sessions(all), sentence)
    })
}

/// Checks new particulars of a session of the book; its day stays.
///
/// # Errors
/// The session is not in the book.
pub fn session(id: SessionId, draft: SessionDraft, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    let held = flock.daybook().session(id);
    if held.is_none() {
        faults.refuse(Field::of("session"), WeighedRefused::NoSession.into());
    }
    let on = held.map(|s| s.on);
    faults.or(|| {
        let all: Vec<Session> = on.map(|on| made(id, draft, on)).into_iter().collect();
        let day = on.map(Day::words).unwrap_or_default();
        (Entry::Sessions(all), format!("Session at the scale on {day}"))
    })
}

/// Checks scores given without the scale; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn scorings(drafts: Vec<ScoringDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    for (row, d) in drafts.iter().enumerate() {
        if let Some(f) = there(&mut faults, row, flock, d.animal, d.at.day, today) {
            score_fits(&mut faults, Field::row("score", row), f, d.score, d.at.day);
        }
    }
    faults.or(|| {
        let sentence = match drafts.as_slice() {
            [one] => format!("{} scored: {}", flock.tag(one.animal), one.score.words()),
            many => format!("{} scores", many.len()),
        };
        let made = |d: ScoringDraft| Scoring {
            id: ScoringId::new(),
            animal: d.animal,
            at: d.at,
            score: d.score,
            session: None,
            note: words(&d.note),
            struck: None,
        };
        (Entry::Scorings(drafts.into_iter().map(made).collect()), sentence)
    })
}

/// A score changes by no more than so many quarters within so many days (common practice, no source).
const JUMP: (u8, i64) = (6, 30);

/// Questions a score that jumps, or one of ewes on another animal.
pub(super) fn score_fits(faults: &mut Faults, field: Field, f: &AnimalFile, score: Score, on: Day) {
    use ScoreKind::{Condition, Mothering, Prolapse, Udder};
    let tag = || f.animal.tag().to_string();
    let of_ewes = matches!(score.kind(), Udder | Mothering | Prolapse);
    if of_ewes && f.animal.sex != Sex::Ewe {
        faults.question(field, WeighedUnusual::NoEwe { tag: tag(), what: score.kind().word() }.into());
    }
    if score.kind() == Condition
        && let Some(last) = f.last_score(Condition, on)
        && on.since(last.at.day) <= JUMP.1
        && last.score.quarters().abs_diff(score.quarters()) >= JUMP.0
    {
        let what = WeighedUnusual::ScoreJump { tag: tag(), before: last.score, on: last.at.day, now: score };
        faults.question(field, what.into());
    }
}
