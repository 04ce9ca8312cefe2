//! The kinship of the open book's animals, kept up with its writes.

use super::{OpenBook, worker::Job};
use crate::pages::PageId;
use hirsel_core::reckon::kinship::{Diversity, Kindred, changed, changed_words};
use hirsel_core::terms::{AnimalId, Day};
use std::sync::Arc;

/// Reckoned at once up to so many animals, on a thread beyond.
const SMALL: usize = 3_000;
/// The same for diversity, which asks for more.
const SMALL_DIVERSITY: usize = 1_000;

/// Kinship as it was reckoned last, or the job that reckons it anew; and the flock's diversity, once it was asked for.
#[derive(Default)]
pub(super) struct Kept {
    kindred: Option<Arc<Kindred>>,
    job: Option<Job<Kindred>>,
    diversity: Option<Arc<Diversity>>,
    diversity_job: Option<Job<Diversity>>,
}

impl Kept {
    /// Kinship, if it was reckoned once.
    pub(super) fn get(&self) -> Option<&Arc<Kindred>> {
        self.kindred.as_ref()
    }

    /// Diversity, if it was reckoned once; it may be of the flock before the last write.
    pub(super) fn diversity(&self) -> Option<&Arc<Diversity>> {
        self.diversity.as_ref()
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

    /// Brings kinship up to a write that moved these animals, where it can be followed; else it is reckoned anew.
    pub(super) fn follow_blood(&mut self, touched: &[AnimalId]) {
        if let Some(kindred) = self.blood.kindred.as_mut() {
            Arc::make_mut(kindred).follow(&self.flock, touched);
        }
    }

    /// Reckons diversity anew while it is looked at and not of this flock and day.
    pub(super) fn keep_diversity(&mut self, ctx: &egui::Context, today: Day) {
        if let Some(made) = self.blood.diversity_job.as_ref().and_then(Job::take) {
            self.blood.diversity = Some(Arc::new(made));
            self.blood.diversity_job = None;
        }
        let seen = self.pages.at == PageId::Blood && self.pages.blood.shows_diversity();
        let Some(kindred) = self.blood.kindred.as_ref().filter(|_| seen) else { return };
        let fits = |d: &Arc<Diversity>| d.version() == kindred.version() && d.day() == Some(today);
        if self.blood.diversity.as_ref().is_some_and(fits)
            || self.blood.diversity_job.is_some()
            || kindred.version() != self.flock.version()
        {
            return;
        }
        if self.flock.len() <= SMALL_DIVERSITY {
            self.blood.diversity = Some(Arc::new(Diversity::of(&self.flock, kindred, today)));
        } else {
            let (flock, kindred) = (Arc::clone(&self.flock), Arc::clone(kindred));
            self.blood.diversity_job = Some(Job::start(ctx, move |_| Diversity::of(&flock, &kindred, today)));
        }
    }
}
