//! What stands in each column of a kind: words, numbers, days; in which unit, written how.

use super::Kind;
use super::listed::Holds;

/// How a value is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Words; a tag as it reads.
    Text,
    /// `12.5`.
    Number,
    /// A number, or a word where a number says too little.
    NumberOrWords,
    /// `2026-04-03`.
    Day,
    /// A day, or less where less is known.
    DayOrWords,
    /// `06:40`.
    Time,
    /// `yes` or `no`.
    YesNo,
}

impl Form {
    /// In words, for a data dictionary.
    pub fn words(self) -> &'static str {
        match self {
            Self::Text => "text",
            Self::Number => "number with a decimal point",
            Self::NumberOrWords => "number with a decimal point, or words",
            Self::Day => "day as YYYY-MM-DD",
            Self::DayOrWords => "day as YYYY-MM-DD, or words",
            Self::Time => "time of the day as HH:MM",
            Self::YesNo => "yes or no",
        }
    }

    /// What a list of such values holds.
    pub fn holds(self) -> Holds {
        match self {
            Self::Number | Self::NumberOrWords => Holds::Numbers,
            Self::Day | Self::DayOrWords => Holds::Days,
            Self::Text | Self::Time | Self::YesNo => Holds::Text,
        }
    }
}

impl Kind {
    /// How the values of one of its columns are written.
    pub fn form(self, column: &str) -> Form {
        match (self, column) {
            // Where it went, not when.
            (Self::Movements, "to") => Form::Text,
            (Self::Scans, "found") | (Self::Animals, "born") | (Self::Stock | Self::Batches, "quantity") => {
                if column == "born" {
                    Form::DayOrWords
                } else {
                    Form::NumberOrWords
                }
            }
            (Self::Measures, "weighed_kg") => Form::NumberOrWords, // several, with semicolons
            (_, "on" | "from" | "to" | "expiry" | "valid_to" | "best_before") => Form::Day,
            (_, "time") => Form::Time,
            (_, "sucked" | "navel_dipped" | "vet_gave" | "prescription_only") => Form::YesNo,
            (Self::Prescriptions, "off_label") => Form::YesNo,
            (_, "meat_days" | "milk_days" | "export_days") => Form::NumberOrWords,
            (_, "most_ml" | "site_most_ml" | "per_kg" | "level") => Form::NumberOrWords,
            (_, "epg" | "amount" | "price" | "score" | "ease" | "lamb_ease") => Form::Number,
            (_, "birth_type" | "rear_type" | "course_dose" | "course_of") => Form::Number,
            (_, c) if c.ends_with("_on") => Form::Day,
            (_, c) if unit(c).is_some() => Form::Number,
            _ => Form::Text,
        }
    }

    /// The unit of a column; nothing where it has none.
    pub fn unit(self, column: &str) -> &'static str {
        match column {
            "epg" => "eggs in a gram",
            "amount" | "price" => "money of the keeper",
            c if self.form(c).holds() == Holds::Numbers => unit(c).unwrap_or_default(),
            _ => "",
        }
    }
}

/// The unit that a column's name ends with.
pub(super) fn unit(column: &str) -> Option<&'static str> {
    const UNITS: [(&str, &str); 14] = [
        ("mg_per_ml", "mg in a ml"),
        ("ml_per_kg", "ml for each kg of weight"),
        ("ml_per_head", "ml for each head"),
        ("mj_per_kg_dm", "MJ in a kg of dry matter"),
        ("mg_per_kg_dm", "mg in a kg of dry matter"),
        ("g_per_kg_dm", "g in a kg of dry matter"),
        ("percent_dm", "percent of dry matter"),
        ("_percent", "percent"),
        ("_kg", "kg"),
        ("_ml", "ml"),
        ("_g", "g"),
        ("_days", "days"),
        ("_hours", "hours"),
        ("_bytes", "bytes"),
    ];
    UNITS.iter().find(|(end, _)| column.ends_with(end)).map(|(_, unit)| *unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_are_text_and_figures_are_numbers() {
        let tags =
            ["tag", "ewe", "ram", "lamb", "dam", "sire", "electronic", "official", "registry", "number"];
        for kind in Kind::ALL {
            for c in kind.columns() {
                if tags.contains(&c.name) || c.name.ends_with("note") {
                    assert_eq!(kind.form(c.name), Form::Text, "{kind:?} {}", c.name);
                }
                if c.name.ends_with("_kg") || c.name.contains("percent") {
                    assert_eq!(kind.form(c.name).holds(), Holds::Numbers, "{kind:?} {}", c.name);
                    assert_ne!(kind.unit(c.name), "", "{kind:?} {}", c.name);
                }
            }
        }
        assert_eq!(Kind::Movements.form("to"), Form::Text);
        assert_eq!(Kind::Joinings.form("to"), Form::Day);
        assert_eq!(Kind::Products.unit("mg_per_ml"), "mg in a ml");
        assert_eq!(Kind::Animals.form("born"), Form::DayOrWords);
        assert_eq!((Kind::Animals.unit("tag"), Kind::EggCounts.unit("epg")), ("", "eggs in a gram"));
    }
}
