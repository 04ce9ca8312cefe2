//! The roll: who was read. A reader's file or any pasted text with tags and numbers in it becomes a list of animals, of
//! numbers nobody wears, of those read twice and of those that are gone; of a pen or the whole flock it tells who is
//! missing.
//!
//! A table is read as [`super::scale`] reads it, with its weights and times; any other text is looked through for numbers
//! of animals. Of both readings the one that knows more animals holds, unless a table has a head or weights.

mod list;
mod near;
#[cfg(test)]
mod tests;

use super::fault::BadRow;
use super::names::Names;
use super::scale::{Choice, Role, ScaleFile, ScaleUnfit, Who};
use crate::flock::Flock;
use crate::terms::{AnimalId, Day, ElectronicId, Moment, Weight, counted};
use list::Item;
use near::Near;
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

/// Bytes of the longest text that is read: some hundred thousand readings.
pub const LONGEST: usize = 8_000_000;

/// Why nothing can be made of a text.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RollUnfit {
    /// A spreadsheet's own file, a picture, a program.
    #[error(
        "it is no text: take the list out of the reader as text or CSV, or copy the numbers and paste them"
    )]
    NotReadable,
    /// No tag, no number.
    #[error("there is no tag and no number in it: take the list out of the reader again, or copy it whole")]
    NobodyRead,
    /// More than any flock has.
    #[error("it is longer than 8 MB: a list of animals is shorter, take it out of the reader again")]
    TooLong,
}

/// Whose number was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Called {
    /// This animal's.
    Found(AnimalId),
    /// Nobody's in the book; with the animals whose tag or number is one sign off, at most three.
    Unknown(Vec<NearBy>),
    /// Several may be meant; says which.
    Several(String),
    /// It is no number: says what is wrong and what to do.
    Wrong(String),
}

/// An animal whose mark is one sign off.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NearBy {
    /// The animal.
    pub animal: AnimalId,
    /// Its mark.
    pub mark: String,
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub struct RollRow {
    /// The line of the text, from 1.
    pub line: usize,
    /// As it was read.
    pub read: String,
    /// The electronic number, if it is one.
    pub number: Option<ElectronicId>,
    /// Whose it is.
    pub who: Called,
    /// When it was read, if the text says so.
    pub at: Option<Moment>,
    /// Its weight, if one stands beside it.
    pub weight: Option<Weight>,
    /// It was read before, on this line.
    pub first: Option<usize>,
    /// The animal is no longer in the flock.
    pub is_gone: bool,
    /// What is odd of it, in sentences.
    pub odd: Vec<String>,
}

impl RollRow {
    /// Its animal.
    pub fn animal(&self) -> Option<AnimalId> {
        match self.who {
            Called::Found(id) => Some(id),
            _ => None,
        }
    }

    /// What was read once already.
    pub fn is_again(&self) -> bool {
        self.first.is_some()
    }
}

/// A text taken apart.
#[derive(Debug, Clone)]
pub struct RollText {
    name: String,
    form: Form,
}

#[derive(Debug, Clone)]
enum Form {
    Table(Arc<ScaleFile>),
    List(list::Read),
}

/// Who was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Roll {
    /// Where it comes from.
    pub name: String,
    /// The readings in their order.
    pub rows: Vec<RollRow>,
    /// Lines of a table of which no animal can be told.
    pub bad: Vec<BadRow>,
    /// Lines without any tag or number.
    pub left_out: usize,
    /// Weights stand beside the numbers: they may go on to a session at the scale.
    pub has_weights: bool,
}

impl RollText {
    /// Takes a text apart. `name` names it in sentences.
    ///
    /// # Errors
    /// There is nobody in it.
    pub fn read(name: &str, bytes: &[u8], flock: &Flock, today: Day) -> Result<Self, RollUnfit> {
        if bytes.len() > LONGEST {
            return Err(RollUnfit::TooLong);
        }
        let names = Names::of(flock);
        let lines = match super::scale::plain_lines(bytes) {
            Ok(lines) => lines,
            Err(ScaleUnfit::TooLarge) => return Err(RollUnfit::TooLong),
            Err(ScaleUnfit::NoText) => return Err(RollUnfit::NotReadable),
            Err(ScaleUnfit::NothingThere | ScaleUnfit::NoTags(_)) => return Err(RollUnfit::NobodyRead),
        };
        let list = list::read(&lines, &names, flock);
        if list.items.is_empty() {
            return Err(RollUnfit::NobodyRead);
        }
        let name = name.to_string();
        if let Ok(table) = ScaleFile::read(&name, bytes, flock) {
            let (has_head, lines) = table.shape();
            let columns = table.columns();
            let has = |role: Role| columns.iter().any(|c| c.role == role);
            let is_wide = lines > 1 && (has(Role::Weight) || has(Role::Tag) && has(Role::Electronic));
            if has_head || is_wide || table_tells(&table, flock, today) >= list.tells() {
                return Ok(Self { name, form: Form::Table(Arc::new(table)) });
            }
        }
        Ok(Self { name, form: Form::List(list) })
    }

    /// The table, where it is one: its weights can be read on as a session at the scale.
    pub fn table(&self) -> Option<&Arc<ScaleFile>> {
        match &self.form {
            Form::Table(file) => Some(file),
            Form::List(_) => None,
        }
    }

    /// The text read against the flock as it stands.
    pub fn roll(&self, flock: &Flock, today: Day) -> Roll {
        let mut roll = Roll {
            name: self.name.clone(),
            rows: Vec::new(),
            bad: Vec::new(),
            left_out: 0,
            has_weights: false,
        };
        match &self.form {
            Form::Table(file) => of_table(&mut roll, file, flock, today),
            Form::List(list) => {
                roll.left_out = list.left_out;
                roll.rows = list.items.iter().map(row).collect();
            }
        }
        judge(&mut roll.rows, flock);
        roll
    }
}

/// How many different animals and numbers a table tells.
fn table_tells(table: &ScaleFile, flock: &Flock, today: Day) -> usize {
    let p = table.preview(&tags_of(table), flock, today);
    let unknown = p.rows.iter().filter(|r| r.animal().is_none()).filter_map(|r| r.electronic.as_deref());
    p.order().len() + unknown.collect::<HashSet<&str>>().len()
}

/// A table's columns of tags alone, so that a weight that cannot be read does not hide who was there.
fn tags_of(file: &ScaleFile) -> Choice {
    let keep = |r: Role| if matches!(r, Role::Tag | Role::Electronic) { r } else { Role::Skip };
    Choice { roles: Some(file.columns().iter().map(|c| keep(c.role)).collect()), ..Choice::default() }
}

fn of_table(roll: &mut Roll, file: &ScaleFile, flock: &Flock, today: Day) {
    let whole = file.preview(&Choice::default(), flock, today);
    let has_days = whole.columns.iter().any(|c| matches!(c.role, Role::Day | Role::Time | Role::DayTime));
    let said: HashMap<usize, (Option<Moment>, Option<Weight>)> =
        whole.rows.iter().map(|r| (r.line, (r.at.filter(|_| has_days), r.weight))).collect();
    let tags = file.preview(&tags_of(file), flock, today);
    for r in tags.rows {
        let again = r.again.map(|line| format!("on line {line} again"));
        let gone = r.animal().and_then(|id| flock.animal(id)).map(gone_words);
        let odd = r.odd.iter().filter(|o| Some(*o) != again.as_ref() && Some(*o) != gone.as_ref());
        let (at, weight) = said.get(&r.line).copied().unwrap_or_default();
        let odd = odd.cloned().collect();
        let who = match r.who {
            Who::Found(id) => Called::Found(id),
            Who::Several(which) => Called::Several(which),
            Who::Unknown => unknown(&r.tag),
        };
        let number = r.electronic.as_deref().and_then(|n| ElectronicId::parse(n).ok());
        let read =
            RollRow { line: r.line, read: r.tag, number, who, at, weight, first: None, is_gone: false, odd };
        roll.rows.push(read);
    }
    roll.has_weights = roll.rows.iter().any(|r| r.weight.is_some());
    roll.bad = tags.bad;
}

fn row(item: &Item) -> RollRow {
    let odd = item.taken_for.iter().map(|t| format!("{} is taken for {t}", item.text)).collect();
    RollRow {
        line: item.line,
        read: item.text.clone(),
        number: item.number,
        who: item.who.clone(),
        at: None,
        weight: None,
        first: None,
        is_gone: false,
        odd,
    }
}

/// A number nobody wears, or a text that is none.
fn unknown(text: &str) -> Called {
    match ElectronicId::typed(text) {
        Some(Err(why)) => Called::Wrong(why.0),
        _ => Called::Unknown(Vec::new()),
    }
}

fn gone_words(a: &crate::flock::Animal) -> String {
    format!("{} is {}", a.tag(), a.status.words())
}

/// Who came before, who is gone, and whose number is nearest to one nobody wears.
fn judge(rows: &mut [RollRow], flock: &Flock) {
    let mut animals: HashMap<AnimalId, usize> = HashMap::new();
    let mut others: HashMap<String, usize> = HashMap::new();
    let mut near: Option<Near> = None;
    for r in rows {
        let line = r.line;
        match &mut r.who {
            Called::Found(id) => {
                if let Some(a) = flock.animal(*id)
                    && !a.status.is_here()
                {
                    r.is_gone = true;
                    r.odd.insert(0, gone_words(a));
                }
                r.first = first(&mut animals, *id, line);
            }
            Called::Unknown(all) => {
                let mark = r.number.map_or_else(|| crate::terms::norm(&r.read), ElectronicId::digits);
                r.first = first(&mut others, mark.clone(), line);
                *all = near.get_or_insert_with(|| Near::of(flock)).of_mark(&mark);
            }
            Called::Several(_) | Called::Wrong(_) => {
                r.first = first(&mut others, crate::terms::norm(&r.read), line);
            }
        }
    }
}

/// The line where it stood first; none if it is this one.
fn first<K: std::hash::Hash + Eq>(seen: &mut HashMap<K, usize>, key: K, line: usize) -> Option<usize> {
    match seen.entry(key) {
        std::collections::hash_map::Entry::Occupied(first) => Some(*first.get()),
        std::collections::hash_map::Entry::Vacant(place) => {
            place.insert(line);
            None
        }
    }
}

impl Roll {
    /// Animals that were read, each once, in the order they came; those that are gone among them.
    pub fn animals(&self) -> Vec<AnimalId> {
        self.rows.iter().filter(|r| !r.is_again()).filter_map(RollRow::animal).collect()
    }

    /// Those of them that are in the flock: what can be done to a list is done to these.
    pub fn here(&self) -> Vec<AnimalId> {
        let here = self.rows.iter().filter(|r| !r.is_again() && !r.is_gone);
        here.filter_map(RollRow::animal).collect()
    }

    /// Readings nobody of the book can be told of, each once.
    pub fn unknown(&self) -> impl Iterator<Item = &RollRow> {
        self.rows.iter().filter(|r| r.animal().is_none() && !r.is_again())
    }

    /// Animals of these that were not read, in their order.
    pub fn missing(&self, of: &[AnimalId]) -> Vec<AnimalId> {
        let read: HashSet<AnimalId> = self.rows.iter().filter_map(RollRow::animal).collect();
        of.iter().copied().filter(|id| !read.contains(id)).collect()
    }

    /// Animals that were read and are none of these, in the order they came.
    pub fn strays(&self, of: &[AnimalId]) -> Vec<AnimalId> {
        let of: HashSet<&AnimalId> = of.iter().collect();
        self.here().into_iter().filter(|id| !of.contains(id)).collect()
    }

    /// `24 readings: 20 animals in the flock, 1 gone, 1 not in the book, 2 read again`.
    pub fn sentence(&self) -> String {
        let mut parts = vec![format!("{} in the flock", counted(self.here().len(), "animal"))];
        let mut some = |n: usize, words: &str| {
            if n > 0 {
                parts.push(format!("{n} {words}"));
            }
        };
        some(self.animals().len() - self.here().len(), "gone");
        let is_unknown = |r: &&RollRow| matches!(r.who, Called::Unknown(_));
        some(self.unknown().filter(is_unknown).count(), "not in the book");
        some(self.unknown().filter(|r| !is_unknown(r)).count(), "that cannot be told");
        some(self.rows.iter().filter(|r| r.is_again()).count(), "read again");
        some(self.bad.len(), "to mend");
        let without = match self.left_out {
            0 => String::new(),
            n => format!("; {} without a number left out", counted(n, "line")),
        };
        format!("{}: {}{without}", counted(self.rows.len(), "reading"), parts.join(", "))
    }
}
