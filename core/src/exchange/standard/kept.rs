//! What the standard has no field for, kept in the last line of a remark: `hirsel: export=35; vet_gave=yes`. A person
//! can read it, and it comes in again. A `\` before `;`, `\` and a line end (`\n`) keeps any text whole.

use std::collections::BTreeMap;

/// The first word of that line.
const HEAD: &str = "hirsel:";

/// Facts for the last line of a remark, by key.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub(super) struct Kept(BTreeMap<String, String>);

impl Kept {
    /// Keeps a fact, if there is one.
    pub(super) fn put(&mut self, key: &str, value: Option<impl Into<String>>) {
        if let Some(value) = value {
            self.0.insert(key.into(), value.into());
        }
    }

    /// A fact.
    pub(super) fn get(&self, key: &str) -> Option<&str> {
        self.0.get(key).map(String::as_str)
    }

    /// Adds what another line tells.
    pub(super) fn extend(&mut self, other: Self) {
        self.0.extend(other.0);
    }

    /// The remark: the keeper's own words, then this line; nothing when there is neither.
    pub(super) fn remark(&self, words: Option<&str>) -> Option<String> {
        let last = |w: &str| w.rsplit('\n').next().is_some_and(|l| l.starts_with(HEAD));
        if self.0.is_empty() && !words.is_some_and(last) {
            return words.map(str::to_string);
        }
        let facts: Vec<String> = self.0.iter().map(|(k, v)| format!("{k}={}", escaped(v))).collect();
        let line = format!("{HEAD} {}", facts.join("; "));
        Some(match words {
            Some(words) => format!("{words}\n{line}"),
            None => line,
        })
    }

    /// The words and the facts of a remark.
    pub(super) fn read(remark: Option<&str>) -> (Option<String>, Self) {
        let Some(remark) = remark else { return (None, Self::default()) };
        let (words, line) = match remark.rsplit_once('\n') {
            Some((words, line)) => (Some(words), line),
            None => (None, remark),
        };
        let Some(facts) = line.strip_prefix(HEAD) else { return (Some(remark.to_string()), Self::default()) };
        let mut kept = Self::default();
        for fact in parted(facts) {
            if let Some((key, value)) = fact.split_once('=') {
                kept.0.insert(key.trim().to_string(), value.to_string());
            }
        }
        (words.map(str::to_string), kept)
    }
}

fn escaped(value: &str) -> String {
    value.replace('\\', "\\\\").replace(';', "\\;").replace('\n', "\\n").replace('\r', "\\r")
}

/// Parts between `;`, each without its first blank, with the signs as they were.
fn parted(text: &str) -> Vec<String> {
    let mut all = vec![String::new()];
    let mut chars = text.chars();
    while let Some(c) = chars.next() {
        let sign = match c {
            ';' => {
                all.push(String::new());
                continue;
            }
            '\\' => match chars.next() {
                Some('n') => '\n',
                Some('r') => '\r',
                Some(other) => other,
                None => '\\',
            },
            c => c,
        };
        if let Some(last) = all.last_mut() {
            last.push(sign);
        }
    }
    all.into_iter().map(|p| p.strip_prefix(' ').map_or(p.clone(), str::to_string)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_words_and_facts_come_back(
            words in proptest::option::of("(\\PC|\n|hirsel: a=b;){0,12}"),
            facts in proptest::collection::btree_map("[a-z_]{1,8}", "(\\PC|\n|;|\\\\|=){0,12}", 0..4),
        ) {
            let kept = Kept(facts);
            let read = Kept::read(kept.remark(words.as_deref()).as_deref());
            prop_assert_eq!(read, (words, kept));
        }

        #[test]
        fn any_remark_is_read(text in ".{0,60}") {
            let _ = Kept::read(Some(&text));
        }
    }
}
