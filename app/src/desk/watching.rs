//! Who is to be watched and who falls behind, looked through while it is seen.

use super::{OpenBook, worker::Job};
use crate::pages::PageId;
use hirsel_core::reckon::watch::Watching;
use hirsel_core::terms::Day;
use std::sync::Arc;

/// Looked through at once up to so many animals, on a thread beyond.
const SMALL: usize = 2_000;

/// Who is watched, as it was looked through last, or the job that looks anew.
#[derive(Default)]
pub(super) struct Kept {
    seen: Option<Arc<Watching>>,
    job: Option<Job<Watching>>,
}

impl Kept {
    /// Who is watched, if it was looked through once; it may be of the flock before the last write.
    pub(super) fn get(&self) -> Option<&Arc<Watching>> {
        self.seen.as_ref()
    }
}

impl OpenBook {
    /// Looks through the flock anew while it is seen and not of this flock and day.
    pub(super) fn keep_watching(&mut self, ctx: &egui::Context, today: Day) {
        if let Some(seen) = self.watching.job.as_ref().and_then(Job::take) {
            self.watching.seen = Some(Arc::new(seen));
            self.watching.job = None;
        }
        let fits = |w: &Arc<Watching>| w.version() == self.flock.version() && w.day() == today;
        let asked = match self.pages.at {
            PageId::Tonight => true,
            PageId::Weights => self.pages.weights.shows_curves(),
            _ => false,
        };
        if !asked || self.watching.seen.as_ref().is_some_and(fits) || self.watching.job.is_some() {
            return;
        }
        if self.flock.len() <= SMALL {
            self.watching.seen = Some(Arc::new(Watching::of(&self.flock, today)));
        } else {
            let flock = Arc::clone(&self.flock);
            self.watching.job = Some(Job::start(ctx, move |_| Watching::of(&flock, today)));
        }
    }
}
