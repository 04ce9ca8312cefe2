//! The kinship of the open book's animals, kept up with its writes.

use super::{OpenBook, worker::Job};
use hirsel_core::reckon::kinship::{Kindred, changed, changed_words};
use std::sync::Arc;

/// Reckoned at once up to so many animals, on a thread beyond.
const SMALL: usize = 3_000;

/// Kinship as it was reckoned last, or the job that reckons it anew.
#[derive(Default)]
pub(super) struct Kept {
    kindred: Option<Arc<Kindred>>,
    job: Option<Job<Kindred>>,
}

impl Kept {
    /// Kinship, if it was reckoned once.
    pub(super) fn get(&self) -> Option<&Arc<Kindred>> {
        self.kindred.as_ref()
    }
}

impl OpenBook {
    /// Reckons it anew where it is not of this flock. Tells what a write changed in the inbreeding of animals that were
    /// known before.
    pub(super) fn keep_blood(&mut self, ctx: &egui::Context) -> Option<String> {
        let mut told = None;
        if let Some(made) = self.blood.job.as_ref().and_then(Job::take) {
            self.blood.job = None;
            told = self.take_blood(made);
        }
        let fits = |k: &Arc<Kindred>| k.version() == self.flock.version();
        if self.blood.kindred.as_ref().is_some_and(fits) || self.blood.job.is_some() {
            return told;
        }
        if self.flock.len() <= SMALL {
            let made = Kindred::of(&self.flock);
            return self.take_blood(made);
        }
        let flock = Arc::clone(&self.flock);
        self.blood.job = Some(Job::start(ctx, move |_| Kindred::of(&flock)));
        told
    }

    fn take_blood(&mut self, made: Kindred) -> Option<String> {
        let before = self.blood.kindred.replace(Arc::new(made))?;
        let all = changed(&before, self.blood.kindred.as_ref()?);
        changed_words(&all, &self.flock)
    }
}
