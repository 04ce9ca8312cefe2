//! Other languages than English: files of translations in the folder `languages` beside the settings, taken one after
//! another by a command. The texts of a book (names, notes, what was written) are never translated.

use super::Desk;
use super::worker::Job;
use crate::help::{self, Page};
use crate::look::Kind;
use hirsel_core::language::{Catalogue, MOST};
use hirsel_core::phrase;
use hirsel_core::terms::{counted, speech::Language};
use std::fs::File;
use std::io::Read as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What the window speaks, and what is being read.
#[derive(Default)]
pub(super) struct Languages {
    spoken: Option<Arc<dyn Language>>,
    /// The help in it.
    help: Vec<Page>,
    reading: Option<Reading>,
}

/// A language that is being read.
struct Reading {
    name: String,
    /// Whether it was asked for just now.
    asked: bool,
    job: Job<Result<Read, String>>,
}

/// The texts of a language, and its help: pages by their names.
struct Read {
    texts: Catalogue,
    help: Vec<(String, String)>,
}

impl Languages {
    /// The language that is spoken, if it is not English.
    pub(super) fn spoken(&self) -> Option<Arc<dyn Language>> {
        self.spoken.clone()
    }

    /// Every page of the help, those that are translated in the language.
    pub(super) fn help(&self) -> Vec<Page> {
        self.help.clone()
    }
}

impl Desk {
    /// Speaks this language from now on; none is English. For tests.
    pub fn speak(&mut self, language: Option<Arc<dyn Language>>) {
        self.languages.help.clear();
        self.languages.spoken = language;
    }

    /// The help as it is shown, page by page; none where it is that of [`help::pages`]. For tests.
    pub fn help_pages(&self) -> Vec<Page> {
        self.languages.help()
    }

    fn language_folder(&self) -> PathBuf {
        self.kept.folder().join("languages")
    }

    /// Begins to read the language of the settings.
    pub(super) fn load_language(&mut self, ctx: &egui::Context) {
        let name = self.kept.settings().language;
        if !name.is_empty() {
            self.read_language(ctx, name, false);
        }
    }

    fn read_language(&mut self, ctx: &egui::Context, name: String, asked: bool) {
        let folder = self.language_folder();
        let path = folder.join(format!("{name}.po"));
        let pages = folder.join(&name).join("help");
        let job = Job::start(ctx, move |_| Ok(Read { texts: read(&path)?, help: read_help(&pages) }));
        self.languages.reading = Some(Reading { name, asked, job });
    }

    /// The next language: English, and each file in the folder.
    pub(super) fn next_language(&mut self, ctx: &egui::Context) {
        let folder = self.language_folder();
        let names = names(&folder);
        let mut settings = self.kept.settings();
        if names.is_empty() && settings.language.is_empty() {
            let place = folder.display();
            return self.say(
                Kind::Caution,
                phrase!("No other language is here: a file of translations, NAME.po, goes into {place}"),
            );
        }
        let next = names.into_iter().find(|n| *n > settings.language).unwrap_or_default();
        settings.language.clone_from(&next);
        self.kept.set(&settings);
        if next.is_empty() {
            (self.languages.spoken, self.languages.reading) = (None, None);
            self.languages.help.clear();
            self.say(Kind::Good, "Spoken from now on: English");
        } else {
            self.read_language(ctx, next, true);
        }
    }

    /// Takes a language that was read.
    pub(super) fn poll_language(&mut self) {
        let Some(answer) = self.languages.reading.as_ref().and_then(|r| r.job.answer()) else { return };
        let Some(Reading { name, asked, .. }) = self.languages.reading.take() else { return };
        match answer.map_err(|_| phrase!("its reading ended without an answer")).and_then(|read| read) {
            Ok(Read { texts, help }) => {
                let (many, faulty, pages) = (texts.len(), texts.faulty().len(), help.len());
                let texts: Arc<dyn Language> = Arc::new(texts);
                self.languages.help = help::translated(&help, texts.as_ref());
                self.languages.spoken = Some(texts);
                if asked {
                    self.say(Kind::Good, of_this_many(&name, many, faulty, pages));
                }
            }
            Err(why) => {
                self.languages.spoken = None;
                self.languages.help.clear();
                self.say(Kind::Refuse, phrase!("The language {name} cannot be spoken: {why}"));
            }
        }
    }
}

fn of_this_many(name: &str, texts: usize, faulty: usize, pages: usize) -> String {
    let mut said = phrase!(
        "Spoken from now on: {name}, {}; what it lacks is English.",
        counted(texts, "text"),
        name = &name
    );
    if pages > 0 {
        said.push(' ');
        said.push_str(&phrase!("The help has {} in it.", counted(pages, "page")));
    }
    if faulty > 0 {
        said.push(' ');
        said.push_str(&phrase!("Left out are {faulty} whose brackets are not those of the English."));
    }
    said
}

/// The languages of a folder, by name.
fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let mut names: Vec<String> = entries
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e.eq_ignore_ascii_case("po")))
        .filter_map(|p| p.file_stem().map(|s| s.to_string_lossy().into_owned()))
        .collect();
    names.sort();
    names
}

/// Reads no further than a catalogue may be long.
fn read(path: &Path) -> Result<Catalogue, String> {
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(MOST + 1).read_to_end(&mut bytes))
        .map_err(|e| phrase!("{} could not be read: {e}", path.display()))?;
    Catalogue::read(&bytes).map_err(|e| e.to_string())
}

/// The pages of the help that are translated: those whose name is that of one in English, each as long as it is read.
/// What cannot be read is English.
fn read_help(folder: &Path) -> Vec<(String, String)> {
    let names = help::pages().iter().map(|p| &p.key);
    names.filter_map(|key| Some((key.clone(), page(&folder.join(format!("{key}.md")))?))).collect()
}

/// A page longer than a hundred kilobytes is none.
fn page(path: &Path) -> Option<String> {
    const LONGEST: u64 = 100_000;
    let mut text = String::new();
    File::open(path).ok()?.take(LONGEST + 1).read_to_string(&mut text).ok()?;
    (text.len() as u64 <= LONGEST).then_some(text)
}
