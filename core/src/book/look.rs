//! The look over a large book, which goes on after the book is open.
//!
//! Its rows and the pages of its journal, which are most of the file, need not be gone through to show the flock. It
//! reads the file without a lock, so nothing may be written until it is done: whoever writes, waits for it; whoever only
//! reads, waits for what was read.

use super::{Failed, check};
use rusqlite::{Connection, InterruptHandle};
use std::cell::RefCell;
use std::path::Path;
use std::sync::{Arc, OnceLock};
use std::thread::JoinHandle;

/// How far the look is.
#[derive(Default)]
pub(super) struct Look(RefCell<State>);

/// What is wrong, if something is.
type Found = Option<String>;

enum State {
    /// With what was found in the records, once they are done.
    Going(JoinHandle<Found>, InterruptHandle, Arc<OnceLock<Found>>),
    Done(Found),
}

impl Default for State {
    fn default() -> Self {
        Self::Done(None)
    }
}

impl Look {
    /// Looks over these tables of a file that does not change, the journal's last.
    pub(super) fn start(reader: Connection, path: &Path, tables: Vec<String>) -> Self {
        let (stop, path) = (reader.get_interrupt_handle(), path.to_path_buf());
        let (journal, records): (Vec<_>, Vec<_>) = tables.into_iter().partition(|t| check::is_journal(t));
        let records_done = Arc::default();
        let tell = Told(Arc::clone(&records_done));
        let thread = std::thread::spawn(move || {
            let look = |tables: &[String]| {
                tables.iter().find_map(|t| match check::quick(&reader, &path, t) {
                    Ok(()) => None,
                    Err(Failed::Damaged { what, .. } | Failed::Other { what, .. }) => Some(what),
                    Err(other) => Some(other.to_string()),
                })
            };
            let found = look(&records);
            tell.0.get_or_init(|| found.clone());
            found.or_else(|| look(&journal))
        });
        Self(RefCell::new(State::Going(thread, stop, records_done)))
    }

    /// The look is still going on.
    pub(super) fn is_going(&self) -> bool {
        matches!(&*self.0.borrow(), State::Going(thread, ..) if !thread.is_finished())
    }

    /// Waits until the records are looked over; the journal may not be.
    ///
    /// # Errors
    /// They are damaged.
    pub(super) fn end_of_records(&self, path: &Path) -> Result<(), Failed> {
        match &*self.0.borrow() {
            State::Going(_, _, records) => sound(path, records.wait().as_deref()),
            State::Done(found) => sound(path, found.as_deref()),
        }
    }

    /// Waits for its end.
    ///
    /// # Errors
    /// The file is damaged.
    pub(super) fn end(&self, path: &Path) -> Result<(), Failed> {
        let mut state = self.0.borrow_mut();
        *state = match std::mem::take(&mut *state) {
            State::Going(thread, ..) => {
                State::Done(thread.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
            }
            done => done,
        };
        match &*state {
            State::Done(found) => sound(path, found.as_deref()),
            State::Going(..) => Ok(()),
        }
    }
}

fn sound(path: &Path, found: Option<&str>) -> Result<(), Failed> {
    found.map_or(Ok(()), |what| Err(check::damaged(path, what)))
}

/// What is found in the records is told even if the thread ends early: nobody waits for ever.
struct Told(Arc<OnceLock<Found>>);

impl Drop for Told {
    fn drop(&mut self) {
        self.0.get_or_init(|| Some("it could not be looked over".into()));
    }
}

impl Drop for Look {
    /// A book that is closed need not be looked over any further.
    fn drop(&mut self) {
        if let State::Going(thread, stop, _) = self.0.take() {
            stop.interrupt();
            let _ = thread.join();
        }
    }
}
