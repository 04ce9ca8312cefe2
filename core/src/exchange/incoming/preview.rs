//! What a table would make of the book, row by row, for the keeper to look at: nothing is written by it.

use super::columns::Meaning;
use super::words::MassUnit;
use crate::entry::{Checked, Sure};
use crate::exchange::scale::{DateAsk, DateOrder};
use crate::exchange::{Caution, Kind};
use crate::terms::{AnimalId, Misread};
use std::collections::BTreeMap;

/// What becomes of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Fate {
    /// It cannot be: a value is wrong.
    Refused,
    /// It may be an animal of the book: the keeper says which.
    Doubtful,
    /// It changes what the book holds.
    Changes,
    /// A new record.
    New,
    /// The book holds it already.
    Same,
    /// The keeper left it out.
    LeftOut,
}

impl Fate {
    /// All of them, what needs a look first.
    pub const ALL: [Self; 6] =
        [Self::Refused, Self::Doubtful, Self::Changes, Self::New, Self::Same, Self::LeftOut];

    /// As people read it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Refused => "to mend",
            Self::Doubtful => "which?",
            Self::Changes => "changes",
            Self::New => "new",
            Self::Same => "the same",
            Self::LeftOut => "left out",
        }
    }
}

/// A value the book holds and the table says otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldChange {
    /// Column of ours.
    pub field: &'static str,
    /// As the book has it; nothing where it has none.
    pub old: String,
    /// As the table has it.
    pub new: String,
}

impl FieldChange {
    /// `born: 2021 → 2021-04-02`.
    pub fn words(&self) -> String {
        let old = if self.old.is_empty() { "nothing" } else { &self.old };
        format!("{}: {old} → {}", self.field.replace('_', " "), self.new)
    }
}

/// An animal that a row may be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CouldBe {
    /// Which.
    pub animal: AnimalId,
    /// Why, and what speaks against it.
    pub why: String,
}

/// What the keeper says of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decision {
    /// A new animal.
    New,
    /// This animal of the book.
    That(AnimalId),
    /// Nothing of it.
    LeaveOut,
}

/// A row of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Its line in the file.
    pub line: usize,
    /// What it is about: a tag, a product.
    pub who: String,
    /// What becomes of it.
    pub fate: Fate,
    /// What it would change.
    pub changes: Vec<FieldChange>,
    /// Of a doubtful one, who it may be.
    pub could_be: Vec<CouldBe>,
    /// What is wrong with it and what to do; how a value was read.
    pub why: Vec<String>,
}

/// A column as it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeenColumn {
    /// Its head; `column 3` where it has none.
    pub head: String,
    /// Its first values.
    pub sample: Vec<String>,
    /// What it is taken for.
    pub meaning: Meaning,
    /// Why.
    pub why: String,
    /// What its figures weigh, where it holds weights.
    pub unit: Option<MassUnit>,
    /// It holds values, and nothing of them comes in.
    pub is_lost: bool,
}

/// A table read against the flock, as the keeper says.
#[derive(Debug)]
pub struct Preview {
    /// The file's name.
    pub file: String,
    /// What the table holds.
    pub kind: Kind,
    /// Why it is taken for that.
    pub kind_why: String,
    /// The sheets of the file, where it has several.
    pub sheets: Vec<String>,
    /// The sheet that was read.
    pub sheet: Option<String>,
    /// The columns.
    pub columns: Vec<SeenColumn>,
    /// How it was read, for the keeper to check.
    pub how: Vec<String>,
    /// How its days are read, where that had to be found out.
    pub order: Option<DateOrder>,
    /// A day that can be read in two ways: nothing is judged before it is answered.
    pub ask: Option<DateAsk>,
    /// Columns that must be there and are not.
    pub missing: Vec<&'static str>,
    /// Every row.
    pub rows: Vec<Row>,
    /// What looks unlikely.
    pub cautions: Vec<Caution>,
    /// The table may change what the book holds.
    pub is_changing: bool,
    /// Rows to mend and doubtful ones are left out knowingly.
    pub is_skipping: bool,
    pub(super) checked: Vec<Checked>,
}

impl Preview {
    /// How many rows have this fate.
    pub fn count(&self, fate: Fate) -> usize {
        self.rows.iter().filter(|r| r.fate == fate).count()
    }

    /// `12 animals new, 3 changed, 40 the same, 2 to mend`.
    pub fn sentence(&self) -> String {
        let mut parts = vec![format!("{} new", self.kind.count(self.count(Fate::New)))];
        let others = [
            (
                Fate::Changes,
                if self.is_changing { "changed" } else { "with other facts, left as the book has them" },
            ),
            (Fate::Same, "the same as in the book"),
            (Fate::Doubtful, "to decide"),
            (Fate::Refused, "to mend"),
            (Fate::LeftOut, "left out"),
        ];
        for (fate, words) in others {
            match self.count(fate) {
                0 => {}
                n if self.is_skipping && matches!(fate, Fate::Doubtful | Fate::Refused) => {
                    parts.push(format!("{n} {words}, left out"));
                }
                n => parts.push(format!("{n} {words}")),
            }
        }
        parts.join(", ")
    }

    /// What is to be answered, mended or left out before anything may be written; nothing where all is well.
    pub fn stands_open(&self) -> Vec<String> {
        let mut open = Vec::new();
        if !self.missing.is_empty() {
            let names: Vec<String> = self.missing.iter().map(|m| m.replace('_', " ")).collect();
            open.push(format!(
                "{} need {}: say which column it is, or choose another kind of table",
                self.kind.word(),
                names.join(" and ")
            ));
        }
        if let Some(ask) = &self.ask {
            let readings: Vec<String> =
                ask.readings.iter().map(|(o, d)| format!("{} ({o})", d.words())).collect();
            open.push(match readings.is_empty() {
                true => format!("'{}' on line {} is no day that has been: mend it", ask.written, ask.line),
                false => format!(
                    "'{}' on line {} is {}: the table does not say which",
                    ask.written,
                    ask.line,
                    readings.join(" or ")
                ),
            });
        }
        if !self.is_skipping {
            for (fate, what) in [
                (Fate::Refused, "to mend: mend the file and read it again, or leave them out"),
                (Fate::Doubtful, "in doubt: say of each who it is, or leave them out"),
            ] {
                match self.count(fate) {
                    0 => {}
                    1 => open.push(format!("1 row is {}", what.replace("them", "it"))),
                    n => open.push(format!("{n} rows are {what}")),
                }
            }
        }
        open
    }

    /// Whether there is nothing to write.
    pub fn is_empty(&self) -> bool {
        self.checked.is_empty()
    }

    /// How many questions of the checks want a word.
    pub fn asked(&self) -> usize {
        self.checked.iter().map(|c| c.questions().len()).sum()
    }

    /// The line of the journal.
    pub fn written(&self) -> String {
        let (new, changed) = (self.count(Fate::New), self.count(Fate::Changes));
        let mut parts = Vec::new();
        if new > 0 || changed == 0 || !self.is_changing {
            parts.push(self.kind.count(new));
        }
        if changed > 0 && self.is_changing {
            parts.push(format!("new facts of {}", self.kind.count(changed)));
        }
        format!("{} from {}", parts.join(", "), self.file)
    }

    /// Everything to write, as one line of the journal; `word` says why what looks unlikely is right.
    ///
    /// # Errors
    /// Something stands open, or a word is needed.
    pub fn sure(self, word: &str) -> Result<(String, Vec<Sure>), Misread> {
        if let Some(open) = self.stands_open().first() {
            return Err(Misread::new(open.clone()));
        }
        let what = self.written();
        let reason = match word.trim() {
            "" => format!("imported from {}", self.file),
            word => format!("{word}; imported from {}", self.file),
        };
        let left =
            self.rows.iter().filter(|r| matches!(r.fate, Fate::Refused | Fate::Doubtful | Fate::LeftOut));
        let what = match left.count() {
            0 => what,
            1 => format!("{what}; 1 row left out"),
            n => format!("{what}; {n} rows left out"),
        };
        let all: Result<Vec<Sure>, Misread> =
            self.checked.into_iter().map(|c| c.because(reason.clone()).despite(&reason)).collect();
        Ok((what, all?))
    }

    /// What each column is taken for, by its head, to be kept for the next table like it.
    pub fn meanings(&self) -> BTreeMap<String, String> {
        self.columns.iter().map(|c| (c.head.clone(), c.meaning.word().to_string())).collect()
    }
}
