//! Tables that come in and go out, read and written off the window's thread.

use super::files;
use super::worker::{Died, Job};
use super::{Desk, Stage};
use crate::look::Kind as Say;
use hirsel_core::exchange::{self, BadRow, Kind, Reading, Unfit};
use hirsel_core::flock::Flock;
use hirsel_core::terms::Day;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A table on its way in.
pub enum Coming {
    /// Being read.
    Reading {
        /// The file's name.
        name: String,
        /// The file.
        path: PathBuf,
    },
    /// It cannot be: every fault.
    Refused {
        /// Another number for every table read.
        number: u64,
        /// The file's name.
        name: String,
        /// What is wrong with the file as a whole, or its columns.
        whole: Vec<String>,
        /// Values that cannot be, by line.
        rows: Vec<BadRow>,
    },
    /// Read and checked against this version of the flock; nothing is written yet.
    Ready {
        /// Another number for every table read.
        number: u64,
        /// What it would write.
        sentence: String,
        /// What looks unlikely, by line.
        cautions: Vec<BadRow>,
        /// There is nothing new in it.
        nothing: bool,
        /// The checked table.
        reading: Box<Reading>,
        /// The flock's version it was checked against.
        version: u64,
    },
}

/// What a thread has read.
pub(super) struct Read {
    name: String,
    version: u64,
    table: Result<Box<Reading>, Unread>,
}

/// Why a table was not taken.
enum Unread {
    File(String),
    Table(Unfit),
}

pub(super) fn read(
    ctx: &egui::Context,
    flock: &Arc<Flock>,
    kind: Kind,
    path: &Path,
    today: Day,
) -> (String, Job<Read>) {
    let name =
        path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned());
    let (flock, path, file) = (Arc::clone(flock), path.to_path_buf(), name.clone());
    let job = Job::start(ctx, move |_| {
        let table = match std::fs::read(&path) {
            Ok(bytes) => {
                exchange::read(kind, &file, &bytes, &flock, today).map(Box::new).map_err(Unread::Table)
            }
            Err(e) => Err(Unread::File(format!(
                "{} could not be read ({}): check its name, or choose it",
                path.display(),
                files::cause(&e)
            ))),
        };
        Read { name: file, version: flock.version(), table }
    });
    (name, job)
}

/// Writes tables into a folder. A file that is there already is left alone: the new one gets a number.
pub(super) fn export(
    ctx: &egui::Context,
    flock: &Arc<Flock>,
    kinds: Vec<Kind>,
    folder: PathBuf,
) -> Job<Result<String, String>> {
    let flock = Arc::clone(flock);
    Job::start(ctx, move |reins| {
        if !folder.is_dir() {
            return Err(format!("there is no folder {}: make it first, or choose another", folder.display()));
        }
        let n = kinds.len();
        let mut last = PathBuf::new();
        for (i, kind) in kinds.iter().enumerate() {
            if !reins.go_on((i * 100 / n.max(1)) as u32) {
                return Err("taking tables out was stopped".into());
            }
            last = files::free(&folder, kind.word(), "csv");
            files::save(&last, exchange::export(*kind, &flock).as_bytes())?;
        }
        let file = last.file_name().unwrap_or_default().to_string_lossy();
        Ok(match n {
            1 => format!("{file} taken out to {}", folder.display()),
            n => format!("{n} tables taken out to {}", folder.display()),
        })
    })
}

impl Desk {
    /// Takes in what a thread has read, and says how it is.
    pub(super) fn poll_tables(&mut self) {
        static NUMBER: AtomicU64 = AtomicU64::new(1);
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(answer) = open.reading.as_ref().and_then(Job::answer) else { return };
        open.reading = None;
        let number = NUMBER.fetch_add(1, Ordering::Relaxed);
        let Read { name, version, table } = match answer {
            Ok(read) => read,
            Err(Died) => {
                open.coming = None;
                self.say(Say::Refuse, "the table could not be read; please report it with its first lines");
                return;
            }
        };
        let (coming, kind, said) = match table {
            Ok(reading) => {
                let sentence = reading.sentence();
                let cautions: Vec<BadRow> = reading.cautions.iter().map(|c| c.0.clone()).collect();
                let kind = if cautions.is_empty() { Say::Plain } else { Say::Caution };
                let said = format!("Read, not yet brought in: {sentence}");
                let nothing = reading.is_empty();
                (Coming::Ready { number, sentence, cautions, nothing, reading, version }, kind, said)
            }
            Err(unread) => {
                let (whole, rows) = match unread {
                    Unread::File(text) => (vec![text], Vec::new()),
                    Unread::Table(Unfit::Rows(rows)) => (Vec::new(), rows),
                    Unread::Table(unfit) => {
                        (unfit.to_string().lines().map(str::to_string).collect(), Vec::new())
                    }
                };
                let said = match (whole.as_slice(), rows.len()) {
                    ([one], 0) => one.clone(),
                    (_, 1) => format!("{name}: 1 value to mend; nothing was written"),
                    (_, 0) => format!("{name}: {} things to mend; nothing was written", whole.len()),
                    (_, n) => format!("{name}: {n} values to mend; nothing was written"),
                };
                (Coming::Refused { number, name, whole, rows }, Say::Refuse, said)
            }
        };
        open.coming = Some(coming);
        self.say(kind, said);
    }

    /// Writes the table that was read. Questions need a word, as everywhere.
    pub(super) fn bring_in(&mut self, word: &str) {
        let Stage::Open(open) = &mut self.stage else { return };
        let wordless = |c: &Coming| matches!(c, Coming::Ready { cautions, .. } if !cautions.is_empty());
        if word.trim().is_empty() && open.coming.as_ref().is_some_and(wordless) {
            self.say(Say::Refuse, "A word is needed: say why it is right as written");
            return;
        }
        let Some(Coming::Ready { reading, version, sentence, .. }) = open.coming.take() else { return };
        if version != open.flock.version() {
            self.say(Say::Refuse, "The book has changed since the table was read: read it again");
            return;
        }
        match reading.sure_because(word) {
            Some(sure) => match open.book.write(sure) {
                Ok(_) => {
                    open.trouble = None;
                    open.refresh();
                    self.say(Say::Good, format!("Brought in {sentence}"));
                }
                Err(e) => self.failed(&e),
            },
            None => self.say(Say::Plain, "There was nothing new in it"),
        }
    }
}
