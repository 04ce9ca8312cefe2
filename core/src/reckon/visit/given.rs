//! The questions that every treatment answers: one pass over the files.

use super::asked::{Asked, Demand, If};
use super::{Gap, Sort};
use crate::flock::{AnimalFile, Flock, Link, Product, RecordRef, Treatment};
use crate::phrase;
use crate::reckon::clearance::{Clear, clear_after};
use crate::registers::{goes_on, held_on, prescriber};
use crate::rules::{Commodity, TreatmentField};
use crate::terms::{AnimalId, Day, ProductClass, ProductId, Sex, Status, Withdrawal};
use rapidhash::{RapidHashMap, RapidHashSet};

/// A blank of a treatment, as a bit.
pub(super) mod blank {
    pub const DOSE: u32 = 1;
    pub const MEAT: u32 = 1 << 1;
    pub const MILK: u32 = 1 << 2;
    pub const BATCH: u32 = 1 << 3;
    pub const REASON: u32 = 1 << 4;
    pub const ROUTE: u32 = 1 << 5;
    pub const GIVER: u32 = 1 << 6;
    pub const PRESCRIBER: u32 = 1 << 7;
    pub const COPY: u32 = 1 << 8;
    pub const CONTACT: u32 = 1 << 9;
    pub const VET: u32 = 1 << 10;
    pub const MEAT_FLOOR: u32 = 1 << 11;
    pub const MILK_FLOOR: u32 = 1 << 12;
    pub const WHY_ANTIBIOTIC: u32 = 1 << 13;
    pub const VET_NAME: u32 = 1 << 14;
    pub const OTHER_VET: u32 = 1 << 15;
    /// What is there and wrong; of the others something is not there.
    pub const WRONG: u32 = MEAT_FLOOR | MILK_FLOOR | OTHER_VET;
}
use blank::*;

/// What is known of the product of treatments, looked up once for each name.
struct Known {
    prescribed: bool,
    antibiotic: bool,
    /// Least days off-label: meat, milk.
    floors: [crate::rules::Floor; 2],
}

/// Where a blank treatment stands.
pub(super) struct Found {
    pub animal: AnimalId,
    pub treatment: u32,
    pub on: Day,
    pub bits: u32,
}

/// A product as it was given.
#[derive(Default)]
pub(super) struct Use {
    /// Batch numbers with how often and when last.
    pub batches: RapidHashMap<String, (usize, Day)>,
    /// Last given to this animal by this record.
    pub last: Option<(Day, Link)>,
    /// It is in the cupboard.
    pub product: Option<ProductId>,
}

/// What the pass over the treatments gave.
pub(super) struct Given<'a> {
    pub flock: &'a Flock,
    pub since: Day,
    pub today: Day,
    pub demands: Vec<(u32, Demand)>,
    pub blanks: Vec<Found>,
    pub treatments: usize,
    pub treated: usize,
    pub counts: Counts,
    pub held: [Vec<(AnimalId, Clear)>; 2],
    /// Animals under withdrawal today, each once.
    pub held_animals: usize,
    pub early: Vec<Gap>,
    pub gone: usize,
    pub antibiotics: RapidHashMap<String, usize>,
    pub reasons: RapidHashMap<String, usize>,
    pub unknown_products: Vec<Gap>,
    /// Products by the name they were given under.
    pub uses: RapidHashMap<String, Use>,
    /// First day of any record.
    pub oldest: Option<Day>,
    /// Blanks that are asked for, each once.
    pub missing: usize,
    /// How many of them are there and wrong.
    pub wrong: usize,
    /// Blanks that are advised.
    pub advised: usize,
}

#[derive(Default)]
pub(super) struct Counts {
    pub with_batch: usize,
    pub prescribed: usize,
    pub off_label: usize,
    pub zero: usize,
    pub ended: usize,
}

impl<'a> Given<'a> {
    /// The questions whose gaps are counted here, by their blanks.
    pub(super) fn counts(number: u8) -> bool {
        matches!(number, 1 | 2 | 5 | 9..=13)
    }

    pub(super) fn of(flock: &'a Flock, asked: &Asked<'_>, today: Day, since: Day) -> Self {
        let demands = demands(asked);
        let wanted = demands.iter().fold(0, |all, (bit, _)| all | bit);
        let must = demands.iter().filter(|(_, d)| d.asked).fold(0, |all, (bit, _)| all | bit);
        let vets_name = asked.treatment(TreatmentField::VetName, If::VetGave).is_some();
        let mut g = Self {
            flock,
            since,
            today,
            demands,
            blanks: Vec::new(),
            treatments: 0,
            treated: 0,
            counts: Counts::default(),
            held: [Vec::new(), Vec::new()],
            held_animals: 0,
            early: Vec::new(),
            gone: 0,
            antibiotics: RapidHashMap::default(),
            reasons: RapidHashMap::default(),
            unknown_products: Vec::new(),
            uses: RapidHashMap::default(),
            oldest: None,
            missing: 0,
            wrong: 0,
            advised: 0,
        };
        let mut known: RapidHashMap<&str, Known> = RapidHashMap::default();
        let by_name: RapidHashMap<String, &Product> =
            flock.products().iter().map(|p| (p.name.to_lowercase(), p)).collect();
        let mut courses = RapidHashSet::default();
        let year_ago = super::years_before(today, 1);
        for f in flock.files() {
            g.of_standing(f);
            let mut any = false;
            let mut runs: Vec<&Treatment> = Vec::new();
            for (n, t) in f.treatments.iter().enumerate() {
                if t.struck.is_some() || t.at.day > today {
                    continue;
                }
                g.oldest = Some(g.oldest.map_or(t.at.day, |o| o.min(t.at.day)));
                let milked = milked(f, t.at.day);
                g.counts.ended += usize::from(clear_after(t.at, t.meat).is_clear(today));
                if t.at.day < since {
                    continue;
                }
                any = true;
                g.treatments += 1;
                let k = known.entry(t.product.as_str()).or_insert_with(|| {
                    let product = by_name.get(&t.product.trim().to_lowercase()).copied();
                    g.uses.entry(t.product.to_string()).or_default().product = product.map(|p| p.id);
                    looked_up(asked, product)
                });
                let mut bits = g.blanks_of(t, k, milked, vets_name);
                g.counted(f.animal.id, t, k);
                if k.antibiotic && t.at.day >= year_ago {
                    if t.reason.is_none() {
                        bits |= WHY_ANTIBIOTIC;
                    }
                    // Every dose of a course is one course, and so are doses given day after day.
                    let runs_on =
                        t.more.course.is_none() && runs.iter().any(|last: &&Treatment| goes_on(last, t));
                    if t.more.course.is_none() {
                        runs.retain(|last| !goes_on(last, t));
                        runs.push(t);
                    }
                    if !runs_on && t.more.course.is_none_or(|c| courses.insert(c.id)) {
                        *g.antibiotics.entry(t.product.to_string()).or_default() += 1;
                        *g.reasons.entry(t.reason.as_deref().unwrap_or_default().to_string()).or_default() +=
                            1;
                    }
                }
                bits &= wanted;
                if bits != 0 {
                    // An antibiotic without a reason is one blank, whichever question it stands under.
                    let once = if bits & WHY_ANTIBIOTIC != 0 { bits & !REASON } else { bits };
                    g.missing += (once & must).count_ones() as usize;
                    g.wrong += (once & must & WRONG).count_ones() as usize;
                    g.advised += (once & !must).count_ones() as usize;
                    let treatment = u32::try_from(n).unwrap_or(u32::MAX);
                    g.blanks.push(Found { animal: f.animal.id, treatment, on: t.at.day, bits });
                }
            }
            g.treated += usize::from(any);
        }
        // The same animals as in the register of those under withdrawal.
        for h in held_on(flock, today) {
            g.held_animals += 1;
            let sides = [(h.meat, h.clearance.meat.clear), (h.milk, h.clearance.milk.clear)];
            for (list, (held, clear)) in g.held.iter_mut().zip(sides) {
                list.extend(held.then_some((h.file.animal.id, clear)));
            }
        }
        g.not_in_cupboard();
        g.advised += g.unknown_products.len();
        g
    }

    /// What is blank of one treatment.
    fn blanks_of(&self, t: &Treatment, k: &Known, milked: bool, vets_name: bool) -> u32 {
        let mut bits = 0;
        let mut mark = |is: bool, bit: u32| bits |= if is { bit } else { 0 };
        mark(t.dose.is_none(), DOSE);
        mark(t.meat == Withdrawal::Unknown, MEAT);
        mark(milked && t.milk == Withdrawal::Unknown, MILK);
        mark(t.batch.is_none(), BATCH);
        mark(t.reason.is_none(), REASON);
        mark(t.route.is_none(), ROUTE);
        mark(t.given_by.is_none() && !t.more.vet_gave, GIVER);
        mark(t.more.vet_gave && vets_name && t.given_by.is_none() && t.prescribed_by.is_none(), VET_NAME);
        let cupboard = self.flock.cupboard();
        let paper = t.more.prescription.and_then(|id| cupboard.prescription(id));
        if k.prescribed || t.prescribed_by.is_some() || paper.is_some() {
            mark(t.prescribed_by.is_none() && paper.is_none(), PRESCRIBER);
            mark(prescriber(self.flock, t).differs.is_some(), OTHER_VET);
            let copy = paper.is_some_and(|p| {
                let with = crate::flock::RecordRef::Prescription(p.id);
                self.flock.documents().standing(with).next().is_some()
            });
            mark(!copy, COPY);
            let vet = paper
                .and_then(|p| cupboard.vet(p.vet))
                .or_else(|| cupboard.vet_named(t.prescribed_by.as_deref()?));
            let reached = vet.is_some_and(|v| v.contact.is_some() || v.address.is_some());
            mark(!reached && (t.prescribed_by.is_some() || paper.is_some()), CONTACT);
        }
        if t.more.off_label.is_some() {
            mark(t.prescribed_by.is_none() && paper.is_none(), VET);
            mark(k.floors[0].refuses(t.meat), MEAT_FLOOR);
            mark(milked && k.floors[1].refuses(t.milk), MILK_FLOOR);
        }
        bits
    }

    fn counted(&mut self, animal: AnimalId, t: &Treatment, k: &Known) {
        let c = &mut self.counts;
        c.prescribed +=
            usize::from(k.prescribed || t.prescribed_by.is_some() || t.more.prescription.is_some());
        c.off_label += usize::from(t.more.off_label.is_some());
        let zero = |w: Withdrawal| matches!(w, Withdrawal::Days(0) | Withdrawal::Hours(0));
        c.zero += usize::from(zero(t.meat) || zero(t.milk));
        c.with_batch += usize::from(t.batch.is_some());
        let Some(u) = self.uses.get_mut(t.product.as_str()) else { return };
        if let Some(b) = &t.batch {
            match u.batches.get_mut(b.as_str()) {
                Some((n, last)) => {
                    *n += 1;
                    *last = (*last).max(t.at.day);
                }
                None => {
                    u.batches.insert(b.to_string(), (1, t.at.day));
                }
            }
        }
        if u.last.is_none_or(|(on, _)| on < t.at.day) {
            u.last = Some((t.at.day, Link::Record(animal, RecordRef::Treatment(t.id))));
        }
    }

    /// Sold or killed while its meat or milk was withheld.
    fn of_standing(&mut self, f: &AnimalFile) {
        for m in f.movements.iter().filter(|m| m.struck.is_none() && m.on <= self.today) {
            self.oldest = Some(self.oldest.map_or(m.on, |o| o.min(m.on)));
            if m.on < self.since || !matches!(m.to, Status::Sold | Status::Culled) {
                continue;
            }
            self.gone += 1;
            let c = crate::reckon::clearance::clearance(f, m.on);
            for (what, side) in [("meat", &c.meat), ("milk", &c.milk)] {
                let milk = what == "milk";
                let free = side.clear.is_clear(m.on) || (milk && side.clear == Clear::Never);
                if !free && (!milk || (m.to == Status::Sold && milked(f, m.on))) {
                    let tag = f.animal.tag();
                    let words = phrase!(
                        "{tag}, {}: {} under withdrawal of {what} ({}, {})",
                        m.on.words(),
                        m.to.words(),
                        side.product,
                        side.clear.words(),
                        tag = &tag
                    );
                    let link = Link::Record(f.animal.id, RecordRef::Movement(m.id));
                    self.early.push(Gap { words, link, on: Some(m.on), asked: true, sort: Sort::Breach });
                }
            }
        }
    }

    /// Products that were given and are not in the cupboard: nobody knows what they are.
    fn not_in_cupboard(&mut self) {
        for (name, u) in self.uses.iter().filter(|(_, u)| u.product.is_none()) {
            let Some((on, link)) = u.last else { continue };
            let words = phrase!(
                "{name}: not among the products of the cupboard, so nothing tells whether it is an antibiotic; add it there"
            );
            let on = Some(on);
            self.unknown_products.push(Gap { words, link, on, asked: false, sort: Sort::Missing });
        }
    }
}

/// Meat of every animal counts, milk of a grown ewe alone.
fn milked(f: &AnimalFile, on: Day) -> bool {
    f.animal.sex == Sex::Ewe && !f.animal.is_lamb(on)
}

fn looked_up(asked: &Asked<'_>, product: Option<&Product>) -> Known {
    let antibiotic = product.is_some_and(|p| p.more.class == ProductClass::Antibiotic);
    let floor = |what| product.map_or(crate::rules::Floor::NotKnown, |p| asked.floor(what, p));
    Known {
        antibiotic,
        prescribed: antibiotic || product.is_some_and(|p| p.more.prescription_only),
        floors: [floor(Commodity::Meat), floor(Commodity::Milk)],
    }
}

/// How much each blank is wanted.
fn demands(asked: &Asked<'_>) -> Vec<(u32, Demand)> {
    use TreatmentField as F;
    let mut all = Vec::new();
    let mut want = |bit: u32, demand: Option<Demand>| all.extend(demand.map(|d| (bit, d)));
    let of = |field| asked.treatment(field, If::Always);
    // A withdrawal that is not known keeps the animal from being sold for ever, whatever the law says.
    let unknown = "unknown is not clear";
    let firm = |d: Option<Demand>, why: &str| d.filter(|d| d.asked).or_else(|| Some(Demand::always(why)));
    want(DOSE, of(F::Quantity).filter(|d| d.asked).or_else(|| of(F::Dosage)).or_else(|| of(F::Quantity)));
    want(MEAT, firm(of(F::WithdrawalMeat), unknown));
    want(MILK, firm(of(F::WithdrawalMilk), unknown));
    want(BATCH, firm(of(F::Batch), "without it a recalled batch cannot be followed (common practice)"));
    want(REASON, of(F::Reason));
    want(ROUTE, of(F::Route));
    want(GIVER, of(F::GivenBy));
    let prescribed = |field| asked.treatment(field, If::Prescribed);
    want(PRESCRIBER, firm(prescribed(F::PrescriberName), "only on prescription, or an antibiotic"));
    want(OTHER_VET, Some(Demand::always("treatment and prescription are read together")));
    let copy = "a visit asks for a copy (Regulation (EU) 2019/6 art 108)";
    want(COPY, prescribed(F::PrescriptionCopy).or_else(|| Some(Demand::advice(copy))));
    want(CONTACT, prescribed(F::PrescriberContact).or_else(|| Some(Demand::advice(copy))));
    want(VET, Some(Demand::always("the vet directs such a use and sets its period")));
    let floor = "the vet sets the period, not under the least of the rules";
    want(MEAT_FLOOR, Some(Demand::always(floor)));
    want(MILK_FLOOR, Some(Demand::always(floor)));
    want(
        WHY_ANTIBIOTIC,
        Some(Demand::always("an antibiotic is given for a reason (Regulation (EU) 2019/6 art 107)")),
    );
    want(VET_NAME, asked.treatment(F::VetName, If::VetGave));
    all
}
