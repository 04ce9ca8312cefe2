//! Comings, goings and deaths as rows.

use super::kind::{Column, may, must};
use super::names::{ADD_FIRST, Names};
use super::sheet::Sheet;
use super::{Taken, Unfit, text};
use crate::entry::{Entry, MovementDraft, movements_beside};
use crate::flock::{Flock, MoveDetails, Movement};
use crate::terms::{Day, MovementId, Status, Words};
use std::collections::HashSet;

pub(super) const COLUMNS: &[Column] = &[
    must("tag", "tag of the animal"),
    must("on", "day"),
    must("to", "what it became: in the flock (came), lent, sold, dead, culled, missing"),
    may("other", "the other place or person"),
    may("reason", "why"),
    may("number", "official number of the other place"),
    may("address", "its address"),
    may("carrier", "who carried them"),
    may("vehicle", "the vehicle's number"),
    may("document", "number of the movement document"),
    may("cause", "cause of death"),
    may("disposal", "how and where the body was disposed of"),
    may("receipt", "number of the receipt for it"),
];

pub(super) fn read(sheet: &Sheet, flock: &Flock, names: &Names, today: Day) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let mut found: HashSet<MovementId> = HashSet::new();
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let animal = c.must("tag", "a tag", |t| names.read(t, ADD_FIRST));
        let on = c.day("on");
        let to = c.must("to", "what it became", Status::parse);
        let (Some(animal), Some(on), Some(to), true) = (animal, on, to, c.good()) else { continue };
        let said = |column: &str| c.words(column).map(Words::from);
        let details = MoveDetails {
            number: said("number"),
            address: said("address"),
            carrier: said("carrier"),
            vehicle: said("vehicle"),
            document: said("document"),
            cause: said("cause"),
            disposal: said("disposal"),
            receipt: said("receipt"),
        };
        let (other, reason) = (c.words("other"), c.words("reason"));
        let draft = MovementDraft { animal, on, to, other, reason, details };
        // Two lines that say the same are two records: each is found in the book once.
        let mut standing = flock.file(animal).into_iter().flat_map(|f| &f.movements);
        let held = standing.find(|m| m.struck.is_none() && !found.contains(&m.id) && draft.is(m));
        if let Some(m) = held {
            found.insert(m.id);
            same.push(line.number);
            continue;
        }
        drafts.push(draft);
        order.push(i);
    }
    let check = (!drafts.is_empty()).then(|| movements_beside(drafts, found, flock, today));
    sheet.outcome(
        bad,
        check,
        &order,
        same,
        |_| None,
        |c| match c.entry() {
            Entry::Movements(all) => all.iter().map(|m| row(flock, names, m)).collect(),
            _ => Vec::new(),
        },
    )
}

pub(super) fn rows(flock: &Flock, names: &Names) -> Vec<Vec<String>> {
    let mut all: Vec<&Movement> =
        flock.files().flat_map(|f| &f.movements).filter(|m| m.struck.is_none()).collect();
    all.sort_by(|a, b| {
        a.on.cmp(&b.on)
            .then_with(|| crate::flock::natural(flock.tag(a.animal), flock.tag(b.animal)))
            .then(a.animal.cmp(&b.animal))
            .then(a.id.cmp(&b.id))
    });
    all.into_iter().map(|m| row(flock, names, m)).collect()
}

fn row(flock: &Flock, names: &Names, m: &Movement) -> Vec<String> {
    let d = &m.details;
    let mut row = vec![
        names.name_of(flock, Some(m.animal)),
        m.on.to_string(),
        m.to.word().to_string(),
        text(&m.other),
        text(&m.reason),
    ];
    let details =
        [&d.number, &d.address, &d.carrier, &d.vehicle, &d.document, &d.cause, &d.disposal, &d.receipt];
    row.extend(details.map(text));
    row
}
