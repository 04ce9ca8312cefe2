//! Where a record is kept, by its id alone.

use super::{AnimalFile, Flock, Link, RecordRef};
use crate::terms::AnimalId;
use std::collections::{HashMap, HashSet};

/// A record that is in the book.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Whereabouts {
    /// Where it is opened.
    pub link: Link,
    /// It is struck out.
    pub struck: bool,
}

impl Flock {
    /// Where this record is; none when it is not in the book. A record of an animal is looked for in every file.
    pub fn whereabouts(&self, record: RecordRef) -> Option<Whereabouts> {
        let c = self.cupboard();
        let struck = match record {
            RecordRef::Animal(id) => {
                return self.animal(id).map(|_| Whereabouts { link: Link::Animal(id), struck: false });
            }
            RecordRef::Product(id) => self.products().iter().find(|r| r.id == id).map(|_| false),
            RecordRef::Batch(id) => c.batches.iter().find(|r| r.id == id).map(|r| r.struck.is_some()),
            RecordRef::StockMove(id) => c.moves.iter().find(|r| r.id == id).map(|r| r.struck.is_some()),
            RecordRef::Vet(id) => c.vet(id).map(|_| false),
            RecordRef::Prescription(id) => c.prescription(id).map(|r| r.struck.is_some()),
            RecordRef::EggCount(id) => c.egg_counts.iter().find(|r| r.id == id).map(|r| r.struck.is_some()),
            RecordRef::Document(id) => self.documents().get(id).map(|r| r.struck.is_some()),
            RecordRef::Session(id) => {
                let link = Link::Daybook(record);
                return self.daybook().session(id).map(|_| Whereabouts { link, struck: false });
            }
            RecordRef::Money(id) => {
                let found = self.daybook().money.iter().find(|r| r.id == id);
                let link = Link::Daybook(record);
                return found.map(|r| Whereabouts { link, struck: r.struck.is_some() });
            }
            RecordRef::Feed(id) => {
                let link = Link::Feedroom(record);
                return self.feedroom().feed(id).map(|_| Whereabouts { link, struck: false });
            }
            RecordRef::FeedMove(_)
            | RecordRef::FeedSheet(_)
            | RecordRef::Measure(_)
            | RecordRef::Creep(_)
            | RecordRef::Ration(_)
            | RecordRef::PenCheck(_) => {
                let link = Link::Feedroom(record);
                return self.feedroom().struck(record).map(|struck| Whereabouts { link, struck });
            }
            of_an_animal => {
                return self.files().find_map(|f| {
                    let (_, struck) = records(f).find(|(r, _)| *r == of_an_animal)?;
                    Some(Whereabouts { link: Link::Record(f.animal.id, record), struck })
                });
            }
        };
        struck.map(|struck| Whereabouts { link: Link::Cupboard(record), struck })
    }

    /// Whose records these are, of those that belong to an animal: one walk over the flock for all of them.
    pub fn owners(&self, wanted: &HashSet<RecordRef>) -> HashMap<RecordRef, AnimalId> {
        let mut found = HashMap::new();
        if wanted.is_empty() {
            return found;
        }
        for f in self.files() {
            let own = std::iter::once(RecordRef::Animal(f.animal.id)).chain(records(f).map(|(r, _)| r));
            found.extend(own.filter(|r| wanted.contains(r)).map(|r| (r, f.animal.id)));
        }
        found
    }
}

/// Every record of an animal's file but its standing facts, and whether it is struck out.
pub fn records(f: &AnimalFile) -> impl Iterator<Item = (RecordRef, bool)> {
    macro_rules! of {
        ($list:ident, $kind:ident) => {
            f.$list.iter().map(|r| (RecordRef::$kind(r.id), r.struck.is_some()))
        };
    }
    of!(lambings, Lambing)
        .chain(of!(joinings, Joining))
        .chain(of!(weighings, Weighing))
        .chain(of!(treatments, Treatment))
        .chain(of!(pen_moves, PenMove))
        .chain(of!(movements, Movement))
        .chain(of!(remarks, Remark))
        .chain(of!(ticks, Tick))
        .chain(of!(marks, Mark))
        .chain(of!(scans, Scan))
        .chain(of!(crayons, Crayon))
        .chain(of!(tests, GeneTest))
        .chain(of!(scores, Scoring))
        .chain(of!(decisions, Decision))
}
