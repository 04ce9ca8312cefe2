//! An answer about the whole flock, made once for a question: at once for a small flock, on a thread for a large one.

use crate::desk::worker::Job;
use std::sync::Arc;

/// Made at once up to so many animals.
pub(super) const SMALL: usize = 2_000;

/// What there is to show.
pub(super) enum Asked<T> {
    /// The answer to the question.
    Ready(Arc<T>),
    /// It is being made.
    Working,
    /// The work ended without an answer.
    Died,
}

/// The last answer and the work under way, each with its question.
pub(super) struct Made<K, T> {
    have: Option<(K, Arc<T>)>,
    job: Option<(K, Job<T>)>,
    died: Option<K>,
}

impl<K, T> Default for Made<K, T> {
    fn default() -> Self {
        Self { have: None, job: None, died: None }
    }
}

impl<K, T> std::fmt::Debug for Made<K, T> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Made")
    }
}

impl<K: Clone + PartialEq, T: Send + 'static> Made<K, T> {
    /// The answer to this question; `work` makes it where there is none yet.
    pub(super) fn ask(
        &mut self,
        ui: &egui::Ui,
        question: &K,
        small: bool,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Asked<T> {
        if let Some((asked, job)) = &self.job
            && let Some(answer) = job.answer()
        {
            match answer {
                Ok(answer) => self.have = Some((asked.clone(), Arc::new(answer))),
                Err(_) => self.died = Some(asked.clone()),
            }
            self.job = None;
        }
        if let Some((asked, answer)) = &self.have
            && asked == question
        {
            return Asked::Ready(Arc::clone(answer));
        }
        if self.died.as_ref() == Some(question) {
            return Asked::Died;
        }
        if small {
            let answer = Arc::new(work());
            self.have = Some((question.clone(), Arc::clone(&answer)));
            return Asked::Ready(answer);
        }
        // A question that is no longer asked is not worked at any further.
        if self.job.as_ref().is_none_or(|(asked, _)| asked != question) {
            self.job = Some((question.clone(), Job::start(ui.ctx(), move |_| work())));
        }
        Asked::Working
    }
}

/// Says that an answer is on its way, or that none came.
pub(super) fn waiting<T>(ui: &mut egui::Ui, asked: &Asked<T>) {
    match asked {
        Asked::Ready(_) => {}
        Asked::Working => {
            crate::look::faint(ui, "Being reckoned over the whole flock…");
        }
        Asked::Died => {
            let why = "This could not be reckoned. Look the book over under The book, and please report it.";
            crate::look::banner(ui, crate::look::Kind::Refuse, why, |_| {});
        }
    }
}
