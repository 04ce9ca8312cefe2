//! Comings, goings and deaths.

use super::Reader;
use super::item::MoveItem;
use crate::entry::{Entry, MovementDraft, movements_beside};
use crate::flock::MoveDetails;
use crate::terms::{MovementId, Words};
use std::collections::HashSet;
use uuid::Uuid;

impl Reader<'_> {
    pub(super) fn moves(&mut self, all: Vec<MoveItem>) {
        let known: HashSet<Uuid> = self.book.files().flat_map(|f| &f.movements).map(|m| m.id.0).collect();
        let mut met: HashSet<MovementId> = HashSet::new();
        let (mut places, mut drafts, mut ids) = (Vec::new(), Vec::new(), Vec::new());
        for item in all {
            // A standing without its day came with the animal.
            let Some(at) = item.event.at else { continue };
            if self.is_held(&item.event, |id| known.contains(&id)) {
                continue;
            }
            let Some(animal) = self.whose(&item.event) else { continue };
            let kept = |key: &str| item.event.kept.get(key).map(str::to_string);
            let draft = MovementDraft {
                animal,
                on: at.day,
                to: item.to,
                other: kept("other"),
                reason: item.event.note.clone(),
                details: MoveDetails {
                    number: item.number.map(Words::from),
                    address: item.address.map(Words::from),
                    carrier: item.carrier.map(Words::from),
                    vehicle: item.vehicle.map(Words::from),
                    document: item.document.map(Words::from),
                    cause: item.cause.map(Words::from),
                    disposal: kept("disposal").map(Words::from),
                    receipt: item.receipt.map(Words::from),
                }
                .tidy(),
            };
            let mut held = self.book.file(animal).into_iter().flat_map(|f| &f.movements);
            if let Some(m) = held.find(|m| m.struck.is_none() && !met.contains(&m.id) && draft.is(m)) {
                met.insert(m.id);
                self.same += 1;
                continue;
            }
            places.push(item.event.place);
            ids.push(item.event.record);
            drafts.push(draft);
        }
        if drafts.is_empty() {
            return;
        }
        let told: Vec<_> = drafts.iter().map(|d| (d.animal, d.on, d.to.words().to_string())).collect();
        let check = movements_beside(drafts, met, &self.flock, self.today);
        self.settle(&places, check, |entry| {
            let Entry::Movements(all) = entry else { return };
            for (m, id) in all.iter_mut().zip(ids) {
                // A line that fills in one of the book stays that one.
                if let Some(id) = id.filter(|_| !known.contains(&m.id.0)) {
                    m.id = MovementId(id);
                }
            }
        });
        for (animal, on, what) in told {
            self.tell("movement", animal, Some(on), what);
        }
    }
}
