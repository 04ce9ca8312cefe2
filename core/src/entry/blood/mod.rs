//! What is seen of matings and found by tests: marks, crayons, scans, genes and parents.

mod fault;
mod mating;
mod tests_of;

pub use fault::{BloodRefused, BloodUnusual};
pub use mating::{CrayonDraft, MarkDraft, ScanDraft, crayon_on, crayons, marks, scans};
pub use tests_of::{GeneTestDraft, gene_tests, says};

use super::{Amended, Faults, Field, Refused};
use crate::flock::Flock;
use crate::terms::Sex;

/// What is wrong or unlikely of an amended mark, scan or test.
pub(super) fn amended(faults: &mut Faults, new: &Amended, flock: &Flock) {
    match new {
        Amended::Scan(s) => {
            if let Some(f) = flock.file(s.ewe) {
                mating::scan(faults, 0, s, f);
            }
        }
        Amended::Mark(m) => {
            if let Some(r) = m.ram.and_then(|r| flock.animal(r)).filter(|r| r.sex == Sex::Ewe) {
                let (tag, part) = (r.tag().into(), "the ram of a mating");
                let why = Refused::WrongSex { tag, is: r.sex, needed: Sex::Ram, part };
                faults.refuse(Field::of("ram"), why);
            }
        }
        Amended::GeneTest(t) => {
            if let Some(f) = flock.file(t.animal) {
                tests_of::check(faults, 0, t, f, flock);
            }
        }
        _ => {}
    }
}
