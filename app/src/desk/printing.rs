//! Papers off the window's thread: laid out once for the preview, then written as PDF where it should go.

use super::worker::{Job, Reins};
use crate::pages::papers::{Delivery, PaperKind, PaperSpec};
use hirsel_core::flock::Flock;
use hirsel_core::papers::{self, Paper, PaperFailed};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A paper that was asked for.
pub struct Laid {
    /// What was asked.
    pub spec: PaperSpec,
    /// How far it is.
    pub state: LaidState,
}

/// How far a paper is.
pub enum LaidState {
    /// Being laid out, percent.
    Working(u32),
    /// The pages.
    Done(Arc<Paper>),
    /// Why there is none.
    Failed(String),
}

type Made = Result<Arc<Paper>, PaperFailed>;

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

    /// Starts laying out, unless the same is laid out already.
    pub fn lay_out(&mut self, ctx: &egui::Context, flock: &Arc<Flock>, spec: PaperSpec) {
        if self.laid.as_ref().is_some_and(|l| l.spec == spec) {
            return;
        }
        let flock = Arc::clone(flock);
        let asked = spec.clone();
        self.job = Some(Job::start(ctx, move |reins| make(&flock, &asked, reins).map(Arc::new)));
        self.laid = Some(Laid { spec, state: LaidState::Working(0) });
    }

    /// Stops laying out.
    pub fn stop(&mut self) {
        if let Some(job) = &self.job {
            job.stop();
        }
    }

    /// Writes the laid-out paper where it should go.
    pub fn deliver(&mut self, ctx: &egui::Context, to: Delivery) {
        let Some(Laid { state: LaidState::Done(paper), .. }) = &self.laid else { return };
        let paper = Arc::clone(paper);
        self.delivery = Some(Job::start(ctx, move |reins| deliver(&paper, to, reins)));
    }

    /// Takes in what the threads have done; a sentence when something was delivered or could not be.
    pub fn poll(&mut self) -> Option<Result<String, String>> {
        if let (Some(job), Some(laid)) = (&self.job, &mut self.laid) {
            if let Some(made) = job.take() {
                laid.state = match made {
                    Ok(paper) => LaidState::Done(paper),
                    Err(e) => LaidState::Failed(e.to_string()),
                };
                self.job = None;
            } else {
                laid.state = LaidState::Working(job.percent());
            }
        }
        let said = self.delivery.as_ref().and_then(Job::take);
        if said.is_some() {
            self.delivery = None;
        }
        said
    }
}

fn make(flock: &Flock, spec: &PaperSpec, reins: &Reins) -> Result<Paper, PaperFailed> {
    use papers::{LambCardOptions, PenCardOptions, PerSheet, SheetSize, TreatmentLogOptions};
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
            let animals = (!spec.animals.is_empty()).then_some(spec.animals.as_slice());
            papers::treatment_log(flock, animals, spec.today, &options, &watch)
        }
    }
}

fn deliver(paper: &Paper, to: Delivery, reins: &Reins) -> Result<String, String> {
    let watch = |done: usize, total: usize| reins.go_on((done * 100 / total.max(1)) as u32);
    let bytes = papers::to_pdf_watched(paper, &watch).map_err(|e| e.to_string())?;
    let pages = paper.pages.len();
    match to {
        Delivery::File(path) => {
            let path = match path {
                Some(path) => path,
                None => match rfd::FileDialog::new()
                    .set_title("Save the paper")
                    .add_filter("PDF", &["pdf"])
                    .set_file_name(format!("{}.pdf", paper.title))
                    .save_file()
                {
                    Some(path) => path,
                    None => {
                        return Err("no file was chosen: type a name in the field beside the button".into());
                    }
                },
            };
            save(&path, &bytes)?;
            Ok(format!("{pages} pages saved as {}", path.display()))
        }
        Delivery::Viewer => {
            let path = temporary(&paper.title, &bytes)?;
            open::that_detached(&path).map_err(|e| {
                format!("no viewer could be opened ({e}): the paper is saved as {}", path.display())
            })?;
            Ok(format!("{pages} pages handed to the viewer"))
        }
        Delivery::Printer => {
            let path = temporary(&paper.title, &bytes)?;
            print(&path)?;
            Ok(format!("{pages} pages handed to the printer"))
        }
    }
}

/// Writes a file whole or not at all.
pub fn save(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let half = path.with_extension("part");
    std::fs::write(&half, bytes).and_then(|()| std::fs::rename(&half, path)).map_err(|e| {
        let _ = std::fs::remove_file(&half);
        format!("{} could not be written ({e}): choose another folder", path.display())
    })
}

fn temporary(title: &str, bytes: &[u8]) -> Result<PathBuf, String> {
    let folder = std::env::temp_dir().join("hirsel papers");
    std::fs::create_dir_all(&folder).map_err(|e| format!("no room for the paper ({e})"))?;
    let name: String = title.chars().map(|c| if c.is_alphanumeric() || c == ' ' { c } else { '-' }).collect();
    let path = folder.join(format!("{name}.pdf"));
    save(&path, bytes)?;
    Ok(path)
}

/// Hands a file to the system's printing command.
fn print(path: &Path) -> Result<(), String> {
    let mend = format!("use Show instead and print from there; the paper is saved as {}", path.display());
    let mut command = if cfg!(windows) {
        let mut c = std::process::Command::new("powershell");
        c.args(["-NoProfile", "-Command", "Start-Process -Verb Print -FilePath"]).arg(path);
        c
    } else {
        let mut c = std::process::Command::new("lp");
        c.arg(path);
        c
    };
    let done = command.output().map_err(|e| format!("no printing command was found ({e}): {mend}"))?;
    if done.status.success() {
        Ok(())
    } else {
        let said = String::from_utf8_lossy(&done.stderr);
        Err(format!("the printer refused it ({}): {mend}", said.trim()))
    }
}
