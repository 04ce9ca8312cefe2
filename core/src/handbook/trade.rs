//! Words of the trade by region: one set is chosen for a book, and the program's own text is said in it.
//!
//! Only text that is part of the program can be said otherwise ([`Trade::said`] takes nothing else); what a keeper wrote
//! goes into a sentence through [`phrase!`](crate::phrase) and stays as it is.

use super::{Marked, shipped, sound};
use rapidhash::RapidHashMap;
use serde::Deserialize;
use std::borrow::Cow;
use std::sync::LazyLock;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    set: Vec<SetRow>,
    also: Vec<AlsoRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SetRow {
    id: String,
    name: String,
    remark: String,
    source: String,
    seen: Option<bool>,
    #[serde(default)]
    noun: Vec<Forms<2>>,
    #[serde(default)]
    verb: Vec<Forms<4>>,
    #[serde(default)]
    phrase: Vec<PhraseRow>,
}

/// The one and the many of a noun, or the forms of a verb: `join, joins, joined, joining`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Forms<const N: usize> {
    #[serde(with = "forms")]
    plain: [String; N],
    #[serde(with = "forms")]
    said: [String; N],
}

/// Exactly so many forms: a row that lacks one is refused.
mod forms {
    use serde::{Deserialize as _, Deserializer, de::Error as _};

    pub(super) fn deserialize<'de, D: Deserializer<'de>, const N: usize>(
        d: D,
    ) -> Result<[String; N], D::Error> {
        let all = Vec::<String>::deserialize(d)?;
        all.try_into().map_err(|all: Vec<String>| D::Error::custom(format!("{all:?}: {N} forms are needed")))
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PhraseRow {
    plain: String,
    said: String,
}

/// Words that mean what the program calls otherwise.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AlsoRow {
    plain: String,
    words: Vec<String>,
}

/// The words of one region.
#[derive(Debug)]
struct Set {
    id: String,
    name: String,
    remark: String,
    /// By the first word: all words of the plain text, and what is said for them; the longest first.
    by_first: RapidHashMap<String, Vec<(Vec<String>, String)>>,
}

impl Set {
    fn read(row: SetRow) -> Result<Self, String> {
        Marked::new(row.source, row.seen).ground().map_err(|e| format!("{}: {e}", row.id))?;
        let nouns = row.noun.into_iter().flat_map(|n| n.plain.into_iter().zip(n.said));
        let verbs = row.verb.into_iter().flat_map(|v| v.plain.into_iter().zip(v.said));
        let phrases = row.phrase.into_iter().map(|p| (p.plain, p.said));
        let mut by_first: RapidHashMap<String, Vec<(Vec<String>, String)>> = RapidHashMap::default();
        for (plain, said) in nouns.chain(verbs).chain(phrases) {
            let words: Vec<String> = plain.split(' ').map(str::to_owned).collect();
            let fits = |w: &String| !w.is_empty() && w.bytes().all(|b| b.is_ascii_lowercase());
            if !words.iter().all(fits) || said.trim().is_empty() {
                return Err(format!("{}: '{plain}' and '{said}': small letters, single blanks", row.id));
            }
            if is_vowel(&plain) != is_vowel(&said) {
                return Err(format!("{}: '{plain}' and '{said}' take other articles", row.id));
            }
            let list = by_first.entry(words[0].clone()).or_default();
            match list.iter().find(|(w, _)| *w == words) {
                // A noun and a verb may have a form in common, said in the same way.
                Some((_, known)) if *known == said => {}
                Some((_, known)) => return Err(format!("{}: '{plain}' is '{known}' and '{said}'", row.id)),
                None => list.push((words, said)),
            }
        }
        by_first.values_mut().for_each(|list| list.sort_by_key(|(words, _)| std::cmp::Reverse(words.len())));
        Ok(Self { id: row.id, name: row.name, remark: row.remark, by_first })
    }
}

/// Whether it is spoken with a vowel first: an open one, a ewe.
fn is_vowel(word: &str) -> bool {
    word.starts_with(['a', 'e', 'i', 'o']) && !word.starts_with("ewe")
}

struct Words {
    sets: Vec<Set>,
    also: Vec<AlsoRow>,
}

static WORDS: LazyLock<Words> = LazyLock::new(|| {
    sound("words.toml", read(shipped("words.toml", include_str!("../../../resources/words.toml"))))
});

fn read(file: File) -> Result<Words, String> {
    let sets = file.set.into_iter().map(Set::read).collect::<Result<Vec<_>, _>>()?;
    match sets.first() {
        Some(first) if first.id == PLAIN && first.by_first.is_empty() => Ok(Words { sets, also: file.also }),
        _ => Err(format!("the first set is '{PLAIN}' and says nothing otherwise")),
    }
}

/// The id of the words the program is written in.
pub const PLAIN: &str = "plain";

/// The words a book is spoken of in.
#[derive(Debug, Clone, Copy, Default)]
pub struct Trade(Option<&'static Set>);

impl PartialEq for Trade {
    fn eq(&self, other: &Self) -> bool {
        self.id() == other.id()
    }
}

impl Eq for Trade {}

impl Trade {
    /// The words the program is written in.
    pub const PLAIN: Self = Self(None);

    /// All sets, plain English first.
    pub fn all() -> impl Iterator<Item = Self> {
        WORDS.sets.iter().map(|set| Self(Some(set).filter(|s| s.id != PLAIN)))
    }

    /// The set with this id; plain English where the id is empty or of a later version.
    pub fn of(id: &str) -> Self {
        if id.is_empty() { Self::PLAIN } else { Self::known(id).unwrap_or(Self::PLAIN) }
    }

    /// The set with this id, if there is one.
    pub fn known(id: &str) -> Option<Self> {
        Self::all().find(|t| t.id() == id)
    }

    fn set(self) -> Option<&'static Set> {
        self.0.or_else(|| WORDS.sets.first())
    }

    /// Its id, as a book keeps it.
    pub fn id(self) -> &'static str {
        self.0.map_or(PLAIN, |s| &s.id)
    }

    /// The region.
    pub fn name(self) -> &'static str {
        self.set().map_or(PLAIN, |s| &s.name)
    }

    /// What is said otherwise, in a few words.
    pub fn remark(self) -> &'static str {
        self.set().map_or("", |s| &s.remark)
    }

    /// The plain text of the program in the words of the region: whole words, their case kept.
    pub fn said(self, plain: &'static str) -> Cow<'static, str> {
        self.otherwise(plain).map_or(Cow::Borrowed(plain), Cow::Owned)
    }

    /// The same; nothing where it is said as it stands. Of text that was given it is not to be asked.
    pub(crate) fn otherwise(self, plain: &str) -> Option<String> {
        let set = self.0?;
        let mut out = String::new();
        // Up to here the text is written out.
        let mut done = 0;
        let mut at = 0;
        while let Some((from, to)) = next_word(plain, at) {
            at = to;
            let Some((end, said)) = set.meets(plain, from, to) else { continue };
            out.push_str(&plain[done..from]);
            out.push_str(&cased(&plain[from..end], said));
            (done, at) = (end, end);
        }
        if done == 0 {
            return None;
        }
        out.push_str(&plain[done..]);
        Some(out)
    }
}

impl Set {
    /// The longest text that stands here and is said otherwise: its end and what is said.
    fn meets(&self, text: &str, from: usize, to: usize) -> Option<(usize, &str)> {
        let list = self.by_first.get(text[from..to].to_ascii_lowercase().as_str())?;
        list.iter().find_map(|(words, said)| {
            let mut end = to;
            for word in &words[1..] {
                let (next, next_end) = next_word(text, end)?;
                if &text[end..next] != " " || !text[next..next_end].eq_ignore_ascii_case(word) {
                    return None;
                }
                end = next_end;
            }
            Some((end, said.as_str()))
        })
    }
}

/// The next run of letters from a place on.
fn next_word(text: &str, from: usize) -> Option<(usize, usize)> {
    let start = from + text[from..].find(char::is_alphabetic)?;
    let end = text[start..].find(|c: char| !c.is_alphabetic()).map_or(text.len(), |n| start + n);
    Some((start, end))
}

/// As the plain word was written: with a capital, in capitals, or small.
fn cased(plain: &str, said: &str) -> String {
    let mut letters = plain.chars().filter(|c| c.is_alphabetic());
    let first = letters.next().is_some_and(char::is_uppercase);
    let second = letters.next().is_some_and(char::is_uppercase);
    match (first, second) {
        (true, true) => said.to_uppercase(),
        (true, false) => {
            let mut rest = said.chars();
            rest.next().map(|c| c.to_uppercase().chain(rest).collect()).unwrap_or_default()
        }
        _ => said.to_string(),
    }
}

/// Whether what is typed is the beginning of a word of the trade for something in this text of the program:
/// `tup` for `Joinings`.
pub fn means(typed: &str, text: &str) -> bool {
    let typed = typed.trim().to_lowercase();
    if typed.chars().count() < 3 {
        return false;
    }
    let text = text.to_lowercase();
    let holds =
        |word: &str| text.match_indices(word).any(|(at, _)| !text[..at].ends_with(char::is_alphabetic));
    let also =
        WORDS.also.iter().any(|row| row.words.iter().any(|w| w.starts_with(&typed)) && holds(&row.plain));
    also || WORDS
        .sets
        .iter()
        .flat_map(|s| s.by_first.values().flatten())
        .any(|(words, said)| said.starts_with(&typed) && holds(&words.join(" ")))
}

#[cfg(test)]
mod tests;
