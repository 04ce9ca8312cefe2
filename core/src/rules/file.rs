//! The files rule sets are read from: a head, then rows.

use super::row::{Row, split, text_of};
use crate::handbook::{Ground, Marked, sound};
use crate::phrase;

/// A set as its file has it, before it is put together.
#[derive(Debug, Clone)]
pub(super) struct SetFile {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) ground: Ground,
    pub(super) rows: Vec<Row>,
}

impl SetFile {
    /// Reads a whole file.
    pub(super) fn read(text: &str, mended: bool) -> Result<Self, String> {
        let (head, rows) = split(text);
        let mut head: toml::Table = head.parse().map_err(|e: toml::de::Error| e.to_string())?;
        let mut needed = |key: &'static str| {
            text_of(&mut head, key)?.ok_or(phrase!("a rule set begins with its {key}, such as {key} = \"…\""))
        };
        let (id, name, source) = (needed("id")?, needed("name")?, needed("source")?);
        let seen = match head.remove("seen") {
            None => None,
            Some(toml::Value::Boolean(seen)) => Some(seen),
            Some(_) => return Err("'seen' is true or false".into()),
        };
        if let Some(other) = head.keys().next() {
            return Err(phrase!("unknown field `{other}` at the head of a rule set"));
        }
        if !id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-') {
            return Err(phrase!("the id '{id}' has other signs than small letters, figures and hyphens"));
        }
        let ground = Marked::new(source, seen).ground()?;
        let rows = rows.iter().map(|row| Row::read(row, mended)).collect::<Result<_, _>>()?;
        Ok(Self { id, name, ground, rows })
    }

    /// The same for one part of the place: the rows that speak of no part, and those of this one.
    fn of_part(&self, part: &str) -> Self {
        let is_of = |row: &&Row| row.part.as_deref().is_none_or(|p| p == part);
        Self {
            id: format!("{}-{}", self.id, part.to_lowercase()),
            name: format!("{}: {part}", self.name),
            ground: self.ground.clone(),
            rows: self.rows.iter().filter(is_of).cloned().collect(),
        }
    }

    /// Takes in the rows that hold everywhere, but for those the set has of its own.
    pub(super) fn with_rows_of_every_place(mut self) -> Self {
        let every: SetFile = sound("rules/any.toml", Self::read(EVERY_PLACE, false));
        for row in every.rows {
            if !self.rows.iter().any(|mine| mine.key == row.key) {
                self.rows.push(row);
            }
        }
        self
    }
}

const EVERY_PLACE: &str = include_str!("../../../resources/rules/any.toml");

/// Files that are shipped, by name.
const FILES: [(&str, &str); 7] = {
    macro_rules! files {
        ($($id:literal),+) => { [$((
            concat!("rules/", $id, ".toml"),
            include_str!(concat!("../../../resources/rules/", $id, ".toml")),
        )),+] };
    }
    files!("eu", "gb", "ni", "us", "au", "ca", "nz")
};

/// Places whose parts are sets of their own, as their laws differ.
const PARTS: [(&str, [&str; 3]); 1] = [("gb", ["England", "Wales", "Scotland"])];

/// The shipped sets, the parts of a place after it.
pub(super) fn shipped_files() -> Vec<SetFile> {
    let mut all = Vec::new();
    for (name, text) in FILES {
        let file = sound(name, SetFile::read(text, false)).with_rows_of_every_place();
        let parts = PARTS.iter().filter(|(id, _)| *id == file.id).flat_map(|(_, parts)| parts);
        let parts: Vec<SetFile> = parts.map(|part| file.of_part(part)).collect();
        all.push(file);
        all.extend(parts);
    }
    all
}
