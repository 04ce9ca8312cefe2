//! What a page may ask of the desk, and what the desk tells it afterwards.

use super::{PageId, papers};
use crate::look::Kind;
use hirsel_core::entry::Checked;
use hirsel_core::terms::{AnimalId, Day};
use std::path::PathBuf;
use std::sync::Arc;

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
    /// A picture or paper is kept, mended or struck out; what is to be said of it beside the entry's sentence.
    PaperDone(String),
    /// A rule is changed.
    RulesDone,
    /// An entry of the pen map is written.
    PensDone,
    /// An entry of the joinings page is written.
    JoiningDone,
    /// An entry of the blood page is written.
    BloodDone,
    /// An entry of the keeping page is written.
    KeepingDone,
    /// An entry of the figures page is written.
    FiguresDone,
    /// An entry of the feed page is written.
    FeedDone,
    /// An entry of a part of the weights page other than the scale is written.
    WeightsDone,
    /// A file of a reader or scale head is written.
    ScaleRead,
}

/// What a page wants done.
#[derive(Debug)]
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
    /// Keep pictures and PDFs with a record.
    KeepPaper {
        /// With what.
        of: hirsel_core::flock::DocumentOf,
        /// Typed, pasted or dropped; none: the keeper chooses.
        paths: Vec<PathBuf>,
        /// How pictures are taken in.
        how: hirsel_core::exchange::picture_in::Taking,
    },
    /// Stop taking files in.
    StopPapers,
    /// Read these kept pictures, to show them small.
    Thumbnails(Vec<hirsel_core::terms::DocumentId>),
    /// Show a kept paper in the system's viewer.
    ShowPaper(hirsel_core::terms::DocumentId),
    /// Write up a lambing of this ewe.
    LambingOf(AnimalId),
    /// Treat these.
    Treat(Vec<AnimalId>),
    /// Print a paper for these.
    Print(papers::PaperKind, Vec<AnimalId>),
    /// Print the mix sheet of so much of a mix.
    PrintMix(hirsel_core::terms::FeedId, hirsel_core::terms::Mass),
    /// Print a barn sheet as it stands, of this day.
    PrintSheet(Arc<hirsel_core::reckon::due::Sheet>, Day),
    /// Print the timeline as it is drawn.
    PrintSeason(papers::Season),
    /// Print a register, or the folder of several, for a span of days.
    PrintRegister(papers::RegisterAsk),
    /// Print the feed sheet for so many feeds a day.
    PrintFeed(u8),
    /// Lay out a paper for the preview.
    LayOut(papers::PaperSpec),
    /// Stop laying it out.
    StopLayOut,
    /// Bring the laid-out paper to a file, the viewer or the printer.
    Deliver(papers::Delivery),
    /// Say something in the status line.
    Say(Kind, String),
    /// Save a table as a spreadsheet or as CSV, under a name the keeper chooses.
    SaveTable(hirsel_core::exchange::Listed),
    /// Save a chart as PNG or SVG: a typed path, whose ending says as what, or one the keeper chooses.
    SavePicture {
        /// What was drawn.
        drawing: Box<hirsel_core::papers::picture::Drawing>,
        /// Where.
        path: Option<PathBuf>,
    },
    /// Ask what goes into the calendar of what is due: the form on Tonight, with these things chosen.
    AskCalendar(Vec<hirsel_core::exchange::calendar::Kind>),
    /// Save what is due as a calendar: a typed path, or one the keeper chooses.
    SaveCalendar(Box<hirsel_core::exchange::calendar::Ask>, Option<PathBuf>),
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
    /// Print how long a feed lasts, and hand it to the viewer.
    PrintWinter(Box<hirsel_core::reckon::spring::Ask>),
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
    /// Read a table; nothing is written yet.
    Import {
        /// animals, lambings, …; none to find out.
        kind: Option<hirsel_core::exchange::Kind>,
        /// The file, or none to choose one.
        path: Option<PathBuf>,
        /// The sheet of a spreadsheet; none: the first that holds anything.
        sheet: Option<String>,
    },
    /// Read it again as the keeper says.
    ImportAs(Box<hirsel_core::exchange::incoming::Choice>),
    /// Forget what was said of such tables before.
    ImportForget,
    /// Write what was read; the word says why what looks unlikely is right, and is kept.
    ImportYes(String),
    /// Draw the pedigree of an animal.
    PedigreeOf(AnimalId),
    /// Print the ancestors of these over so many generations, drawn.
    PrintAncestors(Vec<AnimalId>, u8),
    /// Leave it.
    ImportNo,
    /// Take tables out.
    Export(crate::desk::taken::Wish),
    /// Stop taking them out.
    StopExport,
    /// Show the folder in which they are.
    ShowTaken,
    /// Read a file of a reader or scale head, or choose one; nothing is written yet.
    ReadScale(Option<PathBuf>),
    /// Read it again as the keeper says.
    ScaleAs(Box<hirsel_core::exchange::scale::Choice>),
    /// Let go of it.
    LeaveScale,
    /// Write the flock as the open standard of animal data has it to this file.
    ExportStandard(PathBuf),
    /// Read a file of the standard, or choose one; nothing is written yet.
    ImportStandard(Option<PathBuf>),
    /// Write what was read of it; the word says why what looks unlikely is right.
    BringStandard(String),
    /// Let go of it.
    LeaveStandard,
    /// Read a list of who was read; nothing is written.
    ReadRoll(crate::desk::roll::RollFrom),
    /// Let go of the list.
    LeaveRoll,
    /// Look at its weights as a session at the scale.
    WeighRoll,
    /// Show where a list is read, on the page of the flock.
    ShowRoll,
    /// Whether a number that a reader types outside of any field opens its animal's leaf.
    ScanOpens(bool),
    /// Look another copy of this book over, or choose one; nothing is written yet.
    LookAtCopy(Option<PathBuf>),
    /// Bring it in.
    BringCopy,
    /// Let go of it.
    LeaveCopy,
    /// Something of the copies of this book.
    Copies(crate::desk::places::CopyWish),
    /// Decide between two copies' values, with a reason.
    DecideCopy([u8; 16], hirsel_core::book::Side, String),
}
