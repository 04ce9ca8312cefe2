//! Tables that come in and go out, read and written off the window's thread.

use super::worker::Job;
use super::{Desk, Stage};
use crate::look::Kind as Say;
use hirsel_core::exchange::{self, Kind, Reading};
use hirsel_core::flock::Flock;
use hirsel_core::terms::Day;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A table on its way in.
pub enum Coming {
    /// Being read.
    Reading(String),
    /// It cannot be: every fault.
    Refused {
        /// The file.
        name: String,
        /// A fault a line.
        lines: Vec<String>,
    },
    /// Read and checked against this version of the flock; nothing is written yet.
    Ready {
        /// What it would write.
        sentence: String,
        /// What looks unlikely.
        cautions: Vec<String>,
        /// There is nothing new in it.
        nothing: bool,
        /// The checked table.
        reading: Box<Reading>,
        /// The flock's version it was checked against.
        version: u64,
    },
}

/// What a thread has read.
pub(super) type Read = (String, u64, Result<Box<Reading>, Vec<String>>);

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
        let read = match std::fs::read(&path) {
            Ok(bytes) => exchange::read(kind, &file, &bytes, &flock, today)
                .map(Box::new)
                .map_err(|unfit| unfit.to_string().lines().map(str::to_string).collect()),
            Err(e) => Err(vec![format!("{} could not be read: {e}", path.display())]),
        };
        (file, flock.version(), read)
    });
    (name, job)
}

pub(super) fn export(
    ctx: &egui::Context,
    flock: &Arc<Flock>,
    kinds: Vec<Kind>,
    folder: PathBuf,
) -> Job<Result<String, String>> {
    let flock = Arc::clone(flock);
    Job::start(ctx, move |reins| {
        let n = kinds.len();
        for (i, kind) in kinds.iter().enumerate() {
            if !reins.go_on((i * 100 / n.max(1)) as u32) {
                return Err("taking tables out was stopped".into());
            }
            let path = folder.join(format!("{}.csv", kind.word()));
            super::files::save(&path, exchange::export(*kind, &flock).as_bytes())?;
        }
        let what = match kinds.as_slice() {
            [one] => one.word().to_string(),
            many => format!("{} tables", many.len()),
        };
        Ok(format!("{what} taken out to {}", folder.display()))
    })
}

impl Desk {
    /// Takes in what a thread has read.
    pub(super) fn poll_tables(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some((name, version, read)) = open.reading.as_ref().and_then(Job::take) else { return };
        open.reading = None;
        open.coming = Some(match read {
            Ok(reading) => Coming::Ready {
                sentence: reading.sentence(),
                cautions: reading.cautions.iter().map(ToString::to_string).collect(),
                nothing: reading.is_empty(),
                reading,
                version,
            },
            Err(lines) => Coming::Refused { name, lines },
        });
    }

    /// Writes the table that was read.
    pub(super) fn bring_in(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(Coming::Ready { reading, version, sentence, .. }) = open.coming.take() else { return };
        if version != open.flock.version() {
            self.say(Say::Refuse, "The book has changed since the table was read: read it again");
            return;
        }
        match reading.sure() {
            Some(sure) => match open.book.write(sure) {
                Ok(_) => {
                    open.refresh();
                    self.say(Say::Good, format!("Brought in {sentence}"));
                }
                Err(e) => self.failed(&e),
            },
            None => self.say(Say::Plain, "There was nothing new in it"),
        }
    }
}
