//! Tables that come in: read again whenever the keeper says something of one or the book changes.

use super::coming::{self, Answer, OfVersion};
use super::kept::Kept as Settings;
use super::{Chosen, Desk, Stage, files};
use crate::look::Kind as Say;
use hirsel_core::exchange::Kind;
use hirsel_core::exchange::incoming::{Choice, Incoming, MOST_BYTES, Preview};
use hirsel_core::flock::Flock;
use hirsel_core::phrase;
use hirsel_core::terms::Day;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A table on its way in.
pub type Coming = coming::Coming<Ready>;

pub(super) type Kept = coming::Kept<Ready>;

/// A table read against the flock.
pub struct Ready {
    /// Another number for every reading.
    pub number: u64,
    /// The file, taken apart.
    pub table: Arc<Incoming>,
    /// Where it lies.
    pub path: PathBuf,
    /// What the keeper said of it.
    pub choice: Choice,
    /// What would become of its rows.
    pub preview: Preview,
    /// The keeper said so of such a table before.
    pub is_remembered: bool,
    /// The flock's version it was read against.
    version: u64,
}

impl OfVersion for Ready {
    fn version(&self) -> u64 {
        self.version
    }
}

static NUMBER: AtomicU64 = AtomicU64::new(1);

fn made(
    table: Arc<Incoming>,
    path: PathBuf,
    choice: Choice,
    is_remembered: bool,
    flock: &Flock,
    today: Day,
) -> Box<Ready> {
    let preview = table.preview(&choice, flock, today);
    let number = NUMBER.fetch_add(1, Ordering::Relaxed);
    Box::new(Ready { number, table, path, choice, preview, is_remembered, version: flock.version() })
}

/// Reads a file; what was said of tables with its heads before is taken up.
fn opened(
    path: &Path,
    name: &str,
    kind: Option<Kind>,
    sheet: Option<&str>,
    kept: &Settings,
    flock: &Flock,
    today: Day,
) -> Answer<Ready> {
    let told = |why: String| (name.to_string(), why);
    let bytes = files::read(path, MOST_BYTES as u64).map_err(told)?;
    let table = Incoming::open(name, &bytes, sheet, flock).map_err(|e| told(e.to_string()))?;
    let known = table.signature().and_then(|s| kept.table(&s, kind)).and_then(|k| table.recalled(&k));
    let is_remembered = known.is_some();
    let mut choice = known.unwrap_or_default();
    choice.kind = kind.or(choice.kind);
    Ok(made(Arc::new(table), path.to_path_buf(), choice, is_remembered, flock, today))
}

impl Desk {
    /// Reads a table, or lets the keeper choose one.
    pub(super) fn import(
        &mut self,
        ctx: &egui::Context,
        kind: Option<Kind>,
        path: Option<&Path>,
        sheet: Option<String>,
    ) {
        let (today, kept) = (self.today(), self.kept.clone());
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(path) = path else {
            const KINDS: &[(&str, &[&str])] =
                &[("Tables", &["csv", "tsv", "txt", "xlsx", "ods"]), ("Any file", &["*"])];
            return open.choose(ctx, Chosen::Table(kind), "A table to bring in", KINDS);
        };
        let (path, name) = open.named(path);
        let flock = Arc::clone(&open.flock);
        open.coming.read(ctx, name.clone(), path.clone(), move || {
            opened(&path, &name, kind, sheet.as_deref(), &kept, &flock, today)
        });
    }

    /// Reads the table once more as the keeper says.
    pub(super) fn import_as(&mut self, ctx: &egui::Context, choice: Choice) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(ready) = open.coming.ready() else { return };
        let (table, path, remembered) = (Arc::clone(&ready.table), ready.path.clone(), ready.is_remembered);
        let flock = Arc::clone(&open.flock);
        open.coming.again(ctx, move || Ok(made(table, path, choice, remembered, &flock, today)));
    }

    /// Forgets what was said of such tables, and reads this one afresh.
    pub(super) fn import_forget(&mut self, ctx: &egui::Context) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(ready) = open.coming.ready_mut() else { return };
        if let Some(signature) = ready.table.signature() {
            self.kept.forget_table(&signature);
        }
        ready.is_remembered = false;
        self.import_as(ctx, Choice::default());
        self.say(Say::Plain, "Forgotten: the columns are guessed afresh");
    }

    /// Takes in what a thread has read, and says how it is.
    pub(super) fn poll_tables(&mut self, ctx: &egui::Context) {
        let Stage::Open(open) = &mut self.stage else { return };
        if let Some(news) = open.coming.poll() {
            let said = news.said(|r, _| Some(phrase!("Read, not yet brought in: {}", r.preview.sentence())));
            if let Some((kind, text)) = said {
                self.say(kind, text);
            }
        } else if let Some(ready) = open.coming.stale(open.flock.version()) {
            // The book changed: what is new and what it holds already is another now.
            let choice = ready.choice.clone();
            self.import_as(ctx, choice);
        }
    }

    /// Writes the table that was read. Questions need a word, as everywhere.
    pub(super) fn bring_in(&mut self, word: &str) {
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(ready) = open.coming.ready() else { return };
        if open.coming.is_behind(open.flock.version()) {
            self.say(Say::Refuse, "It is being read again: look at it once more");
            return;
        }
        if let Some(why) = ready.preview.stands_open().into_iter().next() {
            self.say(Say::Refuse, why);
            return;
        }
        if word.trim().is_empty() && ready.preview.asked() > 0 {
            self.say(Say::Refuse, "A word is needed: say why it is right as written");
            return;
        }
        if ready.preview.is_empty() {
            self.say(Say::Plain, "There was nothing new in it");
            return;
        }
        let Some(ready) = open.coming.take() else { return };
        let kept = ready.table.remember(&ready.choice, &ready.preview);
        match ready.preview.sure(word) {
            Ok((what, all)) => match open.book.write_many(&what, all) {
                Ok(_) => {
                    open.trouble = None;
                    open.refresh();
                    if let Some(kept) = kept {
                        self.kept.remember_table(kept);
                    }
                    self.say(Say::Good, phrase!("Brought in {what}"));
                }
                Err(e) => self.failed(&e),
            },
            Err(why) => self.say(Say::Refuse, why.0),
        }
    }
}
