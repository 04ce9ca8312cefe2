//! A question about the whole flock, answered once: at once for a small flock, on a thread for a large one.

use crate::desk::worker::Job;

/// Answered at once up to so many animals.
pub const SMALL: usize = 2_000;

/// How a question stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// What came last answers it.
    Answered,
    /// It is being worked at.
    Working,
    /// The work ended without an answer; it is not tried again.
    Died,
}

/// Which question was answered last, and the work under way. Whoever asks keeps the answers.
pub struct Asking<K, T> {
    of: Option<K>,
    died: Option<K>,
    job: Option<(K, Job<T>)>,
}

impl<K, T> Default for Asking<K, T> {
    fn default() -> Self {
        Self { of: None, died: None, job: None }
    }
}

impl<K, T> std::fmt::Debug for Asking<K, T> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Asking")
    }
}

impl<K: Clone + PartialEq, T: Send + 'static> Asking<K, T> {
    /// Sees to it that this question is answered, by `work` where it is not: gives what has come since it was last
    /// asked, which may be of the question before, and how the question stands.
    pub fn ask(
        &mut self,
        ui: &egui::Ui,
        question: &K,
        small: bool,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> (Option<T>, Stands) {
        let mut came = None;
        if let Some(answer) = self.job.as_ref().and_then(|(_, job)| job.answer()) {
            let of = self.job.take().map(|(of, _)| of);
            match answer {
                Ok(answer) => (self.of, came) = (of, Some(answer)),
                Err(_) => self.died = of,
            }
        }
        if self.of.as_ref() == Some(question) {
            return (came, Stands::Answered);
        }
        if self.died.as_ref() == Some(question) {
            return (came, Stands::Died);
        }
        if small {
            self.of = Some(question.clone());
            return (Some(work()), Stands::Answered);
        }
        // A question that is no longer asked is not worked at any further.
        if self.job.as_ref().is_none_or(|(of, _)| of != question) {
            self.job = Some((question.clone(), Job::start(ui.ctx(), move |_| work())));
        }
        (came, Stands::Working)
    }

    /// The question that was answered last.
    pub fn of(&self) -> Option<&K> {
        self.of.as_ref()
    }
}
