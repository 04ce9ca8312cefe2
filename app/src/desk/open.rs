//! Opening, starting and choosing books.

use super::worker::{Died, Job};
use super::{Desk, OpenBook, Stage};
use crate::crash;
use crate::look::Kind;
use crate::pages::start::{State, Wish};
use hirsel_core::book::{self, Book, Failed, Salvaged};
use hirsel_core::flock::Holding;
use hirsel_core::phrase;
use std::path::{Path, PathBuf};

/// A damaged book on its way into a new one of this name.
pub(super) type Saving = (PathBuf, Job<Result<Salvaged, String>>);

/// A book that is being opened while the window comes up: both take about as long.
struct Ahead {
    path: PathBuf,
    book: Option<std::thread::JoinHandle<Result<Book, Failed>>>,
}

impl Drop for Ahead {
    /// Where no window came up, what was begun is still ended in order.
    fn drop(&mut self) {
        if let Some(book) = self.book.take() {
            let _ = book.join();
        }
    }
}

/// What is begun before there is a window: the book on its way, and what is to be told of the last run.
pub(super) struct Begun {
    ahead: Option<Ahead>,
    untold: Option<crash::Untold>,
}

impl Begun {
    /// With this book or the one opened last; with none where there is neither, or where the last run ended by a fault
    /// while it opened its book by itself.
    pub(super) fn of(kept: &super::kept::Kept, path: Option<PathBuf>) -> Self {
        let untold = crash::untold(kept.folder());
        let last = || kept.settings().recent.first().filter(|p| p.exists()).cloned();
        let path = path.or_else(|| if Desk::stumbles(untold.as_ref()) { None } else { last() });
        let ahead = path.map(|path| {
            crash::at(crash::OPENING);
            let of = path.clone();
            Ahead { path, book: Some(std::thread::spawn(move || Book::open(&of))) }
        });
        Self { ahead, untold }
    }
}

impl Desk {
    /// The desk with the book that was begun with, or the first page.
    pub(super) fn begin(kept: super::kept::Kept, begun: Begun) -> Self {
        let mut desk = Self::on(kept, Stage::Start(Box::default()), None);
        if let Some(mut ahead) = begun.ahead {
            match ahead.book.take().map(std::thread::JoinHandle::join) {
                Some(Ok(opened)) => desk.take_opened(opened),
                // Once more, where the window can tell what went wrong.
                _ => desk.open_path(&ahead.path),
            }
        }
        if let Some(untold) = begun.untold {
            desk.tell_of(&untold);
        }
        desk
    }

    /// Opens a book, or says on the first page why not.
    pub(super) fn open_path(&mut self, path: &Path) {
        crash::at(crash::OPENING);
        self.take_opened(Book::open(path));
    }

    fn take_opened(&mut self, opened: Result<Book, Failed>) {
        match opened {
            Ok(book) => self.show_book(book),
            Err(e) => {
                self.start_with_trouble(e.to_string());
                if let (Failed::Damaged { path, .. }, Stage::Start(state)) = (e, &mut self.stage) {
                    state.damaged = Some(path);
                }
            }
        }
    }

    fn show_book(&mut self, book: Book) {
        self.kept.opened(book.path());
        let n = book.flock().present().count();
        match book.ahead_of(hirsel_core::terms::Day::today()) {
            Some(words) => self.say(Kind::Caution, words),
            None => self.say(Kind::Plain, phrase!("{n} animals in the flock")),
        }
        self.stage = Stage::Open(Box::new(OpenBook::new(book, &self.kept)));
        self.meet_tour();
    }

    fn start_with_trouble(&mut self, trouble: String) {
        match &mut self.stage {
            Stage::Start(state) => {
                state.trouble = Some(trouble);
                state.busy = None;
            }
            Stage::Open(open) => open.trouble = Some(trouble),
        }
    }

    /// Does what the keeper chose on the first page.
    pub(super) fn grant(&mut self, ctx: &egui::Context, wish: Wish) {
        if let Stage::Start(state) = &mut self.stage {
            state.trouble = None;
            if !matches!(wish, Wish::Salvage { .. }) {
                state.damaged = None;
            }
        }
        match wish {
            Wish::Salvage { from, to } => {
                if let Stage::Start(state) = &mut self.stage {
                    state.busy = Some(phrase!("Reading every page of the damaged book …"));
                }
                let path = to.clone();
                let job =
                    Job::start(ctx, move |_| book::salvage(&from, &to, &|_| {}).map_err(|e| e.to_string()));
                self.saving = Some((path, job));
            }
            Wish::Open(path) => self.open_path(&path),
            Wish::Choose => {
                self.choosing = Some(Job::start(ctx, |_| {
                    rfd::FileDialog::new()
                        .set_title("Open a book")
                        .add_filter("Hirsel book", &["hirsel"])
                        .pick_file()
                }));
            }
            Wish::New { path, flock, keeper, number, units, rules, organic } => {
                let given_by = keeper.clone();
                let sheet = if rules == "us" || rules == "ca" { "letter" } else { "a4" }.into();
                let holding = Holding {
                    flock,
                    keeper,
                    number,
                    units,
                    rules,
                    organic,
                    given_by,
                    sheet,
                    ..Holding::default()
                };
                match Book::create(&path, holding) {
                    Ok(book) => self.show_book(book),
                    Err(e) => self.start_with_trouble(e.to_string()),
                }
            }
            Wish::Demo => {
                let folder = self.kept.folder().to_path_buf();
                let today = self.today();
                if let Stage::Start(state) = &mut self.stage {
                    state.busy = Some(phrase!("Making up a flock of sixty ewes and five seasons…"));
                }
                self.opening = Some(Job::start(ctx, move |_| made_up(&folder, today)));
            }
        }
    }

    /// Takes in what threads have chosen or opened.
    pub(super) fn poll_opening(&mut self) {
        if let Some((path, answer)) = self.saving.as_ref().and_then(|(p, j)| Some((p.clone(), j.answer()?))) {
            self.saving = None;
            let answer = answer
                .unwrap_or_else(|Died| Err(phrase!("the damaged book could not be read; please report it")));
            match (answer, &mut self.stage) {
                (Ok(told), Stage::Start(state)) => {
                    (state.busy, state.damaged) = (None, None);
                    state.saved = Some((path, told.words()));
                }
                (Ok(told), Stage::Open(_)) => self.say(Kind::Plain, told.words().join(". ")),
                (Err(why), _) => self.start_with_trouble(why),
            }
        }
        if let Some(answer) = self.opening.as_ref().and_then(Job::answer) {
            self.opening = None;
            match answer
                .unwrap_or_else(|Died| Err(phrase!("the flock could not be made up; please report it")))
            {
                Ok(book) => {
                    self.show_book(book);
                    self.begin_tour();
                }
                Err(e) => self.start_with_trouble(e),
            }
        }
        if let Some(path) = self.choosing.as_ref().and_then(Job::answer) {
            self.choosing = None;
            match path.unwrap_or_default() {
                Some(path) => self.open_path(&path),
                None => {
                    if let Stage::Start(state) = &mut self.stage {
                        no_choice(state);
                    }
                }
            }
        }
    }
}

fn no_choice(state: &mut State) {
    state.trouble = Some(phrase!("No file was chosen: choose one, or type its name in the field"));
}

/// A made-up flock under a name that is free.
fn made_up(folder: &Path, today: hirsel_core::terms::Day) -> Result<Book, String> {
    std::fs::create_dir_all(folder).map_err(|e| phrase!("{} cannot be written: {e}", folder.display()))?;
    let path = (1..1000)
        .map(|n| match n {
            1 => folder.join("Made-up flock.hirsel"),
            n => folder.join(format!("Made-up flock {n}.hirsel")),
        })
        .find(|p| !p.exists())
        .unwrap_or_else(|| PathBuf::from("Made-up flock.hirsel"));
    let mut book = Book::create(&path, hirsel_demo::holding()).map_err(|e| e.to_string())?;
    match hirsel_demo::make(&mut book, &hirsel_demo::Spec::default(), today, &mut |_| {}) {
        Ok(()) => Ok(book),
        Err(e) => {
            drop(book);
            let _ = std::fs::remove_file(&path);
            Err(e.to_string())
        }
    }
}
