//! Another copy of this book on its way in: looked over off the window's thread, shown first, brought in when the keeper
//! says so; and what is to be decided between the two.

use super::files;
use super::worker::{Died, Job};
use super::{Chosen, Desk, Stage};
use crate::look::Kind as Say;
use hirsel_core::book::{Conflict, Other, Side, United};
use hirsel_core::phrase;
use std::path::{Path, PathBuf};

/// The other copy as far as it is read.
pub enum OtherCopy {
    /// Being looked over.
    Reading {
        /// The file's name.
        name: String,
    },
    /// It cannot be brought in.
    Refused {
        /// The file's name.
        name: String,
        /// Why, and what to do.
        why: String,
    },
    /// Looked over; nothing is written yet.
    Ready(Box<Ready>),
}

/// A copy that can be brought in.
pub struct Ready {
    /// The file's name.
    pub name: String,
    /// What it would bring.
    pub would: United,
    other: Other,
    version: u64,
}

/// A copy under way, and what is to be decided.
#[derive(Default)]
pub(super) struct Kept {
    shown: Option<OtherCopy>,
    job: Option<Job<Result<Other, String>>>,
    /// What both copies changed differently.
    pub(super) conflicts: Vec<Conflict>,
}

impl Kept {
    pub(super) fn shown(&self) -> Option<&OtherCopy> {
        self.shown.as_ref()
    }
}

impl Desk {
    /// Looks another copy over, or lets the keeper choose it.
    pub(super) fn look_at_copy(&mut self, ctx: &egui::Context, path: Option<&Path>) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(path) = path else {
            let job = Job::start(ctx, |_| {
                rfd::FileDialog::new()
                    .set_title("Another copy of this book")
                    .add_filter("Hirsel book", &["hirsel"])
                    .pick_file()
            });
            open.chosen_file = Some((Chosen::Other, job));
            return;
        };
        let path = files::absolute(&path.to_string_lossy(), &open.path);
        open.other.shown = Some(OtherCopy::Reading { name: name(&path) });
        let own = open.path.clone();
        open.other.job = Some(Job::start(ctx, move |_| Other::read(&own, &path).map_err(|e| e.to_string())));
    }

    /// Takes in what a thread has looked over.
    pub(super) fn poll_copies(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        let answer = open.other.job.as_ref().and_then(Job::answer);
        match answer {
            Some(answer) => {
                open.other.job = None;
                let read = answer
                    .unwrap_or_else(|Died| Err(phrase!("the copy could not be read; please report it")));
                self.copy_read(read);
            }
            None => {
                // The book changed since: what the copy would bring is looked up anew.
                let stale = matches!(&open.other.shown, Some(OtherCopy::Ready(r)) if r.version != open.flock.version());
                if stale && let Some(OtherCopy::Ready(r)) = open.other.shown.take() {
                    self.copy_read(Ok(r.other));
                }
            }
        }
    }

    fn copy_read(&mut self, read: Result<Other, String>) {
        let Stage::Open(open) = &mut self.stage else { return };
        let before = match open.other.shown.take() {
            Some(OtherCopy::Reading { name }) => name,
            _ => String::new(),
        };
        let done = read.and_then(|other| {
            let would = open.book.would_unite(&other).map_err(|e| e.to_string())?;
            Ok(Box::new(Ready { name: name(other.path()), would, other, version: open.flock.version() }))
        });
        let (kind, said) = match done {
            Ok(ready) => {
                let said = phrase!("{}, not yet brought in: {}", ready.name, ready.would.words());
                open.other.shown = Some(OtherCopy::Ready(ready));
                (Say::Plain, said)
            }
            Err(why) => {
                open.other.shown = Some(OtherCopy::Refused { name: before, why: why.clone() });
                (Say::Refuse, why)
            }
        };
        self.say(kind, said);
    }

    /// Brings the copy in that was looked over.
    pub(super) fn bring_copy(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(OtherCopy::Ready(ready)) = open.other.shown.take() else { return };
        match open.book.unite(&ready.other) {
            Ok(united) => {
                open.trouble = None;
                open.refresh_whole();
                let kind = if united.conflicts > 0 { Say::Caution } else { Say::Good };
                self.say(kind, phrase!("Brought together with {}: {}", ready.name, united.words()));
            }
            Err(e) => self.failed(&e),
        }
    }

    /// Lets go of the copy.
    pub(super) fn leave_copy(&mut self) {
        if let Stage::Open(open) = &mut self.stage {
            (open.other.shown, open.other.job) = (None, None);
        }
    }

    /// Decides for one of two values.
    pub(super) fn decide_copy(&mut self, id: [u8; 16], side: Side, reason: &str) {
        let Stage::Open(open) = &mut self.stage else { return };
        match open.book.decide(id, side, reason) {
            Ok(written) => {
                open.refresh();
                self.say(Say::Good, written.sentence);
            }
            Err(e) => self.failed(&e),
        }
    }
}

fn name(path: &Path) -> String {
    PathBuf::from(path)
        .file_name()
        .map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned())
}
