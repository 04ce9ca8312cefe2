//! New facts and marks of many animals at once, as a table brings them: judged together, so that one may name another.

use super::animals::{IdentityDraft, mark};
use super::pedigree::{Pedigree, loops, parents};
use super::standing::nothing_before;
use super::{Checked, Entry, Faults, Field, Refusal, Refused};
use crate::flock::{Animal, Ended, Flock, Identity};
use crate::terms::{AnimalId, Day, IdentityId};
use std::collections::HashSet;

/// Checks new facts of many animals together with animals new to the book; rows of faults count from 0 in the order of
/// `edits`. Marks, standing and pen of each stay as they are.
///
/// # Errors
/// Every refusal, with its row.
pub fn edit_animals(
    edits: Vec<Animal>,
    new: &[Animal],
    flock: &Flock,
    today: Day,
) -> Result<Vec<Checked>, Vec<Refusal>> {
    let mut faults = Faults::default();
    let together: Vec<Animal> = edits.iter().chain(new).cloned().collect();
    let view = Pedigree::with_edits(flock, &together);
    for (row, a) in edits.iter().enumerate() {
        if let Some(b) = a.born.earliest() {
            faults.not_ahead(Field::row("born", row), b, today);
        }
        if let (Some(f), Some(born)) = (flock.file(a.id), a.born.exact()) {
            nothing_before(&mut faults, Field::row("born", row), f, born, None);
        }
        parents(&mut faults, &view, a.id, row);
        for child in flock.file(a.id).map_or(&[][..], |f| &f.offspring) {
            parents(&mut faults, &view, *child, row);
        }
    }
    loops(&mut faults, &view, edits.iter().map(|a| a.id).enumerate());
    let asked = faults.or(nothing)?.questions().to_vec();
    let made = |(row, a): (usize, Animal)| {
        let sentence = format!("New facts of {}", a.tag());
        let own = asked.iter().filter(|q| q.field.row == row).cloned().collect();
        Checked::new(Entry::EditAnimal(Box::new(a)), sentence, own)
    };
    Ok(edits.into_iter().enumerate().map(made).collect())
}

/// An entry that is never written: only what was asked about it is wanted.
fn nothing() -> (Entry, String) {
    (Entry::Remarks(Vec::new()), String::new())
}

/// Marks an animal is found to wear, by a table that does not say since when: one of the same kind that it wore is replaced.
#[derive(Debug, Clone)]
pub struct MarksDraft {
    /// The animal.
    pub animal: AnimalId,
    /// Worn from now on.
    pub worn: Vec<IdentityDraft>,
    /// Further marks with their days.
    pub dated: Vec<Identity>,
}

/// Checks marks of many animals; rows of faults count from 0 in the order of `drafts`.
///
/// # Errors
/// Every refusal, with its row.
pub fn marks_of(drafts: Vec<MarksDraft>, flock: &Flock) -> Result<Vec<Checked>, Vec<Refusal>> {
    let mut faults = Faults::default();
    let mut seen = HashSet::new();
    let mut all = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        let Some(animal) = flock.animal(d.animal) else {
            faults.refuse(Field::row("tag", row), Refused::Gone);
            continue;
        };
        let mut identities = animal.identities.to_vec();
        for new in &d.worn {
            mark(&mut faults, flock, &mut seen, new.kind, &new.tag, row, Some(d.animal));
            for old in identities.iter_mut().filter(|i| i.kind == new.kind && i.ended.is_none()) {
                old.ended = Some(Ended::Replaced);
            }
            identities.push(Identity {
                id: IdentityId::new(),
                kind: new.kind,
                tag: new.tag.clone(),
                from: None,
                to: None,
                ended: None,
            });
        }
        for new in d.dated {
            if new.ended.is_none() {
                mark(&mut faults, flock, &mut seen, new.kind, &new.tag, row, Some(d.animal));
            }
            identities.push(new);
        }
        all.push((row, d.animal, identities, format!("Marks of {}", animal.tag())));
    }
    let asked = faults.or(nothing)?.questions().to_vec();
    let made = |(row, animal, identities, sentence)| {
        let own = asked.iter().filter(|q| q.field.row == row).cloned().collect();
        Checked::new(Entry::Retag { animal, identities }, sentence, own)
    };
    Ok(all.into_iter().map(made).collect())
}
