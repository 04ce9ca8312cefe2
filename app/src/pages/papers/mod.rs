//! Papers: every paper with a preview of its real pages, then saved, shown or printed.

mod choose;
mod deliver;
mod groups;
mod mix;
mod preview;
mod whom;

use super::sections::shown_anew;
use super::weights::Carry;
use super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::{Choice, Form, FormEvent, PickerState};
use groups::{KINDS, OF_BLOOD, OF_FEED, OF_JOININGS, OF_KEEPING, OF_THE_BARN, UNDER};
use hirsel_core::reckon::due::Sheet;
use hirsel_core::reckon::growth::fixed::Using;
use hirsel_core::reckon::season::Kinds;
use hirsel_core::registers::{RegisterKind, Span};
use hirsel_core::terms::{AnimalId, Day, FeedId, Mass};
use serde::{Deserialize, Serialize};
use std::path::PathBuf;
use std::sync::Arc;

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
    /// The jobs of one day by pen.
    BarnSheet,
    /// The season of many animals, or the life of one, drawn.
    Timeline,
    /// A register.
    Register(RegisterKind),
    /// The inspector's folder.
    Folder,
    /// The withdrawal declaration.
    Declaration,
    /// The vaccination certificate.
    Certificate,
    /// The pedigree certificate.
    Pedigree,
    /// Ancestors, drawn.
    Ancestors,
    /// Joining groups with their ewes, for the barn.
    JoiningSheet,
    /// The ewes that are due.
    DueList,
    /// Animals for sale.
    SaleList,
    /// A ram's lambs by season.
    Progeny,
    /// The diversity of the flock.
    Diversity,
    /// A season's lambs: who is kept.
    KeepSheet,
    /// Ewes to leave.
    CullList,
    /// Weights of chosen animals with their curves.
    Growth,
    /// How a season went.
    SeasonReport,
    /// A season's weights at a fixed age by contemporary group.
    GrowthList,
    /// What is weighed out for a batch of a mix.
    MixSheet,
    /// Cards for the doors of the creeps.
    CreepSheet,
    /// How long each feed lasts.
    WinterFeed,
    /// What is carried to each pen in a day.
    FeedSheet,
    /// The pens of the shed, drawn.
    PenMap,
}

/// A register or the folder to be printed, for these days.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RegisterAsk {
    kind: PaperKind,
    span: Span,
    registers: Vec<RegisterKind>,
}

impl RegisterAsk {
    /// `registers` are those of the folder.
    pub fn of(kind: PaperKind, span: Span, registers: &[RegisterKind]) -> Self {
        Self { kind, span, registers: registers.to_vec() }
    }
}

impl PaperKind {
    /// All but the registers, which are themselves a list.
    pub const ALL: [Self; 25] = [
        Self::LambCards,
        Self::PenCards,
        Self::TreatmentLog,
        Self::BarnSheet,
        Self::Timeline,
        Self::Folder,
        Self::Declaration,
        Self::Certificate,
        Self::Pedigree,
        Self::Ancestors,
        Self::JoiningSheet,
        Self::DueList,
        Self::SaleList,
        Self::Progeny,
        Self::Diversity,
        Self::KeepSheet,
        Self::CullList,
        Self::Growth,
        Self::SeasonReport,
        Self::GrowthList,
        Self::MixSheet,
        Self::CreepSheet,
        Self::WinterFeed,
        Self::FeedSheet,
        Self::PenMap,
    ];

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::LambCards => "Lamb cards",
            Self::PenCards => "Pen cards",
            Self::TreatmentLog => "Treatment log",
            Self::BarnSheet => "Barn sheet",
            Self::Timeline => "Timeline",
            Self::Register(kind) => kind.words(),
            Self::Folder => "Inspector's folder",
            Self::Declaration => "Withdrawal declaration",
            Self::Certificate => "Vaccination certificate",
            Self::Pedigree => "Pedigree certificate",
            Self::Ancestors => "Pedigree drawing",
            Self::JoiningSheet => "Joining sheet",
            Self::DueList => "Due list",
            Self::SaleList => "Sale list",
            Self::Progeny => "Ram's progeny",
            Self::Diversity => "Diversity report",
            Self::KeepSheet => "Keep sheet",
            Self::CullList => "Cull list",
            Self::Growth => "Growth chart",
            Self::SeasonReport => "Season report",
            Self::GrowthList => "List of weights",
            Self::MixSheet => "Mix sheet",
            Self::CreepSheet => "Creep sheets",
            Self::WinterFeed => "Winter feed",
            Self::FeedSheet => "Feed sheet",
            Self::PenMap => "Pen map",
        }
    }

    /// Registers and folder are of the whole flock, and so are joining sheet and due list.
    pub(super) fn is_whole(self) -> bool {
        matches!(self, Self::Register(_) | Self::Folder | Self::Diversity | Self::PenMap)
            || self.is_joinings()
            || self.is_keeping()
            || self.is_feed()
    }

    /// It stands under 'Feed'.
    pub(super) fn is_feed(self) -> bool {
        matches!(self, Self::MixSheet | Self::CreepSheet | Self::WinterFeed)
    }

    /// It is of joinings.
    pub(super) fn is_joinings(self) -> bool {
        matches!(self, Self::JoiningSheet | Self::DueList)
    }

    /// It is of one day of the barn: its day is tomorrow unless another is typed.
    pub(super) fn is_of_the_barn(self) -> bool {
        matches!(self, Self::BarnSheet | Self::FeedSheet | Self::PenMap)
    }

    /// It stands under 'Season'.
    pub(super) fn is_keeping(self) -> bool {
        matches!(self, Self::KeepSheet | Self::CullList | Self::SeasonReport | Self::GrowthList)
    }

    /// It is of the flock as it stands, whatever the days.
    pub(super) fn is_undated(self) -> bool {
        self.is_blood()
            || self.is_feed()
            || self == Self::PenMap
            || matches!(self, Self::KeepSheet | Self::CullList)
    }

    /// It is of blood: of the animals as they stand, whatever the days.
    pub(super) fn is_blood(self) -> bool {
        matches!(self, Self::SaleList | Self::Progeny | Self::Diversity)
    }

    /// It is of one day.
    pub(super) fn is_of_a_day(self) -> bool {
        match self {
            Self::Register(kind) => kind.is_of_a_day(),
            Self::Declaration => true,
            _ => false,
        }
    }

    /// The entry of the choice it stands under.
    fn group(self) -> Self {
        match self {
            Self::Register(_) | Self::Folder | Self::Declaration | Self::Certificate => REGISTERS,
            Self::Ancestors | Self::Growth => Self::Pedigree,
            Self::DueList => Self::JoiningSheet,
            Self::FeedSheet | Self::PenMap => Self::BarnSheet,
            Self::Progeny | Self::Diversity => Self::SaleList,
            Self::KeepSheet | Self::CullList | Self::GrowthList => Self::SeasonReport,
            Self::CreepSheet | Self::WinterFeed => Self::MixSheet,
            other => other,
        }
    }

    /// It is of chosen animals alone: there is no usual choice, and no days.
    pub(super) fn is_pedigree(self) -> bool {
        matches!(self, Self::Pedigree | Self::Ancestors | Self::Growth)
    }

    /// Cards come so many on a sheet; what is no card is for stretches of days.
    pub(super) fn is_cards(self) -> bool {
        matches!(self, Self::LambCards | Self::PenCards)
    }
}

/// What a drawn timeline is of.
#[derive(Debug, Clone, PartialEq)]
pub struct Season {
    /// The animals that have a row; a single one has its life drawn.
    pub animals: Vec<AnimalId>,
    /// First and last day.
    pub days: (Day, Day),
    /// What kinds of event.
    pub kinds: Kinds,
}

/// Everything a paper is laid out from, but the flock.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperSpec {
    /// Which.
    pub kind: PaperKind,
    /// Whom for, in this order.
    pub animals: Vec<AnimalId>,
    /// The log of all animals, whatever `animals` holds.
    pub all: bool,
    /// Cards on a sheet: 1, 2, 4 or 8.
    pub per_sheet: u8,
    /// Letter instead of A4.
    pub letter: bool,
    /// First day of the log or the timeline.
    pub from: Option<Day>,
    /// Last day of the log or the timeline.
    pub to: Option<Day>,
    /// The barn sheet that is to be printed, and its day.
    pub sheet: Option<(Arc<Sheet>, Day)>,
    /// The registers of the folder.
    pub registers: Vec<RegisterKind>,
    /// What kinds of event the timeline shows.
    pub kinds: Kinds,
    /// Generations of the pedigree drawing, 4 to 6.
    pub generations: u8,
    /// The age in days of the list of weights, and which factors they carry.
    pub growth: (u16, Using),
    /// The mix of the mix sheet, and how much of it is made.
    pub mix: Option<(FeedId, Mass)>,
    /// The day of the feed sheet, and how many feeds it has.
    pub feed: (Day, u8),
    /// As of.
    pub today: Day,
    /// Version of the flock it is laid out for.
    pub version: u64,
}

/// Where a laid-out paper goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Delivery {
    /// A file of this name (a bare name lies in the folder of the book), or one the keeper chooses.
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
    pen: PickerState<u64>,
    one: PickerState<AnimalId>,
    per_sheet: Option<u8>,
    letter: Option<bool>,
    from: String,
    to: String,
    /// The day of the barn sheet or the feed sheet as typed; nothing is tomorrow.
    day: String,
    /// Feeds a day on the feed sheet; none is two.
    feeds: Option<u8>,
    /// A barn sheet handed over by its own page, with its day.
    #[serde(skip)]
    sheet: Option<(Arc<Sheet>, Day)>,
    kinds: Kinds,
    /// Generations of the pedigree drawing.
    generations: Option<u8>,
    /// The age of the list of weights as typed; nothing is 60 days.
    age: String,
    /// The factors that its weights carry.
    carry: Carry,
    /// The mix of the mix sheet and how much of it, as typed.
    mix: mix::Typed,
    /// Registers of the folder; none is all.
    registers: Vec<RegisterKind>,
    register: PickerState<RegisterKind>,
    path: String,
    path_typed: bool,
    zoom: f32,
    #[serde(skip)]
    asking: whom::Asking,
    #[serde(skip)]
    drawn: u64,
    #[serde(skip)]
    focus: bool,
    #[serde(skip)]
    view: preview::View,
}

impl State {
    /// Opens the page for this paper and these animals; none of them means the usual choice.
    pub fn show(&mut self, kind: PaperKind, animals: Vec<AnimalId>) {
        self.turn_to(kind);
        self.whom = if animals.is_empty() { Whom::Usual } else { Whom::Chosen };
        self.chosen = animals;
        self.asking.again();
        self.focus = true;
    }

    /// Opens the page for a barn sheet as it stands on its own page.
    pub fn show_sheet(&mut self, sheet: Arc<Sheet>, day: Day) {
        self.turn_to(PaperKind::BarnSheet);
        self.day = day.to_string();
        self.sheet = Some((sheet, day));
        self.asking.again();
        self.focus = true;
    }

    /// Opens the page for the feed sheet of today, for so many feeds a day.
    pub fn show_feed(&mut self, feeds: u8, day: Day) {
        self.show(PaperKind::FeedSheet, Vec::new());
        self.feeds = Some(feeds);
        self.day = day.to_string();
    }

    /// Opens the page for the ancestors of these, drawn over so many generations.
    pub fn show_ancestors(&mut self, animals: Vec<AnimalId>, generations: u8) {
        self.show(PaperKind::Ancestors, animals);
        self.generations = Some(generations);
    }

    /// Opens the page for the timeline as it is drawn.
    pub fn show_season(&mut self, season: Season) {
        self.show(PaperKind::Timeline, season.animals);
        (self.from, self.to) = (season.days.0.to_string(), season.days.1.to_string());
        self.kinds = season.kinds;
    }

    /// Opens the page for a register or the folder of these days.
    pub fn show_register(&mut self, ask: RegisterAsk) {
        self.show(ask.kind, Vec::new());
        let text = |d: Option<Day>| d.map(|d| d.to_string()).unwrap_or_default();
        (self.from, self.to) = (text(ask.span.from), text(ask.span.to));
        self.registers = ask.registers;
        self.register.clear();
    }

    /// Opens the page for the mix sheet of so much of a mix.
    pub fn show_mix(&mut self, mix: FeedId, name: &str, total: &str) {
        self.show(PaperKind::MixSheet, Vec::new());
        self.mix = mix::Typed::of(mix, name, total);
    }

    /// Another paper: from its first page, under its own name.
    fn turn_to(&mut self, kind: PaperKind) {
        if kind != self.kind && [kind, self.kind].contains(&PaperKind::Timeline) {
            // The days of a season are none of the log's.
            (self.from, self.to) = (String::new(), String::new());
            self.kinds = Kinds::all();
        }
        self.kind = kind;
        self.path_typed = false;
        self.day.clear();
        self.sheet = None;
        self.view = preview::View::default();
    }
}

/// The entry that stands for all registers.
const REGISTERS: PaperKind = PaperKind::Register(RegisterKind::TreatmentLog);

/// Room kept for the choices on the left.
const SIDE: f32 = 420.0;

/// The same in a narrow window.
const NARROW_SIDE: f32 = 360.0;

/// Room kept for their labels.
const LABELS: f32 = 100.0;

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    if shown_anew(ui, &mut state.drawn) {
        state.focus = true;
    }
    whom::ask(ui, ctx, state, &mut out);
    ui.add_space(space::S);
    let mut form = Form::new(ui, "papers").label_width(52.0);
    form.focus_once(ui, &mut state.focus, "Paper");
    let mut kind = Some(state.kind.group());
    ui.horizontal(|ui| {
        look::heading(ui, "Papers");
        ui.add_space(space::M);
        form.choice(ui, &Choice::new("Paper", &KINDS), &mut kind);
    });
    form.set_label_width(LABELS);
    if let Some(kind) = kind.filter(|k| *k != state.kind.group()) {
        state.turn_to(kind);
    }
    ui.add_space(space::XS);
    let whole = ui.available_rect_before_wrap();
    if whole.width() > 740.0 {
        let room = if whole.width() > 960.0 { SIDE } else { NARROW_SIDE };
        let (mut left, mut right) = (whole, whole);
        left.set_right(whole.left() + room);
        right.set_left(left.right() + space::L);
        ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| {
            egui::ScrollArea::vertical().id_salt("papers").auto_shrink(false).show(ui, |ui| {
                side(ui, ctx, state, form, &mut out);
            });
        });
        ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| {
            preview::view(ui, ctx, state, &mut out);
        });
    } else {
        egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            side(ui, ctx, state, form, &mut out);
            let size = egui::vec2(ui.available_width(), whole.height().max(420.0));
            ui.allocate_ui(size, |ui| {
                ui.set_min_size(size);
                preview::view(ui, ctx, state, &mut out);
            });
        });
    }
    out
}

fn side(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, mut form: Form, out: &mut Vec<Intent>) {
    choose::view(ui, ctx, state, &mut form);
    deliver::name(ui, ctx, state, &mut form);
    let submitted = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::S);
    deliver::view(ui, ctx, state, submitted, out);
}
