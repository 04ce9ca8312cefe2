//! Who may be kept and who may leave, reckoned while its page is looked at.

use super::{OpenBook, worker::Job};
use crate::pages::PageId;
use hirsel_core::reckon::evaluation::PlacedAnimal;
use hirsel_core::reckon::keeping::{Keeping, KeepingAsk, Values};
use hirsel_core::terms::Day;
use std::sync::Arc;

/// Reckoned at once up to so many animals, on a thread beyond.
const SMALL: usize = 400;

/// As it was reckoned last, what it was asked for, and the job that reckons it anew.
#[derive(Default)]
pub(super) struct Kept {
    made: Option<Arc<Keeping>>,
    /// The season, and the number of the breeding values it was reckoned with.
    asked: (Option<i32>, Option<u64>),
    job: Option<Job<Keeping>>,
}

impl Kept {
    /// What there is; it may be of the flock before the last write.
    pub(super) fn get(&self) -> Option<&Arc<Keeping>> {
        self.made.as_ref()
    }
}

impl OpenBook {
    /// Reckons it anew while it is looked at and not of this flock, day and season.
    pub(super) fn keep_keeping(&mut self, ctx: &egui::Context, today: Day) {
        if let Some(made) = self.keeping.job.as_ref().and_then(Job::take) {
            self.keeping.made = Some(Arc::new(made));
            self.keeping.job = None;
        }
        let seen = self.pages.at == PageId::Keeping && self.pages.keeping.shows_sheets();
        let Some(kindred) = self.blood.get().filter(|_| seen) else { return };
        let season = self.pages.keeping.season();
        let found = self.values.get().found().cloned();
        let asked = (season, found.as_ref().map(|f| f.number));
        let fits = |k: &Arc<Keeping>| k.version() == self.flock.version() && k.day() == Some(today);
        if (self.keeping.made.as_ref().is_some_and(fits) && self.keeping.asked == asked)
            || self.keeping.job.is_some()
            || kindred.version() != self.flock.version()
        {
            return;
        }
        self.keeping.asked = asked;
        // Values that the keeper asked for come before the usual ones.
        let of = |p: &PlacedAnimal| (p.id, (p.estimate.value, p.estimate.accuracy));
        let values = found.map(|found| Values {
            of: Arc::new(found.placed.iter().map(of).collect()),
            words: found.words(),
        });
        let (flock, kindred) = (Arc::clone(&self.flock), Arc::clone(kindred));
        let make = move |go_on: &mut dyn FnMut(f64) -> bool| match values {
            Some(values) => {
                Keeping::of(&flock, &kindred, &KeepingAsk { season, values: Some(values) }, today)
            }
            None => Keeping::whole(&flock, &kindred, season, today, go_on),
        };
        if self.flock.len() <= SMALL {
            self.keeping.made = Some(Arc::new(make(&mut |_| true)));
        } else {
            self.keeping.job =
                Some(Job::start(ctx, move |reins| make(&mut |p| reins.go_on((p * 100.0) as u32))));
        }
    }
}
