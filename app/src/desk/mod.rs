//! The desk: the running program. Holds the open book and the states of the pages, applies their intents, and is
//! the one place in the window that calls [`Book::write`].

mod apply;
mod blood;
mod board;
mod chrome;
pub mod command;
mod doubts;
pub mod events;
pub mod figures;
pub mod files;
pub mod keeping;
pub mod kept;
mod keys;
pub mod note;
mod open;
pub mod pairs;
mod papers;
pub mod printing;
pub mod scale;
pub mod tables;
pub mod values;
mod visit;
mod watching;
mod window;
pub mod worker;

pub use window::run;

use crate::look::Kind;
use crate::pages::{Ctx, Pages, Then, start};
use crate::parts::PickerState;
use hirsel_core::book::{BackupFile, Book, Past};
use hirsel_core::entry::Checked;
use hirsel_core::flock::Flock;
use hirsel_core::reckon::figures::YearMeans;
use hirsel_core::terms::{AnimalId, Day};
use kept::Kept;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use worker::Job;

/// The running program.
pub struct Desk {
    kept: Kept,
    stage: Stage,
    said: (Kind, String),
    /// A fixed day, for tests.
    today: Option<Day>,
    keys_shown: bool,
    typed_in: Option<egui::Id>,
    refocus: Option<(egui::Id, u8)>,
    opening: Option<Job<Result<Book, String>>>,
    choosing: Option<Job<Option<PathBuf>>>,
}

enum Stage {
    Start(Box<start::State>),
    Open(Box<OpenBook>),
}

/// A question the desk asks before it writes.
struct Ask {
    checked: Box<Checked>,
    then: Then,
    word: String,
    fresh: bool,
    before: Option<egui::Id>,
}

/// What a file is chosen for.
#[derive(Clone, Copy)]
enum Chosen {
    Copy,
    Table(hirsel_core::exchange::Kind),
    Paper(hirsel_core::flock::DocumentOf),
    Scale,
}

/// An open book and what is shown of it.
struct OpenBook {
    book: Book,
    path: PathBuf,
    flock: Arc<Flock>,
    pages: Pages,
    means: Arc<YearMeans>,
    means_for: u64,
    means_job: Option<Job<YearMeans>>,
    history: Vec<Past>,
    copies: Vec<BackupFile>,
    jobs: board::Kept,
    visit: visit::Kept,
    blood: blood::Kept,
    figures: figures::Kept,
    pairs: pairs::Kept,
    values: values::Kept,
    keeping: keeping::Kept,
    doubts: doubts::Kept,
    watching: watching::Kept,
    note: note::NoteState,
    undo: Option<String>,
    redo: Option<String>,
    ask: Option<Ask>,
    trouble: Option<String>,
    /// The book was looked over to its end, and what it showed was told.
    sound: bool,
    find: PickerState<AnimalId>,
    find_wanted: bool,
    printing: printing::Printing,
    told: Option<Job<Result<String, String>>>,
    chosen_file: Option<(Chosen, Job<Option<PathBuf>>)>,
    reading: Option<Job<tables::Read>>,
    paper: Option<Job<papers::ReadPaper>>,
    coming: Option<tables::Coming>,
    scaled: scale::Kept,
    report: Option<hirsel_core::book::Report>,
    drafts: String,
    look_at_drafts: bool,
}

impl OpenBook {
    fn new(book: Book, kept: &Kept) -> Self {
        let path = book.path().to_path_buf();
        let drafts = kept.drafts(&path).unwrap_or_default();
        let pages = serde_json::from_str(&drafts).unwrap_or_default();
        let mut open = Self {
            flock: book.flock(),
            path,
            book,
            pages,
            means: Arc::default(),
            means_for: 0,
            means_job: None,
            history: Vec::new(),
            copies: Vec::new(),
            jobs: board::Kept::default(),
            visit: visit::Kept::default(),
            blood: blood::Kept::default(),
            figures: figures::Kept::default(),
            pairs: pairs::Kept::default(),
            values: values::Kept::default(),
            keeping: keeping::Kept::default(),
            doubts: doubts::Kept::default(),
            watching: watching::Kept::default(),
            note: note::NoteState::default(),
            undo: None,
            redo: None,
            ask: None,
            trouble: None,
            sound: false,
            find: PickerState::default(),
            find_wanted: false,
            printing: printing::Printing::default(),
            told: None,
            chosen_file: None,
            reading: None,
            paper: None,
            coming: None,
            scaled: scale::Kept::default(),
            report: None,
            drafts,
            look_at_drafts: false,
        };
        open.refresh();
        open
    }

    /// Reads what stands beside the flock anew after a write.
    fn refresh(&mut self) {
        self.flock = self.book.flock();
        // Lines of the journal never change: only what is new is read.
        let known = self.history.first().map_or(0, |p| p.seq);
        let mut new = self.book.history(if known == 0 { 200 } else { 50 }).unwrap_or_default();
        new.retain(|p| p.seq > known);
        self.history.splice(0..0, new);
        self.copies = hirsel_core::book::backups(&self.path);
        self.undo = self.book.undoable();
        self.redo = self.book.redoable();
    }

    /// Tells when a large book, looked over whole after it was opened, turns out damaged.
    fn keep_looking(&mut self, ctx: &egui::Context) {
        if self.sound {
            return;
        }
        if self.book.is_being_looked_over() {
            ctx.request_repaint_after(std::time::Duration::from_millis(100));
            return;
        }
        self.sound = true;
        if let Err(e) = self.book.soundness() {
            self.trouble = Some(e.to_string());
        }
    }

    /// Flock means for this version: at once for a small flock, on a thread for a large one.
    fn keep_means(&mut self, ctx: &egui::Context) {
        if let Some(job) = &self.means_job
            && let Some(means) = job.take()
        {
            self.means = Arc::new(means);
            self.means_job = None;
        }
        if self.means_for == self.flock.version() {
            return;
        }
        self.means_for = self.flock.version();
        if self.flock.len() < 5_000 {
            self.means = Arc::new(YearMeans::of(&self.flock));
        } else {
            let flock = Arc::clone(&self.flock);
            self.means_job = Some(Job::start(ctx, move |_| YearMeans::of(&flock)));
        }
    }

    fn ctx(&self, today: Day) -> Ctx<'_> {
        Ctx {
            flock: &self.flock,
            today,
            board: self.jobs.get(),
            visit: self.visit.get(),
            kindred: self.blood.get(),
            diversity: self.blood.diversity(),
            years: self.figures.get(),
            pairs: self.pairs.get(),
            values: self.values.get(),
            keeping: self.keeping.get(),
            doubts: self.doubts.get(),
            watching: self.watching.get(),
            merges: self.doubts.merges(),
            means: &self.means,
            path: &self.path,
            history: &self.history,
            copies: &self.copies,
            laid: self.printing.laid(),
            coming: self.coming.as_ref(),
            scaled: self.scaled.shown(),
            report: self.report.as_ref(),
        }
    }
}

impl Desk {
    /// The desk with this book, the one opened last, or the first page.
    pub fn new(kept: Kept, path: Option<PathBuf>) -> Self {
        let mut desk = Self {
            kept,
            stage: Stage::Start(Box::default()),
            said: (Kind::Plain, String::new()),
            today: None,
            keys_shown: false,
            typed_in: None,
            refocus: None,
            opening: None,
            choosing: None,
        };
        let last = || desk.kept.settings().recent.first().filter(|p| p.exists()).cloned();
        if let Some(path) = path.or_else(last) {
            desk.open_path(&path);
        }
        desk
    }

    /// A desk with an open book on a fixed day: for tests.
    pub fn with_book(kept: Kept, book: Book, today: Day) -> Self {
        let stage = Stage::Open(Box::new(OpenBook::new(book, &kept)));
        let said = (Kind::Plain, String::new());
        Self {
            kept,
            stage,
            said,
            today: Some(today),
            keys_shown: false,
            typed_in: None,
            refocus: None,
            opening: None,
            choosing: None,
        }
    }

    /// The first page on a fixed day, whatever was opened last: for tests.
    pub fn at_start(kept: Kept, today: Day) -> Self {
        let said = (Kind::Plain, String::new());
        let stage = Stage::Start(Box::default());
        Self {
            kept,
            stage,
            said,
            today: Some(today),
            keys_shown: false,
            typed_in: None,
            refocus: None,
            opening: None,
            choosing: None,
        }
    }

    /// The flock of the open book.
    pub fn flock(&self) -> Option<&Arc<Flock>> {
        match &self.stage {
            Stage::Open(open) => Some(&open.flock),
            Stage::Start(_) => None,
        }
    }

    /// The states of the pages of the open book.
    pub fn pages(&mut self) -> Option<&mut Pages> {
        match &mut self.stage {
            Stage::Open(open) => Some(&mut open.pages),
            Stage::Start(_) => None,
        }
    }

    fn today(&self) -> Day {
        self.today.unwrap_or_else(Day::today)
    }

    fn say(&mut self, kind: Kind, text: impl Into<String>) {
        self.said = (kind, text.into());
    }

    /// Draws everything.
    pub fn view(&mut self, ui: &mut egui::Ui) {
        self.poll(ui.ctx());
        self.refocus(ui.ctx());
        self.shortcuts(ui);
        self.bars(ui);
        let today = self.today();
        match &mut self.stage {
            Stage::Start(state) => {
                let recent = self.kept.settings().recent;
                let folder = documents();
                let wish = page_panel(ui).show(ui, |ui| start::view(ui, &recent, &folder, state)).inner;
                if let Some(wish) = wish {
                    self.grant(ui.ctx(), wish);
                }
            }
            Stage::Open(open) => {
                open.keep_means(ui.ctx());
                open.keep_board(ui.ctx(), today);
                open.keep_visit(ui.ctx(), today);
                if let Some(changed) = open.keep_blood(ui.ctx()) {
                    // The status line was drawn before.
                    ui.ctx().request_repaint();
                    let told = std::mem::take(&mut self.said.1);
                    self.said.1 = if told.is_empty() { changed } else { format!("{told}; {changed}") };
                }
                open.keep_diversity(ui.ctx(), today);
                open.keep_keeping(ui.ctx(), today);
                open.keep_figures(ui.ctx(), today);
                open.keep_doubts(ui.ctx());
                open.keep_watching(ui.ctx(), today);
                open.keep_looking(ui.ctx());
                let mut pages = std::mem::take(&mut open.pages);
                let ctx = open.ctx(today);
                let intents = page_panel(ui).show(ui, |ui| pages.view(ui, &ctx)).inner;
                open.pages = pages;
                for intent in intents {
                    self.apply(ui.ctx(), intent);
                }
                self.ask(ui);
            }
        }
        self.keys_page(ui);
        self.keep_drafts(ui.ctx());
    }

    /// Keeps what is half typed: half a second after the last key, so that a crash loses next to nothing.
    fn keep_drafts(&mut self, ctx: &egui::Context) {
        let Stage::Open(open) = &mut self.stage else { return };
        let typed = ctx.input(|i| {
            i.events.iter().any(|e| {
                matches!(
                    e,
                    egui::Event::Text(_)
                        | egui::Event::Paste(_)
                        // Released too: a key that a field took for itself is no longer among the events.
                        | egui::Event::Key { .. }
                        | egui::Event::PointerButton { pressed: true, .. }
                )
            })
        });
        if typed {
            open.look_at_drafts = true;
            ctx.request_repaint_after(std::time::Duration::from_millis(500));
        } else if open.look_at_drafts {
            open.look_at_drafts = false;
            self.save_drafts();
        }
    }

    /// Keeps drafts now.
    pub fn save_drafts(&mut self) {
        let Stage::Open(open) = &mut self.stage else { return };
        if let Ok(text) = serde_json::to_string(&open.pages)
            && text != open.drafts
            && self.kept.set_drafts(&open.path, &text)
        {
            open.drafts = text;
        }
    }

    /// Closes the book, if one is open, and keeps what is half typed. Tells what went wrong.
    pub fn close(&mut self) -> Option<String> {
        self.save_drafts();
        match std::mem::replace(&mut self.stage, Stage::Start(Box::default())) {
            Stage::Open(open) => open.book.close().err().map(|e| e.to_string()),
            Stage::Start(_) => None,
        }
    }

    /// Where the window looks for fonts of its title: the name of the flock.
    fn title(&self) -> Option<String> {
        self.flock().map(|f| f.holding().flock.clone()).filter(|n| !n.is_empty())
    }
}

/// The room of a page, with air round it.
fn page_panel(ui: &egui::Ui) -> egui::CentralPanel {
    let frame = egui::Frame::central_panel(ui.style()).inner_margin(egui::Margin::symmetric(20, 10));
    egui::CentralPanel::default().frame(frame)
}

/// The frame of a dialog.
fn dialog(ui: &egui::Ui) -> egui::Frame {
    egui::Frame::window(ui.style()).inner_margin(egui::Margin::same(24))
}

/// The user's documents folder, or home.
fn documents() -> PathBuf {
    use etcetera::BaseStrategy as _;
    let home = etcetera::choose_base_strategy().map(|b| b.home_dir().to_path_buf()).unwrap_or_default();
    let documents = home.join("Documents");
    if Path::new(&documents).is_dir() { documents } else { home }
}
