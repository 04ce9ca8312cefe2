//! An answer that takes long: reckoned on a thread with its progress, stopped by the keeper, the one before to be seen.

use crate::desk::worker::Job;
use hirsel_core::phrase;
use std::sync::Arc;

/// How a question stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stands {
    /// What is kept answers it.
    Answered,
    /// It is being worked at, so many percent.
    Working(u32),
    /// It was stopped, or the work died; it is not tried again.
    Stopped,
}

/// The last answer with its question, and the work under way.
pub(super) struct Reckoned<Q, T> {
    have: Option<(Q, Arc<T>)>,
    job: Option<(Q, Job<Option<T>>)>,
    ended: Option<Q>,
}

impl<Q, T> Default for Reckoned<Q, T> {
    fn default() -> Self {
        Self { have: None, job: None, ended: None }
    }
}

impl<Q, T> std::fmt::Debug for Reckoned<Q, T> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Reckoned")
    }
}

impl<Q: Clone + PartialEq, T: Send + 'static> Reckoned<Q, T> {
    /// Sees to it that this question is answered: at once where it is `small`. `work` tells how far it is and asks
    /// whether to go on; it gives nothing when stopped.
    pub(super) fn ask(
        &mut self,
        ui: &egui::Ui,
        question: &Q,
        small: bool,
        work: impl FnOnce(&mut dyn FnMut(u32, u32) -> bool) -> Option<T> + Send + 'static,
    ) -> Stands {
        if let Some(answer) = self.job.as_ref().and_then(|(_, job)| job.answer())
            && let Some((of, _)) = self.job.take()
        {
            match answer {
                Ok(Some(answer)) => self.have = Some((of, Arc::new(answer))),
                _ => self.ended = Some(of),
            }
        }
        if self.have.as_ref().is_some_and(|(of, _)| of == question) {
            return Stands::Answered;
        }
        if self.ended.as_ref() == Some(question) {
            return Stands::Stopped;
        }
        if small {
            match work(&mut |_, _| true) {
                Some(answer) => self.have = Some((question.clone(), Arc::new(answer))),
                None => self.ended = Some(question.clone()),
            }
            return Stands::Answered;
        }
        // A question that is no longer asked is not worked at any further.
        if self.job.as_ref().is_none_or(|(of, _)| of != question) {
            let job =
                Job::start(ui.ctx(), move |reins| work(&mut |done, of| reins.go_on(100 * done / of.max(1))));
            self.job = Some((question.clone(), job));
        }
        Stands::Working(self.job.as_ref().map_or(0, |(_, job)| job.percent()))
    }

    /// The last answer, which may be of the question before.
    pub(super) fn have(&self) -> Option<&Arc<T>> {
        self.have.as_ref().map(|(_, answer)| answer)
    }

    /// Stops what is under way.
    pub(super) fn stop(&mut self) {
        if let Some((of, job)) = self.job.take() {
            job.stop();
            self.ended = Some(of);
        }
    }

    /// Tries again what was stopped.
    pub(super) fn again(&mut self) {
        self.ended = None;
    }
}

/// Says how far it is, with a button that stops it; or that it was stopped, with one that begins anew.
pub(super) fn progress<Q: Clone + PartialEq, T: Send + 'static>(
    ui: &mut egui::Ui,
    stands: Stands,
    of: &mut Reckoned<Q, T>,
) {
    match stands {
        Stands::Answered => {}
        Stands::Working(percent) => {
            ui.horizontal(|ui| {
                crate::look::faint(ui, phrase!("Being reckoned: {percent} %"));
                if ui.button(phrase!("Stop")).clicked() {
                    of.stop();
                }
            });
        }
        Stands::Stopped => {
            ui.horizontal(|ui| {
                crate::look::faint(ui, "Stopped: nothing was reckoned.");
                if ui.button(phrase!("Reckon again")).clicked() {
                    of.again();
                }
            });
        }
    }
}
