//! What is doubtful in the open book's pedigree, and animals made one: looked through while the page on blood is seen.

use super::{OpenBook, worker::Job};
use crate::pages::PageId;
use hirsel_core::book::Merged;
use hirsel_core::reckon::doubts::Doubts;
use std::sync::Arc;

/// Looked through at once up to so many animals, on a thread beyond.
const SMALL: usize = 2_000;

/// The doubts, or the job that finds them. What was found before stands until the new is there.
#[derive(Default)]
pub(super) struct Kept {
    doubts: Option<Doubts>,
    job: Option<Job<Doubts>>,
    merges: Vec<Merged>,
    /// The last line of the journal that was looked at for merges.
    upto: i64,
}

impl Kept {
    /// The doubts, if they were looked for once.
    pub(super) fn get(&self) -> Option<&Doubts> {
        self.doubts.as_ref()
    }

    /// Animals that were made one, in order of time.
    pub(super) fn merges(&self) -> &[Merged] {
        &self.merges
    }
}

impl OpenBook {
    /// Looks the pedigree through anew where the doubts are not of this flock.
    pub(super) fn keep_doubts(&mut self, ctx: &egui::Context) {
        if let Some(made) = self.doubts.job.as_ref().and_then(Job::take) {
            self.doubts.doubts = Some(made);
            self.doubts.job = None;
        }
        if self.pages.at != PageId::Blood {
            return;
        }
        // Lines of the journal never change: only new ones are read.
        let last = self.history.first().map_or(0, |p| p.seq);
        if last > self.doubts.upto {
            self.doubts.merges.extend(self.book.merges(self.doubts.upto).unwrap_or_default());
            self.doubts.upto = last;
        }
        let fits = |d: &Doubts| d.version() == self.flock.version();
        if self.doubts.doubts.as_ref().is_some_and(fits) || self.doubts.job.is_some() {
            return;
        }
        if self.flock.len() <= SMALL {
            self.doubts.doubts = Some(Doubts::of(&self.flock));
        } else {
            let flock = Arc::clone(&self.flock);
            self.doubts.job = Some(Job::start(ctx, move |_| Doubts::of(&flock)));
        }
    }
}
