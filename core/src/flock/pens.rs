//! How the keeper lays out the pens of the shed.

use crate::phrase;
use crate::terms::{Misread, Place};
use serde::{Deserialize, Serialize};

/// What kind of place a pen is on the map.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, Serialize, Deserialize)]
pub enum PenSort {
    /// In the shed.
    #[default]
    Shed,
    /// Outside: a field, a paddock, a yard.
    Outside,
    /// Taken off the map for as long as nobody is in it.
    Off,
}

impl PenSort {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Shed, Self::Outside, Self::Off];

    /// Its word in the file and in tables.
    pub fn word(self) -> &'static str {
        match self {
            Self::Shed => "shed",
            Self::Outside => "outside",
            Self::Off => "off",
        }
    }

    /// Reads a word.
    ///
    /// # Errors
    /// It is none of the three.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let found = Self::ALL.into_iter().find(|s| s.word() == text);
        found.ok_or_else(|| Misread::new(phrase!("'{text}' is none of shed, outside, off")))
    }
}

/// A pen as the keeper laid it out. Pens are known by their names, whatever the capitals.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PenPlace {
    /// The pen, as it is written.
    pub pen: String,
    /// Where it stands.
    pub at: Place,
    /// In the shed or outside.
    pub sort: PenSort,
}

/// A pen's name as names of pens are compared.
pub fn pen_key(name: &str) -> String {
    name.trim().to_lowercase()
}
