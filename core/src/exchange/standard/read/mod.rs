//! A document of the standard as entries of ours: read, matched with the book, checked as forms and tables are. Nothing
//! is written here.

mod animals;
mod care;
mod events;
mod facts;
mod field;
mod item;
mod moves;
mod scratch;
mod stream;

pub use field::BadRecord;

use super::schemes::{self, Ident, RECORD};
use super::time::Zone;
use crate::entry::{Check, Checked, Entry, Refused, Sure};
use crate::flock::Flock;
use crate::terms::{AnimalId, Day, Misread};
use field::Place;
use item::{Event, Items};
use std::collections::{BTreeMap, HashMap, HashSet};
pub use stream::MOST_BYTES;
use uuid::Uuid;

/// Why a document is not taken. Nothing of it is written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unread {
    /// More than the program takes at once, in megabytes.
    #[error("it has {0} MB, and no more than {most} MB are read at once: take it out of the other program in parts", most = stream::MOST_BYTES >> 20)]
    TooLarge(usize),
    /// Nothing in it.
    #[error("the file is empty: take it out of the other program again")]
    Empty,
    /// Not JSON, or out of all bounds.
    #[error(
        "line {line}, column {column}: {why}: take the file out of the other program again, as JSON of the ICAR ADE standard"
    )]
    NotJson {
        /// Line, from 1.
        line: usize,
        /// Column.
        column: usize,
        /// What is wrong.
        why: String,
    },
    /// JSON, but no resources.
    #[error("there are no resources of the ICAR ADE standard in it: each names its type as resourceType")]
    Nothing,
    /// Records that cannot be.
    #[error("{}", all(.0))]
    Bad(Vec<BadRecord>),
}

/// Faults by line; of many the first hundred.
fn all(bad: &[BadRecord]) -> String {
    let mut lines: Vec<String> = bad.iter().take(100).map(ToString::to_string).collect();
    if bad.len() > 100 {
        lines.push(format!("and {} more", bad.len() - 100));
    }
    lines.join("\n")
}

/// A record that would be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct New {
    /// What it is: animal, weighing, lambing, …
    pub kind: &'static str,
    /// The animal.
    pub animal: String,
    /// The day, where it has one.
    pub on: Option<Day>,
    /// In a few words.
    pub what: String,
}

/// What a document holds, read and checked; nothing is written yet.
#[derive(Debug)]
pub struct Incoming {
    file: String,
    checked: Vec<Checked>,
    /// What would be written, in the order of the book.
    pub new: Vec<New>,
    /// Records the book holds already.
    pub same: usize,
    /// What is left out, or taken otherwise than it stands there, with how often.
    pub told: Vec<String>,
    /// What looks unlikely, with its place.
    pub cautions: Vec<BadRecord>,
}

impl Incoming {
    /// `3 animals, 12 weighings from flock.json; 40 records already in the book`.
    pub fn sentence(&self) -> String {
        let mut text = self.what();
        if self.same > 0 {
            text.push_str(&format!("; {} already in the book", counted(self.same, "record")));
        }
        text
    }

    fn what(&self) -> String {
        let mut kinds: Vec<(&str, usize)> = Vec::new();
        for n in &self.new {
            match kinds.iter_mut().find(|(k, _)| *k == n.kind) {
                Some(k) => k.1 += 1,
                None => kinds.push((n.kind, 1)),
            }
        }
        let kinds: Vec<String> = kinds.into_iter().map(|(kind, n)| counted(n, kind)).collect();
        let kinds = if kinds.is_empty() { "nothing new".into() } else { kinds.join(", ") };
        format!("{kinds} from {}", self.file)
    }

    /// Nothing to write.
    pub fn is_empty(&self) -> bool {
        self.checked.is_empty()
    }

    /// The sentence of the journal and the entries, to be written as one. The keeper's word on what looks unlikely is kept
    /// before what was asked.
    ///
    /// # Errors
    /// A dose far beyond its label that the word does not say once more; gives itself back.
    pub fn sure(self, word: &str) -> Result<(String, Vec<Sure>), (Misread, Box<Self>)> {
        let reason = match word.trim() {
            "" => format!("imported from {}", self.file),
            word => format!("{word}; imported from {}", self.file),
        };
        let all: Result<Vec<Sure>, Misread> =
            self.checked.iter().map(|c| c.clone().despite(&reason)).collect();
        match all {
            Ok(all) => Ok((self.what(), all)),
            Err(why) => Err((why, Box::new(self))),
        }
    }
}

fn counted(n: usize, one: &str) -> String {
    match (n, one) {
        (1, one) => format!("1 {one}"),
        (n, one) => format!("{n} {one}s"),
    }
}

/// Reads a document against the flock: our own, one collection of the standard, a bare array, or one resource. `file` names
/// it in sentences.
///
/// # Errors
/// What is wrong with the file, or every record that cannot be.
pub fn read(file: &str, bytes: &[u8], flock: &Flock, zone: Zone, today: Day) -> Result<Incoming, Unread> {
    let mut items = Items::of(zone);
    stream::resources(bytes, &mut |resource| items.take(&resource))?;
    if items.seen == 0 {
        return Err(Unread::Nothing);
    }
    let mut reader = Reader::new(flock, today, &mut items);
    reader.animals(&mut items);
    // Without its animals nothing else can be told apart.
    if reader.bad.is_empty() {
        reader.joinings(items.joinings);
        reader.lambings(items.lambings, &items.births);
        reader.weighings(items.weighings);
        reader.scores(items.scores);
        reader.treatments(items.treatments);
        reader.moves(items.moves);
        reader.scans(items.scans);
    }
    if !reader.bad.is_empty() {
        return Err(Unread::Bad(reader.bad));
    }
    let told =
        reader.told.into_iter().map(|(what, n)| if n > 1 { format!("{what} ({n})") } else { what }).collect();
    Ok(Incoming {
        file: file.to_string(),
        checked: reader.checked,
        new: reader.new,
        same: reader.same,
        told,
        cautions: reader.cautions,
    })
}

/// What is known while a document is read.
struct Reader<'a> {
    /// The book's flock.
    book: &'a Flock,
    /// The same with all that was checked so far.
    flock: Flock,
    today: Day,
    /// Animals of the file by their identifiers.
    file: HashMap<Ident, AnimalId>,
    /// Animals of the file by their record's id where they come from.
    own: HashMap<Uuid, AnimalId>,
    /// Animals that are left out.
    strangers: HashSet<Ident>,
    /// Ids of events taken so far.
    taken: HashSet<Uuid>,
    checked: Vec<Checked>,
    new: Vec<New>,
    same: usize,
    told: BTreeMap<String, usize>,
    bad: Vec<BadRecord>,
    cautions: Vec<BadRecord>,
}

impl<'a> Reader<'a> {
    fn new(book: &'a Flock, today: Day, items: &mut Items) -> Self {
        Self {
            book,
            flock: book.clone(),
            today,
            file: HashMap::new(),
            own: HashMap::new(),
            strangers: items.strangers.drain(..).collect(),
            taken: HashSet::new(),
            checked: Vec::new(),
            new: Vec::new(),
            same: 0,
            told: std::mem::take(&mut items.told),
            bad: std::mem::take(&mut items.bad),
            cautions: Vec::new(),
        }
    }

    /// It is left out.
    fn leave(&mut self, what: &str) {
        *self.told.entry(format!("left out: {what}")).or_default() += 1;
    }

    /// The animal of an identifier: of the file, else of the book.
    fn find(&self, i: &Ident) -> Option<AnimalId> {
        if let Some(id) = self.file.get(i) {
            return Some(*id);
        }
        if i.scheme == RECORD {
            return Uuid::try_parse(&i.id).ok().and_then(|id| self.record(id));
        }
        match schemes::kind(&i.scheme) {
            Some((kind, None)) => self.book.wearing(kind, &i.id),
            _ => None,
        }
    }

    /// The animal that is this record where it comes from.
    fn record(&self, id: Uuid) -> Option<AnimalId> {
        let here = || Some(AnimalId(id)).filter(|id| self.book.animal(*id).is_some());
        self.own.get(&id).copied().or_else(here)
    }

    /// The animal of an event; what is of an animal left out is left out too.
    fn whose(&mut self, event: &Event) -> Option<AnimalId> {
        if let Some(id) = self.find(&event.animal) {
            return Some(id);
        }
        if self.strangers.contains(&event.animal) {
            self.leave("records of animals that are left out");
            return None;
        }
        let why = format!(
            "no animal of the file or the book has the identifier {} ({}): put the animal into the file, or take the record out",
            super::time::short(&event.animal.id),
            super::time::short(&event.animal.scheme)
        );
        self.bad.push(BadRecord::new(&event.place, "animal", why));
        None
    }

    /// The event is in the book, or stood in the file before: by its id.
    fn is_held(&mut self, event: &Event, held: impl Fn(Uuid) -> bool) -> bool {
        let Some(id) = event.record else { return false };
        let again = !self.taken.insert(id);
        let held = again || held(id);
        self.same += usize::from(held);
        held
    }

    /// Takes what a check says: refusals and questions at their places, else the entry, with the ids its records have where
    /// they come from.
    fn settle(&mut self, places: &[Place], check: Check, ids: impl FnOnce(&mut Entry)) {
        let place = |row: usize| places.get(row).or(places.last());
        match check {
            Err(refusals) => {
                for r in refusals {
                    let words = match &r.why {
                        Refused::TagInUse { tag, by } => format!(
                            "the tag {tag} is worn by {by} in the book already, and nothing else says that they are the same: mend the tag, or take the animal out"
                        ),
                        why => why.to_string(),
                    };
                    self.bad.extend(place(r.field.row).map(|p| BadRecord::new(p, r.field.name, words)));
                }
            }
            Ok(mut checked) => {
                ids(checked.entry_mut());
                for q in checked.questions() {
                    self.cautions.extend(place(q.field.row).map(|p| BadRecord::new(p, q.field.name, q)));
                }
                scratch::apply(&mut self.flock, checked.entry());
                self.checked.push(checked);
            }
        }
    }

    fn tell(&mut self, kind: &'static str, animal: AnimalId, on: Option<Day>, what: String) {
        let animal = self.flock.tag(animal).to_string();
        self.new.push(New { kind, animal, on, what });
    }
}

#[cfg(test)]
mod tests;
