//! Papers: every paper with a preview of its real pages, then saved, shown or printed.
use super::{Ctx, Intent};
use hirsel_core::terms::{AnimalId, Day};
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// Which paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum PaperKind {
    /// One card for each lamb.
    #[default]
    LambCards,
    /// One card for each ewe with her lambs.
    PenCards,
    /// The treatment log.
    TreatmentLog,
}

/// Everything a paper is laid out from, but the flock.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperSpec {
    /// Which.
    pub kind: PaperKind,
    /// Whom for; for the log, none means all.
    pub animals: Vec<AnimalId>,
    /// Cards on a sheet: 1, 2, 4 or 8.
    pub per_sheet: u8,
    /// Letter instead of A4.
    pub letter: bool,
    /// First day of the log.
    pub from: Option<Day>,
    /// Last day of the log.
    pub to: Option<Day>,
    /// As of.
    pub today: Day,
    /// Version of the flock it is laid out for.
    pub version: u64,
}

/// Where a laid-out paper goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Delivery {
    /// A file of this name, or one the keeper chooses.
    File(Option<PathBuf>),
    /// The system's viewer.
    Viewer,
    /// The system's printer.
    Printer,
}

/// State.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {}

impl State {
    /// Opens the page for this paper and these animals.
    pub fn show(&mut self, _kind: PaperKind, _animals: Vec<AnimalId>) {}
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, _ctx: &Ctx<'_>, _state: &mut State) -> Vec<Intent> {
    ui.label("…");
    Vec::new()
}
