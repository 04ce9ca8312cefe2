//! What the keeper changed of the rule sets: one row mended for this flock, or a whole set of their own.

use super::file::{SetFile, shipped_files};
use super::row::Row;
use super::{RuleSet, counting, rule_set, rule_sets};
use crate::phrase;
use crate::terms::RuleChangeId;

/// A change of one row of a rule set, or a rule set of the keeper's own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleChange {
    /// Its id.
    pub id: RuleChangeId,
    /// Id of the rule set.
    pub set: String,
    /// Key of the row it stands for; empty for a whole set of the keeper's own.
    pub row: String,
    /// The row or the set, in the words of the rule files. Empty takes earlier changes of the row or the set back.
    pub toml: String,
}

/// A rule set with the keeper's changes: the shipped one, or one of the keeper's own, with rows put in place of those
/// of the same key or after them. Of several changes of one row the last counts.
///
/// # Errors
/// There is no such set, or a change cannot be read or does not fit the others; says which and why.
pub fn effective(id: &str, changes: &[RuleChange]) -> Result<RuleSet, String> {
    let mine: Vec<&RuleChange> = changes.iter().filter(|c| c.set == id).collect();
    let mut last: Vec<&RuleChange> = Vec::new();
    for change in &mine {
        match last.iter_mut().find(|c| c.row == change.row) {
            Some(place) => *place = change,
            None => last.push(change),
        }
    }
    last.retain(|c| !c.toml.trim().is_empty());
    if last.is_empty()
        && let Some(set) = rule_set(id)
    {
        return Ok(set.clone());
    }
    let whole = last.iter().find(|c| c.row.is_empty());
    let mut file = match whole {
        Some(own) => own_set(id, &own.toml)?,
        None => shipped_files()
            .into_iter()
            .find(|file| file.id == id)
            .ok_or_else(|| phrase!("there is no rule set '{id}': choose one of the list"))?,
    };
    for change in last.iter().filter(|c| !c.row.is_empty()) {
        put(&mut file, &change.row, &change.toml)?;
    }
    RuleSet::of(file).map_err(|e| phrase!("rule set '{id}': {e}"))
}

/// Checks a mended row, or with an empty key a whole set of the keeper's own, before it is kept. An empty text takes
/// a change back and is always right.
///
/// # Errors
/// Says what is wrong with it and how it is written.
pub fn row_faults(set_id: &str, key: &str, toml: &str) -> Result<(), String> {
    row_faults_among(set_id, key, toml, &[])
}

/// The same beside the changes the flock has, which a set of the keeper's own needs.
///
/// # Errors
/// Says what is wrong with it and how it is written.
pub fn row_faults_among(set_id: &str, key: &str, toml: &str, changes: &[RuleChange]) -> Result<(), String> {
    if toml.trim().is_empty() {
        return Ok(());
    }
    if key.is_empty() && rule_set(set_id).is_some() {
        return Err(phrase!(
            "'{set_id}' is the id of a rule set of this program: give yours another, such as my-{set_id}",
            set_id = &set_id
        ));
    }
    let mut all = changes.to_vec();
    all.push(RuleChange {
        id: RuleChangeId::new(),
        set: set_id.to_owned(),
        row: key.to_owned(),
        toml: toml.to_owned(),
    });
    effective(set_id, &all).map(|_| ())
}

/// Id and name of every set there is to choose: the shipped ones, and then the keeper's own that can be read.
pub fn known(changes: &[RuleChange]) -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> =
        rule_sets().iter().map(|set| (set.id.clone(), set.name.clone())).collect();
    for change in changes.iter().filter(|c| c.row.is_empty()) {
        if all.iter().any(|(id, _)| *id == change.set) {
            continue;
        }
        if let Ok(set) = effective(&change.set, changes) {
            all.push((set.id, set.name));
        }
    }
    all
}

/// A whole set as the keeper wrote it.
fn own_set(id: &str, toml: &str) -> Result<SetFile, String> {
    let file = SetFile::read(toml, true)?.with_rows_of_every_place();
    if file.id != id {
        return Err(phrase!(
            "the set calls itself '{}' and is kept as '{id}': write id = \"{id}\"",
            file.id,
            id = &id
        ));
    }
    Ok(file)
}

/// Puts a mended row in its place.
fn put(file: &mut SetFile, key: &str, toml: &str) -> Result<(), String> {
    if key == counting::DAY_COUNT_KEY {
        return Err(
            "how days are counted is the same everywhere in this program and cannot be changed".into()
        );
    }
    let row = Row::read(toml, true)?;
    if row.key != key {
        return Err(phrase!(
            "the row calls itself '{}' and stands for '{key}': write key = \"{key}\"",
            row.key,
            key = &key
        ));
    }
    match file.rows.iter_mut().find(|mine| mine.key == key) {
        Some(mine) => {
            if std::mem::discriminant(&mine.rule) != std::mem::discriminant(&row.rule) {
                return Err(phrase!(
                    "the row '{key}' is about {}: a row about {} needs a key of its own",
                    mine.topic().words().to_lowercase(),
                    row.topic().words().to_lowercase()
                ));
            }
            *mine = row;
        }
        None => file.rows.push(row),
    }
    Ok(())
}
