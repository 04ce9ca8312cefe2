//! Substances that may never be used off-label in animals people eat.

use super::row::list;
use crate::handbook::Ground;
use crate::phrase;
use serde::Deserialize;

/// A substance that may not be used off-label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ban {
    /// The substance, with its class where the list bans the class: 'enrofloxacin (fluoroquinolones)'.
    pub substance: String,
    /// What the ban stands on.
    pub ground: Ground,
}

#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct BannedRow {
    class: Option<String>,
    substances: Vec<String>,
}

impl BannedRow {
    pub(super) fn checked(self) -> Result<Self, String> {
        let names = || self.substances.iter().chain(&self.class);
        if names().next().is_none() || names().any(|name| words(name).is_empty()) {
            return Err("a list of banned substances that names none".into());
        }
        Ok(self)
    }

    pub(super) fn words(&self) -> String {
        let names = list(self.substances.iter().map(String::as_str));
        match &self.class {
            Some(class) if names.is_empty() => phrase!("no off-label use of any of the {class}"),
            Some(class) => phrase!("no off-label use of any of the {class}, such as {names}"),
            None => phrase!("no off-label use of {names}"),
        }
    }

    /// The name of this list that stands in these words.
    pub(super) fn found(&self, text: &str) -> Option<String> {
        let text = words(text);
        let is_there = |name: &String| {
            let name = words(name);
            text.windows(name.len()).any(|there| there == name.as_slice())
        };
        let name = self.substances.iter().find(|name| is_there(name));
        match (name, &self.class) {
            (Some(name), Some(class)) => Some(format!("{name} ({class})")),
            (Some(name), None) => Some(name.clone()),
            (None, class) => class.clone().filter(is_there),
        }
    }
}

/// The words of a text in small letters; a class reads the same of one or many of it.
fn words(text: &str) -> Vec<String> {
    let low = text.to_lowercase();
    let words = low.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    words.map(|w| w.strip_suffix('s').filter(|w| w.len() > 3).unwrap_or(w).to_owned()).collect()
}
