//! A file of a reader or scale head on its way in: read again whenever the keeper says something of it or the book
//! changes.

use super::coming::{self, Coming, OfVersion};
use super::{Chosen, Desk, Stage, files};
use hirsel_core::entry::SessionDraft;
use hirsel_core::exchange::scale::{Choice, Preview, ScaleFile};
use hirsel_core::flock::Flock;
use hirsel_core::phrase;
use hirsel_core::terms::Day;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A file as far as it is read.
pub type Scaled = Coming<Ready>;

pub(super) type Kept = coming::Kept<Ready>;

/// Bytes that are read at most; the reader of scale files refuses long before.
const MOST: u64 = hirsel_core::exchange::scale::MOST_BYTES as u64;

/// A file read against the flock.
pub struct Ready {
    /// Another number for every reading.
    pub number: u64,
    /// The file, taken apart.
    pub file: Arc<ScaleFile>,
    /// What the keeper said of it.
    pub choice: Choice,
    /// What it says.
    pub preview: Preview,
    /// Questions of the checks: a word is needed to write in spite of them.
    pub asked: usize,
    /// What the checks refuse, by line.
    pub refused: Vec<(usize, String)>,
    /// The flock's version it was read against.
    version: u64,
}

impl OfVersion for Ready {
    fn version(&self) -> u64 {
        self.version
    }
}

static NUMBER: AtomicU64 = AtomicU64::new(1);

fn made(file: Arc<ScaleFile>, choice: Choice, flock: &Flock, today: Day) -> Box<Ready> {
    let preview = file.preview(&choice, flock, today);
    let (mut asked, mut refused) = (0, Vec::new());
    for day in preview.checks(&SessionDraft::default(), flock, today) {
        match day.check {
            Ok(c) => asked += c.questions().len(),
            Err(why) => refused.extend(why.iter().map(|r| {
                let line = day.lines.get(r.field.row).copied().unwrap_or_default();
                (line, r.why.to_string())
            })),
        }
    }
    let number = NUMBER.fetch_add(1, Ordering::Relaxed);
    Box::new(Ready { number, file, choice, preview, asked, refused, version: flock.version() })
}

impl Desk {
    /// Reads a file, or lets the keeper choose one.
    pub(super) fn read_scale(&mut self, ctx: &egui::Context, path: Option<&Path>) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(path) = path else {
            const KINDS: &[(&str, &[&str])] =
                &[("Text and tables", &["csv", "tsv", "txt", "dat", "log"]), ("Any file", &["*"])];
            return open.choose(ctx, Chosen::Scale, "A file of the reader or scale", KINDS);
        };
        let (path, name) = open.named(path);
        let flock = Arc::clone(&open.flock);
        open.scaled.read(ctx, name.clone(), path.clone(), move || {
            let read = || {
                let bytes = files::read(&path, MOST)?;
                if bytes.len() as u64 > MOST {
                    return Err(phrase!(
                        "it is larger than {} MB: take the lines you want out of it",
                        MOST >> 20
                    ));
                }
                ScaleFile::read(&name, &bytes, &flock).map_err(|e| e.to_string())
            };
            let file = read().map_err(|why| (name.clone(), why))?;
            Ok(made(Arc::new(file), Choice::default(), &flock, today))
        });
    }

    /// Shows a file that is read already.
    pub(super) fn show_scale(&mut self, ctx: &egui::Context, file: Arc<ScaleFile>) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let name = file.name().to_string();
        let flock = Arc::clone(&open.flock);
        open.scaled.read(ctx, name, PathBuf::new(), move || Ok(made(file, Choice::default(), &flock, today)));
    }

    /// Reads the file once more as the keeper says.
    pub(super) fn scale_as(&mut self, ctx: &egui::Context, choice: Choice) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(ready) = open.scaled.ready() else { return };
        let (file, flock) = (Arc::clone(&ready.file), Arc::clone(&open.flock));
        open.scaled.again(ctx, move || Ok(made(file, choice, &flock, today)));
    }

    /// Lets go of the file.
    pub(super) fn leave_scale(&mut self) {
        if let Stage::Open(open) = &mut self.stage {
            open.scaled = Kept::default();
        }
    }

    /// Takes in what a thread has read.
    pub(super) fn poll_scale(&mut self, ctx: &egui::Context) {
        let Stage::Open(open) = &mut self.stage else { return };
        if let Some(news) = open.scaled.poll() {
            let said = news.said(|ready, is_first| {
                is_first.then(|| phrase!("Read, not yet written: {}", ready.preview.sentence()))
            });
            if let Some((kind, text)) = said {
                self.say(kind, text);
            }
        } else if let Some(ready) = open.scaled.stale(open.flock.version()) {
            // The book changed: whose tags and what gains are others now.
            let choice = ready.choice.clone();
            self.scale_as(ctx, choice);
        }
    }
}
