//! Creeps and looks at pens: `creep jug 3 6 kg`, `creep jug 3 half`, `lamp jug 3 ok`, `gate jug 3 bent bar`. They are
//! about a pen, not about animals.

use super::Draft;
use super::clause::{Scene, Taken, lacking, one, span_of};
use super::lex::{Kind, Token};
use super::subject::{filler, is};
use super::words::{Sense, senses};
use crate::entry::{FeedMoveDraft, PenCheckDraft};
use crate::flock::Feed;
use crate::reckon::creep::feed_in;
use crate::terms::{CheckKind, FeedChange, Level, Mass};

/// What is told of a pen's creep, gate, lamp or water, if the tokens begin so.
pub(super) fn read(scene: &Scene<'_>, tokens: &[Token]) -> Option<Taken> {
    let (what, mut n) = senses(tokens).find_map(|(s, k)| match s {
        Sense::Creep => Some((None, k)),
        Sense::Check(kind) => Some((Some(kind), k)),
        _ => None,
    })?;
    n += filler(&tokens[n..]);
    n += is(&tokens[n..], Sense::To).unwrap_or_default();
    let (pen, k) = scene.words.pen(&tokens[n..])?;
    n += k;
    n += usize::from(tokens.get(n).is_some_and(|t| matches!(t.kind, Kind::Comma | Kind::Colon)));
    match what {
        Some(kind) => Some(look(scene, tokens, n, pen, kind)),
        None => Some(creep(scene, tokens, n, pen)),
    }
}

/// `ok`, or what is wrong up to the end or the next such note.
fn look(scene: &Scene<'_>, tokens: &[Token], n: usize, pen: String, what: CheckKind) -> Taken {
    let (on, time) = (scene.at.day, scene.at.time);
    let check =
        |fault| Draft::PenChecks(vec![PenCheckDraft { pen: pen.clone(), on, time, what, fault, note: None }]);
    if let Some(k) = is(&tokens[n..], Sense::InOrder) {
        return (vec![one(scene, check(None), Vec::new())], n + k);
    }
    let next = |i: &usize| tokens[*i].kind == Kind::Comma && read(scene, &tokens[i + 1..]).is_some();
    let end = (n..tokens.len()).find(next).unwrap_or(tokens.len());
    if n >= end {
        let says = "write 'ok', or what is wrong with it";
        return (vec![lacking(format!("{} {pen}", what.word()), span_of(tokens), says)], tokens.len().min(n));
    }
    let words = match &tokens[n..end] {
        [t] if t.kind == Kind::Quoted => t.text.clone(),
        many => scene.line[span_of(many)].trim().trim_end_matches([',', ':']).to_string(),
    };
    (vec![one(scene, check(Some(words)), Vec::new())], end)
}

/// `filled`, a level, an amount, or a level and the amount that was filled in then.
fn creep(scene: &Scene<'_>, tokens: &[Token], mut n: usize, pen: String) -> Taken {
    let room = scene.flock.feedroom();
    let on = scene.at.day;
    let lack = |n: usize, says: String| -> Taken {
        (vec![lacking(format!("creep {pen}"), span_of(&tokens[..n]), says)], n)
    };
    if room.creep_in(&pen, on).is_none() {
        let rest = tokens.iter().position(|t| t.kind == Kind::Comma).unwrap_or(tokens.len()).max(n);
        return lack(rest, format!("no creep is open in {pen} then: open it on the page of feed first"));
    }
    let mut feed = feed_in(room, &pen, on);
    // Another feed may be named behind the amount: the amount may be in bags or measures of it.
    let named = (n..tokens.len()).find(|i| tokens[*i].low == "of").and_then(|i| {
        let (feed, k) = named(scene, &tokens[i + 1..])?;
        Some((feed, i, i + 1 + k))
    });
    if let Some((other, ..)) = named {
        feed = Some(other);
    }
    let filled = is(&tokens[n..], Sense::Filled);
    n += filled.unwrap_or_default();
    let level = if filled.is_none() { level(&tokens[n..]) } else { None };
    let mut level = level.map(|(level, k)| {
        n += k;
        level
    });
    let comma = usize::from(tokens.get(n).is_some_and(|t| t.kind == Kind::Comma));
    let gap = if level.is_some() { comma } else { 0 };
    let until = named.map_or(tokens.len(), |(_, i, _)| i);
    let amount = feed.and_then(|f| amount(scene, f, &tokens[(n + gap).min(until)..until]));
    let amount = amount.map(|(amount, k)| {
        n += gap + k;
        amount
    });
    if let Some((_, i, end)) = named.filter(|(_, i, _)| *i == n) {
        n = end.max(i);
    }
    if filled.is_none() && level.is_none() && amount.is_none() {
        return lack(n, "write 'filled', how much was filled in, or how full it is".into());
    }
    let Some(feed) = feed else {
        return lack(n, "what is in it is not written: write 'of' and the feed".into());
    };
    if filled.is_some() && amount.is_none() {
        level = Some(Level::FULL); // to the top, by an amount nobody weighed
    }
    let mut draft = FeedMoveDraft::of(&feed.name, on, FeedChange::Fed);
    draft.time = scene.at.time;
    draft.pen = Some(pen);
    (draft.amount, draft.level) = (amount, level);
    (vec![one(scene, Draft::FeedMoves(vec![draft]), Vec::new())], n)
}

/// `half`, `three quarters full`, `40 %`, `empty`.
fn level(tokens: &[Token]) -> Option<(Level, usize)> {
    let words = |k: usize| tokens.get(..k).filter(|w| w.iter().all(Token::is_word));
    let (level, n) = (1..=3).rev().find_map(|k| {
        let text: Vec<&str> = words(k)?.iter().map(|t| t.low.as_str()).collect();
        let text = text.join(" ");
        // A figure alone is an amount.
        let told = text.contains(['%', '/']) || !text.starts_with(|c: char| c.is_ascii_digit());
        Level::parse(&text).ok().filter(|_| told).map(|level| (level, k))
    })?;
    let full = tokens.get(n).is_some_and(|t| t.low == "full");
    Some((level, n + usize::from(full)))
}

/// An amount of a feed, of up to three words.
fn amount(scene: &Scene<'_>, feed: &Feed, tokens: &[Token]) -> Option<(Mass, usize)> {
    let units = scene.flock.holding().units;
    let begins = tokens.first().is_some_and(|t| t.low.starts_with(|c: char| c.is_ascii_digit()));
    (1..=3.min(tokens.len())).rev().filter(|_| begins).find_map(|k| {
        let words = &tokens[..k];
        let text: Vec<&str> = words.iter().map(|t| t.low.as_str()).collect();
        let plain = words.iter().all(Token::is_word);
        let read = scene.flock.feedroom().amount(feed, &text.join(" "), scene.at.day, units);
        read.ok().filter(|_| plain).map(|(amount, _)| (amount, k))
    })
}

/// A feed of the book at the start of the tokens.
fn named<'a>(scene: &Scene<'a>, tokens: &[Token]) -> Option<(&'a Feed, usize)> {
    let room = scene.flock.feedroom();
    if let Some(t) = tokens.first().filter(|t| t.kind == Kind::Quoted) {
        return room.by_name(&t.text).map(|f| (f, 1));
    }
    (1..=5.min(tokens.len())).rev().find_map(|k| {
        let text: Vec<&str> = tokens[..k].iter().map(|t| t.low.as_str()).collect();
        room.by_name(&text.join(" ")).map(|f| (f, k))
    })
}
