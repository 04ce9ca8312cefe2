//! The store of feed, reckoned while it is seen.

use super::{OpenBook, worker::Job};
use crate::pages::PageId;
use hirsel_core::reckon::feedstore::Store;
use hirsel_core::terms::Day;
use std::sync::Arc;

/// Reckoned at once up to so many animals, on a thread beyond.
const SMALL: usize = 500;

/// The store as it was reckoned last, or the job that reckons it anew.
#[derive(Default)]
pub(super) struct Kept {
    store: Option<Arc<Store>>,
    job: Option<Job<Store>>,
}

impl Kept {
    /// The store, if it was reckoned once; it may be of the flock before the last write.
    pub(super) fn get(&self) -> Option<&Arc<Store>> {
        self.store.as_ref()
    }
}

impl OpenBook {
    /// Reckons the store anew while it is seen and not of this flock and day.
    pub(super) fn keep_feeding(&mut self, ctx: &egui::Context, today: Day) {
        if let Some(store) = self.feeding.job.as_ref().and_then(Job::take) {
            self.feeding.store = Some(Arc::new(store));
            self.feeding.job = None;
        }
        let fits = |s: &Arc<Store>| s.version() == self.flock.version() && s.day() == today;
        let asked = matches!(self.pages.at, PageId::Tonight | PageId::Feed);
        if !asked || self.feeding.store.as_ref().is_some_and(fits) || self.feeding.job.is_some() {
            return;
        }
        if self.flock.len() <= SMALL {
            self.feeding.store = Some(Arc::new(Store::of(&self.flock, today)));
        } else {
            let flock = Arc::clone(&self.flock);
            self.feeding.job = Some(Job::start(ctx, move |_| Store::of(&flock, today)));
        }
    }
}
