//! Typed ids: random 128 bits with the time in front (UUID version 7), so two copies of a book never clash.

use std::fmt;
use std::sync::atomic::{AtomicU64, Ordering};
use uuid::Uuid;

/// Time and number of the last id that is known to lie in an open book: the front 60 bits of an id, without its version.
static LAST: AtomicU64 = AtomicU64::new(0);
/// In milliseconds: an id may run ahead of the clock by no more than 50 years. A stranger's may say anything.
const AHEAD: u64 = 50 * 366 * 24 * 3600 * 1000;

/// The time of an id in milliseconds with the number behind it, as they follow one another.
fn front(id: &Uuid) -> u64 {
    let n = id.as_u128();
    let (time, number) = ((n >> 80) as u64, (n >> 64) as u64 & 0xfff);
    time << 12 | number
}

/// A new id behind every other one: where the clock was turned back, it follows the last one by number.
fn fresh() -> Uuid {
    let id = Uuid::now_v7();
    let last = LAST.load(Ordering::Relaxed);
    if last < front(&id) {
        return id;
    }
    let next = u128::from(LAST.fetch_add(1, Ordering::Relaxed) + 1);
    let rest = id.as_u128() & 0xffff_ffff_ffff_ffff;
    Uuid::from_u128(next >> 12 << 80 | 0x7 << 76 | (next & 0xfff) << 64 | rest)
}

/// Ids made from now on come after this one, whatever the clock says: records of one moment are shown in order of their
/// ids. An id that is no time, or one in a far future, changes nothing.
pub fn ids_after(last: [u8; 16]) {
    let (last, now) = (Uuid::from_bytes(last), Uuid::now_v7());
    if last.get_version_num() == 7 && front(&last) >> 12 < (front(&now) >> 12) + AHEAD {
        LAST.fetch_max(front(&last), Ordering::Relaxed);
    }
}

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
                Self(fresh())
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
    /// One feed: hay, barley, the keeper's own mix.
    FeedId,
    /// One thing that became of feed: delivered, mixed, fed, wasted, counted.
    FeedMoveId,
    /// One sheet of an analysis of a feed.
    FeedSheetId,
    /// One measure weighed out: a scoop, a flake.
    MeasureId,
    /// One creep in one pen.
    CreepId,
    /// One line of what a group is given each day.
    RationId,
    /// One look at a pen's creep, gate, lamp or water.
    PenCheckId,
    /// One write in the journal.
    EntryId,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_follow_the_last_one_when_the_clock_was_turned_back() {
        let now = Uuid::now_v7().as_u128();
        // As if the last line had been written in an hour.
        let later = Uuid::from_u128(now + (3_600_000 << 80));
        ids_after(*later.as_bytes());
        let mut last = later;
        for _ in 0..10_000 {
            let id = fresh();
            assert!(id > last && id.get_version_num() == 7, "{id} after {last}");
            last = id;
        }
        // Ten thousand of them are three milliseconds.
        assert!(front(&last) >> 12 <= (front(&later) >> 12) + 3);
    }

    #[test]
    fn an_id_of_a_stranger_moves_nothing() {
        let before = LAST.load(Ordering::Relaxed);
        ids_after([0xff; 16]);
        ids_after([0; 16]);
        let far = Uuid::from_u128(0xf000_0000_0000_u128 << 80 | 0x7 << 76 | 0x8 << 60);
        ids_after(*far.as_bytes());
        assert!(LAST.load(Ordering::Relaxed) < front(&far) && LAST.load(Ordering::Relaxed) >= before);
    }
}
