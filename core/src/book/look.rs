//! The look over the journal of a large book, which goes on after the book is open.
//!
//! Its pages are most of a large file, and none of them is needed to show the flock. It reads the file without a
//! lock, so nothing may be written until it is done: whoever writes, waits for it.

use super::{Failed, check};
use rusqlite::{Connection, InterruptHandle};
use std::cell::RefCell;
use std::path::Path;
use std::thread::JoinHandle;

/// How far the look is.
#[derive(Default)]
pub(super) struct Look(RefCell<State>);

enum State {
    Going(JoinHandle<Option<String>>, InterruptHandle),
    /// What is wrong, if something is.
    Done(Option<String>),
}

impl Default for State {
    fn default() -> Self {
        Self::Done(None)
    }
}

impl Look {
    /// Looks over these tables of a file that does not change.
    pub(super) fn start(reader: Connection, path: &Path, tables: Vec<String>) -> Self {
        let stop = reader.get_interrupt_handle();
        let path = path.to_path_buf();
        let thread = std::thread::spawn(move || {
            tables.iter().find_map(|t| match check::quick(&reader, &path, t) {
                Ok(()) => None,
                Err(Failed::Damaged { what, .. } | Failed::Other { what, .. }) => Some(what),
                Err(other) => Some(other.to_string()),
            })
        });
        Self(RefCell::new(State::Going(thread, stop)))
    }

    /// The look is still going on.
    pub(super) fn is_going(&self) -> bool {
        matches!(&*self.0.borrow(), State::Going(thread, _) if !thread.is_finished())
    }

    /// Waits for its end.
    ///
    /// # Errors
    /// The file is damaged.
    pub(super) fn end(&self, path: &Path) -> Result<(), Failed> {
        let mut state = self.0.borrow_mut();
        *state = match std::mem::take(&mut *state) {
            State::Going(thread, _) => {
                State::Done(thread.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
            }
            done => done,
        };
        match &*state {
            State::Done(Some(what)) => Err(check::damaged(path, what)),
            _ => Ok(()),
        }
    }
}

impl Drop for Look {
    /// A book that is closed need not be looked over any further.
    fn drop(&mut self) {
        if let State::Going(thread, stop) = self.0.take() {
            stop.interrupt();
            let _ = thread.join();
        }
    }
}
