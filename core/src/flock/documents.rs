//! Pictures and papers kept in the book, with the record each belongs to.

use super::{RecordRef, Struck};
use crate::terms::{AnimalId, Day, DocumentId};
use rapidhash::RapidHashMap;
use sha2::{Digest as _, Sha256};
use std::sync::Arc;

/// What a kept paper belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum DocumentOf {
    /// An animal or any record; never another paper.
    Record(RecordRef),
    /// Who keeps the flock.
    Holding,
}

impl From<RecordRef> for DocumentOf {
    fn from(record: RecordRef) -> Self {
        Self::Record(record)
    }
}

/// A picture or PDF kept in the book; its bytes are read when asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Document {
    /// Its id.
    pub id: DocumentId,
    /// What it belongs to.
    pub of: DocumentOf,
    /// Name of the file it came from, until it is given another.
    pub name: String,
    /// pdf, png, jpeg.
    pub kind: String,
    /// Bytes.
    pub size: u64,
    /// When a picture was taken, where it says so itself; else when it was put into the book.
    pub on: Day,
    /// Which file it is.
    pub sha: Sha,
    /// The keeper chose it to stand for its animal.
    pub portrait: bool,
    /// Struck out: no longer what belongs there, kept all the same.
    pub struck: Option<Box<Struck>>,
}

impl Document {
    /// A picture, not a PDF.
    pub fn is_picture(&self) -> bool {
        self.kind != "pdf"
    }

    /// `picture` or `paper`.
    pub fn word(&self) -> &'static str {
        if self.is_picture() { "picture" } else { "paper" }
    }
}

/// SHA-256 of a file's bytes (FIPS 180-4): files that are alike lie in the book once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Sha(pub [u8; 32]);

impl Sha {
    /// Of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }
}

/// The bytes of a file, summed once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileBytes {
    bytes: Arc<[u8]>,
    sha: Sha,
}

impl FileBytes {
    /// The bytes.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Their SHA-256.
    pub fn sha(&self) -> Sha {
        self.sha
    }
}

impl From<Vec<u8>> for FileBytes {
    fn from(bytes: Vec<u8>) -> Self {
        Self { sha: Sha::of(&bytes), bytes: bytes.into() }
    }
}

/// A paper on its way into the book, with its bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewDocument {
    /// What is known of it.
    pub document: Document,
    /// The file itself.
    pub file: FileBytes,
}

/// All kept papers in order of their day, and where those of a record stand among them.
#[derive(Debug, Clone, Default)]
pub struct Documents {
    all: Vec<Document>,
    by: RapidHashMap<DocumentOf, Vec<u32>>,
    at: RapidHashMap<DocumentId, u32>,
}

impl PartialEq for Documents {
    fn eq(&self, other: &Self) -> bool {
        self.all == other.all
    }
}

impl From<Vec<Document>> for Documents {
    fn from(mut all: Vec<Document>) -> Self {
        all.sort_by_key(|d| (d.on, d.id));
        let mut by: RapidHashMap<DocumentOf, Vec<u32>> = RapidHashMap::default();
        let mut at = RapidHashMap::default();
        for (d, place) in all.iter().zip(0..) {
            by.entry(d.of).or_default().push(place);
            at.insert(d.id, place);
        }
        Self { all, by, at }
    }
}

impl Documents {
    /// All of them, struck ones too, oldest first.
    pub fn all(&self) -> &[Document] {
        &self.all
    }

    /// A paper.
    pub fn get(&self, id: DocumentId) -> Option<&Document> {
        self.at.get(&id).and_then(|place| self.all.get(*place as usize))
    }

    /// Papers kept with a record, struck ones too, oldest first.
    pub fn with(&self, of: impl Into<DocumentOf>) -> impl DoubleEndedIterator<Item = &Document> {
        let places = self.by.get(&of.into()).map_or(&[][..], Vec::as_slice);
        places.iter().filter_map(|place| self.all.get(*place as usize))
    }

    /// Papers kept with a record, that stand.
    pub fn standing(&self, of: impl Into<DocumentOf>) -> impl DoubleEndedIterator<Item = &Document> {
        self.with(of).filter(|d| d.struck.is_none())
    }

    /// The picture that stands for an animal: the newest that was chosen, else its newest.
    pub fn portrait(&self, animal: AnimalId) -> Option<&Document> {
        let own = || self.standing(RecordRef::Animal(animal)).filter(|d| d.is_picture()).rev();
        own().find(|d| d.portrait).or_else(|| own().next())
    }

    /// Bytes of all files together, each counted once.
    pub fn bytes(&self) -> u64 {
        let mut files: Vec<(Sha, u64)> = self.all.iter().map(|d| (d.sha, d.size)).collect();
        files.sort_unstable();
        files.dedup_by_key(|(sha, _)| *sha);
        files.iter().map(|(_, size)| size).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::LambingId;

    fn picture(of: DocumentOf, on: &str, portrait: bool) -> Document {
        Document {
            id: DocumentId::new(),
            of,
            name: on.into(),
            kind: "jpeg".into(),
            size: 7,
            on: Day::parse_iso(on).unwrap(),
            sha: Sha::of(b"the same"),
            portrait,
            struck: None,
        }
    }

    /// The example of one block in FIPS 180-4's companion, 'abc': from memory.
    #[test]
    fn bytes_are_summed_as_the_standard_says() {
        let sum: String = Sha::of(b"abc").0.iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(sum, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn a_record_has_its_own_papers_and_an_animal_its_newest_picture() {
        let animal = AnimalId::new();
        let own = DocumentOf::from(RecordRef::Animal(animal));
        let lambing = DocumentOf::from(RecordRef::Lambing(LambingId::new()));
        let mut all = vec![
            picture(own, "2026-04-03", false),
            picture(own, "2026-04-01", false),
            picture(lambing, "2026-04-09", false),
        ];
        let known = Documents::from(all.clone());
        let days: Vec<&str> = known.with(own).map(|d| d.name.as_str()).collect();
        assert_eq!(days, ["2026-04-01", "2026-04-03"]);
        assert_eq!(known.with(lambing).count(), 1);
        assert_eq!(known.portrait(animal).unwrap().name, "2026-04-03");
        assert_eq!(known.bytes(), 7, "one file behind all of them");
        all[1].portrait = true;
        assert_eq!(Documents::from(all.clone()).portrait(animal).unwrap().name, "2026-04-01");
        all[1].struck = Some(Box::new(Struck { on: Day::today(), reason: "another ewe".into() }));
        let known = Documents::from(all);
        assert_eq!(known.portrait(animal).unwrap().name, "2026-04-03", "one struck out stands for nobody");
        assert_eq!(known.standing(own).count(), 1);
    }
}
