//! The preview of a file, and what is written of it.

use super::super::fault::BadRow;
use super::super::names::Names;
use super::days;
use super::rows::{self, Half, ScaleRow, Who};
use super::{Choice, Role, ScaleFile, SeenColumn, Unit};
use crate::entry::{Check, SessionDraft, SessionPick, WeighedRow, weighed};
use crate::exchange::days::{DateOrder, Written};
use crate::flock::Flock;
use crate::reckon::curves::{Row, misread_tags};
use crate::reckon::growth::{Odd, gains, odd};
use crate::terms::{AnimalId, Day, ElectronicId, Moment, Units};
use std::collections::{BTreeMap, HashMap};

/// Days that can be read in two ways.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DateAsk {
    /// As written on some line.
    pub written: String,
    /// Its line.
    pub line: usize,
    /// What it would be in each order that fits the whole file.
    pub readings: Vec<(DateOrder, Day)>,
}

/// An electronic number beside the tag of an animal that has none in the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewNumber {
    /// The animal.
    pub animal: AnimalId,
    /// 15 digits.
    pub number: String,
    /// The line.
    pub line: usize,
}

/// A file read against the flock.
#[derive(Debug, Clone, PartialEq)]
pub struct Preview {
    /// The file's name.
    pub file: String,
    /// Its columns with the roles they were read in.
    pub columns: Vec<SeenColumn>,
    /// How it was read, in short sentences.
    pub how: Vec<String>,
    /// Days that can be read in two ways: nothing is written until this is answered.
    pub ask: Option<DateAsk>,
    /// Figures without a unit were read in this one.
    pub unit: Unit,
    /// Lines with a tag, in the order of the file.
    pub rows: Vec<ScaleRow>,
    /// Lines that cannot be read, each with the mend.
    pub bad: Vec<BadRow>,
    /// There are no weights and no scores: it tells who was there.
    pub is_tags_only: bool,
    /// Electronic numbers the book does not have yet, beside a tag it has.
    pub new_numbers: Vec<NewNumber>,
}

impl Preview {
    /// Animals of the file, each once, in the order they came.
    pub fn order(&self) -> Vec<AnimalId> {
        let mut all = Vec::new();
        for id in self.rows.iter().filter_map(ScaleRow::animal) {
            if !all.contains(&id) {
                all.push(id);
            }
        }
        all
    }

    /// Tags and numbers nobody wears, with their lines.
    pub fn unknown(&self) -> Vec<(&str, usize)> {
        let some = self.rows.iter().filter(|r| !matches!(r.who, Who::Found(_)));
        some.map(|r| (r.electronic.as_deref().unwrap_or(&r.tag), r.line)).collect()
    }

    /// Animals of a pen or field that are not in the file, in the order of the pen.
    pub fn absent(&self, flock: &Flock, group: &str) -> Vec<AnimalId> {
        let there = self.order();
        flock.in_pen(group).into_iter().filter(|id| !there.contains(id)).collect()
    }

    /// How many rows will be written.
    pub fn taken(&self) -> usize {
        self.rows.iter().filter(|r| r.is_taken).count()
    }

    /// `24 lines: 22 weighed, 1 not in the book, 1 to mend`.
    pub fn sentence(&self) -> String {
        let count = |n: usize, one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
        let mut parts = Vec::new();
        let some = |keep: &dyn Fn(&&ScaleRow) -> bool| self.rows.iter().filter(keep).count();
        let weighed = some(&|r| r.is_taken && r.weight.is_some());
        let scored = some(&|r| r.is_taken && r.weight.is_none());
        if self.is_tags_only {
            parts.push(format!("{} there", count(self.order().len(), "animal", "animals")));
        } else {
            parts.push(count(weighed, "weight", "weights"));
        }
        if scored > 0 {
            parts.push(format!("{scored} with scores alone"));
        }
        let unknown = self.unknown().len();
        if unknown > 0 {
            parts.push(format!("{unknown} not in the book"));
        }
        let twice = some(&|r| r.again.is_some() && !r.is_taken);
        if twice > 0 && !self.is_tags_only {
            parts.push(format!("{twice} left out, on another line again"));
        }
        if !self.bad.is_empty() {
            parts.push(format!("{} to mend", count(self.bad.len(), "line", "lines")));
        }
        let lines = self.rows.len() + self.bad.len();
        format!("{}: {}", count(lines, "line", "lines"), parts.join(", "))
    }

    /// What would be written: one session for each day of the file. Nothing while it is asked how days are written, and
    /// nothing for a file of tags alone.
    pub fn checks(&self, session: &SessionDraft, flock: &Flock, today: Day) -> Vec<DaySession> {
        let mut by_day: BTreeMap<Day, (Vec<usize>, Vec<WeighedRow>)> = BTreeMap::new();
        for r in self.rows.iter().filter(|r| r.is_taken && self.ask.is_none()) {
            let (Some(animal), Some(at)) = (r.animal(), r.at) else { continue };
            let (weight, scores, note) = (r.weight, r.scores.clone(), r.note.clone());
            let day = by_day.entry(at.day).or_default();
            day.0.push(r.line);
            day.1.push(WeighedRow { animal, at, weight, scores, note });
        }
        let made = |(on, (lines, rows)): (Day, (Vec<usize>, Vec<WeighedRow>))| {
            let mut draft = session.clone();
            draft.time = draft.time.or_else(|| rows.iter().filter_map(|r| r.at.time).min());
            let said = format!("{} at the scale on {}, read from {}", rows.len(), on.words(), self.file);
            let check = weighed(SessionPick::New(draft), rows, flock, today).map(|c| c.called(said));
            DaySession { on, lines, check }
        };
        by_day.into_iter().map(made).collect()
    }

    /// The sentence of what would be written in one line of the journal.
    pub fn written(&self) -> String {
        let n = self.taken();
        format!("{n} at the scale, read from {}", self.file)
    }
}

/// A day of a file as one session.
#[derive(Debug)]
pub struct DaySession {
    /// The day.
    pub on: Day,
    /// The line of the file of each row.
    pub lines: Vec<usize>,
    /// The session, checked.
    pub check: Check,
}

pub(super) fn make(file: &ScaleFile, choice: &Choice, flock: &Flock, names: &Names, today: Day) -> Preview {
    let mut roles = choice.roles.clone().unwrap_or_else(|| file.roles.clone());
    roles.resize(file.width, Role::Skip);
    let (by_file, is_named) = file.unit(&roles, flock.holding().units);
    let unit = choice.unit.unwrap_or(by_file);
    let heads = |at: usize| {
        let head = file.head.as_ref().and_then(|h| h.cells.get(at)).filter(|h| !h.is_empty());
        head.cloned().unwrap_or_else(|| (at + 1).to_string())
    };
    let mut bad = Vec::new();
    let halves: Vec<Half> = file
        .lines
        .iter()
        .filter_map(|l| rows::read(l, &roles, &heads, unit, names, flock, &mut bad))
        .collect();
    let written: Vec<Written> = halves.iter().filter_map(|h| h.day).collect();
    let fits = days::orders(&written, today);
    let order = choice.order.or(match fits.as_slice() {
        [one] => Some(*one),
        _ => None,
    });
    let ask = order.is_none().then(|| asked(&halves, &fits)).flatten();
    let has_days = roles.iter().any(|r| matches!(r, Role::Day | Role::DayTime));
    let (mut all, mut other_days) = (Vec::new(), 0);
    for half in halves {
        let before = bad.len();
        let day = match half.day {
            Some(_) => rows::day_of(&half, order, today, &mut bad),
            None if has_days => choice.on,
            None => Some(choice.on.unwrap_or(today)),
        };
        if bad.len() > before {
            continue;
        }
        if day.is_some() && choice.on.is_some_and(|on| day != Some(on)) {
            other_days += 1;
            continue;
        }
        if day.is_none() && half.day.is_none() {
            bad.push(BadRow::new(
                half.row.line,
                "",
                "",
                "there is no day in it: write it in, or say the day of the weighing",
            ));
            continue;
        }
        let mut row = half.row;
        row.at = day.map(|d| days::moment(d, half.time));
        all.push(row);
    }
    bad.sort_by_key(|b| b.line);
    let is_tags_only = !all.iter().any(ScaleRow::says_something);
    judged(&mut all, flock);
    taken(&mut all, choice);
    let new_numbers = new_numbers(&all, flock);
    let mut columns = file.columns();
    columns.iter_mut().zip(&roles).for_each(|(c, r)| c.role = *r);
    let said = Said { unit, is_named, has_days, order, figures: !fits.is_empty(), other_days };
    let how = how(file, &roles, &all, choice, today, &said);
    Preview { file: file.name.clone(), columns, how, ask, unit, rows: all, bad, is_tags_only, new_numbers }
}

/// The first day that is not the same in every order that fits.
fn asked(halves: &[Half], fits: &[DateOrder]) -> Option<DateAsk> {
    halves.iter().find_map(|h| {
        let w = h.day.filter(|w| w.is_open())?;
        let readings: Vec<(DateOrder, Day)> =
            fits.iter().filter_map(|o| w.day(*o, days::LAST_YEAR).map(|d| (*o, d))).collect();
        let differ = readings.iter().any(|(_, d)| Some(*d) != readings.first().map(|(_, d)| *d));
        (differ || fits.is_empty()).then(|| DateAsk {
            written: h.day_text.clone(),
            line: h.row.line,
            readings,
        })
    })
}

/// What is odd of each weight, and which animals come again.
fn judged(rows: &mut [ScaleRow], flock: &Flock) {
    let units = flock.holding().units;
    let mut seen: HashMap<(AnimalId, Option<Day>), Vec<usize>> = HashMap::new();
    for (n, r) in rows.iter_mut().enumerate() {
        let Some(f) = r.animal().and_then(|id| flock.file(id)) else { continue };
        let day = r.at.map(|a| a.day);
        seen.entry((f.animal.id, day)).or_default().push(n);
        if !f.animal.status.is_here() {
            r.odd.push(format!("{} is {}", f.animal.tag(), f.animal.status.words()));
        }
        if let (Some(w), Some(day)) = (r.weight, day) {
            r.gains = Some(gains(f, day, w));
            if let Some(what) = odd(f, day, w) {
                r.odd.push(odd_words(what, units));
            }
        }
    }
    misread(rows, flock);
    for list in seen.into_values().filter(|l| l.len() > 1) {
        for (i, n) in list.iter().enumerate() {
            // Each names the next, the last the one before it.
            let other = list.get(i + 1).or_else(|| list.get(i.wrapping_sub(1))).copied();
            let line = other.map(|o| rows[o].line);
            rows[*n].again = line;
            if let Some(line) = line {
                rows[*n].odd.push(format!("on line {line} again"));
            }
        }
    }
}

/// Tags that were read wrongly, as the weights tell.
fn misread(rows: &mut [ScaleRow], flock: &Flock) {
    let weighed: Vec<(usize, Row)> = rows
        .iter()
        .enumerate()
        .filter_map(|(n, r)| {
            let row = Row { animal: r.animal()?, on: r.at?.day, weight: r.weight? };
            Some((n, row))
        })
        .collect();
    let all: Vec<Row> = weighed.iter().map(|(_, r)| *r).collect();
    for found in misread_tags(flock, &all) {
        if let Some((n, _)) = weighed.get(found.row) {
            rows[*n].odd.push(found.why);
        }
    }
}

fn odd_words(what: Odd, units: Units) -> String {
    match what {
        Odd::Loss { before, on } => format!("lighter than its {} on {}", before.show(units), on.words()),
        Odd::Gain { gain, before, on } => {
            format!(
                "{} since its {} on {}: no lamb gains that",
                gain.show(units),
                before.show(units),
                on.words()
            )
        }
        Odd::Jump { before, on } => format!("far from its {} on {}", before.show(units), on.words()),
        Odd::OffCurve { low, high, .. } => {
            format!("its own curve expects {} to {}", low.show(units), high.show(units))
        }
    }
}

/// Found, with a weight or score; of an animal that comes again on one day the last line that says something, unless
/// the keeper turned it.
fn taken(rows: &mut [ScaleRow], choice: &Choice) {
    let mut last: HashMap<(AnimalId, Option<Day>), usize> = HashMap::new();
    for (n, r) in rows.iter().enumerate().filter(|(_, r)| r.says_something()) {
        if let Some(id) = r.animal() {
            last.insert((id, r.at.map(|a| a.day)), n);
        }
    }
    for (n, r) in rows.iter_mut().enumerate() {
        let Some(id) = r.animal() else { continue };
        let proposed = last.get(&(id, r.at.map(|a| a.day))) == Some(&n);
        let may = r.says_something() && r.at.is_some();
        r.is_taken = may && (proposed != choice.turned.contains(&r.line));
    }
}

fn new_numbers(rows: &[ScaleRow], flock: &Flock) -> Vec<NewNumber> {
    let mut all: Vec<NewNumber> = Vec::new();
    for r in rows {
        let (Some(f), Some(number)) = (r.animal().and_then(|id| flock.file(id)), &r.electronic) else {
            continue;
        };
        let digits = |t: &str| ElectronicId::parse(t).map(|e| e.digits()).ok();
        let wears = |t: &crate::flock::Identity| digits(t.tag.as_str()).as_deref() == Some(number);
        let has = f.animal.identities.iter().any(wears);
        let none = f.animal.worn(crate::terms::IdentityKind::Electronic).is_none();
        if !has && none && !all.iter().any(|n| n.animal == f.animal.id || n.number == *number) {
            all.push(NewNumber { animal: f.animal.id, number: number.clone(), line: r.line });
        }
    }
    all
}

struct Said {
    unit: Unit,
    is_named: bool,
    has_days: bool,
    order: Option<DateOrder>,
    figures: bool,
    other_days: usize,
}

/// How the file was read, for the keeper to check.
fn how(
    file: &ScaleFile,
    roles: &[Role],
    rows: &[ScaleRow],
    choice: &Choice,
    today: Day,
    said: &Said,
) -> Vec<String> {
    let mut how = vec![file.sign.words().to_string()];
    how.push(if file.head.is_some() { "a head line".into() } else { "no head line".into() });
    if file.comments > 0 {
        how.push(format!(
            "{} left out as comments",
            if file.comments == 1 { "1 line".into() } else { format!("{} lines", file.comments) }
        ));
    }
    if file.is_latin {
        how.push("letters in an older form (Latin-1)".into());
    }
    if roles.contains(&Role::Weight) {
        let unit = said.unit.word();
        how.push(match (choice.unit.is_some(), said.is_named) {
            (true, _) => format!("weights in {unit}, as you said"),
            (_, true) => format!("weights in {unit}, as the head says"),
            _ => format!("weights in {unit} where no unit is written, as in the book"),
        });
    }
    match (said.has_days, said.figures, said.order) {
        (false, ..) => {
            how.push(format!("no day in it: taken for {}", choice.on.unwrap_or(today).words()));
        }
        (true, true, Some(order)) => how.push(format!("days as {order}")),
        _ => {}
    }
    let days: std::collections::BTreeSet<Day> =
        rows.iter().filter_map(|r| r.at).map(|a: Moment| a.day).collect();
    if let (Some(on), 1..) = (choice.on, said.other_days) {
        how.push(format!("only {}: {} of other days left out", on.words(), said.other_days));
    }
    if days.len() > 1 {
        how.push(format!("{} days, each becomes a session of its own", days.len()));
    }
    how
}
