//! A file on its way in: read off the window's thread, shown before anything is written, and read again when the book
//! changes. Knows no kind of file: `tables`, `scale`, `roll` and `standard` say what is made of one and what is said of it.

use super::worker::{Died, Job};
use super::{Chosen, OpenBook, files};
use crate::look::Kind as Say;
use std::path::{Path, PathBuf};

/// A file as far as it is read. `R` is what was read, `W` why nothing can be made of it and what to do.
pub enum Coming<R, W = String> {
    /// Being read.
    Reading {
        /// Its name.
        name: String,
        /// Where it lies; nowhere if it was pasted.
        path: PathBuf,
    },
    /// Nothing can be made of it.
    Refused {
        /// Its name.
        name: String,
        /// Why, and what to do.
        why: W,
    },
    /// Read against the flock; nothing is written yet.
    Ready(Box<R>),
}

/// What was read against a flock.
pub(super) trait OfVersion {
    /// The flock's version.
    fn version(&self) -> u64;
}

/// What a thread answers: what it read, else the file's name and why not.
pub(super) type Answer<R, W = String> = Result<Box<R>, (String, W)>;

/// What there is to say once a thread has answered.
pub(super) enum News<'a, R, W> {
    /// It was read; for the first time, or as the keeper or the book has it now.
    Ready(&'a R, bool),
    /// It cannot be read.
    Refused(&'a str, &'a W),
    /// The work died.
    Died,
}

/// A file under way.
pub(super) struct Kept<R, W = String> {
    shown: Option<Coming<R, W>>,
    job: Option<Job<Answer<R, W>>>,
}

impl<R, W> Default for Kept<R, W> {
    fn default() -> Self {
        Self { shown: None, job: None }
    }
}

impl<R: OfVersion + Send + 'static, W: Send + 'static> Kept<R, W> {
    pub(super) fn shown(&self) -> Option<&Coming<R, W>> {
        self.shown.as_ref()
    }

    /// What was read last, if that is what is shown.
    pub(super) fn ready(&self) -> Option<&R> {
        match &self.shown {
            Some(Coming::Ready(ready)) => Some(ready),
            _ => None,
        }
    }

    /// The same, to be changed.
    pub(super) fn ready_mut(&mut self) -> Option<&mut R> {
        match &mut self.shown {
            Some(Coming::Ready(ready)) => Some(ready),
            _ => None,
        }
    }

    /// Takes what was read away, to be written.
    pub(super) fn take(&mut self) -> Option<Box<R>> {
        match self.shown.take() {
            Some(Coming::Ready(ready)) => Some(ready),
            other => {
                self.shown = other;
                None
            }
        }
    }

    /// Puts it back, as it was not written.
    pub(super) fn put_back(&mut self, ready: Box<R>) {
        self.shown = Some(Coming::Ready(ready));
    }

    /// Begins with another file.
    pub(super) fn read(
        &mut self,
        ctx: &egui::Context,
        name: String,
        path: PathBuf,
        work: impl FnOnce() -> Answer<R, W> + Send + 'static,
    ) {
        self.shown = Some(Coming::Reading { name, path });
        self.again(ctx, work);
    }

    /// Reads what is shown once more; until then it stays.
    pub(super) fn again(
        &mut self,
        ctx: &egui::Context,
        work: impl FnOnce() -> Answer<R, W> + Send + 'static,
    ) {
        self.job = Some(Job::start(ctx, move |_| work()));
    }

    /// It is being read, or was read against another flock: it cannot be written as it is shown.
    pub(super) fn is_behind(&self, version: u64) -> bool {
        self.job.is_some() || self.ready().is_some_and(|r| r.version() != version)
    }

    /// What the book's change made stale, and nobody reads again yet.
    pub(super) fn stale(&self, version: u64) -> Option<&R> {
        self.ready().filter(|r| self.job.is_none() && r.version() != version)
    }

    /// Takes in what a thread has read.
    pub(super) fn poll(&mut self) -> Option<News<'_, R, W>> {
        let answer = self.job.as_ref()?.answer()?;
        self.job = None;
        let is_first = self.ready().is_none();
        self.shown = match answer {
            Ok(Ok(ready)) => Some(Coming::Ready(ready)),
            Ok(Err((name, why))) => Some(Coming::Refused { name, why }),
            Err(Died) => None,
        };
        Some(match &self.shown {
            Some(Coming::Ready(ready)) => News::Ready(ready, is_first),
            Some(Coming::Refused { name, why }) => News::Refused(name, why),
            Some(Coming::Reading { .. }) | None => News::Died,
        })
    }
}

impl<R, W: std::fmt::Display> News<'_, R, W> {
    /// What the status line says: of what was read the sentence `of_ready` makes, if it is to be said.
    pub(super) fn said(self, of_ready: impl FnOnce(&R, bool) -> Option<String>) -> Option<(Say, String)> {
        match self {
            Self::Ready(ready, is_first) => of_ready(ready, is_first).map(|text| (Say::Plain, text)),
            Self::Refused(name, why) => Some((Say::Refuse, format!("{name}: {why}"))),
            Self::Died => Some((
                Say::Refuse,
                "the file could not be read; please report it with its first lines".into(),
            )),
        }
    }
}

impl OpenBook {
    /// Lets the keeper choose a file for this, in a window of the desktop's.
    pub(super) fn choose(
        &mut self,
        ctx: &egui::Context,
        what: Chosen,
        title: &'static str,
        kinds: &'static [(&'static str, &'static [&'static str])],
    ) {
        let folder = self.path.parent().map(Path::to_path_buf).unwrap_or_default();
        let job = Job::start(ctx, move |_| {
            let dialog = rfd::FileDialog::new().set_title(title).set_directory(folder);
            kinds.iter().fold(dialog, |d, (words, endings)| d.add_filter(*words, endings)).pick_file()
        });
        self.chosen_file = Some((what, job));
    }

    /// A file as it was typed: its whole path and its name.
    pub(super) fn named(&self, typed: &Path) -> (PathBuf, String) {
        let path = files::absolute(&typed.to_string_lossy(), &self.path);
        let name = path.file_name().map(|n| n.to_string_lossy().into_owned());
        let name = name.unwrap_or_else(|| path.display().to_string());
        (path, name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Of(u64);

    impl OfVersion for Of {
        fn version(&self) -> u64 {
            self.0
        }
    }

    fn waited(kept: &mut Kept<Of>) -> Option<(Say, String)> {
        for _ in 0..6_000 {
            if let Some(news) = kept.poll() {
                return news.said(|r, first| Some(format!("{} {first}", r.0)));
            }
            std::thread::sleep(std::time::Duration::from_millis(10));
        }
        panic!("no answer");
    }

    #[test]
    fn a_file_is_read_read_again_and_refused() {
        let ctx = egui::Context::default();
        let mut kept = Kept::default();
        kept.read(&ctx, "a.csv".into(), "a.csv".into(), || Ok(Box::new(Of(1))));
        assert!(matches!(kept.shown(), Some(Coming::Reading { .. })) && kept.is_behind(1));
        assert_eq!(waited(&mut kept), Some((Say::Plain, "1 true".into())));
        assert!(!kept.is_behind(1) && kept.stale(1).is_none() && kept.stale(2).is_some());
        kept.again(&ctx, || Ok(Box::new(Of(2))));
        assert!(kept.ready().is_some() && kept.is_behind(1) && kept.stale(2).is_none());
        assert_eq!(waited(&mut kept), Some((Say::Plain, "2 false".into())));
        let taken = kept.take().unwrap();
        assert!(kept.shown().is_none());
        kept.put_back(taken);
        kept.read(&ctx, "b.csv".into(), "b.csv".into(), || Err(("b.csv".into(), "it is empty".into())));
        assert_eq!(waited(&mut kept), Some((Say::Refuse, "b.csv: it is empty".into())));
        assert!(kept.take().is_none() && matches!(kept.shown(), Some(Coming::Refused { .. })));
        kept.read(&ctx, "c.csv".into(), "c.csv".into(), || std::panic::resume_unwind(Box::new(())));
        assert!(matches!(waited(&mut kept), Some((Say::Refuse, _))) && kept.shown().is_none());
    }
}
