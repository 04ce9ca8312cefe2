//! Pictures and PDFs kept in the book.

use super::{CupboardRefused, CupboardUnusual};
use crate::entry::{Check, Entry, Faults, Field, Refused};
use crate::flock::{Document, DocumentOf, Flock, NewDocument};
use crate::handbook::stock as bounds;
use crate::terms::{Day, DocumentId};
use std::sync::Arc;

/// A paper as it was read from a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DocumentDraft {
    /// What it belongs to.
    pub of: DocumentOf,
    /// Name of the file.
    pub name: String,
    /// The file itself.
    pub bytes: Arc<[u8]>,
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

/// Checks papers to be kept; rows of faults count the drafts.
///
/// # Errors
/// What it belongs to is gone or struck out; neither PDF, PNG nor JPEG; more than 20 MB.
pub fn documents(drafts: Vec<DocumentDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("file"), Refused::Missing("a paper"));
    }
    let c = flock.cupboard();
    let mut all = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        let field = Field::row("file", row);
        let struck = match d.of {
            DocumentOf::Batch(id) => c.batches.iter().find(|b| b.id == id).map(|b| b.struck.is_some()),
            DocumentOf::Prescription(id) => c.prescription(id).map(|p| p.struck.is_some()),
        };
        match struck {
            None => faults.refuse(field, Refused::Gone),
            Some(true) => faults.refuse(field, Refused::AlreadyStruck),
            Some(false) => {}
        }
        let name = match d.name.trim() {
            "" => "paper",
            name => name,
        };
        let size = d.bytes.len() as u64;
        let kind = paper_kind(&d.bytes);
        let most = bounds::paper_most_bytes();
        if size > most {
            let (megabytes, most) = (size.div_ceil(1_000_000), most / 1_000_000);
            faults
                .refuse(field, CupboardRefused::PaperTooLarge { name: name.into(), megabytes, most }.into());
        } else if kind.is_none() {
            faults.refuse(field, CupboardRefused::NoPaper(name.into()).into());
        }
        if c.papers(d.of).any(|k| k.name == name && k.size == size) {
            faults.question(field, CupboardUnusual::KeptAlready { name: name.into() }.into());
        }
        let document = Document {
            id: DocumentId::new(),
            of: d.of,
            name: name.to_string(),
            kind: kind.unwrap_or_default().to_string(),
            size,
            on: today,
            struck: None,
        };
        all.push(NewDocument { document, bytes: d.bytes });
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => format!("Paper {} kept", one.document.name),
            many => format!("{} papers kept", many.len()),
        };
        (Entry::Documents(all), sentence)
    })
}
