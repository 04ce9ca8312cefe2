//! Pictures and PDFs kept in the book, with any record; their names mended; the picture that stands for an animal.

use super::{Amended, Check, CupboardRefused, CupboardUnusual, Entry, Faults, Field, Refusal, Refused};
use crate::flock::{Document, DocumentOf, FileBytes, Flock, NewDocument, RecordRef};
use crate::handbook::stock as bounds;
use crate::reckon::papers::of_words;
use crate::terms::{Day, DocumentId};

/// A paper as it was read from a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DocumentDraft {
    /// What it belongs to.
    pub of: DocumentOf,
    /// Name of the file.
    pub name: String,
    /// The file itself.
    pub bytes: FileBytes,
    /// When the picture was taken, if it says so; none: today.
    pub on: Option<Day>,
}

/// pdf, png or jpeg, told by the first bytes of a file; none is no paper that is kept.
///
/// Signatures: ISO 32000-1 §7.5.2 (`%PDF-`), PNG (third edition) §5.2, ISO/IEC 10918-1 Annex B (marker SOI); from
/// memory.
pub fn paper_kind(bytes: &[u8]) -> Option<&'static str> {
    const KINDS: [(&[u8], &str); 3] =
        [(b"%PDF-", "pdf"), (b"\x89PNG\r\n\x1a\n", "png"), (b"\xff\xd8\xff", "jpeg")];
    KINDS.into_iter().find(|(head, _)| bytes.starts_with(head)).map(|(_, kind)| kind)
}

/// It is struck out, or not there: a paper belongs to no other paper.
fn struck(flock: &Flock, of: DocumentOf) -> Option<bool> {
    match of {
        DocumentOf::Holding => Some(false),
        DocumentOf::Record(RecordRef::Document(_)) => None,
        DocumentOf::Record(record) => flock.whereabouts(record).map(|w| w.struck),
    }
}

/// Checks papers to be kept; rows of faults count the drafts.
///
/// # Errors
/// What it belongs to is gone or struck out; neither PDF, PNG nor JPEG; more than 20 MB.
pub fn documents(drafts: Vec<DocumentDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("file"), Refused::Missing("a paper"));
    }
    let known = flock.documents();
    let mut all: Vec<NewDocument> = Vec::new();
    let mut last: Option<(DocumentOf, Option<bool>)> = None;
    for (row, d) in drafts.into_iter().enumerate() {
        let field = Field::row("file", row);
        // Many pictures of one record are the common case: it is looked for once.
        let found = match last {
            Some((of, struck)) if of == d.of => struck,
            _ => struck(flock, d.of),
        };
        last = Some((d.of, found));
        match found {
            None => faults.refuse(field, Refused::Gone),
            Some(true) => faults.refuse(field, Refused::AlreadyStruck),
            Some(false) => {}
        }
        let name = match d.name.trim() {
            "" => "paper",
            name => name,
        };
        let size = d.bytes.bytes().len() as u64;
        let kind = paper_kind(d.bytes.bytes());
        let most = bounds::paper_most_bytes();
        if size > most {
            let (megabytes, most) = (size.div_ceil(1_000_000), most / 1_000_000);
            faults
                .refuse(field, CupboardRefused::PaperTooLarge { name: name.into(), megabytes, most }.into());
        } else if kind.is_none() {
            faults.refuse(field, CupboardRefused::NoPaper(name.into()).into());
        }
        let on = d.on.unwrap_or(today);
        faults.not_ahead(field, on, today);
        let sha = d.bytes.sha();
        let twice = known.standing(d.of).any(|k| k.sha == sha)
            || all.iter().any(|k| k.document.of == d.of && k.document.sha == sha);
        if twice {
            faults.question(field, CupboardUnusual::KeptAlready { name: name.into() }.into());
        }
        let document = Document {
            id: DocumentId::new(),
            of: d.of,
            name: name.to_string(),
            kind: kind.unwrap_or_default().to_string(),
            size,
            on,
            sha,
            portrait: false,
            struck: None,
        };
        all.push(NewDocument { document, file: d.bytes });
    }
    faults.or(|| {
        let sentence = sentence(flock, &all);
        (Entry::Documents(all), sentence)
    })
}

/// `Picture ewe.jpg kept with lambing of 0412, 3 Apr 2026`; `3 papers kept`.
fn sentence(flock: &Flock, all: &[NewDocument]) -> String {
    let mut of: Vec<DocumentOf> = all.iter().map(|n| n.document.of).collect();
    of.dedup();
    let with = match of.as_slice() {
        [one] => format!(" with {}", of_words(flock, *one)),
        _ => String::new(),
    };
    match all {
        [one] if one.document.is_picture() => format!("Picture {} kept{with}", one.document.name),
        [one] => format!("Paper {} kept{with}", one.document.name),
        many if many.iter().all(|n| n.document.is_picture()) => format!("{} pictures kept{with}", many.len()),
        many => format!("{} papers kept{with}", many.len()),
    }
}

/// Checks a picture chosen to stand for its animal.
///
/// # Errors
/// It is gone or struck out, no picture, not one of an animal itself, or chosen already.
pub fn portrait(picture: DocumentId, flock: &Flock) -> Check {
    let refuse = |why: Refused| Err(vec![Refusal { field: Field::of("picture"), why }]);
    let Some(d) = flock.documents().get(picture) else { return refuse(Refused::Gone) };
    if d.struck.is_some() {
        return refuse(Refused::AlreadyStruck);
    }
    let (DocumentOf::Record(RecordRef::Animal(animal)), true) = (d.of, d.is_picture()) else {
        return refuse(CupboardRefused::NoPortrait(d.name.clone()).into());
    };
    if d.portrait && flock.documents().portrait(animal).is_some_and(|p| p.id == picture) {
        return refuse(Refused::NothingChanged);
    }
    let sentence = format!("Picture {} stands for {}", d.name, flock.tag(animal));
    Faults::default().or(|| (Entry::Portrait { animal, picture }, sentence))
}

/// The checks of a paper whose name or day is mended; of any other record nothing.
pub(super) fn amended(faults: &mut Faults, new: &Amended, flock: &Flock) {
    let Amended::Document(d) = new else { return };
    if d.name.trim().is_empty() {
        faults.refuse(Field::of("name"), Refused::Missing("a name"));
    }
    let Some(old) = flock.documents().get(d.id) else { return };
    let same = Document { name: old.name.clone(), on: old.on, ..d.clone() };
    if same != *old {
        // Only the name and the day are the keeper's: all else is of the file.
        faults.refuse(Field::of("name"), Refused::Gone);
    }
    if old.struck.is_some() {
        faults.refuse(Field::of("name"), Refused::AlreadyStruck);
    }
}

#[cfg(test)]
mod tests;
