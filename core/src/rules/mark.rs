//! The shapes of official marks and holding numbers. A shape says no more than that a number may be one: none of
//! these marks carries a check digit (from memory).

use crate::handbook::Ground;
use crate::phrase;
use crate::terms::{ElectronicId, IdentityKind};
use regex_lite::Regex;
use serde::Deserialize;

/// What a mark is read from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MarkKind {
    /// An electronic number.
    Electronic,
    /// An official mark of an animal.
    Official,
    /// The number of a holding.
    Holding,
}

impl MarkKind {
    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Electronic => "electronic number",
            Self::Official => "official mark",
            Self::Holding => "holding number",
        }
    }
}

/// The shape of one kind of mark.
#[derive(Debug, Clone)]
pub struct MarkRule {
    /// Key of its row.
    pub key: String,
    /// What it is called.
    pub name: String,
    /// What it is read from.
    pub kind: MarkKind,
    /// Its shape as a regular expression, over the text in capitals without spaces and hyphens.
    pub pattern: String,
    /// Only for animals killed under so many months.
    pub only_under_months: Option<u32>,
    /// The code with which the electronic number of the same animal begins.
    pub electronic_country: Option<u16>,
    /// Marks that fit, as examples.
    pub valid: Vec<String>,
    /// Marks that do not fit.
    pub invalid: Vec<String>,
    /// What it stands on.
    pub ground: Ground,
    finer: Finer,
    shape: Regex,
}

/// What is checked beside the pattern.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct Finer {
    national_max: Option<u64>,
    maker_codes: Option<(u16, u16)>,
    test_code: Option<u16>,
    starts_with: Vec<String>,
    greece_code: Option<String>,
    animal_number_follows: bool,
}

impl PartialEq for MarkRule {
    fn eq(&self, other: &Self) -> bool {
        // The compiled shape is the pattern's.
        let of = |m: &Self| {
            (
                m.key.clone(),
                m.name.clone(),
                m.kind,
                m.pattern.clone(),
                m.only_under_months,
                m.electronic_country,
            )
        };
        of(self) == of(other)
            && (&self.valid, &self.invalid, &self.ground, &self.finer)
                == (&other.valid, &other.invalid, &other.ground, &other.finer)
    }
}

impl Eq for MarkRule {}

impl MarkRule {
    /// Whether a text is such a mark.
    ///
    /// # Errors
    /// Says what is wrong with it, for a sentence that begins with the mark.
    pub fn fits(&self, text: &str) -> Result<(), String> {
        let bare = bare_of(text);
        if self.finer.animal_number_follows && self.shaped(&bare).is_err() {
            // The flock's mark, then a space or hyphen, then the animal's number: any of the gaps may be that one.
            let text = text.trim();
            let gaps = text.char_indices().filter(|(_, c)| c.is_whitespace() || *c == '-');
            let fits = |(at, gap): (usize, char)| {
                let number = bare_of(&text[at + gap.len_utf8()..]);
                let figures = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit());
                figures && self.shaped(&bare_of(&text[..at])).is_ok()
            };
            if gaps.into_iter().any(fits) {
                return Ok(());
            }
        }
        self.shaped(&bare)
    }

    fn shaped(&self, bare: &str) -> Result<(), String> {
        if !self.shape.is_match(bare) {
            return Err(match self.valid.first() {
                Some(like) => {
                    phrase!("has not the shape of {} {}, such as {like}", article(&self.name), self.name)
                }
                None => phrase!("has not the shape of {} {}", article(&self.name), self.name),
            });
        }
        let starts = &self.finer.starts_with;
        if !starts.is_empty() && !starts.iter().any(|s| bare.starts_with(s.as_str())) {
            return Err(phrase!("begins with no letters known for {} {}", article(&self.name), self.name));
        }
        if let Some(code) = &self.finer.greece_code
            && bare.starts_with("GR")
        {
            return Err(phrase!("begins with GR: Greece is written {code}"));
        }
        let number = |part: Option<&str>| part.and_then(|p| p.parse::<u64>().ok());
        if let Some(max) = self.finer.national_max
            && number(bare.get(3..)).is_none_or(|n| n > max)
        {
            return Err(phrase!("has last figures above {max}, more than a tag can hold"));
        }
        if self.finer.test_code.is_some() || self.finer.maker_codes.is_some() {
            let code = number(bare.get(..3)).unwrap_or_default();
            if code == 0 {
                return Err("begins with 000, and no country has that code".into());
            }
            if self.finer.test_code.is_some_and(|test| u64::from(test) == code) {
                return Err(phrase!("begins with {code}, the code of tags for trying readers"));
            }
        }
        Ok(())
    }

    /// Whether an electronic number begins with a maker's code, so that it is no official number of a country.
    pub fn is_makers(&self, text: &str) -> bool {
        let code = bare_of(text).get(..3).and_then(|c| c.parse::<u16>().ok());
        self.finer.maker_codes.zip(code).is_some_and(|((low, high), code)| (low..=high).contains(&code))
    }

    pub(super) fn words(&self) -> String {
        let mut said = format!("{} {}", article(&self.name), self.name);
        let like: Vec<&str> = self.valid.iter().map(String::as_str).take(2).collect();
        if !like.is_empty() {
            said.push_str(&phrase!(" looks like {}", like.join(" or ")));
        }
        if let Some(months) = self.only_under_months {
            said.push_str(&phrase!("; only for lambs killed under {months} months"));
        }
        if let Some(code) = self.electronic_country {
            said.push_str(&phrase!("; the same animal's electronic number begins with {code}"));
        }
        if let Some((low, high)) = self.finer.maker_codes {
            said.push_str(&phrase!("; {low} to {high} at its beginning are makers' codes, no country's"));
        }
        if let Some(test) = self.finer.test_code {
            said.push_str(&phrase!("; {test} is for tags to try readers with"));
        }
        if !self.finer.starts_with.is_empty() {
            said.push_str(&phrase!("; it begins with one of {}", self.finer.starts_with.join(" ")));
        }
        if let Some(code) = &self.finer.greece_code {
            said.push_str(&phrase!("; Greece is written {code}"));
        }
        said
    }
}

fn article(name: &str) -> &'static str {
    if name.starts_with(['a', 'e', 'i', 'o']) { "an" } else { "a" }
}

/// Capitals, without spaces and hyphens; slashes stay.
fn bare_of(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && *c != '-').flat_map(char::to_uppercase).collect()
}

/// What the rules say of a mark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MarkVerdict<'a> {
    /// It has the shape of this one.
    Fits(&'a MarkRule),
    /// It fits none of the shapes; says why.
    FitsNone(String),
    /// The rules know no shape for such a mark.
    NotJudged,
}

/// Judges an animal's mark of one kind.
pub(super) fn judge<'a>(rules: &'a [MarkRule], kind: IdentityKind, text: &str) -> MarkVerdict<'a> {
    match kind {
        IdentityKind::Electronic => {
            // A reader's hexadecimal word is the same number.
            let digits = ElectronicId::parse(text).map_or_else(|_| text.to_owned(), ElectronicId::digits);
            judged(rules, MarkKind::Electronic, &digits)
        }
        IdentityKind::Official => judged(rules, MarkKind::Official, text),
        IdentityKind::Flock | IdentityKind::Registry => MarkVerdict::NotJudged,
    }
}

/// Judges a text as a mark of one kind: the first shape it fits, or what is wrong by each.
pub(super) fn judged<'a>(rules: &'a [MarkRule], kind: MarkKind, text: &str) -> MarkVerdict<'a> {
    let mut wrong = Vec::new();
    for rule in rules.iter().filter(|rule| rule.kind == kind) {
        match rule.fits(text) {
            Ok(()) => return MarkVerdict::Fits(rule),
            Err(words) => wrong.push(words),
        }
    }
    if wrong.is_empty() {
        return MarkVerdict::NotJudged;
    }
    MarkVerdict::FitsNone(format!("'{}' {}", text.trim(), wrong.join(", and ")))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MarkRow {
    name: String,
    kind: MarkKind,
    pattern: String,
    national_max: Option<u64>,
    maker_codes: Option<(u16, u16)>,
    test_code: Option<u16>,
    #[serde(default)]
    check_digit: bool,
    only_under_months: Option<u32>,
    electronic_country: Option<u16>,
    greece_code: Option<String>,
    #[serde(default)]
    starts_with: Vec<String>,
    #[serde(default)]
    animal_number_follows: bool,
    #[serde(default)]
    valid: Vec<String>,
    #[serde(default)]
    invalid: Vec<String>,
}

impl MarkRow {
    pub(super) fn checked(self, key: &str, ground: &Ground) -> Result<MarkRule, String> {
        if self.check_digit {
            return Err("this program knows how to reckon no check digit: leave check_digit out".into());
        }
        if self.name.trim().is_empty() {
            return Err("a mark without a name".into());
        }
        if self.pattern.len() > 200 || !self.pattern.starts_with('^') || !self.pattern.ends_with('$') {
            return Err("a pattern begins with ^, ends with $ and has at most 200 characters".into());
        }
        let shape = Regex::new(&self.pattern)
            .map_err(|e| phrase!("the pattern '{}' cannot be read: {e}", self.pattern))?;
        let rule = MarkRule {
            key: key.to_owned(),
            name: self.name,
            kind: self.kind,
            pattern: self.pattern,
            only_under_months: self.only_under_months,
            electronic_country: self.electronic_country,
            valid: self.valid,
            invalid: self.invalid,
            ground: ground.clone(),
            finer: Finer {
                national_max: self.national_max,
                maker_codes: self.maker_codes,
                test_code: self.test_code,
                starts_with: self.starts_with,
                greece_code: self.greece_code,
                animal_number_follows: self.animal_number_follows,
            },
            shape,
        };
        // The row's own examples are its first test.
        if let Some((text, why)) = rule.valid.iter().find_map(|t| rule.fits(t).err().map(|why| (t, why))) {
            return Err(phrase!("its own example '{text}' {why}"));
        }
        if let Some(text) = rule.invalid.iter().find(|t| rule.fits(t).is_ok()) {
            return Err(phrase!("'{text}' is given as not fitting, and it fits"));
        }
        Ok(rule)
    }
}
