//! Whose tag or number is one sign off: a sign wrong, too few, too many, or two changed about. Told as a hint; nobody is
//! ever taken for another.

use super::NearBy;
use crate::flock::Flock;
use crate::terms::{AnimalId, ElectronicId, IdentityKind, norm};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};

/// Marks worn now by what is left of them without one sign. Two marks that are one sign off share such a rest.
pub(super) struct Near {
    marks: Vec<(String, AnimalId)>,
    /// Hash of a rest, place of its mark; in order.
    rests: Vec<(u64, u32)>,
}

/// Shorter marks are near to half of the flock.
const SHORTEST: usize = 3;
const LONGEST: usize = 24;
/// So many are told.
const MOST: usize = 3;

impl Near {
    pub(super) fn of(flock: &Flock) -> Self {
        let mut marks: Vec<(String, AnimalId)> = Vec::new();
        for f in flock.present() {
            for i in f.animal.identities.iter().filter(|i| i.ended.is_none()) {
                let number =
                    (i.kind == IdentityKind::Electronic).then(|| ElectronicId::parse(i.tag.as_str()));
                let mark = number.and_then(Result::ok).map_or_else(|| i.tag.norm(), ElectronicId::digits);
                if fits(&mark) {
                    marks.push((mark, f.animal.id));
                }
            }
        }
        marks.sort_by(|a, b| crate::flock::natural(&a.0, &b.0).then(a.1.cmp(&b.1)));
        let mut rests: Vec<(u64, u32)> = Vec::new();
        for (at, (mark, _)) in (0u32..).zip(&marks) {
            rests.extend(rests_of(mark).into_iter().map(|r| (r, at)));
        }
        rests.sort_unstable();
        Self { marks, rests }
    }

    /// Animals whose mark is one sign off, by their marks.
    pub(super) fn of_mark(&self, mark: &str) -> Vec<NearBy> {
        let mark = norm(mark);
        if !fits(&mark) {
            return Vec::new();
        }
        let mut places: Vec<u32> = Vec::new();
        for rest in rests_of(&mark) {
            let from = self.rests.partition_point(|(r, _)| *r < rest);
            let same = self.rests[from..].iter().take_while(|(r, _)| *r == rest);
            places.extend(same.map(|(_, at)| *at));
        }
        places.sort_unstable();
        places.dedup();
        let found = places.into_iter().filter_map(|at| self.marks.get(at as usize));
        let mut all: Vec<NearBy> = Vec::new();
        for (near, animal) in found.filter(|(near, _)| one_off(near.as_bytes(), mark.as_bytes())) {
            if all.len() < MOST && !all.iter().any(|n| n.animal == *animal) {
                all.push(NearBy { animal: *animal, mark: near.clone() });
            }
        }
        all
    }
}

fn fits(mark: &str) -> bool {
    mark.is_ascii() && (SHORTEST..=LONGEST).contains(&mark.len())
}

/// Hashes of a mark whole and without each one of its signs.
fn rests_of(mark: &str) -> Vec<u64> {
    let hash = |parts: [&[u8]; 2]| {
        let mut h = DefaultHasher::new();
        parts.iter().flat_map(|p| p.iter()).for_each(|b| b.hash(&mut h));
        h.finish()
    };
    let bytes = mark.as_bytes();
    let mut all = vec![hash([bytes, &[]])];
    all.extend((0..bytes.len()).map(|at| hash([&bytes[..at], &bytes[at + 1..]])));
    all
}

/// One sign wrong, too few, too many, or two beside each other changed about.
pub(super) fn one_off(a: &[u8], b: &[u8]) -> bool {
    if a == b {
        return false;
    }
    let same = a.iter().zip(b).take_while(|(x, y)| x == y).count();
    let (a, b) = (&a[same..], &b[same..]);
    match a.len() as i64 - b.len() as i64 {
        0 => a[1..] == b[1..] || a.len() > 1 && a[0] == b[1] && a[1] == b[0] && a[2..] == b[2..],
        1 => a[1..] == *b,
        -1 => *a == b[1..],
        _ => false,
    }
}
