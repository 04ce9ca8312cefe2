//! Typed ids: random 128 bits with the time in front (UUID version 7), so two copies of a book never clash.

use std::fmt;
use uuid::Uuid;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub Uuid);

        impl $name {
            /// A new id, unlike any other.
            #[allow(clippy::new_without_default)]
            pub fn new() -> Self {
                Self(Uuid::now_v7())
            }

            /// The sixteen bytes as stored in a book.
            pub fn bytes(&self) -> [u8; 16] {
                *self.0.as_bytes()
            }

            /// The id held by sixteen stored bytes.
            pub fn from_bytes(bytes: [u8; 16]) -> Self {
                Self(Uuid::from_bytes(bytes))
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{}({})", stringify!($name), self.0.simple())
            }
        }
    )+};
}

ids! {
    /// One animal, in the flock or an ancestor outside it.
    AnimalId,
    /// One identity (tag, number, name) of an animal.
    IdentityId,
    /// One lambing of one ewe.
    LambingId,
    /// One ewe's time with one ram.
    JoiningId,
    /// One weighing of one animal.
    WeighingId,
    /// One treatment of one animal.
    TreatmentId,
    /// One product of the medicine cupboard.
    ProductId,
    /// One move of one animal to a pen.
    PenMoveId,
    /// One change of an animal's standing in the flock: arrived, sold, died, …
    MovementId,
    /// One keeper's note on one animal.
    RemarkId,
    /// One tick, skip or putting-off of one job of one animal.
    TickId,
    /// One step of the care plan as the keeper changed it.
    PlanStepId,
    /// One delivery of a product: a batch as it was bought.
    BatchId,
    /// One amount wasted, disposed of, or counted on the shelf.
    StockMoveId,
    /// One vet.
    VetId,
    /// One prescription.
    PrescriptionId,
    /// One picture or PDF kept in the book.
    DocumentId,
    /// One course of doses of one animal.
    CourseId,
    /// One egg count.
    EggCountId,
    /// One change of a rule set by the keeper.
    RuleChangeId,
    /// One crayon mark or mating seen.
    MarkId,
    /// One change of a ram's crayon.
    CrayonId,
    /// One scan of one ewe.
    ScanId,
    /// One test of one animal's genes or parents.
    GeneTestId,
    /// One score of one animal.
    ScoringId,
    /// One session at the scale.
    SessionId,
    /// One decision what an animal is kept for.
    DecisionId,
    /// One animal put into a contemporary group by hand.
    GroupingId,
    /// One amount of money spent or taken.
    MoneyId,
    /// One write in the journal.
    EntryId,
}
