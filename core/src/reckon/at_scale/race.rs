//! The race: one animal after another as they came over the scale.

use crate::flock::{AnimalFile, Flock, RecordRef};
use crate::phrase;
use crate::reckon::curves::{Row, misread_tags};
use crate::reckon::figures::Mean;
use crate::reckon::growth::{Odd, gains, odd};
use crate::terms::{AnimalId, Day, Gain, Score, ScoringId, SessionId, Units, WeighingId, Weight};

/// One animal of a session: a weighing with the scores given beside it, or scores alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stand {
    /// The animal.
    pub animal: AnimalId,
    /// Its weighing.
    pub weighing: Option<WeighingId>,
    /// The weight.
    pub weight: Option<Weight>,
    /// Scores given, with their ids; struck ones are left out.
    pub scores: Vec<(ScoringId, Score)>,
    /// Gain a day since the weighing before on another day, with the days between.
    pub gain: Option<(Gain, i64)>,
    /// Gain a day since birth.
    pub since_birth: Option<Gain>,
    /// The day it is written under.
    pub on: Day,
    /// Remark.
    pub note: Option<String>,
    /// The weighing, or every score where there is none, is struck out.
    pub struck: bool,
    /// Its first record: gives the order of the race.
    at: uuid::Uuid,
}

impl Stand {
    /// The record that is opened for it: its weighing, else its first score.
    pub fn record(&self) -> RecordRef {
        self.weighing.map_or(RecordRef::Scoring(ScoringId(self.at)), RecordRef::Weighing)
    }

    /// `condition 3, dag 1`.
    pub fn score_words(&self) -> String {
        self.scores.iter().map(|(_, s)| s.words()).collect::<Vec<_>>().join(", ")
    }
}

/// A session in the order of the race.
pub fn race(flock: &Flock, id: SessionId) -> Vec<Stand> {
    race_of(id, flock.files())
}

/// The same where it is known that no animals but these came.
pub fn race_of<'a>(id: SessionId, files: impl Iterator<Item = &'a AnimalFile>) -> Vec<Stand> {
    let mut all: Vec<Stand> = Vec::new();
    for f in files {
        of_one(f, id, &mut all);
    }
    all.sort_unstable_by_key(|s| s.at);
    all
}

fn of_one(f: &AnimalFile, id: SessionId, all: &mut Vec<Stand>) {
    let from = all.len();
    for w in f.weighings.iter().filter(|w| w.session == Some(id)) {
        let struck = w.struck.is_some();
        let g = gains(f, w.at.day, w.weight);
        all.push(Stand {
            animal: f.animal.id,
            weighing: Some(w.id),
            weight: Some(w.weight),
            scores: Vec::new(),
            gain: g.since_last.filter(|_| !struck),
            since_birth: g.since_birth.filter(|_| !struck),
            on: w.at.day,
            note: w.note.as_deref().map(String::from),
            struck,
            at: w.id.0,
        });
    }
    for s in f.scores.iter().filter(|s| s.session == Some(id)) {
        // A score goes with the weighing written with it: the last one before it that is not struck out.
        let mine = all[from..].iter_mut().rfind(|r| r.at < s.id.0 && (!r.struck || s.struck.is_some()));
        let scored = Some((s.id, s.score)).filter(|_| s.struck.is_none());
        match mine {
            Some(row) => {
                row.struck &= row.weighing.is_some() || s.struck.is_some();
                row.scores.extend(scored);
                row.note = row.note.take().or_else(|| s.note.as_deref().map(String::from));
            }
            None => all.push(Stand {
                animal: f.animal.id,
                weighing: None,
                weight: None,
                scores: scored.into_iter().collect(),
                gain: None,
                since_birth: None,
                on: s.at.day,
                note: s.note.as_deref().map(String::from),
                struck: s.struck.is_some(),
                at: s.id.0,
            }),
        }
    }
}

/// What is said of a session while it runs.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Tally {
    /// Animals weighed or scored.
    pub animals: usize,
    /// Their weights.
    pub weights: Mean,
    /// The lightest.
    pub least: Option<(Weight, AnimalId)>,
    /// The heaviest.
    pub most: Option<(Weight, AnimalId)>,
    /// Mean gain a day since each one's weighing before, and of how many.
    pub gain: Option<(Gain, usize)>,
    /// Rows struck out.
    pub struck: usize,
}

/// Counts a session.
pub fn tally(rows: &[Stand]) -> Tally {
    let mut t = Tally { struck: rows.iter().filter(|r| r.struck).count(), ..Tally::default() };
    let mut seen = std::collections::HashSet::new();
    let (mut sum, mut n) = (0i64, 0usize);
    for r in rows.iter().filter(|r| !r.struck) {
        t.animals += usize::from(seen.insert(r.animal));
        if let Some((g, _)) = r.gain {
            sum += g.0;
            n += 1;
        }
        let Some(w) = r.weight else { continue };
        t.weights.add(w);
        if t.least.is_none_or(|(least, _)| w < least) {
            t.least = Some((w, r.animal));
        }
        if t.most.is_none_or(|(most, _)| w > most) {
            t.most = Some((w, r.animal));
        }
    }
    t.gain = (n > 0).then(|| (Gain((sum as f64 / n as f64).round() as i64), n));
    t
}

/// Something of a session to look at again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LookAt {
    /// The animal.
    pub animal: AnimalId,
    /// The weighing.
    pub weighing: WeighingId,
    /// What, in a few words: `0612 lost 0.4 kg in 10 days`.
    pub words: String,
}

/// What there is to look at at the end of a session: weights that fell, odd weights, animals weighed twice. With `tags`
/// an odd weight is looked at for a tag that was read wrongly, which walks the whole flock.
pub fn look_at(flock: &Flock, rows: &[Stand], units: Units, tags: bool) -> Vec<LookAt> {
    let stand: Vec<(&Stand, WeighingId, Weight)> =
        rows.iter().filter(|r| !r.struck).filter_map(|r| Some((r, r.weighing?, r.weight?))).collect();
    let mut seen = std::collections::HashSet::new();
    let mut all: Vec<LookAt> = Vec::new();
    let mut doubted: Vec<WeighingId> = Vec::new();
    for (r, weighing, weight) in &stand {
        let Some(f) = flock.file(r.animal) else { continue };
        let tag = f.animal.tag();
        let mut add = |words: String| all.push(LookAt { animal: r.animal, weighing: *weighing, words });
        if !seen.insert(r.animal) {
            add(phrase!("{tag} was weighed twice: is one of them another animal?", tag = &tag));
        }
        let odd = odd_among(f, r, *weight);
        if odd.is_some() {
            doubted.push(*weighing);
        }
        match (odd, before(f, r).filter(|(_, b)| b > weight)) {
            (Some(Odd::Gain { gain, .. }), _) => {
                add(phrase!(
                    "{tag} gained {}: more than lambs do; is the tag right?",
                    gain.show(units),
                    tag = &tag
                ));
            }
            (Some(Odd::Jump { before, on }), _) => {
                add(phrase!(
                    "{tag} was {} on {}: more than a fifth off",
                    before.show(units),
                    on.words(),
                    tag = &tag
                ));
            }
            (_, Some((on, b))) => {
                let lost = Weight::from_grams(b.grams() - weight.grams());
                let lost = lost.map(|l| l.show(units)).unwrap_or_default();
                add(phrase!("{tag} lost {lost} in {} days", r.on.since(on), tag = &tag));
            }
            (Some(Odd::OffCurve { expected, .. }), None) => {
                add(phrase!("{tag} should be about {} by its own weights", expected.show(units), tag = &tag));
            }
            _ => {}
        }
    }
    if tags && !doubted.is_empty() {
        let read: Vec<Row> =
            stand.iter().map(|(r, _, weight)| Row { animal: r.animal, on: r.on, weight: *weight }).collect();
        for m in misread_tags(flock, &read) {
            let Some((_, weighing, _)) = stand.get(m.row) else { continue };
            // It says more than that the weight is odd.
            match all.iter_mut().rfind(|l| l.weighing == *weighing) {
                Some(l) => l.words = m.why,
                None => all.push(LookAt { animal: m.read, weighing: *weighing, words: m.why }),
            }
        }
    }
    all
}

/// The weight before this one, of another day.
fn before(f: &AnimalFile, r: &Stand) -> Option<(Day, Weight)> {
    f.weights().into_iter().rfind(|(d, _)| *d < r.on)
}

fn odd_among(f: &AnimalFile, r: &Stand, weight: Weight) -> Option<Odd> {
    odd(&f.weighed_before(r.on), r.on, weight)
}
