//! How a thread speaks: the language and the words of the program's own text, and how days are written.
//!
//! Set where a book is shown or printed, for the thread that does it; a thread that nobody told speaks plain English.
//! What is kept, exchanged or compared is always said plainly: see [`Speech::plain`]. Text that was given is never
//! touched: only text that is part of the program (`&'static str`, or a [`Sentence`] of `phrase!`) is said otherwise.

use std::borrow::Cow;
use std::cell::RefCell;
use std::fmt::{Display, Write as _};
use std::sync::Arc;

/// Another language: a text of the program, as the source has it, in that language.
pub trait Language: Send + Sync {
    /// A text, if the language has it. Holes stay as they are written: `{n}`.
    fn text(&self, plain: &str) -> Option<&str>;
    /// So many of one, `lamb`: the sentence, with `{}` for the number.
    fn counted(&self, n: usize, one: &str) -> Option<&str>;
}

/// What says a text of the program in other words; nothing where it is said as it stands.
pub type Say = Arc<dyn Fn(&str) -> Option<String> + Send + Sync>;

/// In which order a day is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DayOrder {
    /// `3 Apr 2026`; `3/4` is the third of April.
    #[default]
    DayFirst,
    /// `Apr 3, 2026`; `4/3` is the third of April.
    MonthFirst,
    /// `2026-04-03`; `3/4` is the third of April.
    YearFirst,
}

impl DayOrder {
    /// All orders.
    pub const ALL: [Self; 3] = [Self::DayFirst, Self::MonthFirst, Self::YearFirst];

    /// As a book keeps it.
    pub fn code(self) -> &'static str {
        match self {
            Self::DayFirst => "day",
            Self::MonthFirst => "month",
            Self::YearFirst => "year",
        }
    }

    /// The order of this code.
    pub fn of(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|o| o.code() == code)
    }

    /// By an example.
    pub fn words(self) -> &'static str {
        match self {
            Self::DayFirst => "3 Apr 2026",
            Self::MonthFirst => "Apr 3, 2026",
            Self::YearFirst => "2026-04-03",
        }
    }
}

/// How a thread speaks.
#[derive(Clone, Default)]
pub struct Speech {
    /// Another language than English.
    pub language: Option<Arc<dyn Language>>,
    /// The words of a region, of English alone.
    pub words: Option<Say>,
    /// How days are written.
    pub days: DayOrder,
    /// The sign of money that stands before amounts; empty for none.
    pub currency: Arc<str>,
}

thread_local! {
    static SPEECH: RefCell<Speech> = RefCell::default();
}

impl Speech {
    /// As this thread speaks now.
    pub fn now() -> Self {
        SPEECH.with_borrow(Self::clone)
    }

    /// From now on this thread speaks so.
    pub fn set(self) {
        SPEECH.set(self);
    }

    /// This thread speaks so until what is given back goes.
    #[must_use = "it is spoken so only while this is held"]
    pub fn during(self) -> Spoken {
        Spoken(SPEECH.replace(self))
    }

    /// Plain English and days as `3 Apr 2026`, for what is kept and exchanged, until what is given back goes.
    #[must_use = "it is spoken so only while this is held"]
    pub fn plain() -> Spoken {
        Self::default().during()
    }

    /// As it is spoken now, without the words of a region: for what an authority reads, until what is given back goes.
    #[must_use = "it is spoken so only while this is held"]
    pub fn official() -> Spoken {
        Self { words: None, ..Self::now() }.during()
    }
}

/// While it is held a thread speaks otherwise.
pub struct Spoken(Speech);

impl Drop for Spoken {
    fn drop(&mut self) {
        SPEECH.set(std::mem::take(&mut self.0));
    }
}

/// How days are written by this thread.
pub fn days() -> DayOrder {
    SPEECH.with_borrow(|s| s.days)
}

/// The sign of money that this thread puts before amounts; empty for none.
pub fn currency() -> Arc<str> {
    SPEECH.with_borrow(|s| s.currency.clone())
}

/// A text of the program as this thread says it.
pub fn said(plain: &'static str) -> Cow<'static, str> {
    SPEECH.with_borrow(|s| match (&s.language, &s.words) {
        (Some(language), _) => {
            language.text(plain).map_or(Cow::Borrowed(plain), |text| Cow::Owned(text.to_owned()))
        }
        (None, Some(say)) => say(plain).map_or(Cow::Borrowed(plain), Cow::Owned),
        (None, None) => Cow::Borrowed(plain),
    })
}

/// So many of something the program has a word for, `lamb`, as this thread says it; nothing where it is said plainly.
pub(super) fn counted(n: usize, one: &str) -> Option<String> {
    SPEECH.with_borrow(|s| match (&s.language, &s.words) {
        (Some(language), _) => Some(language.counted(n, one)?.replacen("{}", &n.to_string(), 1)),
        (None, Some(say)) if n == 1 => say(one).map(|one| format!("1 {one}")),
        (None, Some(say)) => say(&format!("{one}s")).map(|many| format!("{n} {many}")),
        (None, None) => None,
    })
}

/// A stretch of a sentence.
pub enum Part {
    /// Fixed text.
    Text(&'static str),
    /// What is filled in, by its place among the holes.
    Hole(usize),
}

/// A sentence of the program in which something is filled in: made by `phrase!`.
pub struct Sentence {
    /// As it stands in the source.
    pub plain: &'static str,
    /// Taken apart.
    pub parts: &'static [Part],
    /// What stands between the brackets of each hole, as the source has it.
    pub holes: &'static [&'static str],
}

/// What is filled into a sentence.
pub enum Filling<'a> {
    /// A text of the program, which is said as the sentence is.
    Fixed(&'static str),
    /// What shows itself, or was given: it stays as it is.
    Given(&'a dyn Display),
}

/// What stands where something is filled in; `phrase!` asks it for its [`Filling`] by its type.
pub struct Hole<'a, T>(pub &'a T);

/// A text that lives as long as the program is part of it.
pub trait OfProgram<'a> {
    /// The text.
    fn filling(&self) -> Filling<'a>;
}

impl<'a> OfProgram<'a> for Hole<'a, &'static str> {
    fn filling(&self) -> Filling<'a> {
        Filling::Fixed(self.0)
    }
}

/// Anything else; found by the compiler only where [`OfProgram`] does not fit.
pub trait AnyGiven<'a> {
    /// As it shows itself.
    fn filling(&self) -> Filling<'a>;
}

impl<'a, T: Display> AnyGiven<'a> for &Hole<'a, T> {
    fn filling(&self) -> Filling<'a> {
        Filling::Given(self.0)
    }
}

/// A sentence as this thread says it, with what belongs into its holes.
pub fn fill(sentence: &Sentence, with: &[Filling<'_>]) -> String {
    let mut out = String::with_capacity(sentence.plain.len() + 8 * with.len());
    let given = |out: &mut String, hole: usize| {
        match with.get(hole) {
            Some(Filling::Fixed(text)) => out.push_str(&said(text)),
            // Writing to a text does not fail.
            Some(Filling::Given(value)) => _ = write!(out, "{value}"),
            None => {}
        }
    };
    // Copied out: what is filled in may say something itself.
    let (language, words) = SPEECH.with_borrow(|s| (s.language.clone(), s.words.clone()));
    if let Some(text) = language.as_ref().and_then(|l| l.text(sentence.plain)) {
        filled(&mut out, text, sentence.holes, given);
        return out;
    }
    for part in sentence.parts {
        match (part, &words) {
            (Part::Text(text), Some(say)) if language.is_none() => {
                out.push_str(say(text).as_deref().unwrap_or(text));
            }
            (Part::Text(text), _) => out.push_str(text),
            (Part::Hole(hole), _) => given(&mut out, *hole),
        }
    }
    out
}

/// A translated sentence filled: its holes are those of the source, by what stands between their brackets; holes with
/// nothing between them are taken in their order.
fn filled(out: &mut String, text: &str, holes: &[&str], mut given: impl FnMut(&mut String, usize)) {
    let mut next = 0;
    let mut rest = text;
    while let Some(at) = rest.find(['{', '}']) {
        out.push_str(&rest[..at]);
        let bracket = &rest[at..=at];
        rest = &rest[at + 1..];
        if let Some(after) = rest.strip_prefix(bracket) {
            out.push_str(bracket);
            rest = after;
        } else if let (Some(name), after) = until(rest) {
            let from = if name.is_empty() { next } else { 0 };
            if let Some(hole) = (from..holes.len()).find(|h| holes[*h] == name) {
                next = if name.is_empty() { hole + 1 } else { next };
                given(out, hole);
            }
            rest = after;
        }
    }
    out.push_str(rest);
}

/// What stands before the bracket that closes, and what comes after it.
fn until(rest: &str) -> (Option<&str>, &str) {
    rest.split_once('}').map_or((None, rest), |(name, after)| (Some(name), after))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::phrase;
    use std::collections::HashMap;

    struct Other(HashMap<&'static str, &'static str>);

    impl Language for Other {
        fn text(&self, plain: &str) -> Option<&str> {
            self.0.get(plain).copied()
        }
        fn counted(&self, n: usize, one: &str) -> Option<&str> {
            self.text(if n == 1 { "{} lamb" } else { "{} lambs" }).filter(|_| one == "lamb")
        }
    }

    fn other() -> Speech {
        let texts = [
            ("ram", "bélier"),
            ("{} of {n:.1} kg", "{n:.1} kg: {}"),
            ("{} and {}", "{} et {}"),
            ("{} lamb", "{} agneau"),
            ("{} lambs", "{} agneaux"),
            ("{{{0}}}, {0}", "{0} {{}}"),
        ];
        Speech { language: Some(Arc::new(Other(texts.into()))), ..Speech::default() }
    }

    #[test]
    fn plainly_a_phrase_is_what_format_makes() {
        let (n, name) = (2.456, "Bess");
        assert_eq!(
            phrase!("{name}: {} of {n:.1} kg {{sic}}", 3),
            format!("{name}: {} of {n:.1} kg {{sic}}", 3)
        );
        assert_eq!(phrase!("{0}{1:>4}{0}", name, 7), format!("{0}{1:>4}{0}", name, 7));
        assert_eq!(phrase!("{x:?} {y}", x = Some(1), y = name.len()), "Some(1) 4");
        assert_eq!(phrase!("nothing to fill"), "nothing to fill");
    }

    #[test]
    fn a_language_has_its_own_order_and_what_it_lacks_is_english() {
        let _spoken = other().during();
        let n = 2.0;
        assert_eq!(said("ram"), "bélier");
        assert_eq!(said("ewe"), "ewe");
        assert_eq!(phrase!("{} of {n:.1} kg", "Bess"), "2.0 kg: Bess");
        assert_eq!(phrase!("{} and {}", "ram", "{}"), "bélier et {}");
        assert_eq!(phrase!("{{{0}}}, {0}", 5), "5 {}");
        assert_eq!(phrase!("{} or {}", 1, 2), "1 or 2");
        assert_eq!(super::super::counted(1, "lamb"), "1 agneau");
        assert_eq!(super::super::counted(2, "lamb"), "2 agneaux");
        assert_eq!(super::super::counted(2, "ewe"), "2 ewes");
    }

    /// The word of a kind within a sentence is said; a name that is the same word is not.
    #[test]
    fn words_of_the_program_are_said_within_a_sentence_and_what_was_given_is_not() {
        let (word, name, pen) = ("ram", String::from("ram"), String::from("ram"));
        let pen = pen.as_str();
        let each = || {
            [
                phrase!("{} and {}", word, name),
                phrase!("{} and {}", name, if pen.is_empty() { "" } else { "ram" }),
                phrase!("{} and {}", &pen, name.clone()),
                phrase!("'{}' of {word}, {word:>4}", word),
            ]
        };
        let _spoken = other().during();
        assert_eq!(each(), ["bélier et ram", "ram et bélier", "ram et ram", "'ram' of bélier,  ram"]);
        let _plain = Speech::plain();
        assert_eq!(each(), ["ram and ram", "ram and ram", "ram and ram", "'ram' of ram,  ram"]);
    }

    #[test]
    fn words_change_what_is_fixed_alone_and_only_while_it_is_held() {
        {
            let say: Say = Arc::new(|text: &str| Some(text.to_uppercase()));
            let _spoken = Speech { words: Some(say), ..Speech::default() }.during();
            let name = String::from("ram");
            assert_eq!(phrase!("ram {} of {name}", "ewe"), "RAM EWE OF ram");
            assert_eq!(super::super::counted(3, "ram"), "3 RAMS");
            assert_eq!(super::super::counted(1, "ram"), "1 RAM");
            let _plain = Speech::plain();
            assert_eq!(phrase!("ram {}", "ram"), "ram ram");
        }
        assert_eq!(said("ram"), "ram");
    }

    #[test]
    fn a_text_that_fits_badly_breaks_nothing() {
        for (text, whole) in [("{", ""), ("}", ""), ("{what} {}", " a"), ("{a", "a"), ("x}}y", "x}y")] {
            let mut out = String::new();
            filled(&mut out, text, &[""], |out, _| out.push('a'));
            assert_eq!(out, whole, "{text}");
        }
    }
}
