//! What the pass over the treatments says: each question with its gaps in words.

use super::gathered::named;
use super::given::blank::{
    BATCH, CONTACT, COPY, DOSE, GIVER, MEAT, MEAT_FLOOR, MILK, MILK_FLOOR, OTHER_VET, PRESCRIBER, REASON,
    ROUTE, VET, VET_NAME, WHY_ANTIBIOTIC, WRONG,
};
use super::given::{Found, Given};
use super::{Gap, Question, Sort, TOLD, animals};
use crate::flock::{Link, RecordRef, natural};
use crate::phrase;
use crate::reckon::clearance::Clear;
use crate::terms::{AnimalId, Status, counted};

/// Each blank, what is missing in words.
const BLANKS: [(u32, &str); 16] = [
    (DOSE, "no dose"),
    (MEAT, "no meat withdrawal"),
    (MILK, "no milk withdrawal"),
    (BATCH, "no batch"),
    (REASON, "no reason"),
    (ROUTE, "no route"),
    (GIVER, "nobody who gave it"),
    (PRESCRIBER, "nobody who prescribed it"),
    (OTHER_VET, "another vet than the one of its prescription"),
    (COPY, "no copy of the prescription"),
    (CONTACT, "no contact of who prescribed it"),
    (VET, "off-label, and no vet who directed it"),
    (MEAT_FLOOR, "off-label, and the meat withdrawal is under the least"),
    (MILK_FLOOR, "off-label, and the milk withdrawal is under the least"),
    (WHY_ANTIBIOTIC, "an antibiotic without a reason"),
    (VET_NAME, "given by a vet without a name"),
];

impl Given<'_> {
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
        let words = format!("{}{}; {}", named(f, t), blanks.join(", "), whys.join("; "));
        Some(Gap {
            words,
            link: Link::Record(f.animal.id, RecordRef::Treatment(t.id)),
            on: Some(t.at.day),
            asked: bits & must != 0,
            sort: if bits & WRONG & must != 0 { Sort::Wrong } else { Sort::Missing },
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
        let all = phrase!(
            "{} of {} since {}",
            counted(self.treatments, "treatment"),
            animals(self.treated),
            self.since.words()
        );
        vec![
            self.question(1, DOSE, any, phrase!("{all}; every one has its day and product."), Vec::new()),
            self.held_today(),
            Question::new(3, self.ended(), any || self.gone > 0, self.early.clone()),
            self.question(
                5,
                BATCH,
                any,
                phrase!(
                    "{} of {} have a batch number; the treatment log finds them by it.",
                    c.with_batch,
                    counted(self.treatments, "treatment")
                ),
                Vec::new(),
            ),
            self.question(
                9,
                PRESCRIBER | OTHER_VET | COPY | CONTACT,
                c.prescribed > 0,
                phrase!("{} of prescribed medicines, or of antibiotics.", counted(c.prescribed, "treatment")),
                Vec::new(),
            ),
            self.question(
                10,
                VET | MEAT_FLOOR | MILK_FLOOR,
                c.off_label > 0,
                phrase!("{} off-label.", counted(c.off_label, "treatment")),
                Vec::new(),
            ),
            self.question(11, REASON | ROUTE | GIVER | VET_NAME, any, format!("{all}."), Vec::new()),
            self.antibiotics(),
            self.question(
                13,
                MEAT | MILK,
                any,
                phrase!(
                    "{} of {} have a withdrawal of zero, written as zero.",
                    c.zero,
                    counted(self.treatments, "treatment")
                ),
                Vec::new(),
            ),
        ]
    }

    fn held_today(&self) -> Question {
        let side = |side: &[(AnimalId, Clear)], what: &'static str| {
            let mut tags: Vec<(&str, String)> =
                side.iter().map(|(id, c)| (self.flock.tag(*id), c.words())).collect();
            tags.sort_by(|a, b| natural(a.0, b.0));
            let told: Vec<String> = tags.iter().take(6).map(|(t, c)| format!("{t} ({c})")).collect();
            let rest = tags.len().saturating_sub(told.len());
            match tags.len() {
                0 => phrase!("none for {what}"),
                n if rest > 0 => phrase!("{n} for {what}: {} and {rest} more", told.join(", ")),
                n => phrase!("{n} for {what}: {}", told.join(", ")),
            }
        };
        let found = phrase!(
            "Under withdrawal on {}: {}; {}, {}.",
            self.today.words(),
            animals(self.held_animals),
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
            0 if self.gone == 0 => phrase!("nothing to compare"),
            0 => phrase!("none of them under withdrawal"),
            n => phrase!("{n} under withdrawal"),
        };
        phrase!(
            "{} over; the log shows each last day. {} sold or killed since {}: {early}.",
            if self.counts.ended == 1 {
                phrase!("1 withdrawal is")
            } else {
                phrase!("{} withdrawals are", self.counts.ended)
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
            0 => phrase!("No antibiotic is written in the last year."),
            n if reasons.is_empty() => {
                phrase!("{} of antibiotics in the last year: {}.", counted(n, "course"), list(&products))
            }
            n => phrase!(
                "{} of antibiotics in the last year: {}. For {}.",
                counted(n, "course"),
                list(&products),
                list(&reasons)
            ),
        };
        self.question(12, WHY_ANTIBIOTIC, courses > 0, found, self.unknown_products.clone())
    }
}
