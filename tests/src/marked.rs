//! A language that marks what it says, and what of a text it did not say.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Mutex;

use hirsel_core::terms::speech::Language;

use crate::texts;

/// Before what is said.
pub const OPEN: char = '‹';
/// After it.
pub const SHUT: char = '›';

/// Says every text between marks, and remembers what it was asked for. In a sentence each stretch that is fixed has its
/// own marks, so that what is filled in and is not said stands out.
#[derive(Default)]
pub struct Marked {
    said: Mutex<BTreeMap<String, &'static str>>,
}

impl Marked {
    fn say(&self, plain: &str, said: impl FnOnce() -> String) -> &'static str {
        let mut all = self.said.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        all.entry(plain.to_owned()).or_insert_with(|| Box::leak(said().into_boxed_str()))
    }

    /// Every text it was asked for.
    pub fn asked(&self) -> Vec<String> {
        self.said.lock().unwrap_or_else(std::sync::PoisonError::into_inner).keys().cloned().collect()
    }
}

impl Language for Marked {
    fn text(&self, plain: &str) -> Option<&str> {
        texts::is_read(plain).then(|| self.say(plain, || between_marks(plain)))
    }
    fn counted(&self, _: usize, one: &str) -> Option<&str> {
        Some(self.say(&format!("{{}} {one}"), || format!("{{}} {OPEN}{one}{SHUT}")))
    }
}

/// Marks about each stretch of letters between the holes.
fn between_marks(plain: &str) -> String {
    let mut out = String::new();
    let stretch = |out: &mut String, text: &str| {
        if text.chars().any(char::is_alphabetic) {
            out.extend([OPEN]);
            out.push_str(text);
            out.extend([SHUT]);
        } else {
            out.push_str(text);
        }
    };
    let mut rest = plain;
    while let Some((before, after)) = rest.split_once('{') {
        let Some((hole, after)) = after.split_once('}') else { break };
        stretch(&mut out, before);
        out.push_str(&format!("{{{hole}}}"));
        rest = after;
    }
    stretch(&mut out, rest);
    out
}

/// What of a text is not between marks.
pub fn bare(text: &str) -> String {
    let mut out = String::new();
    let mut said = text.find(SHUT).is_some_and(|shut| text.find(OPEN).is_none_or(|open| shut < open));
    for c in text.chars() {
        match c {
            OPEN => said = true,
            SHUT => said = false,
            _ if said => {}
            c => out.push(c),
        }
        if c == SHUT {
            out.push(SHUT);
        }
    }
    out
}

/// Runs of letters in what is not said and not given, of two letters or more.
pub fn unsaid(text: &str, given: &Given) -> Vec<String> {
    let left = given.without(&bare(text));
    let runs = left
        .split([SHUT, '\n', '\u{1}', ',', ';', ':', '(', ')', '·', '.'])
        .map(|run| run.trim_matches(|c: char| !c.is_alphabetic()).to_owned());
    runs.filter(|run| texts::is_read(run) && !run.chars().all(|c| c.is_uppercase() || !c.is_alphabetic()))
        .collect()
}

/// Columns of a book that hold words of the program.
const CODES: [&str; 28] = [
    "sex",
    "rearing",
    "kind",
    "fate",
    "ease",
    "status",
    "rule",
    "route",
    "dose_kind",
    "ended",
    "meant_for",
    "routes",
    "class",
    "site_most_kind",
    "step",
    "outcome",
    "quantity_kind",
    "change",
    "found",
    "gut",
    "made_for",
    "parts",
    "eaters",
    "of_table",
    "place",
    "sort",
    "likened",
    "method",
];

/// What was given: the texts of a book, the longest first.
pub struct Given(Vec<String>);

impl Given {
    /// Every text of a book that is not open, and its journal's.
    ///
    /// # Panics
    /// When it cannot be read.
    pub fn of(book: &Path) -> Self {
        let all = texts_of(book).unwrap_or_else(|e| panic!("{}: {e}", book.display()));
        let mut given = Self(Vec::new());
        given.add(all);
        given
    }

    /// These, too.
    pub fn add(&mut self, texts: impl IntoIterator<Item = String>) {
        self.0.extend(texts.into_iter().map(|t| t.trim().to_owned()).filter(|t| texts::is_read(t)));
        self.0.sort_by(|a, b| b.chars().count().cmp(&a.chars().count()).then_with(|| a.cmp(b)));
        self.0.dedup();
    }

    /// A text with a sign in the place of each of them.
    fn without(&self, text: &str) -> String {
        let mut left = text.to_owned();
        for given in self.0.iter().filter(|g| g.len() <= text.len()) {
            let mut from = 0;
            while let Some(at) = left[from..].find(given.as_str()).map(|at| from + at) {
                let end = at + given.len();
                let within =
                    left[..at].ends_with(char::is_alphabetic) || left[end..].starts_with(char::is_alphabetic);
                if within {
                    from = end;
                } else {
                    left.replace_range(at..end, "\u{1}");
                    from = at + 1;
                }
            }
        }
        left
    }
}

fn texts_of(book: &Path) -> rusqlite::Result<BTreeSet<String>> {
    let book = rusqlite::Connection::open_with_flags(book, rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    let columns = "select m.name, c.name from sqlite_master m join pragma_table_info(m.name) c \
                   where m.type = 'table' and lower(c.type) = 'text' and m.name <> 'journal_change'";
    let columns: Vec<(String, String)> =
        book.prepare(columns)?.query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?.collect::<Result<_, _>>()?;
    let mut all = BTreeSet::new();
    for (table, column) in columns.iter().filter(|(_, c)| !CODES.contains(&c.as_str())) {
        let mut query =
            book.prepare(&format!("select distinct \"{column}\" from \"{table}\" where \"{column}\" <> ''"))?;
        let texts = query.query_map([], |r| r.get::<_, String>(0))?.collect::<Result<Vec<_>, _>>()?;
        all.extend(texts);
    }
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_filled_in_and_not_said_stands_out() {
        let given = Given(vec!["Bess of the Hill".into()]);
        let marked = Marked::default();
        assert_eq!(marked.text("{} joined {n:.1} kg"), Some("{}‹ joined ›{n:.1}‹ kg›"));
        assert_eq!(unsaid("Bess of the Hill‹ joined ›by hand‹ kg›", &given), ["by hand"]);
        assert_eq!(unsaid("cut› off", &given), ["off"]);
        assert_eq!(unsaid("Bess of the Hills, QG 1", &given), ["Bess of the Hills"]);
    }
}
