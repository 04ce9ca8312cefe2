//! What need no longer be kept: records of animals that died or left, older than the rules and a day of the keeper's
//! say. Never anything of an animal that is in the flock, never the pedigree. Whatever stays must still add up: a
//! batch goes only with everything that was given of it.

use crate::flock::{AnimalFile, DocumentOf, Flock, MoveDetails, Movement, RecordRef, same_batch};
use crate::phrase;
use crate::rules::{Kept, KeptFrom, RuleSet, rule_sets};
use crate::terms::{
    BatchId, Day, DocumentId, MovementId, PrescriptionId, ProductId, Status, StockMoveId, TreatmentId,
    counted,
};
use std::collections::HashSet;

/// Never less, whatever the rules say: the longest that any of them asks.
const LEAST_YEARS: u32 = 5;

/// The first day whose records have to stay, and who says so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bound {
    /// Records of this day and later stay.
    pub day: Day,
    /// 'Great Britain: the treatment log is kept for 5 years after use or disposal'.
    pub why: String,
}

/// The day before which records may go.
pub fn bound(flock: &Flock, today: Day) -> Bound {
    let sets: Vec<&RuleSet> = flock.rules().map_or_else(|| rule_sets().iter().collect(), |s| vec![s]);
    let longest = sets
        .iter()
        .flat_map(|s| [Kept::Treatment, Kept::Register].map(|k| (*s, k, s.retention_of(k))))
        .filter_map(|(s, k, r)| r.map(|r| (s, k, r)))
        // Counted from the end of the year it can be nearly a year longer.
        .map(|(s, k, r)| (r.years + u32::from(r.from == KeptFrom::EndOfYear), s, k, r))
        .max_by_key(|(years, ..)| *years);
    match longest {
        Some((years, s, k, r)) if years >= LEAST_YEARS => Bound {
            day: super::visit::years_before(today, years),
            why: phrase!("{}: {} is {}", &s.name(), k.words(), r.length()),
        },
        _ => Bound {
            day: super::visit::years_before(today, LEAST_YEARS),
            why: phrase!("records stay {LEAST_YEARS} years in this program, whatever the rules of the place"),
        },
    }
}

/// What would go.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Going {
    /// Treatments.
    pub treatments: Vec<TreatmentId>,
    /// Batches.
    pub batches: Vec<BatchId>,
    /// Waste, disposals and counts.
    pub stock_moves: Vec<StockMoveId>,
    /// Prescriptions.
    pub prescriptions: Vec<PrescriptionId>,
    /// Kept papers of those.
    pub documents: Vec<DocumentId>,
    /// Moves and deaths that lose their papers: carrier, vehicle, numbers. The move itself stays.
    pub moves: Vec<MovementId>,
    /// Old treatments that stay, because the batch they were given from still counts.
    pub staying: usize,
}

impl Going {
    /// Nothing at all.
    pub fn is_empty(&self) -> bool {
        self.treatments.is_empty()
            && self.batches.is_empty()
            && self.stock_moves.is_empty()
            && self.prescriptions.is_empty()
            && self.documents.is_empty()
            && self.moves.is_empty()
    }

    /// '12 treatments, 3 batches and the papers of 4 moves'.
    pub fn words(&self) -> String {
        let n = |n: usize, one: &str, many: &str| match n {
            0 => None,
            1 => Some(format!("1 {one}")),
            n => Some(format!("{n} {many}")),
        };
        let all: Vec<String> = [
            n(self.treatments.len(), "treatment", "treatments"),
            n(self.batches.len(), "batch", "batches"),
            n(self.stock_moves.len(), "stock entry", "stock entries"),
            n(self.prescriptions.len(), "prescription", "prescriptions"),
            n(self.documents.len(), "kept paper", "kept papers"),
            n(self.moves.len(), "move’s papers", "moves’ papers"),
        ]
        .into_iter()
        .flatten()
        .collect();
        let what = match all.as_slice() {
            [] => phrase!("no record that may go"),
            [one] => one.clone(),
            [first @ .., last] => phrase!("{} and {last}", first.join(", ")),
        };
        match self.staying {
            0 => what,
            1 => phrase!("{what}; 1 old treatment stays, as its batch still counts"),
            n => phrase!("{what}; {} stay, as their batch still counts", counted(n, "old treatment")),
        }
    }
}

/// A product and a batch number of it, as numbers are compared.
struct Groups(Vec<(ProductId, String, bool)>);

impl Groups {
    fn at(&mut self, product: ProductId, number: &str) -> &mut bool {
        let found = self.0.iter().position(|(p, n, _)| *p == product && same_batch(n, number));
        let at = found.unwrap_or_else(|| {
            self.0.push((product, number.to_string(), true));
            self.0.len() - 1
        });
        &mut self.0[at].2
    }

    fn goes(&self, product: ProductId, number: &str) -> Option<bool> {
        self.0.iter().find(|(p, n, _)| *p == product && same_batch(n, number)).map(|(_, _, goes)| *goes)
    }
}

/// The animal died or left before this day for good.
fn left(f: &AnimalFile, before: Day) -> bool {
    let a = &f.animal;
    matches!(a.status, Status::Sold | Status::Dead | Status::Culled)
        && a.status_on.is_some_and(|d| d < before)
}

/// What would go of records from before this day. Whether the day is allowed is not looked at: see [`bound`].
pub fn going(flock: &Flock, before: Day) -> Going {
    let c = flock.cupboard();
    let mut out = Going::default();
    // Every batch number: it goes only if all that stands of it is old and of animals that have left.
    let mut groups = Groups(Vec::new());
    for b in &c.batches {
        *groups.at(b.product, &b.number) &= b.bought_on.is_some_and(|d| d < before);
    }
    for m in c.moves.iter() {
        if let Some(number) = &m.batch {
            *groups.at(m.product, number) &= m.on < before;
        }
    }
    let mut products: Vec<(String, ProductId)> =
        flock.products().iter().map(|p| (p.name.to_lowercase(), p.id)).collect();
    products.sort();
    let product = |name: &str| {
        let name = name.trim().to_lowercase();
        products.binary_search_by(|(n, _)| n.as_str().cmp(name.as_str())).ok().map(|at| products[at].1)
    };
    for f in flock.files() {
        let gone = left(f, before);
        for t in &f.treatments {
            if let (Some(id), Some(number)) = (product(&t.product), &t.batch)
                && !(gone && t.at.day < before)
            {
                *groups.at(id, number) = false;
            }
        }
    }
    // A bottle with something left is still on the shelf.
    for line in super::stock::of(flock, before) {
        if let (Some(number), Some(dose)) = (&line.batch, line.left)
            && super::stock::Amount::of(dose).n > 0
        {
            *groups.at(line.product, number) = false;
        }
    }
    let goes = |id: ProductId, number: &str| groups.goes(id, number).unwrap_or(false);
    let bought_by = |id: ProductId, day: Day| {
        c.of(id).any(|b| !goes(id, &b.number) && b.bought_on.is_none_or(|d| d <= day))
    };
    let mut used: HashSet<PrescriptionId> = HashSet::new();
    for f in flock.files() {
        let gone = left(f, before);
        for t in &f.treatments {
            let old = gone && t.at.day < before;
            let free = match (product(&t.product), &t.batch) {
                (Some(id), Some(number)) => c.numbered(id, number).next().is_none() || goes(id, number),
                (Some(id), None) => !bought_by(id, t.at.day),
                (None, _) => true,
            };
            if old && free {
                out.treatments.push(t.id);
            } else {
                out.staying += usize::from(old);
                used.extend(t.more.prescription);
            }
        }
        let has = |d: &MoveDetails| {
            let all = [&d.number, &d.address, &d.carrier, &d.vehicle, &d.document, &d.disposal, &d.receipt];
            all.into_iter().any(Option::is_some)
        };
        let kept = |m: &Movement| flock.documents().with(RecordRef::Movement(m.id)).next().is_some();
        let papers = f.movements.iter().filter(|m| gone && m.on < before && (has(&m.details) || kept(m)));
        out.moves.extend(papers.map(|m| m.id));
    }
    out.batches = c.batches.iter().filter(|b| goes(b.product, &b.number)).map(|b| b.id).collect();
    let moves = c.moves.iter().filter(|m| match &m.batch {
        Some(number) => goes(m.product, number),
        None => m.on < before && !bought_by(m.product, m.on),
    });
    out.stock_moves = moves.map(|m| m.id).collect();
    let old = |p: &&crate::flock::Prescription| {
        p.on < before && p.valid_to.is_none_or(|d| d < before) && !used.contains(&p.id)
    };
    out.prescriptions = c.prescriptions.iter().filter(old).map(|p| p.id).collect();
    // What is kept with a record goes with it; of a move or death that loses its papers, too.
    let mut gone: HashSet<RecordRef> = out.treatments.iter().map(|id| RecordRef::Treatment(*id)).collect();
    gone.extend(out.batches.iter().map(|id| RecordRef::Batch(*id)));
    gone.extend(out.stock_moves.iter().map(|id| RecordRef::StockMove(*id)));
    gone.extend(out.prescriptions.iter().map(|id| RecordRef::Prescription(*id)));
    gone.extend(out.moves.iter().map(|id| RecordRef::Movement(*id)));
    let papers = flock.documents().all().iter().filter(|d| match d.of {
        DocumentOf::Record(record) => gone.contains(&record),
        DocumentOf::Holding => false,
    });
    out.documents = papers.map(|d| d.id).collect();
    out
}
