//! Before a visit: what an inspector asks, answered from the book alone, with what is missing and the way to it.
//!
//! The questions are those of the reference (rules.md, section 8), each with its source; further ones look at the
//! registers of moves, deaths and marks. What is asked for is read from the book's rule set; where none is chosen,
//! everything any of the sets asks for is asked, and it says so. The authority, the label and the vet decide.

mod asked;
mod cupboard;
mod gathered;
mod given;
mod later;
mod moved;
#[cfg(test)]
mod random_tests;
#[cfg(test)]
mod tests;
mod told;

use crate::flock::{Flock, Link};
use crate::phrase;
use crate::terms::{Day, counted};
use asked::Asked;
pub use gathered::{Gathered, gathered};
use given::Given;

/// Gaps of one question are told one by one up to so many; the rest is a number.
pub const TOLD: usize = 1_000;

/// The visit of one day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Visit {
    /// Whose rules it goes by, in words.
    pub by: String,
    /// The first day that is looked at.
    pub since: Day,
    /// The questions.
    pub questions: Vec<Question>,
    /// How many things that are asked for are missing or wrong, each counted once.
    pub missing: usize,
    /// How many of them are there and wrong.
    pub wrong: usize,
    /// How many things would better be written, each counted once.
    pub advised: usize,
    on: Day,
    version: u64,
}

/// How a question is answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Answer {
    /// The book answers it, and nothing is missing.
    Yes,
    /// Something is missing.
    No,
    /// There is nothing it could be asked of.
    NothingToAsk,
}

impl Answer {
    /// As people read it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::NothingToAsk => "nothing to ask",
        }
    }
}

/// A question with its answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// Its number: 1 to 15 as in the reference, from 16 on those of the registers.
    pub number: u8,
    /// The question.
    pub ask: &'static str,
    /// Why it is asked.
    pub source: &'static str,
    /// The answer.
    pub answer: Answer,
    /// What was found.
    pub found: String,
    /// What is missing, newest first; at most [`TOLD`].
    pub gaps: Vec<Gap>,
    /// How many gaps there are besides.
    pub more: usize,
}

/// Something missing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gap {
    /// What, of which record, and who asks for it.
    pub words: String,
    /// Where it is mended.
    pub link: Link,
    /// The day it is about.
    pub on: Option<Day>,
    /// It is asked for; else it is advised, and would better be written.
    pub asked: bool,
    /// Of what sort it is.
    pub sort: Sort,
}

/// Of what sort a gap is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sort {
    /// Sold or killed under withdrawal: done, and not to be undone by writing.
    Breach,
    /// Something is there and wrong: out of date, contradicted, under the least.
    Wrong,
    /// Something is not written.
    Missing,
}

impl Gap {
    /// What stands before it on paper.
    pub fn sort_words(&self) -> &'static str {
        match self.sort {
            Sort::Breach => "Breach",
            Sort::Wrong => "To mend",
            Sort::Missing if self.asked => "Missing",
            Sort::Missing => "Better written",
        }
    }
}

impl Question {
    fn new(number: u8, found: String, any: bool, gaps: Vec<Gap>) -> Self {
        let (_, ask, source) = ASKED[usize::from(number).saturating_sub(1).min(ASKED.len() - 1)];
        let answer = match (any, gaps.is_empty()) {
            (_, false) => Answer::No,
            (true, true) => Answer::Yes,
            (false, true) => Answer::NothingToAsk,
        };
        let mut q = Self { number, ask, source, answer, found, gaps, more: 0 };
        q.gaps.sort_by(|a, b| b.asked.cmp(&a.asked).then(a.sort.cmp(&b.sort)).then(b.on.cmp(&a.on)));
        if q.gaps.len() > TOLD {
            q.more = q.gaps.len() - TOLD;
            q.gaps.truncate(TOLD);
        }
        q
    }

    /// How many gaps there are.
    pub fn count(&self) -> usize {
        self.gaps.len() + self.more
    }
}

/// Number, question, why it is asked.
const ASKED: [(u8, &str, &str); 19] = [
    (1, "Has every treatment its date, dose and product?", "Regulation (EU) 2019/6 art 108"),
    (2, "Which animals are under withdrawal today, for meat and for milk?", "common practice"),
    (
        3,
        "When did each withdrawal end, and was an animal sold or killed before?",
        "gov.uk on residues: medicine and movement records are read together",
    ),
    (
        4,
        "Where was each bottle bought: supplier, date, quantity, batch, invoice?",
        "VMR 2013 regs 17 and 19(1)",
    ),
    (5, "Which animals were given a batch that is recalled?", "common practice"),
    (
        6,
        "Is what was bought what was used, disposed of and stands on the shelf?",
        "visits: stock, invoices and books are compared",
    ),
    (7, "Is there medicine that is out of date?", "trade press on assurance visits"),
    (8, "How, when and where was the rest disposed of?", "DAERA; VMR 2013 reg 19(3)"),
    (9, "Who prescribed it, and is there a copy?", "Regulation (EU) 2019/6 art 108(1) and (2)(g)"),
    (
        10,
        "Which uses were off-label, who directed them, and with which period?",
        "Regulation (EU) 2019/6 art 115; 21 CFR 530.5",
    ),
    (11, "Who gave it, by which route, for what?", "FDA advice on treatment records"),
    (12, "Which antibiotics were given in the last year, and why?", "Regulation (EU) 2019/6 art 107"),
    (
        13,
        "Is a withdrawal of zero written as zero, and none left blank?",
        "Regulation (EU) 2019/6 art 108(2)(h)",
    ),
    (14, "Do the records go back five years, of dead and sold animals too?", "DAERA"),
    (15, "What was changed later, by whom, and why?", "DAERA; common practice"),
    (16, "Is every move on and off written with place and paper?", "the flock register of the place"),
    (17, "Is every death written with cause and disposal?", "the flock register of the place"),
    (18, "Does every animal past the age of tagging wear an official mark?", "the marks of the place"),
    (19, "Are holding number, keeper and address written?", "the head of every register"),
];

impl Visit {
    /// The day it is for.
    pub fn day(&self) -> Day {
        self.on
    }

    /// The version of the flock it was made of.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// What was sold or killed under withdrawal.
    pub fn breaches(&self) -> impl Iterator<Item = &Gap> {
        self.questions.iter().flat_map(|q| &q.gaps).filter(|g| g.sort == Sort::Breach)
    }

    /// '12 things are missing, 3 more would better be written'; what was sold or killed under withdrawal comes first.
    pub fn summary(&self) -> String {
        let breaches = self.breaches().count();
        let mut gone: Vec<Link> = Vec::new();
        for g in self.breaches().filter(|g| !gone.contains(&g.link)).collect::<Vec<_>>() {
            gone.push(g.link);
        }
        let gone = gone.len();
        let mut all = Vec::new();
        if gone > 0 {
            all.push(phrase!("Sold or killed under withdrawal: {}", animals(gone)));
        }
        match self.wrong {
            0 => {}
            1 => all.push(phrase!("1 thing is to be mended")),
            n => all.push(phrase!("{n} things are to be mended")),
        }
        match self.missing.saturating_sub(breaches + self.wrong) {
            0 if all.is_empty() => all.push(phrase!("Nothing that is asked for is missing")),
            0 => {}
            1 => all.push(phrase!("1 thing is missing")),
            n => all.push(phrase!("{n} things are missing")),
        }
        match self.advised {
            0 => {}
            1 => all.push(phrase!("1 more would better be written")),
            n => all.push(phrase!("{n} more would better be written")),
        }
        all.join("; ")
    }
}

/// The answers of a book on a day: one pass over its records.
pub fn visit(flock: &Flock, today: Day) -> Visit {
    let asked = Asked::of(flock);
    let since = years_before(today, asked.years());
    let given = Given::of(flock, &asked, today, since);
    let mut questions = given.questions();
    questions.extend(cupboard::questions(flock, &asked, &given, today, since));
    questions.extend(later::questions(flock, &given, today, since));
    questions.extend(moved::questions(flock, &asked, today, since));
    questions.sort_by_key(|q| q.number);
    let count = |asked: bool| -> usize {
        // Of treatments each blank is counted once, whatever questions it stands under.
        let others = questions.iter().filter(|q| !Given::counts(q.number));
        let told: usize = others.clone().map(|q| q.gaps.iter().filter(|g| g.asked == asked).count()).sum();
        let more: usize = if asked { others.map(|q| q.more).sum() } else { 0 };
        told + more
    };
    let (missing, advised) = (count(true) + given.missing, count(false) + given.advised);
    let others = questions.iter().filter(|q| !Given::counts(q.number)).flat_map(|q| &q.gaps);
    let wrong = given.wrong + others.filter(|g| g.asked && g.sort == Sort::Wrong).count();
    Visit { by: asked.by(), since, missing, wrong, advised, on: today, version: flock.version(), questions }
}

/// The same day so many years before; of a leap day the one before it.
pub(crate) fn years_before(day: Day, years: u32) -> Day {
    let year = day.year() - i32::try_from(years).unwrap_or(100);
    Day::new(year, day.month(), day.day())
        .or_else(|| Day::new(year, day.month(), day.day().saturating_sub(1)))
        .unwrap_or(day)
}

/// '88 animals'.
fn animals(n: usize) -> String {
    counted(n, "animal")
}
