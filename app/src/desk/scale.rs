//! A file of a reader or scale head on its way in: read off the window's thread, read again whenever the keeper says
//! something of it or the book changes.

use super::files;
use super::worker::{Died, Job};
use super::{Chosen, Desk, Stage};
use crate::look::Kind as Say;
use hirsel_core::entry::SessionDraft;
use hirsel_core::exchange::scale::{Choice, Preview, ScaleFile};
use hirsel_core::flock::Flock;
use hirsel_core::terms::Day;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A file as far as it is read.
pub enum Scaled {
    /// Being read.
    Reading {
        /// The file's name.
        name: String,
        /// The file.
        path: PathBuf,
    },
    /// Nothing can be made of it.
    Refused {
        /// The file's name.
        name: String,
        /// Why, and what to do.
        why: String,
    },
    /// Read against the flock; nothing is written yet.
    Ready(Box<Ready>),
}

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

/// What a thread reads.
pub(super) type Reading = Job<Result<Box<Ready>, (String, String)>>;

/// A file under way.
#[derive(Default)]
pub(super) struct Kept {
    shown: Option<Scaled>,
    job: Option<Reading>,
}

impl Kept {
    pub(super) fn shown(&self) -> Option<&Scaled> {
        self.shown.as_ref()
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
            let folder = open.path.parent().map(Path::to_path_buf).unwrap_or_default();
            let job = Job::start(ctx, move |_| {
                rfd::FileDialog::new()
                    .set_title("A file of the reader or scale")
                    .set_directory(folder)
                    .add_filter("Text and tables", &["csv", "tsv", "txt", "dat", "log"])
                    .add_filter("Any file", &["*"])
                    .pick_file()
            });
            open.chosen_file = Some((Chosen::Scale, job));
            return;
        };
        let path = files::absolute(&path.to_string_lossy(), &open.path);
        let name =
            path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned());
        open.scaled.shown = Some(Scaled::Reading { name: name.clone(), path: path.clone() });
        let flock = Arc::clone(&open.flock);
        open.scaled.job = Some(Job::start(ctx, move |_| {
            let bytes = std::fs::read(&path).map_err(|e| {
                let why = files::cause(&e);
                (
                    name.clone(),
                    format!("{} could not be read ({why}): check its name, or choose it", path.display()),
                )
            })?;
            let file = ScaleFile::read(&name, &bytes, &flock).map_err(|e| (name.clone(), e.to_string()))?;
            Ok(made(Arc::new(file), Choice::default(), &flock, today))
        }));
    }

    /// Reads the file once more as the keeper says.
    pub(super) fn scale_as(&mut self, ctx: &egui::Context, choice: Choice) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(Scaled::Ready(ready)) = &open.scaled.shown else { return };
        let (file, flock) = (Arc::clone(&ready.file), Arc::clone(&open.flock));
        open.scaled.job = Some(Job::start(ctx, move |_| Ok(made(file, choice, &flock, today))));
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
        let answer = open.scaled.job.as_ref().and_then(Job::answer);
        match answer {
            Some(Ok(Ok(ready))) => {
                open.scaled.job = None;
                let first = !matches!(open.scaled.shown, Some(Scaled::Ready(_)));
                let said = format!("Read, not yet written: {}", ready.preview.sentence());
                open.scaled.shown = Some(Scaled::Ready(ready));
                if first {
                    self.say(Say::Plain, said);
                }
            }
            Some(Ok(Err((name, why)))) => {
                open.scaled.job = None;
                self.say(Say::Refuse, format!("{name}: {why}"));
                if let Stage::Open(open) = &mut self.stage {
                    open.scaled.shown = Some(Scaled::Refused { name, why });
                }
            }
            Some(Err(Died)) => {
                open.scaled = Kept::default();
                self.say(Say::Refuse, "the file could not be read; please report it with its first lines");
            }
            None => {
                // The book changed: whose tags and what gains are others now.
                let again = match &open.scaled.shown {
                    Some(Scaled::Ready(r))
                        if open.scaled.job.is_none() && r.version != open.flock.version() =>
                    {
                        Some(r.choice.clone())
                    }
                    _ => None,
                };
                if let Some(choice) = again {
                    self.scale_as(ctx, choice);
                }
            }
        }
    }
}
