//! The order in which new animals are written.

use crate::flock::Animal;
use crate::terms::{AnimalId, Rearing};
use std::collections::HashMap;

/// New animals in an order in which every parent and foster ewe comes before its lambs. While a key is still
/// missing, SQLite looks for rows that wait for it with every row it takes in, and a large import crawls.
pub(super) fn parents_first(animals: &[Animal]) -> Vec<&Animal> {
    let at: HashMap<AnimalId, usize> = animals.iter().enumerate().map(|(i, a)| (a.id, i)).collect();
    let above = |a: &Animal| -> Vec<usize> {
        let foster = match a.rearing {
            Rearing::Foster(e) => Some(e),
            _ => None,
        };
        let named = [a.dam, a.genetic_dam, foster].into_iter().flatten();
        named.chain(a.sire.possible().iter().copied()).filter_map(|id| at.get(&id).copied()).collect()
    };
    let mut order = Vec::with_capacity(animals.len());
    let mut seen = vec![false; animals.len()];
    for start in 0..animals.len() {
        if std::mem::replace(&mut seen[start], true) {
            continue;
        }
        // Depth first without recursion; an animal is placed when all above it are.
        let mut path = vec![(start, above(&animals[start]))];
        while let Some((i, left)) = path.last_mut() {
            match left.pop() {
                Some(up) if !std::mem::replace(&mut seen[up], true) => path.push((up, above(&animals[up]))),
                Some(_) => {}
                None => {
                    order.push(&animals[*i]);
                    path.pop();
                }
            }
        }
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::entry::{AnimalDraft, Entry, animals};
    use crate::flock::{Flock, Sire};
    use crate::terms::{Day, Sex, Tag};

    #[test]
    fn parents_and_foster_ewes_come_before_their_lambs() {
        let new = |tag: &str, sex| AnimalDraft::new(Tag::parse(tag).unwrap(), sex);
        let (mut lamb, mut dam, ram) = (new("lamb", Sex::Ewe), new("dam", Sex::Ewe), new("ram", Sex::Ram));
        let (foster, grandam) = (new("foster", Sex::Ewe), new("grandam", Sex::Ewe));
        lamb.dam = Some(dam.id);
        lamb.rearing = Rearing::Foster(foster.id);
        dam.sire = Sire::Known(ram.id);
        dam.dam = Some(grandam.id);
        let all = vec![lamb, dam, grandam, ram, foster];
        let checked = animals(all, &Flock::default(), Day::today()).unwrap();
        let Entry::Animals { animals, .. } = checked.entry() else { panic!("animals") };
        let order: Vec<&str> = parents_first(animals).iter().map(|a| a.tag()).collect();
        let at = |tag| order.iter().position(|t| *t == tag).unwrap();
        assert_eq!(order.len(), 5);
        assert_eq!(at("lamb"), 4, "{order:?}");
        assert!(at("dam") > at("ram") && at("dam") > at("grandam"), "{order:?}");
    }
}
