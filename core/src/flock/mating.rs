//! What is seen of matings: crayon marks, matings watched, crayons changed, scans.

use super::Struck;
use crate::terms::{AnimalId, CrayonId, Day, MarkId, MarkKind, ScanId, Scanned, Words};

/// A ewe was seen to be mated, or bears the crayon's mark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MatingMark {
    /// Its id.
    pub id: MarkId,
    /// The ewe.
    pub ewe: AnimalId,
    /// The ram, if it is known which.
    pub ram: Option<AnimalId>,
    /// The day it was seen.
    pub on: Day,
    /// A mark, or the mating itself.
    pub kind: MarkKind,
    /// Colour of the mark.
    pub colour: Option<Words>,
    /// What else was seen.
    pub note: Option<Words>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// From this day a ram wears a crayon of this colour.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Crayon {
    /// Its id.
    pub id: CrayonId,
    /// The ram.
    pub ram: AnimalId,
    /// First day.
    pub on: Day,
    /// The colour; empty when the crayon was taken off.
    pub colour: String,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// What the scanner found in a ewe.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scan {
    /// Its id.
    pub id: ScanId,
    /// The ewe.
    pub ewe: AnimalId,
    /// The day.
    pub on: Day,
    /// Empty, or how many lambs.
    pub found: Scanned,
    /// Age of the lambs in days since service, as the scanner put it.
    pub age_days: Option<u16>,
    /// Note.
    pub note: Option<Words>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}
