//! Other languages: a catalogue in gettext's PO form, known by the English of the source. Reads text; knows no files.

mod lines;
mod plural;

use crate::terms::speech::Language;
use plural::Plural;
use rapidhash::RapidHashMap;

/// No catalogue is longer than this, in bytes; ours in English is a twentieth of it.
pub const MOST: u64 = 16 * 1024 * 1024;

/// Why a catalogue cannot be used: a sentence.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Unreadable(String);

/// The texts of the program in another language.
#[derive(Debug)]
pub struct Catalogue {
    code: String,
    texts: RapidHashMap<String, String>,
    /// By the one: the sentence for each form of the plural.
    counted: RapidHashMap<String, Vec<String>>,
    plural: Plural,
    /// Messages left out because their holes are not those of the source, in the source's words.
    faulty: Vec<String>,
}

impl Catalogue {
    /// Reads a catalogue. Messages that are empty, in doubt (`fuzzy`), or whose holes are not those of the source are
    /// left out: they are said in English.
    ///
    /// # Errors
    /// Says why the file is no catalogue.
    pub fn read(text: &[u8]) -> Result<Self, Unreadable> {
        if text.len() as u64 > MOST {
            return Err(Unreadable(format!("the file is larger than {} MB", MOST / 1024 / 1024)));
        }
        let text = std::str::from_utf8(text).map_err(|_| {
            Unreadable("the file is not in UTF-8: save it so in the program that made it".into())
        })?;
        if !text.contains("msgid") {
            return Err(Unreadable("this is no file of translations: it has no 'msgid'".into()));
        }
        let whole = lines::tidied(text.trim_start_matches('\u{feff}')).map_err(Unreadable)?;
        let read = polib::po_file::parse_from_reader(whole.as_bytes())
            .map_err(|e| Unreadable(format!("the file of translations cannot be read: {e}")))?;
        let rules = &read.metadata.plural_rules;
        let plural = Plural::read(&rules.expr, rules.nplurals).map_err(Unreadable)?;
        let mut catalogue = Self {
            code: read.metadata.language.trim().to_owned(),
            texts: RapidHashMap::default(),
            counted: RapidHashMap::default(),
            plural,
            faulty: Vec::new(),
        };
        read.messages().filter(|m| m.is_translated() && !m.is_fuzzy()).for_each(|m| catalogue.take(m));
        Ok(catalogue)
    }

    fn take(&mut self, message: &dyn polib::message::MessageView) {
        let plain = message.msgid();
        if let (Ok(many), Ok(forms)) = (message.msgid_plural(), message.msgstr_plural()) {
            let one =
                plain.strip_prefix("{} ").filter(|one| many.strip_prefix("{} ") == Some(&format!("{one}s")));
            match one {
                Some(one) if forms.iter().all(|f| same_holes("{}", f)) => {
                    self.counted.insert(one.to_owned(), forms.clone());
                }
                _ => self.faulty.push(plain.to_owned()),
            }
        } else if let Ok(text) = message.msgstr() {
            if same_holes(plain, text) {
                self.texts.insert(plain.to_owned(), text.to_owned());
            } else {
                self.faulty.push(plain.to_owned());
            }
        }
    }

    /// The language, as its file names it: `cy`, `pt_BR`.
    pub fn code(&self) -> &str {
        &self.code
    }

    /// How many texts it has.
    pub fn len(&self) -> usize {
        self.texts.len() + self.counted.len()
    }

    /// Whether it has none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Messages left out because their holes are not those of the source, in the source's words.
    pub fn faulty(&self) -> &[String] {
        &self.faulty
    }
}

impl Language for Catalogue {
    fn text(&self, plain: &str) -> Option<&str> {
        self.texts.get(plain).map(String::as_str)
    }

    fn counted(&self, n: usize, one: &str) -> Option<&str> {
        let forms = self.counted.get(one)?;
        forms.get(self.plural.of(n as u64)).or(forms.last()).map(String::as_str)
    }
}

/// Whether a translation has the holes of its source, each as often, in whatever order.
fn same_holes(plain: &str, text: &str) -> bool {
    let sorted = |text: &str| {
        let mut all = holes(text)?;
        all.sort_unstable();
        Some(all)
    };
    match (sorted(plain), sorted(text)) {
        (Some(a), Some(b)) => a == b,
        // No sentence with holes: a text in which brackets are brackets.
        (None, _) => true,
        (Some(_), None) => false,
    }
}

/// What stands between the brackets of each hole; nothing where they do not close.
fn holes(text: &str) -> Option<Vec<String>> {
    let (mut all, mut rest) = (Vec::new(), text);
    while let Some(at) = rest.find(['{', '}']) {
        let bracket = &rest[at..=at];
        rest = &rest[at + 1..];
        if let Some(after) = rest.strip_prefix(bracket) {
            rest = after;
        } else if bracket == "{" {
            let (name, after) = rest.split_once('}')?;
            all.push(name.to_owned());
            rest = after;
        } else {
            return None;
        }
    }
    Some(all)
}

#[cfg(test)]
mod tests;
