//! What cannot be, or is doubtful, in the pedigree as it stands in the book: it may come from an older book, an
//! import or an edit. Every doubt names its animals, says what is wrong and what to do, and leads to the record to mend.
//! One pass over the flock with indexes; each kind is listed up to a bound and counted to its end.

mod circles;
mod genes;
mod parents;
mod times;
mod twice;
mod words;

#[cfg(test)]
mod tests;

use crate::phrase;
pub use words::{DoubtKind, Weight};

use crate::flock::{Animal, AnimalFile, Flock, Link, natural};
use crate::terms::AnimalId;

/// Of each kind so many are listed; the others are counted.
const MOST: usize = 300;

/// One thing that cannot be or is doubtful.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// What it is.
    pub kind: DoubtKind,
    /// The animals it is about; the first is the one to open.
    pub animals: Vec<AnimalId>,
    /// What is wrong and what to do.
    pub words: String,
    /// The record to mend.
    pub link: Link,
    /// Of two that may be one: how much speaks for it, 0 to 100. Otherwise 0.
    pub score: u8,
}

impl Doubt {
    /// Tells this doubt from all others, over writes and sittings.
    pub fn key(&self) -> String {
        let mut key = self.kind.words().to_string();
        for id in &self.animals {
            key.push(' ');
            key.push_str(&id.0.simple().to_string());
        }
        key
    }
}

/// Every doubt of a flock.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Doubts {
    version: u64,
    list: Vec<Doubt>,
    counts: Vec<(DoubtKind, usize)>,
}

impl Doubts {
    /// Looks the whole flock through.
    pub fn of(flock: &Flock) -> Self {
        let mut files: Vec<&AnimalFile> = flock.files().collect();
        // The same flock gives the same list, whatever order its files lie in.
        files.sort_unstable_by_key(|f| f.animal.id);
        let mut found = Found { flock, list: Vec::new(), counts: vec![0; DoubtKind::ALL.len()] };
        circles::look(&files, &mut found);
        parents::look(&files, &mut found);
        times::look(&files, &mut found);
        genes::look(&files, &mut found);
        twice::look(&files, &mut found);
        let Found { mut list, counts, .. } = found;
        let tag = |d: &Doubt| d.animals.first().map_or("", |id| flock.tag(*id));
        list.sort_by(|a, b| {
            (a.kind.cmp(&b.kind))
                .then_with(|| b.score.cmp(&a.score))
                .then_with(|| natural(tag(a), tag(b)))
                .then_with(|| a.animals.cmp(&b.animals))
        });
        let counts = DoubtKind::ALL.into_iter().zip(counts).filter(|(_, n)| *n > 0).collect();
        Self { version: flock.version(), list, counts }
    }

    /// The version of the flock they are of.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// Doubts by kind, those that cannot be first; of each kind no more than 300.
    pub fn list(&self) -> &[Doubt] {
        &self.list
    }

    /// How many there are of each kind, listed or not; kinds without any are left out.
    pub fn counts(&self) -> &[(DoubtKind, usize)] {
        &self.counts
    }

    /// How many there are in all.
    pub fn total(&self) -> usize {
        self.counts.iter().map(|(_, n)| n).sum()
    }

    /// How many are counted only.
    pub fn left_off(&self) -> usize {
        self.total() - self.list.len()
    }
}

/// Doubts on their way into the list.
struct Found<'a> {
    flock: &'a Flock,
    list: Vec<Doubt>,
    counts: Vec<usize>,
}

impl<'a> Found<'a> {
    /// One more; its words are only made where it is listed.
    fn add(&mut self, kind: DoubtKind, make: impl FnOnce(&Flock) -> (Vec<AnimalId>, String, Link)) {
        self.scored(kind, 0, make);
    }

    fn scored(
        &mut self,
        kind: DoubtKind,
        score: u8,
        make: impl FnOnce(&Flock) -> (Vec<AnimalId>, String, Link),
    ) {
        let n = &mut self.counts[kind as usize];
        *n += 1;
        if *n <= MOST {
            let (animals, words, link) = make(self.flock);
            self.list.push(Doubt { kind, animals, words, link, score });
        }
    }

    fn animal(&self, id: AnimalId) -> Option<&'a Animal> {
        self.flock.animal(id)
    }

    fn file(&self, id: AnimalId) -> Option<&'a AnimalFile> {
        self.flock.file(id)
    }
}

/// Every parent written down: as what, and which animal.
fn parents_of(a: &Animal) -> impl Iterator<Item = (&'static str, AnimalId)> {
    let dams = [("dam", a.dam), ("genetic dam", a.genetic_dam)];
    let part = if a.sire.known().is_some() { "sire" } else { "possible sire" };
    let dams = dams.into_iter().filter_map(|(part, id)| id.map(|id| (part, id)));
    dams.chain(a.sire.possible().iter().map(move |id| (part, *id)))
}

/// `0412`, `0412 and 0413`, `0412, 0413 and 3 more`.
fn some_tags(flock: &Flock, animals: &[AnimalId]) -> String {
    match animals {
        [] => "none".into(),
        [one] => flock.tag(*one).into(),
        [a, b] => phrase!("{} and {}", &flock.tag(*a), &flock.tag(*b)),
        [a, b, rest @ ..] => phrase!("{}, {} and {} more", &flock.tag(*a), &flock.tag(*b), rest.len()),
    }
}
