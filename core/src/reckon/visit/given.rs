//! The questions that every treatment answers: one pass over the files.

use super::asked::{Asked, Demand, If};
use super::{Gap, Question, TOLD, animals};
use crate::flock::{AnimalFile, Flock, Link, Product, RecordRef, Treatment, natural};
use crate::reckon::clearance::{Clear, clear_after};
use crate::rules::{Commodity, TreatmentField};
use crate::terms::{AnimalId, Day, ProductClass, ProductId, Sex, Status, Withdrawal, counted};
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
}
use blank::*;

/// Each blank, what is missing in words.
const BLANKS: [(u32, &str); 15] = [
    (DOSE, "no dose"),
    (MEAT, "no meat withdrawal"),
    (MILK, "no milk withdrawal"),
    (BATCH, "no batch"),
    (REASON, "no reason"),
    (ROUTE, "no route"),
    (GIVER, "nobody who gave it"),
    (PRESCRIBER, "nobody who prescribed it"),
    (COPY, "no copy of the prescription"),
    (CONTACT, "no contact of who prescribed it"),
    (VET, "off-label, and no vet who directed it"),
    (MEAT_FLOOR, "off-label, and the meat withdrawal is under the least"),
    (MILK_FLOOR, "off-label, and the milk withdrawal is under the least"),
    (WHY_ANTIBIOTIC, "an antibiotic without a reason"),
    (VET_NAME, "given by a vet without a name"),
];

/// What is known of the product of treatments, looked up once for each name.
struct Known {
    prescribed: bool,
    antibiotic: bool,
    /// Least days off-label: meat, milk.
    floors: [crate::rules::Floor; 2],
}

/// Where a blank treatment stands.
struct Found {
    animal: AnimalId,
    treatment: u32,
    on: Day,
    bits: u32,
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
    flock: &'a Flock,
    since: Day,
    today: Day,
    demands: Vec<(u32, Demand)>,
    blanks: Vec<Found>,
    treatments: usize,
    treated: usize,
    counts: Counts,
    held: [Vec<(AnimalId, Clear)>; 2],
    early: Vec<Gap>,
    gone: usize,
    antibiotics: RapidHashMap<String, usize>,
    reasons: RapidHashMap<String, usize>,
    unknown_products: Vec<Gap>,
    /// Products by the name they were given under.
    pub uses: RapidHashMap<String, Use>,
    /// First day of any record.
    pub oldest: Option<Day>,
    /// Blanks that are asked for, each once.
    pub missing: usize,
    /// Blanks that are advised.
    pub advised: usize,
}

#[derive(Default)]
struct Counts {
    with_batch: usize,
    prescribed: usize,
    off_label: usize,
    zero: usize,
    ended: usize,
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
            early: Vec::new(),
            gone: 0,
            antibiotics: RapidHashMap::default(),
            reasons: RapidHashMap::default(),
            unknown_products: Vec::new(),
            uses: RapidHashMap::default(),
            oldest: None,
            missing: 0,
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
            let mut clear = [Clear::Free, Clear::Free];
            for (n, t) in f.treatments.iter().enumerate() {
                if t.struck.is_some() || t.at.day > today {
                    continue;
                }
                g.oldest = Some(g.oldest.map_or(t.at.day, |o| o.min(t.at.day)));
                let milked = milked(f, t.at.day);
                for (side, period) in [(0, t.meat), (1, t.milk)] {
                    if side == 0 || milked {
                        let c = clear_after(t.at, period);
                        g.counts.ended += usize::from(side == 0 && c.is_clear(today));
                        later_of(&mut clear[side], c);
                    }
                }
                if t.at.day < since {
                    continue;
                }
                any = true;
                g.treatments += 1;
                let k = known.entry(t.product.as_str()).or_insert_with(|| {
                    let product = by_name.get(&t.product.trim().to_lowercase()).copied();
                    g.uses.entry(t.product.clone()).or_default().product = product.map(|p| p.id);
                    looked_up(asked, product)
                });
                let mut bits = g.blanks_of(t, k, milked, vets_name);
                g.counted(f.animal.id, t, k);
                if k.antibiotic && t.at.day >= year_ago {
                    if t.reason.is_none() {
                        bits |= WHY_ANTIBIOTIC;
                    }
                    // Every dose of a course is one course.
                    if t.more.course.is_none_or(|c| courses.insert(c.id)) {
                        *g.antibiotics.entry(t.product.clone()).or_default() += 1;
                        *g.reasons.entry(t.reason.clone().unwrap_or_default()).or_default() += 1;
                    }
                }
                bits &= wanted;
                if bits != 0 {
                    // An antibiotic without a reason is one blank, whichever question it stands under.
                    let once = if bits & WHY_ANTIBIOTIC != 0 { bits & !REASON } else { bits };
                    g.missing += (once & must).count_ones() as usize;
                    g.advised += (once & !must).count_ones() as usize;
                    let treatment = u32::try_from(n).unwrap_or(u32::MAX);
                    g.blanks.push(Found { animal: f.animal.id, treatment, on: t.at.day, bits });
                }
            }
            g.treated += usize::from(any);
            if f.animal.status == Status::Present {
                for (side, c) in clear.into_iter().enumerate() {
                    if !c.is_clear(today) && !(side == 1 && c == Clear::Never) {
                        g.held[side].push((f.animal.id, c));
                    }
                }
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
            let copy = paper.is_some_and(|p| {
                cupboard.papers(crate::flock::DocumentOf::Prescription(p.id)).next().is_some()
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
                    u.batches.insert(b.clone(), (1, t.at.day));
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
                let held = !side.clear.is_clear(m.on) && !(milk && side.clear == Clear::Never);
                if held && (!milk || (m.to == Status::Sold && milked(f, m.on))) {
                    let tag = f.animal.tag();
                    let words = format!(
                        "{tag}, {}: {} under withdrawal of {what} ({}, {})",
                        m.on.words(),
                        m.to.words(),
                        side.product,
                        side.clear.words()
                    );
                    let link = Link::Record(f.animal.id, RecordRef::Movement(m.id));
                    self.early.push(Gap { words, link, on: Some(m.on), asked: true });
                }
            }
        }
    }

    /// Products that were given and are not in the cupboard: nobody knows what they are.
    fn not_in_cupboard(&mut self) {
        for (name, u) in self.uses.iter().filter(|(_, u)| u.product.is_none()) {
            let Some((on, link)) = u.last else { continue };
            let words = format!(
                "{name}: not among the products of the cupboard, so nothing tells whether it is an antibiotic; add it there"
            );
            self.unknown_products.push(Gap { words, link, on: Some(on), asked: false });
        }
    }

    /// The gaps of a question: treatments with any of these blanks.
    fn gaps(&self, mask: u32) -> (Vec<Gap>, usize) {
        let mut mine: Vec<&Found> = self.blanks.iter().filter(|f| f.bits & mask != 0).collect();
        let must = self.must();
        let order = |f: &&Found| (std::cmp::Reverse(f.bits & mask & must != 0), std::cmp::Reverse(f.on));
        let more = mine.len().saturating_sub(TOLD);
        if more > 0 {
            mine.select_nth_unstable_by_key(TOLD, order);
            mine.truncate(TOLD);
        }
        mine.sort_by(|a, b| {
            let tags = || natural(self.flock.tag(a.animal), self.flock.tag(b.animal));
            order(a).cmp(&order(b)).then_with(tags)
        });
        (mine.into_iter().filter_map(|f| self.gap(f, mask, must)).collect(), more)
    }

    fn must(&self) -> u32 {
        self.demands.iter().filter(|(_, d)| d.asked).fold(0, |all, (bit, _)| all | bit)
    }

    fn gap(&self, found: &Found, mask: u32, must: u32) -> Option<Gap> {
        let f = self.flock.file(found.animal)?;
        let t = f.treatments.get(found.treatment as usize)?;
        let bits = found.bits & mask;
        let blanks: Vec<&str> = BLANKS.iter().filter(|(b, _)| bits & b != 0).map(|(_, w)| *w).collect();
        let mut whys: Vec<&str> = Vec::new();
        for (_, d) in self.demands.iter().filter(|(b, _)| bits & b != 0) {
            if !whys.contains(&d.why.as_str()) {
                whys.push(&d.why);
            }
        }
        let words = format!(
            "{}, {}, {}: {}; {}",
            f.animal.tag(),
            t.at.day.words(),
            t.product,
            blanks.join(", "),
            whys.join("; ")
        );
        Some(Gap {
            words,
            link: Link::Record(f.animal.id, RecordRef::Treatment(t.id)),
            on: Some(t.at.day),
            asked: bits & must != 0,
        })
    }

    fn question(&self, number: u8, mask: u32, any: bool, found: String, extra: Vec<Gap>) -> Question {
        let (mut gaps, more) = self.gaps(mask);
        gaps.extend(extra);
        let mut q = Question::new(number, found, any, gaps);
        q.more += more;
        q
    }

    /// Questions 1 to 3, 5 and 9 to 13.
    pub(super) fn questions(&self) -> Vec<Question> {
        let c = &self.counts;
        let any = self.treatments > 0;
        let all = format!(
            "{} of {} since {}",
            counted(self.treatments, "treatment"),
            animals(self.treated),
            self.since.words()
        );
        vec![
            self.question(1, DOSE, any, format!("{all}; every one has its day and product."), Vec::new()),
            self.held_today(),
            Question::new(3, self.ended(), any || self.gone > 0, self.early.clone()),
            self.question(
                5,
                BATCH,
                any,
                format!(
                    "{} of {} have a batch number; the treatment log finds them by it.",
                    c.with_batch,
                    counted(self.treatments, "treatment")
                ),
                Vec::new(),
            ),
            self.question(
                9,
                PRESCRIBER | COPY | CONTACT,
                c.prescribed > 0,
                format!("{} of prescribed medicines, or of antibiotics.", counted(c.prescribed, "treatment")),
                Vec::new(),
            ),
            self.question(
                10,
                VET | MEAT_FLOOR | MILK_FLOOR,
                c.off_label > 0,
                format!("{} off-label.", counted(c.off_label, "treatment")),
                Vec::new(),
            ),
            self.question(11, REASON | ROUTE | GIVER | VET_NAME, any, format!("{all}."), Vec::new()),
            self.antibiotics(),
            self.question(
                13,
                MEAT | MILK,
                any,
                format!(
                    "{} of {} have a withdrawal of zero, written as zero.",
                    c.zero,
                    counted(self.treatments, "treatment")
                ),
                Vec::new(),
            ),
        ]
    }

    fn held_today(&self) -> Question {
        let side = |side: &[(AnimalId, Clear)], what: &str| {
            let mut tags: Vec<(&str, String)> =
                side.iter().map(|(id, c)| (self.flock.tag(*id), c.words())).collect();
            tags.sort_by(|a, b| natural(a.0, b.0));
            let told: Vec<String> = tags.iter().take(6).map(|(t, c)| format!("{t} ({c})")).collect();
            let rest = tags.len().saturating_sub(told.len());
            match tags.len() {
                0 => format!("none for {what}"),
                n if rest > 0 => format!("{n} for {what}: {} and {rest} more", told.join(", ")),
                n => format!("{n} for {what}: {}", told.join(", ")),
            }
        };
        let found = format!(
            "Under withdrawal on {}: {}; {}.",
            self.today.words(),
            side(&self.held[0], "meat"),
            side(&self.held[1], "milk")
        );
        let present = |f: &&Found| self.flock.animal(f.animal).is_some_and(|a| a.status == Status::Present);
        let must = self.must();
        let gaps = self.blanks.iter().filter(|f| f.bits & (MEAT | MILK) != 0).filter(present);
        let gaps = gaps.filter_map(|f| self.gap(f, MEAT | MILK, must)).collect();
        Question::new(2, found, self.flock.present().next().is_some(), gaps)
    }

    fn ended(&self) -> String {
        let early = match self.early.len() {
            0 => "none of them under withdrawal".to_string(),
            n => format!("{n} under withdrawal"),
        };
        format!(
            "{} over; the log shows each last day. {} sold or killed since {}: {early}.",
            if self.counts.ended == 1 {
                "1 withdrawal is".into()
            } else {
                format!("{} withdrawals are", self.counts.ended)
            },
            animals(self.gone),
            self.since.words()
        )
    }

    fn antibiotics(&self) -> Question {
        let mut products: Vec<(&String, &usize)> = self.antibiotics.iter().collect();
        products.sort_by(|a, b| b.1.cmp(a.1).then(a.0.cmp(b.0)));
        let courses: usize = self.antibiotics.values().sum();
        let mut reasons: Vec<(&String, &usize)> =
            self.reasons.iter().filter(|(r, _)| !r.is_empty()).collect();
        reasons.sort_by(|a, b| b.1.cmp(a.1).then(a.0.cmp(b.0)));
        let list = |all: &[(&String, &usize)]| {
            all.iter().take(6).map(|(w, n)| format!("{w} {n}")).collect::<Vec<_>>().join(", ")
        };
        let found = match courses {
            0 => "No antibiotic is written in the last year.".to_string(),
            n if reasons.is_empty() => {
                format!("{} of antibiotics in the last year: {}.", counted(n, "course"), list(&products))
            }
            n => format!(
                "{} of antibiotics in the last year: {}. For {}.",
                counted(n, "course"),
                list(&products),
                list(&reasons)
            ),
        };
        self.question(12, WHY_ANTIBIOTIC, courses > 0, found, self.unknown_products.clone())
    }
}

/// Meat of every animal counts, milk of a grown ewe alone.
fn milked(f: &AnimalFile, on: Day) -> bool {
    f.animal.sex == Sex::Ewe && !f.animal.is_lamb(on)
}

fn later_of(so_far: &mut Clear, c: Clear) {
    let rank = |c: &Clear| match c {
        Clear::Free => (0, None),
        Clear::From(day) => (1, Some(*day)),
        Clear::Unknown => (2, None),
        Clear::Never => (3, None),
    };
    if rank(&c) > rank(so_far) {
        *so_far = c;
    }
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
