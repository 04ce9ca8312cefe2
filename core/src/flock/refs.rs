//! Which record is meant, where it is found, and how it was amended.

use crate::terms::{
    AnimalId, BatchId, CrayonId, CreepId, DecisionId, DocumentId, EggCountId, EntryId, FeedId, FeedMoveId,
    FeedSheetId, GeneTestId, JoiningId, LambingId, MarkId, MeasureId, MoneyId, MovementId, PenCheckId,
    PenMoveId, PrescriptionId, ProductId, RationId, RemarkId, ScanId, ScoringId, SessionId, StockMoveId,
    TickId, TreatmentId, VetId, WeighingId, Words,
};

/// A record that can be opened, amended or struck out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum RecordRef {
    /// An animal's standing facts.
    Animal(AnimalId),
    /// A lambing.
    Lambing(LambingId),
    /// A joining.
    Joining(JoiningId),
    /// A weighing.
    Weighing(WeighingId),
    /// A treatment.
    Treatment(TreatmentId),
    /// A move to a pen.
    PenMove(PenMoveId),
    /// A change of standing.
    Movement(MovementId),
    /// A note.
    Remark(RemarkId),
    /// A job ticked off.
    Tick(TickId),
    /// A product.
    Product(ProductId),
    /// A batch as it was bought.
    Batch(BatchId),
    /// Stock wasted, disposed of or counted.
    StockMove(StockMoveId),
    /// A vet.
    Vet(VetId),
    /// A prescription.
    Prescription(PrescriptionId),
    /// A kept paper.
    Document(DocumentId),
    /// An egg count.
    EggCount(EggCountId),
    /// A crayon mark or mating seen.
    Mark(MarkId),
    /// A crayon changed.
    Crayon(CrayonId),
    /// A scan.
    Scan(ScanId),
    /// A test of genes or parents.
    GeneTest(GeneTestId),
    /// A score.
    Scoring(ScoringId),
    /// A session at the scale.
    Session(SessionId),
    /// A decision what an animal is kept for.
    Decision(DecisionId),
    /// Money spent or taken.
    Money(MoneyId),
    /// A feed.
    Feed(FeedId),
    /// What became of feed.
    FeedMove(FeedMoveId),
    /// A sheet of an analysis.
    FeedSheet(FeedSheetId),
    /// A measure weighed out.
    Measure(MeasureId),
    /// A creep.
    Creep(CreepId),
    /// A line of a ration.
    Ration(RationId),
    /// A check of a pen.
    PenCheck(PenCheckId),
}

/// Where something that is missing or asked about is to be found and mended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Link {
    /// An animal's leaf.
    Animal(AnimalId),
    /// A record on an animal's leaf.
    Record(AnimalId, RecordRef),
    /// A product, batch, stock, vet, prescription, paper or egg count of the cupboard.
    Cupboard(RecordRef),
    /// A session at the scale, or money.
    Daybook(RecordRef),
    /// A feed, a creep, a ration, or what became of feed.
    Feedroom(RecordRef),
    /// Who keeps the flock.
    Holding,
}

/// One amendment of a record, read from the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Amendment {
    /// The write that did it.
    pub entry: EntryId,
    /// When, as `2026-04-03 21:10`.
    pub at: Words,
    /// Who.
    pub who: Words,
    /// The keeper's reason.
    pub reason: Words,
    /// Field in words, old value, new value.
    pub fields: Vec<(String, String, String)>,
}

/// Who struck a record out, read from the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StruckBy {
    /// When, as `2026-04-03 21:10`.
    pub at: String,
    /// Who.
    pub who: String,
}
