//! Rules of grading up, read from a table: a ladder of sections.

use super::share::Share;
use crate::handbook::{Ground, Marked, sound};
use crate::phrase;
use crate::terms::{Misread, Sex};
use serde::Deserialize;
use std::sync::LazyLock;
use toml::Spanned;

/// One section of a registry.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Its name.
    pub name: String,
    /// Nobody qualifies by blood: it is given after an inspection.
    pub by_hand: bool,
    /// Least share of the breed.
    pub least: Share,
    /// Only for this sex.
    pub sex: Option<Sex>,
    /// Place on the ladder the dam must have at least.
    pub dam: Option<usize>,
    /// Place on the ladder the sire must have at least.
    pub sire: Option<usize>,
    /// What else is asked, in words.
    pub note: Option<String>,
    /// What the rule stands on.
    pub ground: Ground,
}

impl Section {
    /// Whether an animal of this sex can stand in it; a wether as a ram.
    pub fn takes(&self, sex: Sex) -> bool {
        self.sex.is_none_or(|s| (s == Sex::Ewe) == (sex == Sex::Ewe))
    }
}

/// A ladder of sections, the lowest first.
#[derive(Debug, Clone, PartialEq)]
pub struct Ladder {
    /// The breed it leads to; none: the one most of the flock is written as.
    pub breed: Option<String>,
    /// Where pure animals of unknown parents stand.
    pub founders: Option<usize>,
    /// The sections.
    pub sections: Vec<Section>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    ladder: Head,
    section: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Head {
    #[serde(default)]
    breed: String,
    founders: Option<Spanned<String>>,
    source: Option<Spanned<String>>,
    seen: Option<bool>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    name: Spanned<String>,
    #[serde(default)]
    by_hand: bool,
    least: Option<Spanned<String>>,
    sex: Option<Spanned<String>>,
    dam: Option<Spanned<String>>,
    sire: Option<Spanned<String>>,
    note: Option<String>,
    source: Option<Spanned<String>>,
    seen: Option<bool>,
}

/// What the program is shipped with.
const SHIPPED: &str = include_str!("../../../../resources/grading.toml");

static LADDER: LazyLock<Ladder> =
    LazyLock::new(|| sound("grading.toml", Ladder::read(SHIPPED, true).map_err(|e| e.0)));

impl Ladder {
    /// As shipped: a common ladder, since rules vary by registry.
    pub fn shipped() -> &'static Self {
        &LADDER
    }

    /// The words of the shipped ladder, for a keeper to begin with.
    pub fn shipped_words() -> &'static str {
        SHIPPED
    }

    /// The keeper's own; empty text is as shipped. Sources may be left out.
    ///
    /// # Errors
    /// What is wrong, with its line.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        if text.trim().is_empty() { Ok(Self::shipped().clone()) } else { Self::read(text, false) }
    }

    /// The place of a section of this name, in any case of letters.
    pub fn place(&self, name: &str) -> Option<usize> {
        let low = name.trim().to_lowercase();
        self.sections.iter().position(|s| s.name.to_lowercase() == low)
    }

    fn read(text: &str, sourced: bool) -> Result<Self, Misread> {
        let line = |at: usize| text.get(..at).unwrap_or(text).matches('\n').count() + 1;
        let wrong = |at: usize, why: String| Misread::new(phrase!("line {}: {why}", line(at)));
        let file: File = toml::from_str(text)
            .map_err(|e| wrong(e.span().map_or(0, |s| s.start), e.message().to_string()))?;
        let ground = |source: Option<Spanned<String>>, seen, at| {
            if source.is_none() && !sourced {
                return Ok(Ground::Memory("the keeper".into()));
            }
            let at = source.as_ref().map_or(at, |s| s.span().start);
            let source = source.map(Spanned::into_inner).unwrap_or_default();
            Marked::new(source, seen).ground().map_err(|e| wrong(at, e))
        };
        ground(file.ladder.source, file.ladder.seen, 0)?;
        let names: Vec<String> =
            file.section.iter().map(|r| r.name.get_ref().trim().to_lowercase()).collect();
        let place = |of: &Option<Spanned<String>>| -> Result<Option<usize>, Misread> {
            let Some(of) = of.as_ref().filter(|o| !o.get_ref().trim().is_empty()) else { return Ok(None) };
            let low = of.get_ref().trim().to_lowercase();
            names.iter().position(|n| *n == low).map(Some).ok_or_else(|| {
                let why =
                    phrase!("no section is called '{}': mend the name, or add the section", of.get_ref());
                wrong(of.span().start, why)
            })
        };
        let founders = place(&file.ladder.founders)?;
        let mut sections = Vec::new();
        for (at, row) in file.section.into_iter().enumerate() {
            let span = row.name.span().start;
            if names[at].is_empty() || names[..at].contains(&names[at]) {
                let why = if names[at].is_empty() {
                    "a section needs a name"
                } else {
                    "two sections have this name"
                };
                return Err(wrong(span, why.into()));
            }
            let least = match &row.least {
                None => Share::NONE,
                Some(t) => Share::parse(t.get_ref()).ok_or_else(|| {
                    wrong(t.span().start, phrase!("'{}' is no share: write it like 7/8", t.get_ref()))
                })?,
            };
            let sex = match &row.sex {
                None => None,
                Some(t) => match t.get_ref().trim().to_lowercase().as_str() {
                    "" => None,
                    "ewe" => Some(Sex::Ewe),
                    "ram" => Some(Sex::Ram),
                    _ => {
                        let why = phrase!("'{}' is neither ewe nor ram: leave it out for any", t.get_ref());
                        return Err(wrong(t.span().start, why));
                    }
                },
            };
            sections.push(Section {
                by_hand: row.by_hand,
                least,
                sex,
                dam: place(&row.dam)?,
                sire: place(&row.sire)?,
                note: row.note.filter(|n| !n.trim().is_empty()),
                ground: ground(row.source, row.seen, span)?,
                name: row.name.into_inner().trim().to_string(),
            });
        }
        if sections.is_empty() {
            return Err(wrong(text.len(), "a ladder needs at least one [[section]]".into()));
        }
        let breed = Some(file.ladder.breed.trim().to_string()).filter(|b| !b.is_empty());
        Ok(Self { breed, founders, sections })
    }
}
