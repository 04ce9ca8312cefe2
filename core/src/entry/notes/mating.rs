//! What is told of the ram at work: marks, matings seen, crayons, scans.

use super::clause::{Scene, Taken, one, span_of};
use super::lex::{Kind, Token};
use super::predicate::rams;
use super::subject::is;
use super::words::{GRAMMAR, Sense, means_nothing, senses};
use super::{Doubt, Draft};
use crate::entry::{CrayonDraft, MarkDraft, ScanDraft};
use crate::flock::AnimalFile;
use crate::terms::{AnimalId, Day, MarkKind, Scanned, Sex, Status};

/// A ewe that was joined or marked within so many days may have come back to the ram.
const SEASON_DAYS: i64 = 150;

/// A mark, a mating, a crayon or a scan at the start of the tokens.
pub(super) fn read(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let files: Vec<&AnimalFile> = about.iter().filter_map(|id| scene.flock.file(*id)).collect();
    if files.iter().all(|f| f.animal.sex == Sex::Ewe) {
        marked(scene, &files, tokens).or_else(|| scanned(scene, about, tokens))
    } else if files.iter().all(|f| f.animal.sex != Sex::Ewe) {
        crayon(scene, about, tokens)
    } else {
        None
    }
}

/// `red` or a colour in quotes.
fn colour(token: Option<&Token>) -> Option<String> {
    let t = token?;
    let known = t.is_word() && GRAMMAR.crayon.colours.contains(&t.low);
    (known || (t.kind == Kind::Quoted && !t.text.trim().is_empty()))
        .then(|| if known { t.low.clone() } else { t.text.clone() })
}

fn bracketed(tokens: &[Token]) -> Option<String> {
    tokens.first().filter(|t| t.kind == Kind::Bracketed && !t.text.is_empty()).map(|t| t.text.clone())
}

/// `marked red by R1`, `served by R1`, `returned`.
fn marked(scene: &Scene<'_>, ewes: &[&AnimalFile], tokens: &[Token]) -> Option<Taken> {
    let (kind, mut n) = senses(tokens).find_map(|(s, k)| match s {
        Sense::Marked => Some((MarkKind::Crayon, k)),
        Sense::Served => Some((MarkKind::Seen, k)),
        // One that is not here and came back is back in the flock.
        Sense::Returned if ewes.iter().all(|f| may_return(f, scene.at.day)) => Some((MarkKind::Crayon, k)),
        _ => None,
    })?;
    // 'tupped with' says more than 'tupped'.
    if is(tokens, Sense::Joined).is_some_and(|k| k > n) {
        return None;
    }
    let colour = colour(tokens.get(n)).filter(|_| kind == MarkKind::Crayon);
    n += usize::from(colour.is_some());
    let mut doubts = Vec::new();
    let mut ram = None;
    if let Some(k) = is(&tokens[n..], Sense::By) {
        let (all, m) = rams(scene, &tokens[n + k..])?;
        match all.as_slice() {
            [one] => ram = Some(*one),
            _ => {
                let says = "which of the rams is not known: the mark is written without one";
                doubts.push(Doubt { span: span_of(&tokens[n..n + k + m]), says: says.into() });
            }
        }
        n += k + m;
    }
    let note = bracketed(&tokens[n..]);
    n += usize::from(note.is_some());
    let draft = |f: &&AnimalFile| MarkDraft {
        ewe: f.animal.id,
        ram,
        on: scene.at.day,
        kind,
        colour: colour.clone(),
        note: note.clone(),
    };
    let draft = Draft::Marks(ewes.iter().map(draft).collect());
    Some((vec![one(scene, draft, doubts)], n))
}

/// Here, and joined or marked this season.
fn may_return(ewe: &AnimalFile, day: Day) -> bool {
    let near = |d: Day| (0..=SEASON_DAYS).contains(&day.since(d));
    ewe.animal.status == Status::Present
        && (ewe.joinings.iter().any(|j| j.struck.is_none() && near(j.from))
            || ewe.marks.iter().any(|m| m.struck.is_none() && near(m.on)))
}

/// `crayon green`, `crayon off`.
fn crayon(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let (colour, n) = if let Some(k) = is(tokens, Sense::CrayonOff) {
        (String::new(), k)
    } else {
        let k = is(tokens, Sense::Crayon)?;
        let first = tokens.get(k);
        // Of a crayon any word is a colour that says nothing else.
        let plain =
            |t: &&Token| t.is_word() && t.low.chars().all(char::is_alphabetic) && means_nothing(&t.low);
        (colour(first).or_else(|| first.filter(plain).map(|t| t.low.clone()))?, k + 1)
    };
    let draft = |ram: &AnimalId| CrayonDraft { ram: *ram, on: scene.at.day, colour: colour.clone() };
    Some((vec![one(scene, Draft::Crayons(about.iter().map(draft).collect()), Vec::new())], n))
}

/// `scanned twins, 45 days`, `scanned empty`, `scanned 2`.
fn scanned(scene: &Scene<'_>, about: &[AnimalId], tokens: &[Token]) -> Option<Taken> {
    let lead = is(tokens, Sense::Scanned)?;
    let rest = &tokens[lead..];
    let figure = || {
        let lambs = rest.first().filter(|t| t.is_word() && t.low.len() == 1)?.low.parse::<u8>().ok()?;
        Some((count(lambs), 1))
    };
    let found = senses(rest).find_map(|(s, k)| match s {
        Sense::Litter(lambs) => Some((count(lambs), k)),
        Sense::Empty => Some((Scanned::Empty, k)),
        Sense::InLamb => Some((Scanned::InLamb, k)),
        _ => None,
    });
    let (found, k) = found.or_else(figure)?;
    let mut n = lead + k;
    let age = age(&tokens[n..]).filter(|_| found != Scanned::Empty);
    n += age.map_or(0, |(_, k)| k);
    let note = bracketed(&tokens[n..]);
    n += usize::from(note.is_some());
    let draft = |ewe: &AnimalId| ScanDraft {
        ewe: *ewe,
        on: scene.at.day,
        found,
        age_days: age.map(|(age, _)| age),
        note: note.clone(),
    };
    Some((vec![one(scene, Draft::Scans(about.iter().map(draft).collect()), Vec::new())], n))
}

fn count(lambs: u8) -> Scanned {
    match lambs {
        0 => Scanned::Empty,
        1 => Scanned::One,
        2 => Scanned::Two,
        _ => Scanned::Three,
    }
}

/// `, 45 days`, `at 45 days`.
fn age(tokens: &[Token]) -> Option<(u16, usize)> {
    let mut n = usize::from(tokens.first().is_some_and(|t| t.kind == Kind::Comma));
    n += is(&tokens[n..], Sense::At).unwrap_or_default();
    let age = tokens.get(n).filter(|t| t.is_word())?.low.parse::<u16>().ok()?;
    tokens.get(n + 1).filter(|t| matches!(t.low.as_str(), "day" | "days"))?;
    Some((age, n + 2))
}
