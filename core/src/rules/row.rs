//! The rows of a rule file: each a small table of its own, with its key, so that one may be mended.

use super::banned::BannedRow;
use super::counting::{Export, Organic, OrganicRow};
use super::cupboard::CupboardRow;
use super::fields::FieldsRow;
use super::floor::FloorRow;
use super::mark::{MarkRow, MarkRule};
use super::procedure::{Part, ProcedureRow};
use super::register::{RegisterRow, RegisterRules};
use super::retention::{Kept, Retention, RetentionRow};
use super::tagging::{Tagging, TaggingRow};
use crate::handbook::{Ground, Marked};
use crate::phrase;
use serde::de::DeserializeOwned;

/// What a row of a rule set is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Topic {
    /// What is to be written of a treatment.
    Records,
    /// What is to be written of medicines bought and disposed of.
    Cupboard,
    /// How long the books are kept.
    YearsKept,
    /// The least withdrawal of an off-label use.
    OffLabel,
    /// Substances never to be used off-label.
    Banned,
    /// How days are counted, and which periods there are.
    Counting,
    /// The shapes of official marks.
    Marks,
    /// Until when a lamb is tagged.
    Tagging,
    /// Castration and docking.
    Procedures,
    /// The flock register.
    Registers,
}

impl Topic {
    /// All of them, in the order shown.
    pub const ALL: [Self; 10] = [
        Self::Records,
        Self::Cupboard,
        Self::YearsKept,
        Self::OffLabel,
        Self::Banned,
        Self::Counting,
        Self::Marks,
        Self::Tagging,
        Self::Procedures,
        Self::Registers,
    ];

    /// As people read it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Records => "Records",
            Self::Cupboard => "Cupboard",
            Self::YearsKept => "Years kept",
            Self::OffLabel => "Off-label",
            Self::Banned => "Banned",
            Self::Counting => "Counting",
            Self::Marks => "Marks",
            Self::Tagging => "Tagging",
            Self::Procedures => "Castration and docking",
            Self::Registers => "Registers",
        }
    }
}

/// What a row demands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Rule {
    Fields(FieldsRow),
    Cupboard(CupboardRow),
    Retention(Kept, Retention),
    Floor(FloorRow),
    Banned(BannedRow),
    Organic(Organic),
    Export(Export),
    Mark(MarkRule),
    Tagging(Tagging),
    Procedure(Part),
    Register(RegisterRules),
}

/// One row, with its own text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Row {
    pub(super) key: String,
    pub(super) part: Option<String>,
    pub(super) rule: Rule,
    pub(super) note: Option<String>,
    pub(super) ground: Ground,
    pub(super) toml: String,
    pub(super) mended: bool,
}

impl Row {
    /// Reads one row: `[[kind]]`, its key, its source and mark, and what it demands.
    pub(super) fn read(text: &str, mended: bool) -> Result<Self, String> {
        let mut file: toml::Table = text.parse().map_err(|e: toml::de::Error| e.to_string())?;
        let kinds: Vec<String> = file.keys().cloned().collect();
        let [kind] = kinds.as_slice() else {
            return Err(
                "a row is one table: [[kind]], then its key, what it demands, its source and seen".into()
            );
        };
        let mut row = match file.remove(kind) {
            Some(toml::Value::Table(row)) => row,
            Some(toml::Value::Array(mut all)) if all.len() == 1 => match all.pop() {
                Some(toml::Value::Table(row)) => row,
                _ => return Err(phrase!("'{kind}' is no row: write [[{kind}]]")),
            },
            _ => return Err(phrase!("'{kind}' is no row: write [[{kind}]] once")),
        };
        let key = text_of(&mut row, "key")?
            .filter(|k| k.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_'))
            .ok_or_else(|| {
                phrase!("a row [[{kind}]] needs its key, in small letters, figures and '_', such as key = \"tail\"")
            })?;
        let named = |e: String| phrase!("row '{key}': {e}");
        let part = text_of(&mut row, "part").map_err(named)?;
        let note = text_of(&mut row, "note").map_err(named)?;
        let source = text_of(&mut row, "source").map_err(named)?.unwrap_or_default();
        let seen = match row.remove("seen") {
            None => None,
            Some(toml::Value::Boolean(seen)) => Some(seen),
            Some(_) => return Err(named("'seen' is true or false".into())),
        };
        let mut ground = Marked::new(source, seen).ground().map_err(named)?;
        if mended {
            ground = by_the_keeper(ground);
        }
        let rule = rule(kind, &key, part.as_ref(), row, &ground).map_err(named)?;
        Ok(Self { key, part, rule, note, ground, toml: text.trim().to_owned() + "\n", mended })
    }

    pub(super) fn topic(&self) -> Topic {
        match &self.rule {
            Rule::Fields(_) => Topic::Records,
            Rule::Cupboard(_) => Topic::Cupboard,
            Rule::Retention(..) => Topic::YearsKept,
            Rule::Floor(_) => Topic::OffLabel,
            Rule::Banned(_) => Topic::Banned,
            Rule::Organic(_) | Rule::Export(_) => Topic::Counting,
            Rule::Mark(_) => Topic::Marks,
            Rule::Tagging(_) => Topic::Tagging,
            Rule::Procedure(_) => Topic::Procedures,
            Rule::Register(_) => Topic::Registers,
        }
    }

    /// What it demands, in a plain sentence, with its part of the place and its note.
    pub(super) fn words(&self) -> String {
        let said = match &self.rule {
            Rule::Fields(row) => row.words(),
            Rule::Cupboard(row) => row.words(),
            Rule::Retention(record, kept) => phrase!("{} is {}", record.words(), kept.length()),
            Rule::Floor(row) => row.words(),
            Rule::Banned(row) => row.words(),
            Rule::Organic(organic) => organic.words(),
            Rule::Export(export) => export.words(),
            Rule::Mark(mark) => mark.words(),
            Rule::Tagging(tagging) => tagging.words.clone(),
            Rule::Procedure(part) => part.words(),
            Rule::Register(register) => register.words(),
        };
        let mut said = match &self.part {
            Some(part) => format!("{part}: {said}."),
            None => capital(&said) + ".",
        };
        if let Some(note) = &self.note {
            said.push(' ');
            said.push_str(note);
        }
        said
    }
}

fn rule(
    kind: &str,
    key: &str,
    part: Option<&String>,
    row: toml::Table,
    ground: &Ground,
) -> Result<Rule, String> {
    fn read<T: DeserializeOwned>(row: toml::Table) -> Result<T, String> {
        row.try_into().map_err(|e: toml::de::Error| e.to_string().trim().to_owned())
    }
    Ok(match kind {
        "treatment_fields" => Rule::Fields(read::<FieldsRow>(row)?.checked()?),
        "cupboard" => Rule::Cupboard(read::<CupboardRow>(row)?.checked()?),
        "retention" => {
            let row: RetentionRow = read(row)?;
            Rule::Retention(row.record, row.checked(ground)?)
        }
        "off_label" => Rule::Floor(read::<FloorRow>(row)?.checked()?),
        "banned" => Rule::Banned(read::<BannedRow>(row)?.checked()?),
        "organic" => Rule::Organic(read::<OrganicRow>(row)?.checked(ground)?),
        "export" => Rule::Export(read::<Export>(row)?.checked()?),
        "mark" => Rule::Mark(read::<MarkRow>(row)?.checked(key, ground)?),
        "tagging" => Rule::Tagging(read::<TaggingRow>(row)?.checked(ground)?),
        "procedure" => Rule::Procedure(read::<ProcedureRow>(row)?.checked(part, ground)?),
        "register" => Rule::Register(read::<RegisterRow>(row)?.checked(ground)?),
        _ => {
            return Err(phrase!(
                "[[{kind}]] is unknown: there are treatment_fields, cupboard, retention, off_label, banned, organic, \
                 export, mark, tagging, procedure and register",
                kind = &kind
            ));
        }
    })
}

/// A text of a table, taken out of it; none where it is not there.
pub(super) fn text_of(table: &mut toml::Table, key: &str) -> Result<Option<String>, String> {
    match table.remove(key) {
        None => Ok(None),
        Some(toml::Value::String(text)) if !text.trim().is_empty() => Ok(Some(text)),
        Some(_) => Err(phrase!("'{key}' is a text between quotes, not an empty one")),
    }
}

fn by_the_keeper(ground: Ground) -> Ground {
    let said = |source: &str| phrase!("changed by the keeper: {source}", source = &source);
    match &ground {
        Ground::Seen(source) => Ground::Seen(said(source)),
        Ground::Memory(source) => Ground::Memory(said(source)),
        Ground::Practice => Ground::Seen(said(&ground.to_string())),
    }
}

/// The text with a capital letter first.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// 'a, b and c'.
pub(super) fn list<'a>(all: impl IntoIterator<Item = &'a str>) -> String {
    let all: Vec<&str> = all.into_iter().collect();
    match all.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => phrase!("{} and {last}", first.join(", ")),
    }
}

/// '1 day', '2 days'.
pub(super) fn counted(n: u32, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// The texts of the head and of each row of a file: a row begins at a line that begins with `[`, or after blanks `[[`.
pub(super) fn split(text: &str) -> (String, Vec<String>) {
    let (mut head, mut rows) = (String::new(), Vec::<String>::new());
    for line in text.lines() {
        if line.starts_with('[') || line.trim_start().starts_with("[[") {
            rows.push(String::new());
        }
        let into = rows.last_mut().unwrap_or(&mut head);
        into.push_str(line);
        into.push('\n');
    }
    (head, rows)
}
