//! CSV in and out: one file a kind, the same columns both ways.
//!
//! [`read`] turns a file into a checked entry or into every fault it holds, each with its line; nothing is
//! written here. [`export`] gives the text from which `read` makes the same records again. Knows the flock and
//! the entries' checks; no book, no window.
//!
//! Not carried by any kind: pens of the past, notes by day, jobs ticked, kept papers, changed rules, and lines that
//! are struck out. [`all`] takes those out beside the kinds; a copy of the book keeps them.

pub mod all;
mod animals;
mod batches;
pub mod calendar;
mod days;
mod decided;
mod eggs;
mod fault;
mod fed;
mod forms;
mod gene_tests;
pub mod incoming;
mod joinings;
mod kind;
mod lambings;
mod listed;
mod marks;
mod money;
mod movements;
mod names;
pub mod picture_in;
mod products;
pub mod roll;
pub mod scale;
mod scans;
mod scores;
pub mod sealed;
mod sessions;
mod sheet;
pub mod shown;
pub mod standard;
mod stock;
mod table;
mod treatments;
mod vets;
mod weighings;
mod xlsx;

pub use fault::{BadRow, Caution, ColumnFault, Unfit};
pub use forms::Form;
pub use kind::{Column, Kind};
pub use listed::{Holds, Listed, Value};
pub use xlsx::{Unsaved, workbook};

use crate::entry::{Checked, Sure};
use crate::flock::Flock;
use crate::terms::speech::Speech;
use crate::terms::{Day, Misread};
use names::Names;
use sheet::Sheet;

/// What a file holds, read and checked.
#[derive(Debug)]
pub struct Reading {
    kind: Kind,
    file: String,
    checked: Option<Checked>,
    rows: Vec<Vec<String>>,
    /// What looks unlikely, by line. An import goes through all the same, with these kept as its reason.
    pub cautions: Vec<Caution>,
    /// Rows left out because the book holds the very same record already.
    pub same: usize,
    /// Their lines.
    same_lines: Vec<usize>,
}

impl Reading {
    fn of(kind: Kind, file: &str, taken: Taken) -> Self {
        let Taken { checked, rows, same: same_lines, cautions } = taken;
        Self { kind, file: file.to_string(), checked, rows, cautions, same: same_lines.len(), same_lines }
    }

    /// `12 animals from ewes.csv`, with the rows that were left out.
    pub fn sentence(&self) -> String {
        let mut text = format!("{} from {}", self.kind.count(self.rows.len()), self.file);
        if self.same > 0 {
            text.push_str(&format!("; {} already in the book", self.kind.count(self.same)));
        }
        text
    }

    /// How many rows it would write.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Nothing to write.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The rows it would write, as a file of the same kind.
    pub fn csv(&self) -> String {
        listed(self.kind, self.rows.clone()).csv()
    }

    /// Ready to write; none when there is nothing to write. Cautions are kept as its reason, after the keeper's own word on
    /// them, if there is one.
    ///
    /// # Errors
    /// A dose far above its label, which the word has to say once more.
    pub fn sure(self, word: &str) -> Result<Option<Sure>, Misread> {
        let sentence = format!("{} from {}", self.kind.count(self.rows.len()), self.file);
        let reason = match word.trim() {
            "" => format!("imported from {}", self.file),
            word => format!("{word}; imported from {}", self.file),
        };
        self.checked.map(|c| c.called(sentence).despite(&reason)).transpose()
    }
}

/// Reads a file of a kind against the flock: UTF-8 with or without a byte-order mark, any line ends; comma,
/// semicolon or tab between values; decimal points or commas. `file` names it in sentences.
///
/// # Errors
/// What is wrong with the file or its columns, or every row that cannot be. Nothing may be written then.
pub fn read(kind: Kind, file: &str, bytes: &[u8], flock: &Flock, today: Day) -> Result<Reading, Unfit> {
    let sheet = Sheet::read(kind, table::text(bytes)?)?;
    read_sheet(&sheet, kind, file, flock, today)
}

/// As [`read`], of rows that are taken apart already.
fn read_sheet(sheet: &Sheet, kind: Kind, file: &str, flock: &Flock, today: Day) -> Result<Reading, Unfit> {
    let names = Names::of(flock);
    let taken = match kind {
        Kind::Animals => animals::read(sheet, flock, names, today),
        Kind::Lambings => lambings::read(sheet, flock, &names, today),
        Kind::Weighings => weighings::read(sheet, flock, &names, today),
        Kind::Treatments => treatments::read(sheet, flock, &names, today),
        Kind::Products => products::read(sheet, flock),
        Kind::Joinings => joinings::read(sheet, flock, &names, today),
        Kind::Movements => movements::read(sheet, flock, &names, today),
        Kind::Batches => batches::read(sheet, flock, today),
        Kind::Stock => stock::read(sheet, flock, today),
        Kind::Vets => vets::read(sheet, flock),
        Kind::Prescriptions => vets::read_prescriptions(sheet, flock, today),
        Kind::EggCounts => eggs::read(sheet, flock, &names, today),
        Kind::Marks => marks::read(sheet, flock, &names, today),
        Kind::Crayons => marks::read_crayons(sheet, flock, &names, today),
        Kind::Scans => scans::read(sheet, flock, &names, today),
        Kind::Tests => gene_tests::read(sheet, flock, &names, today),
        Kind::Sessions => sessions::read(sheet, flock, today),
        Kind::Scores => scores::read(sheet, flock, &names, today),
        Kind::Decisions => decided::read(sheet, flock, &names, today),
        Kind::Groups => decided::read_groups(sheet, flock, &names),
        Kind::Money => money::read(sheet, flock, today),
        Kind::Feeds => fed::read_feeds(sheet, flock),
        Kind::Measures => fed::read_measures(sheet, flock, today),
        Kind::FeedSheets => fed::read_sheets(sheet, flock, today),
        Kind::Creeps => fed::read_creeps(sheet, flock, today),
        Kind::Rations => fed::read_rations(sheet, flock),
        Kind::FeedMoves => fed::read_moves(sheet, flock, today),
        Kind::PenChecks => fed::read_checks(sheet, flock, today),
    };
    Ok(Reading::of(kind, file, taken?))
}

/// What a kind's reader gives: what it checked and the rows it would write.
struct Taken {
    checked: Option<Checked>,
    rows: Vec<Vec<String>>,
    /// Lines of rows the book holds already.
    same: Vec<usize>,
    cautions: Vec<Caution>,
}

/// Words as a value; nothing for none.
fn text(words: &Option<impl AsRef<str>>) -> String {
    words.as_ref().map(|w| w.as_ref().to_string()).unwrap_or_default()
}

/// A day as a value.
fn day_text(day: Option<Day>) -> String {
    day.map(|d| d.to_string()).unwrap_or_default()
}

/// A product's name; nothing for one that is gone.
fn product_name(flock: &Flock, id: crate::terms::ProductId) -> String {
    flock.products().iter().find(|p| p.id == id).map_or_else(String::new, |p| p.name.clone())
}

/// An amount as a value of a column that takes millilitres: bare when it is some, else with its unit.
fn amount_text(amount: Option<crate::terms::Dose>) -> String {
    match amount {
        Some(d @ crate::terms::Dose::Volume(_)) => d.to_string().trim_end_matches(" ml").to_string(),
        Some(d) => d.to_string(),
        None => String::new(),
    }
}

/// All records of a kind as a file, in an order that is the same for equal books.
pub fn export(kind: Kind, flock: &Flock) -> String {
    list(kind, flock).csv()
}

/// All records of a kind as a list, in an order that is the same for equal books.
pub fn list(kind: Kind, flock: &Flock) -> Listed {
    listed(kind, rows(kind, flock, &Names::of(flock)))
}

/// Rows of a kind with what each column holds.
fn listed(kind: Kind, rows: Vec<Vec<String>>) -> Listed {
    let heads = kind.names();
    let holds: Vec<Holds> = heads.iter().map(|c| kind.form(c).holds()).collect();
    Listed::of(kind.word(), &heads, &holds, rows)
}

/// The rows of a kind.
fn rows(kind: Kind, flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    // Tables read alike everywhere, however the window speaks.
    let _plain = Speech::plain();
    match kind {
        Kind::Animals => animals::rows(flock, names),
        Kind::Lambings => lambings::rows(flock, names),
        Kind::Weighings => weighings::rows(flock, names),
        Kind::Treatments => treatments::rows(flock, names),
        Kind::Products => products::rows(flock),
        Kind::Joinings => joinings::rows(flock, names),
        Kind::Movements => movements::rows(flock, names),
        Kind::Batches => batches::rows(flock),
        Kind::Stock => stock::rows(flock),
        Kind::Vets => vets::rows(flock),
        Kind::Prescriptions => vets::prescription_rows(flock),
        Kind::EggCounts => eggs::rows(flock, names),
        Kind::Marks => marks::rows(flock, names),
        Kind::Crayons => marks::crayon_rows(flock, names),
        Kind::Scans => scans::rows(flock, names),
        Kind::Tests => gene_tests::rows(flock, names),
        Kind::Sessions => sessions::rows(flock),
        Kind::Scores => scores::rows(flock, names),
        Kind::Decisions => decided::rows(flock, names),
        Kind::Groups => decided::group_rows(flock, names),
        Kind::Money => money::rows(flock),
        Kind::Feeds => fed::feed_rows(flock),
        Kind::Measures => fed::measure_rows(flock),
        Kind::FeedSheets => fed::sheet_rows(flock),
        Kind::Creeps => fed::creep_rows(flock),
        Kind::Rations => fed::ration_rows(flock),
        Kind::FeedMoves => fed::move_rows(flock),
        Kind::PenChecks => fed::check_rows(flock),
    }
}

#[cfg(test)]
mod blood_tests;
#[cfg(test)]
mod common;
#[cfg(test)]
mod round_trip;
#[cfg(test)]
mod tests;
