//! What is judged of animals: scores, and decisions what they are kept for.

use super::Draft;
use super::clause::{Scene, Taken, lacking, one, span_of};
use super::lex::{Kind, Token};
use super::subject::is;
use super::words::{GRAMMAR, Sense, senses};
use crate::entry::{DecisionDraft, ScoringDraft};
use crate::terms::{AnimalId, Decided, Score, ScoreKind};

/// A score or a decision at the start of the tokens.
pub(super) fn read(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    scored(scene, about, tokens).or_else(|| off_scale(tokens)).or_else(|| decided(scene, about, tokens))
}

/// The longest of some phrases at the start of the tokens.
fn phrase<'a, T: Copy + 'a>(
    tokens: &[Token],
    all: impl Iterator<Item = (T, &'a Vec<String>)>,
) -> Option<(T, usize)> {
    all.flat_map(|(what, words)| words.iter().map(move |w| (what, w)))
        .filter_map(|(what, words)| {
            let n = words.split(' ').count();
            let said = tokens.get(..n)?;
            let fits = words.split(' ').zip(said).all(|(w, t)| t.kind == Kind::Word && t.low == w);
            fits.then_some((what, n))
        })
        .max_by_key(|(_, n)| *n)
}

/// `condition 3`, `score 2.5`: the word and a figure on its scale.
fn score(tokens: &[Token]) -> Option<(Score, usize)> {
    let (kind, k): (ScoreKind, usize) = phrase(tokens, GRAMMAR.score.iter().map(|r| (r.kind, &r.words)))?;
    let figure = tokens.get(k).filter(|t| t.is_word())?;
    Score::parse(kind, &figure.low).ok().map(|s| (s, k + 1))
}

/// A score and a figure that is not on its scale: told, lest it pass for a weight or a note.
fn off_scale(tokens: &[Token]) -> Option<Taken> {
    let (kind, k): (ScoreKind, usize) = phrase(tokens, GRAMMAR.score.iter().map(|r| (r.kind, &r.words)))?;
    let figure = tokens.get(k).filter(|t| t.is_word() && t.number().is_some())?;
    let wrong = Score::parse(kind, &figure.low).err()?;
    Some((vec![lacking("scored", span_of(&tokens[..=k]), wrong.0)], k + 1))
}

/// One score after another, each with what was seen of it behind it: `eyelid 3 dag 2`, `udder 4 hard on the left`.
fn scored(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let mut all: Vec<(Score, Option<String>)> = Vec::new();
    let mut n = 0;
    while let Some((score, k)) = score(&tokens[n..]) {
        n += k;
        let note = match tokens.get(n) {
            Some(t) if t.kind == Kind::Bracketed && !t.text.is_empty() => {
                n += 1;
                Some(t.text.clone())
            }
            _ => words(scene, about, tokens, &mut n),
        };
        all.push((score, note));
    }
    if all.is_empty() {
        return None;
    }
    let draft = |animal: &AnimalId| {
        let one = |(score, note): &(Score, Option<String>)| ScoringDraft {
            animal: *animal,
            at: scene.at.moment(),
            score: *score,
            note: note.clone(),
        };
        all.iter().map(one).collect::<Vec<_>>()
    };
    let drafts = about.iter().flat_map(draft).collect();
    Some((vec![one(scene, Draft::Scorings(drafts), Vec::new())], n))
}

/// Words behind a score, up to a comma or what is something else.
fn words(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token], n: &mut usize) -> Option<String> {
    let start = *n;
    let mut end = start;
    while let Some(t) = tokens.get(end).filter(|t| t.is_word()) {
        let rest = &tokens[end..];
        let after = &rest[is(rest, Sense::And).unwrap_or_default()..];
        let told = is(rest, Sense::But).is_some()
            || score(after).is_some()
            || phrase(after, GRAMMAR.decision.iter().map(|r| (r.decision, &r.words))).is_some()
            || super::predicate::other(scene, about, after).is_some()
            || super::subject::list(scene, after, false).is_some();
        // The first word may begin much: `hard` is an ease of lambing, too, and no more than a word here.
        if told || (end == start && !t.low.chars().all(char::is_alphabetic)) {
            break;
        }
        end += 1;
    }
    let (first, last) = (tokens.get(start)?, tokens.get(end.checked_sub(1)?)?);
    if end == start {
        return None;
    }
    *n = end;
    Some(scene.line[first.span.start..last.span.end].trim().to_string())
}

/// `keep entire`, `castrate`, `cull (udder)`. `castrated` is a job done, and so is `castrate done`.
fn decided(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let (what, mut n): (Decided, usize) =
        phrase(tokens, GRAMMAR.decision.iter().map(|r| (r.decision, &r.words)))?;
    let job = senses(&tokens[n..]).any(|(s, _)| matches!(s, Sense::Done | Sense::LeftOut | Sense::PutOff));
    if job {
        return None;
    }
    let reason = super::predicate::reason(&tokens[n..]);
    n += reason.as_ref().map_or(0, |(_, k)| *k);
    let draft = |animal: &AnimalId| DecisionDraft {
        animal: *animal,
        on: scene.at.day,
        what,
        reason: reason.as_ref().map(|(r, _)| r.clone()),
    };
    let drafts = about.iter().map(draft).collect();
    Some((vec![one(scene, Draft::Decisions(drafts), Vec::new())], n))
}
