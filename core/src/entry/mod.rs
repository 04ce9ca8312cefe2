//! Everything that can be written, each as one typed [`Entry`] with its checks against a [`Flock`].
//!
//! A draft is checked into a [`Checked`] entry or a list of [`Refusal`]s; a checked entry may carry
//! [`Question`]s, which a person answers with a word before it becomes [`Sure`] and can be written. Knows no database and no clock:
//! a check is told the day.

mod amend;
mod animals;
mod blood;
mod care;
mod cupboard;
mod documents;
mod dose;
mod fault;
mod faults;
mod fed;
mod job;
mod lamb;
mod lambing;
mod many;
mod merge;
mod moves;
pub mod notes;
mod pedigree;
mod pens;
mod rules;
mod standing;
mod treatment;
mod weighed;
mod why;

use crate::phrase;
pub use amend::{Amended, amend, strike, strike_kept};
pub use animals::{AnimalDraft, AnimalEdit, IdentityDraft, Retag, SireDraft, animals, edit_animal, retag};
pub use blood::{
    BloodRefused, BloodUnusual, CrayonDraft, GeneTestDraft, MarkDraft, ScanDraft, crayon_on, crayons,
    gene_tests, marks, says, scans,
};
pub use care::{JoiningDraft, ProductDraft, WeighingDraft, joinings, products, weighings};
pub use cupboard::{
    BatchDraft, CupboardRefused, CupboardUnusual, EggCountDraft, PrescriptionDraft, StockDraft, VetDraft,
    batches, egg_counts, opened, prescriptions, stock_moves, vets,
};
pub use documents::{DocumentDraft, documents, paper_kind, portrait};
pub use fault::{Caution, Field, Question, Refusal, Refused, Unusual};
pub use faults::Faults;
pub use fed::{
    CreepDraft, FedRefused, FedUnusual, FeedDraft, FeedMoveDraft, FeedSheetDraft, MeasureDraft, MixPart,
    NewPart, PastFeedMove, PenCheckDraft, RationDraft, close_creep, creeps, doses_of, feed_moves,
    feed_sheets, feeds, is_medicated, measures, mix_drafts, mixed, past_feed_moves, pen_checks, rations,
    strike_fed,
};
pub use job::{JobRef, PartDraft, TickDraft, part, plan_as_shipped, plan_step, ticks};
pub use lamb::LambDraft;
pub use lambing::{LambingDraft, lambing, lambings};
pub use many::{MarksDraft, edit_animals, marks_of};
pub use merge::{MergeDraft, MergeFact, MergeRefused, MergeUnusual, merge, merge_usual};
pub(crate) use moves::movements_beside;
pub use moves::{MovementDraft, movements};
pub use pens::{pen_renamed, pens_laid};
pub use rules::{rule_as_shipped, rule_row, rule_set_own, rule_set_text};
pub use standing::{PenMoveDraft, RemarkDraft, StandingDraft, holding, pen_move, remark, standing};
pub use treatment::{
    CourseDraft, DoseDraft, TreatmentDraft, TreatmentExtra, TreatmentRefused, TreatmentUnusual, after_hours,
    asked_fields, least_off_label, off_label_of, treatments, usual_periods,
};

pub use weighed::{
    DecisionDraft, GroupingDraft, MoneyDraft, ScoringDraft, SessionDraft, SessionPick, WeighedRefused,
    WeighedRow, WeighedUnusual, decisions, groupings, money, past_decisions, scorings, session, sessions,
    weighed,
};

use crate::flock::{
    Animal, Batch, Birth, Crayon, Creep, Decision, EggCount, Feed, FeedMove, FeedSheet, GeneTest, Grouping,
    Holding, Joining, Lambing, MatingMark, Measure, Money, Movement, NewDocument, PenCheck, PenMove,
    PenPlace, Prescription, Product, Ration, RecordRef, Remark, Scan, Scoring, Session, StockMove, Tick,
    Treatment, Vet, Weighing,
};
use crate::plan::PlanStep;
use crate::rules::RuleChange;
use crate::terms::{AnimalId, Day, DocumentId, Dose, GroupingId, Misread, PlanStepId, RuleChangeId};

/// A new lambing with its lambs: the records as they will stand.
#[derive(Debug, Clone, PartialEq)]
pub struct NewLambing {
    /// The lambing.
    pub lambing: Lambing,
    /// Its lambs.
    pub lambs: Vec<NewLamb>,
    /// Lambs of other ewes put on this ewe.
    pub fostered_on: Vec<AnimalId>,
    /// The ewe and her living lambs move to this pen.
    pub moves: Vec<PenMove>,
    /// Deaths of lambs born alive or dead.
    pub deaths: Vec<Movement>,
}

/// A lamb of a new lambing.
#[derive(Debug, Clone, PartialEq)]
pub struct NewLamb {
    /// Its facts as they will stand.
    pub animal: Animal,
    /// What was seen of its birth.
    pub birth: Birth,
    /// Not in the book before.
    pub is_new: bool,
}

/// One thing to write, fully determined: ids are already given.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// Animals new to the book, parents before or after their lambs.
    Animals {
        /// The animals.
        animals: Vec<Animal>,
        /// Dated standings that come with them.
        movements: Vec<Movement>,
    },
    /// New facts of an animal; identities and standing are changed by their own entries.
    EditAnimal(Box<Animal>),
    /// A mark lost, replaced or added: the identities as they will stand.
    Retag {
        /// The animal.
        animal: AnimalId,
        /// All its identities as they will stand.
        identities: Vec<crate::flock::Identity>,
    },
    /// Lambings.
    Lambings(Vec<NewLambing>),
    /// Joinings.
    Joinings(Vec<Joining>),
    /// Weighings.
    Weighings(Vec<Weighing>),
    /// Treatments, with a product new to the cupboard if there is one.
    Treatments(Vec<Treatment>),
    /// Products, new or with new facts (same name).
    Products(Vec<Product>),
    /// Moves to a pen.
    PenMoves(Vec<PenMove>),
    /// Changes of standing.
    Movements(Vec<Movement>),
    /// Notes.
    Remarks(Vec<Remark>),
    /// Jobs ticked, skipped or put off.
    Ticks {
        /// The ticks.
        ticks: Vec<Tick>,
        /// Rams that are wethers from now on.
        castrated: Vec<AnimalId>,
    },
    /// Joinings with their last day.
    Parted(Vec<Joining>),
    /// Steps of the care plan, changed, added or as shipped again.
    Plan {
        /// Changed or added.
        put: Vec<PlanStep>,
        /// Changes taken back.
        drop: Vec<PlanStepId>,
    },
    /// A record with new values.
    Amend(Amended),
    /// A record struck out.
    Strike {
        /// Which.
        record: RecordRef,
        /// The day.
        on: Day,
        /// Why.
        reason: String,
    },
    /// Who keeps the flock and how the book speaks.
    Holding(Box<Holding>),
    /// Batches bought.
    Batches(Vec<Batch>),
    /// A bottle of a batch was opened.
    Opened(Batch),
    /// Stock wasted, disposed of, counted.
    StockMoves(Vec<StockMove>),
    /// Vets, new or with new facts.
    Vets(Vec<Vet>),
    /// Prescriptions.
    Prescriptions(Vec<Prescription>),
    /// Papers to keep in the book.
    Documents(Vec<NewDocument>),
    /// A picture that stands for its animal from now on.
    Portrait {
        /// The animal.
        animal: AnimalId,
        /// The picture.
        picture: DocumentId,
    },
    /// Egg counts.
    EggCounts(Vec<EggCount>),
    /// Crayon marks and matings seen.
    Marks(Vec<MatingMark>),
    /// Crayons put on rams or changed.
    Crayons(Vec<Crayon>),
    /// Scans.
    Scans(Vec<Scan>),
    /// Tests, with the animals whose parents they settle as they will stand.
    GeneTests {
        /// The tests.
        tests: Vec<GeneTest>,
        /// Animals with the parents the tests found.
        parents: Vec<Animal>,
    },
    /// Rows of rule sets, or whole sets, as the keeper has them.
    Rules {
        /// Changed or added.
        put: Vec<RuleChange>,
        /// Changes taken back.
        drop: Vec<RuleChangeId>,
    },
    /// Weights and scores of a session at the scale, with the session where it is new.
    Weighed {
        /// The session, if it begins with these.
        session: Option<Session>,
        /// Weights.
        weighings: Vec<Weighing>,
        /// Scores.
        scores: Vec<Scoring>,
    },
    /// Sessions with their particulars as they will stand.
    Sessions(Vec<Session>),
    /// Scores given without the scale.
    Scorings(Vec<Scoring>),
    /// Decisions, with the animals they change as they will stand.
    Decisions {
        /// The decisions.
        decisions: Vec<Decision>,
        /// Animals that are meant for something else now.
        animals: Vec<Animal>,
    },
    /// Contemporary groups mended by hand.
    Groupings {
        /// New or with another name.
        put: Vec<Grouping>,
        /// Taken back: the rule holds again.
        drop: Vec<GroupingId>,
    },
    /// Money spent and taken.
    Money(Vec<Money>),
    /// Feeds, new or with new facts.
    Feeds(Vec<Feed>),
    /// What became of feed, with the treatments of those that ate a medicated one.
    FeedMoves {
        /// What became of feed.
        moves: Vec<FeedMove>,
        /// A dose for each that ate.
        treatments: Vec<Treatment>,
    },
    /// Analysis sheets.
    FeedSheets(Vec<FeedSheet>),
    /// Measures weighed out.
    Measures(Vec<Measure>),
    /// Creeps as they will stand.
    Creeps(Vec<Creep>),
    /// Lines of rations.
    Rations(Vec<Ration>),
    /// Checks of the pens.
    PenChecks(Vec<PenCheck>),
    /// Pens laid out on the map of the shed.
    PenPlaces {
        /// Laid out, new or another way.
        put: Vec<PenPlace>,
        /// Names of pens that have no place any more.
        drop: Vec<String>,
        /// Animals that go along when a pen is called otherwise.
        moves: Vec<PenMove>,
    },
    /// Two animals that are one.
    Merge {
        /// The one that stays, as it will stand, with the marks of both.
        keep: Box<Animal>,
        /// The one whose records go to it.
        gone: AnimalId,
        /// Of two births in the book the one that is left, with its struck lambing.
        birth: Option<AnimalId>,
    },
}

/// An entry that passed its checks, with what a person should look at once more.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    entry: Entry,
    sentence: String,
    reason: Option<String>,
    questions: Vec<Question>,
    cautions: Vec<Caution>,
}

impl Checked {
    pub(crate) fn new(entry: Entry, sentence: String, questions: Vec<Question>) -> Self {
        Self { entry, sentence, reason: None, questions, cautions: Vec::new() }
    }

    pub(crate) fn with(mut self, cautions: Vec<Caution>) -> Self {
        self.cautions = cautions;
        self
    }

    /// What the keeper should know: it stands in the way of nothing.
    pub fn cautions(&self) -> &[Caution] {
        &self.cautions
    }

    pub(crate) fn because(mut self, reason: impl Into<String>) -> Self {
        self.reason = Some(reason.into());
        self
    }

    /// One plain sentence: what it writes.
    pub fn sentence(&self) -> &str {
        &self.sentence
    }

    /// What it writes.
    pub fn entry(&self) -> &Entry {
        &self.entry
    }

    /// The same, for who brings records in under their own ids.
    pub(crate) fn entry_mut(&mut self) -> &mut Entry {
        &mut self.entry
    }

    /// What looks unlikely.
    pub fn questions(&self) -> &[Question] {
        &self.questions
    }

    /// Another sentence for the journal: an import names its file.
    #[must_use]
    pub fn called(mut self, sentence: impl Into<String>) -> Self {
        self.sentence = sentence.into();
        self
    }

    /// Ready to write, if there was nothing to question.
    ///
    /// # Errors
    /// Gives itself back with its questions.
    pub fn sure(self) -> Result<Sure, Box<Self>> {
        if self.questions.is_empty() { Ok(self.settled(None)) } else { Err(Box::new(self)) }
    }

    /// Ready to write in spite of its questions, for a reason given in a word or more, which is kept.
    ///
    /// # Errors
    /// When no word is given.
    pub fn despite(self, word: &str) -> Result<Sure, Misread> {
        let word = word.trim();
        if self.questions.is_empty() {
            return Ok(self.settled(None));
        }
        if word.is_empty() {
            return Err(Misread::new("a word is needed: say why it is right as written"));
        }
        // What is far beyond a label is said twice: the dose is typed once more.
        let bare = |text: &str| text.to_lowercase().split_whitespace().collect::<String>();
        let said = |dose: Dose| {
            let figure = |w: &str| Dose::parse(w.trim_matches([',', ';', '.', ':'])) == Ok(dose);
            bare(word).contains(&bare(&dose.to_string())) || word.split_whitespace().any(figure)
        };
        let twice = self.questions.iter().find_map(|q| match &q.what {
            Unusual::Treatment(TreatmentUnusual::FarAboveLabel { dose, .. }) => Some(*dose),
            _ => None,
        });
        if let Some(dose) = twice.filter(|d| !said(*d)) {
            return Err(Misread::new(phrase!(
                "say it twice: if {dose} was really given, type {dose} in your word"
            )));
        }
        // Of an import with thousands of questions the first hundred are kept in words, the rest as a count.
        let (first, rest) = self.questions.split_at(self.questions.len().min(100));
        let mut asked = first.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ");
        if !rest.is_empty() {
            asked.push_str(&phrase!("; and {} more", rest.len()));
        }
        let kept = phrase!("{word} (asked: {asked})", word = &word);
        Ok(self.settled(Some(kept)))
    }

    fn settled(self, kept: Option<String>) -> Sure {
        let reason = match (self.reason, kept) {
            (Some(r), Some(kept)) => Some(format!("{r}; {kept}")),
            (one, other) => one.or(other),
        };
        Sure { entry: self.entry, sentence: self.sentence, reason, cautions: self.cautions }
    }
}

/// An entry that may be written.
#[derive(Debug, Clone, PartialEq)]
pub struct Sure {
    pub(crate) entry: Entry,
    pub(crate) sentence: String,
    pub(crate) reason: Option<String>,
    pub(crate) cautions: Vec<Caution>,
}

impl Sure {
    /// What the keeper should know: it stands in the way of nothing.
    pub fn cautions(&self) -> &[Caution] {
        &self.cautions
    }

    /// One plain sentence: what it writes.
    pub fn sentence(&self) -> &str {
        &self.sentence
    }

    /// What will be written.
    pub fn entry(&self) -> &Entry {
        &self.entry
    }
}

/// What a check gives: a checked entry, or every refusal.
pub type Check = Result<Checked, Vec<Refusal>>;

/// Trimmed words, or nothing.
pub(crate) fn words<W: for<'a> From<&'a str>>(text: &Option<impl AsRef<str>>) -> Option<W> {
    text.as_ref().map(|t| t.as_ref().trim()).filter(|t| !t.is_empty()).map(W::from)
}
