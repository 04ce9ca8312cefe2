//! Papers off the window's thread: laid out once for the preview, then written as PDF where it should go.

use super::files;
use super::worker::{Died, Job, Reins};
use crate::pages::papers::{Delivery, PaperKind, PaperSpec};
use hirsel_core::flock::Flock;
use hirsel_core::papers::picture::{self, Form};
use hirsel_core::papers::{self, Paper, PaperFailed};
use hirsel_core::phrase;
use hirsel_core::reckon::flock_figures::{Settings, season_of};
use hirsel_core::registers::Span;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A paper that was asked for.
pub struct Laid {
    /// What was asked.
    pub spec: PaperSpec,
    /// How far it is.
    pub state: LaidState,
    /// While it is being laid out: the same kind of paper as it was before.
    pub before: Option<Arc<Paper>>,
    /// It is being written as PDF: percent.
    pub delivering: Option<u32>,
}

/// How far a paper is.
pub enum LaidState {
    /// Being laid out, percent.
    Working(u32),
    /// The pages.
    Done(Arc<Paper>),
    /// Nothing was chosen that this paper could show.
    Nothing,
    /// Why there is none.
    Failed(String),
}

type Made = Result<Arc<Paper>, PaperFailed>;

const DIED: &str =
    "the pages could not be laid out: choose fewer animals, and please report it with what you chose";

/// The desk's printing corner.
#[derive(Default)]
pub struct Printing {
    laid: Option<Laid>,
    job: Option<Job<Made>>,
    delivery: Option<Job<Result<String, String>>>,
}

impl Printing {
    /// The paper that was asked for.
    pub fn laid(&self) -> Option<&Laid> {
        self.laid.as_ref()
    }

    /// Starts laying out, unless the same is laid out or under way already.
    pub fn lay_out(&mut self, ctx: &egui::Context, flock: &Arc<Flock>, spec: PaperSpec) {
        let failed = |l: &Laid| matches!(l.state, LaidState::Failed(_));
        if self.laid.as_ref().is_some_and(|l| l.spec == spec && !failed(l)) {
            return;
        }
        let before = self.laid.take().filter(|l| l.spec.kind == spec.kind).and_then(|l| match l.state {
            LaidState::Done(paper) => Some(paper),
            _ => l.before,
        });
        let flock = Arc::clone(flock);
        let asked = spec.clone();
        self.job = Some(Job::start(ctx, move |reins| make(&flock, &asked, reins).map(Arc::new)));
        self.laid = Some(Laid { spec, state: LaidState::Working(0), before, delivering: None });
    }

    /// Stops laying out, or writing.
    pub fn stop(&mut self) {
        if let Some(job) = &self.job {
            job.stop();
        }
        if let Some(delivery) = &self.delivery {
            delivery.stop();
        }
    }

    /// Writes the laid-out paper where it should go: a file named by its own path or in the folder of `book`, or
    /// by way of a file in `folder` to viewer or printer. One at a time.
    pub fn deliver(&mut self, ctx: &egui::Context, to: Delivery, book: &Path, folder: PathBuf) {
        let Some(Laid { state: LaidState::Done(paper), .. }) = &self.laid else { return };
        if self.delivery.is_some() {
            return;
        }
        let paper = Arc::clone(paper);
        let book = book.to_path_buf();
        self.delivery = Some(Job::start(ctx, move |reins| deliver(&paper, to, &book, &folder, reins)));
    }

    /// Takes in what the threads have done; a sentence when something was delivered or could not be.
    pub fn poll(&mut self) -> Option<Result<String, String>> {
        if let (Some(job), Some(laid)) = (&self.job, &mut self.laid) {
            let answer = job.answer();
            laid.state = match answer {
                None => LaidState::Working(job.percent()),
                Some(Ok(Ok(paper))) => LaidState::Done(paper),
                Some(Ok(Err(PaperFailed::Nothing { .. }))) => LaidState::Nothing,
                Some(Ok(Err(e))) => LaidState::Failed(e.to_string()),
                Some(Err(Died)) => LaidState::Failed(DIED.into()),
            };
            if !matches!(laid.state, LaidState::Working(_)) {
                laid.before = None;
                self.job = None;
            }
        }
        let lost = |Died| Err(phrase!("the paper could not be written: try another place"));
        let said = self.delivery.as_ref().and_then(Job::answer).map(|a| a.unwrap_or_else(lost));
        if said.is_some() {
            self.delivery = None;
        }
        if let Some(laid) = &mut self.laid {
            laid.delivering = self.delivery.as_ref().map(Job::percent);
        }
        said
    }
}

fn make(flock: &Flock, spec: &PaperSpec, reins: &Reins) -> Result<Paper, PaperFailed> {
    use papers::{
        LambCardOptions, PenCardOptions, PerSheet, SheetSize, TimelineOptions, TreatmentLogOptions,
    };
    let watch = |done: usize, total: usize| reins.go_on((done * 100 / total.max(1)) as u32);
    let sheet = if spec.letter { SheetSize::Letter } else { SheetSize::A4 };
    let per_sheet = PerSheet::from_count(spec.per_sheet.into()).unwrap_or_default();
    match spec.kind {
        PaperKind::LambCards => {
            let options = LambCardOptions { sheet, per_sheet, ..LambCardOptions::for_flock(flock) };
            papers::lamb_cards(flock, &spec.animals, spec.today, &options, &watch)
        }
        PaperKind::PenCards => {
            let options = PenCardOptions { sheet, per_sheet };
            papers::pen_cards(flock, &spec.animals, spec.today, &options, &watch)
        }
        PaperKind::TreatmentLog => {
            let options = TreatmentLogOptions { sheet, from: spec.from, to: spec.to };
            let animals = (!spec.all).then_some(spec.animals.as_slice());
            papers::treatment_log(flock, animals, spec.today, &options, &watch)
        }
        PaperKind::BarnSheet => {
            let options = papers::BarnSheetOptions { sheet, creeps: true };
            let none = hirsel_core::reckon::due::Sheet::default();
            let (jobs, day) = spec.sheet.as_ref().map_or((&none, spec.today), |(s, d)| (&**s, *d));
            papers::barn_sheet(flock, jobs, day, spec.today, &options, &watch)
        }
        PaperKind::Register(kind) => {
            let span = Span { from: spec.from, to: spec.to };
            let register = kind.make(flock, span, spec.today);
            papers::register(flock.holding(), &register, sheet, spec.today, &watch)
        }
        PaperKind::Folder => {
            let mut options = papers::FolderOptions { sheet, ..papers::FolderOptions::default() };
            options.span = Span { from: spec.from, to: spec.to };
            if !spec.registers.is_empty() {
                options.kinds.clone_from(&spec.registers);
            }
            papers::inspector_folder(flock, spec.today, &options, &watch)
        }
        PaperKind::Declaration => {
            let animals = (!spec.all).then_some(spec.animals.as_slice());
            let on = spec.to.unwrap_or(spec.today);
            papers::withdrawal_declaration(flock, animals, on, spec.today, sheet, &watch)
        }
        PaperKind::Certificate => {
            let animals = (!spec.all).then_some(spec.animals.as_slice());
            let span = Span { from: spec.from, to: spec.to };
            papers::vaccination_certificate(flock, animals, span, spec.today, sheet, &watch)
        }
        PaperKind::Pedigree => papers::pedigree_certificate(flock, &spec.animals, spec.today, sheet, &watch),
        PaperKind::Ancestors => {
            let n = spec.generations.into();
            papers::pedigree_drawing(flock, &spec.animals, n, spec.today, sheet, &watch)
        }
        PaperKind::Growth => papers::growth_chart(flock, &spec.animals, spec.today, sheet, &watch),
        PaperKind::JoiningSheet => {
            let span = Span { from: spec.from, to: spec.to };
            let options = papers::JoiningSheetOptions { sheet, span };
            papers::joining_sheet(flock, None, spec.today, &options, &watch)
        }
        PaperKind::DueList => {
            let span = Span { from: spec.from, to: spec.to };
            let options = papers::DueListOptions { sheet, span };
            papers::due_list(flock, None, spec.today, &options, &watch)
        }
        PaperKind::SaleList => {
            let animals = (!spec.all).then_some(spec.animals.as_slice());
            papers::sale_list(flock, animals, spec.today, sheet, &watch)
        }
        PaperKind::Progeny => {
            let rams = (!spec.all).then_some(spec.animals.as_slice());
            papers::ram_progeny(flock, rams, spec.today, sheet, &watch)
        }
        PaperKind::Diversity => papers::diversity_report(flock, spec.today, sheet, &watch),
        PaperKind::KeepSheet => papers::keep_sheet(flock, None, spec.today, sheet, &watch),
        PaperKind::CullList => papers::cull_list(flock, spec.today, sheet, &watch),
        PaperKind::SeasonReport => {
            let month = Settings::of(flock.holding()).month;
            let season = spec.to.or(spec.from).map(|d| season_of(d, month));
            papers::season_report(flock, season, spec.today, sheet, &watch)
        }
        PaperKind::WinterFeed => papers::winter_feed(flock, &[], spec.today, sheet, &watch),
        PaperKind::GrowthList => {
            let born = Span { from: spec.from, to: spec.to };
            let (age_days, using) = spec.growth;
            let options = papers::GrowthListOptions { sheet, age_days, using, born };
            papers::growth_list(flock, None, spec.today, &options, &watch)
        }
        PaperKind::CreepSheet => {
            let options = papers::CreepSheetOptions { sheet, pens: Vec::new() };
            papers::creep_sheet(flock, spec.today, &options, &watch)
        }
        PaperKind::MixSheet => match spec.mix {
            Some((feed, total)) => {
                let options = papers::MixSheetOptions { sheet, feed, total: Some(total) };
                papers::mix_sheet(flock, spec.today, &options, &watch)
            }
            None => Err(PaperFailed::Nothing { paper: "mix sheet", mend: "name a mix" }),
        },
        PaperKind::PenMap => papers::pen_map(flock, spec.today, sheet, &watch),
        PaperKind::FeedSheet => {
            let (on, feeds) = spec.feed;
            let options = papers::FeedSheetOptions { sheet, feeds };
            papers::feed_sheet(flock, None, on, spec.today, &options, &watch)
        }
        PaperKind::Timeline => {
            let options = TimelineOptions { sheet, from: spec.from, to: spec.to, kinds: spec.kinds };
            let animals = (!spec.all).then_some(spec.animals.as_slice());
            papers::timeline(flock, animals, spec.today, &options, &watch)
        }
    }
}

/// Lays a list out and hands it to the viewer, by way of a file in `folder`. Columns share the width by the length of what stands in them.
pub fn list(
    holding: &hirsel_core::flock::Holding,
    mut title: String,
    heads: Vec<String>,
    rows: &[Vec<String>],
    today: hirsel_core::terms::Day,
    folder: &Path,
    reins: &Reins,
) -> Result<String, String> {
    let watch = |done: usize, total: usize| reins.go_on((done * 100 / total.max(1)) as u32);
    if let Some(first) = title.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    let columns: Vec<papers::ListColumn> = heads
        .into_iter()
        .enumerate()
        .map(|(i, mut heading)| {
            let longest = rows.iter().take(400).filter_map(|r| r.get(i)).map(|c| c.chars().count()).max();
            let share = longest.unwrap_or(0).max(heading.chars().count()).clamp(5, 34) as f32;
            if let Some(first) = heading.get_mut(..1) {
                first.make_ascii_uppercase();
            }
            papers::ListColumn { heading, share, figures: false }
        })
        .collect();
    let sheet = if holding.sheet == "letter" { papers::SheetSize::Letter } else { papers::SheetSize::A4 };
    let paper =
        papers::list(holding, &title, &columns, rows, sheet, today, &watch).map_err(|e| e.to_string())?;
    deliver(&paper, Delivery::Viewer, folder, folder, reins)
}

/// Lays a list for the scale out and hands it to the viewer.
///
/// # Errors
/// There is nobody on it, it could not be laid out, or no viewer could be opened.
pub fn weighing_list(
    holding: &hirsel_core::flock::Holding,
    list: &papers::WeighingList,
    today: hirsel_core::terms::Day,
    folder: &Path,
    reins: &Reins,
) -> Result<String, String> {
    let watch = |done: usize, total: usize| reins.go_on((done * 100 / total.max(1)) as u32);
    let sheet = if holding.sheet == "letter" { papers::SheetSize::Letter } else { papers::SheetSize::A4 };
    let paper = papers::weighing_list(holding, list, sheet, today, &watch).map_err(|e| e.to_string())?;
    deliver(&paper, Delivery::Viewer, folder, folder, reins)
}

/// Lays out how long a feed lasts and hands it to the viewer.
///
/// # Errors
/// The feed is given to nobody, it could not be laid out, or no viewer could be opened.
pub fn winter_feed(
    flock: &Flock,
    ask: hirsel_core::reckon::spring::Ask,
    today: hirsel_core::terms::Day,
    folder: &Path,
    reins: &Reins,
) -> Result<String, String> {
    let watch = |done: usize, total: usize| reins.go_on((done * 100 / total.max(1)) as u32);
    let letter = flock.holding().sheet == "letter";
    let sheet = if letter { papers::SheetSize::Letter } else { papers::SheetSize::A4 };
    let paper = papers::winter_feed(flock, &[ask], today, sheet, &watch).map_err(|e| e.to_string())?;
    deliver(&paper, Delivery::Viewer, folder, folder, reins)
}

fn deliver(paper: &Paper, to: Delivery, book: &Path, folder: &Path, reins: &Reins) -> Result<String, String> {
    let watch = |done: usize, total: usize| reins.go_on((done * 100 / total.max(1)) as u32);
    let pdf = || papers::to_pdf_watched(paper, &watch).map_err(|e| e.to_string());
    let pages = match paper.pages.len() {
        1 => phrase!("1 page"),
        n => phrase!("{n} pages"),
    };
    match to {
        Delivery::File(Some(path)) if Form::of(&path).is_some() => pictures(paper, &path, book, reins),
        Delivery::File(path) => {
            let (path, asked) = match path {
                Some(path) => (files::target(&path, book, "pdf")?, false),
                None => (chosen(paper, book)?, true),
            };
            let old = path.exists();
            if old && !is_pdf(&path) {
                let path = path.display();
                return Err(phrase!("{path} is there already and is no PDF: choose another name"));
            }
            files::save(&path, &pdf()?)?;
            let place = if old && !asked { ", in place of the one that was there" } else { "" };
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let folder = path.parent().unwrap_or(&path).display();
            Ok(phrase!("{pages} saved as {name} in {folder}{place}"))
        }
        Delivery::Viewer => {
            let path = kept(paper, folder, &pdf()?)?;
            open::that_detached(&path).map_err(|e| {
                phrase!("no viewer could be opened ({e}): the paper is saved as {}", path.display())
            })?;
            Ok(phrase!("{pages} handed to the viewer"))
        }
        Delivery::Printer => {
            let path = kept(paper, folder, &pdf()?)?;
            print(&path)?;
            Ok(phrase!("{pages} handed to the printer"))
        }
    }
}

/// Each page as a picture, as the ending of the name says; of several pages each has its number behind the name.
fn pictures(paper: &Paper, path: &Path, book: &Path, reins: &Reins) -> Result<String, String> {
    let form = Form::of(path).unwrap_or(Form::Png);
    let to = files::target(path, book, form.ending())?;
    let (sign, word) = super::pictures::signed(form);
    let n = paper.pages.len();
    let all: Vec<PathBuf> = (1..=n).map(|page| picture::numbered(&to, page, n)).collect();
    for one in &all {
        super::pictures::ours(one, sign, word)?;
    }
    for (i, (page, one)) in paper.pages.iter().zip(&all).enumerate() {
        if !reins.go_on((i * 100 / n.max(1)) as u32) {
            return Err(phrase!("writing the pictures was stopped: {i} of {n} are written"));
        }
        let drawing = picture::Drawing::of_page(page, &paper.title);
        let bytes = form.write(&drawing, picture::PAGE_DPI).map_err(|e| e.to_string())?;
        files::save(one, &bytes)?;
    }
    Ok(match all.as_slice() {
        [one] => phrase!("1 page saved as {}", super::pictures::place(one)),
        [first, ..] => phrase!("{n} pages saved as pictures from {} on", super::pictures::place(first)),
        [] => phrase!("the paper has no page"),
    })
}

/// A name chosen in the system's dialog.
fn chosen(paper: &Paper, book: &Path) -> Result<PathBuf, String> {
    let path = rfd::FileDialog::new()
        .set_title("Save the paper")
        .add_filter("PDF", &["pdf"])
        .set_directory(book.parent().unwrap_or(book))
        .set_file_name(format!("{}.pdf", plain(&paper.title)))
        .save_file()
        .ok_or("no file was chosen: type a name in the field beside the button")?;
    files::target(&path, book, "pdf")
}

fn is_pdf(path: &Path) -> bool {
    use std::io::Read as _;
    let mut head = [0; 5];
    std::fs::File::open(path).and_then(|mut f| f.read_exact(&mut head)).is_ok() && &head == b"%PDF-"
}

/// A title as a file's name.
fn plain(title: &str) -> String {
    title.chars().map(|c| if c.is_alphanumeric() || " ,-".contains(c) { c } else { '-' }).collect()
}

/// Writes the paper where viewer and printer find it. The time in the name keeps a paper that a viewer still shows.
fn kept(paper: &Paper, folder: &Path, bytes: &[u8]) -> Result<PathBuf, String> {
    laid_by(folder, &format!("{} {}", paper.title, chrono::Local::now().format("%H-%M-%S")), "pdf", bytes)
}

/// Writes bytes to a file of this name in `folder`, and clears away the papers of earlier weeks.
pub(super) fn laid_by(folder: &Path, name: &str, kind: &str, bytes: &[u8]) -> Result<PathBuf, String> {
    std::fs::create_dir_all(folder).map_err(|e| {
        phrase!("{} could not be made ({}): save the paper instead", folder.display(), files::cause(&e))
    })?;
    let week = std::time::Duration::from_secs(7 * 24 * 3600);
    for old in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        let age = old.metadata().and_then(|m| m.modified()).ok().and_then(|t| t.elapsed().ok());
        let ours = |e: &std::ffi::OsStr| ["pdf", "png", "jpeg"].iter().any(|kind| e == *kind);
        if age.is_some_and(|a| a > week) && old.path().extension().is_some_and(ours) {
            let _ = std::fs::remove_file(old.path());
        }
    }
    let path = files::free(folder, &plain(name), kind);
    files::save(&path, bytes)?;
    Ok(path)
}

/// Hands a file to the system's printing command.
fn print(path: &Path) -> Result<(), String> {
    let mend = phrase!("use Show and print from there; the paper is saved as {}", path.display());
    let mut command = if cfg!(windows) {
        let mut c = std::process::Command::new("powershell");
        // The name travels beside the command, so that no sign in it is taken for one.
        c.args(["-NoProfile", "-Command", "Start-Process -FilePath $env:HIRSEL_PAPER -Verb Print"]);
        c.env("HIRSEL_PAPER", path);
        c
    } else {
        let mut c = std::process::Command::new("lp");
        c.arg(path);
        c
    };
    let done = command
        .stdin(std::process::Stdio::null())
        .output()
        .map_err(|e| phrase!("no printing command was found ({}): {mend}", files::cause(&e)))?;
    if done.status.success() {
        Ok(())
    } else {
        let said = String::from_utf8_lossy(&done.stderr);
        let said = said.trim().trim_start_matches("lp: ").to_string();
        Err(phrase!(
            "the printer refused it ({}): {mend}",
            &if said.is_empty() { crate::look::said("no reason given") } else { said.into() }
        ))
    }
}
