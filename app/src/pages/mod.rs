//! Pages: each is a state that may be kept as a draft, and a view that reads the flock and emits intents.
//! A page never writes and never computes more than one animal's worth; slow answers come from the desk.

pub mod act;
pub mod asking;
pub mod barn;
pub mod blood;
pub mod book;
pub mod calendar;
pub mod feed;
pub mod fields;
pub mod figures;
pub mod flock;
pub mod inspect;
mod intent;
pub mod joining;
pub mod keeping;
pub mod lambing;
pub mod leaf;
pub mod list;
pub mod listing;
pub mod moving;
pub mod papers;
pub mod papers_kept;
pub mod picture;
pub mod plan;
pub mod rows_form;
pub mod sections;
pub mod start;
pub mod timeline;
pub mod tonight;
pub mod treatments;
pub mod weights;
mod words;

pub use intent::{Intent, Then};
pub use words::{detail, nobody, refusal_of};

use hirsel_core::book::{BackupFile, Merged, Past};
use hirsel_core::exchange::picture_in::Taking;
use hirsel_core::flock::{AnimalFile, DocumentOf, Flock};
use hirsel_core::reckon::doubts::Doubts;
use hirsel_core::reckon::due::Board;
use hirsel_core::reckon::figures::YearMeans;
use hirsel_core::reckon::flock_figures::Years;
use hirsel_core::reckon::kinship::{Diversity, Kindred};
use hirsel_core::reckon::visit::Visit;
use hirsel_core::terms::{AnimalId, Day, Units};
use serde::{Deserialize, Serialize};
use std::path::Path;
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
    /// The store of feed; none until it was seen once, and of the flock before while it is reckoned anew.
    pub feeding: Option<&'a Arc<hirsel_core::reckon::feedstore::Store>>,
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
    /// Tables on their way out, and where the last went.
    pub taken: &'a crate::desk::taken::Kept,
    /// A file of a reader or scale head on its way in.
    pub scaled: Option<&'a crate::desk::scale::Scaled>,
    /// A list of who was read.
    pub rolled: Option<&'a crate::desk::roll::Rolled>,
    /// A number that a reader types outside of any field opens its animal's leaf.
    pub scan_opens: bool,
    /// Another copy of this book on its way in.
    pub other: Option<&'a crate::desk::copies::OtherCopy>,
    /// A file of the open standard on its way in.
    pub arriving: Option<&'a crate::desk::standard::Arriving>,
    /// What two copies changed differently.
    pub conflicts: &'a [hirsel_core::book::Conflict],
    /// Small pictures of kept ones, as far as they are read.
    pub thumbs: &'a crate::desk::thumbs::Thumbs,
    /// How far files on their way into the book are taken in, 0 to 100.
    pub taking: Option<u32>,
    /// Where the room of the book goes; none of a large one until it is checked.
    pub room: Option<hirsel_core::book::Room>,
    /// Size of the book's file, in bytes.
    pub file_size: u64,
    /// Copies of this book, and the second place for them.
    pub places: &'a crate::desk::places::Kept,
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

    /// What to say of an electronic number that finds no animal for a picker.
    pub fn nobody(&self, text: &str) -> Option<String> {
        nobody(self.flock, text, self.today)
    }

    /// The animal whose electronic number stands in a field of search, in any dress.
    pub fn scanned(&self, text: &str) -> Option<AnimalId> {
        hirsel_core::terms::ElectronicId::typed(text)?.ok().and_then(|number| self.flock.numbered(number))
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
    /// Creeps, rations, the store of feed, mixing.
    Feed,
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
    pub const ALL: [Self; 16] = [
        Self::Tonight,
        Self::Barn,
        Self::Flock,
        Self::Timeline,
        Self::Joining,
        Self::Blood,
        Self::Lambing,
        Self::Treatments,
        Self::Weights,
        Self::Feed,
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
            Self::Feed => "Feed",
            Self::Papers => "Papers",
            Self::Plan => "Care plan",
            Self::Inspect => "Inspection",
            Self::Book => "The book",
        }
    }
}

/// The states of all pages: what is half typed is in here and is kept. Large ones lie apart: all of them pass through the
/// stack whenever a page is given its turn.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Pages {
    /// The page that is shown.
    pub at: PageId,
    /// The note line.
    pub note: crate::desk::note::Draft,
    /// Tonight.
    pub tonight: Box<tonight::State>,
    /// The barn sheet.
    pub barn: barn::State,
    /// Flock.
    pub flock: flock::State,
    /// The open leaf.
    pub leaf: leaf::State,
    /// The timeline.
    pub timeline: timeline::State,
    /// Joinings.
    pub joining: Box<joining::State>,
    /// Blood.
    pub blood: Box<blood::State>,
    /// Lambing.
    pub lambing: lambing::State,
    /// Treatments.
    pub treatments: Box<treatments::State>,
    /// Weights.
    pub weights: Box<weights::State>,
    /// Keeping.
    pub keeping: Box<keeping::State>,
    /// Figures.
    pub figures: figures::State,
    /// Feed.
    pub feed: Box<feed::State>,
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
            PageId::Feed => feed::view(ui, ctx, &mut self.feed),
            PageId::Papers => papers::view(ui, ctx, &mut self.papers),
            PageId::Plan => plan::view(ui, ctx, &mut self.plan),
            PageId::Inspect => inspect::view(ui, ctx, &mut self.inspect),
            PageId::Book => book::view(ui, ctx, &mut self.book),
        }
    }

    /// What a file dropped onto the window is kept with, and how it is taken in: what is open.
    pub fn paper_target(&self) -> Option<(DocumentOf, Taking)> {
        match self.at {
            PageId::Flock => self.leaf.paper_target(),
            PageId::Treatments => self.treatments.paper_target(),
            PageId::Book => self.book.paper_target(),
            _ => None,
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
            Then::PaperDone(words) => {
                match self.at {
                    PageId::Treatments => self.treatments.after_cupboard(ctx),
                    PageId::Book => self.book.paper_done(),
                    _ => self.leaf.paper_done(),
                }
                return (!words.is_empty()).then(|| words.clone());
            }
            Then::RulesDone => self.inspect.after(ctx),
            Then::PensDone => self.lambing.after_pens(),
            Then::JoiningDone => self.joining.after(ctx),
            Then::BloodDone => self.blood.after(ctx),
            Then::KeepingDone => self.keeping.after(ctx),
            Then::FiguresDone => self.figures.after(ctx),
            Then::FeedDone => self.feed.after(ctx),
            Then::WeightsDone => self.weights.after_part(ctx),
            Then::ScaleRead => self.weights.after_read(),
        }
        None
    }
}
