//! What stands in our columns: which are days, weights, numbers, animals.

use crate::exchange::Kind;

/// The form of a column's values.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    /// A day.
    Day,
    /// A day of birth: a year alone will do.
    Born,
    /// A time of day.
    Time,
    /// A weight or mass in kilograms.
    Kilograms,
    /// Any other number.
    Number,
    /// One animal, by any tag.
    Animal,
    /// One animal or several, with `|` between.
    Animals,
    /// The electronic number.
    Electronic,
    /// A tag of its own, which may be new.
    Tag,
    /// Sex, yes or no, status and the like: words of the dictionary.
    Word,
    /// Anything.
    Text,
}

pub(super) fn form(kind: Kind, column: &str) -> Form {
    match column {
        "born" => Form::Born,
        "on" | "from" | "bought_on" | "opened_on" | "treated_on" | "died_on" | "status_on" | "valid_to"
        | "expiry" | "best_before" => Form::Day,
        "to" if matches!(kind, Kind::Joinings | Kind::Creeps) => Form::Day,
        "time" => Form::Time,
        "tag" if kind == Kind::Animals => Form::Tag,
        "tag" | "ewe" | "dam" | "genetic_dam" | "parent" | "reared_by" => Form::Animal,
        "lamb" => Form::Tag,
        "ram" | "sire" => Form::Animals,
        "electronic" => Form::Electronic,
        "sex" | "status" | "fate" | "birth_type" | "rear_type" | "ease" | "lamb_ease" | "sucked"
        | "navel_dipped" | "vet_gave" | "prescription_only" | "found" | "route" => Form::Word,
        "off_label" if kind == Kind::Prescriptions => Form::Word,
        "to" if kind == Kind::Movements => Form::Word,
        "weighed_kg" => Form::Text, // several with ; between
        c if c.ends_with("_kg") => Form::Kilograms,
        "epg" | "dose_ml" | "colostrum_ml" | "price" | "amount" | "age_days" | "score" => Form::Number,
        c if c.contains("_percent") || c.contains("_per_kg") || c.contains("_ml") => Form::Number,
        _ => Form::Text,
    }
}

/// Days that may lie ahead.
pub(super) fn may_be_ahead(column: &str) -> bool {
    matches!(column, "expiry" | "valid_to" | "best_before" | "to")
}
