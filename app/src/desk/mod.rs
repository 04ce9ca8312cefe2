//! The desk: the running program. Holds the open book and the states of the pages, applies their intents, and is
//! the one place in the window that calls [`Book::write`]. Slow work goes to threads ([`worker`]). What is true of a
//! sheep does not belong here, nor does how a page looks.

mod apply;
mod blood;
mod board;
mod chrome;
pub mod coming;
pub mod command;
pub mod copies;
mod doubts;
pub mod events;
mod faults;
pub mod feeding;
mod figures;
pub mod files;
mod finder;
mod help;
pub mod keeping;
pub mod kept;
mod keys;
mod languages;
mod low;
pub mod note;
mod open;
mod opened;
pub mod pairs;
mod papers;
mod pictures;
pub mod places;
pub mod printing;
pub mod roll;
pub mod saving;
pub mod scale;
pub mod speed;
pub mod standard;
mod strip;
pub mod tables;
pub mod taken;
pub mod thumbs;
mod tour;
mod trade;
pub mod values;
mod visit;
mod watching;
mod wedge;
mod window;
pub mod worker;

pub use tour::{Task, Tour};
pub use window::run;

use crate::look::Kind;
use crate::pages::{Ctx, Pages, Then, start};
use crate::parts::PickerState;
use hirsel_core::book::{BackupFile, Book, Past};
use hirsel_core::entry::Checked;
use hirsel_core::flock::Flock;
use hirsel_core::handbook::trade::Trade;
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
    help: help::Help,
    tour: tour::Kept,
    finder: finder::Kept,
    columns_known: bool,
    /// The words of the trade the window speaks in.
    trade: Trade,
    /// How it spoke when what is shown was prepared.
    spoken: trade::Before,
    /// The language it speaks.
    languages: languages::Languages,
    /// Keys that did something in the pass before.
    live: crate::parts::live::Reported,
    speed: speed::Speed,
    typed_in: Option<egui::Id>,
    wedge: wedge::Wedge,
    refocus: Option<(egui::Id, u8)>,
    opening: Option<Job<Result<Book, String>>>,
    choosing: Option<Job<Option<PathBuf>>>,
    /// A copy of the book that was closed, on its way to the second place.
    parting: Option<Job<Result<PathBuf, String>>>,
    saving: Option<open::Saving>,
    /// Work that fails on purpose.
    /// A command for the next frame.
    later: Option<command::Command>,
    rehearsal: Option<Job<()>>,
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
    Table(Option<hirsel_core::exchange::Kind>),
    Scale,
    Roll,
    Other,
    Place,
    Save,
    Standard,
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
    feeding: feeding::Kept,
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
    coming_papers: papers::Coming,
    thumbs: thumbs::Thumbs,
    /// Where the room goes, and of which version of the flock.
    room: Option<(u64, hirsel_core::book::Room)>,
    file_size: u64,
    coming: tables::Kept,
    saving: Option<saving::Saving>,
    dress: saving::Dress,
    taken: taken::Kept,
    scaled: scale::Kept,
    rolled: roll::Kept,
    scan_opens: bool,
    other: copies::Kept,
    places: places::Kept,
    arriving: standard::Kept,
    report: Option<hirsel_core::book::Report>,
    drafts: String,
    look_at_drafts: bool,
}

impl Desk {
    /// The desk with this book, the one opened last, or the first page. Tells of a fault that ended the last run.
    pub fn new(kept: Kept, path: Option<PathBuf>) -> Self {
        let begun = open::Begun::of(&kept, path);
        Self::begin(kept, begun)
    }

    /// A desk with an open book on a fixed day: for tests.
    pub fn with_book(kept: Kept, book: Book, today: Day) -> Self {
        let stage = Stage::Open(Box::new(OpenBook::new(book, &kept)));
        Self::on(kept, stage, Some(today))
    }

    /// The first page on a fixed day, whatever was opened last: for tests.
    pub fn at_start(kept: Kept, today: Day) -> Self {
        Self::on(kept, Stage::Start(Box::default()), Some(today))
    }

    fn on(kept: Kept, stage: Stage, today: Option<Day>) -> Self {
        Self {
            kept,
            stage,
            said: (Kind::Plain, String::new()),
            today,
            help: help::Help::default(),
            tour: tour::Kept::default(),
            speed: speed::Speed::of_user(),
            finder: finder::Kept::default(),
            columns_known: false,
            trade: Trade::PLAIN,
            spoken: trade::Before::default(),
            languages: languages::Languages::default(),
            live: Default::default(),
            typed_in: None,
            wedge: wedge::Wedge::default(),
            refocus: None,
            opening: None,
            choosing: None,
            parting: None,
            saving: None,
            later: None,
            rehearsal: None,
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

    fn say(&mut self, kind: Kind, text: impl Into<hirsel_core::terms::Text>) {
        self.said = (kind, crate::look::spoken(text));
    }

    /// Draws everything.
    pub fn view(&mut self, ui: &mut egui::Ui) {
        self.speed.begins();
        let began = std::time::Instant::now();
        self.draw(ui);
        let page = self.page_words();
        self.speed.took(began.elapsed(), page, ui.ctx());
    }

    fn draw(&mut self, ui: &mut egui::Ui) {
        self.live = crate::parts::live::begin(ui.ctx());
        self.keep_trade();
        self.keep_columns(ui.ctx());
        crate::parts::reach::Reach::listen(ui.ctx());
        self.poll(ui.ctx());
        self.refocus(ui.ctx());
        self.wedge(ui);
        self.shortcuts(ui);
        self.bars(ui);
        let today = self.today();
        match &mut self.stage {
            Stage::Start(state) => {
                crate::crash::at("the first page");
                let recent = self.kept.settings().recent;
                let folder = documents();
                let page = |ui: &mut egui::Ui| start::view(ui, &recent, &folder, state);
                let wish = page_panel(ui).show(ui, |ui| low::page(ui, page)).inner;
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
                open.keep_feeding(ui.ctx(), today);
                open.keep_looking(ui.ctx());
                open.keep_room();
                open.keep_places(ui.ctx());
                crate::crash::at(open.pages.at.words());
                let mut pages = std::mem::take(&mut open.pages);
                let ctx = open.ctx(today);
                let intents = page_panel(ui).show(ui, |ui| low::page(ui, |ui| pages.view(ui, &ctx))).inner;
                open.pages = pages;
                for intent in intents {
                    self.apply(ui.ctx(), intent);
                }
                if let Some(list) = crate::parts::record_table::wanted(ui.ctx()) {
                    self.save_table(ui.ctx(), list);
                }
                self.did_see();
                self.ask(ui);
                self.saving(ui);
            }
        }
        self.take_dropped(ui.ctx());
        self.help(ui);
        self.finder(ui);
        if self.live != crate::parts::live::now(ui.ctx()) {
            // The foot was drawn before.
            ui.ctx().request_repaint();
        }
        self.speed_panel(ui.ctx());
        if self.keep_trade() {
            ui.ctx().request_repaint();
        }
        self.keep_drafts(ui.ctx());
    }

    /// Which columns tables show: taken from the settings at first, kept when chosen anew.
    fn keep_columns(&mut self, ctx: &egui::Context) {
        use crate::parts::record_table::columns;
        if !std::mem::replace(&mut self.columns_known, true) {
            self.load_language(ctx);
            columns::set_hidden(ctx, self.kept.settings().hidden_columns);
        }
        if let Some(hidden) = columns::hidden_changed(ctx) {
            self.kept.set(&kept::Settings { hidden_columns: hidden, ..self.kept.settings() });
        }
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
