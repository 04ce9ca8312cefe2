//! Kept pictures and papers, with any record.

use super::{Kind, Maker};
use hirsel_core::entry::{Amended, Check, DocumentDraft, amend, documents, portrait, strike_kept};
use hirsel_core::flock::{DocumentOf, Flock, RecordRef, records};

impl Maker {
    pub(super) fn papers(&mut self, kind: Kind, flock: &Flock) -> Option<Check> {
        let today = self.today;
        let why = self.text();
        let known = flock.documents().all();
        Some(match kind {
            Kind::Documents => documents(vec![self.paper(flock)?], flock, today),
            Kind::AmendDocument => {
                let mut d = self.of(known)?;
                (d.name, d.on) = (self.text(), self.back(900));
                amend(Amended::Document(d), &why, flock, today)
            }
            Kind::StrikeDocument => strike_kept(RecordRef::Document(self.of(known)?.id), &why, flock, today),
            Kind::Portrait => {
                let own = |of| matches!(of, DocumentOf::Record(RecordRef::Animal(_)));
                let pictures: Vec<_> =
                    known.iter().filter(|d| d.is_picture() && own(d.of)).cloned().collect();
                portrait(self.of(&pictures)?.id, flock)
            }
            _ => return None,
        })
    }

    /// A paper of any record there is; now and then one whose bytes are in the book already.
    fn paper(&mut self, flock: &Flock) -> Option<DocumentDraft> {
        let of = self.whose(flock)?;
        let head: &[u8] = self.pick::<&[u8]>(&[b"%PDF-1.7\n", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff\xe0"]);
        let mut bytes = head.to_vec();
        if !self.one_in(3) {
            bytes.extend((0..self.rng.usize(..200)).map(|_| self.rng.u8(..)));
        }
        let on = self.some(|m| m.back(400));
        Some(DocumentDraft { of, name: self.text(), bytes: bytes.into(), on })
    }

    fn whose(&mut self, flock: &Flock) -> Option<DocumentOf> {
        let (c, room, daybook) = (flock.cupboard(), flock.feedroom(), flock.daybook());
        let mut all: Vec<RecordRef> = Vec::new();
        if let Some(f) = self.one(flock, |_| true).and_then(|id| flock.file(id)) {
            // The animal as often as all its records.
            let own: Vec<RecordRef> = records(f).filter(|(_, struck)| !struck).map(|(r, _)| r).collect();
            all.extend(vec![RecordRef::Animal(f.animal.id); own.len().max(4)]);
            all.extend(own);
        }
        all.extend(flock.products().iter().map(|r| RecordRef::Product(r.id)));
        all.extend(c.batches.iter().filter(|r| r.struck.is_none()).map(|r| RecordRef::Batch(r.id)));
        all.extend(
            c.prescriptions.iter().filter(|r| r.struck.is_none()).map(|r| RecordRef::Prescription(r.id)),
        );
        all.extend(c.vets.iter().map(|r| RecordRef::Vet(r.id)));
        all.extend(c.egg_counts.iter().filter(|r| r.struck.is_none()).map(|r| RecordRef::EggCount(r.id)));
        all.extend(daybook.money.iter().filter(|r| r.struck.is_none()).map(|r| RecordRef::Money(r.id)));
        all.extend(daybook.sessions.iter().map(|r| RecordRef::Session(r.id)));
        all.extend(room.moves.iter().filter(|r| r.struck.is_none()).map(|r| RecordRef::FeedMove(r.id)));
        all.extend(room.sheets.iter().filter(|r| r.struck.is_none()).map(|r| RecordRef::FeedSheet(r.id)));
        if self.one_in(20) {
            return Some(DocumentOf::Holding);
        }
        self.of(&all).map(DocumentOf::from)
    }
}
