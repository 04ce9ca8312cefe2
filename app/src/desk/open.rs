//! Opening, starting and choosing books.

use super::{Desk, OpenBook, Stage, worker::Job};
use crate::look::Kind;
use crate::pages::start::{State, Wish};
use hirsel_core::book::Book;
use hirsel_core::flock::Holding;
use std::path::{Path, PathBuf};

impl Desk {
    /// Opens a book, or says on the first page why not.
    pub(super) fn open_path(&mut self, path: &Path) {
        match Book::open(path) {
            Ok(book) => self.show_book(book),
            Err(e) => self.start_with_trouble(e.to_string()),
        }
    }

    fn show_book(&mut self, book: Book) {
        self.kept.opened(book.path());
        let n = book.flock().present().count();
        self.say(Kind::Plain, format!("{n} animals in the flock"));
        self.stage = Stage::Open(Box::new(OpenBook::new(book, &self.kept)));
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
        }
        match wish {
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
                    state.busy = Some("Making up a flock of sixty ewes and five seasons…".into());
                }
                self.opening = Some(Job::start(ctx, move |_| made_up(&folder, today)));
            }
        }
    }

    /// Takes in what threads have chosen or opened.
    pub(super) fn poll_opening(&mut self) {
        if let Some(answer) = self.opening.as_ref().and_then(Job::take) {
            self.opening = None;
            match answer {
                Ok(book) => self.show_book(book),
                Err(e) => self.start_with_trouble(e),
            }
        }
        if let Some(path) = self.choosing.as_ref().and_then(Job::take) {
            self.choosing = None;
            match path {
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
    state.trouble = Some("No file was chosen: choose one, or type its name in the field".into());
}

/// A made-up flock under a name that is free.
fn made_up(folder: &Path, today: hirsel_core::terms::Day) -> Result<Book, String> {
    std::fs::create_dir_all(folder).map_err(|e| format!("{} cannot be written: {e}", folder.display()))?;
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
