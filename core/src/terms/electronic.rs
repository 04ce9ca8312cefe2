//! Electronic numbers by ISO 11784: as stored, and in every dress in which readers send and people type them.

use super::{Misread, country};
use crate::phrase;
use std::fmt;

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
                return Err(Misread::new(phrase!(
                    "'{}' has one figure too many: an electronic number has 15 digits (put 0x before a reader's hexadecimal word)",
                    text.trim()
                )));
            }
            return Self::from_hex(&bare);
        }
        if bare.len() != 15 || !bare.chars().all(|c| c.is_ascii_digit()) {
            return Err(Misread::new(phrase!(
                "'{}' is not an electronic number: it has 15 digits",
                text.trim()
            )));
        }
        let all: u64 = bare.parse().map_err(|_| Misread::new("an electronic number has 15 digits"))?;
        Self::check(all / 1_000_000_000_000, all % 1_000_000_000_000)
    }

    fn from_hex(hex: &str) -> Result<Self, Misread> {
        let word = u64::from_str_radix(hex, 16)
            .map_err(|_| Misread::new(phrase!("'{hex}' is not an electronic number")))?;
        if word >> 63 == 0 {
            return Err(Misread::new(phrase!(
                "'{hex}' is not marked as an animal's number: read the tag again"
            )));
        }
        Self::check((word >> 38) & 0x3ff, word & NATIONAL_MAX)
    }

    fn check(country: u64, national: u64) -> Result<Self, Misread> {
        if !(1..=999).contains(&country) {
            return Err(Misread::new(phrase!(
                "no country or maker has the code {country:03}: read the tag again"
            )));
        }
        if national > NATIONAL_MAX {
            return Err(Misread::new(phrase!(
                "the last 12 digits {national:012} are more than a tag can hold ({NATIONAL_MAX}): read the tag again"
            )));
        }
        Ok(Self(country * 1_000_000_000_000 + national))
    }

    /// A number as a reader sends it, a list holds it or a person types it. Nothing for a text that was never meant as
    /// one, such as a flock tag.
    ///
    /// Blanks, hyphens and full stops may stand anywhere; signs that frame a reading (start and end of text, line ends)
    /// do not count. A letter or noughts of a reader may stand before the 15 digits, or the letters of the country; the
    /// letters may stand in place of its code. A 64-bit word of 16 hexadecimal digits may be in the order of ISO 11784,
    /// or last bit first as ISO 11785 sends it (order of the telegram from memory).
    ///
    /// # Errors
    /// It is meant as an electronic number and is none: how many digits it has, or that no country has its code. Nothing
    /// is guessed.
    pub fn typed(text: &str) -> Option<Result<Self, Misread>> {
        let bare = bare(text)?;
        if let Some(hex) = bare.strip_prefix("0x").or_else(|| bare.strip_prefix("0X"))
            && hex.bytes().all(|b| b.is_ascii_hexdigit())
        {
            return Some(match hex.len() {
                16 => Self::from_word(hex),
                n => Err(Misread::new(phrase!("a reader's hexadecimal word has 16 signs, '{bare}' has {n}"))),
            });
        }
        let front = bare.bytes().take_while(u8::is_ascii_alphabetic).count();
        let (letters, figures) = bare.split_at(front);
        if !figures.bytes().all(|b| b.is_ascii_digit()) {
            let is_word = bare.len() == 16 && bare.bytes().all(|b| b.is_ascii_hexdigit());
            return is_word.then(|| Self::from_word(&bare));
        }
        let number = number_of(figures);
        match (front, figures.len()) {
            (0, ..13) | (1, ..13) | (2, ..12) | (3.., _) => None,
            (2, 12) => Some(match country::code(letters) {
                Some(code) => Self::known(&format!("{code:03}{figures}")),
                None => Err(Misread::new(phrase!(
                    "no country has the letters {letters}: read the tag again",
                    letters = &letters
                ))),
            }),
            _ => Some(match number {
                Some(number) => Self::known(number).and_then(|e| e.called(letters)),
                None => Err(miscounted(letters, figures)),
            }),
        }
    }

    /// As [`ElectronicId::typed`], where nothing else can be meant.
    ///
    /// # Errors
    /// As there; and a text that is no number at all.
    pub fn parse_typed(text: &str) -> Result<Self, Misread> {
        Self::typed(text).unwrap_or_else(|| {
            Err(Misread::new(phrase!("'{}' is not an electronic number: it has 15 digits", text.trim())))
        })
    }

    /// The number at the head of the words of a longer text, and how many words it takes: `826 012345600123` is two.
    /// Letters before it are large ones there, as on tags, and no group but the last has more figures than a flock's
    /// mark: a reading cut short is not filled up from what stands behind it.
    pub fn among(words: &[&str]) -> Option<(Self, usize)> {
        const GROUPS: usize = 8;
        const FIGURES: usize = 7;
        let first = words.first()?;
        if first.starts_with(|c: char| c.is_ascii_lowercase()) && !first.bytes().any(|b| b.is_ascii_digit()) {
            return None;
        }
        let figures = |w: &&str| w.bytes().filter(u8::is_ascii_digit).count();
        let short = words.iter().take(GROUPS - 1).take_while(|w| figures(w) <= FIGURES).count();
        (1..=(short + 1).min(words.len())).find_map(|n| {
            let number = Self::typed(&words[..n].join(" "))?.ok()?;
            Some((number, n))
        })
    }

    /// 15 digits whose first three are a country's or a maker's.
    fn known(digits: &str) -> Result<Self, Misread> {
        let number = Self::parse(digits)?;
        let code = number.country();
        match code {
            900.. => Ok(number),
            _ if country::letters(code).is_some() => Ok(number),
            _ => Err(Misread::new(phrase!("no country has the code {code:03}: read the tag again"))),
        }
    }

    /// The letters before a number must be a reader's, or those of its country.
    fn called(self, letters: &str) -> Result<Self, Misread> {
        // `LA` stands before numbers of some readers (from memory), not for the country of these letters.
        let said = (letters.len() == 2 && !letters.eq_ignore_ascii_case("LA")).then_some(letters);
        match said.map(country::code) {
            Some(Some(code)) if self.country() < 900 && code != self.country() => Err(Misread::new(phrase!(
                "{letters} stands before a number of another country ({:03}): read the tag again",
                self.country(),
                letters = &letters
            ))),
            Some(None) => Err(Misread::new(phrase!(
                "no country has the letters {letters}: read the tag again",
                letters = &letters
            ))),
            _ => Ok(self),
        }
    }

    /// A word in the order of ISO 11784; or last bit first, if it holds nothing but the number then and is none in the
    /// order of the standard.
    fn from_word(hex: &str) -> Result<Self, Misread> {
        const BLANK: u64 = 1 << 14; // the animal's bit and the fourteen behind it that are reserved
        let read = Self::from_hex(hex).and_then(|e| Self::known(&e.digits()));
        let Ok(word) = u64::from_str_radix(hex, 16) else { return read };
        let turned = word.reverse_bits();
        if word >> 49 == BLANK || turned >> 49 != BLANK {
            return read;
        }
        let other = Self::check((turned >> 38) & 0x3ff, turned & NATIONAL_MAX);
        match (read, other.and_then(|e| Self::known(&e.digits()))) {
            (Ok(_), Ok(_)) => {
                Err(Misread::new(phrase!("'{hex}' can be two numbers: read the tag as 15 digits")))
            }
            (Err(_), Ok(other)) => Ok(other),
            (read, Err(_)) => read,
        }
    }

    /// The letters of the country, as on its tags; nothing for a maker's code.
    pub fn letters(self) -> Option<&'static str> {
        country::letters(self.country())
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

/// A text without the signs that stand between and around figures; nothing where it is no number of any kind.
fn bare(text: &str) -> Option<String> {
    let between = |c: &char| {
        c.is_whitespace()
            || c.is_control()
            || matches!(c, '-' | '.' | '_' | '\u{2010}'..='\u{2013}' | '\u{200b}' | '\u{feff}')
    };
    let text = text.trim_matches(|c: char| between(&c) || matches!(c, '\'' | '"' | ',' | ';'));
    // Nobody types more than two numbers and their blanks into a field.
    if !(13..=120).contains(&text.len()) {
        return None;
    }
    let bare: String = text.chars().filter(|c| !between(c)).collect();
    (bare.is_ascii() && bare.bytes().any(|b| b.is_ascii_digit())).then_some(bare)
}

/// The 15 digits of a reading; before them may stand the animal's flag and noughts: retag counter, the user's field and
/// what is reserved, in the order of ISO 11784 (from memory).
fn number_of(figures: &str) -> Option<&str> {
    let more = figures.len().checked_sub(15)?;
    let (before, number) = figures.split_at(more);
    let noughts = |t: &str| t.bytes().all(|b| b == b'0');
    let is_flagged = more == 7 && before.strip_prefix('1').is_some_and(noughts);
    (more <= 7 && noughts(before) || is_flagged).then_some(number)
}

/// What is wrong with so many figures.
fn miscounted(letters: &str, figures: &str) -> Misread {
    let n = figures.len();
    Misread::new(match n {
        30 => phrase!(
            "'{letters}{figures}' is two numbers in one: read them one by one",
            letters = &letters,
            figures = &figures
        ),
        16.. if letters.is_empty() => {
            phrase!(
                "'{figures}' has {n} figures: an electronic number has 15 digits (put 0x before a reader's hexadecimal word)"
            )
        }
        _ if letters.len() == 2 => {
            phrase!(
                "'{letters}{figures}' has {n} figures after {letters}: 12 are due, or all 15 of the electronic number",
                figures = &figures,
                letters = &letters
            )
        }
        _ => phrase!(
            "'{letters}{figures}' has {n} figures: an electronic number has 15 digits",
            letters = &letters,
            figures = &figures
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(text: &str) -> Option<Result<String, String>> {
        ElectronicId::typed(text).map(|r| r.map(ElectronicId::digits).map_err(|e| e.0))
    }

    /// `rules` 2.1 of the project's reference sheet; the words of 64 bits were computed there.
    #[test]
    fn the_worked_examples() {
        for (text, word) in
            [("826 012345600123", 0x8000_CE82_DFDA_E87B_u64), ("840003000123456", 0x8000_D200_B2D2_4040)]
        {
            let e = ElectronicId::parse_typed(text).unwrap();
            assert_eq!(e.word(), word);
            assert_eq!(ElectronicId::parse_typed(&format!("{word:016X}")), Ok(e));
            assert_eq!(ElectronicId::parse_typed(&format!("0x{word:016x}")), Ok(e));
        }
        let maker = ElectronicId::parse_typed("982 000123456789").unwrap();
        assert!(maker.is_makers() && !maker.is_test() && maker.letters().is_none());
        assert!(ElectronicId::parse_typed("999 000000000001").unwrap().is_test());
        let wrong = |text: &str| ElectronicId::parse_typed(text).unwrap_err().0;
        assert!(wrong("826 999999999999").contains("more than a tag can hold"));
        assert!(wrong("82601234560012").contains("has 14 figures"));
        assert!(wrong("000 012345600123").contains("code 000"));
    }

    #[test]
    fn any_dress() {
        let want = Some(Ok("826012345600123".to_string()));
        for text in [
            "826012345600123",
            "826 012345600123",
            "826-0123456-00123",
            "8 2 6 0 1 2 3 4 5 6 0 0 1 2 3",
            "826.012.345.600.123",
            "\u{2}826012345600123\u{3}",
            "\u{2}826012345600123\r\n",
            "LA 826 012345600123",
            "LA 0 00 0 826 012345600123",
            "A0000000826012345600123",
            "1 0 00 00 0 826 012345600123",
            "0826012345600123",
            "UK 0123456 00123",
            "uk0123456-00123",
            "GB012345600123",
            "UK 826 0123456 00123",
            "'826012345600123",
            "\"826012345600123\",",
            "826\u{a0}012345600123",
            "8000CE82DFDAE87B",
            "0x8000ce82dfdae87b",
            "8000 CE82 DFDA E87B",
            // Last bit first, worked out by hand from the one above.
            "DE175BFB41730001",
        ] {
            assert_eq!(typed(text), want, "{text:?}");
        }
    }

    #[test]
    fn what_was_never_meant_as_one_is_left_to_others() {
        for text in
            ["", "0412", "Bramble", "0123456 00123", "UK0123456 0012", "LONG0123456789012345", "0412/26-1"]
        {
            assert_eq!(typed(text), None, "{text:?}");
        }
        assert!(typed(&"9".repeat(200)).is_none());
    }

    #[test]
    fn what_is_wrong_is_told_and_nothing_guessed() {
        for (text, why) in [
            ("8260123456001", "13 figures"),
            ("8260123456001234", "16 figures"),
            ("1826012345600123", "16 figures"),
            ("826012345600123826012345600124", "two numbers in one"),
            ("003012345600123", "no country has the code 003"),
            ("XX012345600123", "no country has the letters XX"),
            ("IE826012345600123", "another country (826)"),
            ("UK01234560012345", "14 figures after UK"),
            ("0x8000CE82DFDAE87", "has 15"),
            ("0000CE82DFDAE87B", "not marked as an animal's"),
        ] {
            let said = typed(text).and_then(Result::err).unwrap_or_default();
            assert!(said.contains(why), "{text}: {said}");
        }
    }

    #[test]
    fn among_other_words() {
        let among = |text: &str| {
            let words: Vec<&str> = text.split_whitespace().collect();
            ElectronicId::among(&words).map(|(e, n)| (e.digits(), n))
        };
        let found = |n| Some(("826012345600123".to_string(), n));
        assert_eq!(among("826012345600123 4.3"), found(1));
        assert_eq!(among("826 012345600123 826 012345600124"), found(2));
        assert_eq!(among("826 0123456 00123 twins"), found(3));
        assert_eq!(among("LA 0 00 0 826 012345600123"), found(6));
        assert_eq!(among("8000 CE82 DFDA E87B"), found(4));
        assert_eq!(among("UK 0123456 00123"), found(3));
        for text in
            ["82601234560012 3", "826 01234560012 3", "no 0123456 00123", "0412 826012345600123", "twins", ""]
        {
            assert_eq!(among(text), None, "{text}");
        }
    }

    #[test]
    fn countries_are_those_of_the_standard() {
        // ISO 3166-1, spot checks from memory beside the table's own source.
        for (letters, code) in [("AT", 40), ("DE", 276), ("IE", 372), ("NZ", 554), ("AU", 36), ("US", 840)] {
            assert_eq!((country::code(letters), country::letters(code)), (Some(code), Some(letters)));
        }
        assert_eq!((country::letters(826), country::letters(300)), (Some("UK"), Some("EL")));
        assert_eq!(
            (country::code("GR"), country::code("XX"), country::letters(900)),
            (Some(300), None, None)
        );
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_read_without_a_fault(text in "\\PC{0,60}|[0-9a-fA-FxX .\\-]{0,40}") {
            if let Some(Ok(e)) = ElectronicId::typed(&text) {
                proptest::prop_assert_eq!(ElectronicId::parse(&e.digits()), Ok(e));
            }
        }

        #[test]
        fn a_wrong_figure_is_never_another_number(code in 1u16..999, national in 0..=NATIONAL_MAX, at in 0usize..15, by in 1u8..10) {
            let text = format!("{code:03}{national:012}");
            let mut other = text.clone().into_bytes();
            other[at] = b'0' + (other[at] - b'0' + by) % 10;
            let other = String::from_utf8(other).unwrap_or_default();
            if let Some(Ok(e)) = ElectronicId::typed(&other) {
                proptest::prop_assert_eq!(e.digits(), other);
            }
        }
    }
}
