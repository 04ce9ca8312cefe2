//! Two animals made one.

use super::Maker;
use hirsel_core::entry::{Check, MergeDraft, MergeFact, merge, merge_usual};
use hirsel_core::flock::Flock;
use hirsel_core::terms::Sex;

impl Maker {
    pub(super) fn merge(&mut self, flock: &Flock) -> Option<Check> {
        let keep = self.one(flock, |_| true)?;
        let ewe = flock.animal(keep)?.sex == Sex::Ewe;
        let gone = self.one(flock, |f| f.animal.id != keep && (f.animal.sex == Sex::Ewe) == ewe)?;
        let take = if self.rng.bool() {
            merge_usual(flock.animal(keep)?, flock.animal(gone)?, flock)
        } else {
            MergeFact::ALL.into_iter().filter(|_| self.rng.bool()).collect()
        };
        Some(merge(MergeDraft { keep, gone, take, reason: format!("seen: {}", self.text()) }, flock))
    }
}
