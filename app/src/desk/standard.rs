//! The open standard of animal data, out and in, off the window's thread: read and looked at first, written when the
//! keeper says so.

use super::coming::{self, Coming, News, OfVersion};
use super::worker::Job;
use super::{Chosen, Desk, Stage, files};
use crate::look::Kind as Say;
use hirsel_core::exchange::standard::{self, BadRecord, Incoming, Options, Unread, Zone};
use hirsel_core::phrase;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A file of the standard on its way in.
pub type Arriving = Coming<Ready, Refusal>;

pub(super) type Kept = coming::Kept<Ready, Refusal>;

/// Why a file of the standard cannot be brought in.
pub struct Refusal {
    /// Another number for every file read.
    pub number: u64,
    /// What is wrong with the file as a whole.
    pub whole: Option<String>,
    /// Records that cannot be.
    pub bad: Vec<BadRecord>,
}

/// A file read and checked against the flock.
pub struct Ready {
    /// Another number for every file read.
    pub number: u64,
    /// What it would write.
    pub sentence: String,
    /// What was read.
    pub found: Box<Incoming>,
    /// The flock's version it was checked against.
    version: u64,
}

impl OfVersion for Ready {
    fn version(&self) -> u64 {
        self.version
    }
}

/// Bytes that are read at most.
const MOST: u64 = standard::MOST_BYTES as u64;

static NUMBER: AtomicU64 = AtomicU64::new(1);

fn refused(whole: Option<String>, bad: Vec<BadRecord>) -> Refusal {
    Refusal { number: NUMBER.fetch_add(1, Ordering::Relaxed), whole, bad }
}

impl Desk {
    /// Writes the flock as the standard has it. What the journal tells of times is read here; the rest is made on a thread.
    pub(super) fn export_standard(&mut self, ctx: &egui::Context, path: &Path) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let to = match files::target(path, &open.path, "json") {
            Ok(to) => to,
            Err(why) => return self.say(Say::Refuse, why),
        };
        let stamps = match open.book.stamps() {
            Ok(stamps) => stamps,
            Err(e) => return self.failed(&e),
        };
        let flock = Arc::clone(&open.flock);
        open.told = Some(Job::start(ctx, move |reins| {
            let text = standard::export(&flock, &stamps, &Options::of(today));
            if !reins.go_on(80) {
                return Err(phrase!("taking the flock out was stopped"));
            }
            files::save(&to, text.as_bytes())?;
            Ok(phrase!("The flock is taken out to {}", to.display()))
        }));
    }

    /// Reads a file of the standard, or lets the keeper choose one.
    pub(super) fn import_standard(&mut self, ctx: &egui::Context, path: Option<&Path>) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(path) = path else {
            const KINDS: &[(&str, &[&str])] = &[("Animal data (JSON)", &["json"])];
            return open.choose(ctx, Chosen::Standard, "Bring in animal data", KINDS);
        };
        let (path, name) = open.named(path);
        let flock = Arc::clone(&open.flock);
        open.arriving.read(ctx, name.clone(), path.clone(), move || {
            let bytes = match files::read(&path, MOST) {
                Ok(bytes) => bytes,
                Err(why) => return Err((name, refused(Some(why), Vec::new()))),
            };
            match standard::read(&name, &bytes, &flock, Zone::Local, today) {
                Ok(found) => {
                    let number = NUMBER.fetch_add(1, Ordering::Relaxed);
                    let sentence = found.sentence();
                    Ok(Box::new(Ready { number, sentence, found: Box::new(found), version: flock.version() }))
                }
                Err(Unread::Bad(bad)) => Err((name, refused(None, bad))),
                Err(other) => {
                    let whole = format!("{name}: {other}");
                    Err((name, refused(Some(whole), Vec::new())))
                }
            }
        });
    }

    /// Takes in what a thread has read, and says how it is.
    pub(super) fn poll_standard(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(news) = open.arriving.poll() else { return };
        let (kind, said) = match news {
            News::Ready(ready, _) => {
                let kind = if ready.found.cautions.is_empty() { Say::Plain } else { Say::Caution };
                (kind, phrase!("Read, not yet brought in: {}", ready.sentence))
            }
            News::Refused(name, why) => {
                let said = match (&why.whole, why.bad.len()) {
                    (Some(whole), _) => whole.clone(),
                    (None, 1) => phrase!("{name}: 1 record to mend; nothing was written", name = &name),
                    (None, n) => phrase!("{name}: {n} records to mend; nothing was written", name = &name),
                };
                (Say::Refuse, said)
            }
            News::Died => {
                (Say::Refuse, phrase!("the file could not be read; please report it with its first lines"))
            }
        };
        self.say(kind, said);
    }

    /// Writes what was read. What looks unlikely needs a word, as everywhere.
    pub(super) fn bring_standard(&mut self, word: &str) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(ready) = open.arriving.ready() else { return };
        if word.trim().is_empty() && !ready.found.cautions.is_empty() {
            return self.say(Say::Refuse, "A word is needed: say why it is right as written");
        }
        if open.arriving.is_behind(open.flock.version()) {
            open.arriving = Kept::default();
            return self.say(Say::Refuse, "The book has changed since the file was read: read it again");
        }
        let Some(ready) = open.arriving.take() else { return };
        let Ready { number, sentence, found, version } = *ready;
        if found.is_empty() {
            return self.say(Say::Plain, "There was nothing new in it");
        }
        match found.sure(word) {
            Ok((what, all)) => match open.book.write_many(&what, all) {
                Ok(_) => {
                    open.trouble = None;
                    open.refresh();
                    self.say(Say::Good, phrase!("Brought in {sentence}"));
                }
                Err(e) => self.failed(&e),
            },
            Err((why, found)) => {
                // The word was not enough: it stays as it is, to be answered again.
                open.arriving.put_back(Box::new(Ready { number, sentence, found, version }));
                self.say(Say::Refuse, why.to_string());
            }
        }
    }

    /// Lets go of it.
    pub(super) fn leave_standard(&mut self) {
        if let Stage::Open(open) = &mut self.stage {
            open.arriving = Kept::default();
        }
    }
}
