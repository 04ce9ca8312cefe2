//! Whom a clause is about: tags, names, a ewe's lambs by letter, a pen, all but some.

use super::clause::Scene;
use super::lex::{Kind, Token};
use super::words::{Sense, senses, tagged};
use crate::terms::{AnimalId, Sex};

/// The first animal the tokens name, and how many tokens.
pub(super) fn animal(scene: &Scene<'_>, tokens: &[Token]) -> Option<(AnimalId, usize)> {
    tagged(scene.flock, tokens)
        .or_else(|| lettered(scene, tokens.first()?).map(|id| (id, 1)))
        .or_else(|| scene.words.name(tokens))
}

/// `0412a`: the first born of the last lambing of 0412.
fn lettered(scene: &Scene<'_>, token: &Token) -> Option<AnimalId> {
    let low = token.is_word().then_some(token.low.as_str())?;
    let letter = low.bytes().last().filter(u8::is_ascii_lowercase)?;
    let ewe = scene.flock.by_tag(&low[..low.len() - 1])?;
    let file = scene.flock.file(ewe).filter(|f| f.animal.sex == Sex::Ewe)?;
    let last = file.lambings_standing().filter(|l| l.at.day <= scene.at.day).max_by_key(|l| l.at)?;
    last.lambs.get(usize::from(letter - b'a')).copied()
}

/// Whether the first token begins with this sense, and how many tokens it takes.
pub(super) fn is(tokens: &[Token], sense: Sense) -> Option<usize> {
    senses(tokens).find(|(s, _)| *s == sense).map(|(_, n)| n)
}

/// Tokens that only hold the sentence together.
pub(super) fn filler(tokens: &[Token]) -> usize {
    let mut n = 0;
    while let Some(k) = is(&tokens[n..], Sense::Filler) {
        n += k;
    }
    n
}

/// The animals at the start of the tokens: a list of them, or a pen; less those after 'but'.
pub(super) fn subject(
    scene: &Scene<'_>,
    tokens: &[Token],
    bare_numbers: bool,
) -> Option<(Vec<AnimalId>, usize)> {
    let (mut all, mut n) = of_pen(scene, tokens).or_else(|| list(scene, tokens, bare_numbers))?;
    let comma = usize::from(tokens.get(n).is_some_and(|t| t.kind == Kind::Comma));
    if let Some(k) = is(&tokens[n + comma..], Sense::But)
        && let Some((out, m)) = list(scene, &tokens[n + comma + k..], false)
    {
        all.retain(|id| !out.contains(id));
        n += comma + k + m;
    }
    (!all.is_empty()).then_some((all, n))
}

/// `0412, 0398 and 0377`.
pub(super) fn list(
    scene: &Scene<'_>,
    tokens: &[Token],
    bare_numbers: bool,
) -> Option<(Vec<AnimalId>, usize)> {
    let mut all: Vec<AnimalId> = Vec::new();
    let mut end = filler(tokens);
    let mut next = end;
    loop {
        let rest = &tokens[next.min(tokens.len())..];
        let Some((id, k)) = animal(scene, rest) else { break };
        // After the first animal a short bare number is more likely a weight or a count.
        if !all.is_empty() && next == end && !bare_numbers && short_number(&rest[0]) {
            break;
        }
        if !all.contains(&id) {
            all.push(id);
        }
        end = next + k;
        next = end;
        if tokens.get(next).is_some_and(|t| t.kind == Kind::Comma) {
            next += 1;
        }
        if let Some(k) = is(&tokens[next.min(tokens.len())..], Sense::And) {
            next += k;
        }
    }
    (!all.is_empty()).then_some((all, end))
}

fn short_number(t: &Token) -> bool {
    t.number().is_some() && t.low.len() < 4 && !t.low.starts_with('0')
}

/// `pen 3`, `pen 3 lambs`, `all lambs in pen 3`, `Long field ewes`, `lambs in Jug 2`.
fn of_pen(scene: &Scene<'_>, tokens: &[Token]) -> Option<(Vec<AnimalId>, usize)> {
    let mut n = filler(tokens);
    let said_all = is(&tokens[n..], Sense::All);
    n += said_all.unwrap_or_default();
    let mut which = kind(&tokens[n..]);
    n += which.map_or(0, |(_, k)| k);
    let said_to = if which.is_some() || said_all.is_some() { is(&tokens[n..], Sense::To) } else { None };
    n += said_to.unwrap_or_default();
    let said_pen = is(&tokens[n..], Sense::Pen).is_some();
    let (pen, k) = scene.words.pen(&tokens[n..])?;
    n += k;
    if which.is_none() {
        which = kind(&tokens[n..]);
        n += which.map_or(0, |(_, k)| k);
    }
    let but = is(&tokens[n..], Sense::But).is_some();
    // A bare name may be that of an animal, too: a pen is meant when something says so.
    if !(said_pen || which.is_some() || said_all.is_some() || said_to.is_some() || but)
        && animal(scene, tokens).is_some()
    {
        return None;
    }
    let all = scene.flock.in_pen(&pen).into_iter().filter(|id| {
        scene.flock.animal(*id).is_some_and(|a| match which {
            Some((Sense::Lambs, _)) => a.is_lamb(scene.at.day),
            Some((Sense::GrownEwes, _)) => a.sex == Sex::Ewe && !a.is_lamb(scene.at.day),
            _ => true,
        })
    });
    let all: Vec<AnimalId> = all.collect();
    (!all.is_empty()).then_some((all, n))
}

fn kind(tokens: &[Token]) -> Option<(Sense, usize)> {
    [Sense::Lambs, Sense::GrownEwes].into_iter().find_map(|s| is(tokens, s).map(|k| (s, k)))
}
