//! Figures of the seasons of the open book, reckoned while they are looked at.

use super::{OpenBook, worker::Job};
use crate::pages::PageId;
use hirsel_core::reckon::flock_figures::Years;
use hirsel_core::terms::Day;
use std::sync::Arc;

/// Reckoned at once up to so many animals, on a thread beyond.
const SMALL: usize = 2_000;

/// Figures as they were reckoned last, or the job that reckons them anew.
#[derive(Default)]
pub(super) struct Kept {
    years: Option<Arc<Years>>,
    job: Option<Job<Years>>,
}

impl Kept {
    /// The figures, if they were reckoned once; they may be of the flock before the last write.
    pub(super) fn get(&self) -> Option<&Arc<Years>> {
        self.years.as_ref()
    }
}

impl OpenBook {
    /// Reckons them anew while they are looked at and not of this flock and day.
    pub(super) fn keep_figures(&mut self, ctx: &egui::Context, today: Day) {
        if let Some(made) = self.figures.job.as_ref().and_then(Job::take) {
            self.figures.years = Some(Arc::new(made));
            self.figures.job = None;
        }
        let fits = |y: &Arc<Years>| y.version() == self.flock.version() && y.day() == today;
        if self.pages.at != PageId::Figures
            || self.figures.years.as_ref().is_some_and(fits)
            || self.figures.job.is_some()
        {
            return;
        }
        if self.flock.len() <= SMALL {
            self.figures.years = Some(Arc::new(Years::of(&self.flock, today)));
        } else {
            let flock = Arc::clone(&self.flock);
            self.figures.job = Some(Job::start(ctx, move |_| Years::of(&flock, today)));
        }
    }
}
