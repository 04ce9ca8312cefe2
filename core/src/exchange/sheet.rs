//! A file as rows under known columns, and reading its values one by one.

use super::{BadRow, Caution, ColumnFault, Kind, Taken, Unfit, table};
use crate::entry::{Check, Checked, Entry, Question, Refusal, Refused};
use crate::terms::{Day, Misread};
use std::collections::HashSet;
use std::hash::Hash;
use table::Line;

/// Rows of a file under the columns of its kind.
#[derive(Debug)]
pub(super) struct Sheet {
    kind: Kind,
    /// For each value of a line, its column.
    places: Vec<Option<&'static str>>,
    pub rows: Vec<Line>,
    between: char,
}

impl Sheet {
    pub(super) fn read(kind: Kind, text: &str) -> Result<Self, Unfit> {
        let between = between(kind, text);
        let mut lines = table::split(text, between)?;
        if lines.is_empty() {
            return Err(Unfit::Empty(kind));
        }
        let rows = lines.split_off(1);
        let header = lines.pop().map(|l| l.cells).unwrap_or_default();
        Self::of(kind, between, &header, rows)
    }

    /// Rows under a header line that are taken apart already.
    pub(super) fn of(kind: Kind, between: char, header: &[String], rows: Vec<Line>) -> Result<Self, Unfit> {
        let mut faults = Vec::new();
        let mut places: Vec<Option<&'static str>> = Vec::new();
        for (i, name) in header.iter().enumerate() {
            let known = kind.columns().iter().find(|c| c.name == tidy(name)).map(|c| c.name);
            match known {
                // A spreadsheet may leave empty columns at the right.
                None if name.is_empty() => {
                    if rows.iter().any(|r| r.cells.get(i).is_some_and(|c| !c.is_empty())) {
                        faults.push(ColumnFault::Unnamed(i + 1));
                    }
                }
                None => faults.push(ColumnFault::Unknown { name: name.clone(), kind }),
                Some(k) if places.contains(&Some(k)) => faults.push(ColumnFault::Twice(name.clone())),
                Some(_) => {}
            }
            places.push(known);
        }
        for c in kind.columns().iter().filter(|c| c.needed && !places.contains(&Some(c.name))) {
            faults.push(ColumnFault::Missing(c.name));
        }
        if faults.is_empty() { Ok(Self { kind, places, rows, between }) } else { Err(Unfit::Columns(faults)) }
    }

    /// The value of a column in a row; empty where there is none.
    pub(super) fn value<'a>(&self, line: &'a Line, column: &str) -> &'a str {
        self.places
            .iter()
            .position(|p| *p == Some(column))
            .and_then(|i| line.cells.get(i))
            .map_or("", String::as_str)
    }

    /// The file has this column.
    pub(super) fn has(&self, column: &str) -> bool {
        self.places.contains(&Some(column))
    }

    /// Reads the values of one row, collecting what is wrong.
    pub(super) fn cells<'a>(&'a self, line: &'a Line, bad: &'a mut Vec<BadRow>) -> Cells<'a> {
        let before = bad.len();
        let (n, need) = (line.cells.len(), self.places.len());
        // Blank values at the end may be left out or left over; a shift in the middle shows here.
        let over = line.cells.iter().skip(need).any(|c| !c.is_empty());
        if n < need || over {
            let between = match self.between {
                '\t' => "tab",
                ';' => "semicolon",
                _ => "comma",
            };
            let why = format!(
                "it has {n} values and the first line names {need}: put a {between} for each blank value, and quotes (\") around a value that holds a {between}"
            );
            bad.push(BadRow::new(line.number, "", "", why));
        }
        let shifted = bad.len() > before;
        Cells { sheet: self, line, bad, before, shifted }
    }

    /// A fault of a check at its line and column.
    pub(super) fn place(&self, row: Option<&Line>, column: &str, why: impl std::fmt::Display) -> BadRow {
        // Forms name their fields a little otherwise than the columns.
        let known = |name: &str| self.kind.columns().iter().find(|c| c.name == name).map(|c| c.name);
        let column = match column {
            "animal" => "tag",
            "meat" => "meat_days",
            "milk" => "milk_days",
            "export" => "export_days",
            // It is of the row as a whole.
            "figures" => "",
            other => known(other).or_else(|| known(&format!("{other}_kg"))).unwrap_or(other),
        };
        match row {
            Some(l) => BadRow::new(l.number, column, self.value(l, column), why),
            None => BadRow::new(1, column, "", why),
        }
    }

    /// Reads a table of which each row makes one draft: `read` takes the values of a row, `held` says that the book holds
    /// the very same already, `check` looks at all the others, and `rows` writes what they become. The drafts are checked
    /// in the order of their rows.
    pub(super) fn records<D>(
        &self,
        mut read: impl FnMut(&mut Cells<'_>) -> Option<D>,
        mut held: impl FnMut(&D) -> bool,
        check: impl FnOnce(Vec<D>) -> Check,
        rows: impl FnOnce(&Entry) -> Vec<Vec<String>>,
    ) -> Result<Taken, Unfit> {
        let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        for (i, line) in self.rows.iter().enumerate() {
            let mut c = self.cells(line, &mut bad);
            let Some(draft) = read(&mut c).filter(|_| c.good()) else { continue };
            if held(&draft) {
                same.push(line.number);
                continue;
            }
            drafts.push(draft);
            order.push(i);
        }
        let check = (!drafts.is_empty()).then(|| check(drafts));
        self.outcome(bad, check, &order, same, |_| None, |c| rows(c.entry()))
    }

    /// Makes the outcome: the check's refusals join the values that could not be read. `order` tells which row of
    /// the file each row of the entry is; `shown` may say a refusal better than its own words do.
    pub(super) fn outcome(
        &self,
        mut bad: Vec<BadRow>,
        check: Option<Check>,
        order: &[usize],
        same: Vec<usize>,
        shown: impl Fn(&Refusal) -> Option<BadRow>,
        rows: impl FnOnce(&Checked) -> Vec<Vec<String>>,
    ) -> Result<Taken, Unfit> {
        let row = |n: usize| order.get(n).and_then(|i| self.rows.get(*i));
        let mut checked = None;
        match check {
            None => {}
            Some(Ok(c)) => checked = Some(c),
            Some(Err(refusals)) => bad.extend(refusals.iter().map(|r| {
                shown(r).unwrap_or_else(|| self.place(row(r.field.row), r.field.name, said(&r.why)))
            })),
        }
        if !bad.is_empty() {
            bad.sort_by_key(|b| b.line);
            bad.dedup();
            return Err(Unfit::Rows(bad));
        }
        let (mut cautions, mut lines) = (Vec::new(), Vec::new());
        if let Some(c) = &checked {
            let place = |q: &Question| Caution(self.place(row(q.field.row), q.field.name, q));
            cautions = c.questions().iter().map(place).collect();
            cautions.sort_by_key(|c: &Caution| c.0.line);
            lines = rows(c);
        }
        Ok(Taken { checked, rows: lines, same, cautions })
    }
}

/// Records of the book that rows of a file were found to be: each stands for one row, since the same may be written
/// twice.
#[derive(Debug)]
pub(super) struct Met<I>(HashSet<I>);

impl<I> Default for Met<I> {
    fn default() -> Self {
        Self(HashSet::new())
    }
}

impl<I: Eq + Hash> Met<I> {
    /// One of these that was not met before is the same: it is met now.
    pub(super) fn one<'r, R: 'r>(
        &mut self,
        all: impl IntoIterator<Item = &'r R>,
        id: impl Fn(&R) -> I,
        same: impl Fn(&R) -> bool,
    ) -> bool {
        let found = all.into_iter().find(|r| same(r) && !self.0.contains(&id(r)));
        found.map(|r| self.0.insert(id(r))).is_some()
    }
}

/// The words of a refusal in a file: some mend differently there than in a form.
pub(super) fn said(why: &Refused) -> String {
    match why {
        Refused::TagInUse { tag, by } => {
            format!("the tag {tag} is worn by {by} in the book already: take the row out, or mend the tag")
        }
        Refused::TagTwice(tag) => format!("the tag {tag} is given twice: mend one of the two"),
        other => other.to_string(),
    }
}

/// The sign between values: the one under which the first line names the most columns of the kind.
fn between(kind: Kind, text: &str) -> char {
    let first = text.lines().find(|l| !l.trim().is_empty()).unwrap_or_default();
    let known = |sign: &char| {
        let cells = first.split(*sign).map(|c| tidy(c.trim().trim_matches('"')));
        let known = cells.clone().filter(|c| kind.columns().iter().any(|k| k.name == c)).count();
        (known, cells.count())
    };
    // The last of equals is taken: a comma.
    ['\t', ';', ','].into_iter().max_by_key(|s| known(s).0 * 1000 + known(s).1).unwrap_or(',')
}

/// `Birth weight kg` names the same column as `birth_weight_kg`.
fn tidy(name: &str) -> String {
    name.trim().to_lowercase().replace([' ', '-'], "_")
}

/// The values of one row as they are read.
pub(super) struct Cells<'a> {
    sheet: &'a Sheet,
    line: &'a Line,
    bad: &'a mut Vec<BadRow>,
    before: usize,
    /// Its values may stand under the wrong columns: what they say is not worth a word.
    shifted: bool,
}

impl<'a> Cells<'a> {
    /// Everything read so far could be read.
    pub(super) fn good(&self) -> bool {
        self.bad.len() == self.before
    }

    /// The value as written.
    pub(super) fn value(&self, column: &str) -> &'a str {
        self.sheet.value(self.line, column)
    }

    /// Words, or nothing.
    pub(super) fn words(&self, column: &str) -> Option<String> {
        Some(self.value(column)).filter(|v| !v.is_empty()).map(str::to_string)
    }

    /// It is wrong.
    pub(super) fn wrong(&mut self, column: &str, why: impl std::fmt::Display) {
        if !self.shifted {
            let value = self.value(column);
            self.bad.push(BadRow::new(self.line.number, column, value, why));
        }
    }

    /// A value that may be blank.
    pub(super) fn may<T>(
        &mut self,
        column: &str,
        read: impl FnOnce(&str) -> Result<T, Misread>,
    ) -> Option<T> {
        let value = self.value(column);
        if value.is_empty() {
            return None;
        }
        match read(value) {
            Ok(v) => Some(v),
            Err(why) => {
                self.wrong(column, why);
                None
            }
        }
    }

    /// A value that is needed; `what` names it with its article.
    pub(super) fn must<T>(
        &mut self,
        column: &str,
        what: &str,
        read: impl FnOnce(&str) -> Result<T, Misread>,
    ) -> Option<T> {
        if self.value(column).is_empty() {
            self.wrong(column, format!("{what} is needed: fill it in, or take the row out"));
            return None;
        }
        self.may(column, read)
    }

    /// A day that is needed.
    pub(super) fn day(&mut self, column: &str) -> Option<Day> {
        self.must(column, "a day", Day::parse_iso)
    }
}

/// A decimal number with a point or a comma.
pub(super) fn decimal(text: &str) -> Result<f64, Misread> {
    let bare = text.trim().replace(',', ".");
    let plain = bare.starts_with(|c: char| c.is_ascii_digit())
        && bare.chars().all(|c| c.is_ascii_digit() || c == '.');
    plain
        .then(|| bare.parse::<f64>().ok())
        .flatten()
        .ok_or_else(|| Misread::new(format!("'{}' is not a number: write 2.5 or 2,5", text.trim())))
}

/// `yes` or `no`.
pub(super) fn yes_no(text: &str) -> Result<bool, Misread> {
    match text.to_lowercase().as_str() {
        "yes" | "y" | "1" | "true" => Ok(true),
        "no" | "n" | "0" | "false" => Ok(false),
        other => Err(Misread::new(format!("'{other}' is neither yes nor no: write one of the two"))),
    }
}

/// As [`yes_no`] reads it; nothing for none.
pub(super) fn yes_no_text(v: Option<bool>) -> String {
    v.map_or("", |y| if y { "yes" } else { "no" }).into()
}
