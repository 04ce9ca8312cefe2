//! Rows of a list made once for a question: at once for a small flock, on a thread for a large one.

use super::list::{List, Row};
use crate::desk::worker::Job;

/// Made at once up to so many animals.
pub const SMALL: usize = 2_000;
/// More rows than this are let go on a thread.
const MANY: usize = 5_000;

/// A list with the question it answers, and what was found along with it. The rows before stay to be seen while others
/// are being made.
pub struct Listing<Q, K, X = ()> {
    /// The rows.
    pub list: List<K>,
    /// What was found along with them.
    pub with: X,
    of: Option<Q>,
    job: Option<(Q, Job<Made<K, X>>)>,
}

/// Rows, and what was found along with them.
pub type Made<K, X> = (Vec<Row<K>>, X);

impl<Q, K, X: Default> Default for Listing<Q, K, X> {
    fn default() -> Self {
        Self { list: List::default(), with: X::default(), of: None, job: None }
    }
}

impl<Q, K, X> std::fmt::Debug for Listing<Q, K, X> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Listing")
    }
}

impl<Q: Clone + PartialEq, K: Send + 'static, X: Send + 'static> Listing<Q, K, X> {
    /// Sees to it that the rows answer this question; `work` makes them where they do not. Tells whether they do now.
    pub fn ask(
        &mut self,
        ui: &egui::Ui,
        question: &Q,
        small: bool,
        work: impl FnOnce() -> Made<K, X> + Send + 'static,
    ) -> bool {
        if let Some(made) = self.job.as_ref().and_then(|(_, job)| job.answer()) {
            let of = self.job.take().map(|(of, _)| of);
            match made {
                Ok(made) => self.set(ui, of, made),
                // It died: the rows before stay, and it is not tried again.
                Err(_) => self.of = of,
            }
        }
        if self.of.as_ref() == Some(question) {
            return true;
        }
        if small {
            self.set(ui, Some(question.clone()), work());
            return true;
        }
        if self.job.as_ref().is_none_or(|(of, _)| of != question) {
            self.job = Some((question.clone(), Job::start(ui.ctx(), move |_| work())));
        }
        false
    }

    /// Nothing was made yet.
    pub fn is_new(&self) -> bool {
        self.of.is_none()
    }

    /// The question that the rows answer.
    pub fn of(&self) -> Option<&Q> {
        self.of.as_ref()
    }

    fn set(&mut self, ui: &egui::Ui, of: Option<Q>, (rows, with): Made<K, X>) {
        let before = std::mem::take(&mut self.list.rows);
        if before.len() > MANY {
            drop(Job::start(ui.ctx(), move |_| drop(before)));
        }
        self.list.set(rows);
        (self.with, self.of) = (with, of);
    }
}
