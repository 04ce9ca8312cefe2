//! Pages: each is a state that may be kept as a draft, and a view that reads the flock and emits intents.
//! A page never writes and never computes more than one animal's worth; slow answers come from the desk.

pub mod act;
pub mod barn;
pub mod blood;
pub mod book;
pub mod fields;
pub mod figures;
pub mod flock;
pub mod inspect;
pub mod joining;
pub mod keeping;
pub mod lambing;
pub mod leaf;
pub mod list;
pub mod listing;
pub mod moving;
pub mod papers;
pub mod plan;
pub mod rows_form;
pub mod sections;
pub mod start;
pub mod timeline;
pub mod tonight;
pub mod treatments;
pub mod weights;

use crate::look::Kind;
use hirsel_core::book::{BackupFile, Merged, Past};
use hirsel_core::entry::{Checked, Refusal};
use hirsel_core::flock::{AnimalFile, Flock};
use hirsel_core::reckon::doubts::Doubts;
use hirsel_core::reckon::due::Board;
use hirsel_core::reckon::figures::YearMeans;
use hirsel_core::reckon::flock_figures::Years;
use hirsel_core::reckon::kinship::{Diversity, Kindred};
use hirsel_core::reckon::visit::Visit;
use hirsel_core::terms::{AnimalId, Day, Sex, Status, Units};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What a page may read.
pub struct Ctx<'a> {
    /// The flock as it stands.
    pub flock: &'a Arc<Flock>,
    /// Today.
    pub today: Day,
    /// Every open job of the flock; none while it is being reckoned.
    pub board: Option<&'a Board>,
    /// What is missing before a visit; none until it was looked through once.
    pub visit: Option<&'a Visit>,
    /// Kinship of all; none while it is being reckoned for the first time.
    pub kindred: Option<&'a Arc<Kindred>>,
    /// The flock's diversity; none until it was looked at once, and of the flock before while it is reckoned anew.
    pub diversity: Option<&'a Arc<Diversity>>,
    /// Figures of the seasons; none until they were looked at once, and of the flock before while they are reckoned anew.
    pub years: Option<&'a Arc<Years>>,
    /// Who to whom, as far as it was asked for.
    pub pairs: &'a crate::desk::pairs::Finding,
    /// Breeding values, as far as they were asked for.
    pub values: &'a crate::desk::values::Finding,
    /// Who may be kept and who may leave; none until it was looked at once, and of the flock before while it is
    /// reckoned anew.
    pub keeping: Option<&'a Arc<hirsel_core::reckon::keeping::Keeping>>,
    /// What is doubtful in the pedigree; none until it was looked through once.
    pub doubts: Option<&'a Doubts>,
    /// Who is watched and who falls behind; none until it was seen once, and of the flock before while it is looked
    /// through anew.
    pub watching: Option<&'a Arc<hirsel_core::reckon::watch::Watching>>,
    /// Animals that were made one, in order of time.
    pub merges: &'a [Merged],
    /// Flock means by year, reckoned once for this version of the flock.
    pub means: &'a YearMeans,
    /// Where the book lies.
    pub path: &'a Path,
    /// The journal's last lines, newest first.
    pub history: &'a [Past],
    /// Kept copies, newest first.
    pub copies: &'a [BackupFile],
    /// The paper that was asked for, as far as it is made.
    pub laid: Option<&'a crate::desk::printing::Laid>,
    /// A table on its way in.
    pub coming: Option<&'a crate::desk::tables::Coming>,
    /// A file of a reader or scale head on its way in.
    pub scaled: Option<&'a crate::desk::scale::Scaled>,
    /// What the last check of the book found.
    pub report: Option<&'a hirsel_core::book::Report>,
}

impl Ctx<'_> {
    /// kg or lb and oz.
    pub fn units(&self) -> Units {
        self.flock.holding().units
    }

    /// One line that tells an animal from others: `ewe, born 3 Apr 2022, in Jug 1`.
    pub fn detail(&self, f: &AnimalFile) -> String {
        detail(f, self.today)
    }

    /// Animals found by any part of a tag or name, for a picker.
    pub fn find(&self, text: &str, keep: impl Fn(&AnimalFile) -> bool) -> Vec<crate::parts::Found<AnimalId>> {
        self.flock
            .find(text, 60, keep)
            .into_iter()
            .filter_map(|f| self.flock.file(f.id))
            .map(|f| crate::parts::Found {
                key: f.animal.id,
                label: f.animal.title(),
                detail: self.detail(f),
            })
            .collect()
    }
}

/// One line that tells an animal from others.
pub fn detail(f: &AnimalFile, today: Day) -> String {
    let a = &f.animal;
    let what = if a.is_lamb(today) && a.sex != Sex::Wether { a.sex.lamb_words() } else { a.sex.words() };
    let mut parts = vec![what.to_string()];
    if a.born.day().is_some() {
        parts.push(format!("born {}", a.born.words()));
    }
    match (&a.status, &a.pen) {
        (Status::Present, Some(pen)) => parts.push(format!("in {pen}")),
        (Status::Present, None) => {}
        (other, _) => parts.push(other.words().to_string()),
    }
    parts.join(", ")
}

/// The pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
pub enum PageId {
    /// What happened today, who is under withdrawal, young lambs.
    #[default]
    Tonight,
    /// Tomorrow's barn sheet, and its ticks typed back.
    Barn,
    /// Every animal, and one animal's leaf.
    Flock,
    /// The season of the whole flock or of one animal, drawn.
    Timeline,
    /// Ewes and rams: groups, marks, scans, due windows, who to whom.
    Joining,
    /// Pedigree, relations, genes, diversity, doubts.
    Blood,
    /// Writing up a lambing.
    Lambing,
    /// Giving and looking up treatments.
    Treatments,
    /// Weighing.
    Weights,
    /// Who is kept, for what, and who leaves.
    Keeping,
    /// Figures of the flock.
    Figures,
    /// Cards and registers.
    Papers,
    /// The care plan: every step, the keeper's to change.
    Plan,
    /// Before a visit: what an inspector asks, the registers, the rules.
    Inspect,
    /// Who keeps the flock, the journal, copies.
    Book,
}

impl PageId {
    /// In the order of the rail.
    pub const ALL: [Self; 15] = [
        Self::Tonight,
        Self::Barn,
        Self::Flock,
        Self::Timeline,
        Self::Joining,
        Self::Blood,
        Self::Lambing,
        Self::Treatments,
        Self::Weights,
        Self::Keeping,
        Self::Figures,
        Self::Papers,
        Self::Plan,
        Self::Inspect,
        Self::Book,
    ];

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Tonight => "Tonight",
            Self::Barn => "Barn sheet",
            Self::Flock => "Flock",
            Self::Timeline => "Timeline",
            Self::Joining => "Joinings",
            Self::Blood => "Blood",
            Self::Lambing => "Lambing",
            Self::Treatments => "Treatments",
            Self::Weights => "Weights",
            Self::Keeping => "Keep or part",
            Self::Figures => "Figures",
            Self::Papers => "Papers",
            Self::Plan => "Care plan",
            Self::Inspect => "Inspection",
            Self::Book => "The book",
        }
    }
}

/// What the desk tells a page once its entry is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Then {
    /// Nothing.
    Nothing,
    /// The lambing form is done.
    Lambed,
    /// The treatment form is done.
    Treated,
    /// The weighing row is done.
    Weighed,
    /// A form on the leaf or the list is done.
    LeafDone,
    /// The form for a new animal is done: open it.
    NewAnimal(AnimalId),
    /// Who keeps the flock is done.
    HoldingDone,
    /// Jobs of Tonight are done.
    JobsDone,
    /// The ticks of the barn sheet are written.
    BarnDone,
    /// A step of the plan is changed.
    PlanDone,
    /// An entry of the cupboard is written.
    CupboardDone,
    /// A rule is changed.
    RulesDone,
    /// An entry of the joinings page is written.
    JoiningDone,
    /// An entry of the blood page is written.
    BloodDone,
    /// An entry of the keeping page is written.
    KeepingDone,
    /// An entry of the figures page is written.
    FiguresDone,
    /// An entry of a part of the weights page other than the scale is written.
    WeightsDone,
    /// A file of a reader or scale head is written.
    ScaleRead,
}

/// What a page wants done.
pub enum Intent {
    /// Write an entry; the desk asks about what is unlikely.
    Write {
        /// The entry.
        checked: Box<Checked>,
        /// What follows.
        then: Then,
    },
    /// Write several entries as one: one line in the journal, one undo. All were checked against the flock as it is.
    WriteAll {
        /// The sentence of the line.
        what: String,
        /// The entries.
        all: Vec<Checked>,
        /// Why what looks unlikely is right as written; without a word such entries are refused.
        word: String,
        /// What follows.
        then: Then,
    },
    /// Show a page.
    Go(PageId),
    /// Show what is missing before a visit.
    BeforeVisit,
    /// Take out for good what is older than this day and need no longer be kept.
    Purge(Day),
    /// Show an animal's life on the timeline.
    TimelineOf(AnimalId),
    /// Open an animal's leaf.
    Open(AnimalId),
    /// Open the very record, wherever it is kept.
    Follow(hirsel_core::flock::Link),
    /// Keep a picture or PDF with a batch or prescription: a typed path, or one the keeper chooses.
    KeepPaper(hirsel_core::flock::DocumentOf, Option<PathBuf>),
    /// Show a kept paper in the system's viewer.
    ShowPaper(hirsel_core::terms::DocumentId),
    /// Write up a lambing of this ewe.
    LambingOf(AnimalId),
    /// Treat these.
    Treat(Vec<AnimalId>),
    /// Print a paper for these.
    Print(papers::PaperKind, Vec<AnimalId>),
    /// Print a barn sheet as it stands, of this day.
    PrintSheet(Arc<hirsel_core::reckon::due::Sheet>, Day),
    /// Print the timeline as it is drawn.
    PrintSeason(papers::Season),
    /// Print a register, or the folder of several, for a span of days.
    PrintRegister(papers::RegisterAsk),
    /// Lay out a paper for the preview.
    LayOut(papers::PaperSpec),
    /// Stop laying it out.
    StopLayOut,
    /// Bring the laid-out paper to a file, the viewer or the printer.
    Deliver(papers::Delivery),
    /// Say something in the status line.
    Say(Kind, String),
    /// Save this text under a name the keeper chooses.
    SaveText {
        /// Suggested name.
        name: String,
        /// The text.
        text: String,
    },
    /// Lay a list out on paper and hand it to the viewer.
    PrintList {
        /// Its title.
        title: String,
        /// Heads of its columns.
        heads: Vec<String>,
        /// Its rows, as shown.
        rows: Vec<Vec<String>>,
    },
    /// Find the best ram for each ewe, and look at the years ahead.
    FindPairs(Box<hirsel_core::reckon::mating::PairsAsk>, crate::desk::pairs::AheadWish),
    /// Stop finding or looking ahead.
    StopPairs,
    /// Reckon breeding values.
    FindValues(Box<crate::desk::values::ValuesAsk>),
    /// Estimate the flock's own shares of the variance.
    OwnShares(Box<hirsel_core::reckon::evaluation::Ask>),
    /// Stop either.
    StopValues,
    /// Lay a list for the scale out on paper and hand it to the viewer.
    PrintWeighing(Box<hirsel_core::papers::WeighingList>),
    /// Undo the last write.
    Undo,
    /// Redo it.
    Redo,
    /// Part two animals again that this line of the journal made one.
    PartAgain(hirsel_core::terms::EntryId),
    /// Close this book and show the first page.
    CloseBook,
    /// Copy the book to a file of this name (a bare name lies beside the book), or one the keeper chooses.
    CopyBook(Option<PathBuf>),
    /// Read the whole journal, not its last lines alone.
    WholeJournal,
    /// Check the whole book.
    CheckBook,
    /// Read a CSV file of this kind; nothing is written yet.
    Import {
        /// animals, lambings, …
        kind: hirsel_core::exchange::Kind,
        /// The file, or none to choose one.
        path: Option<PathBuf>,
    },
    /// Write what was read; the word says why what looks unlikely is right, and is kept.
    ImportYes(String),
    /// Draw the pedigree of an animal.
    PedigreeOf(AnimalId),
    /// Print the ancestors of these over so many generations, drawn.
    PrintAncestors(Vec<AnimalId>, u8),
    /// Leave it.
    ImportNo,
    /// Take tables out into a folder.
    Export {
        /// Which.
        kinds: Vec<hirsel_core::exchange::Kind>,
        /// Where.
        folder: PathBuf,
    },
    /// Read a file of a reader or scale head, or choose one; nothing is written yet.
    ReadScale(Option<PathBuf>),
    /// Read it again as the keeper says.
    ScaleAs(Box<hirsel_core::exchange::scale::Choice>),
    /// Let go of it.
    LeaveScale,
}

/// The states of all pages: what is half typed is in here and is kept.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Pages {
    /// The page that is shown.
    pub at: PageId,
    /// The note line.
    pub note: crate::desk::note::Draft,
    /// Tonight.
    pub tonight: tonight::State,
    /// The barn sheet.
    pub barn: barn::State,
    /// Flock.
    pub flock: flock::State,
    /// The open leaf.
    pub leaf: leaf::State,
    /// The timeline.
    pub timeline: timeline::State,
    /// Joinings.
    pub joining: joining::State,
    /// Blood.
    pub blood: blood::State,
    /// Lambing.
    pub lambing: lambing::State,
    /// Treatments.
    pub treatments: treatments::State,
    /// Weights.
    pub weights: weights::State,
    /// Keeping.
    pub keeping: keeping::State,
    /// Figures.
    pub figures: figures::State,
    /// Papers.
    pub papers: papers::State,
    /// The care plan.
    pub plan: plan::State,
    /// Inspection.
    pub inspect: inspect::State,
    /// The book.
    pub book: book::State,
}

impl Pages {
    /// Draws the page that is shown.
    pub fn view(&mut self, ui: &mut egui::Ui, ctx: &Ctx<'_>) -> Vec<Intent> {
        match self.at {
            PageId::Tonight => tonight::view(ui, ctx, &mut self.tonight),
            PageId::Barn => barn::view(ui, ctx, &mut self.barn),
            PageId::Flock if self.leaf.open.is_some() => leaf::view(ui, ctx, &mut self.leaf),
            PageId::Flock => flock::view(ui, ctx, &mut self.flock),
            PageId::Timeline => timeline::view(ui, ctx, &mut self.timeline),
            PageId::Joining => joining::view(ui, ctx, &mut self.joining),
            PageId::Blood => blood::view(ui, ctx, &mut self.blood),
            PageId::Lambing => lambing::view(ui, ctx, &mut self.lambing),
            PageId::Treatments => treatments::view(ui, ctx, &mut self.treatments),
            PageId::Weights => weights::view(ui, ctx, &mut self.weights),
            PageId::Keeping => keeping::view(ui, ctx, &mut self.keeping),
            PageId::Figures => figures::view(ui, ctx, &mut self.figures),
            PageId::Papers => papers::view(ui, ctx, &mut self.papers),
            PageId::Plan => plan::view(ui, ctx, &mut self.plan),
            PageId::Inspect => inspect::view(ui, ctx, &mut self.inspect),
            PageId::Book => book::view(ui, ctx, &mut self.book),
        }
    }

    /// Tells the page whose entry was written; it may have more to say of it than the entry's own sentence.
    pub fn after(&mut self, then: &Then, ctx: &Ctx<'_>) -> Option<String> {
        match then {
            Then::Nothing => {}
            Then::Lambed => self.lambing.after(ctx),
            Then::Treated => self.treatments.after(ctx),
            Then::Weighed => return self.weights.after(ctx),
            Then::LeafDone if self.leaf.open.is_some() => self.leaf.after(ctx),
            Then::LeafDone => self.flock.after(ctx),
            Then::NewAnimal(id) => {
                self.flock.after(ctx);
                self.leaf.show(*id);
                self.at = PageId::Flock;
            }
            Then::HoldingDone => self.book.after(ctx),
            Then::JobsDone => self.tonight.after(ctx),
            Then::BarnDone => self.barn.after(ctx),
            Then::PlanDone => self.plan.after(ctx),
            Then::CupboardDone => self.treatments.after_cupboard(ctx),
            Then::RulesDone => self.inspect.after(ctx),
            Then::JoiningDone => self.joining.after(ctx),
            Then::BloodDone => self.blood.after(ctx),
            Then::KeepingDone => self.keeping.after(ctx),
            Then::FiguresDone => self.figures.after(ctx),
            Then::WeightsDone => self.weights.after_part(ctx),
            Then::ScaleRead => self.weights.after_read(),
        }
        None
    }
}

/// The first refusal of a field (and row), as the words that stand beside it.
pub fn refusal_of(refusals: &[Refusal], name: &str, row: usize) -> Option<String> {
    refusals.iter().find(|r| r.field.name == name && r.field.row == row).map(ToString::to_string)
}
