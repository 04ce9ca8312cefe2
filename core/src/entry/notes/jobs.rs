//! Jobs of the care plan in words: how a note ticks them, and how a sentence says them.

use super::words::{GRAMMAR, Sense, senses};
use crate::plan::{DoneBy, Plan};
use std::collections::BTreeMap;

/// The plan's short words and those of the grammar; words that two steps share name neither.
pub(super) fn words(plan: &Plan) -> BTreeMap<String, String> {
    let mut all: BTreeMap<String, String> = BTreeMap::new();
    let mut twice: Vec<String> = Vec::new();
    // What a treatment completes is told as one: with batch and clear day.
    let ticked = |s: &&std::sync::Arc<crate::plan::Step>| !matches!(s.done_by, DoneBy::Treatment(_));
    let shorts = plan.all().filter(ticked).map(|s| (s.short.to_lowercase().replace(',', ""), s.key.clone()));
    let own = GRAMMAR.tick.iter().flat_map(|t| t.words.iter().map(|w| (w.clone(), t.step.clone())));
    for (words, key) in shorts {
        match all.get(&words) {
            Some(other) if *other != key => twice.push(words),
            _ => {
                all.insert(words, key);
            }
        }
    }
    twice.iter().for_each(|w| {
        all.remove(w);
    });
    all.extend(own);
    // A step's key is how a sentence says it.
    all.extend(plan.all().filter(ticked).map(|s| (s.key.clone(), s.key.clone())));
    all
}

/// How a job is said: in the plan's short words where they are read as that job alone, else by its key.
pub(super) fn said(plan: &Plan, key: &str) -> String {
    let short = plan.all().find(|s| s.key == key).map(|s| s.short.to_lowercase().replace(',', ""));
    let known = |said: &String| {
        let plain =
            said.split(' ').all(|w| !w.is_empty() && w.chars().all(|c| c.is_alphanumeric() || c == '-'));
        // Words of a lamb's first hour begin no other sentence of an animal.
        let of_lambs = |s: Sense| {
            use Sense::{Alive, Dipped, Ease, NotDipped, NotSucked, Scanned, Sucked, Tag, Tube};
            // 'Scanned' is a scan only where it says what was found.
            matches!(s, Alive | Dipped | Ease(_) | NotDipped | NotSucked | Scanned | Sucked | Tag | Tube)
        };
        let tokens = super::lex::cut(said);
        plain && senses(&tokens).all(|(s, _)| of_lambs(s)) && words(plan).get(said).is_some_and(|k| k == key)
    };
    short.filter(known).unwrap_or_else(|| key.to_string())
}
