//! The ten small tasks of a first evening, shown with a made-up flock alone. A task is ticked from what the keeper did:
//! from the writes, commands and papers that pass the desk, never by a button.

use super::{Desk, OpenBook, Stage};
use crate::look::{self, Icon, Kind};
use crate::pages::PageId;
use crate::pages::papers::PaperKind;
use egui::Ui;
use hirsel_core::entry::{Entry, Sure};
use hirsel_core::flock::{AnimalFile, DocumentOf, Flock, RecordRef};
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Day, Sex};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// A task.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Task {
    /// A barn note.
    Note,
    /// A ewe is found.
    Find,
    /// One of her past lambings is seen.
    Past,
    /// A lambing is written up.
    Lambing,
    /// A pen is treated.
    Pen,
    /// Who is under withdrawal is read.
    Clear,
    /// Three lambs are weighed.
    Weigh,
    /// Pen cards are printed.
    Cards,
    /// Something is undone.
    Undo,
    /// The inspector's folder is made.
    Folder,
}

impl Task {
    /// All, in the order of an evening.
    pub const ALL: [Self; 10] = [
        Self::Note,
        Self::Find,
        Self::Past,
        Self::Lambing,
        Self::Pen,
        Self::Clear,
        Self::Weigh,
        Self::Cards,
        Self::Undo,
        Self::Folder,
    ];

    /// In a few words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Note => "Write a barn note",
            Self::Find => "Find a ewe",
            Self::Past => "Open one of her past lambings",
            Self::Lambing => "Write up a lambing",
            Self::Pen => "Treat a pen",
            Self::Clear => "Read who is clear, and when",
            Self::Weigh => "Weigh three lambs",
            Self::Cards => "Make pen cards",
            Self::Undo => "Take something back",
            Self::Folder => "Make the inspector’s folder",
        }
    }

    /// The keys to press, with animals of this flock.
    fn keys(self, who: &Who) -> String {
        let Who { ewe, due, pen, lamb } = who;
        match self {
            Self::Note => phrase!("Ctrl+N, {ewe} lame near fore, Enter"),
            Self::Find => phrase!("Ctrl+F, {ewe}, Enter"),
            Self::Past => "on her leaf: ← from event to event, Enter on a lambing".into(),
            Self::Lambing => {
                phrase!("Ctrl+5, {due}, then Enter down to the lamb’s sex: e, Enter, 4.2, then Ctrl+Enter")
            }
            Self::Pen => phrase!("Ctrl+6, Enter, {pen}, Enter to Product: a letter, Enter, then Ctrl+Enter"),
            Self::Clear => "Ctrl+6, then Ctrl+Page down".into(),
            Self::Weigh => phrase!("Ctrl+7, {lamb}, Enter, its weight, Enter; then two others"),
            Self::Cards => "Ctrl+8, P, then Ctrl+Enter saves them".into(),
            Self::Undo => "Ctrl+Z, while no half-typed field has the keyboard".into(),
            Self::Folder => "Ctrl+8, R, Enter, I, then Ctrl+Enter saves it".into(),
        }
    }
}

/// How far the keeper is: kept in the settings.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Tour {
    /// The made-up book it goes with.
    pub book: PathBuf,
    /// It is put away.
    pub away: bool,
    /// What is done.
    pub done: Vec<Task>,
    /// Lambs weighed so far, until there are three.
    weighed: Vec<AnimalId>,
}

/// The tour of the open book, and what is drawn of it.
#[derive(Default)]
pub(super) struct Kept {
    tour: Option<Tour>,
    all_shown: bool,
    /// Animals named in the tasks, and for which day and book.
    who: Option<(Day, PathBuf, Who)>,
}

impl Kept {
    /// The ten tasks go with the open book.
    pub(super) fn is_on(&self) -> bool {
        self.tour.is_some()
    }
}

/// Animals and a pen for the keys of the tasks.
#[derive(Default, Clone)]
struct Who {
    ewe: String,
    due: String,
    pen: String,
    lamb: String,
}

impl Who {
    fn of(flock: &Flock, today: Day) -> Self {
        let here = |f: &&AnimalFile| f.animal.status.is_here();
        let mut files: Vec<&AnimalFile> = flock.files().filter(here).collect();
        files.sort_by(|a, b| hirsel_core::flock::natural(a.animal.tag(), b.animal.tag()));
        let tag = |keep: &dyn Fn(&AnimalFile) -> bool| {
            let found = files.iter().find(|f| keep(f)).map(|f| f.animal.tag().to_string());
            found.unwrap_or_else(|| "a tag".into())
        };
        let lately = |f: &AnimalFile| f.lambings.iter().any(|l| today.since(l.at.day) < 150);
        // Within the days that a joining leaves for her lambs, so that nothing is asked about.
        let due = |f: &AnimalFile| {
            f.joinings
                .iter()
                .any(|j| today.since(j.from) >= 146 && j.to.is_none_or(|to| today.since(to) <= 150))
        };
        let is_ewe = |f: &AnimalFile| f.animal.sex == Sex::Ewe && !f.animal.is_lamb(today);
        let mut pens: BTreeMap<&str, usize> = BTreeMap::new();
        for f in &files {
            *pens.entry(f.animal.pen.as_deref().unwrap_or_default()).or_default() += 1;
        }
        let pen = pens.iter().find(|(p, n)| !p.is_empty() && (3..=30).contains(*n)).map(|(p, _)| *p);
        Self {
            ewe: tag(&|f| is_ewe(f) && f.lambings.len() > 1),
            due: tag(&|f| is_ewe(f) && due(f) && !lately(f)),
            pen: pen.unwrap_or("a pen").to_string(),
            lamb: tag(&|f| f.animal.is_lamb(today)),
        }
    }
}

impl Desk {
    /// The tour of the book that was opened just now, if it is its made-up one.
    pub(super) fn meet_tour(&mut self) {
        let tour = self.kept.settings().tour;
        self.tour = Kept { tour: tour.filter(|t| self.fits(t)), ..Kept::default() };
    }

    /// Begins the tour anew with the made-up flock that is open.
    pub(super) fn begin_tour(&mut self) {
        let Stage::Open(open) = &self.stage else { return };
        let tour = Tour { book: absolute(&open.path), ..Tour::default() };
        if self.fits(&tour) {
            self.tour = Kept { tour: Some(tour), ..Kept::default() };
            self.keep_tour();
        }
    }

    /// The key of the tour: takes it up, shows all ten, shows one.
    pub(super) fn tour_key(&mut self) {
        let made_up = matches!(&self.stage, Stage::Open(o) if hirsel_demo::is_made_up(o.flock.holding()));
        match &mut self.tour.tour {
            Some(tour) if tour.away => {
                tour.away = false;
                self.keep_tour();
            }
            Some(_) => self.tour.all_shown = !self.tour.all_shown,
            None if made_up => self.begin_tour(),
            None => self.say(Kind::Plain, "The ten small tasks go with the made-up flock of the first page"),
        }
    }

    fn fits(&self, tour: &Tour) -> bool {
        matches!(&self.stage, Stage::Open(open)
            if absolute(&open.path) == tour.book && hirsel_demo::is_made_up(open.flock.holding()))
    }

    fn keep_tour(&self) {
        let settings = super::kept::Settings { tour: self.tour.tour.clone(), ..self.kept.settings() };
        self.kept.set(&settings);
    }

    /// The keeper did this.
    pub(super) fn did(&mut self, task: Task) {
        let Some(tour) = &mut self.tour.tour else { return };
        if tour.done.contains(&task) {
            return;
        }
        tour.done.push(task);
        let left = Task::ALL.len() - tour.done.len();
        self.keep_tour();
        if left == 0 {
            self.say(Kind::Good, "All ten tasks are done: this is an evening with Hirsel");
        }
    }

    /// An animal was found by the field in the head.
    pub(super) fn did_find(&mut self, id: AnimalId) {
        if self.flock().and_then(|f| f.animal(id)).is_some_and(|a| a.sex == Sex::Ewe) {
            self.did(Task::Find);
        }
    }

    /// These entries are written.
    pub(super) fn did_write(&mut self, all: &[Sure]) {
        if self.tour.tour.is_none() {
            return;
        }
        for sure in all {
            match sure.entry() {
                Entry::Lambings(_) => self.did(Task::Lambing),
                Entry::Treatments(given) if given.len() > 1 => self.did(Task::Pen),
                Entry::Weighings(weighed) | Entry::Weighed { weighings: weighed, .. } => {
                    let animals: Vec<AnimalId> = weighed.iter().map(|w| w.animal).collect();
                    self.did_weigh(&animals);
                }
                _ => {}
            }
        }
    }

    fn did_weigh(&mut self, animals: &[AnimalId]) {
        let today = self.today();
        let Some(flock) = self.flock().cloned() else { return };
        let Some(tour) = &mut self.tour.tour else { return };
        for id in animals {
            let lamb = flock.animal(*id).is_some_and(|a| a.is_lamb(today));
            if lamb && tour.weighed.len() < 3 && !tour.weighed.contains(id) {
                tour.weighed.push(*id);
            }
        }
        match tour.weighed.len() {
            3.. => self.did(Task::Weigh),
            _ => self.keep_tour(),
        }
    }

    /// A paper went to a file, the viewer or the printer.
    pub(super) fn did_deliver(&mut self, kind: PaperKind) {
        match kind {
            PaperKind::PenCards => self.did(Task::Cards),
            PaperKind::Folder => self.did(Task::Folder),
            _ => {}
        }
    }

    /// What is done by looking: read after the page was drawn.
    pub(super) fn did_see(&mut self) {
        if self.tour.tour.is_none() {
            return;
        }
        let Stage::Open(open) = &self.stage else { return };
        let pages = &open.pages;
        let lambing = |of| matches!(of, DocumentOf::Record(RecordRef::Lambing(_)));
        if pages.at == PageId::Flock && pages.leaf.paper_target().is_some_and(|(of, _)| lambing(of)) {
            self.did(Task::Past);
        } else if pages.at == PageId::Treatments && pages.treatments.shows_held() {
            self.did(Task::Clear);
        }
    }

    /// The strip under the head: the next task with its keys, or all ten.
    pub(super) fn tour_strip(&mut self, ui: &mut Ui) {
        let today = self.today();
        let Stage::Open(open) = &mut self.stage else { return };
        let Some(tour) = self.tour.tour.as_mut().filter(|t| !t.away) else { return };
        let who = &mut self.tour.who;
        if who.as_ref().is_none_or(|(day, book, _)| *day != today || *book != open.path) {
            *who = Some((today, open.path.clone(), Who::of(&open.flock, today)));
        }
        let who = who.as_ref().map(|(.., w)| w.clone()).unwrap_or_default();
        let (mut away, mut all) = (false, false);
        let t = look::tokens(ui);
        let frame =
            super::chrome::bar_frame(ui).fill(t.accent_ground).inner_margin(egui::Margin::symmetric(20, 6));
        egui::Panel::top("tour").frame(frame).show(ui, |ui| {
            let next = Task::ALL.into_iter().find(|task| !tour.done.contains(task));
            ui.horizontal_wrapped(|ui| {
                look::icon(ui, Icon::Lamb, t.accent);
                let done = phrase!("Ten small tasks: {} done.", tour.done.len());
                look::strong(ui, done);
                match next {
                    Some(task) => {
                        ui.label(phrase!("Next: {}", task.words()));
                        look::faint(ui, task.keys(&who));
                    }
                    None => {
                        ui.label(
                            phrase!("All are done. Start your own flock when you like: close this book under The book, Copies and check."),
                        );
                    }
                }
                let words = if self.tour.all_shown { "Only the next" } else { "All ten" };
                all = ui.small_button(crate::look::spoken(words)).clicked();
                away = ui.small_button(phrase!("Put away")).clicked();
            });
            if self.tour.all_shown {
                let room = (ui.ctx().content_rect().height() * 0.36).max(90.0);
                let area = egui::ScrollArea::vertical().auto_shrink([false, true]);
                area.max_height(room).min_scrolled_height(room).show(ui, |ui| list(ui, tour, &who));
            }
        });
        if all {
            self.tour.all_shown = !self.tour.all_shown;
        }
        if away {
            tour.away = true;
            self.keep_tour();
            self.say(Kind::Plain, "The ten tasks are put away: Ctrl+Shift+T takes them up again");
        }
    }

    /// Tasks that are done, for tests.
    pub fn tasks_done(&self) -> Vec<Task> {
        self.tour.tour.as_ref().map(|t| t.done.clone()).unwrap_or_default()
    }
}

/// All ten, each with its tick or its keys.
fn list(ui: &mut Ui, tour: &Tour, who: &Who) {
    ui.spacing_mut().item_spacing.y = 2.0;
    ui.spacing_mut().interact_size.y = ui.text_style_height(&egui::TextStyle::Body);
    for task in Task::ALL {
        let done = tour.done.contains(&task);
        ui.horizontal_wrapped(|ui| {
            let words = if done { phrase!("{}: done", task.words()) } else { task.words().to_string() };
            match done {
                true => look::word(ui, Kind::Good, &words),
                false => ui.label(format!("○ {words}")),
            };
            if !done {
                let more = match tour.weighed.len() {
                    n @ 1..3 if task == Task::Weigh => phrase!(" ({n} of 3)"),
                    _ => String::new(),
                };
                look::faint(ui, format!("{}{more}", task.keys(who)));
            }
        });
    }
}

fn absolute(path: &std::path::Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf())
}

impl OpenBook {
    /// The kind of the paper that is laid out.
    pub(super) fn laid_kind(&self) -> Option<PaperKind> {
        self.printing.laid().map(|l| l.spec.kind)
    }
}
