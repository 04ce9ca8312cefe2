//! Scores as rows.

use super::kind::{Column, may, must};
use super::names::{ADD_FIRST, Names};
use super::sessions::Keys;
use super::sheet::Sheet;
use super::{Taken, Unfit, text};
use crate::entry::{Checked, Entry, ScoringDraft, scorings};
use crate::flock::{Flock, Scoring, natural};
use crate::terms::{Day, Minute, Moment, Score, ScoreKind, SessionId};

pub(super) const COLUMNS: &[Column] = &[
    must("tag", "tag of the animal"),
    must("on", "day"),
    must("kind", "condition, eyelid, dag, udder, teeth, mothering, feet, prolapse, bite, lids, type, colour"),
    must("score", "1 to 5; condition in quarters, dag from 0"),
    may("time", "06:40"),
    may("session", "the session at the scale: 2026-04-08 1 is the first of that day"),
    may("note", "what was seen"),
];

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let keys = Keys::of(flock);
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let mut sessions: Vec<Option<SessionId>> = Vec::new();
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let animal = c.must("tag", "a tag", |t| names.read(t, ADD_FIRST));
        let day = c.day("on");
        let kind = c.must("kind", "what is scored", ScoreKind::parse);
        let score = kind.and_then(|k| c.must("score", "a score", |t| Score::parse(k, t)));
        let time = c.may("time", Minute::parse);
        let session = keys.read(&mut c);
        let note = c.words("note");
        let (Some(animal), Some(day), Some(score), true) = (animal, day, score, c.good()) else { continue };
        let draft = ScoringDraft { animal, at: Moment { day, time }, score, note };
        if flock.file(animal).is_some_and(|f| f.scores.iter().any(|s| is_same(s, &draft, session))) {
            same.push(line.number);
            continue;
        }
        drafts.push(draft);
        sessions.push(session);
        order.push(i);
    }
    let check = (!drafts.is_empty()).then(|| {
        scorings(drafts, flock, today).map(|c| {
            let Entry::Scorings(mut all) = c.entry().clone() else { return c };
            all.iter_mut().zip(sessions).for_each(|(s, session)| s.session = session);
            Checked::new(Entry::Scorings(all), c.sentence().to_string(), c.questions().to_vec())
        })
    });
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Scorings(all) => all.iter().map(|s| row(flock, names, &keys, s)).collect(),
            _ => Vec::new(),
        },
    )
}

fn is_same(s: &Scoring, d: &ScoringDraft, session: Option<SessionId>) -> bool {
    s.struck.is_none()
        && (s.at, s.score, s.note.as_deref(), s.session) == (d.at, d.score, d.note.as_deref(), session)
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let keys = Keys::of(flock);
    let mut all: Vec<&Scoring> =
        flock.files().flat_map(|f| &f.scores).filter(|s| s.struck.is_none()).collect();
    // Within a session in the order of the race.
    all.sort_by(|a, b| {
        let place = |s: &Scoring| (s.at, keys.place(s.session));
        place(a)
            .cmp(&place(b))
            .then_with(|| match a.session {
                Some(_) => std::cmp::Ordering::Equal,
                None => natural(flock.tag(a.animal), flock.tag(b.animal)),
            })
            .then(a.id.cmp(&b.id))
    });
    all.into_iter().map(|s| row(flock, names, &keys, s)).collect()
}

fn row(flock: &Flock, names: &Names, keys: &Keys, s: &Scoring) -> Vec<String> {
    vec![
        names.name_of(flock, Some(s.animal)),
        s.at.day.to_string(),
        s.score.kind().word().to_string(),
        s.score.to_string(),
        s.at.time.map(|t| t.to_string()).unwrap_or_default(),
        keys.name(s.session),
        text(&s.note),
    ]
}
