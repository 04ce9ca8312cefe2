//! Marks an animal carries: flock tags, official electronic numbers, registry numbers.

use super::Misread;
use std::fmt;
use std::sync::Arc;

/// A tag as it reads on the ear: 1 to 40 visible characters.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tag(Arc<str>);

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
            return Err(Misread::new(format!(
                "the tag '{tag}' has no letter or figure: type it as it reads on the ear"
            )));
        }
        if tag.chars().count() > 40 {
            return Err(Misread::new(format!("the tag '{tag}' is longer than 40 characters: shorten it")));
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

/// Largest national code of ISO 11784: 38 bits.
pub const NATIONAL_MAX: u64 = 274_877_906_943;

/// An electronic number by ISO 11784, 15 decimal digits: country or maker code (3) and national code (12).
/// The number carries no check digit (from memory), so only length, code and range can be checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ElectronicId(u64);

impl ElectronicId {
    /// 15 digits, blanks and hyphens allowed; or the 16 hexadecimal digits of the whole 64-bit word, after `0x` if
    /// none of them is a letter.
    ///
    /// # Errors
    /// A wrong length, a code that is no country's or maker's, or a national code over 38 bits.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let bare: String = text.chars().filter(|c| !c.is_whitespace() && *c != '-').collect();
        if let Some(hex) = bare.strip_prefix("0x").or_else(|| bare.strip_prefix("0X"))
            && hex.len() == 16
        {
            return Self::from_hex(hex);
        }
        if bare.len() == 16 && bare.chars().all(|c| c.is_ascii_hexdigit()) {
            // 16 figures may as well be a number with one figure too many: never guess at an identity.
            if bare.chars().all(|c| c.is_ascii_digit()) {
                return Err(Misread::new(format!(
                    "'{}' has one figure too many: an electronic number has 15 digits (put 0x before a reader's hexadecimal word)",
                    text.trim()
                )));
            }
            return Self::from_hex(&bare);
        }
        if bare.len() != 15 || !bare.chars().all(|c| c.is_ascii_digit()) {
            return Err(Misread::new(format!(
                "'{}' is not an electronic number: it has 15 digits",
                text.trim()
            )));
        }
        let all: u64 = bare.parse().map_err(|_| Misread::new("an electronic number has 15 digits"))?;
        Self::check(all / 1_000_000_000_000, all % 1_000_000_000_000)
    }

    fn from_hex(hex: &str) -> Result<Self, Misread> {
        let word = u64::from_str_radix(hex, 16)
            .map_err(|_| Misread::new(format!("'{hex}' is not an electronic number")))?;
        if word >> 63 == 0 {
            return Err(Misread::new(format!(
                "'{hex}' is not marked as an animal's number: read the tag again"
            )));
        }
        Self::check((word >> 38) & 0x3ff, word & NATIONAL_MAX)
    }

    fn check(country: u64, national: u64) -> Result<Self, Misread> {
        if !(1..=999).contains(&country) {
            return Err(Misread::new(format!(
                "no country or maker has the code {country:03}: read the tag again"
            )));
        }
        if national > NATIONAL_MAX {
            return Err(Misread::new(format!(
                "the last 12 digits {national:012} are more than a tag can hold ({NATIONAL_MAX}): read the tag again"
            )));
        }
        Ok(Self(country * 1_000_000_000_000 + national))
    }

    /// Country code by ISO 3166-1, or a maker's code from 900.
    pub fn country(self) -> u16 {
        (self.0 / 1_000_000_000_000) as u16
    }

    /// Made for testing readers (code 999, from memory).
    pub fn is_test(self) -> bool {
        self.country() == 999
    }

    /// A maker's code (900 to 998, from memory), so not an official country number.
    pub fn is_makers(self) -> bool {
        (900..999).contains(&self.country())
    }

    /// The 64-bit word a reader sends, animal bit set, without extra fields.
    pub fn word(self) -> u64 {
        (1 << 63) | (u64::from(self.country()) << 38) | (self.0 % 1_000_000_000_000)
    }

    /// 15 digits as stored.
    pub fn digits(self) -> String {
        format!("{:015}", self.0)
    }
}

impl fmt::Display for ElectronicId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:03} {:012}", self.country(), self.0 % 1_000_000_000_000)
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
