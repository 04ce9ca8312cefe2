//! Marks an animal carries: flock tags, official electronic numbers, registry numbers.

use super::Misread;
use crate::phrase;
use ecow::EcoString;
use std::fmt;

/// A tag as it reads on the ear: 1 to 40 visible characters. Up to fifteen bytes, as most are, lie in it itself.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tag(EcoString);

impl Tag {
    /// A tag as typed; runs of blanks become one.
    ///
    /// # Errors
    /// An empty tag, one of hyphens and full stops alone, one longer than 40 characters, or one with unprintable
    /// characters.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        // Plain letters and figures with single blanks between, as most tags are.
        if text.len() <= 40
            && text.split(' ').all(|w| !w.is_empty() && w.bytes().all(|b| b.is_ascii_alphanumeric()))
        {
            return Ok(Self(text.into()));
        }
        if text.contains(|c: char| c.is_control() && !c.is_whitespace()) {
            return Err(Misread::new(
                "a tag cannot hold unprintable characters: type it as it reads on the ear",
            ));
        }
        let tag = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if tag.is_empty() {
            return Err(Misread::new("a tag is needed: type it as it reads on the ear"));
        }
        if norm(&tag).is_empty() {
            return Err(Misread::new(phrase!(
                "the tag '{tag}' has no letter or figure: type it as it reads on the ear"
            )));
        }
        if tag.chars().count() > 40 {
            return Err(Misread::new(phrase!("the tag '{tag}' is longer than 40 characters: shorten it")));
        }
        Ok(Self(tag.into()))
    }

    /// The tag as it reads.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The form two tags are compared in: upper case, without blanks, hyphens and full stops.
    pub fn norm(&self) -> String {
        norm(&self.0)
    }
}

/// Comparable form of anything typed to find an animal by.
pub fn norm(text: &str) -> String {
    let kept = |c: &char| !c.is_whitespace() && !matches!(c, '-' | '.');
    if text.is_ascii() {
        let mut short = String::with_capacity(text.len());
        short.extend(text.chars().filter(kept).map(|c| c.to_ascii_uppercase()));
        return short;
    }
    text.chars().filter(kept).flat_map(char::to_uppercase).collect()
}

impl fmt::Display for Tag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What kind of mark an identity is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum IdentityKind {
    /// The flock's own tag, by which the keeper calls the animal.
    Flock,
    /// The official electronic number (ISO 11784).
    Electronic,
    /// An official visible mark that is not the electronic number.
    Official,
    /// The number in a breed registry.
    Registry,
}

impl IdentityKind {
    /// All of them, in the order shown.
    pub const ALL: [Self; 4] = [Self::Flock, Self::Electronic, Self::Official, Self::Registry];

    /// The word as stored.
    pub fn word(self) -> &'static str {
        match self {
            Self::Flock => "flock",
            Self::Electronic => "electronic",
            Self::Official => "official",
            Self::Registry => "registry",
        }
    }

    /// As people read it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Flock => "flock tag",
            Self::Electronic => "electronic number",
            Self::Official => "official tag",
            Self::Registry => "registry number",
        }
    }

    /// From the stored word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.word() == word)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags() {
        assert_eq!(Tag::parse(" UK  0123456 00123 ").unwrap().norm(), "UK012345600123");
        assert_eq!(Tag::parse("b-12").unwrap().norm(), "B12");
        assert!(Tag::parse("  ").is_err());
        assert!(Tag::parse("-.-").is_err());
        assert!(Tag::parse("a\u{7}b").is_err());
        assert!(Tag::parse(&"9".repeat(41)).is_err());
    }
}
