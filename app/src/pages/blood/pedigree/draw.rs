//! What stands where in the drawing, and what is said of each.

use super::super::super::Ctx;
use crate::parts::pedigree_chart::{Drawing, LINE, Reach};
use hirsel_core::flock::Animal;
use hirsel_core::phrase;
use hirsel_core::reckon::pedigree::{
    Ancestry, Child, Place, Slot, Who, inbred_words, lay, lay_progeny, progeny,
};
use hirsel_core::terms::{AnimalId, Status, counted};
use std::collections::HashMap;

/// What the drawing hangs on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Ask {
    pub of: AnimalId,
    pub version: u64,
    pub kindred: Option<u64>,
    pub back: u8,
    pub forward: u8,
    /// Height of the room in points.
    pub tall: u32,
}

/// The drawing, and who stands in several places.
pub(super) struct Made {
    pub drawing: Drawing<AnimalId>,
    pub legend: String,
}

/// Offspring shown of one parent.
const MOST: usize = 14;

/// The least and the greatest gap between two boxes.
const GAP: (f32, f32) = (3.0, 34.0);

/// Makes the drawing.
pub(super) fn make(ctx: &Ctx<'_>, ask: &Ask) -> Made {
    let tree = Ancestry::of(ctx.flock, ask.of, ask.back.into());
    let young = progeny(ctx.flock, ask.of, ask.forward.into(), MOST);
    let mut reaches: Vec<Reach<AnimalId>> = Vec::new();
    let mut at: HashMap<Place, usize> = HashMap::new();
    for place in tree.shown() {
        at.insert(place, reaches.len());
        let tied = place.child().and_then(|c| at.get(&c)).copied();
        reaches.push(Reach { tied, ..ancestor(ctx, &tree, place) });
    }
    // As much air as the room gives, alike on both sides.
    let ends = |n: usize| n.max(2) as f32;
    let height = |p: Place| at.get(&p).map_or(0.0, |i| reaches[*i].height());
    let (slots, least) = lay(&tree, Place::SELF, height, GAP.0);
    let last = slots.iter().filter(|(p, _)| p.generation() == u32::from(ask.back)).count();
    let room = ask.tall as f32 - 4.0;
    let gap = (GAP.0 + (room - least) / ends(last)).clamp(GAP.0, GAP.1);
    let (slots, high) = lay(&tree, Place::SELF, height, gap);
    let descendants: Vec<Reach<AnimalId>> = young.iter().map(|c| descendant(ctx, c)).collect();
    let (low, wide) = lay_progeny(&young, |c| tall(c, &young, &descendants), GAP.0);
    let whole = high.max(wide).max(room.min(high.max(wide) + 400.0));
    // The middle stands at the height its ancestors give it; the offspring fan out around it.
    let up = (whole - high) / 2.0;
    for (place, slot) in &slots {
        if let Some(r) = at.get(place).and_then(|i| reaches.get_mut(*i)) {
            r.middle = up + slot.middle + r.drop();
        }
    }
    let root = reaches.first().map_or(whole / 2.0, |r| r.middle);
    let down = (root - wide / 2.0).clamp(0.0, (whole - wide).max(0.0));
    let first = reaches.len();
    for ((child, slot), mut reach) in young.iter().zip(&low).zip(descendants) {
        let Slot { middle, .. } = slot;
        reach.middle = down + middle + reach.drop();
        reach.tied = Some(child.parent.map_or(0, |p| first + p));
        reaches.push(reach);
    }
    let legend = legend(ctx, &tree);
    Made { drawing: Drawing { reaches, height: whole }, legend }
}

fn tall(child: &Child, all: &[Child], reaches: &[Reach<AnimalId>]) -> f32 {
    let i = all.iter().position(|c| std::ptr::eq(c, child));
    i.and_then(|i| reaches.get(i)).map_or(LINE * 2.0, Reach::height)
}

/// In whom lines meet, as one sentence; of many the nearest. Empty where none do.
fn legend(ctx: &Ctx<'_>, tree: &Ancestry) -> String {
    let all = tree.repeats();
    let mut named: Vec<String> = all
        .iter()
        .take(2)
        .map(|r| {
            let title = ctx.flock.animal(r.animal).map(Animal::title).unwrap_or_default();
            format!("({}) {title}", r.number)
        })
        .collect();
    let more = all.len().saturating_sub(named.len());
    if more > 0 {
        named.push(phrase!("{more} more"));
    }
    match named.split_last() {
        None => String::new(),
        Some((one, [])) => phrase!("Lines meet in {one}."),
        Some((last, first)) => phrase!("Lines meet in {} and {last}.", first.join(", ")),
    }
}

fn inbred(ctx: &Ctx<'_>, id: AnimalId) -> String {
    ctx.kindred.map(|k| inbred_words(k, id)).unwrap_or_default()
}

/// The word for an animal that was never of this flock.
fn outside(a: &Animal) -> &'static str {
    if a.status == Status::Outside { "outside" } else { "" }
}

fn list(words: &[&str]) -> String {
    words.iter().copied().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" · ")
}

fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map(|c| c.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

fn blank(place: Place) -> Reach<AnimalId> {
    let column = -i32::try_from(place.generation()).unwrap_or(0);
    Reach {
        key: None,
        column,
        tied: None,
        sire: place.is_sire(),
        sure: false,
        tag: String::new(),
        name: String::new(),
        below: Vec::new(),
        number: None,
        spoken: String::new(),
        middle: 0.0,
    }
}

fn ancestor(ctx: &Ctx<'_>, tree: &Ancestry, place: Place) -> Reach<AnimalId> {
    let sign = if place.is_sire() { "♂" } else { "♀" };
    let called = capital(&place.words());
    match tree.who(place) {
        Who::Nothing | Who::Unknown => {
            Reach { tag: phrase!("{sign} not known"), spoken: phrase!("{called}: not known"), ..blank(place) }
        }
        Who::OneOf(rams) => {
            let tags: Vec<&str> = rams.iter().map(|r| ctx.flock.tag(*r)).collect();
            Reach {
                tag: phrase!("{sign} one of {}", rams.len()),
                below: vec![tags.join(", ")],
                spoken: phrase!("{called}: one of {}; which one is not known", tags.join(", ")),
                ..blank(place)
            }
        }
        Who::Circle(id) => Reach {
            key: Some(*id),
            tag: format!("{sign} {}", ctx.flock.tag(*id)),
            below: vec![phrase!("its own ancestor")],
            spoken: phrase!(
                "{called}: {}, its own ancestor: the pedigree runs in a circle",
                &ctx.flock.tag(*id)
            ),
            ..blank(place)
        },
        Who::Animal(id) => known(ctx, tree, place, *id),
    }
}

/// Nothing is known of its parents.
fn unknown(a: &Animal) -> bool {
    a.blood_dam().is_none() && a.sire.possible().is_empty()
}

fn known(ctx: &Ctx<'_>, tree: &Ancestry, place: Place, id: AnimalId) -> Reach<AnimalId> {
    let Some(a) = ctx.flock.animal(id) else { return blank(place) };
    let inbred = inbred(ctx, id);
    let born = a.born.day().map(|_| a.born.words()).unwrap_or_default();
    let year = a.born.year().map(|y| y.to_string()).unwrap_or_default();
    let breed = a.breed.as_ref().map(ToString::to_string).unwrap_or_default();
    let out = outside(a);
    let below = match place.generation() {
        0 => vec![list(&[a.sex.words(), &born]), breed.clone(), list(&[out, &inbred])],
        1 => vec![list(&[out, &born]), inbred.clone()],
        2 => vec![list(&[out, &year]), inbred.clone()],
        // The blanks behind it tell that the parents are not known.
        _ if !out.is_empty() && unknown(a) => vec![out.to_string()],
        _ => vec![list(&[out, &inbred])],
    };
    let number = tree.number(place);
    let again = tree.places_of(id).len();
    let again = match (again, number) {
        (2.., Some(n)) => phrase!(", stands in {again} places, sign {n}"),
        (2.., None) => phrase!(", stands in {again} places"),
        _ => String::new(),
    };
    let called = capital(&place.words());
    let called = if called.is_empty() { String::new() } else { format!("{called}: ") };
    let spoken =
        [a.sex.words(), &if born.is_empty() { born.clone() } else { phrase!("born {born}") }, &breed]
            .into_iter()
            .chain([if out.is_empty() { "" } else { "outside the flock" }, inbred.as_str()])
            .filter(|w| !w.is_empty())
            .collect::<Vec<_>>()
            .join(", ");
    Reach {
        key: Some(id),
        sure: true,
        tag: format!("{} {}", a.sex.symbol(), a.tag()),
        name: a.name.as_deref().unwrap_or_default().to_string(),
        below: below.into_iter().filter(|w| !w.is_empty()).collect(),
        number,
        spoken: phrase!("{called}{}, {spoken}{again}", a.title()),
        ..blank(place)
    }
}

fn descendant(ctx: &Ctx<'_>, child: &Child) -> Reach<AnimalId> {
    let base = Reach {
        column: i32::try_from(child.generation).unwrap_or(1),
        sure: child.sure,
        ..blank(Place::SELF)
    };
    let Some(a) = ctx.flock.animal(child.animal) else { return base };
    let year = a.born.year().map(|y| y.to_string()).unwrap_or_default();
    let with = child.with.map(|w| phrase!("with {}", &ctx.flock.tag(w))).unwrap_or_default();
    let inbred = inbred(ctx, child.animal);
    let doubt = if child.sure { "" } else { "perhaps" };
    let more = match child.more {
        0 => String::new(),
        n => phrase!("and {n} more, listed under Relations"),
    };
    let lambs = match child.offspring {
        0 => String::new(),
        n => counted(n, "lamb"),
    };
    let kind = match child.generation {
        1 => "Offspring",
        2 => "Grand-offspring",
        _ => "Later offspring",
    };
    let said = [
        a.sex.words(),
        &if year.is_empty() { String::new() } else { phrase!("born {year}") },
        &with,
        if child.sure { "" } else { "perhaps: the sire is one of several" },
        if outside(a).is_empty() { "" } else { "outside the flock" },
        &inbred,
        &if lambs.is_empty() { String::new() } else { phrase!("has {lambs}") },
    ]
    .into_iter()
    .filter(|w| !w.is_empty())
    .collect::<Vec<_>>()
    .join(", ");
    Reach {
        key: Some(child.animal),
        tag: format!("{} {}", a.sex.symbol(), a.tag()),
        name: a.name.as_deref().unwrap_or_default().to_string(),
        below: [list(&[doubt, &year, &with, &lambs]), list(&[outside(a), &inbred]), more.clone()]
            .into_iter()
            .filter(|w| !w.is_empty())
            .collect(),
        spoken: phrase!(
            "{kind}: {}, {said}{}",
            a.title(),
            if more.is_empty() { more } else { format!("; {more}") }
        ),
        ..base
    }
}
