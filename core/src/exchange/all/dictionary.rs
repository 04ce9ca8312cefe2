//! The data dictionary: every file of the ZIP and every column, and the words that come before all else.

use super::super::Kind;
use super::super::forms::{Form, unit};
use super::super::listed::{Listed, Value};
use super::more::{Column, Further, STRUCK_BECAUSE, STRUCK_BY, STRUCK_ON};
use super::{MANIFEST, pack};
use crate::flock::Holding;
use crate::terms::Day;

/// The file of words for people.
pub(super) const READ_ME: &str = "READ ME.txt";
/// The dictionary's own file.
pub(super) const DICTIONARY: &str = "dictionary.csv";

const HEADS: [(&str, &str); 6] = [
    ("file", "name of a file in this ZIP"),
    ("column", "head of a column of it; blank: the file as a whole"),
    ("meaning", "what stands there"),
    ("unit", "unit of its numbers"),
    ("format", "how its values are written"),
    ("needed", "yes if a table that is read in must have it"),
];

/// Files and columns as they are written.
#[derive(Default)]
pub(super) struct Dictionary(Vec<[String; 6]>);

impl Dictionary {
    /// A file as a whole.
    pub fn file(&mut self, file: &str, meaning: &str) {
        self.0.push([file, "", meaning, "", "", ""].map(String::from));
    }

    fn column(&mut self, file: &str, (name, meaning, format): (&str, &str, &str), unit: &str, needed: bool) {
        let needed = if needed { "yes" } else { "no" };
        self.0.push([file, name, meaning, unit, format, needed].map(String::from));
    }

    /// The table of a kind.
    pub fn kind(&mut self, file: &str, kind: Kind) {
        self.file(file, &format!("{}; read in by: hirsel import BOOK {}", about(kind), kind.word()));
        for c in kind.columns() {
            let form = kind.form(c.name);
            self.column(file, (c.name, c.about, form.words()), kind.unit(c.name), c.needed);
        }
    }

    /// A table that no kind carries.
    pub fn further(&mut self, file: &str, table: &Further) {
        self.file(file, table.about);
        table.columns.iter().for_each(|c| self.further_column(file, c));
    }

    fn further_column(&mut self, file: &str, (name, meaning, form): &Column) {
        let numbers = matches!(form, Form::Number | Form::NumberOrWords);
        let unit = unit(name).filter(|_| numbers).unwrap_or_default();
        self.column(file, (name, meaning, form.words()), unit, false);
    }

    /// Struck lines of a kind.
    pub fn struck(&mut self, file: &str, kind: Kind) {
        self.file(file, &format!("{} that are struck out: kept, counted nowhere", about(kind)));
        for c in kind.columns() {
            self.column(file, (c.name, c.about, kind.form(c.name).words()), kind.unit(c.name), false);
        }
        for c in [STRUCK_ON, STRUCK_BECAUSE, STRUCK_BY] {
            self.further_column(file, &c);
        }
    }

    /// All of it, itself and the manifest included.
    pub fn list(mut self) -> Listed {
        self.file(DICTIONARY, "every file and column of this ZIP");
        for (name, meaning) in HEADS {
            self.column(DICTIONARY, (name, meaning, "text"), "", false);
        }
        self.file(MANIFEST, "every other file with its rows, size and sum");
        for (name, meaning, format) in pack::COLUMNS {
            self.column(MANIFEST, (name, meaning, format), unit(name).unwrap_or_default(), false);
        }
        Listed {
            name: "dictionary".into(),
            heads: HEADS.map(|h| h.0.to_string()).to_vec(),
            rows: self.0.into_iter().map(|row| row.map(Value::Text).to_vec()).collect(),
        }
    }
}

/// What a kind's rows are, with how many make one where that is not one.
fn about(kind: Kind) -> String {
    let words = kind.count(2);
    let words = words.strip_prefix("2 ").unwrap_or(&words);
    let more = match kind {
        Kind::Lambings => "; one row a lamb, rows of one ewe and day are one lambing",
        Kind::Animals => ", ancestors outside the flock included",
        Kind::Joinings => "; one row a ewe",
        _ => "",
    };
    format!("{words}{more}")
}

/// What is said before all else.
pub(super) fn read_me(holding: &Holding, today: Day) -> String {
    let flock = if holding.flock.is_empty() { "a flock" } else { &holding.flock };
    let mut text = format!("All records of {flock}, taken out on {}.\n\n", today.long());
    text.push_str(
        "tables/         every kind of record. Their numbers give the order in which they are read in\n\
         \x20               again, each naming only what came before it.\n\
         more/           what those do not carry: pens of the past, notes, jobs ticked, changes of the\n\
         \x20               care plan and of rules, amendments, lines struck out, the journal.\n\
         papers/         papers kept in the book; more/papers.csv says what each belongs to.\n\
         dictionary.csv  every file and column: meaning, unit, format.\n\
         manifest.csv    rows, size and SHA-256 of every file.\n\n\
         Tables are CSV (RFC 4180): UTF-8, a comma between values, double quotes where needed, the first\n\
         line names the columns, each line ends with a line feed. Days are YYYY-MM-DD, numbers have a\n\
         decimal point, weights are kilograms, animals go by their tags. A blank value is not known.\n\
         Text that a spreadsheet would take for a formula (it begins with = + - @, a tab or a line end)\n\
         has a single quote before it.\n\n\
         To make a book of it again: hirsel new BOOK --flock NAME, then hirsel import BOOK KIND FILE for\n\
         every table in order. What lies in more/ and papers/ is not read in: a copy of the book itself\n\
         (hirsel backup) holds all of it as it was.\n",
    );
    text
}
