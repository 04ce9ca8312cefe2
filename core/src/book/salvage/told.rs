//! What was saved and what was lost, in words.

use super::rebuild::animal_of;
use crate::flock::Flock;
use crate::terms::{AnimalId, counted};
use rusqlite::Connection;
use serde_json::{Map, Value};
use std::collections::{BTreeMap, BTreeSet};

/// Rows of one table that are lost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loss {
    /// The table, as the file names it.
    pub table: String,
    /// How many rows are known to be lost.
    pub rows: usize,
    /// More may be lost: nothing that could be read tells how many rows there were.
    pub maybe_more: bool,
    /// Tags of the animals they were of, as far as that is known.
    pub of: Vec<String>,
}

impl Loss {
    /// One plain sentence.
    pub fn words(&self) -> String {
        let what = match self.table.as_str() {
            "journal_change" => "change in the journal".to_string(),
            "journal_file" => "file of a kept paper".into(),
            "animal" => "animal’s own particulars".into(),
            other => format!("record of '{}'", other.replace('_', " ")),
        };
        let mut text = match (self.rows, what.strip_suffix("particulars")) {
            (0, _) => format!("Of '{}' rows may be lost", self.table.replace('_', " ")),
            (1, _) => format!("Lost: 1 {what}"),
            (n, Some(_)) => format!("Lost: the own particulars of {n} animals"),
            (n, None) => {
                let (first, rest) = what.split_once(' ').unwrap_or((&what, ""));
                format!("Lost: {n} {first}s {rest}")
            }
        };
        if !self.of.is_empty() {
            text.push_str(&format!(", of {}", self.of.join(", ")));
        }
        if self.maybe_more {
            text.push_str("; how many there were besides cannot be told");
        }
        text
    }
}

/// What was saved from a damaged book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Salvaged {
    /// Animals in the new book.
    pub animals: usize,
    /// Lines of its journal, without the one that says what was saved.
    pub lines: usize,
    /// Rows that their table had lost, made anew from the journal.
    pub rebuilt: usize,
    /// Lines of the journal that are lost.
    pub lines_lost: usize,
    /// What is lost, table by table.
    pub losses: Vec<Loss>,
    /// What is to be looked at: rows that may be older than they were, or that table and journal tell differently.
    pub doubts: Vec<String>,
}

impl Salvaged {
    /// Everything is there.
    pub fn is_whole(&self) -> bool {
        self.losses.is_empty() && self.lines_lost == 0 && self.doubts.is_empty()
    }

    /// In plain sentences, the sum first.
    pub fn words(&self) -> Vec<String> {
        let mut all = vec![format!(
            "Saved {} and {} of the journal",
            counted(self.animals, "animal"),
            counted(self.lines, "line")
        )];
        if self.rebuilt > 0 {
            all.push(format!("{} made anew from the journal", counted(self.rebuilt, "record")));
        }
        all.extend(self.losses.iter().map(Loss::words));
        if self.lines_lost > 0 {
            all.push(format!(
                "Lost: {} of the journal; an empty one stands in the place of each",
                counted(self.lines_lost, "line")
            ));
        }
        all.extend(self.doubts.iter().cloned());
        if self.is_whole() {
            all.push("Nothing is lost".into());
        }
        all
    }
}

/// Table, key, columns as the journal tells them, as the table tells them.
type Differ = (String, String, Map<String, Value>, Map<String, Value>);

/// What is gathered while rows are saved.
#[derive(Default)]
pub(super) struct Findings {
    pub log_lost: bool,
    pub rebuilt: usize,
    pub lines_lost: usize,
    /// Made anew from a journal that lost a line about them.
    pub older: Vec<(String, String)>,
    /// What the journal tells (old) and what the table tells (new).
    pub differ: Vec<Differ>,
    pub stand_ins: BTreeSet<String>,
    pub emptied: Vec<(String, String, String)>,
    /// Tables of which it is not known how many rows they had.
    pub uncounted: Vec<String>,
}

impl Findings {
    /// Nothing had to be made anew, and nothing is lost.
    pub(super) fn is_nothing(&self) -> bool {
        !self.log_lost && self.rebuilt == 0 && self.lines_lost == 0 && self.uncounted.is_empty()
    }

    pub(super) fn tell(self, db: &Connection, flock: &Flock) -> rusqlite::Result<Salvaged> {
        let tag = |hex: &str| {
            let id = u128::from_str_radix(hex, 16).ok().map(|n| AnimalId::from_bytes(n.to_be_bytes()));
            id.and_then(|id| flock.animal(id)).map(|a| a.tag().to_string())
        };
        let of = |table: &str, key: &str| -> rusqlite::Result<Option<String>> {
            Ok(animal_of(db, table, key)?.and_then(|id| tag(&id)))
        };
        let mut lost: BTreeMap<String, (usize, BTreeSet<String>)> = BTreeMap::new();
        let known: Vec<(String, String, Option<String>)> = db
            .prepare("select tbl, key, of from temp.known order by tbl, key")?
            .query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?
            .collect::<rusqlite::Result<_>>()?;
        for (table, key, animal) in known {
            if table == "animal" && self.stand_ins.contains(&key) {
                continue;
            }
            let whose = match animal.as_deref().and_then(tag) {
                Some(tag) => Some(tag),
                None => of(&table, &key)?,
            };
            let entry = lost.entry(table).or_default();
            entry.0 += 1;
            entry.1.extend(whose);
        }
        for id in &self.stand_ins {
            let entry = lost.entry("animal".into()).or_default();
            entry.0 += 1;
            entry.1.extend(tag(id));
        }
        for table in &self.uncounted {
            lost.entry(table.clone()).or_default();
        }
        let more = |table: &str| self.uncounted.iter().any(|t| t == table);
        let losses = lost
            .into_iter()
            .filter(|(table, (rows, _))| table != "journal_entry" || *rows > 0 || more(table))
            .map(|(table, (rows, of))| Loss {
                maybe_more: more(&table),
                rows,
                of: of.into_iter().collect(),
                table,
            })
            .collect();
        let mut doubts = Vec::new();
        if self.log_lost {
            doubts.push(
                "The log beside the book could not be read: what was written last may be missing".into(),
            );
        }
        for (table, key) in &self.older {
            doubts.push(format!(
                "The {}{} was made anew from a journal with a gap: it may be older than it was",
                table.replace('_', " "),
                of(table, key)?.map(|t| format!(" of {t}")).unwrap_or_default()
            ));
        }
        for (table, key, told, stands) in &self.differ {
            for (column, was) in told {
                doubts.push(format!(
                    "The {}{} says {} for '{column}', the journal {}: the first stands, look at it",
                    table.replace('_', " "),
                    of(table, key)?.map(|t| format!(" of {t}")).unwrap_or_default(),
                    plain(stands.get(column)),
                    plain(Some(was)),
                ));
            }
        }
        for id in &self.stand_ins {
            let name = tag(id).unwrap_or_else(|| "an animal without a tag".into());
            doubts
                .push(format!("{name}: sex, birth and parents are to be written anew; its records are kept"));
        }
        for (table, column, key) in &self.emptied {
            doubts.push(format!(
                "The {}{} named a {column} that is lost: it is empty now",
                table.replace('_', " "),
                of(table, key)?.map(|t| format!(" of {t}")).unwrap_or_default()
            ));
        }
        let lines: u32 = db.query_row(
            "select count(*) from journal_entry where kind not in ('lost', ?1)",
            [super::KIND],
            |r| r.get(0),
        )?;
        Ok(Salvaged {
            animals: flock.len(),
            lines: lines as usize,
            rebuilt: self.rebuilt,
            lines_lost: self.lines_lost,
            losses,
            doubts,
        })
    }
}

fn plain(value: Option<&Value>) -> String {
    match value {
        None | Some(Value::Null) => "nothing".into(),
        Some(Value::String(s)) => format!("'{s}'"),
        Some(other) => other.to_string(),
    }
}
