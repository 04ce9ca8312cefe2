//! Whether a record in the book completes a job.

use super::Job;
use super::anchors::standing;
use crate::flock::{AnimalFile, Flock, Identity, Treatment};
use crate::plan::{self, Anchor, DoneBy, Span, Step};
use crate::terms::{Day, Decided, Fate, IdentityKind, Sex};
use std::sync::Arc;

/// Completed by a record: the day, where the record tells one. `shipped` is the step as it was before the keeper
/// changed it: what was done in its window stays done, and on the same day.
pub(super) fn by_record(
    flock: &Flock,
    f: &AnimalFile,
    shipped: Option<&Arc<Step>>,
    job: &Job,
) -> Option<Option<Day>> {
    if job.step.done_by == DoneBy::Tick {
        return None;
    }
    let before = shipped.filter(|_| job.round == 0).and_then(|s| {
        let at = |span: Span| span.after(job.anchor).day;
        in_window(flock, f, job, at(s.times.earliest), at(s.times.close))
    });
    before.or_else(|| in_window(flock, f, job, job.earliest.day, job.close))
}

fn in_window(flock: &Flock, f: &AnimalFile, job: &Job, from: Day, to: Day) -> Option<Option<Day>> {
    let within = |d: Day| d >= from && d <= to;
    let born = || f.animal.born.day();
    match &job.step.done_by {
        DoneBy::Tick => None,
        DoneBy::Birth => f.birth.as_ref().filter(|b| b.fate != Fate::BornDead).map(|_| born()),
        DoneBy::BirthWeight => f.animal.birth_weight.map(|_| born()),
        DoneBy::Navel => f.birth.as_ref().filter(|b| b.navel_dipped == Some(true)).map(|_| born()),
        DoneBy::Suck => {
            let seen = |b: &&crate::flock::Birth| b.sucked == Some(true) || b.colostrum.is_some();
            f.birth.as_ref().filter(seen).map(|_| born())
        }
        DoneBy::Tag => own_mark(f).map(|mark| mark.from.or_else(born)),
        DoneBy::Weighing => {
            let all = f.weighings.iter().filter(|w| w.struck.is_none() && within(w.at.day));
            all.map(|w| w.at.day).min().map(Some)
        }
        DoneBy::Castrated => (f.animal.sex == Sex::Wether).then_some(None),
        DoneBy::Pen => {
            let moves = f.pen_moves.iter().filter(|p| p.struck.is_none() && p.pen.is_some());
            moves.filter(|p| within(p.on) && p.on > job.anchor.day).map(|p| p.on).min().map(Some)
        }
        DoneBy::Joining => standing(f).filter(|j| within(j.from)).map(|j| j.from).min().map(Some),
        DoneBy::Parted => {
            let mine = standing(f).filter(|j| j.from >= job.anchor.day && j.from <= to);
            mine.filter_map(|j| j.to).max().map(Some)
        }
        DoneBy::Lambing => {
            let from = match job.step.anchor {
                // The days before she is due are part of the wait.
                Anchor::Due | Anchor::LastDue => job.anchor.day.plus(-60),
                _ => from,
            };
            let lambed = f.lambings_standing().map(|l| l.at.day).filter(|d| *d >= from && *d <= to);
            lambed.min().map(Some)
        }
        DoneBy::Scan => {
            let mine = f.scans.iter().filter(|s| s.struck.is_none() && s.on > job.anchor.day && s.on <= to);
            mine.map(|s| s.on).min().map(Some)
        }
        DoneBy::Treatment(kind) => {
            let of = |t: &&Treatment| within(t.at.day) && is_of(flock, t, kind, job.step.product.as_deref());
            f.treatments_standing().filter(of).map(|t| t.at.day).min().map(Some)
        }
        DoneBy::Decided => {
            // Early or late, what is decided is decided; to decide later leaves it open.
            let on = settled_on(f, job.anchor.day);
            on.map(Some).or_else(|| (f.animal.sex == Sex::Wether).then_some(None))
        }
    }
}

/// The day of the last decision since an anchor, unless it was to decide later.
pub(super) fn settled_on(f: &AnimalFile, anchor: Day) -> Option<Day> {
    let last = f.decisions.iter().rfind(|d| d.struck.is_none())?;
    (last.what != Decided::Later && last.on >= anchor).then_some(last.on)
}

/// Whether a treatment is of a kind, or of the product the keeper named for the step.
pub(super) fn is_of(flock: &Flock, t: &Treatment, kind: &str, product: Option<&str>) -> bool {
    if product.is_some_and(|p| p.trim().eq_ignore_ascii_case(t.product.trim())) || kind.is_empty() {
        return true;
    }
    if plan::is_of_kind(kind, std::iter::once(t.product.as_str()).chain(t.reason.as_deref())) {
        return true;
    }
    let substance = flock.product(&t.product).and_then(|p| p.substance.as_deref());
    substance.is_some_and(|s| plan::is_of_kind(kind, [s]))
}

/// A worn mark that is no stand-in: a stand-in is the ewe's tag, the year and a number, such as `0412/26-1`.
pub(crate) fn own_mark(f: &AnimalFile) -> Option<&Identity> {
    let own = |kind: IdentityKind, tag: &str| kind != IdentityKind::Registry && !stand_in(tag);
    let worn = f.animal.identities.iter().filter(|i| i.ended.is_none());
    worn.filter(|i| own(i.kind, i.tag.as_str())).min_by_key(|i| i.from)
}

/// `…/26-1`: two figures, a dash and a number at the end.
pub(crate) fn stand_in(tag: &str) -> bool {
    tag.rsplit_once('/').and_then(|(_, end)| end.split_once('-')).is_some_and(|(year, n)| {
        let figures = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
        year.len() == 2 && figures(year) && figures(n)
    })
}
