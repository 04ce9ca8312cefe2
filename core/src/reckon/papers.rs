//! Kept pictures and papers in words: what each is kept with and where that is found.

use crate::flock::{AnimalFile, Document, DocumentOf, Flock, Link, RecordRef, records};
use crate::phrase;
use crate::terms::{AnimalId, Day};
use std::collections::HashSet;

/// What a paper is kept with, in words: `lambing of 0412, 3 Apr 2026`; `the flock and its keeper`.
pub fn of_words(flock: &Flock, of: DocumentOf) -> String {
    let link = match of {
        DocumentOf::Record(record) => flock.whereabouts(record).map(|w| w.link),
        DocumentOf::Holding => None,
    };
    words_at(flock, of, link)
}

/// The same where it is known where the record is.
pub fn words_at(flock: &Flock, of: DocumentOf, link: Option<Link>) -> String {
    match of {
        DocumentOf::Holding => phrase!("the flock and its keeper"),
        DocumentOf::Record(RecordRef::Animal(id)) => flock.tag(id).into(),
        DocumentOf::Record(record) => match link {
            Some(Link::Record(id, _)) => {
                let tag = flock.tag(id);
                let words = flock.file(id).and_then(|f| record_words(f, record));
                words.map_or_else(
                    || phrase!("a record of {tag}", tag = &tag),
                    |(what, on)| phrase!("{what} of {tag}, {}", on.words(), tag = &tag),
                )
            }
            Some(_) => super::trail::kept_words(flock, record).unwrap_or_else(|| phrase!("a record")),
            None => phrase!("a record that is not there"),
        },
    }
}

/// Kind and day of a record of this animal; none when it is not one of its records.
pub fn record_words(f: &AnimalFile, record: RecordRef) -> Option<(&'static str, Day)> {
    macro_rules! of {
        ($list:ident, $id:expr, $word:literal, $($on:ident).+) => {
            f.$list.iter().find(|r| r.id == $id).map(|r| ($word, r.$($on).+))
        };
    }
    match record {
        RecordRef::Lambing(id) => of!(lambings, id, "lambing", at.day),
        RecordRef::Joining(id) => of!(joinings, id, "joining", from),
        RecordRef::Weighing(id) => of!(weighings, id, "weighing", at.day),
        RecordRef::Treatment(id) => of!(treatments, id, "treatment", at.day),
        RecordRef::PenMove(id) => of!(pen_moves, id, "pen", on),
        RecordRef::Movement(id) => of!(movements, id, "standing", on),
        RecordRef::Remark(id) => of!(remarks, id, "note", on),
        RecordRef::Tick(id) => of!(ticks, id, "job", at.day),
        RecordRef::Mark(id) => of!(marks, id, "mating mark", on),
        RecordRef::Scan(id) => of!(scans, id, "scan", on),
        RecordRef::Crayon(id) => of!(crayons, id, "crayon", on),
        RecordRef::GeneTest(id) => of!(tests, id, "test", on),
        RecordRef::Scoring(id) => of!(scores, id, "score", at.day),
        RecordRef::Decision(id) => of!(decisions, id, "decision", on),
        _ => None,
    }
}

/// Where the records are found that these papers are kept with; one walk over the flock for all of them.
pub fn links<'a>(flock: &Flock, papers: impl Iterator<Item = &'a Document>) -> Vec<Link> {
    let papers: Vec<&Document> = papers.collect();
    let wanted: HashSet<RecordRef> = papers
        .iter()
        .filter_map(|d| match d.of {
            DocumentOf::Record(record) => Some(record),
            DocumentOf::Holding => None,
        })
        .collect();
    let owners = flock.owners(&wanted);
    let link = |d: &Document| match d.of {
        DocumentOf::Holding => Link::Holding,
        DocumentOf::Record(RecordRef::Animal(id)) => Link::Animal(id),
        // The cupboard opens a paper with its batch or prescription.
        DocumentOf::Record(RecordRef::Batch(_) | RecordRef::Prescription(_)) => {
            Link::Cupboard(RecordRef::Document(d.id))
        }
        DocumentOf::Record(record) => match owners.get(&record) {
            Some(animal) => Link::Record(*animal, record),
            None => flock.whereabouts(record).map_or(Link::Holding, |w| w.link),
        },
    };
    papers.into_iter().map(link).collect()
}

/// Every paper of an animal: its own and those of its records, struck ones too, oldest first.
pub fn of_animal<'a>(flock: &'a Flock, f: &AnimalFile) -> Vec<&'a Document> {
    let known = flock.documents();
    if known.all().is_empty() {
        return Vec::new();
    }
    let own = std::iter::once(RecordRef::Animal(f.animal.id)).chain(records(f).map(|(r, _)| r));
    let mut all: Vec<&Document> = own.flat_map(|r| known.with(r)).collect();
    all.sort_by_key(|d| (d.on, d.id));
    all
}

/// The animal a paper belongs to by its record; none of the cupboard, the feed room, money and the holding.
pub fn animal_of(link: Link) -> Option<AnimalId> {
    match link {
        Link::Animal(id) | Link::Record(id, _) => Some(id),
        _ => None,
    }
}
