//! Registers: what an inspector asks to see, each made once as a value from the flock, a span of days and today.
//!
//! Window, CSV and paper are all made from the same [`Register`]. Knows flock, reckoning and rules; no window, no
//! files, no clock. Nothing is left out in silence: what carries no day and so fits no span is told in
//! [`Register::about`], struck-out records stay as struck rows, amended ones carry their old values as remarks.

mod antibiotics;
mod births;
mod count;
mod deaths;
mod doses;
mod held;
mod identities;
mod kind;
mod medicine;
mod movements;
mod present;
mod stock;
#[cfg(test)]
mod tests;
mod trail;
mod treatments;
mod vaccines;
mod words;

pub(crate) use antibiotics::goes_on;
pub use doses::Doses;
pub use held::{Held, held_of, held_on};
pub use kind::RegisterKind;
pub use present::{present_on, standing_on};
pub use vaccines::{Vaccination, vaccinations};
pub use words::{Prescriber, figures, kinds_words, minute_words, numbers_of, prescriber, remarks};

use crate::flock::{Flock, Link};
use crate::terms::{AnimalId, Day, Misread};

/// The days a register is asked for; a missing end is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Span {
    /// First day.
    pub from: Option<Day>,
    /// Last day.
    pub to: Option<Day>,
}

impl Span {
    /// A span whose last day is not before its first.
    ///
    /// # Errors
    /// Names both days.
    pub fn new(from: Option<Day>, to: Option<Day>) -> Result<Self, Misread> {
        match (from, to) {
            (Some(from), Some(to)) if to < from => Err(Misread::new(format!(
                "the last day {} is before the first {}: swap them",
                to.words(),
                from.words()
            ))),
            _ => Ok(Self { from, to }),
        }
    }

    /// This day is in it.
    pub fn holds(&self, day: Day) -> bool {
        self.from.is_none_or(|from| from <= day) && self.to.is_none_or(|to| day <= to)
    }

    /// Neither end is given.
    pub fn is_open(&self) -> bool {
        self.from.is_none() && self.to.is_none()
    }

    /// Holds a record of this day; one without a day only where nothing is asked of days, and is counted else.
    pub(crate) fn takes(&self, day: Option<Day>, dayless: &mut usize) -> bool {
        match day {
            Some(day) => self.holds(day),
            None if self.is_open() => true,
            None => {
                *dayless += 1;
                false
            }
        }
    }

    /// `1 Jan 2021 to 3 Apr 2026`, `from the beginning to 3 Apr 2026`.
    pub fn words(&self, today: Day) -> String {
        let to = self.to.unwrap_or(today).words();
        match self.from {
            Some(from) => format!("{} to {to}", from.words()),
            None => format!("from the beginning to {to}"),
        }
    }
}

/// A column of a register.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// Its head, as people read it.
    pub head: &'static str,
    /// Its name in CSV.
    pub csv: &'static str,
    /// Its share of the width; 0 is in CSV alone.
    pub share: f32,
    /// Figures stand to the right.
    pub right: bool,
}

impl Column {
    const fn new(head: &'static str, csv: &'static str, share: f32) -> Self {
        Self { head, csv, share, right: false }
    }

    const fn figures(head: &'static str, csv: &'static str, share: f32) -> Self {
        Self { head, csv, share, right: true }
    }

    /// In CSV alone: on page and paper it stands under another cell.
    const fn hidden(csv: &'static str) -> Self {
        Self { head: "", csv, share: 0.0, right: false }
    }

    /// Seen on page and paper.
    pub fn is_shown(&self) -> bool {
        self.share > 0.0
    }
}

/// One cell. Blanks that must not part ('3 Apr', '2.5 ml') are no-break spaces in `shown`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cell {
    /// As people read it.
    pub shown: String,
    /// A second, smaller line.
    pub under: String,
    /// In CSV: days as `2026-04-03`, nothing where nothing is known.
    pub csv: String,
    /// What is looked for first.
    pub strong: bool,
}

impl Cell {
    /// Words; a dash for none.
    pub(crate) fn words(text: impl Into<String>) -> Self {
        let csv = text.into().trim().to_string();
        let shown = if csv.is_empty() { "–".to_string() } else { csv.clone() };
        Self { shown, csv, ..Self::default() }
    }

    /// Words that are perhaps not written.
    pub(crate) fn opt(text: Option<&str>) -> Self {
        Self::words(text.unwrap_or_default())
    }

    /// Words that stay on one line: a figure and its unit, a tag.
    pub(crate) fn whole(text: impl Into<String>) -> Self {
        let mut cell = Self::words(text);
        cell.shown = words::whole(&cell.shown);
        cell
    }

    /// A day.
    pub(crate) fn day(day: Option<Day>) -> Self {
        day.map_or_else(|| Self::words(""), |d| Self::shown_as(words::whole(&d.words()), d.to_string()))
    }

    /// Other words for people than for CSV.
    pub(crate) fn shown_as(shown: impl Into<String>, csv: impl Into<String>) -> Self {
        Self { shown: shown.into(), csv: csv.into(), ..Self::default() }
    }

    /// A number.
    pub(crate) fn number(n: impl ToString) -> Self {
        Self::words(n.to_string())
    }

    /// With a smaller line below.
    pub(crate) fn under(mut self, text: impl Into<String>) -> Self {
        self.under = text.into();
        self
    }

    /// Looked for first.
    pub(crate) fn strong(mut self) -> Self {
        self.strong = true;
        self
    }

    /// What is shown with plain blanks on one line, for the window.
    pub fn plain(&self) -> String {
        self.shown.replace(words::NO_BREAK, " ").replace('\n', ", ")
    }
}

/// One row.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Row {
    /// A cell for each column.
    pub cells: Vec<Cell>,
    /// Struck out: kept, shown struck through, counted nowhere.
    pub struck: bool,
    /// What was changed later and from what, why it was struck out, what is to be known.
    pub remarks: Vec<String>,
    /// Where the record is found.
    pub link: Option<Link>,
}

/// A small table below the rows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Totals {
    /// Its title.
    pub title: String,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows.
    pub rows: Vec<Vec<Cell>>,
}

/// A register, made.
#[derive(Debug, Clone, PartialEq)]
pub struct Register {
    /// Which.
    pub kind: RegisterKind,
    /// Its title.
    pub title: String,
    /// The days it was asked for.
    pub span: Span,
    /// The day it is as of: today, or the day of a register of one day.
    pub on: Day,
    /// Columns.
    pub columns: Vec<Column>,
    /// Rows in their order.
    pub rows: Vec<Row>,
    /// What is said above the rows in place of how many there are.
    pub lead: Vec<String>,
    /// Sums, where there are some.
    pub totals: Vec<Totals>,
    /// How it was made, formulas, sources, what is not in it.
    pub about: Vec<String>,
    /// Said when there is no row.
    pub empty: String,
}

impl Register {
    pub(crate) fn new(kind: RegisterKind, span: Span, on: Day, columns: &[Column]) -> Self {
        let empty = if kind.is_of_a_day() {
            format!("No entries on {}.", on.words())
        } else {
            match span.from {
                Some(_) => format!("No entries from {}.", span.words(on)),
                None => format!("No entries {}.", span.words(on)),
            }
        };
        Self {
            kind,
            title: kind.words().to_string(),
            span,
            on,
            columns: columns.to_vec(),
            rows: Vec::new(),
            lead: Vec::new(),
            totals: Vec::new(),
            about: Vec::new(),
            empty,
        }
    }

    /// The days it is of, in words: `1 Jan 2021 to 3 Apr 2026`, `on 3 Apr 2026`.
    pub fn days(&self) -> String {
        if self.kind.is_of_a_day() { format!("on {}", self.on.words()) } else { self.span.words(self.on) }
    }

    /// Rows that stand, and rows struck out: `12 entries`, `12 entries, 1 struck out`.
    pub fn counted(&self) -> String {
        let struck = self.rows.iter().filter(|r| r.struck).count();
        let standing = match self.rows.len() - struck {
            1 => "1 entry".to_string(),
            n => format!("{n} entries"),
        };
        if struck == 0 { standing } else { format!("{standing}, {struck} struck out") }
    }

    /// Names of the columns of the table that is taken out: those of the register, then `struck_out` and `remarks`.
    pub fn heads(&self) -> Vec<&'static str> {
        self.columns.iter().map(|c| c.csv).chain(["struck_out", "remarks"]).collect()
    }

    /// Values of the table that is taken out, row by row.
    pub fn values(&self) -> Vec<Vec<String>> {
        let row = |row: &Row| {
            let cells = row.cells.iter().map(|c| c.csv.clone());
            let struck = if row.struck { "yes" } else { "no" };
            cells.chain([struck.to_string(), row.remarks.join(" | ")]).collect()
        };
        self.rows.iter().map(row).collect()
    }
}

/// Makes a register.
fn register(kind: RegisterKind, flock: &Flock, span: Span, today: Day) -> Register {
    let on = if kind.is_of_a_day() { span.to.unwrap_or(today) } else { today };
    match kind {
        RegisterKind::TreatmentLog => treatments::log(flock, None, span, today),
        RegisterKind::MedicineBought => medicine::bought(flock, span, today),
        RegisterKind::MedicineDisposed => medicine::disposed(flock, span, today),
        RegisterKind::Stock => stock::stock(flock, span, on),
        RegisterKind::Movements => movements::movements(flock, span, today),
        RegisterKind::Births => births::births(flock, span, today),
        RegisterKind::Deaths => deaths::deaths(flock, span, today),
        RegisterKind::Identities => identities::identities(flock, span, today),
        RegisterKind::FlockCount => count::count(flock, span, on),
        RegisterKind::WithdrawalNow => held::held(flock, span, on),
        RegisterKind::OffLabel => treatments::off_label(flock, span, today),
        RegisterKind::Antibiotics => antibiotics::antibiotics(flock, span, today),
        RegisterKind::Prescriptions => medicine::prescriptions(flock, span, today),
        RegisterKind::Amendments => trail::trail(flock, span, today),
    }
}

/// The treatment log of some animals, else like every register.
pub fn log_of(flock: &Flock, animals: &[AnimalId], span: Span, today: Day) -> Register {
    let _plain = kind::plain();
    treatments::log(flock, Some(animals), span, today)
}

/// What carries no day and so is in no span, in a sentence; nothing when there is none.
pub(crate) fn dayless_words(n: usize, what: &str) -> Option<String> {
    let are = if n == 1 { "has" } else { "have" };
    (n > 0).then(|| {
        let what = crate::terms::counted(n, what);
        format!("{what} {are} no day written down and fit no span: leave both days open to see them.")
    })
}
