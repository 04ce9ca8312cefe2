//! Rows of a list made once for a question, with the rows before to be seen while others are being made.

use super::asking::{Asking, Stands};
use super::list::{List, Row};
use crate::desk::worker::Job;

/// More rows than this are let go on a thread.
const MANY: usize = 5_000;

/// A list with the question it answers, and what was found along with it.
pub struct Listing<Q, K, X = ()> {
    /// The rows.
    pub list: List<K>,
    /// What was found along with them.
    pub with: X,
    asking: Asking<Q, Made<K, X>>,
}

/// Rows, and what was found along with them.
pub type Made<K, X> = (Vec<Row<K>>, X);

impl<Q, K, X: Default> Default for Listing<Q, K, X> {
    fn default() -> Self {
        Self { list: List::default(), with: X::default(), asking: Asking::default() }
    }
}

impl<Q, K, X> std::fmt::Debug for Listing<Q, K, X> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Listing")
    }
}

impl<Q: Clone + PartialEq, K: Send + 'static, X: Send + 'static> Listing<Q, K, X> {
    /// Sees to it that the rows answer this question; `work` makes it so where they do not. Tells whether nothing more
    /// is to come.
    pub fn ask(
        &mut self,
        ui: &egui::Ui,
        question: &Q,
        small: bool,
        work: impl FnOnce() -> Made<K, X> + Send + 'static,
    ) -> bool {
        let (came, stands) = self.asking.ask(ui, question, small, work);
        if let Some((rows, with)) = came {
            let before = std::mem::take(&mut self.list.rows);
            if before.len() > MANY {
                drop(Job::start(ui.ctx(), move |_| drop(before)));
            }
            self.list.set(rows);
            self.with = with;
        }
        stands != Stands::Working
    }

    /// Nothing was made yet.
    pub fn is_new(&self) -> bool {
        self.asking.of().is_none()
    }

    /// The question that the rows answer.
    pub fn of(&self) -> Option<&Q> {
        self.asking.of()
    }
}
