//! What is missing before a visit, kept up with the writes of the open book and the day.

use super::{OpenBook, worker::Job};
use hirsel_core::reckon::visit::{Visit, visit};
use hirsel_core::terms::Day;
use std::sync::Arc;

/// Looked through at once up to so many animals, on a thread beyond.
const SMALL: usize = 1_000;

/// The answers, or the job that makes them. What was found before stands until the new is there.
#[derive(Default)]
pub(super) struct Kept {
    visit: Option<Visit>,
    job: Option<Job<Visit>>,
}

impl Kept {
    /// The answers, if they were made once.
    pub(super) fn get(&self) -> Option<&Visit> {
        self.visit.as_ref()
    }
}

impl OpenBook {
    /// Makes the answers anew where they are not of this flock and day.
    pub(super) fn keep_visit(&mut self, ctx: &egui::Context, today: Day) {
        if let Some(made) = self.visit.job.as_ref().and_then(Job::take) {
            self.visit.visit = Some(made);
            self.visit.job = None;
        }
        let fits = |v: &Visit| v.version() == self.flock.version() && v.day() == today;
        if self.visit.visit.as_ref().is_some_and(fits) || self.visit.job.is_some() {
            return;
        }
        if self.flock.len() <= SMALL {
            self.visit.visit = Some(visit(&self.flock, today));
        } else {
            let flock = Arc::clone(&self.flock);
            self.visit.job = Some(Job::start(ctx, move |_| visit(&flock, today)));
        }
    }
}
