//! The kinship of the open book's animals, kept up with its writes.

use super::{OpenBook, worker::Job};
use hirsel_core::reckon::kinship::Kindred;
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
    /// Reckons it anew where it is not of this flock.
    pub(super) fn keep_blood(&mut self, ctx: &egui::Context) {
        if let Some(made) = self.blood.job.as_ref().and_then(Job::take) {
            self.blood.kindred = Some(Arc::new(made));
            self.blood.job = None;
        }
        let fits = |k: &Arc<Kindred>| k.version() == self.flock.version();
        if self.blood.kindred.as_ref().is_some_and(fits) || self.blood.job.is_some() {
            return;
        }
        if self.flock.len() <= SMALL {
            self.blood.kindred = Some(Arc::new(Kindred::of(&self.flock)));
        } else {
            let flock = Arc::clone(&self.flock);
            self.blood.job = Some(Job::start(ctx, move |_| Kindred::of(&flock)));
        }
    }
}
