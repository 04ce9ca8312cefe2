//! When each record was written and last changed, as the journal tells it.

use rapidhash::RapidHashMap;

/// When a record was written and last changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordStamp {
    /// When it was written, `2026-04-03 21:10:05`.
    pub created: String,
    /// Who wrote it.
    pub who: String,
    /// When it was last changed.
    pub changed: String,
}

/// The stamps of a book's records by the sixteen bytes of their ids.
#[derive(Debug, Clone, Default)]
pub struct Stamps(RapidHashMap<[u8; 16], RecordStamp>);

impl Stamps {
    /// The stamp of a record; none where the journal tells nothing of it.
    pub fn get(&self, id: [u8; 16]) -> Option<&RecordStamp> {
        self.0.get(&id)
    }

    /// A line of the journal wrote or changed this record; lines come in their order.
    pub(crate) fn note(&mut self, id: [u8; 16], at: &str, who: &str) {
        let new = || RecordStamp { created: at.into(), who: who.into(), changed: at.into() };
        let stamp = self.0.entry(id).or_insert_with(new);
        // A clock that was turned back makes nothing older.
        if stamp.changed.as_str() < at {
            stamp.changed = at.into();
        }
    }
}
