//! Rows of a file: each line's values read, its animal looked for.

use super::super::fault::BadRow;
use super::super::names::{Names, NotFound};
use super::days;
use super::number::{electronic, find, is_cut_short};
use super::text::Line;
use super::{Role, Unit, weight};
use crate::exchange::days::{DateOrder, Written};
use crate::flock::Flock;
use crate::reckon::growth::Gains;
use crate::terms::{AnimalId, Day, Minute, Moment, Score, Weight};

/// Whose line it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Who {
    /// This animal's.
    Found(AnimalId),
    /// Nobody's in the book.
    Unknown,
    /// Several may be meant; says which.
    Several(String),
}

/// A line of the file.
#[derive(Debug, Clone, PartialEq)]
pub struct ScaleRow {
    /// As an editor counts, from 1.
    pub line: usize,
    /// The tag as written.
    pub tag: String,
    /// The electronic number, if there is one, 15 digits.
    pub electronic: Option<String>,
    /// Whose it is.
    pub who: Who,
    /// When; none while it is asked how days are written.
    pub at: Option<Moment>,
    /// Its weight, if something was on the scale.
    pub weight: Option<Weight>,
    /// Scores.
    pub scores: Vec<Score>,
    /// Remark.
    pub note: Option<String>,
    /// Gains since birth and since the last weighing.
    pub gains: Option<Gains>,
    /// What is odd of it, in sentences.
    pub odd: Vec<String>,
    /// It will be written.
    pub is_taken: bool,
    /// The same animal on another line.
    pub again: Option<usize>,
}

impl ScaleRow {
    /// Its animal.
    pub fn animal(&self) -> Option<AnimalId> {
        match self.who {
            Who::Found(id) => Some(id),
            _ => None,
        }
    }

    /// There is a weight or a score in it.
    pub fn says_something(&self) -> bool {
        self.weight.is_some() || !self.scores.is_empty()
    }
}

/// A line whose values are read, the day as written.
pub(super) struct Half {
    pub row: ScaleRow,
    pub day: Option<Written>,
    pub time: Option<Minute>,
    pub day_text: String,
    pub day_column: String,
}

/// The values of one line under their roles; nothing for a line without a tag that says nothing either.
pub(super) fn read(
    line: &Line,
    roles: &[Role],
    heads: &dyn Fn(usize) -> String,
    unit: Unit,
    names: &Names,
    flock: &Flock,
    bad: &mut Vec<BadRow>,
) -> Option<Half> {
    let before = bad.len();
    let (mut tag, mut number) = (String::new(), String::new());
    let mut row = ScaleRow {
        line: line.number,
        tag: String::new(),
        electronic: None,
        who: Who::Unknown,
        at: None,
        weight: None,
        scores: Vec::new(),
        note: None,
        gains: None,
        odd: Vec::new(),
        is_taken: false,
        again: None,
    };
    let mut half_day: (Option<Written>, Option<Minute>, String, String) = Default::default();
    for (at, cell) in line.cells.iter().enumerate() {
        let role = roles.get(at).copied().unwrap_or(Role::Skip);
        let mut wrong = |why: String| bad.push(BadRow::new(line.number, &heads(at), cell, why));
        if cell.is_empty() {
            continue;
        }
        match role {
            Role::Skip => {}
            Role::Tag => tag = cell.clone(),
            Role::Electronic => number = cell.clone(),
            Role::Weight => match weight::read(cell, unit) {
                Ok(w) => row.weight = w,
                Err(why) => wrong(why.to_string()),
            },
            Role::Day => match days::day(cell, true) {
                Some(d) => (half_day.0, half_day.2, half_day.3) = (Some(d), cell.clone(), heads(at)),
                None => wrong("it is not a day: write it like 2026-04-08".into()),
            },
            Role::Time => match days::time(cell) {
                Some(t) => half_day.1 = Some(t),
                None => wrong("it is not a time: write it like 06:40".into()),
            },
            Role::DayTime => match (days::both(cell), days::day(cell, true)) {
                (Some((d, t)), _) => half_day = (Some(d), Some(t), cell.clone(), heads(at)),
                (None, Some(d)) => half_day = (Some(d), None, cell.clone(), heads(at)),
                (None, None) => wrong("it is not a day and a time: write it like 2026-04-08 06:40".into()),
            },
            Role::Note => row.note = Some(cell.clone()),
            Role::Score(kind) => match Score::parse(kind, cell) {
                Ok(s) => row.scores.push(s),
                Err(why) => wrong(why.to_string()),
            },
        }
    }
    if is_cut_short(&number) || is_cut_short(&tag) {
        let cut = if number.is_empty() { &tag } else { &number };
        let why = "a spreadsheet cut the electronic number short: take the list out of the reader once more and do not save it in a spreadsheet";
        bad.push(BadRow::new(line.number, "", cut, why));
        return None;
    }
    if tag.is_empty() && number.is_empty() {
        if row.says_something() {
            bad.push(BadRow::new(
                line.number,
                "",
                "",
                "there is no tag in it: write it in, or take the line out",
            ));
        }
        return None;
    }
    whose(&mut row, &tag, &number, names, flock);
    // A line with a fault is shown with the faults, not with the rows.
    (bad.len() == before).then_some(Half {
        row,
        day: half_day.0,
        time: half_day.1,
        day_text: half_day.2,
        day_column: half_day.3,
    })
}

/// The electronic number goes before the tag; if the two are of different animals, that is odd.
fn whose(row: &mut ScaleRow, tag: &str, number: &str, names: &Names, flock: &Flock) {
    row.electronic = electronic(if number.is_empty() { tag } else { number }).map(|e| e.digits());
    row.tag = if tag.is_empty() { number.to_string() } else { tag.to_string() };
    let by = |text: &str| (!text.is_empty()).then(|| find(names, text));
    let (by_number, by_tag) = (by(number), by(tag));
    let mut guess = |text: &str, as_found: &Option<String>| {
        if let Some(found) = as_found {
            row.odd.push(format!("{text} is taken for {found}"));
        }
    };
    row.who = match (by_number, by_tag) {
        (Some(Ok((a, how))), Some(Ok((b, _)))) => {
            guess(number, &how);
            if a != b {
                row.odd.push(format!(
                    "the electronic number is worn by {}, the tag by {}: look which of the two it was",
                    flock.tag(a),
                    flock.tag(b)
                ));
            }
            Who::Found(a)
        }
        (Some(Ok((a, how))), _) => {
            guess(number, &how);
            Who::Found(a)
        }
        (number_said, Some(Ok((b, how)))) => {
            guess(tag, &how);
            if let (Some(Err(NotFound::None)), Some(e)) = (number_said, &row.electronic) {
                row.odd.push(format!("the book does not have the electronic number {e} of {}", flock.tag(b)));
            }
            Who::Found(b)
        }
        (Some(Err(NotFound::Several(s))), _) | (_, Some(Err(NotFound::Several(s)))) => Who::Several(s),
        _ => Who::Unknown,
    };
}

/// The day of a line in an order; what stands in the way goes to the faults.
pub(super) fn day_of(
    half: &Half,
    order: Option<DateOrder>,
    today: Day,
    bad: &mut Vec<BadRow>,
) -> Option<Day> {
    let written = half.day?;
    let day = match (written, order) {
        (Written::Sure(d), _) => Some(d),
        (_, Some(order)) => written.day(order, days::LAST_YEAR),
        (_, None) => return None,
    };
    let wrong = |why: String| BadRow::new(half.row.line, &half.day_column, &half.day_text, why);
    match (day, order) {
        (Some(d), _) if d > today => {
            bad.push(wrong(format!(
                "{} is yet to come: set the clock of the reader, and mend the day here",
                d.words()
            )));
            None
        }
        (Some(d), _) => Some(d),
        (None, Some(order)) => {
            bad.push(wrong(format!("there is no such day, read as {order}: mend it")));
            None
        }
        (None, None) => None,
    }
}
