//! What the flock register of a place holds.

use super::row::{counted, list};
use crate::handbook::Ground;
use crate::phrase;
use crate::terms::MonthDay;
use serde::Deserialize;

/// A list that words its members.
macro_rules! worded {
    ($(#[$about:meta])* $name:ident { $($variant:ident = $words:literal),+ $(,)? }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum $name {
            $(#[doc = concat!("'", $words, "'.")] $variant),+
        }

        impl $name {
            /// In plain words.
            pub fn words(self) -> &'static str {
                match self {
                    $(Self::$variant => $words),+
                }
            }
        }
    };
}

worded!(
    /// What a register holds.
    RegisterPart {
        Animals = "each animal",
        FirstTagging = "first tagging",
        ReplacementTags = "replacement tags",
        MovesOn = "moves on",
        MovesOff = "moves off",
        Deaths = "deaths",
        YearlyCount = "yearly count",
        MovementDocuments = "movement papers",
        Treatments = "treatments",
        TestResults = "test results",
        HealthVisits = "health visits",
        Acquired = "animals acquired",
        Disposed = "animals disposed of",
        TagsApplied = "tags applied",
        BirthsTotal = "number of births",
    }
);

worded!(
    /// One thing that may be written in a register or on a movement paper.
    RegisterField {
        Date = "date",
        Count = "number of animals",
        Code = "animal's code",
        Codes = "animals' codes",
        Kind = "kind",
        Numbers = "numbers",
        OtherHolding = "other holding",
        OtherName = "other party's name",
        OtherAddress = "other party's address",
        OtherPhone = "other party's telephone",
        OriginNumber = "number of the place of origin",
        DestinationNumber = "number of the place of destination",
        SpeciesBreedClass = "species, breed or class",
        BirthYear = "year of birth",
        ElectronicKind = "kind of electronic tag",
        ElectronicPlace = "place of the electronic tag",
        ElectronicKindAndPlace = "kind and place of the electronic tag",
        OldCode = "old code",
        OldCodeReason = "why the code was changed",
        DepartedOn = "day of departure",
        TransporterNumber = "transporter's number",
        Vehicle = "vehicle's number",
    }
);

/// What the flock register of a place holds, and in which time it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RegisterRules {
    /// Its parts.
    pub holds: Vec<RegisterPart>,
    /// Of each animal.
    pub animal_fields: Vec<RegisterField>,
    /// Of a move.
    pub move_fields: Vec<RegisterField>,
    /// Of a death.
    pub death_fields: Vec<RegisterField>,
    /// Of tags applied.
    pub tag_fields: Vec<RegisterField>,
    /// What the paper holds that goes with animals.
    pub move_document: Vec<RegisterField>,
    /// The day of the yearly count.
    pub yearly_count_on: Option<MonthDay>,
    /// Hours in which a move is written.
    pub write_move_within_hours: Option<u32>,
    /// Days in which anything is written.
    pub write_within_days: Option<u32>,
    /// Days in which a move is reported to the authority.
    pub report_within_days: Option<u32>,
    /// What it stands on.
    pub ground: Ground,
}

impl RegisterRules {
    /// Takes in what another part of the place asks: every list together, the shorter times, the earlier count.
    pub(super) fn join(&mut self, other: &Self) {
        fn both<T: PartialEq + Copy>(mine: &mut Vec<T>, its: &[T]) {
            for one in its {
                if !mine.contains(one) {
                    mine.push(*one);
                }
            }
        }
        fn least<T: Ord>(mine: Option<T>, its: Option<T>) -> Option<T> {
            mine.into_iter().chain(its).min()
        }
        both(&mut self.holds, &other.holds);
        both(&mut self.animal_fields, &other.animal_fields);
        both(&mut self.move_fields, &other.move_fields);
        both(&mut self.death_fields, &other.death_fields);
        both(&mut self.tag_fields, &other.tag_fields);
        both(&mut self.move_document, &other.move_document);
        self.yearly_count_on = least(self.yearly_count_on, other.yearly_count_on);
        self.write_move_within_hours = least(self.write_move_within_hours, other.write_move_within_hours);
        self.write_within_days = least(self.write_within_days, other.write_within_days);
        self.report_within_days = least(self.report_within_days, other.report_within_days);
    }

    /// All of it in words.
    pub fn words(&self) -> String {
        let mut said = vec![phrase!("the register holds {}", list(self.holds.iter().map(|p| p.words())))];
        for (of, all) in [
            ("each animal", &self.animal_fields),
            ("a move", &self.move_fields),
            ("a death", &self.death_fields),
            ("tags applied", &self.tag_fields),
        ] {
            if !all.is_empty() {
                said.push(phrase!("of {of}: {}", list(all.iter().map(|f| f.words()))));
            }
        }
        if !self.move_document.is_empty() {
            let all = list(self.move_document.iter().map(|f| f.words()));
            said.push(phrase!("the paper that goes with animals: {all}"));
        }
        said.extend(self.yearly_count_on.map(|day| phrase!("counted each year on {}", day.words())));
        said.extend(
            self.write_move_within_hours.map(|n| phrase!("a move is written within {}", counted(n, "hour"))),
        );
        said.extend(self.write_within_days.map(|n| phrase!("written within {}", counted(n, "day"))));
        said.extend(
            self.report_within_days.map(|n| phrase!("a move is reported within {}", counted(n, "day"))),
        );
        said.join("; ")
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RegisterRow {
    holds: Vec<RegisterPart>,
    #[serde(default)]
    animal_fields: Vec<RegisterField>,
    #[serde(default)]
    move_fields: Vec<RegisterField>,
    #[serde(default)]
    death_fields: Vec<RegisterField>,
    #[serde(default)]
    tag_fields: Vec<RegisterField>,
    #[serde(default)]
    move_document: Vec<RegisterField>,
    yearly_count_on: Option<String>,
    write_move_within_hours: Option<u32>,
    write_within_days: Option<u32>,
    report_within_days: Option<u32>,
}

impl RegisterRow {
    pub(super) fn checked(self, ground: &Ground) -> Result<RegisterRules, String> {
        if self.holds.is_empty() {
            return Err("a register that holds nothing".into());
        }
        let count =
            self.yearly_count_on.as_deref().map(MonthDay::parse).transpose().map_err(|e| e.to_string())?;
        Ok(RegisterRules {
            holds: self.holds,
            animal_fields: self.animal_fields,
            move_fields: self.move_fields,
            death_fields: self.death_fields,
            tag_fields: self.tag_fields,
            move_document: self.move_document,
            yearly_count_on: count,
            write_move_within_hours: self.write_move_within_hours,
            write_within_days: self.write_within_days,
            report_within_days: self.report_within_days,
            ground: ground.clone(),
        })
    }
}
