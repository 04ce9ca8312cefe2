//! Finding an animal by any part of any tag or name, or by its electronic number in any dress.

use super::{AnimalFile, Flock, natural};
use crate::terms::{AnimalId, ElectronicId, IdentityKind, norm};

/// One animal found, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Found {
    /// The animal.
    pub id: AnimalId,
    /// 0 exact tag, 1 tag begins so, 2 tag ends so, 3 tag holds it, 4 name holds it, 5 only a lost tag holds it.
    pub rank: u8,
}

impl Flock {
    /// Animals of which any tag, number or name holds `text`: the best matches first, those in the flock
    /// before those gone, then by tag. Only animals that `keep` accepts. Empty text finds none. What is meant as a
    /// whole electronic number finds only whole marks, so that a figure too few or wrong never finds another animal.
    pub fn find(&self, text: &str, limit: usize, keep: impl Fn(&AnimalFile) -> bool) -> Vec<Found> {
        let wanted = norm(text);
        if wanted.is_empty() {
            return Vec::new();
        }
        let number = ElectronicId::typed(text);
        let mark = |f: &AnimalFile| match &number {
            Some(number) => rank_whole(f, &wanted, number.as_ref().ok().copied()),
            None => rank(f, &wanted),
        };
        let mut found: Vec<(Found, &AnimalFile)> = self
            .files()
            .filter(|f| keep(f))
            .filter_map(|f| mark(f).map(|rank| (Found { id: f.animal.id, rank }, f)))
            .collect();
        let order = |(a, fa): &(Found, &AnimalFile), (b, fb): &(Found, &AnimalFile)| {
            let gone = |f: &AnimalFile| !f.animal.status.is_here();
            (a.rank > 0)
                .cmp(&(b.rank > 0))
                .then_with(|| gone(fa).cmp(&gone(fb)))
                .then_with(|| a.rank.cmp(&b.rank))
                .then_with(|| natural(fa.animal.tag(), fb.animal.tag()))
        };
        if found.len() > limit && limit > 0 {
            found.select_nth_unstable_by(limit - 1, order);
            found.truncate(limit);
        }
        found.sort_by(order);
        found.truncate(limit);
        found.into_iter().map(|(f, _)| f).collect()
    }
}

fn rank(file: &AnimalFile, wanted: &str) -> Option<u8> {
    let mut best: Option<u8> = None;
    for i in &file.animal.identities {
        let mark = i.tag.norm();
        let r = if mark == wanted {
            0
        } else if mark.starts_with(wanted) {
            1
        } else if mark.ends_with(wanted) {
            2
        } else if mark.contains(wanted) {
            3
        } else {
            continue;
        };
        let r = if i.ended.is_some() { 5 } else { r };
        best = Some(best.map_or(r, |b| b.min(r)));
    }
    if best.is_none_or(|b| b == 5)
        && let Some(name) = &file.animal.name
        && norm(name).contains(wanted)
    {
        best = Some(4);
    }
    best
}

/// Whether one of its marks is this text or this number.
fn rank_whole(file: &AnimalFile, wanted: &str, number: Option<ElectronicId>) -> Option<u8> {
    let is = |i: &&super::Identity| {
        i.tag.norm() == wanted
            || i.kind == IdentityKind::Electronic
                && number.is_some_and(|n| ElectronicId::parse(i.tag.as_str()) == Ok(n))
    };
    file.animal.identities.iter().filter(is).map(|i| if i.ended.is_some() { 5 } else { 0 }).min()
}
