//! Random entries of every kind, made through the checks that forms and imports go through.

mod animals;
mod blood;
mod care;
mod change;
mod cupboard;
mod documents;
mod fed;
mod job;
mod merge;
mod weighed;

use fastrand::Rng;
use hirsel_core::entry::{Amended, Check, Entry, Sure, TreatmentUnusual, Unusual};
use hirsel_core::flock::{AnimalFile, Flock, RecordRef};
use hirsel_core::terms::{AnimalId, Day, Minute, Moment, Sex};

macro_rules! kinds {
    ($($kind:ident),+ $(,)?) => {
        /// Everything that can be written: each kind of entry, and each record that can be amended or struck out.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Kind { $(#[allow(missing_docs)] $kind,)+ }

        impl Kind {
            /// All of them.
            pub const ALL: &[Self] = &[$(Self::$kind),+];
        }
    };
}

kinds! {
    Animals, EditAnimal, Retag, Lambings, Joinings, Weighings, Treatments, Products, PenMoves, Movements, Remarks,
    AmendLambing, AmendBirth, AmendJoining, AmendWeighing, AmendTreatment, AmendPenMove, AmendMovement, AmendRemark,
    StrikeLambing, StrikeJoining, StrikeWeighing, StrikeTreatment, StrikePenMove, StrikeMovement, StrikeRemark,
    Ticks, Parted, Plan, StrikeTick, Holding, Batches, Opened, StockMoves, Vets, Prescriptions, Documents, AmendDocument, Portrait, EggCounts,
    Rules, AmendBatch, AmendStockMove, AmendPrescription, AmendEggCount, StrikeBatch, StrikeStockMove,
    StrikePrescription, StrikeDocument, StrikeEggCount, Marks, Crayons, Scans, GeneTests, AmendMark, AmendScan,
    AmendGeneTest, StrikeMark, StrikeCrayon, StrikeScan, StrikeGeneTest,
    Merge, Weighed, Sessions, Scorings, Decisions, Groupings, Money, AmendScoring, AmendMoney, StrikeScoring, StrikeDecision,
    StrikeMoney, Feeds, FeedMoves, FeedSheets, Measures, Creeps, Rations, PenChecks, PenPlaces, AmendFeedMove, AmendFeedSheet,
    AmendRation, StrikeFeedMove, StrikeFeedSheet, StrikeMeasure, StrikeCreep, StrikeRation, StrikePenCheck,
}

/// The kind of an entry. The one place that lists them all: a new variant does not compile until it is given a
/// kind here, and `every_kind_is_written` fails until a maker makes it.
pub fn kind_of(entry: &Entry) -> Kind {
    match entry {
        Entry::Animals { .. } => Kind::Animals,
        Entry::EditAnimal(_) => Kind::EditAnimal,
        Entry::Retag { .. } => Kind::Retag,
        Entry::Lambings(_) => Kind::Lambings,
        Entry::Joinings(_) => Kind::Joinings,
        Entry::Weighings(_) => Kind::Weighings,
        Entry::Treatments(_) => Kind::Treatments,
        Entry::Products(_) => Kind::Products,
        Entry::PenMoves(_) => Kind::PenMoves,
        Entry::Movements(_) => Kind::Movements,
        Entry::Remarks(_) => Kind::Remarks,
        Entry::Amend(new) => match new {
            Amended::Lambing(_) => Kind::AmendLambing,
            Amended::Birth(..) => Kind::AmendBirth,
            Amended::Joining(_) => Kind::AmendJoining,
            Amended::Weighing(_) => Kind::AmendWeighing,
            Amended::Treatment(_) => Kind::AmendTreatment,
            Amended::PenMove(_) => Kind::AmendPenMove,
            Amended::Movement(_) => Kind::AmendMovement,
            Amended::Remark(_) => Kind::AmendRemark,
            Amended::Batch(_) => Kind::AmendBatch,
            Amended::StockMove(_) => Kind::AmendStockMove,
            Amended::Prescription(_) => Kind::AmendPrescription,
            Amended::EggCount(_) => Kind::AmendEggCount,
            Amended::Mark(_) => Kind::AmendMark,
            Amended::Scan(_) => Kind::AmendScan,
            Amended::GeneTest(_) => Kind::AmendGeneTest,
            Amended::Scoring(_) => Kind::AmendScoring,
            Amended::Money(_) => Kind::AmendMoney,
            Amended::FeedMove(_) => Kind::AmendFeedMove,
            Amended::FeedSheet(_) => Kind::AmendFeedSheet,
            Amended::Ration(_) => Kind::AmendRation,
            Amended::Document(_) => Kind::AmendDocument,
        },
        Entry::Strike { record, .. } => match record {
            RecordRef::Lambing(_) => Kind::StrikeLambing,
            RecordRef::Joining(_) => Kind::StrikeJoining,
            RecordRef::Weighing(_) => Kind::StrikeWeighing,
            RecordRef::Treatment(_) => Kind::StrikeTreatment,
            RecordRef::PenMove(_) => Kind::StrikePenMove,
            RecordRef::Movement(_) => Kind::StrikeMovement,
            RecordRef::Remark(_) => Kind::StrikeRemark,
            RecordRef::Tick(_) => Kind::StrikeTick,
            RecordRef::Batch(_) => Kind::StrikeBatch,
            RecordRef::StockMove(_) => Kind::StrikeStockMove,
            RecordRef::Prescription(_) => Kind::StrikePrescription,
            RecordRef::Document(_) => Kind::StrikeDocument,
            RecordRef::EggCount(_) => Kind::StrikeEggCount,
            RecordRef::Mark(_) => Kind::StrikeMark,
            RecordRef::Crayon(_) => Kind::StrikeCrayon,
            RecordRef::Scan(_) => Kind::StrikeScan,
            RecordRef::GeneTest(_) => Kind::StrikeGeneTest,
            RecordRef::Scoring(_) => Kind::StrikeScoring,
            RecordRef::Decision(_) => Kind::StrikeDecision,
            RecordRef::Money(_) => Kind::StrikeMoney,
            RecordRef::FeedMove(_) => Kind::StrikeFeedMove,
            RecordRef::FeedSheet(_) => Kind::StrikeFeedSheet,
            RecordRef::Measure(_) => Kind::StrikeMeasure,
            RecordRef::Creep(_) => Kind::StrikeCreep,
            RecordRef::Ration(_) => Kind::StrikeRation,
            RecordRef::PenCheck(_) => Kind::StrikePenCheck,
            RecordRef::Animal(_)
            | RecordRef::Product(_)
            | RecordRef::Vet(_)
            | RecordRef::Session(_)
            | RecordRef::Feed(_) => {
                unreachable!("these are never struck out")
            }
        },
        Entry::Ticks { .. } => Kind::Ticks,
        Entry::Parted(_) => Kind::Parted,
        Entry::Plan { .. } => Kind::Plan,
        Entry::Holding(_) => Kind::Holding,
        Entry::Batches(_) => Kind::Batches,
        Entry::Opened(_) => Kind::Opened,
        Entry::StockMoves(_) => Kind::StockMoves,
        Entry::Vets(_) => Kind::Vets,
        Entry::Prescriptions(_) => Kind::Prescriptions,
        Entry::Documents(_) => Kind::Documents,
        Entry::Portrait { .. } => Kind::Portrait,
        Entry::EggCounts(_) => Kind::EggCounts,
        Entry::Rules { .. } => Kind::Rules,
        Entry::Marks(_) => Kind::Marks,
        Entry::Crayons(_) => Kind::Crayons,
        Entry::Scans(_) => Kind::Scans,
        Entry::GeneTests { .. } => Kind::GeneTests,
        Entry::Merge { .. } => Kind::Merge,
        Entry::Weighed { .. } => Kind::Weighed,
        Entry::Sessions(_) => Kind::Sessions,
        Entry::Scorings(_) => Kind::Scorings,
        Entry::Decisions { .. } => Kind::Decisions,
        Entry::Groupings { .. } => Kind::Groupings,
        Entry::Money(_) => Kind::Money,
        Entry::FeedMoves { .. } => Kind::FeedMoves,
        Entry::Feeds(_) => Kind::Feeds,
        Entry::FeedSheets(_) => Kind::FeedSheets,
        Entry::Measures(_) => Kind::Measures,
        Entry::Creeps(_) => Kind::Creeps,
        Entry::Rations(_) => Kind::Rations,
        Entry::PenChecks(_) => Kind::PenChecks,
        Entry::PenPlaces { .. } => Kind::PenPlaces,
    }
}

/// Texts that have broken programs before.
const TEXTS: &[&str] = &[
    "seen well",
    "Åsa of Siân’s line",
    "'; drop table animal; --",
    "\"quoted\" and 'quoted'",
    "two\nlines\tand a tab",
    "{\"a\": null}",
    "[1, 2]",
    "null",
    "0012",
    "1e5",
    "x'41'",
    "🐑 half a cup",
    "\\u0000 \\n",
    "bell \u{7} here",
    "nothing \u{0} after",
    "%_?",
    "NaN",
    "a very long note: Lorem ipsum dolor sit amet, consectetur adipiscing elit, sed do eiusmod tempor incididunt",
];

/// A maker of random entries: the same seed and flock give the same choices.
#[derive(Debug, Clone)]
pub struct Maker {
    rng: Rng,
    today: Day,
}

impl Maker {
    /// A maker of this seed, on this day.
    pub fn new(seed: u64, today: Day) -> Self {
        Self { rng: Rng::with_seed(seed), today }
    }

    /// Yes, once in so many times.
    pub fn one_in(&mut self, n: u32) -> bool {
        self.rng.u32(..n) == 0
    }

    /// A kind by chance, the commoner ones more often.
    pub fn kind(&mut self) -> Kind {
        const OFTEN: [Kind; 8] = [
            Kind::Animals,
            Kind::Lambings,
            Kind::Joinings,
            Kind::Weighings,
            Kind::Treatments,
            Kind::PenMoves,
            Kind::Movements,
            Kind::Ticks,
        ];
        if self.rng.bool() { *self.pick(&OFTEN) } else { *self.pick(Kind::ALL) }
    }

    /// An entry of this kind that passes its checks; none if this flock has nothing to make it from.
    pub fn make(&mut self, kind: Kind, flock: &Flock) -> Option<Sure> {
        (0..12).find_map(|_| {
            let checked = self.draft(kind, flock)?.ok()?;
            assert_eq!(kind_of(checked.entry()), kind, "the maker makes what was asked");
            // A dose far above the label's is said twice.
            let twice = checked.questions().iter().find_map(|q| match &q.what {
                Unusual::Treatment(TreatmentUnusual::FarAboveLabel { dose, .. }) => Some(dose.to_string()),
                _ => None,
            });
            let word = format!("sure of it {}", twice.unwrap_or_default());
            Some(checked.despite(&word).unwrap_or_else(|e| panic!("{e}")))
        })
    }

    fn draft(&mut self, kind: Kind, flock: &Flock) -> Option<Check> {
        match kind {
            Kind::Animals => Some(self.animals(flock)),
            Kind::EditAnimal => self.edit_animal(flock),
            Kind::Retag => self.retag(flock),
            Kind::Lambings => self.lambings(flock),
            Kind::Joinings => self.joinings(flock),
            Kind::Weighings => self.weighings(flock),
            Kind::Treatments => self.treatments(flock),
            Kind::Products => Some(self.products(flock)),
            Kind::PenMoves => self.pen_moves(flock),
            Kind::Movements => self.movements(flock),
            Kind::Remarks => self.remarks(flock),
            Kind::Ticks => self.ticks(flock),
            Kind::Parted => self.parted(flock),
            Kind::Plan => Some(self.plan(flock)),
            Kind::Holding => Some(self.holding(flock)),
            Kind::Batches
            | Kind::Opened
            | Kind::StockMoves
            | Kind::Vets
            | Kind::Prescriptions
            | Kind::EggCounts
            | Kind::Rules
            | Kind::AmendBatch
            | Kind::AmendStockMove
            | Kind::AmendPrescription
            | Kind::AmendEggCount
            | Kind::StrikeBatch
            | Kind::StrikeStockMove
            | Kind::StrikePrescription
            | Kind::StrikeEggCount => self.cupboard(kind, flock),
            Kind::Documents | Kind::AmendDocument | Kind::StrikeDocument | Kind::Portrait => {
                self.papers(kind, flock)
            }
            Kind::Marks => self.marks(flock),
            Kind::Crayons => self.crayons(flock),
            Kind::Scans => self.scans(flock),
            Kind::GeneTests => self.gene_tests(flock),
            Kind::Merge => self.merge(flock),
            Kind::Weighed => self.weighed(flock),
            Kind::Sessions => self.sessions(flock),
            Kind::Scorings => self.scorings(flock),
            Kind::Decisions => self.decisions(flock),
            Kind::Groupings => self.groupings(flock),
            Kind::Money => self.money(flock),
            Kind::Feeds => self.feeds(flock),
            Kind::FeedMoves => self.feed_moves(flock),
            Kind::FeedSheets => self.feed_sheets(flock),
            Kind::Measures => self.measures(flock),
            Kind::Creeps => self.creeps(flock),
            Kind::Rations => self.rations(flock),
            Kind::PenChecks => self.pen_checks(flock),
            Kind::PenPlaces => self.pen_places(flock),
            amend_or_strike => self.change(amend_or_strike, flock),
        }
    }

    fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.rng.usize(..from.len())]
    }

    fn some<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        self.rng.bool().then(|| make(self))
    }

    fn text(&mut self) -> String {
        (*self.pick(TEXTS)).to_string()
    }

    /// A day of the last `back` days, or today.
    fn back(&mut self, back: i64) -> Day {
        let days = self.rng.i64(0..=back);
        self.today.plus(-days)
    }

    fn moment(&mut self, day: Day) -> Moment {
        let time = self.some(|m| Minute::new(m.rng.u32(..24), m.rng.u32(..60))).flatten();
        Moment { day, time }
    }

    /// Animals that fit, in order of id, so that a seed means the same whatever order the flock keeps.
    fn ids(flock: &Flock, fits: impl Fn(&AnimalFile) -> bool) -> Vec<AnimalId> {
        let mut all: Vec<AnimalId> = flock.files().filter(|f| fits(f)).map(|f| f.animal.id).collect();
        all.sort_unstable();
        all
    }

    fn one(&mut self, flock: &Flock, fits: impl Fn(&AnimalFile) -> bool) -> Option<AnimalId> {
        let all = Self::ids(flock, fits);
        (!all.is_empty()).then(|| *self.pick(&all))
    }

    fn few(&mut self, flock: &Flock, most: usize, fits: impl Fn(&AnimalFile) -> bool) -> Vec<AnimalId> {
        let mut all = Self::ids(flock, fits);
        self.rng.shuffle(&mut all);
        all.truncate(self.rng.usize(1..=most));
        all
    }

    fn ewe(&mut self, flock: &Flock) -> Option<AnimalId> {
        self.one(flock, |f| f.animal.sex == Sex::Ewe)
    }

    fn ram(&mut self, flock: &Flock) -> Option<AnimalId> {
        self.one(flock, |f| f.animal.sex == Sex::Ram)
    }

    /// A day on which the animal can have been seen: after its birth, if that is known.
    fn seen(&mut self, flock: &Flock, id: AnimalId) -> Day {
        let born = flock.animal(id).and_then(|a| a.born.exact());
        let most = born.map_or(1500, |b| self.today.since(b).clamp(0, 1500));
        self.back(most)
    }
}
