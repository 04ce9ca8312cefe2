//! What is known of a whole flock before any ewe is looked at: the lengths its ewes go, and when each ram's ewes were
//! looked at. Kept up with the writes: what hangs on files that did not change is taken over.

use super::learn;
use super::lengths::Lengths;
use super::service::Looks;
use crate::flock::{Block, Crayon, Flock};
use crate::terms::{AnimalId, Breed, Day};
use std::sync::Arc;

/// What is reckoned once of a flock: lengths, and the days on which each ram's ewes were looked at.
#[derive(Debug, Default)]
pub(crate) struct Known {
    pub lengths: Lengths,
    pub looks: Arc<Looks>,
    /// The keeper's figures as written.
    own: String,
    parts: Vec<Part>,
}

/// What one block of files tells.
#[derive(Debug)]
struct Part {
    block: Block,
    seen: Arc<Seen>,
    lengths: Arc<Vec<(Option<Breed>, i64)>>,
}

/// What the files of a block tell of services of other ewes.
#[derive(Debug, Default, PartialEq)]
struct Seen {
    looks: Vec<(AnimalId, Day)>,
    crayons: Vec<Crayon>,
}

impl Seen {
    fn of(block: &Block) -> Self {
        let files = || block.iter().flatten();
        Self {
            looks: files().flat_map(Looks::told).collect(),
            crayons: files().flat_map(|f| &f.crayons).cloned().collect(),
        }
    }
}

impl Known {
    fn of(flock: &Flock, before: &Self) -> Self {
        let blocks = flock.blocks();
        let old = |n: usize| before.parts.get(n).filter(|p| Arc::ptr_eq(&p.block, &blocks[n]));
        let seen: Vec<Arc<Seen>> = (0..blocks.len())
            .map(|n| old(n).map_or_else(|| Arc::new(Seen::of(&blocks[n])), |p| Arc::clone(&p.seen)))
            .collect();
        // What a ewe's marks tell hangs on the looks and crayons of rams whose files lie elsewhere.
        let nothing = Seen::default();
        let was = |n: usize| before.parts.get(n).map_or(&nothing, |p| &*p.seen);
        let settled =
            seen.len() >= before.parts.len() && seen.iter().enumerate().all(|(n, s)| **s == *was(n));
        let looks = match settled {
            true => Arc::clone(&before.looks),
            false => Arc::new(Looks::of(seen.iter().flat_map(|s| &s.looks))),
        };
        let of_block = |block: &Block| {
            let files = block.iter().flatten();
            let known = files.flat_map(|f| {
                let days = learn::known_lengths(flock, f, &looks);
                days.into_iter().map(|d| (f.animal.breed.clone(), d))
            });
            known.collect()
        };
        let parts: Vec<Part> = (seen.into_iter().enumerate())
            .map(|(n, seen)| {
                let lengths = match old(n).filter(|_| settled) {
                    Some(part) => Arc::clone(&part.lengths),
                    None => Arc::new(of_block(&blocks[n])),
                };
                Part { block: Arc::clone(&blocks[n]), seen, lengths }
            })
            .collect();
        let own = flock.holding().gestation.clone();
        let same = own == before.own
            && parts.len() == before.parts.len()
            && parts
                .iter()
                .zip(&before.parts)
                .all(|(a, b)| Arc::ptr_eq(&a.lengths, &b.lengths) || a.lengths == b.lengths);
        let lengths = match same {
            true => before.lengths.clone(),
            false => Lengths::of(&own, parts.iter().flat_map(|p| p.lengths.iter())),
        };
        Self { lengths, looks, own, parts }
    }
}

/// What is known of this flock, reckoned once for each version of it.
pub(crate) fn known(flock: &Flock) -> Arc<Known> {
    flock.kept_from(|before: Option<Arc<Known>>| {
        let nothing = Known::default();
        Known::of(flock, before.as_deref().unwrap_or(&nothing))
    })
}
