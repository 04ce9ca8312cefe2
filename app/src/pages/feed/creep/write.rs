//! What is written of a creep with one key, here and on Tonight.

use crate::pages::Ctx;
use hirsel_core::entry::{self, Check, Checked, FeedMoveDraft, PenCheckDraft};
use hirsel_core::phrase;
use hirsel_core::reckon::creep::{Check as Look, PenCreep};
use hirsel_core::terms::{CheckKind, FeedChange, Level, Mass};

/// The first refusal in words.
pub(in crate::pages) fn said(check: Check) -> Result<Checked, String> {
    check.map_err(|r| r.first().map(ToString::to_string).unwrap_or_default())
}

/// The creep is filled to the top. How much that was is known where the trough's size is and it was looked at before.
///
/// # Errors
/// What is in it is not known, or the entry is refused.
pub(in crate::pages) fn fill_up(ctx: &Ctx<'_>, c: &PenCreep) -> Result<Checked, String> {
    let feed = c.feed.as_ref().ok_or_else(|| {
        phrase!("what is in the creep of {} is not written: open it with Enter and write its feed", c.pen)
    })?;
    let mut draft = FeedMoveDraft::of(&feed.name, ctx.today, FeedChange::Fed);
    draft.pen = Some(c.pen.clone());
    let before = c.trough.looked;
    let room = before.zip(c.trough.holds).and_then(|(level, holds)| {
        Mass::from_kg(holds.kg() * f64::from(100 - level.percent()) / 100.0).filter(|m| !m.is_none())
    });
    (draft.amount, draft.level) = match room {
        Some(amount) => (Some(amount), before),
        None => (None, Some(Level::FULL)),
    };
    let how_much = room.map(|m| phrase!(" with {}", m.show(ctx.units()))).unwrap_or_default();
    let checked = said(entry::feed_moves(vec![draft], ctx.flock, ctx.today))?;
    Ok(checked.called(phrase!("Creep in {} filled to the top{how_much}", c.pen)))
}

/// These things of a pen were looked at and are in order.
///
/// # Errors
/// The entry is refused.
pub(in crate::pages) fn in_order(ctx: &Ctx<'_>, pen: &str, what: &[CheckKind]) -> Result<Checked, String> {
    let draft = |what: &CheckKind| PenCheckDraft {
        pen: pen.into(),
        on: ctx.today,
        time: None,
        what: *what,
        fault: None,
        note: None,
    };
    let words: Vec<_> = what.iter().map(|w| crate::look::said(w.words())).collect();
    let checked = said(entry::pen_checks(what.iter().map(draft).collect(), ctx.flock, ctx.today))?;
    Ok(checked.called(phrase!("{pen}: {} in order", words.join(", "), pen = &pen)))
}

/// What one key writes as in order: what is still to be looked at today and has no open fault.
pub(in crate::pages) fn to_look_at(checks: &[Look]) -> Vec<CheckKind> {
    checks.iter().filter(|c| c.asked && !c.done && c.fault.is_none()).map(|c| c.what).collect()
}
