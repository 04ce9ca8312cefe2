//! Tables on their way out, into a folder or all at once into a ZIP: made off the window's thread, with progress.

use super::saving::Dress;
use super::worker::{Died, Job, Reins};
use super::{Desk, Stage, files};
use crate::look::Kind as Say;
use hirsel_core::book::{Book, Past};
use hirsel_core::exchange::all::{self, JournalLine, Source};
use hirsel_core::exchange::{self, Kind};
use hirsel_core::flock::Flock;
use hirsel_core::phrase;
use hirsel_core::terms::{Day, DocumentId};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};

/// What the keeper wants taken out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wish {
    /// Tables of these kinds, a file each.
    Tables {
        /// Which.
        kinds: Vec<Kind>,
        /// Where.
        folder: PathBuf,
        /// As what.
        dress: Dress,
    },
    /// Everything, as one ZIP in this folder.
    Everything(PathBuf),
}

/// Where it went, and what is to be said of it.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Took {
    sentence: String,
    folder: PathBuf,
}

/// What is being taken out, and what was last.
#[derive(Default)]
pub struct Kept {
    job: Option<Job<Result<Took, String>>>,
    needs: Option<Receiver<Need>>,
    percent: Option<u32>,
    last: Option<Took>,
}

impl Kept {
    /// How far it is, 0 to 100; none when nothing is being taken out.
    pub fn percent(&self) -> Option<u32> {
        self.percent
    }

    /// What was taken out last and where it lies; none yet.
    pub fn last(&self) -> Option<&str> {
        self.last.as_ref().map(|t| t.sentence.as_str())
    }
}

/// What a thread needs of the book, and where the answer goes. The book stays on the window's thread.
enum Need {
    Journal(i64, u32, SyncSender<Result<Vec<JournalLine>, String>>),
    Paper(DocumentId, SyncSender<Result<Option<Vec<u8>>, String>>),
}

/// The book, asked from a thread.
struct Asking {
    needs: Sender<Need>,
    ctx: egui::Context,
    /// The last line that is taken: what is written meanwhile is left out, as it is in the flock.
    last: i64,
}

impl Asking {
    fn ask<T>(&self, need: impl FnOnce(SyncSender<Result<T, String>>) -> Need) -> Result<T, String> {
        let closed = || phrase!("the book was closed before everything was taken out");
        let (send, answer) = sync_channel(1);
        self.needs.send(need(send)).map_err(|_| closed())?;
        self.ctx.request_repaint();
        answer.recv().map_err(|_| closed())?
    }
}

impl Source for Asking {
    fn journal(&mut self, after: i64, most: u32) -> Result<Vec<JournalLine>, String> {
        let mut lines = self.ask(|to| Need::Journal(after, most, to))?;
        lines.retain(|l| l.line <= self.last);
        Ok(lines)
    }

    fn paper(&mut self, id: DocumentId) -> Result<Option<Vec<u8>>, String> {
        self.ask(|to| Need::Paper(id, to))
    }
}

/// A book on this thread as a source.
pub struct Opened<'a>(pub &'a Book);

impl Source for Opened<'_> {
    fn journal(&mut self, after: i64, most: u32) -> Result<Vec<JournalLine>, String> {
        let line = |p: Past| JournalLine {
            line: p.seq,
            at: p.at,
            who: p.who,
            what: p.what,
            why: p.reason,
            undoes: p.undoes,
            redoes: p.redoes,
        };
        let lines = self.0.journal_lines(after, most).map_err(|e| e.to_string())?;
        Ok(lines.into_iter().map(line).collect())
    }

    fn paper(&mut self, id: DocumentId) -> Result<Option<Vec<u8>>, String> {
        self.0.document(id).map_err(|e| e.to_string())
    }
}

impl Desk {
    /// Starts taking tables out.
    pub(super) fn take_out(&mut self, ctx: &egui::Context, wish: Wish) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        if open.taken.job.is_some() {
            self.say(Say::Refuse, "tables are being taken out: wait for them, or stop it first");
            return;
        }
        let flock = Arc::clone(&open.flock);
        open.taken.percent = Some(0);
        open.taken.needs = None;
        open.taken.job = Some(match wish {
            Wish::Tables { kinds, folder, dress } => {
                Job::start(ctx, move |reins| tables(&flock, &kinds, &folder, dress, today, reins))
            }
            Wish::Everything(folder) => {
                let (needs, receiver) = channel();
                open.taken.needs = Some(receiver);
                let last = open.history.first().map_or(0, |p| p.seq);
                let source = Asking { needs, ctx: ctx.clone(), last };
                let stem = open.path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
                let name = phrase!("{stem} everything {today}");
                Job::start(ctx, move |reins| everything(&flock, source, &folder, &name, today, reins))
            }
        });
    }

    /// Stops it.
    pub(super) fn stop_taking(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        if let Some(job) = &open.taken.job {
            job.stop();
        }
    }

    /// Shows the folder in which the last tables lie.
    pub(super) fn show_taken(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(took) = &open.taken.last else { return };
        if let Err(e) = open::that_detached(&took.folder) {
            let text = phrase!("no viewer could be opened ({e}): it is {}", took.folder.display());
            self.say(Say::Refuse, text);
        }
    }

    /// Answers what the thread needs of the book, and takes in what it has done.
    pub(super) fn poll_taken(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(job) = &open.taken.job else { return };
        open.taken.percent = Some(job.percent());
        if let Some(needs) = &open.taken.needs {
            let mut book = Opened(&open.book);
            while let Ok(need) = needs.try_recv() {
                // A thread that has gone wants no answer.
                match need {
                    Need::Journal(after, most, to) => drop(to.send(book.journal(after, most))),
                    Need::Paper(id, to) => drop(to.send(book.paper(id))),
                }
            }
        }
        let Some(answer) = job.answer() else { return };
        open.taken.job = None;
        open.taken.needs = None;
        open.taken.percent = None;
        match answer {
            Ok(Ok(took)) => {
                let said = took.sentence.clone();
                open.taken.last = Some(took);
                self.say(Say::Good, said);
            }
            Ok(Err(why)) => self.say(Say::Refuse, why),
            Err(Died) => self.say(Say::Refuse, "the tables could not be taken out; please report it"),
        }
    }
}

fn is_there(folder: &Path) -> Result<(), String> {
    match folder.is_dir() {
        true => Ok(()),
        false => Err(phrase!("there is no folder {}: make it first, or choose another", folder.display())),
    }
}

const STOPPED: &str = "taking tables out was stopped";

/// Writes tables into a folder. A file that is there already is left alone: the new one gets a number.
fn tables(
    flock: &Flock,
    kinds: &[Kind],
    folder: &Path,
    dress: Dress,
    today: Day,
    reins: &Reins,
) -> Result<Took, String> {
    is_there(folder)?;
    let n = kinds.len();
    let mut last = PathBuf::new();
    for (i, kind) in kinds.iter().enumerate() {
        if !reins.go_on((i * 100 / n.max(1)) as u32) {
            return Err(match i {
                0 => STOPPED.into(),
                i => phrase!("{STOPPED}: {i} of {n} are in {}", folder.display()),
            });
        }
        last = files::free(folder, kind.word(), dress.ending());
        files::save(&last, &dress.bytes(&exchange::list(*kind, flock), today)?)?;
    }
    let file = last.file_name().unwrap_or_default().to_string_lossy();
    let sentence = match n {
        1 => phrase!("{file} taken out to {}", folder.display()),
        n => phrase!("{n} tables taken out to {}", folder.display()),
    };
    Ok(Took { sentence, folder: folder.to_path_buf() })
}

fn everything(
    flock: &Flock,
    mut source: Asking,
    folder: &Path,
    name: &str,
    today: Day,
    reins: &Reins,
) -> Result<Took, String> {
    is_there(folder)?;
    let to = files::free(folder, name, "zip");
    let packed = files::save_through(&to, |file| {
        all::write(flock, &mut source, today, file, &mut |percent| reins.go_on(percent))
            .map_err(|e| e.to_string())
    })?;
    let papers = match packed.papers {
        0 => String::new(),
        1 => phrase!(" and 1 kept paper"),
        n => phrase!(" and {n} kept papers"),
    };
    let sentence = phrase!(
        "Everything taken out to {}: {} files, {} rows{papers}",
        to.display(),
        packed.files,
        packed.rows
    );
    Ok(Took { sentence, folder: folder.to_path_buf() })
}
