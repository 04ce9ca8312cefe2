//! The rows of the flock list, made once for a version of the flock, a search and a choice.

use super::super::list::{By, Row};
use super::{Ctx, State, Whom};
use crate::look::Kind;
use crate::parts::record_table::Cell;
use hirsel_core::flock::{AnimalFile, Sire, natural};
use hirsel_core::phrase;
use hirsel_core::reckon::clearance::clearance;
use hirsel_core::terms::{AnimalId, Born, MeantFor, Rearing, Sex, Status, norm};

/// Makes the rows anew if the flock, the search or the choice changed.
pub(super) fn refresh(ctx: &Ctx<'_>, state: &mut State) {
    let wanted = (ctx.flock.version(), state.search.clone(), state.whom);
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let search = norm(&state.search);
    let scanned = ctx.scanned(&state.search);
    let fits = |f: &&AnimalFile| fits(f, &search) || scanned == Some(f.animal.id);
    let mut files: Vec<&AnimalFile> =
        ctx.flock.files().filter(|f| shows(state.whom, f, ctx)).filter(fits).collect();
    files.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()));
    state.list.set(files.into_iter().map(|f| row(ctx, f)).collect());
    state.made_for = Some(wanted);
}

fn shows(whom: Whom, f: &AnimalFile, ctx: &Ctx<'_>) -> bool {
    let a = &f.animal;
    let here = a.status == Status::Present;
    match whom {
        Whom::Here => here,
        Whom::Ewes => here && a.sex == Sex::Ewe && !a.is_lamb(ctx.today),
        Whom::Rams => here && a.sex == Sex::Ram && !a.is_lamb(ctx.today),
        Whom::Lambs => here && a.is_lamb(ctx.today),
        Whom::Gone => !here && a.status != Status::Outside,
        Whom::Outside => a.status == Status::Outside,
        Whom::All => true,
    }
}

fn fits(f: &AnimalFile, search: &str) -> bool {
    let a = &f.animal;
    search.is_empty()
        || a.identities.iter().any(|i| norm(i.tag.as_str()).contains(search))
        || [&a.name, &a.pen, &a.colour].into_iter().flatten().any(|t| norm(t).contains(search))
        || (a.meant_for != MeantFor::Undecided && norm(a.meant_for.words()).contains(search))
        || a.breed.as_ref().is_some_and(|b| norm(&b.to_string()).contains(search))
}

fn row(ctx: &Ctx<'_>, f: &AnimalFile) -> Row<AnimalId> {
    let a = &f.animal;
    let tag = |id: Option<AnimalId>| id.map(|id| ctx.flock.tag(id).to_string()).unwrap_or_default();
    let sire = match &a.sire {
        Sire::Unknown => String::new(),
        Sire::Known(id) => ctx.flock.tag(*id).to_string(),
        Sire::OneOf(all) => all.iter().map(|id| ctx.flock.tag(*id)).collect::<Vec<_>>().join(" or "),
    };
    let born = match a.born {
        Born::Unknown => String::new(),
        // An estimate is good to the month; the leaf has it in full.
        Born::About(day) => {
            day.words().split_once(' ').map_or_else(|| a.born.words(), |(_, m)| phrase!("about {m}", m = &m))
        }
        other => other.words(),
    };
    let weight = f.last_weight(ctx.today).map(|(_, w)| w);
    let (state, words) = standing(ctx, f);
    let by = By::Text(words.clone());
    Row::new(a.id)
        .tag(a.tag())
        .text(a.name.clone().unwrap_or_default())
        .text(a.sex.words())
        .number(born, a.born.day().map(|d| d.since(ctx.today)))
        .text(tag(a.dam))
        .text(sire)
        .text(a.pen.clone().unwrap_or_default())
        .number(weight.map(|w| w.show(ctx.units())).unwrap_or_default(), weight.map(|w| w.grams()))
        .cell(state, by, words.clone())
        .said(phrase!(
            "{}, {}{}",
            a.title(),
            ctx.detail(f),
            if words.is_empty() { words } else { format!(", {words}") }
        ))
}

/// What one must know of an animal at a glance: gone, under withdrawal, on the bottle or fostered.
fn standing(ctx: &Ctx<'_>, f: &AnimalFile) -> (Cell, String) {
    let a = &f.animal;
    match a.status {
        Status::Present => {}
        Status::Dead | Status::Culled | Status::Missing => {
            let words = since(a.status.words(), a.status_on);
            return (Cell::chip(Kind::Refuse, words.clone()), words);
        }
        other => {
            let words = since(other.words(), a.status_on);
            return (Cell::chip(Kind::Plain, words.clone()), words);
        }
    }
    let c = clearance(f, ctx.today);
    if c.is_held(ctx.today) {
        let words = c.held_words(ctx.today);
        // The chip is narrow: 'meat 22 Dec, milk 1 Dec'.
        return (Cell::chip(Kind::Caution, words.replace(" clear ", " ")), words);
    }
    let words = match a.rearing {
        Rearing::Bottle if a.is_lamb(ctx.today) => phrase!("on the bottle"),
        Rearing::Foster(e) if a.is_lamb(ctx.today) => phrase!("fostered to {}", &ctx.flock.tag(e)),
        _ => String::new(),
    };
    (Cell::text(words.clone()).faint(), words)
}

fn since(word: &'static str, on: Option<hirsel_core::terms::Day>) -> String {
    on.map_or_else(|| crate::look::said(word).into_owned(), |d| phrase!("{word} {}", d.words()))
}
