//! What is refused and questioned of marks, scans and tests; the words are made here.

use crate::entry::{Refused, Unusual};
use crate::terms::{Day, Scrapie};

/// Why an entry of blood or mating cannot be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BloodRefused {
    /// A crayon without a colour on a ram that wears none.
    #[error("{0} wears no crayon: write the colour of the one put on")]
    NoCrayon(String),
    /// Younger lambs than can be: service after the scan, or an age beyond gestation.
    #[error("lambs of {age} days cannot be in {tag}: a ewe carries {most} days at the most")]
    ScanAge {
        /// The ewe.
        tag: String,
        /// As written.
        age: u16,
        /// Longest gestation.
        most: i64,
    },
    /// An age where nothing was found.
    #[error("{0} is scanned empty: leave the age of the lambs out")]
    AgeOfNone(String),
    /// A test without its result.
    #[error("what the test of {0} was for and what it showed are both needed")]
    EmptyTest(String),
    /// An animal tested against itself.
    #[error("{0} cannot be its own parent: name the parent the test was about")]
    OwnParent(String),
}

impl From<BloodRefused> for Refused {
    fn from(why: BloodRefused) -> Self {
        Self::Blood(why)
    }
}

/// What is unlikely of marks, scans and tests.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BloodUnusual {
    /// Marked by a ram she is not joined with.
    #[error("{ewe} is not written as joined with {ram} on {}: is it the right ewe and ram?", .on.words())]
    NotJoined {
        /// The ewe.
        ewe: String,
        /// The ram.
        ram: String,
        /// The day of the mark.
        on: Day,
    },
    /// A mark or scan written twice.
    #[error("{tag} has {what} of {} already: is this another one?", .on.words())]
    Again {
        /// The ewe.
        tag: String,
        /// a mark, a scan
        what: &'static str,
        /// The day.
        on: Day,
    },
    /// A scan of a ewe without a ram.
    #[error("no joining of {tag} lies 29 to 160 days before {}: is it the right ewe?", .on.words())]
    ScanUnjoined {
        /// The ewe.
        tag: String,
        /// The day of the scan.
        on: Day,
    },
    /// A service by the scan's age when no ram was there.
    #[error("by its age {tag} took the ram on {}, and no joining of hers holds that day", .service.words())]
    ScanServed {
        /// The ewe.
        tag: String,
        /// Scan day less the age.
        service: Day,
    },
    /// Another test says otherwise.
    #[error("an earlier test says {before} of {tag}, this one {now}: which is right?")]
    OtherResult {
        /// The animal.
        tag: String,
        /// The earlier result.
        before: String,
        /// This result.
        now: String,
    },
    /// No allele in common with a parent.
    #[error(
        "{tag} is {genotype} and its {parent} is {theirs}: they share no allele, so one of them is not what it is taken for"
    )]
    NoAlleleOf {
        /// The animal.
        tag: String,
        /// Its genotype.
        genotype: Scrapie,
        /// sire or dam, with tag
        parent: String,
        /// The parent's genotype.
        theirs: Scrapie,
    },
    /// A recessive that the parents cannot give.
    #[error(
        "{tag} is {is} for {gene}, which does not go with its {parent}, who is {theirs}: a parent or a test is wrong"
    )]
    NotFromParents {
        /// The animal.
        tag: String,
        /// The gene.
        gene: String,
        /// clear, affected
        is: &'static str,
        /// sire or dam, with tag
        parent: String,
        /// What that one is.
        theirs: &'static str,
    },
}

impl From<BloodUnusual> for Unusual {
    fn from(what: BloodUnusual) -> Self {
        Self::Blood(what)
    }
}
