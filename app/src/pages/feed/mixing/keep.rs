//! Writing the mix that was found as a feed of the book, and that it was mixed.

use super::super::super::{Ctx, Intent, Then};
use super::{Made, MadePart, NAME, State, Wrong};
use hirsel_core::entry::{self, FeedMoveDraft, MixPart, NewPart, Refusal};
use hirsel_core::flock::{Feed, WHOLE};
use hirsel_core::phrase;
use hirsel_core::terms::{FeedChange, FeedId, Mass, Price, norm};

/// The mix of this name that the book has.
pub(super) fn written(ctx: &Ctx<'_>, name: &str) -> Option<FeedId> {
    ctx.flock.feedroom().by_name(name).filter(|f| !f.parts.is_empty()).map(|f| f.id)
}

/// Writes the mix; with `mixed` also that it was mixed today, and the mix itself only where it is new or changed.
pub(super) fn write(ctx: &Ctx<'_>, state: &mut State, made: &Made, mixed: bool) -> Result<Intent, Wrong> {
    state.refusals.clear();
    let name = state.name.trim().to_string();
    if name.is_empty() {
        return Err((NAME, phrase!("what is the mix called? Write its name")));
    }
    let held = ctx.flock.feedroom().by_name(&name);
    if held.is_some_and(|f| f.parts.is_empty()) {
        return Err((NAME, phrase!("{name} is a feed of its own in the book: give the mix another name")));
    }
    let parts: Vec<MixPart> = made.parts.iter().filter(|p| p.share > 0.0).map(part).collect();
    let note = made.eaters.map(|e| phrase!("for {}", e.words()));
    let note = if held.is_some_and(|f| f.note.is_some()) { None } else { note };
    let drafts = entry::mix_drafts(&name, &parts, note, ctx.flock);
    let refused = |state: &mut State, all: Vec<Refusal>| {
        let first = all.first().map(ToString::to_string).unwrap_or_default();
        state.refusals = all;
        (NAME, first)
    };
    if !mixed {
        return match entry::feeds(drafts, ctx.flock) {
            Ok(checked) => Ok(Intent::Write { checked: Box::new(checked), then: Then::FeedDone }),
            Err(all) => Err(refused(state, all)),
        };
    }
    let mut batch = FeedMoveDraft::of(name.clone(), ctx.today, FeedChange::Mixed);
    batch.amount = Mass::from_kg(made.kg);
    batch.batch = super::super::super::fields::some(&state.batch);
    if held.is_some_and(|f| same(ctx, f, &parts)) {
        return match entry::feed_moves(vec![batch], ctx.flock, ctx.today) {
            Ok(checked) => Ok(Intent::Write { checked: Box::new(checked), then: Then::FeedDone }),
            Err(all) => Err(refused(state, all)),
        };
    }
    let all = entry::mixed(drafts, batch, ctx.flock, ctx.today).map_err(|all| refused(state, all))?;
    if let Some(q) = all.iter().flat_map(|c| c.questions()).next() {
        return Err((NAME, phrase!("{q} Write the mix by itself first: it is asked there")));
    }
    let amount = Mass::from_kg(made.kg).unwrap_or_default().show(ctx.units());
    let what = phrase!("{name} written and mixed: {amount}");
    Ok(Intent::WriteAll { what, all, word: String::new(), then: Then::FeedDone })
}

/// The mix of the book has just these parts, to a thousandth of a percent.
fn same(ctx: &Ctx<'_>, mix: &Feed, parts: &[MixPart]) -> bool {
    let room = ctx.flock.feedroom();
    let share = |p: &MixPart| (p.percent / 100.0 * f64::from(WHOLE)).round() as u32;
    mix.parts.len() == parts.len()
        && mix.parts.iter().all(|held| {
            let name = norm(room.name(held.feed));
            parts.iter().any(|p| norm(&p.name) == name && share(p).abs_diff(held.share) <= 2)
        })
}

/// A part as it is written: a feed that the book does not have comes in with what is known of it.
fn part(p: &MadePart) -> MixPart {
    let new = p.stuff.id.is_none().then(|| NewPart {
        kind: p.stuff.feed.kind,
        made_for: p.stuff.feed.made_for,
        like: p.stuff.like.clone(),
        own: p.own.clone(),
        price: p.stuff.feed.price.and_then(a_tonne),
    });
    MixPart { name: p.stuff.feed.name.clone(), percent: p.share * 100.0, new }
}

/// The price of a tonne of a price a kg.
fn a_tonne(a_kg: f64) -> Option<Price> {
    let cents = (a_kg * 100_000.0).round();
    (0.0..4e9).contains(&cents).then(|| Price::from_cents(cents as u32))
}
