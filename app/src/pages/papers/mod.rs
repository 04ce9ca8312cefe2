//! Papers: every paper with a preview of its real pages, then saved, shown or printed.

mod choose;
mod preview;

use super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::PickerState;
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

impl PaperKind {
    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::LambCards => "lamb cards",
            Self::PenCards => "pen cards",
            Self::TreatmentLog => "treatment log",
        }
    }
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

/// Whom a paper is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Whom {
    /// Lambs born, ewes lambed, of late; for the log, all animals.
    #[default]
    Usual,
    Pen,
    One,
    Chosen,
}

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    kind: PaperKind,
    whom: Whom,
    chosen: Vec<AnimalId>,
    since: String,
    pen: String,
    one: PickerState<AnimalId>,
    per_sheet: Option<u8>,
    letter: Option<bool>,
    from: String,
    to: String,
    path: String,
    path_typed: bool,
    zoom: f32,
    #[serde(skip)]
    asked: Option<String>,
    #[serde(skip)]
    count: usize,
    #[serde(skip)]
    page: usize,
    #[serde(skip)]
    scroll_to: Option<usize>,
    #[serde(skip)]
    seen: bool,
    #[serde(skip)]
    focus: bool,
}

impl State {
    /// Opens the page for this paper and these animals; none of them means the usual choice.
    pub fn show(&mut self, kind: PaperKind, animals: Vec<AnimalId>) {
        self.kind = kind;
        self.whom = if animals.is_empty() { Whom::Usual } else { Whom::Chosen };
        self.chosen = animals;
        self.asked = None;
        self.path_typed = false;
        self.focus = true;
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    if !state.seen {
        state.seen = true;
        state.focus = true;
    }
    choose::ask(ctx, state, &mut out);
    let whole = ui.available_rect_before_wrap();
    let side = if whole.width() > 960.0 {
        420.0
    } else if whole.width() > 740.0 {
        350.0
    } else {
        whole.width()
    };
    let mut left = whole;
    left.set_right(whole.left() + side);
    if whole.width() > 740.0 {
        let mut right = whole;
        right.set_left(left.right() + space::XL);
        ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| {
            egui::ScrollArea::vertical().id_salt("papers").auto_shrink(false).show(ui, |ui| {
                ui.add_space(space::S);
                look::heading(ui, "Papers");
                choose::view(ui, ctx, state, &mut out);
            });
        });
        ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| {
            preview::view(ui, ctx, state, &mut out)
        });
    } else {
        egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            look::heading(ui, "Papers");
            choose::view(ui, ctx, state, &mut out);
            let size = egui::vec2(ui.available_width(), 700.0);
            ui.allocate_ui(size, |ui| {
                ui.set_min_size(size);
                preview::view(ui, ctx, state, &mut out);
            });
        });
    }
    out
}
