//! A list of who was read: a file or pasted text, read again whenever the book changes.

use super::coming::{self, Coming, OfVersion};
use super::{Chosen, Desk, Stage, files};
use crate::pages::PageId;
use hirsel_core::exchange::roll::{Roll, RollText};
use hirsel_core::flock::Flock;
use hirsel_core::terms::Day;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// Where a list comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RollFrom {
    /// As pasted or typed.
    Text(String),
    /// A file, or none to choose one.
    File(Option<PathBuf>),
}

/// A list as far as it is read.
pub type Rolled = Coming<Ready>;

pub(super) type Kept = coming::Kept<Ready>;

/// A list read against the flock.
pub struct Ready {
    /// Another number for every reading.
    pub number: u64,
    /// The text, taken apart.
    pub text: Arc<RollText>,
    /// Who was read.
    pub roll: Roll,
    /// The flock's version it was read against.
    version: u64,
}

impl OfVersion for Ready {
    fn version(&self) -> u64 {
        self.version
    }
}

/// Bytes of a file that are read at most: a list may have no more.
const MOST: u64 = hirsel_core::exchange::roll::LONGEST as u64;

static NUMBER: AtomicU64 = AtomicU64::new(1);

fn made(text: Arc<RollText>, flock: &Flock, today: Day) -> Box<Ready> {
    let roll = text.roll(flock, today);
    let number = NUMBER.fetch_add(1, Ordering::Relaxed);
    Box::new(Ready { number, text, roll, version: flock.version() })
}

impl Desk {
    /// Reads a list, or lets the keeper choose a file.
    pub(super) fn read_roll(&mut self, ctx: &egui::Context, from: RollFrom) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let (name, path, text) = match from {
            RollFrom::Text(text) => ("The list".to_string(), None, text),
            RollFrom::File(Some(path)) => {
                let (path, name) = open.named(&path);
                (name, Some(path), String::new())
            }
            RollFrom::File(None) => {
                const KINDS: &[(&str, &[&str])] =
                    &[("Text and tables", &["csv", "tsv", "txt", "dat", "log"]), ("Any file", &["*"])];
                return open.choose(ctx, Chosen::Roll, "A list of who was read", KINDS);
            }
        };
        let flock = Arc::clone(&open.flock);
        let lies = path.clone().unwrap_or_default();
        open.rolled.read(ctx, name.clone(), lies, move || {
            let read = || {
                let bytes = match path {
                    Some(path) => files::read(&path, MOST)?,
                    None => text.into_bytes(),
                };
                RollText::read(&name, &bytes, &flock, today).map_err(|e| e.to_string())
            };
            match read() {
                Ok(text) => Ok(made(Arc::new(text), &flock, today)),
                Err(why) => Err((name, why)),
            }
        });
    }

    /// Lets go of the list.
    pub(super) fn leave_roll(&mut self) {
        if let Stage::Open(open) = &mut self.stage {
            open.rolled = Kept::default();
        }
    }

    /// Hands the list's weights on to the page of weights, where they are looked at and written as a session.
    pub(super) fn weigh_roll(&mut self, ctx: &egui::Context) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(ready) = open.rolled.ready() else { return };
        if let Some(table) = ready.text.table().cloned() {
            open.pages.weights.show_file();
            open.pages.at = PageId::Weights;
            self.show_scale(ctx, table);
        }
    }

    /// Takes in what a thread has read.
    pub(super) fn poll_roll(&mut self, ctx: &egui::Context) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        if let Some(news) = open.rolled.poll() {
            if let Some((kind, text)) = news.said(|ready, is_first| is_first.then(|| ready.roll.sentence())) {
                self.say(kind, text);
            }
        } else if let Some(ready) = open.rolled.stale(open.flock.version()) {
            // The book changed: whose numbers are others now.
            let (text, flock) = (Arc::clone(&ready.text), Arc::clone(&open.flock));
            open.rolled.again(ctx, move || Ok(made(text, &flock, today)));
        }
    }
}
