//! One clause: whom it is about, then what is told of them, one predicate after another.

use super::lex::{Kind, Token};
use super::subject::{self, animal, filler, is, subject};
use super::words::{Sense, Words};
use super::{Doubt, Draft, Piece, Reading, Understood, feeding, lambing, predicate, treatment};
use crate::entry::{RemarkDraft, WeighingDraft};
use crate::flock::Flock;
use crate::terms::{AnimalId, Day};
use std::ops::Range;

/// What a clause is read in.
#[derive(Clone, Copy)]
pub(super) struct Scene<'a> {
    pub line: &'a str,
    pub flock: &'a Flock,
    pub words: &'a Words,
    pub today: Day,
    pub at: super::when::When,
}

/// Readings and how many tokens they take.
pub(super) type Taken = (Vec<Reading>, usize);

/// Where some tokens stand.
pub(super) fn span_of(tokens: &[Token]) -> Range<usize> {
    match (tokens.first(), tokens.last()) {
        (Some(first), Some(last)) => first.span.start..last.span.end,
        _ => 0..0,
    }
}

/// A reading of a draft, with its sentence.
pub(super) fn one(scene: &Scene<'_>, draft: Draft, doubts: Vec<Doubt>) -> Reading {
    let sentence = super::say(&draft, scene.flock, scene.today);
    Reading { draft: Some(draft), sentence, doubts }
}

/// A reading that lacks something: it cannot be written yet.
pub(super) fn lacking(sentence: impl Into<String>, span: Range<usize>, says: impl Into<String>) -> Reading {
    let doubts = vec![Doubt { span, says: says.into() }];
    Reading { draft: None, sentence: sentence.into(), doubts }
}

/// Reads a clause; `about` is whom the clause before was about, and whom this one was in the end.
pub(super) fn read(scene: Scene<'_>, tokens: &[Token], about: &mut Vec<AnimalId>, into: &mut Understood) {
    let mut n = 0;
    while n < tokens.len() {
        let rest = &tokens[n..];
        let skip = marks(rest) + filler(&rest[marks(rest)..]);
        if skip > 0 {
            n += skip;
            continue;
        }
        if let Some((readings, k)) = feeding::read(&scene, rest) {
            put(into, rest, k, readings);
            n += k;
        } else if let Some((draft, k)) = weights(&scene, rest, about) {
            put(into, rest, k, vec![one(&scene, Draft::Weighings(draft), Vec::new())]);
            n += k;
        } else if let Some(k) = left_out(&scene, rest, about, into) {
            n += k;
        } else if let Some((whom, k)) = subject(&scene, rest, false) {
            *about = whom;
            n += k;
            if tokens[n..].iter().all(|t| matches!(t.kind, Kind::Comma | Kind::Colon)) {
                let says = "nothing is said of it: write what was done, seen or given";
                into.lost.push(Doubt { span: span_of(rest), says: says.into() });
                return;
            }
        } else if about.is_empty() {
            n += told_first(&scene, rest, about, into);
        } else if let Some((readings, k)) = whole_predicate(&scene, about, rest) {
            put(into, rest, k, readings);
            n += k;
        } else {
            n += remark(&scene, rest, about, into);
        }
    }
}

/// Commas, colons and 'and' between two predicates.
fn marks(tokens: &[Token]) -> usize {
    let mut n = tokens.iter().take_while(|t| matches!(t.kind, Kind::Comma | Kind::Colon)).count();
    if let Some(k) = is(&tokens[n..], Sense::And) {
        n += k;
    }
    n
}

fn put(into: &mut Understood, tokens: &[Token], k: usize, readings: Vec<Reading>) {
    let span = span_of(&tokens[..k.min(tokens.len())]);
    into.pieces.push(Piece { span, readings });
}

/// A predicate that is not followed by words of its own sentence: what follows is an end, a comma or another one.
fn whole_predicate(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let (readings, k) = predicate::read(scene, about, tokens)?;
    let rest = &tokens[k..];
    let ends = rest.first().is_none_or(|t| matches!(t.kind, Kind::Comma | Kind::Colon))
        || is(rest, Sense::And).is_some()
        || is(rest, Sense::But).is_some_and(|k| subject::list(scene, &rest[k..], false).is_some())
        || predicate::read(scene, about, &rest[filler(rest)..]).is_some();
    ends.then_some((readings, k))
}

/// What begins without an animal: a treatment or weighing that names its animals later, or nothing that can be kept.
fn told_first(
    scene: &Scene<'_>,
    tokens: &[Token],
    about: &mut Vec<AnimalId>,
    into: &mut Understood,
) -> usize {
    if let Some((readings, k, whom)) = treatment::animals_last(scene, tokens) {
        *about = whom;
        put(into, tokens, k, readings);
        return k;
    }
    let until = tokens.iter().position(|t| t.kind == Kind::Comma).unwrap_or(tokens.len()).max(1);
    let span = span_of(&tokens[..until]);
    let said = &scene.line[span.clone()];
    let first = &tokens[0].text;
    let tag_like = first.bytes().filter(u8::is_ascii_digit).count() > 1;
    let says = if let Some((number, _)) = super::words::numbered(tokens) {
        format!("no animal of the book wears {number}: read it again, or give the number to its animal first")
    } else if pen_like(tokens) {
        format!("no animal is in a pen called so, and none wears that tag: '{said}'")
    } else if tag_like {
        format!("no animal of the book wears the tag {first}: '{said}'")
    } else {
        format!("whom is '{said}' about? Begin with a tag, a name or a pen")
    };
    into.lost.push(Doubt { span, says });
    until
}

fn pen_like(tokens: &[Token]) -> bool {
    is(tokens, Sense::Pen).is_some() || is(tokens, Sense::All).is_some()
}

/// What is not understood, up to a comma behind which something else is: a note on the animals.
fn remark(scene: &Scene<'_>, tokens: &[Token], about: &[AnimalId], into: &mut Understood) -> usize {
    let lead = is(tokens, Sense::Note).unwrap_or_default();
    if let Some(t) = tokens.get(lead).filter(|t| t.kind == Kind::Quoted && lead > 0) {
        let text = t.text.clone();
        put(into, tokens, lead + 1, vec![note(scene, about, text)]);
        return lead + 1;
    }
    let mut end = lead.max(1);
    while end < tokens.len() {
        if tokens[end].kind == Kind::Comma {
            let next = &tokens[end + 1..];
            let next = &next[filler(next)..];
            let mut other = about.to_vec();
            let clear =
                whole_predicate(scene, about, next).is_some_and(|(r, _)| r.iter().all(|r| r.draft.is_some()));
            if clear || subject(scene, next, false).is_some() || weights(scene, next, &mut other).is_some() {
                break;
            }
        }
        end += 1;
    }
    let span = span_of(&tokens[lead.min(end.saturating_sub(1))..end]);
    let text = scene.line[span].trim().trim_end_matches([',', ':']).to_string();
    put(into, tokens, end, vec![note(scene, about, text)]);
    end
}

/// A note on animals.
pub(super) fn note(scene: &Scene<'_>, about: &[AnimalId], text: String) -> Reading {
    let draft = RemarkDraft { animals: about.to_vec(), on: scene.at.day, text };
    one(scene, Draft::Remark(draft), Vec::new())
}

/// `all but 0417: scouring` behind what was done to many: takes it out there; what follows is told of it.
fn left_out(
    scene: &Scene<'_>,
    tokens: &[Token],
    about: &mut Vec<AnimalId>,
    into: &mut Understood,
) -> Option<usize> {
    let k = is(tokens, Sense::But)?;
    let (out, m) = subject::list(scene, &tokens[k..], false)?;
    let piece = into.pieces.last_mut()?;
    let mut changed = false;
    for r in &mut piece.readings {
        let Some(draft) = &mut r.draft else { continue };
        changed |= predicate::without(draft, &out);
        r.sentence = super::say(draft, scene.flock, scene.today);
    }
    if !changed {
        return None;
    }
    piece.span.end = tokens[k + m - 1].span.end;
    *about = out;
    Some(k + m)
}

/// `0412a 12.4, 0412b 11.9`: an animal and its weight, again and again; 'weighed' before the first, after it or not at
/// all.
fn weights(
    scene: &Scene<'_>,
    tokens: &[Token],
    about: &mut Vec<AnimalId>,
) -> Option<(Vec<WeighingDraft>, usize)> {
    let mut n = is(tokens, Sense::Weighed).unwrap_or_default();
    let mut all: Vec<WeighingDraft> = Vec::new();
    let mut end = 0;
    loop {
        let rest = &tokens[n.min(tokens.len())..];
        let Some((animal, k)) = animal(scene, rest) else { break };
        let said = is(&rest[k..], Sense::Weighed).unwrap_or_default();
        let Some((weight, m)) = predicate::weight(scene, &rest[k + said..]) else { break };
        let mut used = k + said + m;
        let note = rest.get(used).filter(|t| t.kind == Kind::Bracketed).map(|t| t.text.clone());
        used += usize::from(note.is_some());
        all.push(WeighingDraft { animal, at: scene.at.moment(), weight, note });
        n += used;
        end = n;
        n += usize::from(tokens.get(n).is_some_and(|t| t.kind == Kind::Comma));
        n += is(&tokens[n.min(tokens.len())..], Sense::And).unwrap_or_default();
    }
    // What goes on in words is a sentence of another kind.
    let ends = tokens.get(end).is_none_or(|t| matches!(t.kind, Kind::Comma | Kind::Colon))
        || is(&tokens[end..], Sense::And).is_some();
    if all.is_empty() || !ends {
        return None;
    }
    *about = all.iter().map(|w| w.animal).collect();
    Some((all, end))
}

/// A lambing is told of one ewe alone.
pub(super) fn only(about: &[AnimalId]) -> Option<AnimalId> {
    match about {
        [one] => Some(*one),
        _ => None,
    }
}

/// The lambing of one ewe, or what else is told of her lambs.
pub(super) fn of_a_ewe(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    lambing::read(scene, only(about)?, tokens)
}
