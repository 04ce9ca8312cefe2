//! Collects what is wrong, what is unlikely and what is to be known while an entry is checked.

use super::fault::{Caution, Field, Question, Refusal, Refused, Unusual};
use crate::terms::Day;

/// So many of the last are looked through for the same: a stranger's table may have a million faults.
const LOOK_BACK: usize = 1000;

/// Collects what is wrong and what is unlikely while an entry is checked.
#[derive(Debug, Default)]
pub struct Faults {
    refusals: Vec<Refusal>,
    questions: Vec<Question>,
    cautions: Vec<Caution>,
}

impl Faults {
    /// It cannot be.
    pub fn refuse(&mut self, field: Field, why: Refused) {
        let refusal = Refusal { field, why };
        if !self.refusals.iter().rev().take(LOOK_BACK).any(|r| *r == refusal) {
            self.refusals.push(refusal);
        }
    }

    /// It is unlikely.
    pub fn question(&mut self, field: Field, what: Unusual) {
        let q = Question { field, what };
        if !self.questions.iter().rev().take(LOOK_BACK).any(|o| *o == q) {
            self.questions.push(q);
        }
    }

    /// To be known; each is said once.
    pub fn caution(&mut self, field: Field, words: impl Into<String>) {
        let words = words.into();
        self.add(Caution { field, words, blank: None });
    }

    /// A blank that somebody asks for; each is said once.
    pub fn blank(&mut self, field: Field, what: impl Into<String>, words: impl Into<String>) {
        self.add(Caution { field, words: words.into(), blank: Some(what.into()) });
    }

    fn add(&mut self, caution: Caution) {
        let said = |c: &Caution| c.field.name == caution.field.name && c.words == caution.words;
        if !self.cautions.iter().any(said) {
            self.cautions.push(caution);
        }
    }

    /// Refuses a day after today.
    pub fn not_ahead(&mut self, field: Field, on: Day, today: Day) {
        if on > today {
            self.refuse(field, Refused::DayAhead { on, today });
        }
    }

    /// Takes what another look refused, beside the fields that this form has for them.
    pub(super) fn take_renamed(&mut self, other: Self, name: impl Fn(&'static str) -> &'static str) {
        for r in other.refusals {
            self.refuse(Field::row(name(r.field.name), r.field.row), r.why);
        }
    }

    /// Takes what another look found, but what was to be found before as well: a record is amended in one thing and is
    /// not asked about all others again. What is to be known is said in any case.
    pub(super) fn take_new(&mut self, found: Self, before: &Self) {
        for r in found.refusals.into_iter().filter(|r| !before.refusals.contains(r)) {
            self.refuse(r.field, r.why);
        }
        for q in found.questions.into_iter().filter(|q| !before.questions.contains(q)) {
            self.question(q.field, q.what);
        }
        for c in found.cautions {
            self.add(c);
        }
    }

    /// Nothing refused so far.
    pub fn none_refused(&self) -> bool {
        self.refusals.is_empty()
    }

    /// The checked entry, or every refusal.
    ///
    /// # Errors
    /// All refusals collected.
    pub fn or(self, make: impl FnOnce() -> (super::Entry, String)) -> super::Check {
        if self.refusals.is_empty() {
            let (entry, sentence) = make();
            Ok(super::Checked::new(entry, sentence, self.questions).with(self.cautions))
        } else {
            Err(self.refusals)
        }
    }
}
