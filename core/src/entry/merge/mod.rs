//! Two animals of the book that are one: the facts of both are put together, every record of the one goes to the other.

mod facts;
mod fault;

pub use facts::{MergeFact, merge_usual};
pub use fault::{MergeRefused, MergeUnusual};

use super::pedigree::Pedigree;
use super::standing::nothing_before;
use super::{Check, Entry, Faults, Field, Refused};
use crate::flock::{Animal, AnimalFile, Flock, Tested};
use crate::handbook::lambing as bounds;
use crate::terms::{AnimalId, Day, IdentityKind, Rearing, Sex};
use std::collections::{BTreeSet, HashSet};

/// Two animals that are one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MergeDraft {
    /// The one that stays.
    pub keep: AnimalId,
    /// The one whose records go to it.
    pub gone: AnimalId,
    /// Facts taken from the one that goes; all others stay as they are.
    pub take: BTreeSet<MergeFact>,
    /// Why they are taken for one.
    pub reason: String,
}

/// Checks that two animals can be one, and makes the one they will be. Every record of both stays, the same ones twice
/// as well. It can be taken back later by [`crate::book::Book::part_again`].
///
/// # Errors
/// Every refusal beside its field: `keep`, `gone`, a fact by its name, `reason`.
pub fn merge(draft: MergeDraft, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    let (keep, gone) = (flock.file(draft.keep), flock.file(draft.gone));
    if keep.is_none() {
        faults.refuse(Field::of("keep"), Refused::Gone);
    }
    if gone.is_none() {
        faults.refuse(Field::of("gone"), Refused::Gone);
    }
    let reason = draft.reason.trim();
    if reason.is_empty() {
        faults.refuse(Field::of("reason"), Refused::NoReason);
    }
    let (Some(keep), Some(gone)) = (keep, gone) else {
        return faults.or(|| (Entry::Remarks(Vec::new()), String::new()));
    };
    let sentence = format!("{} and {} are one animal", keep.animal.title(), gone.animal.title());
    if draft.keep == draft.gone {
        faults.refuse(Field::of("gone"), MergeRefused::Itself(keep.animal.tag().into()).into());
        return faults.or(|| (Entry::Remarks(Vec::new()), sentence));
    }
    kinds(&mut faults, keep, gone);
    ancestors(&mut faults, flock, keep, gone);
    together(&mut faults, keep, gone);
    let birth = births(&mut faults, flock, keep, gone);
    lambings(&mut faults, keep, gone);
    let one = together_as(&keep.animal, &gone.animal, &draft.take);
    pedigree(&mut faults, flock, keep, gone, &one);
    if let Some(born) = one.born.exact() {
        nothing_before(&mut faults, Field::of("born"), keep, born, None);
        nothing_before(&mut faults, Field::of("born"), gone, born, None);
    }
    let (gone, reason) = (draft.gone, reason.to_string());
    let checked = faults.or(|| (Entry::Merge { keep: Box::new(one), gone, birth }, sentence))?;
    Ok(checked.because(reason))
}

/// The one animal: facts of the one that stays but those taken, and the marks of both.
fn together_as(keep: &Animal, gone: &Animal, take: &BTreeSet<MergeFact>) -> Animal {
    let mut one = keep.clone();
    take.iter().for_each(|f| f.take(&mut one, gone));
    let (first, second) = if take.contains(&MergeFact::Tag) { (gone, keep) } else { (keep, gone) };
    one.identities = first.identities.iter().chain(&second.identities).cloned().collect();
    one
}

fn tags(keep: &AnimalFile, gone: &AnimalFile) -> (String, String) {
    (keep.animal.tag().into(), gone.animal.tag().into())
}

/// Sex, chips and births that do not go together.
fn kinds(faults: &mut Faults, k: &AnimalFile, g: &AnimalFile) {
    let (x, y) = (&k.animal, &g.animal);
    let (keep, gone) = tags(k, g);
    if (x.sex == Sex::Ewe) != (y.sex == Sex::Ewe) {
        let (keep_is, gone_is) = (x.sex.words(), y.sex.words());
        faults.refuse(Field::of("sex"), MergeRefused::Sexes { keep, keep_is, gone, gone_is }.into());
        return;
    }
    if let (Some(a), Some(b)) = (x.worn(IdentityKind::Electronic), y.worn(IdentityKind::Electronic)) {
        let (keep, gone) = (keep.clone(), gone.clone());
        let (first, second) = (a.tag.to_string(), b.tag.to_string());
        faults.question(Field::of("gone"), MergeUnusual::TwoNumbers { keep, first, gone, second }.into());
    }
    let apart = |a: Option<Day>, b: Option<Day>| a.zip(b).is_some_and(|(a, b)| a > b);
    if apart(x.born.earliest(), y.born.latest()) || apart(y.born.earliest(), x.born.latest()) {
        let (first, second) = (x.born.words(), y.born.words());
        faults.question(Field::of("born"), MergeUnusual::BornApart { keep, first, gone, second }.into());
    }
}

/// Everything above an animal, those it may descend from as well.
fn above(flock: &Flock, id: AnimalId) -> HashSet<AnimalId> {
    let mut all = HashSet::new();
    let mut wait = vec![id];
    while let Some(at) = wait.pop() {
        let Some(a) = flock.animal(at) else { continue };
        let dams = [a.dam, a.genetic_dam].into_iter().flatten();
        wait.extend(dams.chain(a.sire.possible().iter().copied()).filter(|p| all.insert(*p)));
    }
    all
}

fn ancestors(faults: &mut Faults, flock: &Flock, keep: &AnimalFile, gone: &AnimalFile) {
    for (a, b) in [(keep, gone), (gone, keep)] {
        if above(flock, b.animal.id).contains(&a.animal.id) {
            let (older, younger) = tags(a, b);
            faults.refuse(Field::of("gone"), MergeRefused::Ancestor { older, younger }.into());
        }
    }
}

/// Records that are about both of them.
fn together(faults: &mut Faults, keep: &AnimalFile, gone: &AnimalFile) {
    for (a, b) in [(keep, gone), (gone, keep)] {
        let other = b.animal.id;
        let found = [
            (a.joinings.iter().any(|j| j.ram == other), "a joining"),
            (a.marks.iter().any(|m| m.ram == Some(other)), "a crayon mark or mating"),
            (a.lambings.iter().any(|l| l.ram == Some(other)), "a lambing"),
            (a.birth.as_ref().is_some_and(|b| b.ewe == other), "a lambing"),
            (a.animal.rearing == Rearing::Foster(other), "fostering"),
            (
                a.tests
                    .iter()
                    .any(|t| matches!(t.found, Tested::Parentage { parent, .. } if parent == other)),
                "a parentage test",
            ),
        ];
        for (_, what) in found.into_iter().filter(|(is, _)| *is) {
            let (keep, gone) = tags(keep, gone);
            faults.refuse(Field::of("gone"), MergeRefused::Together { keep, gone, what }.into());
        }
    }
}

/// Of two births one must be struck out with its lambing; that one is left. Tells whose.
fn births(faults: &mut Faults, flock: &Flock, keep: &AnimalFile, gone: &AnimalFile) -> Option<AnimalId> {
    let (a, b) = (keep.birth.as_ref()?, gone.birth.as_ref()?);
    let lambing = |b: &crate::flock::Birth| {
        flock.file(b.ewe).and_then(|e| e.lambings.iter().find(|l| l.id == b.lambing))
    };
    let stands = |l: Option<&crate::flock::Lambing>| l.filter(|l| l.struck.is_none()).map(|l| l.at.day);
    match (stands(lambing(a)), stands(lambing(b))) {
        (Some(keep_on), Some(gone_on)) => {
            let (keep, gone) = tags(keep, gone);
            let why = MergeRefused::BornTwice { keep, keep_on, gone, gone_on };
            faults.refuse(Field::of("gone"), why.into());
            None
        }
        (None, Some(_)) => Some(keep.animal.id),
        _ => Some(gone.animal.id),
    }
}

fn lambings(faults: &mut Faults, k: &AnimalFile, g: &AnimalFile) {
    let mut days: Vec<(Day, bool)> = k.lambings_standing().map(|l| (l.at.day, true)).collect();
    days.extend(g.lambings_standing().map(|l| (l.at.day, false)));
    days.sort_unstable();
    for pair in days.windows(2) {
        let ((a, first), (b, second)) = (pair[0], pair[1]);
        let days = b.since(a);
        if first == second || days > bounds::again_days() {
            continue;
        }
        let (keep, gone) = tags(k, g);
        let (keep_on, gone_on) = if first { (a, b) } else { (b, a) };
        let why = MergeRefused::LambingsNear { keep, keep_on, gone, gone_on, days };
        faults.refuse(Field::of("gone"), why.into());
    }
}

/// The pedigree as it would stand: parents of the one, and the one as a parent of the lambs of both.
fn pedigree(faults: &mut Faults, flock: &Flock, keep: &AnimalFile, gone: &AnimalFile, one: &Animal) {
    if !faults.none_refused() {
        return;
    }
    let view = Pedigree::with_merged(flock, one, gone.animal.id);
    super::pedigree::parents(faults, &view, one.id, 0);
    super::pedigree::loops(faults, &view, std::iter::once((0, one.id)));
    for child in keep.offspring.iter().chain(&gone.offspring) {
        super::pedigree::parents(faults, &view, *child, 0);
    }
}
