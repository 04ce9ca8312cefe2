//! An answer about the whole flock that parts of this page keep, each for its question.

use super::super::asking::{Asking, Stands};
use std::sync::Arc;

/// What there is to show.
pub(super) enum Asked<T> {
    /// The answer to the question.
    Ready(Arc<T>),
    /// It is being made.
    Working,
    /// The work ended without an answer.
    Died,
}

/// The last answer, and the work under way.
#[derive(Debug)]
pub(super) struct Made<K, T> {
    have: Option<Arc<T>>,
    asking: Asking<K, T>,
}

impl<K, T> Default for Made<K, T> {
    fn default() -> Self {
        Self { have: None, asking: Asking::default() }
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
        let (came, stands) = self.asking.ask(ui, question, small, work);
        self.have = came.map(Arc::new).or(self.have.take());
        match (stands, &self.have) {
            (Stands::Answered, Some(answer)) => Asked::Ready(Arc::clone(answer)),
            (Stands::Died, _) => Asked::Died,
            _ => Asked::Working,
        }
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
